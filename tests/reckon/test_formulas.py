"""What the formulas promise for every input: direction, limits, round trips, and a refusal outside their range."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shoplog.facts import convert
from shoplog.reckon import abrasives, drying, moisture, roughout, shrinkage, speed, weight
from shoplog.reckon.derived import CannotCompute, Derived, Input, NotComputed, amount, figure

rooms = st.floats(0, 50)
humidities = st.floats(5, 94)
shrinkages = st.floats(0.1, 15)
bound = st.floats(0, 30)
gravities = st.floats(0.1, 1.1)


@settings(deadline=None)
@given(rooms, humidities, st.floats(0.01, 1))
def test_moister_air_means_moister_wood(temperature: float, humidity: float, more: float) -> None:
    """Equilibrium moisture rises with humidity and stays between oven dry and fibre saturation."""
    drier, wetter = moisture.emc(temperature, humidity), moisture.emc(temperature, humidity + more)
    assert 0 < drier < wetter < moisture.FIBRE_SATURATION


@settings(deadline=None)
@given(shrinkages, st.floats(30, 250))
def test_no_shrinkage_above_fibre_saturation(s0: float, wet: float) -> None:
    """Above 30 % wood does not move."""
    assert shrinkage.from_green(s0, wet) == 0


@settings(deadline=None)
@given(st.floats(1, 1000), bound, bound, shrinkages)
def test_moving_there_and_back(size: float, start: float, end: float, s0: float) -> None:
    """Drying and wetting again by the same points restores the size; the sign follows the moisture."""
    moved = shrinkage.change(size, start, end, s0)
    assert math.copysign(1, moved) == math.copysign(1, end - start) or moved == 0
    assert size == pytest.approx(size + moved + shrinkage.change(size + moved, end, start, s0), rel=1e-9)


@settings(deadline=None)
@given(st.floats(1, 1e5), st.floats(0, 140), st.floats(0, 140))
def test_weight_and_moisture_round_trip(oven_dry: float, start: float, end: float) -> None:
    """The moisture that gave a weight is found again from it."""
    before, now = oven_dry * (1 + start / 100), oven_dry * (1 + end / 100)
    assert end == pytest.approx(weight.moisture_from_weight(now, before, start), abs=1e-6)
    assert now == pytest.approx(before * (1 - weight.expected_loss(start, end) / 100))
    assert oven_dry == pytest.approx(weight.oven_dry_weight(now, end))


@settings(deadline=None)
@given(gravities, st.floats(0, 1))
def test_drier_wood_is_denser_substance_and_lighter(gravity: float, part: float) -> None:
    """The gravity on the current volume never falls in drying; what wood can hold fills it and no more."""
    at = part * weight.max_moisture(gravity)
    assert weight.gravity_at(gravity, at) >= gravity
    full = weight.density(gravity, weight.max_moisture(gravity))
    assert full <= 1000 * 1.54  # no wetter than its own cell walls
    with pytest.raises(CannotCompute):
        weight.gravity_at(gravity, weight.max_moisture(gravity) + 1)


def test_units_agree_with_pint() -> None:
    """Rim speed, pull and density have the units they claim."""
    ureg = pint.UnitRegistry()
    diameter, spin = ureg.Quantity(12, "inch"), ureg.Quantity(600, "rpm")
    rim = (diameter / 2 * spin.to("radian/second")).to("m/s")
    metres = speed.rim_speed(convert(12, "in", "m"), 600)
    assert rim.magnitude == pytest.approx(metres)
    assert rim.to("ft/min").magnitude == pytest.approx(speed.feet_per_minute(metres))
    pull = (spin.to("radian/second") ** 2 * diameter / 2 / ureg.Quantity(1, "standard_gravity")).to_base_units()
    assert pull.magnitude == pytest.approx(speed.rim_acceleration(convert(12, "in", "m"), 600))
    pounds = ureg.Quantity(weight.density(0.40, 12), "kg/m^3").to("lb/ft^3").magnitude
    assert pounds == pytest.approx(27.97, abs=0.01)


@pytest.mark.parametrize(
    ("call", "part"),
    [
        (lambda: moisture.emc(20, 4.9), "5 to 95 %"),
        (lambda: moisture.emc(20, 100), "5 to 95 %"),
        (lambda: moisture.emc(-20, 50), "-1 to 132"),
        (lambda: moisture.emc(math.nan, 50), "°C"),
        (lambda: moisture.emc(20, math.nan), "humidity"),
        (lambda: moisture.settles("shop", Input(60, "degC"), Input(50, "%")), "0 to 50"),
        (lambda: moisture.settles("shop", Input(None, "degC"), Input(50, "%")), "not stated"),
        (lambda: shrinkage.change(10, 31, 8, 7), "0 to 30 %"),
        (lambda: shrinkage.change(10, 20, -1, 7), "0 to 30 %"),
        (lambda: shrinkage.change_by_coefficient(10, 5.9, 8, 0.002), "6 to 14 %"),
        (lambda: shrinkage.change_by_coefficient(10, 8, 14.1, 0.002), "6 to 14 %"),
        (lambda: shrinkage.from_green(7, -1), "cannot be"),
        (lambda: weight.max_moisture(0.05), "0.1 to 1.1"),
        (lambda: weight.gravity_at(0.5, 400), "can hold"),
        (lambda: weight.moisture_from_weight(500, 2000, 30), "contradict"),
        (lambda: weight.moisture_from_weight(9000, 2000, 60, 0.47), "can hold"),
        (lambda: weight.moisture_from_weight(0, 2000, 60), "above zero"),
        (lambda: weight.bowl_volume(0.3, 0.1, 0.2), "thicker"),
        (lambda: weight.settled(0, 1, 7), "above zero"),
        (lambda: speed.rim_speed(0, 600), "above zero"),
        (lambda: speed.rim_speed(0.3, -1), "above zero"),
        (lambda: abrasives.micrometres(12000, "FEPA P"), "no grade"),
        (lambda: abrasives.step(400, 12000), "no table"),
        (lambda: roughout.rough_wall(3.9), "4 to 20"),
        (lambda: roughout.rough_wall(20.1), "4 to 20"),
        (lambda: drying.fit_moistures([0, 10], [28, 20], 9), "three readings"),
        (lambda: drying.fit_moistures([0, 10, 20], [15, 18, 24], 9), "do not fall"),
        (lambda: drying.line_to([0, 10], [20, 21], 10), "do not fall"),
    ],
)
def test_outside_the_range_there_is_no_number(call: Callable[[], object], part: str) -> None:
    """Out of range, out of table and contradictions are refused in words."""
    with pytest.raises(CannotCompute, match=part):
        call()


@pytest.mark.parametrize(
    ("first", "second", "days", "expected"),
    [
        (1600, 1595, 10, True),
        (1600, 1595, 3, None),
        (1600, 1580, 10, False),
        (1600, 1400, 90, None),
        (1600, 1600, 7, True),
        (1600, 1650, 14, False),
    ],
)
def test_settled(first: float, second: float, days: float, expected: bool | None) -> None:
    """Two weighings a week or more apart within half a percent say settled; closer together or far apart they can't."""
    assert expected is weight.settled(first, second, days)


@pytest.mark.parametrize(
    ("sequence", "expected"),
    [
        ([80, 120, 180, 240, 320, 400], ["even"] * 5),
        ([80, 180, 400], ["far", "far"]),
        ([320, 600], ["far on one scale"]),
        ([400, 180, 220], ["back", "even"]),
    ],
)
def test_steps(sequence: list[int], expected: list[str]) -> None:
    """The customary ladder is even; skipping two grades is far on both scales; a coarser grit goes back."""
    found = [abrasives.step(a, b).verdict for a, b in pairwise(sequence)]
    assert expected == found


def test_grain_falls_with_the_number() -> None:
    """On each scale a higher grade is a finer grain."""
    for scale, grades in (("FEPA P", (36, 80, 150, 220, 400, 800, 2500)), ("CAMI", (36, 80, 150, 220, 400, 800, 1000))):
        sizes = [abrasives.micrometres(g, scale) for g in grades]  # type: ignore[arg-type]
        assert sizes == sorted(sizes, reverse=True)


@settings(deadline=None)
@given(st.floats(0.005, 0.08), st.floats(12, 60))
def test_curve_finds_the_rate_that_made_the_readings(rate: float, above: float) -> None:
    """Readings made from a curve give it back, and its dates enclose the true one."""
    days = [0.0, 12.0, 30.0, 55.0, 90.0]
    weights = [1000 * (1 + (9 + above * math.exp(-rate * d)) / 100) for d in days]
    curve = drying.fit_weights(days, weights, 9 + above, 9.0)
    e, a, k = curve.copies[0]
    assert (9.0, above, rate) == pytest.approx((e, a, k), rel=0.05)
    early, likely, late = curve.days_to(12)
    true = math.log(above / 3) / rate
    assert early <= likely <= late
    assert early <= true * 1.02
    assert true <= late * 1.02


def test_curve_is_the_same_every_time_and_opens_with_time() -> None:
    """The same readings give the same answer; the band is widest far from them, and a target below E is never met."""
    curve = drying.fit_moistures([0, 20, 45, 80], [28, 21, 17, 13.5], 9.2)
    assert curve == drying.fit_moistures([0, 20, 45, 80], [28, 21, 17, 13.5], 9.2)
    low, middle, high = curve.at(200)
    assert low <= middle <= high
    assert math.inf == curve.days_to(9.0)[1]


def test_readings_off_the_curve_widen_it() -> None:
    """Weighings that no curve passes through make a wider range than weighings that one does."""
    days = [0.0, 20.0, 45.0, 80.0]
    smooth = [1000 * (1 + (9 + 55 * math.exp(-0.025 * d)) / 100) for d in days]
    rough = [w + off for w, off in zip(smooth, (0, -30, 25, 40), strict=True)]
    widths = []
    for weights in (smooth, rough):
        early, _, late = drying.fit_weights(days, weights, 64, 9.0).days_to(15)
        widths.append(late - early)
    assert widths[0] < widths[1]


def test_line_of_two_readings() -> None:
    """A straight line through two readings meets the target where a ruler says."""
    assert 30 == pytest.approx(drying.line_to([0, 10], [30, 24], 12))


@pytest.mark.parametrize(
    ("number", "expected"),
    [(0.28799, "0.288"), (1885.0, "1885"), (9.24, "9.24"), (0.0069, "0.0069"), (250.4, "250"), (None, ""), ("x", "x")],
)
def test_figures_are_no_finer_than_the_reckoning(number: float | str | None, expected: str) -> None:
    """Three figures, no more."""
    assert expected == figure(number)


def test_results_in_words() -> None:
    """A result says its label; a refusal says why; an open range says from or up to."""
    made = Derived("wall", "in", "D/10", "custom", "rule of thumb", value=1.2)
    assert "wall: 1.2 in (rule of thumb)" == made.sentence()
    assert "from 2026-03-01" == amount(Derived("dry", "date", "", "", "estimate", low="2026-03-01"))
    assert "wall: cannot be computed because it is too big" == NotComputed("wall", "it is too big").sentence()
