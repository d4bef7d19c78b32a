"""Numbers in SI for comparing, without the units library: a search answers before that is loaded.

The factors are exact by definition (international yard and pound, 1959; calendar month and year as mean lengths).
"""

from __future__ import annotations

from shoplog.facts import SI_UNITS

#: Our unit to (factor, offset) that take it to SI, where it is not its own SI unit.
_SCALES = {
    "in": (0.0254, 0.0),
    "ft": (0.3048, 0.0),
    "mm": (0.001, 0.0),
    "cm": (0.01, 0.0),
    "min": (60.0, 0.0),
    "h": (3600.0, 0.0),
    "day": (86400.0, 0.0),
    "week": (604800.0, 0.0),
    "month": (2629800.0, 0.0),
    "year": (31557600.0, 0.0),
    "g": (0.001, 0.0),
    "oz": (0.028349523125, 0.0),
    "lb": (0.45359237, 0.0),
    "degF": (5 / 9, 459.67 * 5 / 9),
    "degC": (1.0, 273.15),
}
#: The unit in which a bare number of a kind is meant.
KIND_UNITS = {
    "speed": "rpm",
    "grit": "grit",
    "moisture": "%",
    "humidity": "%",
    "tool": "in",
    "workholding": "in",
    "dimension": "in",
    "defect": "in",
    "weight": "lb",
    "temperature": "degF",
    "duration": "min",
}
#: Kinds that a unit names by itself, by the unit's SI unit.
UNIT_KINDS = {"rpm": "speed", "grit": "grit", "%": "moisture", "s": "duration", "kg": "weight", "K": "temperature"}


def si(number: float, unit: str) -> float:
    """``number`` of ``unit`` in the SI unit that facts are stored in."""
    factor, offset = _SCALES.get(unit, (1.0, 0.0))
    return number * factor + offset


def from_si(number: float, unit: str) -> float:
    """The SI number in ``unit``."""
    factor, offset = _SCALES.get(unit, (1.0, 0.0))
    return (number - offset) / factor


def same_dimension(unit: str, other: str) -> bool:
    """Whether both measure the same thing."""
    return SI_UNITS.get(unit) == SI_UNITS.get(other)
