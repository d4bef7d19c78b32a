"""The moistures and weights of a piece as series over its time, read from what was stated."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from shoplog.reckon.derived import Input
from shoplog.reckon.statements import Stated, done

DAY = 86400.0
#: Readings of one place after the other within so many seconds are one measuring of the piece.
_ONE_MEASURING = 300.0
_CUTTING = frozenset(
    ("bandsaw", "bowl gouge", "carbide tool", "chainsaw", "hollowing tool", "parting tool", "round-nose scraper",
     "scraper", "spindle gouge", "spindle roughing gouge")
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Measured:
    """The moisture of the piece at one measuring, %: the mean of its readings, and their ends."""

    order: float
    percent: float
    low: float
    high: float
    first: Stated
    count: int

    def input(self) -> Input:
        """The measuring as an input of a reckoning."""
        low, high = (None, None) if self.low == self.high else (self.low, self.high)
        words = "" if self.count == 1 else f"mean of {self.count} readings"
        said = self.first
        return Input(
            round(self.percent, 1), "%", "stated", words, low, high, said.recording_id, said.fact.start, said.fact_id
        )


def measurings(stated: Sequence[Stated]) -> list[Measured]:
    """The moisture readings of the piece; those of several places within minutes are one measuring.

    Two numbers without a place in one breath ("went from 52 to 16") are not: the last one said stands.
    """
    groups: list[list[Stated]] = []
    for each in done(stated, "moisture"):
        if not each.ends or not all(0 <= end <= 250 for end in each.ends):
            continue
        last = groups[-1][-1] if groups else None
        if last is None or last.recording_id != each.recording_id or each.order - last.order > _ONE_MEASURING:
            groups.append([each])
            continue
        places = {s.fact.attrs.get("where") for s in groups[-1]}
        place = each.fact.attrs.get("where")
        if place is None or None in places or place in places:
            groups[-1] = [each]
        else:
            groups[-1].append(each)
    found = []
    for group in groups:
        ends = [end for s in group for end in s.ends]
        middle = sum(sum(s.ends) / len(s.ends) for s in group) / len(group)
        found.append(Measured(group[-1].order, middle, min(ends), max(ends), group[0], len(group)))
    return found


def series(stated: Sequence[Stated]) -> list[list[Stated]]:
    """The weighings of the piece, cut wherever wood was turned or sawn off between them."""
    found: list[list[Stated]] = []
    cut = True
    for each in stated:
        fact = each.fact
        if fact.status != "done":
            continue
        if fact.kind == "tool" and fact.item in _CUTTING:
            cut = True
        elif fact.kind == "weight" and each.ends and min(each.ends) > 0:
            if cut:
                found.append([])
            found[-1].append(each)
            cut = False
    return found


def grams_of(stated: Stated) -> float:
    """A stated weight in grams."""
    grams = stated.in_unit("g")
    assert grams is not None  # only weights with a number are in a series
    return grams


def known_moisture(stated: Sequence[Stated], run: Sequence[Stated]) -> tuple[int, Measured] | None:
    """Which weighing of a run has a moisture measured with it (within a day), and that measuring.

    Of several the driest: meters are right below fibre saturation and only say "wet" above it.
    """
    measured = measurings(stated)
    orders = [m.order for m in measured]
    found: list[tuple[int, Measured]] = []
    for index, weighing in enumerate(run):
        first, last = bisect_left(orders, weighing.order - DAY), bisect_right(orders, weighing.order + DAY)
        # Undated recordings stand an hour apart in the order, which says nothing: only the same one counts there.
        found += [
            (index, m)
            for m in measured[first:last]
            if m.first.recording_id == weighing.recording_id or (m.first.when and weighing.when)
        ]
    return min(found, key=lambda pair: (pair[1].percent, abs(pair[1].order - run[pair[0]].order)), default=None)


@dataclass(frozen=True, slots=True)
class Readings:
    """Dated moistures of the piece, % on days after ``start``, by meter or by weight.

    By weight there are ``weights`` (g), and ``known`` is the one whose moisture was measured.
    """

    start: datetime
    days: tuple[float, ...]
    percents: tuple[float, ...]
    weights: tuple[float, ...] = ()
    known: int = 0


def dated(stated: Sequence[Stated]) -> Readings | None:
    """The dated readings for a curve: the weighings where one's moisture was measured, else the meter's."""
    for run in reversed(series(stated)):
        whens = [s.when for s in run if s.when]
        reference = known_moisture(stated, run)
        if reference is not None and len(whens) == len(run) >= 2:
            known, measured = reference
            grams = [grams_of(s) for s in run]
            percents = [g / grams[known] * (100 + measured.percent) - 100 for g in grams]
            return Readings(whens[0], _days(whens), tuple(percents), tuple(grams), known)
    meter = [(m.first.when, m.percent) for m in measurings(stated) if m.first.when]
    if len(meter) < 2:
        return None
    whens = [when for when, _ in meter]
    return Readings(whens[0], _days(whens), tuple(percent for _, percent in meter))


def _days(whens: Sequence[datetime]) -> tuple[float, ...]:
    return tuple((when - whens[0]).total_seconds() / DAY for when in whens)
