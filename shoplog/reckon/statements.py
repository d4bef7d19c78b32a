"""Facts with their moment and place, as the reckoning works on them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from shoplog.facts import SI_UNITS, Fact, convert
from shoplog.log import KeptFact, Recording
from shoplog.reckon.derived import Input

if TYPE_CHECKING:
    from shoplog.timeline.course import Course

#: Assumed between recordings whose times are not known, seconds: they follow each other, no more is meant.
_GAP = 3600.0
#: The SI unit of the kinds with numbers that are reckoned with.
_COUNTED_IN = {
    "dimension": "m",
    "weight": "kg",
    "temperature": "K",
    "moisture": "%",
    "humidity": "%",
    "speed": "rpm",
    "grit": "grit",
    "duration": "s",
}
_FROM_ZERO = frozenset(_COUNTED_IN) - {"temperature"}
#: Beyond this a number in any unit of the trade is a slip.
_MOST = 1e6
#: What pieces are called.
_PIECES = frozenset(
    ("bowl", "blank", "body", "box", "cup", "dish", "form", "goblet", "outside", "piece", "plate",
     "platter", "pot", "rim", "rough-out", "roughout", "round", "tray", "urn", "vase", "vessel", "work")
)  # fmt: skip
#: What is measured besides the piece itself: a diameter of one of these is not the piece's.
_OTHER_PARTS = frozenset(
    ("base", "bead", "bit", "bottom", "branch", "burl", "button", "center", "centre", "chuck", "collar",
     "cove", "crack", "dimple", "disc", "dowel", "drill", "end", "faceplate", "finial", "foot", "gap",
     "groove", "handle", "hole", "hollow", "inlay", "insert", "jaw", "jaws", "knob", "knot", "lid", "limb",
     "log", "mortise", "mouth", "neck", "nub", "opening", "pad", "pen", "pin", "plug", "post", "rabbet",
     "recess", "ring", "screw", "shaft", "shoulder", "spigot", "stem", "tenon", "tongue", "tool", "top",
     "tree", "trunk", "void", "wall", "waste")
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Stated:
    """One fact of the project. ``order`` places it among the others, seconds on a scale of the project's own;
    ``when`` is its moment, None where the recording's is not known.
    """

    fact: Fact
    recording_id: int
    order: float
    when: datetime | None = None
    piece: int | None = None
    fact_id: int | None = None

    def input(self) -> Input:
        """The fact as an input of a reckoning."""
        f = self.fact
        where = "" if f.status == "done" else f.status
        return Input(f.value, f.unit, "stated", where, f.low, f.high, self.recording_id, f.start, self.fact_id)

    @property
    def ends(self) -> tuple[float, ...]:
        """The stated number, or both ends of the stated range, in its own unit; empty where none was stated."""
        f = self.fact
        return (f.value,) if f.value is not None else tuple(n for n in (f.low, f.high) if n is not None)

    def in_unit(self, unit: str) -> float | None:
        """The number in ``unit``; the middle of a range."""
        ends, said = self.ends, self.fact.unit
        return convert(sum(ends) / len(ends), said, unit) if ends and said else None


@dataclass(frozen=True, slots=True)
class Begin:
    """Where a recording begins on the project's own scale, seconds, and when, None where that is not known."""

    order: float
    when: datetime | None


def begins(recordings: Iterable[Recording], course: Course | None = None) -> dict[int, Begin]:
    """The beginning of every counted recording, by id; from ``course`` where given, else as its camera says.

    A recording without a time follows the one before.
    """
    found: dict[int, Begin] = {}
    zero: datetime | None = None
    order = 0.0
    for recording in recordings:
        if recording.same_as is not None:
            continue
        started = recording.started
        if course is not None:
            start = course.starts.get(recording.id)
            started = start.moment if start else None
        if started is not None:
            # Cameras write local time with or without a zone; only differences count here.
            started = started.replace(tzinfo=None)
            zero = zero or started - timedelta(seconds=order)
            order = (started - zero).total_seconds()
        found[recording.id] = Begin(order, started)
        order += (recording.duration or 0.0) + _GAP
    return found


def statements(
    facts: Iterable[KeptFact], recordings: Iterable[Recording], course: Course | None = None
) -> list[Stated]:
    """The facts of a project in order, other pieces' left out; moments and pieces from ``course`` where given."""
    places = begins(recordings, course)
    found: list[Stated] = []
    for kept in facts:
        fact = kept.fact
        if fact.attrs.get("other_piece") or kept.recording_id not in places:
            continue
        fact = _sound(fact)
        begin = places[kept.recording_id]
        when = None if begin.when is None else begin.when + timedelta(seconds=fact.start)
        place = course.operations.get(kept.id) if course else None
        piece = place.piece if place else kept.piece
        found.append(Stated(fact, kept.recording_id, begin.order + fact.start, when, piece, kept.id))
    return sorted(found, key=lambda s: s.order)


def _sound(fact: Fact) -> Fact:
    """The fact without numbers that its kind cannot have: of another dimension, endless, or a size not above zero.

    What was misheard or mistyped as such stays a statement; nothing is reckoned from it.
    """
    if fact.kind not in _COUNTED_IN:
        return fact
    numbers = [n for n in (fact.value, fact.low, fact.high) if n is not None]
    if not numbers:
        return fact
    least = 0.0 if fact.kind in _FROM_ZERO else -math.inf
    right = SI_UNITS.get(fact.unit or "") == _COUNTED_IN[fact.kind]
    if right and all(least < n < _MOST or (n == 0 and fact.kind in ("moisture", "humidity")) for n in numbers):
        return fact
    return replace(fact, value=None, low=None, high=None)


def by_piece(stated: Sequence[Stated]) -> dict[int | None, list[Stated]]:
    """The statements of each piece, with those that belong to none in particular; one key, None, for a single piece."""
    numbers = sorted({s.piece for s in stated if s.piece is not None})
    if len(numbers) < 2:
        return {None: list(stated)}
    return {number: [s for s in stated if s.piece in (number, None)] for number in numbers}


def done(stated: Iterable[Stated], kind: str) -> list[Stated]:
    """What was so, of a kind."""
    return [s for s in stated if s.fact.kind == kind and s.fact.status == "done"]


def surely_of_the_piece(stated: Stated) -> bool:
    """Whether a dimension is said of the piece by a name that pieces go by, or of nothing in particular."""
    of = str(stated.fact.attrs.get("of") or "").lower().split()
    return not of or of[-1] in _PIECES


def of_the_piece(stated: Stated) -> bool:
    """Whether a dimension is of the piece as a whole and not of a hole, a tenon or a tool."""
    of = str(stated.fact.attrs.get("of") or "").lower().split()
    return not of or of[-1] not in _OTHER_PARTS
