"""Reading for searches: conditions on facts, counted and grouped in SQL; whole facts only for what is shown."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

from shoplog.log import KeptFact, Stage
from shoplog.store import rows
from shoplog.store.context import BETWEEN, PARTS


@dataclass(frozen=True, slots=True)
class Condition:
    """A part of a where clause on facts. ``name`` is what a person calls it.

    ``few`` facts are named by it, so that these are looked up one by one.
    """

    sql: str
    values: tuple[Any, ...] = ()
    name: str = ""
    few: bool = False


class Line(NamedTuple):
    """A fact as far as it is compared with what stands beside it."""

    id: int
    recording_id: int
    start: float
    operation: str | None
    piece: int | None


class Reading(NamedTuple):
    """A moment at which a number was stated that is or is not ``within`` what was asked for."""

    recording_id: int
    start: float
    within: int


class Stated(NamedTuple):
    """How many facts were stated, and in which recordings."""

    facts: int
    recordings: set[int]


class Count(NamedTuple):
    """Facts that are alike, numbers in SI. ``band`` numbers two-inch bands of the piece's diameter from 0."""

    item: str | None
    operation: str | None
    band: int | None
    low: float | None
    high: float | None
    unit: str | None
    facts: int


class Place(NamedTuple):
    """A recording as it is shown; ``day`` is its ISO date, the day it was added where it is not ``dated``."""

    id: int
    project_id: int
    project: str
    name: str
    day: str
    dated: bool


class Spoken(NamedTuple):
    """A cue as it is shown among the passages."""

    id: int
    recording_id: int
    start: float
    text: str
    doubtful: bool


#: Neither what the maker rejected nor what a second camera saw again is counted.
COUNTED = Condition(
    "verdict is not 'reject' and recording_id not in (select id from recording where same_as is not null)"
)
#: Cues looked through for a word, the newest first.
MOST_CUES = 20000
_DAY = "substr(coalesce(started, added_at), 1, 10)"
_RECORDED = "(select coalesce(r.started, r.added_at) from recording r where r.id = recording_id)"
#: The orders in which facts are given.
ORDERS = {
    "newest": f"{_RECORDED} desc, recording_id desc, start desc",
    "oldest": f"{_RECORDED}, recording_id, start",
    "highest": f"si_high is null, si_high desc, {_RECORDED} desc, start desc",
    "lowest": f"si_low is null, si_low, {_RECORDED} desc, start desc",
}
_BAND = 0.0508  # two inches in metres
#: So many facts are looked up one by one sooner than all of their kind are looked through.
_FEW = 1500
_FEW_RECORDINGS = 100


# ---- conditions
# A plus before a column keeps SQLite from choosing an index by it: the narrow index by kind needs no rows visited.


def one_of(column: str, values: Sequence[Any], name: str = "") -> Condition:
    """``column`` (one of the fact table's own) is one of the values."""
    return Condition(f"{column} in ({_marks(values)})", tuple(values), name)


def number_within(low: float, high: float, unit: str | None, name: str = "") -> Condition:
    """The stated number or range touches ``low`` to ``high`` in the SI unit."""
    return Condition("si_unit is ? and si_high >= ? and si_low <= ?", (unit, low - 1e-9, high + 1e-9), name)


def size_within(low: float, high: float, name: str = "") -> Condition:
    """The piece's diameter is ``low`` to ``high`` metres."""
    return Condition("size >= ? and size <= ?", (low - 1e-9, high + 1e-9), name)


def since(day: str, name: str = "") -> Condition:
    """Stated on this day or later."""
    return Condition(f"+recording_id in (select id from recording where {_DAY} >= ?)", (day,), name)  # noqa: S608


def until(day: str, name: str = "") -> Condition:
    """Stated on this day or before."""
    return Condition(f"+recording_id in (select id from recording where {_DAY} <= ?)", (day,), name)  # noqa: S608


def project_has(words: str, name: str = "") -> Condition:
    """The project's name has these words, any case."""
    inner = "select r.id from recording r join project p on p.id = r.project_id where instr(lower(p.name), lower(?))"
    return Condition(f"+recording_id in ({inner})", (words,), name)


def this_piece(name: str = "") -> Condition:
    """Not of another piece."""
    return Condition("other_piece = 0", (), name)


def numbers(ids: Sequence[int]) -> Condition:
    """The facts of these numbers."""
    if len(ids) < _FEW:
        return Condition("id in (select value from json_each(?))", (json.dumps(list(ids)),), few=True)
    # One mark for each fact there may be: looked up in half the time that a set takes.
    marks = bytearray(max(ids))
    for one in ids:
        marks[one - 1] = 1
    return Condition("substr(?, id, 1) = x'01'", (bytes(marks),))


def recorded(recordings: Iterable[int]) -> Condition:
    """Stated in one of these recordings."""
    wanted = list(recordings)
    column = "recording_id" if len(wanted) < _FEW_RECORDINGS else "+recording_id"
    return Condition(f"{column} in (select value from json_each(?))", (json.dumps(wanted),))  # noqa: S608


def said(match: str) -> Condition:
    """Stated in one of the newest cues that match an FTS expression (`fts_any`), or matching it itself."""
    # The set of them is made quickest in ascending order.
    newest = "(select rowid from (select rowid from {0} where {0} match ? order by rowid desc limit ?) order by rowid)"
    return Condition(
        f"cue_id in {newest.format('cue_fts')} or id in {newest.format('fact_fts')}",
        (match, MOST_CUES, match, MOST_CUES),
    )


def whole_piece() -> Condition:
    """Not stated of a part that has a size of its own."""
    part = "lower(coalesce(json_extract(attrs, '$.of'), ''))"
    return Condition(f"{part} not in ({_marks(tuple(PARTS))})", tuple(sorted(PARTS)))


def _where(conditions: Sequence[Condition]) -> tuple[str, list[Any]]:
    every = (*conditions, COUNTED)  # last, because it says no to few
    return " and ".join(f"({c.sql})" for c in every), [v for c in every for v in c.values]


def _from(conditions: Sequence[Condition]) -> tuple[str, list[Any]]:
    """The facts that meet all conditions, for what follows a "from"."""
    where, values = _where(conditions)
    return f"fact{' not indexed' if any(c.few for c in conditions) else ''} where {where}", values


def _rows(conn: sqlite3.Connection, sql: str, values: Sequence[Any]) -> list[Any]:
    cursor = conn.execute(sql, values)
    cursor.row_factory = None  # plain tuples: there may be thousands
    return cursor.fetchall()


def _marks(values: Sequence[object]) -> str:
    return ", ".join("?" * len(values))


# ---- facts by conditions


def lines(conn: sqlite3.Connection, conditions: Sequence[Condition]) -> list[Line]:
    """The facts that meet all conditions, in no order."""
    return list(map(Line._make, _select(conn, ", ".join(Line._fields), conditions)))


def beside(
    conn: sqlite3.Connection,
    conditions: Sequence[Condition],
    others: Sequence[Condition],
    seconds: float,
    *,
    at_work: bool = False,
) -> list[int]:
    """Numbers of the facts that meet ``conditions`` within seconds of one that meets the ``others``, or, ``at_work``,
    in the same operation of the same recording.
    """
    where, values = _where(conditions)
    other, other_values = _from(others)
    near = "fact.start >= other_start - ? and fact.start <= other_start + ?"
    # Driven from the others, each of which finds its neighbours by their place.
    sql = (
        "select distinct fact.id from (select recording_id as other_recording, start as other_start, "  # noqa: S608
        f"operation as other_operation from {other}) cross join fact indexed by fact_place "
        f"where {where} and fact.recording_id = other_recording and "
        + (f"({near} or fact.operation = other_operation)" if at_work else near)
    )
    return [row[0] for row in _rows(conn, sql, [*other_values, *values, seconds, seconds])]


def with_reading(
    conn: sqlite3.Connection, conditions: Sequence[Condition], readings: Sequence[Condition], within: Condition
) -> list[tuple[int, bool | None]]:
    """(fact, whether the number is ``within``) for the facts that meet ``conditions``: of the one that meets
    ``readings`` and was stated nearest in time in the same recording, None where none was.
    """
    facts, values = _from(conditions)
    reading, reading_values = _where([*readings, Condition("si_high is not null")])
    # The smallest is the nearest by the millisecond: of two as near the earlier one, of several at one moment the one
    # next to the fact when they are in order. The last two bits tell which it was.
    nearest = (
        f"select min(cast(abs(start - at) * 1000 as integer) * 4 + iif(start < at, not ({within.sql}), "  # noqa: S608
        f"2 + ({within.sql}))) from fact where {reading} and recording_id = stated_in"
    )
    sql = (
        f"select fact_id, ({nearest}) from "  # noqa: S608 - our own constants
        f"(select id as fact_id, recording_id as stated_in, start as at from {facts})"
    )
    found = _rows(conn, sql, [*within.values, *within.values, *reading_values, *values])
    return [(fact, None if near is None else near % 4 in (0, 3)) for fact, near in found]


def readings(conn: sqlite3.Connection, conditions: Sequence[Condition], within: Condition) -> list[Reading]:
    """The facts with a number that meet all conditions, in no order; ``within`` is told apart."""
    facts, values = _from([*conditions, Condition("si_high is not null")])
    sql = f"select recording_id, start, {within.sql} from {facts}"  # noqa: S608 - our own constants
    return list(map(Reading._make, _rows(conn, sql, [*within.values, *values])))


def cues_of(conn: sqlite3.Connection, conditions: Sequence[Condition]) -> list[tuple[int, int, int, float]]:
    """(fact, cue, recording, start) of the facts that meet all conditions and stand in a cue."""
    return _select(conn, "id, cue_id, recording_id, start", [*conditions, Condition("cue_id is not null")])


def ids(conn: sqlite3.Connection, conditions: Sequence[Condition]) -> list[int]:
    """Numbers of the facts that meet all conditions, in no order."""
    return [row[0] for row in _select(conn, "id", conditions)]


def first(
    conn: sqlite3.Connection, conditions: Sequence[Condition], statuses: Sequence[str], order: str, limit: int
) -> list[int]:
    """Numbers of the first facts: by status in the order given, then in one of the ORDERS."""
    facts, values = _from(conditions)
    rank = f"case status {' '.join(f'when ? then {n}' for n in range(len(statuses)))} else {len(statuses)} end"
    sql = f"select id from {facts} order by {rank}, {ORDERS[order]} limit ?"  # noqa: S608 - our own constants
    return [row[0] for row in _rows(conn, sql, [*values, *statuses, limit])]


def stated(conn: sqlite3.Connection, conditions: Sequence[Condition]) -> dict[str, Stated]:
    """How many facts meet all conditions, and in which recordings they were stated, by status."""
    facts, values = _from(conditions)
    # Grouped as the index runs.
    sql = (
        "select status, count(*), group_concat(distinct recording_id) "  # noqa: S608 - our own constants
        f"from {facts} group by kind, item, status"
    )
    found: dict[str, Stated] = {}
    for status, n, among in _rows(conn, sql, values):
        before = found.get(status, Stated(0, set()))
        found[status] = Stated(before.facts + n, before.recordings.union(map(int, among.split(","))))
    return found


def tally(conn: sqlite3.Connection, conditions: Sequence[Condition], status: str) -> list[Count]:
    """The facts of one status in groups of those alike in item, operation and number."""
    # Without the plus SQLite would sort instead of going as the index runs.
    of = Condition("+status = ?", (status,))
    return [
        Count(item, operation, None, low, high, unit, n)
        for item, _, operation, unit, low, high, n in _grouped(
            conn, "item, status, operation, si_unit, si_low, si_high", [*conditions, of]
        )
    ]


def by_size(
    conn: sqlite3.Connection, conditions: Sequence[Condition], status: str, kinds: Sequence[str]
) -> list[Count]:
    """The facts of one status, all of these ``kinds``, in groups of those alike in number and size of the piece."""
    # Written out for speeds, which have an index of their own for this.
    own = [Condition("kind = 'speed'")] if tuple(kinds) == ("speed",) else []
    return [
        Count(None, None, None if size is None else int(size / _BAND + 1e-6), low, high, unit, n)
        for size, unit, low, high, n in _grouped(
            conn, "size, si_unit, si_low, si_high", [*conditions, one_of("status", (status,)), *own]
        )
    ]


def _grouped(conn: sqlite3.Connection, columns: str, conditions: Sequence[Condition]) -> list[Any]:
    # Quick where an index of the schema runs in the order of the columns.
    facts, values = _from(conditions)
    return _rows(conn, f"select {columns}, count(*) from {facts} group by {columns}", values)  # noqa: S608


def wood_counts(conn: sqlite3.Connection, conditions: Sequence[Condition]) -> dict[str, int]:
    """How many facts there are of pieces of each wood; ``BETWEEN`` stands between several woods of one piece."""
    return {wood: n for wood, n in _grouped(conn, "wood", conditions) if wood}


def some(conn: sqlite3.Connection, conditions: Sequence[Condition]) -> bool:
    """Whether any fact meets all conditions."""
    facts, values = _from(conditions)
    return bool(_rows(conn, f"select 1 from {facts} limit 1", values))  # noqa: S608 - our own constants


def count(conn: sqlite3.Connection, conditions: Sequence[Condition]) -> int:
    """How many facts meet all conditions."""
    return int(_select(conn, "count(*)", conditions)[0][0])


def _select(conn: sqlite3.Connection, columns: str, conditions: Sequence[Condition]) -> list[Any]:
    facts, values = _from(conditions)
    return _rows(conn, f"select {columns} from {facts}", values)  # noqa: S608 - our own constants


def items(conn: sqlite3.Connection, kind: str) -> list[str]:
    """The different items of a kind that are in the log."""
    return _distinct(conn, "select min(item) from fact where kind = ? and item > ?", kind)


def woods(conn: sqlite3.Connection) -> list[str]:
    """The different woods of pieces; those of a piece of several woods stand together, with BETWEEN between."""
    return _distinct(conn, "select min(wood) from fact where wood > ?")


def _distinct(conn: sqlite3.Connection, sql: str, *values: str) -> list[str]:
    # Walks an index from one value to the next instead of through all facts.
    found, last = [], ""
    while (row := conn.execute(sql, (*values, last)).fetchone()) and row[0] is not None:
        last = row[0]
        found.append(last)
    return found


# ---- what is shown


def facts(conn: sqlite3.Connection, ids: Sequence[int]) -> list[tuple[KeptFact, tuple[str, ...], float | None]]:
    """Whole facts in the order of their numbers as given, with the woods and the diameter (metres) of the piece."""
    found = {
        row["id"]: (rows.kept_fact(row), tuple(w for w in (row["wood"] or "").split(BETWEEN) if w), row["size"])
        for row in conn.execute(
            "select * from fact where id in (select value from json_each(?))", (json.dumps(list(ids)),)
        )
    }
    return [found[i] for i in ids if i in found]


def places(conn: sqlite3.Connection, recordings: Iterable[int] | None = None) -> dict[int, Place]:
    """Recordings by number (all without numbers), in order of time; second cameras are left out."""
    which = "" if recordings is None else "and r.id in (select value from json_each(?))"
    sql = (
        f"select r.id, r.project_id, p.name, r.name, {_DAY}, r.started is not null "  # noqa: S608 - our own constants
        f"from recording r join project p on p.id = r.project_id where r.same_as is null {which} "
        "order by coalesce(r.started, r.added_at), r.id"
    )
    found = _rows(conn, sql, () if recordings is None else (json.dumps(list(recordings)),))
    return {row[0]: Place(row[0], row[1], row[2], row[3], row[4], bool(row[5])) for row in found}


def projects(conn: sqlite3.Connection) -> dict[int, int]:
    """The project of every recording, in order of time; second cameras are left out."""
    sql = "select id, project_id from recording where same_as is null order by coalesce(started, added_at), id"
    return dict(_rows(conn, sql, ()))


def pieces(conn: sqlite3.Connection, recordings: Iterable[int]) -> list[str]:
    """The names of the projects of these recordings, the newest first."""
    sql = (
        "select p.name from recording r join project p on p.id = r.project_id "
        "where r.id in (select value from json_each(?)) "
        "group by p.id order by max(coalesce(r.started, r.added_at)) desc, p.id desc"
    )
    return [row[0] for row in _rows(conn, sql, (json.dumps(list(recordings)),))]


def names_with(conn: sqlite3.Connection, part: str) -> list[tuple[int, str]]:
    """(recording, "project / recording") where this part stands anywhere in that name, in lower case."""
    name = "lower(p.name || ' / ' || r.name)"
    sql = f"select r.id, {name} from recording r join project p on p.id = r.project_id where instr({name}, ?)"  # noqa: S608
    return _rows(conn, sql, (part,))


def cue_ids(conn: sqlite3.Connection, match: str, limit: int = MOST_CUES) -> list[int]:
    """Numbers of the newest cues that match an FTS expression (`fts_all`)."""
    sql = "select rowid from cue_fts where cue_fts match ? order by rowid desc limit ?"
    return [row[0] for row in _rows(conn, sql, (match, limit))]


def cue_starts(conn: sqlite3.Connection, ids: Iterable[int]) -> dict[int, tuple[int, float]]:
    """(recording, start) of cues by number."""
    sql = "select id, recording_id, start from cue where id in (select value from json_each(?))"
    return {row[0]: (row[1], row[2]) for row in _rows(conn, sql, (json.dumps(list(ids)),))}


def fact_ids(conn: sqlite3.Connection, match: str, limit: int = 500) -> list[int]:
    """Numbers of the newest facts whose words match an FTS expression."""
    sql = "select rowid from fact_fts where fact_fts match ? order by rowid desc limit ?"
    return [row[0] for row in _rows(conn, sql, (match, limit))]


def spoken(conn: sqlite3.Connection, ids: Sequence[int]) -> list[Spoken]:
    """Cues by their numbers, the newest first."""
    found = conn.execute(
        f"select id, recording_id, start, text, trust from cue where id in ({_marks(ids)}) order by id desc",  # noqa: S608
        list(ids),
    )
    return [Spoken(r["id"], r["recording_id"], r["start"], r["text"], r["trust"] == "doubtful") for r in found]


def stages(conn: sqlite3.Connection, operations: Sequence[str], recordings: Iterable[int] | None = None) -> list[Stage]:
    """The stages of these operations, in these recordings if given."""
    which = "" if recordings is None else "and recording_id in (select value from json_each(?))"
    sql = f"select * from stage where operation in ({_marks(operations)}) {which} order by recording_id, start"  # noqa: S608
    within = () if recordings is None else (json.dumps(list(recordings)),)
    return [rows.stage(row) for row in conn.execute(sql, [*operations, *within])]


def recordings_of(conn: sqlite3.Connection, woods: Sequence[str]) -> set[int]:
    """The recordings in which something was stated of a piece of one of these woods; ``woods`` as from `woods`."""
    sql = f"select distinct recording_id from fact where wood in ({_marks(woods)})"  # noqa: S608
    return {row[0] for row in _rows(conn, sql, woods)}


def spent(conn: sqlite3.Connection, recordings: Iterable[int]) -> list[tuple[int, str, float]]:
    """(recording, operation, seconds) of every stage of these recordings, in order."""
    sql = (
        'select recording_id, operation, "end" - start from stage '
        "where recording_id in (select value from json_each(?)) order by recording_id, start"
    )
    return [(row[0], row[1], row[2]) for row in _rows(conn, sql, (json.dumps(list(recordings)),))]


def last_cues(conn: sqlite3.Connection, recordings: Iterable[int]) -> list[Spoken]:
    """The last thing said in each of these recordings that was understood."""
    sql = (
        "select max(id) from cue where trust != 'dropped' and recording_id in (select value from json_each(?)) "
        "group by recording_id"
    )
    found = [row[0] for row in _rows(conn, sql, (json.dumps(list(recordings)),))]
    return spoken(conn, found)


# ---- words


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
