"""The plots of the project record as SVG text: plain sequences in, a drawing with a description in words out.

They are read in black and white: shapes, line styles, hatching and labels beside the lines tell things apart, never
colour. Moments are days after the first, so that projects without dates are drawn as well; ``start`` names the first.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import chain, groupby, pairwise
from typing import TypeVar

from shoplog.reckon.derived import figure
from shoplog.reckon.speed import BAND, SLENDER_IN
from shoplog.record.svg import WIDTH, Drawing, Panel, Shape, room_for, ticks
from shoplog.times import span

#: More names below the speeds are not read any more; nor are more numbers at marks.
_MOST_NAMES, _MOST_NUMBERS = 20, 24
#: Of more marks than this only the lowest and the highest of each of so many groups are drawn.
_MOST_MARKS, _GROUPS = 160, 60
#: So many passes of sanding are drawn, and so many numbers are told in words.
_MOST_PASSES, _MOST_TOLD = 30, 40
_RIGHT, _TOP, _BOTTOM = WIDTH - 26.0, 18.0, 18.0
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Level:
    """A moisture (%) or a weight at a day after the first."""

    day: float
    value: float


@dataclass(frozen=True, slots=True)
class Fitted:
    """A point of the drying curve: moisture (low, likely, high) at a day."""

    day: float
    low: float
    likely: float
    high: float


@dataclass(frozen=True, slots=True)
class Run:
    """A stated speed in the order of the work; ``diameter`` in inches where known; ``operation`` for its label."""

    rpm: float
    diameter: float | None = None
    operation: str | None = None
    planned: bool = False

    @property
    def band(self) -> tuple[float, float] | None:
        """The customary speeds for the diameter; None where it is not known or too slender for a custom."""
        if self.diameter is None or self.diameter < SLENDER_IN:
            return None
        return BAND[0] / self.diameter, BAND[1] / self.diameter


@dataclass(frozen=True, slots=True)
class Effort:
    """Seconds spent on one operation or day: recorded, of these with a machine running, and waited."""

    label: str
    working: float
    machine: float = 0.0
    waiting: float = 0.0


def _thinned(items: Sequence[T], value: Callable[[T], float]) -> list[T]:
    """The items, of very many only the lowest and the highest of each group of neighbours, in their order."""
    if len(items) <= _MOST_MARKS:
        return list(items)
    size = math.ceil(len(items) / _GROUPS)
    kept: list[T] = []
    for first in range(0, len(items), size):
        group = range(first, min(first + size, len(items)))
        ends = {min(group, key=lambda i: value(items[i])), max(group, key=lambda i: value(items[i]))}
        kept += [items[i] for i in sorted(ends)]
    return kept


def _few(count: int) -> str:
    """What is told of so many marks."""
    return f"of {count} the lowest and the highest of each {math.ceil(count / _GROUPS)}" if count > _MOST_MARKS else ""


def moisture(
    meter: Sequence[Level],
    by_weight: Sequence[Level] = (),
    weights: Sequence[Sequence[Level]] = (),
    *,
    weight_unit: str = "g",
    curve: Sequence[Fitted] = (),
    settles: tuple[float, float] | None = None,
    target: float | None = None,
    start: date | None = None,
) -> str:
    """Moisture over the days, with the weights below it where there are any.

    ``weights`` are runs between which wood was cut away: a line joins only those of one run.
    """
    every = [w for run in weights for w in run]
    moist = bool(meter or by_weight or curve) or not every
    words = _moisture_words(meter, by_weight, every, weight_unit, curve, start)
    heights = [170.0] * moist + [95.0] * bool(every)
    drawing = Drawing(sum(heights) + (_TOP + _BOTTOM) * len(heights), "Moisture and weight over time", words)
    days = [p.day for p in chain(meter, by_weight, every)] + [c.day for c in curve] or [0.0]
    low, high = min(days), max(days)
    across = (low - 1, high + 1) if high - low < 1 else (low - (high - low) * 0.04, high + (high - low) * 0.04)
    top = _TOP
    for height in heights:
        of_moisture = moist and top == _TOP
        numbers = [w.value for w in every]
        if of_moisture:
            numbers = [n for c in curve for n in (c.low, c.high)]
            numbers += [p.value for p in chain(meter, by_weight)] + list(settles or ()) + [target or 0.0, 0.0]
        labels, ends = _labels(numbers, from_zero=of_moisture)
        panel = Panel(drawing, room_for(["00.00"]), top, _RIGHT, top + height, across, ends)
        if of_moisture:
            caption = _moistures(panel, meter, by_weight, curve, settles, target)
        else:
            caption = f"weight, {weight_unit}"
            for run in weights:
                drawing.line(panel.places((w.day, w.value) for w in run))
            _points(panel, every, "diamond", filled=True)
        panel.frame(caption, labels)
        panel.below(_days(across, start))
        top += height + _TOP + _BOTTOM
    return drawing.svg()


def _moistures(
    panel: Panel,
    meter: Sequence[Level],
    by_weight: Sequence[Level],
    curve: Sequence[Fitted],
    settles: tuple[float, float] | None,
    target: float | None,
) -> str:
    """Draw what is known of the moisture; returns the caption."""
    key = ["moisture, %"]
    drawing, (low, high) = panel.drawing, panel.x
    if curve:
        edge = [(c.day, c.low) for c in curve] + [(c.day, c.high) for c in reversed(curve)]
        drawing.area(list(panel.places(edge)))
        drawing.line(panel.places((c.day, c.likely) for c in curve), dash="4 3")
        key.append("dashed: fitted curve and its range")
    if meter:
        _points(panel, meter, "dot", filled=True)
        key.append("dot: meter")
    if by_weight:
        _points(panel, by_weight, "square", filled=False, numbers=not meter)
        key.append("square: by weight")
    if settles is not None:
        # A band that can be seen even where both ends are one number.
        middle, half = sum(settles) / 2, max(max(settles) - min(settles), 0.4) / 2
        (left, top), (right, bottom) = panel.at(low, middle + half), panel.at(high, middle - half)
        drawing.bar(left, top, right - left, bottom - top, hatched=True)
        drawing.words(right, bottom + 9, "settles here", anchor="end", italic=True)
    if target is not None:
        (left, y), (right, _) = panel.at(low, target), panel.at(high, target)
        drawing.line([(left, y), (right, y)], dash="1 3")
        drawing.words(left + 4, y - 3, f"target {figure(target)} %", italic=True)
    return "; ".join(key)


def _labels(numbers: Sequence[float], *, from_zero: bool) -> tuple[list[tuple[float, str]], tuple[float, float]]:
    """Round numbers with their words for an axis that holds all the ``numbers``, and the ends of the axis."""
    low, high = min(numbers, default=0.0), max(numbers, default=0.0)
    low = min(low, 0.0) if from_zero else low - (high - low) * 0.15
    high += (high - low) * 0.1 or 1.0
    steps = ticks(low, high, 6)
    step = steps[1] - steps[0] if len(steps) > 1 else high - low
    steps = [steps[0] - step, *steps] if steps[0] > low + step * 1e-6 else steps
    return [(n, figure(n) or "0") for n in steps], (steps[0], high)


def _points(panel: Panel, levels: Sequence[Level], shape: Shape, *, filled: bool, numbers: bool = True) -> None:
    """Marks with their numbers; of many only the first and the last are numbered."""
    panel.drawing.marks(
        panel.places((p.day, p.value) for p in _thinned(levels, lambda p: p.value)), shape, filled=filled
    )
    for p in () if not (levels and numbers) else levels if len(levels) <= 12 else (levels[0], levels[-1]):
        x, y = panel.at(p.day, p.value)
        panel.drawing.words(x + 4, y - 4, figure(p.value))


def _days(across: tuple[float, float], start: date | None) -> list[tuple[float, str]]:
    """Whole days with their dates, or their numbers where there are none."""
    steps = ticks(*across, 5, whole=True)
    if start is None:
        return [(n, f"day {n:.0f}") for n in steps]
    return [(n, _day_words(n, start)) for n in steps]


def _day_words(day: float, start: date | None) -> str:
    return f"day {day:.0f}" if start is None else (start + timedelta(days=round(day))).isoformat()


def _moisture_words(
    meter: Sequence[Level],
    by_weight: Sequence[Level],
    weights: Sequence[Level],
    unit: str,
    curve: Sequence[Fitted],
    start: date | None,
) -> str:
    parts = []
    for words, levels, of in (("Meter", meter, "%"), ("By weight", by_weight, "%"), ("Weight", weights, unit)):
        if levels:
            said = [f"{figure(p.value)} {of} on {_day_words(p.day, start)}" for p in levels[:_MOST_TOLD]]
            if len(levels) > _MOST_TOLD:
                ends = [figure(end(p.value for p in levels)) for end in (min, max)]
                said.append(f"and {len(levels) - _MOST_TOLD} more; all from {ends[0]} to {ends[1]} {of}")
            few = f"; drawn are {few}" if (few := _few(len(levels))) else ""
            parts.append(f"{words}: {', '.join(said)}{few}.")
    if curve:
        last = curve[-1]
        ends = [figure(last.low), figure(last.high)]
        parts.append(f"The fitted curve ends at {' to '.join(ends)} % on {_day_words(last.day, start)}.")
    return " ".join(parts) or "No reading was stated."


def speeds(runs: Sequence[Run]) -> str:
    """The stated speeds in the order of the work, with the customary band of the diameter they were said at."""
    few = _few(len(runs))
    changes = sum(a.operation != b.operation for a, b in pairwise(runs))
    names = [] if changes > _MOST_NAMES else [(n or "", list(g)) for n, g in groupby(runs, lambda run: run.operation)]
    bottom = 175.0 + _TOP
    low_words = 10 + max((len(n) for n, _ in names), default=0) * 2.6 if len(names) > 2 else 0.0
    drawing = Drawing(bottom + _BOTTOM + low_words, "Speeds over the work", _speed_words(runs))
    tops = [0.0, *(r.rpm for r in runs), *(r.band[1] for r in runs if r.band)]
    labels, ends = _labels(tops, from_zero=True)
    across = (-0.6, max(len(runs), 1) - 0.4)
    panel = Panel(drawing, room_for(["00000"]), _TOP, _RIGHT, bottom, across, ends)
    shown = _thinned(list(enumerate(runs)), lambda pair: pair[1].rpm)
    _band(panel, shown, len(runs))
    drawing.line(panel.places((i, r.rpm) for i, r in shown), 0.5)
    for planned in (False, True):
        some = [(i, r.rpm) for i, r in shown if r.planned is planned]
        drawing.marks(panel.places(some), "triangle" if planned else "dot", filled=not planned)
    for index, run in enumerate(runs) if len(runs) <= _MOST_NUMBERS else ():
        x, y = panel.at(index, run.rpm)
        drawing.words(x, y - 5, f"{run.rpm:.0f}", size=7, anchor="middle")
    notes = ["rpm", *(["grey: customary for the diameter"] if any(r.band for r in runs) else [])]
    notes += ["open triangle: planned"] if any(r.planned for r in runs) else []
    panel.frame("; ".join(notes), labels)
    at, ticked = 0, []
    for name, group in names:
        ticked.append((at + (len(group) - 1) / 2, name))
        at += len(group)
        if at < len(runs):
            x, _ = panel.at(at - 0.5, 0)
            drawing.line([(x, panel.top), (x, panel.bottom)], 0.3)
    panel.below(ticked, turned=len(ticked) > 2)
    if changes > _MOST_NAMES or few:
        words = f"{len(runs)} speeds over {changes + 1} stretches of work" + (f"; drawn are {few}" if few else "")
        drawing.words((panel.left + panel.right) / 2, bottom + low_words + 12, words, anchor="middle")
    return drawing.svg()


def _band(panel: Panel, shown: Sequence[tuple[int, Run]], count: int) -> None:
    """What is customary for each speed's diameter, as steps; a gap where nothing is."""
    places = [i for i, _ in shown]
    edges = [-0.5, *((a + b) / 2 for a, b in pairwise(places)), count - 0.5]
    row = [(run.band, left, right) for (_, run), (left, right) in zip(shown, pairwise(edges), strict=False)]
    for there, group in groupby(row, lambda each: each[0] is not None):
        ends = [(band, left, right) for band, left, right in group if band]
        if there:
            low = [(x, band[0]) for band, left, right in ends for x in (left, right)]
            high = [(x, band[1]) for band, left, right in ends for x in (left, right)]
            panel.drawing.area(list(panel.places([*low, *reversed(high)])))
            for side in (low, high):
                panel.drawing.line(panel.places(side), 0.5, "1 2")


def _speed_words(runs: Sequence[Run]) -> str:
    parts = []
    for run in runs[:60]:
        where = f" for {run.operation}" if run.operation else ""
        band = ""
        if run.band:
            place = "below" if run.rpm < run.band[0] else "above" if run.rpm > run.band[1] else "within"
            band = f", {place} the customary {run.band[0]:.0f} to {run.band[1]:.0f}"
        parts.append(f"{run.rpm:.0f} rpm{where}{' (planned)' if run.planned else ''}{band}")
    few = f", in all {len(runs)}; drawn are {few}" if (few := _few(len(runs))) else ""
    more = f"; and {len(runs) - 60} more{few}" if len(runs) > 60 else ""
    return "In order: " + "; ".join(parts) + more + "." if parts else "No speed was stated."


def grits(passes: Sequence[Sequence[float]], planned: Sequence[float] = ()) -> str:
    """The sanding passes as ladders, coarse to fine, one after the other; ``planned`` grits as an open ladder last."""
    every = [list(p) for p in passes if p]
    ladders = every[:_MOST_PASSES]
    words = [f"Pass {n}: {', '.join(f'{g:.0f}' for g in p)}." for n, p in enumerate(ladders, 1)]
    left_out = f"the first {len(ladders)} of {len(every)} passes" if len(every) > len(ladders) else ""
    words += [f"Drawn and told are {left_out}."] if left_out else []
    words += [f"Planned: {', '.join(f'{g:.0f}' for g in planned)}."] if planned else []
    drawing = Drawing(150.0 + _TOP + _BOTTOM, "Grit ladder", " ".join(words) or "No grit was stated.")
    values = sorted({*planned, *(g for p in ladders for g in p)}) or [100.0]
    labels = [(v, f"{v:.0f}") for v in (values if len(values) <= 9 else [values[0], values[-1]])]
    steps = sum(len(p) + 1 for p in ladders) + len(planned)
    ends = values[0] / 1.15, values[-1] * 1.15
    panel = Panel(drawing, room_for(["00000"]), _TOP, _RIGHT, _TOP + 150, (-0.6, max(steps - 0.4, 1.0)), ends, log=True)
    panel.frame("; ".join(filter(None, ("grit, finer upward", left_out))), labels)
    at = 0
    for ladder, open_ in [*((p, False) for p in ladders), *([(list(planned), True)] if planned else [])]:
        marks = list(enumerate(ladder, at))
        corners = [point for (a, low), (b, high) in pairwise(marks) for point in ((a, low), (b, low), (b, high))]
        drawing.line(panel.places(corners or marks), dash="4 3" if open_ else "")
        drawing.marks(panel.places(marks), "dot", filled=not open_)
        for step, grit in marks if steps <= 2 * _MOST_NUMBERS else ():
            x, y = panel.at(step, grit)
            drawing.words(x, y - 5, f"{grit:.0f}", anchor="middle")
        if open_:
            x, y = panel.at(at, ladder[0])
            drawing.words(x, y + 13, "planned", italic=True)
        at += len(ladder) + 1
    return drawing.svg()


def time_spent(efforts: Sequence[Effort], title: str = "Time spent") -> str:
    """Bars of recorded time, hatched where a machine ran; waits stand in words, since they may be weeks."""
    said = "; ".join(
        f"{e.label}: {span(e.working)} recorded, {span(e.machine)} with a machine running"
        + (f", {span(e.waiting)} waited" if e.waiting >= 60 else "")
        for e in efforts
    )
    bottom = _TOP + 20.0 * max(len(efforts), 1)
    drawing = Drawing(bottom + _BOTTOM, title, f"{said}." if said else "No time was recorded.")
    most = max((e.working for e in efforts), default=0.0) or 1.0
    divisor, unit = (3600.0, "hours") if most >= 5400 else (60.0, "minutes")
    across = (0.0, most / divisor * 1.6)
    left = min(room_for(e.label for e in efforts), WIDTH / 2)
    panel = Panel(drawing, left, _TOP, _RIGHT, bottom, across, (float(max(len(efforts), 1)), 0.0))
    panel.frame(f"recorded {unit}; hatched: machine running", [(n + 0.5, e.label) for n, e in enumerate(efforts)])
    panel.below([(n, figure(n) or "0") for n in ticks(*across, 6)])
    for row, effort in enumerate(efforts):
        machine = min(effort.machine, effort.working)
        (begin, y), (parted, _), (end, _) = (panel.at(t / divisor, row + 0.5) for t in (0.0, machine, effort.working))
        if machine:
            drawing.bar(begin, y - 6, parted - begin, 12, hatched=True)
        drawing.bar(parted, y - 6, end - parted, 12)
        words = span(effort.working) + (f", waited {span(effort.waiting)}" if effort.waiting >= 60 else "")
        drawing.words(end + 4, y + 3, words)
    return drawing.svg()
