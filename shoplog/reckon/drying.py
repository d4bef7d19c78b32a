"""A drying curve through readings of one piece: M(t) = E + A exp(-k t), with what the readings leave open.

E is where the piece settles (moisture). The curve is fitted to many copies of the readings, each shifted by as much as
a meter, a scale and the climate may be off, and the spread of the copies is the uncertainty. The shifts are drawn from
a fixed seed: the same readings always give the same answer.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from shoplog.reckon.derived import CannotCompute
from shoplog.reckon.moisture import FIBRE_SATURATION

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

SOURCE = "exponential approach to the settled moisture, fitted by least squares; spread by 400 redrawn copies"
FORMULA = "M = E + A exp(-k t)"
#: How far one reading may be off (standard deviation, points of moisture): a pin meter; one above fibre saturation,
#: where pins only say "wet"; a weighing; where the piece settles. Common practice, no source.
METER_POINTS, WET_METER_POINTS, WEIGHT_POINTS, SETTLED_POINTS = 1.0, 5.0, 0.3, 1.0
#: "Dry" where no target was stated: this near to where it settles, points.
NEAR_POINTS = 1.0
#: The part of the copies that a range covers: from the 10th to the 90th percentile.
PERCENTILES = (10.0, 50.0, 90.0)
_COPIES = 400
_RATES_PER_DAY = (1e-4, 2.0)


@dataclass(frozen=True, slots=True)
class Curve:
    """Fitted copies of the curve: (E, A, k per day) each; the first is the fit to the readings as they are."""

    copies: tuple[tuple[float, float, float], ...]

    def at(self, days: float) -> tuple[float, float, float]:
        """Moisture (low, likely, high) ``days`` after the first reading."""
        values = [e + a * math.exp(-k * days) for e, a, k in self.copies]
        low, _, high = _percentiles(values)
        return min(low, values[0]), values[0], max(high, values[0])

    def days_to(self, target: float | None) -> tuple[float, float, float]:
        """Days (early, likely, late) after the first reading until ``target`` % is reached, without one until within a
        point of where it settles. Infinite where the copies do not get there.
        """
        values = []
        for e, a, k in self.copies:
            over = NEAR_POINTS if target is None else target - e
            values.append(max(0.0, math.log(a / over) / k) if over > 0 and k > 0 else math.inf)
        early, _, late = _percentiles(values)
        return min(early, values[0]), values[0], max(late, values[0])


def fit_moistures(
    days: Sequence[float], moistures: Sequence[float], settles: float, settles_spread: float = SETTLED_POINTS
) -> Curve:
    """The curve of three or more meter readings (%, at ``days`` after the first) of a piece that settles at a moisture
    which may be off by ``settles_spread`` points (standard deviation).

    Raises CannotCompute for fewer readings, or readings that do not fall towards where the piece settles.
    """
    import numpy as np

    levels = np.asarray(moistures, float)
    spread = np.where(levels > FIBRE_SATURATION, WET_METER_POINTS, METER_POINTS)
    generator = np.random.default_rng(0)
    copies = levels + spread * _shifts(generator, len(levels))
    return _fit(np.asarray(days, float), copies, spread, settles + settles_spread * _shifts(generator, 1), generator)


def fit_weights(
    days: Sequence[float],
    weights: Sequence[float],
    moisture: float,
    settles: float,
    settles_spread: float = SETTLED_POINTS,
    known: int = 0,
) -> Curve:
    """The curve of three or more weighings of one piece; the one numbered ``known`` was at ``moisture`` %.

    Raises as above.
    """
    import numpy as np

    generator = np.random.default_rng(0)
    weighed = np.asarray(weights, float)
    off = WET_METER_POINTS if moisture > FIBRE_SATURATION else METER_POINTS
    at = moisture + off * _shifts(generator, 1)
    copies = weighed / weighed[known] * (100 + at) - 100 + WEIGHT_POINTS * _shifts(generator, len(weighed))
    ends = settles + settles_spread * _shifts(generator, 1)
    return _fit(np.asarray(days, float), copies, np.full(len(weighed), WEIGHT_POINTS), ends, generator)


def line_to(days: Sequence[float], moistures: Sequence[float], target: float) -> float:
    """Days after the first of two readings at which a straight line through them meets ``target``.

    Wood dries slower and slower, so this is the earliest it can be. Raises CannotCompute where they do not fall.
    """
    (d0, d1), (m0, m1) = days, moistures
    if not (d1 > d0 and m1 < m0):
        raise CannotCompute("the two readings do not fall")
    return d0 + (d1 - d0) * (m0 - target) / (m0 - m1)


def _shifts(generator: np.random.Generator, width: int) -> Floats:
    """Standard normal shifts, one row a copy; the first row is zero: the readings as they are."""
    drawn = generator.standard_normal((_COPIES, width))
    drawn[0] = 0.0
    return drawn


def _fit(days: Floats, copies: Floats, spread: Floats, ends: Floats, generator: np.random.Generator) -> Curve:
    """The curve of each copy. Where the readings lie further from the first than they may be off, all are shifted more:
    then it is the wood that does not follow the curve, and the answer must not be surer than that.
    """
    import numpy as np

    if len(days) < 3 or len(set(days.tolist())) < 3:
        raise CannotCompute("a curve needs three readings on different days")
    amplitudes, rates = _nearest_curves(days, copies, spread, ends)
    if rates[0] <= _RATES_PER_DAY[0] or amplitudes[0] <= 0:
        raise CannotCompute("the readings do not fall towards where the piece settles")
    left = (copies[0] - ends[0] - amplitudes[0] * np.exp(-rates[0] * (days - days[0]))) / spread
    misfit = float((left**2).sum()) / (len(days) - 2)
    if misfit > 1:
        copies = copies + math.sqrt(misfit - 1) * spread * _shifts(generator, len(days))
        amplitudes, rates = _nearest_curves(days, copies, spread, ends)
    fitted = zip(ends[:, 0].tolist(), amplitudes.tolist(), rates.tolist(), strict=True)
    # A copy whose rate ran into the slow end does not dry at all: it never gets there.
    return Curve(tuple((e, a, 0.0 if k <= _RATES_PER_DAY[0] else k) for e, a, k in fitted if a > 0))


def _nearest_curves(days: Floats, copies: Floats, spread: Floats, ends: Floats) -> tuple[Floats, Floats]:
    """Amplitude and rate of the curve nearest to each copy, by least squares."""
    import numpy as np

    rates = np.geomspace(*_RATES_PER_DAY, 400)
    shapes = np.exp(-np.outer(rates, days - days[0])) / spread
    # For each rate the best amplitude is linear; the best rate is that of which the shape explains most.
    norms = (shapes**2).sum(axis=1)
    projections = ((copies - ends) / spread) @ shapes.T
    best = np.argmax(np.where(projections > 0, projections**2 / norms, -1.0), axis=1)
    return projections[np.arange(len(best)), best] / norms[best], rates[best]


def _percentiles(values: Sequence[float]) -> tuple[float, float, float]:
    ordered = sorted(values)
    low, middle, high = (ordered[round(p / 100 * (len(ordered) - 1))] for p in PERCENTILES)
    return low, middle, high
