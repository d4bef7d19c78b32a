"""How fast the rim runs, and what a turned diameter times its speed is held to be."""

from __future__ import annotations

import math
from typing import Literal

from shoplog.facts import convert
from shoplog.reckon.derived import CannotCompute

SOURCE_RIM = "arithmetic"
FORMULA_RIM = "v = π D N"
SOURCE_BAND = "common practice, no source"
FORMULA_BAND = "D (in) × rpm"
#: Inches times rpm, customary for bowl and faceplate work: rough, wet, cracked or unbalanced work stays at the low end.
BAND = (6000.0, 9000.0)
#: Below this diameter it is spindle work, for which no band is customary.
SLENDER_IN = 3.0
GRAVITY = 9.80665

Place = Literal["below", "within", "above"]


def rim_speed(diameter_m: float, rpm: float) -> float:
    """Speed of the rim in m/s. Raises CannotCompute where diameter or speed is not above zero."""
    if not (diameter_m > 0 and rpm > 0):
        raise CannotCompute("the diameter and the speed must be above zero")
    return math.pi * diameter_m * rpm / 60


def feet_per_minute(metres_per_second: float) -> float:
    """m/s in ft/min."""
    return convert(metres_per_second, "m", "ft") * 60


def rim_acceleration(diameter_m: float, rpm: float) -> float:
    """Acceleration of the rim in multiples of gravity: what pulls a loose piece outward. It grows as speed squared."""
    if not (diameter_m > 0 and rpm >= 0):
        raise CannotCompute("the diameter and the speed must be above zero")
    return (2 * math.pi * rpm / 60) ** 2 * diameter_m / 2 / GRAVITY


def product(diameter_m: float, rpm: float) -> float:
    """Diameter in inches times rpm."""
    if not (diameter_m > 0 and rpm > 0):
        raise CannotCompute("the diameter and the speed must be above zero")
    return convert(diameter_m, "m", "in") * rpm


def place_in_band(inch_rpm: float) -> Place:
    """Where a product of diameter and speed lies against the customary band."""
    return "below" if inch_rpm < BAND[0] else "above" if inch_rpm > BAND[1] else "within"


def customary_speeds(diameter_m: float) -> tuple[float, float]:
    """The rpm (low, high) that the band gives for a diameter."""
    if not diameter_m > 0:
        raise CannotCompute("the diameter must be above zero")
    inches = convert(diameter_m, "m", "in")
    return BAND[0] / inches, BAND[1] / inches
