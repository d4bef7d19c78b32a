"""The families of facts: one module for each, with a function that reads candidates off a `Reading`.

To add a kind: a module here with a function ``candidates(reading)``, its words in a data file, a table of cases in
``tests/extract/cases``, and its name in `FAMILIES`. The order is the one in which they may look at each other's finds;
which candidate gets a number that two families want is decided by their scores (`assemble`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from shoplog.extract.kinds import (
    adhesive,
    climate,
    clock,
    credit,
    defect,
    dimension,
    duration,
    finish,
    followup,
    moisture,
    ppe,
    rate,
    species,
    tool,
    weight,
    workholding,
)
from shoplog.extract.reading import Candidate, Reading

FAMILIES: tuple[Callable[[Reading], Iterable[Candidate]], ...] = (
    followup.candidates,
    credit.candidates,
    clock.candidates,
    tool.candidates,
    defect.candidates,
    workholding.candidates,
    dimension.candidates,
    rate.candidates,
    moisture.candidates,
    climate.candidates,
    duration.candidates,
    weight.candidates,
    species.candidates,
    finish.candidates,
    adhesive.candidates,
    ppe.candidates,
)


def candidates(reading: Reading) -> Iterator[Candidate]:
    """What all families read, in their order."""
    for family in FAMILIES:
        yield from family(reading)
