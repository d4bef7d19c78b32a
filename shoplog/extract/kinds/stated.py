"""A number told by its kind: what it states when its surroundings, and not its family's rules, say what it is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from shoplog.extract.kinds import climate, clock, dimension, duration, moisture, rate
from shoplog.extract.quantities import LENGTH, TIME, WEIGHT, Quantity
from shoplog.extract.reading import Candidate, Reading, numbered
from shoplog.facts import Kind


def stated(
    reading: Reading, quantity: Quantity, kind: Kind, score: float, measure: str | None, claims: Sequence[Candidate]
) -> Iterator[Candidate]:
    """The claim of a number of some kind, none where its unit is another's or can't be told.

    ``measure`` is what a dimension measures; ``claims`` are those around it, from which a unit or the time of day
    that was not said is taken.
    """
    unit = quantity.unit
    if kind in ("speed", "grit") and unit in (None, "rpm", "grit"):
        yield from rate.stated(reading, quantity, kind, score)
    elif kind == "moisture" and unit in (None, "%"):
        yield from moisture.stated(reading, quantity, score)
    elif kind == "humidity" and unit in (None, "%"):
        yield climate.humidity(reading, quantity, score)
    elif kind == "temperature" and unit in (None, "deg", "degC", "degF"):
        yield climate.temperature(reading, quantity, score)
    elif kind == "weight" and (unit in WEIGHT or unit is None):
        unit = unit or _last_unit(quantity, kind, claims)
        if unit:
            yield numbered("weight", quantity, quantity.read("value"), unit, score=score)
    elif kind == "duration" and (unit in TIME or unit is None):
        unit = unit or duration.unsaid(reading, quantity) or _last_unit(quantity, kind, claims)
        if unit:
            yield duration.stated(reading, quantity, unit, score)
    elif kind == "dimension" and measure and (unit in LENGTH or unit is None):
        if not dimension.counts(reading, quantity, measure):
            yield dimension.stated(reading, quantity, measure, score)
    elif kind == "clock" and unit is None and quantity.upper is None:
        yield from clock.stated(reading, quantity, score, claims)


def _last_unit(quantity: Quantity, kind: Kind, claims: Sequence[Candidate]) -> str | None:
    """The unit of the nearest claim of the kind, within a few remarks."""
    near = [c for c in claims if c.kind == kind and c.unit and abs(c.start - quantity.start) < 60]
    return min(near, key=lambda c: abs(c.start - quantity.start)).unit if near else None
