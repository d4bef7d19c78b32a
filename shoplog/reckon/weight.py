"""Specific gravity, density, weight and moisture of wood (US Wood Handbook, ch. 4; moisture on the dry basis)."""

from __future__ import annotations

import math

from shoplog.reckon.derived import CannotCompute
from shoplog.reckon.moisture import FIBRE_SATURATION

SOURCE_DENSITY = "US Wood Handbook FPL-GTR-282 (2021) eq. 4-9 to 4-14"
SOURCE_MOISTURE = "definition of moisture content on the dry basis"
FORMULA_DENSITY = "weight = 1000 kg/m³ · Gx (1 + x/100) · volume, Gx = Gb / (1 - Sv (1 - x/30)/100)"
FORMULA_MOISTURE = "M = (W/W0)(100 + M0) - 100"
FORMULA_START = "M = 100 W/Wod - 100, Wod = 100 W1/(100 + E)"
WATER_KG_M3 = 1000.0
#: Specific gravity of the cell wall itself; sets how much water wood can hold.
CELL_WALL = 1.54
BASIC_GRAVITY = (0.1, 1.1)
#: A rough-out has settled when it lost less than this part of its weight over at least this many days. Weighings
#: further apart than the last number that differ say nothing of the end of that time.
SETTLED_FRACTION, SETTLED_DAYS, APART_DAYS = 0.005, 7.0, 28.0
#: Points by which arithmetic may miss a limit before it is a contradiction.
_ROUNDING = 1e-6
SOURCE_SETTLED = "common practice, no source"


def max_moisture(basic_gravity: float) -> float:
    """The most water wood can hold, %: eq. 4-3. Raises CannotCompute for a gravity outside 0.1 to 1.1."""
    _check_gravity(basic_gravity)
    return 100 * (CELL_WALL - basic_gravity) / (CELL_WALL * basic_gravity)


def gravity_at(basic_gravity: float, moisture: float, volumetric: float | None = None) -> float:
    """Specific gravity on the volume at ``moisture`` %, from oven-dry mass over green volume.

    ``volumetric`` is the shrinkage of volume from green to oven dry, %; without it 26.5 Gb (eq. 4-12). Raises
    CannotCompute for a gravity outside 0.1 to 1.1 or a moisture beyond what the wood can hold.
    """
    _check_moisture(basic_gravity, moisture)
    if moisture >= FIBRE_SATURATION:
        return basic_gravity
    shrinkage = (26.5 * basic_gravity if volumetric is None else volumetric) * (1 - moisture / FIBRE_SATURATION)
    return basic_gravity / (1 - shrinkage / 100)


def density(gravity: float, moisture: float) -> float:
    """Density with its water, kg/m³: eq. 4-14. ``gravity`` must be on the volume at the same ``moisture`` %."""
    if not (gravity > 0 and moisture >= 0):
        raise CannotCompute("specific gravity and moisture must not be below zero")
    return WATER_KG_M3 * gravity * (1 + moisture / 100)


def weight(basic_gravity: float, moisture: float, volume_m3: float, volumetric: float | None = None) -> float:
    """Weight in kg of ``volume_m3`` of wood at ``moisture`` %, the volume measured at that moisture."""
    if not volume_m3 > 0:
        raise CannotCompute("the size is not above zero")
    return density(gravity_at(basic_gravity, moisture, volumetric), moisture) * volume_m3


def disc_volume(diameter_m: float, thickness_m: float) -> float:
    """Volume of a round blank, m³."""
    return math.pi / 4 * diameter_m**2 * thickness_m


def bowl_volume(diameter_m: float, height_m: float, wall_m: float) -> tuple[float, float, float]:
    """Wood in a bowl of an even wall, m³: (low, likely, high) for a cone, half an ellipsoid and a straight side.

    Raises CannotCompute where the wall leaves no hollow.
    """
    radius = diameter_m / 2
    if not (0 < wall_m < radius and wall_m < height_m):
        raise CannotCompute("the wall is thicker than the bowl is wide or high")
    shell = radius**2 * height_m - (radius - wall_m) ** 2 * (height_m - wall_m)
    return math.pi / 3 * shell, 2 * math.pi / 3 * shell, math.pi * shell


def moisture_from_weight(
    now: float, before: float, moisture_before: float, basic_gravity: float | None = None
) -> float:
    """Moisture now, %, of the same piece that weighed ``before`` at ``moisture_before`` % and weighs ``now``.

    Raises CannotCompute where the weights contradict the moisture: a result below 0 or above what wood can hold.
    """
    if not (now > 0 and before > 0):
        raise CannotCompute("a weight is not above zero")
    if not moisture_before >= 0:
        raise CannotCompute("the starting moisture is below zero")
    result = now / before * (100 + moisture_before) - 100
    most = max_moisture(basic_gravity or BASIC_GRAVITY[0])
    if result < -_ROUNDING:
        raise CannotCompute(f"the weights and the starting moisture contradict each other: they give {result:.1f} %")
    if result > most + _ROUNDING:
        raise CannotCompute(f"the weights give {result:.0f} %, more than the {most:.0f} % that the wood can hold")
    return max(0.0, result)


def oven_dry_weight(steady: float, settled_moisture: float) -> float:
    """Weight without any water of a piece that stopped at ``steady`` in a shop where wood settles at that moisture."""
    if not (steady > 0 and settled_moisture >= 0):
        raise CannotCompute("a weight or a moisture is below zero")
    return 100 * steady / (100 + settled_moisture)


def moisture_of(now: float, oven_dry: float) -> float:
    """Moisture, %, of a piece from its weight and its oven-dry weight."""
    return moisture_from_weight(now, oven_dry, 0.0)


def expected_loss(start: float, end: float) -> float:
    """Loss of weight in % when moisture goes from ``start`` to ``end`` %."""
    if not (start >= 0 and end >= 0):
        raise CannotCompute("a moisture is below zero")
    return 100 * (start - end) / (100 + start)


def settled(first: float, second: float, days: float) -> bool | None:
    """Whether two weighings ``days`` apart say that the piece has settled; None where they cannot say."""
    if not (first > 0 and second > 0):
        raise CannotCompute("a weight is not above zero")
    if abs(first - second) / first >= SETTLED_FRACTION:
        return False if days <= APART_DAYS else None
    return True if days >= SETTLED_DAYS else None


def _check_gravity(basic_gravity: float) -> None:
    if not BASIC_GRAVITY[0] <= basic_gravity <= BASIC_GRAVITY[1]:
        raise CannotCompute(f"a specific gravity of {basic_gravity:g} is outside 0.1 to 1.1")


def _check_moisture(basic_gravity: float, moisture: float) -> None:
    most = max_moisture(basic_gravity)
    if not 0 <= moisture <= most:
        raise CannotCompute(f"{moisture:g} % is outside the 0 to {most:.0f} % that the wood can hold")
