"""Conditions on facts: the parts of a where clause that searches are made of, and expressions for words."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from shoplog.store.context import PARTS


@dataclass(frozen=True, slots=True)
class Condition:
    """A part of a where clause on facts, or ``of_recording``, on theirs. ``name`` is what a person calls it.

    ``few`` facts are named by it, so that these are looked up one by one.
    """

    sql: str
    values: tuple[Any, ...] = ()
    name: str = ""
    few: bool = False
    of_recording: bool = False

    @property
    def of_kind(self) -> bool:
        """Whether it says which kinds of facts are meant."""
        return self.sql.startswith("kind in")


#: Neither what the maker rejected nor what a second camera saw again is counted.
COUNTED = (
    Condition("verdict is not 'reject'"),
    Condition("recording_id not in (select id from recording where same_as is not null)"),
)
#: The day of a recording, the day it was added where it has no time of its own.
DAY = "substr(coalesce(started, added_at), 1, 10)"
#: So many facts are looked up one by one sooner than all of their kind are looked through.
_FEW = 1500


def one_of(column: str, values: Sequence[Any], name: str = "") -> Condition:
    """``column`` (one of the fact table's own) is one of the values."""
    return Condition(f"{column} in ({marks(values)})", tuple(values), name)


def claimed(statuses: Sequence[str], name: str = "") -> Condition:
    """Of one of these statuses."""
    if "done" in statuses:
        # With the plus the status stays in the grouping, which then runs in the order of an index.
        return Condition(f"+status in ({marks(statuses)})", tuple(statuses), name)
    # Written out for an index of their own: there are few that were not done.
    return Condition(f"status in ({marks(statuses)}) and status != 'done'", tuple(statuses), name)


def number_within(low: float, high: float, unit: str | None, name: str = "") -> Condition:
    """The stated number or range touches ``low`` to ``high`` in the SI unit."""
    return Condition("si_unit is ? and si_high >= ? and si_low <= ?", (unit, low - 1e-9, high + 1e-9), name)


def at_least(number: float) -> Condition:
    """The largest stated number (SI) is this one or more."""
    return Condition("si_high >= ?", (number,))


def at_most(number: float) -> Condition:
    """The smallest stated number (SI) is this one or less."""
    return Condition("si_low <= ?", (number,))


def size_within(low: float, high: float, name: str = "") -> Condition:
    """The piece's diameter is ``low`` to ``high`` metres."""
    return Condition("size >= ? and size <= ?", (low - 1e-9, high + 1e-9), name)


def since(day: str, name: str = "") -> Condition:
    """Stated on this day or later."""
    return Condition(f"{DAY} >= ?", (day,), name, of_recording=True)


def until(day: str, name: str = "") -> Condition:
    """Stated on this day or before."""
    return Condition(f"{DAY} <= ?", (day,), name, of_recording=True)


def project_has(words: str, name: str = "") -> Condition:
    """The project's name has these words, any case."""
    named = "instr(lower((select p.name from project p where p.id = project_id)), lower(?))"
    return Condition(named, (words,), name, of_recording=True)


def this_piece(name: str = "") -> Condition:
    """Not of another piece."""
    return Condition("other_piece = 0", (), name)


def numbers(ids: Sequence[int]) -> Condition:
    """The facts of these numbers."""
    if len(ids) < _FEW:
        return Condition("id in (select value from json_each(?))", (json.dumps(list(ids)),), few=True)
    return Condition("substr(?, id, 1) = x'01'", (_marked(ids),))


def stated_in(cues: Sequence[int], facts: Sequence[int]) -> Condition:
    """Stated in one of these cues, or one of these facts."""
    return Condition("substr(?, cue_id, 1) = x'01' or substr(?, id, 1) = x'01'", (_marked(cues), _marked(facts)))


def _marked(numbers: Sequence[int]) -> bytes:
    """One mark for each number there may be: looked up in half the time that a set takes."""
    marked = bytearray(max(numbers, default=0))
    for one in numbers:
        marked[one - 1] = 1
    return bytes(marked)


def recorded(recordings: Iterable[int]) -> Condition:
    """Stated in one of these recordings."""
    return Condition("id in (select value from json_each(?))", (json.dumps(list(recordings)),), of_recording=True)


def whole_piece() -> Condition:
    """Not stated of a part that has a size of its own."""
    part = "lower(coalesce(json_extract(attrs, '$.of'), ''))"
    return Condition(f"{part} not in ({marks(tuple(PARTS))})", tuple(sorted(PARTS)))


def of_part(part: str) -> Condition:
    """Stated of this part of the piece."""
    return Condition("instr(lower(coalesce(json_extract(attrs, '$.of'), '')), ?)", (part,))


def where(conditions: Sequence[Condition], *, placed: bool = False) -> tuple[str, list[Any]]:
    """All of them and COUNTED as one expression with its values; ``placed`` where the recording is known already."""
    facts = [c for c in conditions if not c.of_recording]
    recordings = [c for c in conditions if c.of_recording]
    # One look through the recordings for all that is asked of them, by which an index may find the facts, if the plus
    # does not forbid it.
    all_of = " and ".join(f"({c.sql})" for c in recordings)
    plus = "+" if placed else ""
    parts = [f"{plus}recording_id in (select id from recording where {all_of})"] if recordings else []  # noqa: S608
    parts += [f"({c.sql})" for c in (*facts, *COUNTED)]  # these last, because they say no to few
    return " and ".join(parts), [v for c in (*recordings, *facts) for v in c.values]


def marks(values: Sequence[object]) -> str:
    """A question mark for each value."""
    return ", ".join("?" * len(values))


def quoted(words: str) -> str:
    """The words as one FTS phrase that cannot be read as syntax; empty where no letter or digit is in them."""
    plain = "".join(c if c.isalnum() else " " for c in words)
    return '"' + " ".join(plain.split()) + '"' if plain.strip() else ""


def fts_any(ways: Iterable[str]) -> str:
    """One FTS expression for any of several ways of saying a thing; empty where nothing can be looked for."""
    parts = [q for q in (quoted(w) for w in ways) if q]
    return "(" + " OR ".join(parts) + ")" if parts else ""


def fts_all(groups: Iterable[Iterable[str]]) -> str:
    """One FTS expression for all groups, any way of each; empty where nothing can be looked for."""
    return " AND ".join(p for p in (fts_any(g) for g in groups) if p)
