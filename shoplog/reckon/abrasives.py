"""Grit numbers as sizes, and the steps of a sanding sequence.

A spoken "four hundred" does not say which scale it is on. It is never turned into micrometres unless the scale was
said; a step between two spoken grits is judged on both scales, and the remark says where they disagree.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

from shoplog.reckon.derived import CannotCompute
from shoplog.trade import rows

Scale = Literal["FEPA P", "CAMI"]
SCALES: tuple[Scale, ...] = ("FEPA P", "CAMI")
SOURCE_SIZES = "ISO 6344 (FEPA P) and ANSI B74.18 (CAMI), grain sizes from memory"
SOURCE_STEPS = "common practice, no source"
#: A step to a grain less than half the size leaves the scratches of the last one.
FAR = 2.0

Verdict = Literal["even", "far", "far on one scale", "back"]


@dataclass(frozen=True, slots=True)
class Step:
    """From one grit to the next. ``low`` and ``high`` are the ratio of grain sizes on the two scales, above 1 finer."""

    start: int
    end: int
    low: float
    high: float
    verdict: Verdict


@cache
def _sizes() -> dict[tuple[str, int], float]:
    return {(r["scale"], int(r["grade"])): float(r["micrometre"]) for r in rows("grits.csv")}


def micrometres(grade: int, scale: Scale) -> float:
    """Grain size of a grade on a scale, µm. Raises CannotCompute for a grade the scale does not have."""
    size = _sizes().get((scale, grade))
    if size is None:
        raise CannotCompute(f"the {scale} table has no grade {grade}")
    return size


def step(start: int, end: int, scale: Scale | None = None) -> Step:
    """The step between two grits; on ``scale`` where it was said, else on each scale that has both.

    Raises CannotCompute where no scale has both.
    """
    ratios = []
    for each in SCALES if scale is None else (scale,):
        if (each, start) in _sizes() and (each, end) in _sizes():
            ratios.append(_sizes()[each, start] / _sizes()[each, end])
    if not ratios:
        raise CannotCompute(f"no table has both {start} and {end}")
    verdict: Verdict = "even"
    if end < start:
        verdict = "back"
    elif min(ratios) > FAR:
        verdict = "far"
    elif max(ratios) > FAR:
        verdict = "far on one scale"
    return Step(start, end, min(ratios), max(ratios), verdict)
