"""The course of one project's work, as plain values: what ``timeline.course`` finds and everything after it reads.

Facts are named by the id of their ``KeptFact``. Moments are wall times of the shop without a time zone; None where
neither a recording's creation time nor spoken words give a date. Lengths of time are seconds.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Literal, NamedTuple

from shoplog.log import Stage

#: container: the camera's clock. file: the file's date. spoken: what the maker said. order: from its neighbours.
ClockSource = Literal["container", "file", "spoken", "order"]
ContradictionKind = Literal[
    "camera clock", "spoken time", "spoken date", "days between", "weekday", "order of recordings"
]
PlanVerdict = Literal["kept", "changed", "not heard of again"]
DefectState = Literal["seen", "worse", "stable", "gone", "repaired", "reopened"]


class Place(NamedTuple):
    """Where in the work a fact belongs; both None where nothing tells (and ``piece`` for another project's piece)."""

    operation: str | None
    piece: int | None


@dataclass(frozen=True, slots=True)
class Start:
    """When a recording began. ``day`` numbers the days of the project from 1; ``moment`` is None if undated."""

    recording_id: int
    day: int
    moment: datetime | None = None
    source: ClockSource = "order"


@dataclass(frozen=True, slots=True)
class Spent:
    """Seconds spent. ``working``: recorded. ``machine``: recorded with a machine running. ``waiting``: between
    recordings of a day, or until the next recording where the operation is one that waits. ``elapsed``: the sum of
    working and waiting, for a day from its first moment to its last."""

    elapsed: float = 0.0
    working: float = 0.0
    machine: float = 0.0
    waiting: float = 0.0


@dataclass(frozen=True, slots=True)
class Day:
    """One day of the work. ``number`` counts calendar days from the first (1) where dates or stated jumps give them."""

    number: int
    date: date | None
    recordings: tuple[int, ...]
    spent: Spent
    operations: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Two statements about time that cannot both be true: in words, with the facts and recordings that say so."""

    kind: ContradictionKind
    words: str
    fact_ids: tuple[int, ...] = ()
    recording_ids: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Plan:
    """A planned fact and what became of it. ``deed`` is the fact that tells, None where only the clock does."""

    planned: int
    deed: int | None
    verdict: PlanVerdict
    words: str


@dataclass(frozen=True, slots=True)
class DefectEvent:
    """What was said of a defect at one moment. ``size`` in ``unit`` if stated; ``glue`` and ``clamped`` (seconds that
    the repair was left) for repairs."""

    fact_id: int
    change: DefectState
    size: float | None = None
    unit: str | None = None
    glue: str | None = None
    clamped: float | None = None


@dataclass(frozen=True, slots=True)
class Defect:
    """One defect through the project. ``where`` is the stated place, None if none was; ``state`` is how it ends."""

    item: str
    where: str | None
    piece: int
    events: tuple[DefectEvent, ...]
    state: DefectState

    @property
    def sizes(self) -> tuple[tuple[int, float, str | None], ...]:
        """(fact id, size, unit) of every event with a stated size, in order."""
        return tuple((e.fact_id, e.size, e.unit) for e in self.events if e.size is not None)

    @property
    def glues(self) -> tuple[str, ...]:
        """The glues of its repairs, in order, each once."""
        return tuple(dict.fromkeys(e.glue for e in self.events if e.glue))


@dataclass(frozen=True, slots=True)
class Reading:
    """A moisture reading (``%``) or a weight as stated; ``low`` and ``high`` instead of ``value`` for a range."""

    fact_id: int
    kind: Literal["moisture", "weight"]
    value: float | None
    low: float | None
    high: float | None
    unit: str | None
    day: int
    moment: datetime | None = None
    where: str | None = None
    method: str | None = None
    piece: int = 1
    status: str = "done"


@dataclass(frozen=True, slots=True)
class Course:
    """The whole course of a project. See ``timeline.course``.

    ``operations``, ``moments``, ``days_of`` (day numbers) and ``dates`` have an entry for every fact of the project's
    counted recordings; a date may be known where the hour, and so the moment, is not.
    ``spoken_of`` gives, for clock facts, the moment that they speak of (a planned return lies ahead of the moment at
    which it was said). ``spent`` is by operation, in the trade's order.
    """

    stages: tuple[Stage, ...] = ()
    operations: Mapping[int, Place] = field(default_factory=dict)
    starts: Mapping[int, Start] = field(default_factory=dict)
    moments: Mapping[int, datetime | None] = field(default_factory=dict)
    spoken_of: Mapping[int, datetime] = field(default_factory=dict)
    days_of: Mapping[int, int] = field(default_factory=dict)
    dates: Mapping[int, date | None] = field(default_factory=dict)
    days: tuple[Day, ...] = ()
    spent: Mapping[str, Spent] = field(default_factory=dict)
    contradictions: tuple[Contradiction, ...] = ()
    plans: tuple[Plan, ...] = ()
    defects: tuple[Defect, ...] = ()
    readings: tuple[Reading, ...] = ()
    pieces: int = 1
