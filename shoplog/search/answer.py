"""What a search gives back, and the summary of the facts found."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from shoplog.facts import SI_UNITS
from shoplog.log import KeptFact
from shoplog.search.query import Query
from shoplog.search.units import from_si
from shoplog.store.finding import Count


@dataclass(frozen=True, slots=True)
class Found:
    """A fact with what surrounds it. ``day`` is the ISO date of the recording, the day it was added if not
    ``dated``; ``species`` the woods of its piece, ``diameter`` that of the piece then, in metres.
    """

    kept: KeptFact
    project: str
    recording: str
    day: str
    dated: bool
    species: tuple[str, ...] = ()
    diameter: float | None = None


@dataclass(frozen=True, slots=True)
class Passage:
    """Words as spoken, with where: ``start`` in seconds of the recording."""

    cue_id: int
    text: str
    recording_id: int
    recording: str
    project: str
    day: str
    start: float
    doubtful: bool = False


@dataclass(frozen=True, slots=True)
class Numbers:
    """Numbers in ``unit``: smallest, largest, median; ``values`` each with how often, ascending.

    Both ends of a stated range are among the values; for the median a range counts as its middle.
    """

    unit: str
    low: float
    high: float
    median: float
    values: tuple[tuple[float, int], ...]


@dataclass(frozen=True, slots=True)
class Group:
    """A part of the facts found: by an item, an operation or a diameter."""

    name: str
    count: int
    numbers: Numbers | None = None


@dataclass(frozen=True, slots=True)
class Summary:
    """What the facts found say together. ``of`` is the status that was summed up: done, else the best there is.

    ``woods`` counts the facts by wood, only where that is asked for.
    """

    of: str
    count: int
    pieces: tuple[str, ...]
    numbers: Numbers | None = None
    items: tuple[Group, ...] = ()
    woods: tuple[Group, ...] = ()
    by_operation: tuple[Group, ...] = ()
    by_diameter: tuple[Group, ...] = ()


@dataclass(frozen=True, slots=True)
class Spent:
    """Recorded seconds of one operation on one piece, with the first moment of it."""

    project: str
    operation: str
    seconds: float
    recording: str
    recording_id: int
    start: float
    day: str


@dataclass(frozen=True, slots=True)
class Answer:
    """``found`` are the first facts, best first, of ``total``; ``summary`` is over all of them.

    ``excluded`` is filled where nothing was found: each condition with the number of facts that there are without it.
    ``instead`` are then facts that meet all but the condition ``without``. ``unheard`` are words that were not said
    near any fact found.
    """

    query: Query
    line: str
    found: tuple[Found, ...] = ()
    total: int = 0
    summary: Summary | None = None
    spent: tuple[Spent, ...] = ()
    passages: tuple[Passage, ...] = ()
    excluded: tuple[tuple[str, int], ...] = ()
    without: str | None = None
    instead: tuple[Found, ...] = ()
    unheard: tuple[str, ...] = ()


def summarise(
    counts: Sequence[Count],
    status: str,
    pieces: Sequence[str],
    woods: Mapping[str, int],
    unit: str | None,
) -> Summary:
    """The counted facts of one status, together and in groups; numbers in ``unit``, others left out."""
    return Summary(
        status,
        sum(c.facts for c in counts),
        tuple(pieces),
        numbers(counts, unit),
        _groups(counts, lambda c: c.item, unit),
        tuple(Group(wood, n) for wood, n in sorted(woods.items(), key=lambda w: (-w[1], w[0]))),
        _groups(counts, lambda c: c.operation, unit),
        tuple(
            Group(f"{2 * band} to {2 * band + 2} in", sum(c.facts for c in part), numbers(part, unit))
            for band, part in sorted((_by_band(counts) if unit == "rpm" else {}).items())
        ),
    )


def numbers(counts: Iterable[Count], unit: str | None) -> Numbers | None:
    """The numbers of the counted facts in ``unit``; None where there are none of its measure."""
    measure = SI_UNITS.get(unit or "")
    values: dict[float, int] = defaultdict(int)
    middles: dict[float, int] = defaultdict(int)
    for c in counts:
        if c.low is None or c.high is None or unit is None or c.unit != measure:
            continue
        low, high = _in_unit(c.low, unit), _in_unit(c.high, unit)
        middles[(low + high) / 2] += c.facts
        values[low] += c.facts
        if high != low:
            values[high] += c.facts
    if not values or unit is None:
        return None
    ordered = sorted(values.items())
    return Numbers(unit, ordered[0][0], ordered[-1][0], round(_median(middles), 4), tuple(ordered))


@lru_cache(maxsize=4096)
def _in_unit(number: float, unit: str) -> float:
    # The same numbers come in many groups.
    return round(from_si(number, unit), 4)


def _median(counted: dict[float, int]) -> float:
    """The middle one of numbers given with how often each occurs; the mean of the two middle ones of an even many."""
    total = sum(counted.values())
    reached, lower = 0, None
    for value, count in sorted(counted.items()):
        reached += count
        if lower is None and reached * 2 >= total:
            lower = value
            if reached * 2 > total:
                return value
        elif lower is not None:
            return (lower + value) / 2
    assert lower is not None  # there is at least one number
    return lower


def _by_band(counts: Iterable[Count]) -> dict[int, list[Count]]:
    """The counted facts in groups of those alike in number, by the band of the piece's diameter."""
    alike: dict[tuple[float | None, float | None, str | None], list[str]] = defaultdict(list)
    for c in counts:
        if c.bands:
            alike[c.low, c.high, c.unit].append(c.bands)
    parts: dict[int, list[Count]] = defaultdict(list)
    for (low, high, unit), bands in alike.items():
        for band, n in Counter(",".join(bands).split(",")).items():
            parts[int(band)].append(Count(None, None, low, high, unit, n))
    return parts


def _groups(counts: Sequence[Count], name: Callable[[Count], str | None], unit: str | None) -> tuple[Group, ...]:
    parts: dict[str, list[Count]] = defaultdict(list)
    for c in counts:
        if (n := name(c)) is not None:
            parts[n].append(c)
    groups = [Group(n, sum(c.facts for c in part), numbers(part, unit)) for n, part in parts.items()]
    return tuple(sorted(groups, key=lambda g: (-g.count, g.name)))
