"""The plots of the project record as SVG text: plain sequences in, a drawing with a description in words out.

They are read in black and white: shapes, line styles, hatching and labels beside the lines tell things apart, never
colour. Moments are days after the first, so that projects without dates are drawn as well; ``start`` names the first.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from shoplog.reckon.derived import figure
from shoplog.reckon.speed import BAND, SLENDER_IN
from shoplog.record.svg import INK, Drawing
from shoplog.times import span

if TYPE_CHECKING:
    from matplotlib.axes import Axes

_PALE: dict[str, Any] = {"facecolor": INK, "edgecolor": "none", "linewidth": 0.0, "alpha": 0.14}


#: More names below the speeds, or more passes, are not read any more.
_MOST_NAMES, _MOST_PASSES = 20, 30


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
    panels = [bool(meter or by_weight or curve), any(weights)]
    heights = tuple(h for h, there in zip((2.6, 1.5), panels, strict=True) if there) or (2.0,)
    with Drawing("moisture", heights) as drawing:
        axes = list(drawing.axes)
        if panels[0]:
            ax = axes.pop(0)
            key = []
            if curve:
                days = [c.day for c in curve]
                ax.fill_between(days, [c.low for c in curve], [c.high for c in curve], **_PALE)
                ax.plot(days, [c.likely for c in curve], color=INK, linewidth=1, linestyle="--")
                key.append("dashed: fitted curve and its range")
            if meter:
                _points(ax, meter, "o", filled=True, above=True)
                key.append("dot: meter")
            if by_weight:
                _points(ax, by_weight, "s", filled=False, above=not meter)
                key.append("square: by weight")
            if settles is not None:
                ax.axhspan(*_thick(settles), facecolor="none", edgecolor=INK, hatch="//////", linewidth=0.4)
                _across(ax, min(settles), "settles here", right=True, below=True)
            if target is not None:
                ax.axhline(target, color=INK, linewidth=1, linestyle=":")
                _across(ax, target, f"target {figure(target)} %", right=False, below=False)
            ax.set_title("; ".join(key), fontsize=8, loc="left", style="italic")
            ax.set_ylabel("moisture, %")
            ax.margins(y=0.12)
            ax.set_ylim(bottom=0)
        if panels[1]:
            ax = axes.pop(0)
            gap = Level(math.nan, math.nan)
            line = [w for run in weights for w in (*run, gap)]
            ax.plot([w.day for w in line], [w.value for w in line], color=INK, linewidth=0.8)
            _points(ax, [w for run in weights for w in run], "D", filled=True, above=True)
            ax.set_ylabel(f"weight, {weight_unit}")
            ax.margins(y=0.2)
        _days(drawing.axes[-1], start)
        return drawing.svg(
            "Moisture and weight over time",
            _moisture_words(meter, by_weight, [w for run in weights for w in run], weight_unit, curve, start),
        )


def _thick(ends: tuple[float, float]) -> tuple[float, float]:
    """A band that can be seen even where both ends are one number."""
    low, high = ends
    return (low, high) if high - low > 0.4 else (low - 0.2, high + 0.2)


def _points(ax: Axes, levels: Sequence[Level], marker: str, *, filled: bool, above: bool) -> None:
    """Markers with their numbers; of many only the first and the last are numbered."""
    ax.plot(
        [p.day for p in levels], [p.value for p in levels], marker=marker, linestyle="", color=INK,
        markerfacecolor=INK if filled else "none",
    )  # fmt: skip
    offset = (4, 4) if above else (4, -11)
    for p in levels if len(levels) <= 12 else (levels[0], levels[-1]):
        ax.annotate(figure(p.value), (p.day, p.value), xytext=offset, textcoords="offset points", fontsize=8)


def _across(ax: Axes, y: float, words: str, *, right: bool, below: bool) -> None:
    """Words at a level, at the left or right end, above or below it."""
    ax.annotate(
        words, (0.99 if right else 0.01, y), xycoords=("axes fraction", "data"), xytext=(0, -2 if below else 2),
        textcoords="offset points", fontsize=8, style="italic", ha="right" if right else "left",
        va="top" if below else "bottom",
    )  # fmt: skip


def _days(ax: Axes, start: date | None) -> None:
    from matplotlib.ticker import FuncFormatter, MaxNLocator

    low, high = ax.get_xlim()
    if high - low < 1:  # one day: a range around it, or the axis would count its hours
        ax.set_xlim(low - 1, high + 1)
    ax.xaxis.set_major_locator(MaxNLocator(nbins=5, integer=True))
    if start is None:
        ax.set_xlabel("days after the first reading")
    else:
        first = start

        def day(x: float, _: Any) -> str:
            return (first + timedelta(days=round(x))).isoformat()

        ax.xaxis.set_major_formatter(FuncFormatter(day))
        ax.tick_params(axis="x", rotation=20)


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
            said = ", ".join(f"{figure(p.value)} {of} on {_day_words(p.day, start)}" for p in levels[:40])
            parts.append(f"{words}: {said}.")
    if curve:
        last = curve[-1]
        ends = f"{figure(last.low)} to {figure(last.high)} %"
        parts.append(f"The fitted curve ends at {ends} on {_day_words(last.day, start)}.")
    return " ".join(parts) or "No reading was stated."


def speeds(runs: Sequence[Run]) -> str:
    """The stated speeds in the order of the work, with the customary band of the diameter they were said at."""
    with Drawing("speeds", (2.9,)) as drawing:
        ax = drawing.axes[0]
        # One step-shaped area: an area for each of a thousand speeds would take seconds to draw.
        ends = [run.band or (math.nan, math.nan) for run in runs]
        edges = [x for index in range(len(runs)) for x in (index - 0.5, index + 0.5)]
        low, high = ([end[side] for end in ends for _ in (0, 1)] for side in (0, 1))
        ax.fill_between(edges, low, high, **_PALE)
        for side in (low, high):
            ax.plot(edges, side, color=INK, linewidth=0.5, linestyle=":")
        for planned, marker, face in ((False, "o", INK), (True, "^", "none")):
            some = [(i, r.rpm) for i, r in enumerate(runs) if r.planned is planned]
            if some:
                ax.plot(*zip(*some, strict=True), marker=marker, linestyle="", color=INK, markerfacecolor=face)
        ax.plot(range(len(runs)), [r.rpm for r in runs], color=INK, linewidth=0.5)
        for index, run in enumerate(runs) if len(runs) <= 24 else ():
            ax.annotate(
                f"{run.rpm:.0f}", (index, run.rpm), xytext=(0, 5), textcoords="offset points", fontsize=7, ha="center"
            )
        _operations(ax, [r.operation for r in runs])
        ax.set_xlim(-0.6, max(len(runs), 1) - 0.4)
        notes = ["grey: customary for the diameter"] if any(r.band for r in runs) else []
        notes += ["open triangle: planned"] if any(r.planned for r in runs) else []
        ax.set_ylabel("rpm")
        tops = [r.rpm for r in runs] + [r.band[1] for r in runs if r.band]
        ax.set_ylim(0, max(tops, default=1000) * 1.15)
        if notes:
            ax.set_title("; ".join(notes), fontsize=8, loc="left", style="italic")
        return drawing.svg("Speeds over the work", _speed_words(runs))


def _operations(ax: Axes, operations: Sequence[str | None]) -> None:
    """Each run of one operation gets its name once, in the middle below it."""
    changes = sum(a != b for a, b in pairwise(operations))
    ticks: list[float] = []
    labels: list[str] = []
    begin = 0
    if changes > _MOST_NAMES:
        ax.set_xlabel(f"{len(operations)} speeds over {changes + 1} stretches of work")
        operations = operations[:0]
    for index in range(1, len(operations) + 1):
        if index == len(operations) or operations[index] != operations[begin]:
            ticks.append((begin + index - 1) / 2)
            labels.append(operations[begin] or "")
            if index < len(operations):
                ax.axvline(index - 0.5, color=INK, linewidth=0.3)
            begin = index
    ax.set_xticks(
        ticks, labels, rotation=35 if len(ticks) > 2 else 0, ha="right" if len(ticks) > 2 else "center", fontsize=8
    )


def _speed_words(runs: Sequence[Run]) -> str:
    parts = []
    for run in runs[:60]:
        where = f" for {run.operation}" if run.operation else ""
        band = ""
        if run.band:
            place = "below" if run.rpm < run.band[0] else "above" if run.rpm > run.band[1] else "within"
            band = f", {place} the customary {run.band[0]:.0f} to {run.band[1]:.0f}"
        parts.append(f"{run.rpm:.0f} rpm{where}{' (planned)' if run.planned else ''}{band}")
    more = f"; and {len(runs) - 60} more" if len(runs) > 60 else ""
    return "In order: " + "; ".join(parts) + more + "." if parts else "No speed was stated."


def grits(passes: Sequence[Sequence[float]], planned: Sequence[float] = ()) -> str:
    """The sanding passes as ladders, coarse to fine, one after the other; ``planned`` grits as an open ladder last."""
    from matplotlib.ticker import NullLocator

    every = [list(p) for p in passes if p]
    ladders = every[:_MOST_PASSES]
    with Drawing("grits", (2.4,)) as drawing:
        ax = drawing.axes[0]
        at = 0
        for ladder, open_ in [*((p, False) for p in ladders), *(((list(planned), True),) if planned else ())]:
            steps = range(at, at + len(ladder))
            ax.plot(
                steps, ladder, drawstyle="steps-post", color=INK, linewidth=1, marker="o",
                linestyle="--" if open_ else "-", markerfacecolor="none" if open_ else INK,
            )  # fmt: skip
            for step, grit in zip(steps, ladder, strict=True):
                ax.annotate(
                    f"{grit:.0f}", (step, grit), xytext=(0, 6), textcoords="offset points", fontsize=8, ha="center"
                )
            if open_:
                ax.annotate(
                    "planned", (at, ladder[0]), xytext=(0, -13), textcoords="offset points", fontsize=8, style="italic"
                )
            at += len(ladder) + 1
        ax.set_yscale("log")
        ax.yaxis.set_minor_locator(NullLocator())
        values = sorted({*planned, *(g for p in ladders for g in p)})
        shown = values if len(values) <= 9 else [values[0], values[-1]]
        ax.set_yticks(shown, [f"{v:.0f}" for v in shown])
        ax.set_ylabel("grit, finer upward")
        ax.set_xticks([])
        ax.margins(x=0.06, y=0.15)
        if len(every) > len(ladders):
            ax.set_title(f"the first {len(ladders)} of {len(every)} passes", fontsize=8, loc="left", style="italic")
        words = [f"Pass {n}: {', '.join(f'{g:.0f}' for g in p)}." for n, p in enumerate(ladders, 1)]
        words += [f"Planned: {', '.join(f'{g:.0f}' for g in planned)}."] if planned else []
        return drawing.svg("Grit ladder", " ".join(words) or "No grit was stated.")


def time_spent(efforts: Sequence[Effort], title: str = "Time spent") -> str:
    """Bars of recorded time, hatched where a machine ran; waits stand in words, since they may be weeks."""
    with Drawing("time", (0.7 + 0.3 * max(len(efforts), 1),)) as drawing:
        ax = drawing.axes[0]
        most = max((e.working for e in efforts), default=0.0) or 1.0
        divisor, unit = (3600.0, "hours") if most >= 5400 else (60.0, "minutes")
        for index, effort in enumerate(efforts):
            machine = min(effort.machine, effort.working)
            ax.barh(index, machine / divisor, height=0.6, facecolor="none", edgecolor=INK, hatch="/////", linewidth=0.8)
            ax.barh(
                index, (effort.working - machine) / divisor, left=machine / divisor, height=0.6,
                facecolor="none", edgecolor=INK, linewidth=0.8,
            )  # fmt: skip
            words = span(effort.working) + (f", waited {span(effort.waiting)}" if effort.waiting >= 60 else "")
            ax.annotate(
                words,
                (effort.working / divisor, index),
                xytext=(4, 0),
                textcoords="offset points",
                fontsize=8,
                va="center",
            )
        ax.set_yticks(range(len(efforts)), [e.label for e in efforts])
        ax.invert_yaxis()
        ax.set_xlabel(f"recorded {unit}, hatched: machine running")
        ax.set_xlim(0, most / divisor * 1.6)
        said = "; ".join(
            f"{e.label}: {span(e.working)} recorded, {span(e.machine)} with a machine running"
            + (f", {span(e.waiting)} waited" if e.waiting >= 60 else "")
            for e in efforts
        )
        return drawing.svg(title, f"{said}." if said else "No time was recorded.")
