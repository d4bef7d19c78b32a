"""Facts found and counted by conditions, grouped in SQL."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from typing import Any, NamedTuple

from shoplog.store.conditions import MOST_CUES, Condition, one_of, where


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


_RECORDED = "(select coalesce(r.started, r.added_at) from recording r where r.id = recording_id)"
_COATS = "json_extract(attrs, '$.coats')"
#: The orders in which facts are given.
ORDERS = {
    "newest": f"{_RECORDED} desc, recording_id desc, start desc",
    "oldest": f"{_RECORDED}, recording_id, start",
    "highest": f"si_high is null, si_high desc, {_RECORDED} desc, start desc",
    "lowest": f"si_low is null, si_low, {_RECORDED} desc, start desc",
    "most coats": f"{_COATS} is null, {_COATS} desc, {_RECORDED} desc, start desc",
    "fewest coats": f"{_COATS} is null, {_COATS}, {_RECORDED} desc, start desc",
}
_BAND = 0.0508  # two inches in metres


def rows_of(conn: sqlite3.Connection, sql: str, values: Sequence[Any]) -> list[Any]:
    """The rows as plain tuples: there may be thousands."""
    cursor = conn.execute(sql, values)
    cursor.row_factory = None
    return cursor.fetchall()


def _from(conditions: Sequence[Condition]) -> tuple[str, list[Any]]:
    """The facts that meet all conditions, for what follows a "from"."""
    all_of, values = where(conditions)
    return f"fact{' not indexed' if any(c.few for c in conditions) else ''} where {all_of}", values


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
    all_of, values = where(conditions)
    other, other_values = _from(others)
    near = "fact.start >= other_start - ? and fact.start <= other_start + ?"
    # Driven from the others, each of which finds its neighbours by their place.
    sql = (
        "select distinct fact.id from (select recording_id as other_recording, start as other_start, "  # noqa: S608
        f"operation as other_operation from {other}) cross join fact indexed by fact_place "
        f"where {all_of} and fact.recording_id = other_recording and "
        + (f"({near} or fact.operation = other_operation)" if at_work else near)
    )
    return [row[0] for row in rows_of(conn, sql, [*other_values, *values, seconds, seconds])]


def with_reading(
    conn: sqlite3.Connection, conditions: Sequence[Condition], readings: Sequence[Condition], within: Condition
) -> list[tuple[int, bool | None]]:
    """(fact, whether the number is ``within``) for the facts that meet ``conditions``: of the one that meets
    ``readings`` and was stated nearest in time in the same recording, None where none was.
    """
    facts, values = _from(conditions)
    reading, reading_values = where([*readings, Condition("si_high is not null")])
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
    found = rows_of(conn, sql, [*within.values, *within.values, *reading_values, *values])
    return [(fact, None if near is None else near % 4 in (0, 3)) for fact, near in found]


def readings(conn: sqlite3.Connection, conditions: Sequence[Condition], within: Condition) -> list[Reading]:
    """The facts with a number that meet all conditions, in no order; ``within`` is told apart."""
    facts, values = _from([*conditions, Condition("si_high is not null")])
    sql = f"select recording_id, start, {within.sql} from {facts}"  # noqa: S608 - our own constants
    return list(map(Reading._make, rows_of(conn, sql, [*within.values, *values])))


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
    return [row[0] for row in rows_of(conn, sql, [*values, *statuses, limit])]


def stated(conn: sqlite3.Connection, conditions: Sequence[Condition]) -> dict[str, Stated]:
    """How many facts meet all conditions, and in which recordings they were stated, by status."""
    facts, values = _from(conditions)
    # Grouped as the index runs.
    sql = (
        "select status, count(*), group_concat(distinct recording_id) "  # noqa: S608 - our own constants
        f"from {facts} group by kind, item, status"
    )
    found: dict[str, Stated] = {}
    for status, n, among in rows_of(conn, sql, values):
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
    return rows_of(conn, f"select {columns}, count(*) from {facts} group by {columns}", values)  # noqa: S608


def wood_counts(conn: sqlite3.Connection, conditions: Sequence[Condition]) -> dict[str, int]:
    """How many facts there are of pieces of each wood; ``BETWEEN`` stands between several woods of one piece."""
    return {wood: n for wood, n in _grouped(conn, "wood", conditions) if wood}


def some(conn: sqlite3.Connection, conditions: Sequence[Condition]) -> bool:
    """Whether any fact meets all conditions."""
    facts, values = _from(conditions)
    return bool(rows_of(conn, f"select 1 from {facts} limit 1", values))  # noqa: S608 - our own constants


def count(conn: sqlite3.Connection, conditions: Sequence[Condition]) -> int:
    """How many facts meet all conditions."""
    return int(_select(conn, "count(*)", conditions)[0][0])


def _select(conn: sqlite3.Connection, columns: str, conditions: Sequence[Condition]) -> list[Any]:
    facts, values = _from(conditions)
    return rows_of(conn, f"select {columns} from {facts}", values)  # noqa: S608 - our own constants


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


def cue_ids(conn: sqlite3.Connection, match: str, limit: int = MOST_CUES) -> list[int]:
    """Numbers of the newest cues that match an FTS expression (`fts_all`)."""
    sql = "select rowid from cue_fts where cue_fts match ? order by rowid desc limit ?"
    return [row[0] for row in rows_of(conn, sql, (match, limit))]


def fact_ids(conn: sqlite3.Connection, match: str, limit: int = 500) -> list[int]:
    """Numbers of the newest facts whose words match an FTS expression."""
    sql = "select rowid from fact_fts where fact_fts match ? order by rowid desc limit ?"
    return [row[0] for row in rows_of(conn, sql, (match, limit))]
