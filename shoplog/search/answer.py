"""What a search gives back, and the summary of the facts found."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from statistics import median

from shoplog.facts import SI_UNITS
from shoplog.log import KeptFact
from shoplog.search.query import Query
from shoplog.search.units import from_si, si

#: Different numbers that are listed one by one; more are told as a range.
MOST_VALUES = 12


@dataclass(frozen=True, slots=True)
class Found:
    """A fact with what surrounds it. ``day`` is the ISO date of the recording, or the day it was added if not
    ``dated``; ``diameter`` of the piece in metres; ``near`` False where a word asked for was not said nearby.
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
    """Numbers in ``unit``, smallest, largest and median; ``values`` each with how often, ascending."""

    unit: str
    low: float
    high: float
    median: float
    values: tuple[tuple[float, int], ...]


@dataclass(frozen=True, slots=True)
class Group:
    """A part of the facts found: by an operation, a diameter, an item or a piece."""

    name: str
    count: int
    numbers: Numbers | None = None


@dataclass(frozen=True, slots=True)
class Summary:
    """What the facts found say together. ``of`` is the status that was summed up: done, else the best there is."""

    of: str
    count: int
    pieces: tuple[str, ...]
    numbers: Numbers | None = None
    items: tuple[Group, ...] = ()
    by_operation: tuple[Group, ...] = ()
    by_diameter: tuple[Group, ...] = ()


@dataclass(frozen=True, slots=True)
class Spent:
    """Recorded seconds of operations of one piece, with the first moment."""

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
    ``unheard`` are words that were not said near any fact found.
    """

    query: Query
    line: str
    found: tuple[Found, ...] = ()
    total: int = 0
    summary: Summary | None = None
    spent: tuple[Spent, ...] = ()
    passages: tuple[Passage, ...] = ()
    excluded: tuple[tuple[str, int], ...] = ()
    unheard: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Counted:
    """A fact as the summary needs it: numbers in SI, ``unit`` as stated."""

    status: str
    item: str | None
    low: float | None
    high: float | None
    unit: str | None
    operation: str | None
    diameter: float | None
    project: str


def numbers(counted: Iterable[Counted], unit: str | None) -> Numbers | None:
    """The numbers in ``unit``; those of another measure are left out. None where there are none."""
    if unit is None:
        return None
    ends, middles = Counter[float](), []
    for c in counted:
        if c.low is None or c.high is None or SI_UNITS.get(c.unit or "") != SI_UNITS[unit]:
            continue
        low, high = (round(from_si(n, unit), 4) for n in (c.low, c.high))
        middles.append((low + high) / 2)
        ends.update({low, high})
    if not middles:
        return None
    values = tuple(sorted(ends.items()))
    return Numbers(unit, values[0][0], values[-1][0], round(median(middles), 4), values)


def summarise(counted: Sequence[Counted], ranks: dict[str, int], units: Counter[str]) -> Summary | None:
    """The facts of the best status among those found, together and in groups; denials only where nothing else is."""
    if not counted:
        return None
    best = min((c.status for c in counted), key=lambda s: ranks.get(s, 9))
    chosen = [c for c in counted if c.status == best]
    unit = units.most_common(1)[0][0] if units else None
    pieces = tuple(dict.fromkeys(c.project for c in chosen))
    return Summary(
        best, len(chosen), pieces, numbers(chosen, unit),
        _groups(chosen, lambda c: c.item, unit),
        _groups(chosen, lambda c: c.operation, unit),
        _groups(chosen, lambda c: size_band(c.diameter), unit, ordered=True),
    )  # fmt: skip


def _groups(counted: Sequence[Counted], name, unit: str | None, ordered: bool = False) -> tuple[Group, ...]:  # type: ignore[no-untyped-def]
    parts: dict[str, list[Counted]] = defaultdict(list)
    for c in counted:
        if (n := name(c)) is not None:
            parts[n].append(c)
    by = sorted(parts) if ordered else sorted(parts, key=lambda n: -len(parts[n]))
    if ordered:
        by.sort(key=lambda n: float(n.split(" ")[0]))
    return tuple(Group(n, len(parts[n]), numbers(parts[n], unit)) for n in by)


def size_band(diameter: float | None) -> str | None:
    """The two-inch band of a diameter in metres: "10 to 12 in"."""
    if diameter is None:
        return None
    low = int(diameter / si(2, "in") + 1e-6) * 2
    return f"{low} to {low + 2} in"
