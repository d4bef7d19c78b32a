"""A stated fact: the contract between the extractor and everything that reads from it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any, Literal, get_args

Status = Literal["done", "planned", "habit", "reported", "hypothetical", "denied"]
Kind = Literal[
    "speed",
    "tool",
    "grit",
    "moisture",
    "duration",
    "clock",
    "species",
    "defect",
    "dimension",
    "finish",
    "adhesive",
    "workholding",
    "ppe",
    "weight",
    "temperature",
    "humidity",
    "followup",
    "credit",
]
STATUSES: tuple[str, ...] = get_args(Status)
KINDS: tuple[str, ...] = get_args(Kind)

#: Our unit names to pint's. ``grit`` and ``rpm`` are counts of the trade: they have no SI value of their own
#: (a spoken grit does not say which scale it is on; see reckon/abrasives).
PINT_UNITS = {
    "in": "inch",
    "ft": "foot",
    "mm": "millimeter",
    "cm": "centimeter",
    "m": "meter",
    "s": "second",
    "min": "minute",
    "h": "hour",
    "day": "day",
    "week": "week",
    "month": "month",
    "year": "year",
    "g": "gram",
    "kg": "kilogram",
    "oz": "ounce",
    "lb": "pound",
    "degF": "degF",
    "degC": "degC",
    "rpm": "rpm",
    "%": "percent",
}
#: The SI unit in which a stored fact's numbers stand beside the stated ones.
SI_UNITS = {
    **dict.fromkeys(("in", "ft", "mm", "cm", "m"), "m"),
    **dict.fromkeys(("s", "min", "h", "day", "week", "month", "year"), "s"),
    **dict.fromkeys(("g", "kg", "oz", "lb"), "kg"),
    **dict.fromkeys(("degF", "degC"), "K"),
    "rpm": "rpm",
    "%": "%",
    "grit": "grit",
}
UNITS: tuple[str, ...] = tuple(SI_UNITS)


@dataclass(frozen=True, slots=True)
class Fact:
    """One stated fact with its words and the moment at which they were said.

    ``value`` is in ``unit``; a range or sequence has ``low`` and ``high`` instead. ``start`` and ``end`` are seconds
    from the start of the recording; ``quote`` is the words as transcribed. ``attrs`` holds what else was said, per
    kind, and these of our own:

    * ``other_piece``: True for a fact of another piece.
    * ``repaired``: ``[{"heard": ..., "meant": ...}]``, trade words taken for another.
    * ``doubt``: a list of reasons, in words, why the fact needs a listen.
    * ``alternatives``: other readings, each a mapping with the fields that differ.
    """

    kind: Kind
    item: str | None = None
    value: float | None = None
    low: float | None = None
    high: float | None = None
    unit: str | None = None
    approx: bool = False
    status: Status = "done"
    start: float = 0.0
    end: float = 0.0
    quote: str = ""
    attrs: Mapping[str, Any] = field(default_factory=dict)
    confidence: float = 1.0

    def as_json(self) -> dict[str, Any]:
        """The fact as the mapping that ``shoplog facts --json`` prints: every field, in a fixed order."""
        return {name: dict(v) if name == "attrs" else v for name in self.__slots__ for v in (getattr(self, name),)}


#: The units of the trade as pint defines them, exact by the international yard and pound (1959); its own list of a
#: thousand takes as long to read as all else that a first page needs.
_DEFINITIONS = (
    "meter = [length] = m",
    "second = [time] = s",
    "kilogram = [mass] = kg",
    "kelvin = [temperature]; offset: 0 = K",
    "millimeter = 0.001 * meter",
    "centimeter = 0.01 * meter",
    "inch = 0.0254 * meter",
    "foot = 0.3048 * meter",
    "minute = 60 * second",
    "hour = 3600 * second",
    "day = 86400 * second",
    "week = 604800 * second",
    "month = 2629800 * second",
    "year = 31557600 * second",
    "gram = 0.001 * kilogram",
    "pound = 0.45359237 * kilogram",
    "ounce = 0.028349523125 * kilogram",
    "degC = kelvin; offset: 273.15",
    "degF = 5 / 9 * kelvin; offset: 233.15 + 200 / 9",
)


@cache
def _registry() -> Any:
    from pint import UnitRegistry

    registry = UnitRegistry(None, autoconvert_offset_to_baseunit=True)
    registry.load_definitions(_DEFINITIONS)
    return registry


@cache
def _scale(unit: str) -> tuple[float, float]:
    """(factor, offset) that take a number in ``unit`` to SI, read once from pint."""
    if SI_UNITS[unit] == unit:
        return 1.0, 0.0
    registry = _registry()
    zero = registry.Quantity(0.0, PINT_UNITS[unit]).to(SI_UNITS[unit]).magnitude
    one = registry.Quantity(1.0, PINT_UNITS[unit]).to(SI_UNITS[unit]).magnitude
    return one - zero, zero


def to_si(number: float | None, unit: str | None) -> float | None:
    """``number`` in SI (metres, seconds, kilograms, kelvin; rpm, % and grit unchanged), None if there is no number."""
    if number is None or unit is None:
        return None
    factor, offset = _scale(unit)
    return number * factor + offset


def convert(number: float, unit: str, to: str) -> float:
    """``number`` of ``unit`` in unit ``to``; both by our names. Raises ValueError across dimensions."""
    if SI_UNITS[unit] != SI_UNITS[to]:
        raise ValueError(f"cannot convert {unit} to {to}")
    factor, offset = _scale(to)
    si = to_si(number, unit)
    assert si is not None  # both arguments are given
    return (si - offset) / factor
