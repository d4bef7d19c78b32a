"""Facts found and counted by conditions, grouped in SQL."""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Sequence
from typing import Any, NamedTuple

from shoplog.store.conditions import Condition, where


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


class Count(NamedTuple):
    """Facts that are alike, numbers in SI.

    ``bands`` are the two-inch bands of the piece's diameter, numbered from 0: one for each fact that has one, with
    commas between; only where they were asked for.
    """

    item: str | None
    operation: str | None
    low: float | None
    high: float | None
    unit: str | None
    facts: int
    bands: str | None = None


class Stated(NamedTuple):
    """How many facts were stated, in which recordings, and in groups of those alike in item, operation and number."""

    facts: int
    recordings: set[int]
    counts: list[Count]


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
#: Cues looked through for a word, the newest first.
MOST_CUES = 20000
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
    all_of, values = where(conditions, placed=True)
    other, other_values = _from(others)
    near = "fact.start >= other_start - ? and fact.start <= other_start + ?"
    # Driven from the others, each of which finds its neighbours by their place.
    place = "fact_beside" if any(c.of_kind for c in conditions) else "fact_place"
    sql = (
        "select distinct fact.id from (select recording_id as other_recording, start as other_start, "  # noqa: S608
        f"operation as other_operation from {other}) cross join fact indexed by {place} "
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
    reading, reading_values = where([*readings, Condition("si_high is not null")], placed=True)
    # The smallest is the nearest by the millisecond: of two as near the earlier one, of several at one moment the one
    # next to the fact when they are in order. The last two bits tell which it was.
    nearest = (
        f"select min(cast(abs(start - at) * 1000 as integer) * 4 + iif(start < at, not ({within.sql}), "  # noqa: S608
        f"2 + ({within.sql}))) from fact indexed by fact_beside where {reading} and recording_id = stated_in"
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


def stated(conn: sqlite3.Connection, conditions: Sequence[Condition], *, by_size: bool = False) -> dict[str, Stated]:
    """The facts that meet all conditions, counted by status, and ``by_size`` of the pieces too."""
    facts, values = _from(conditions)
    # Grouped as the index runs: all that is counted of them is counted in one look through the facts.
    band = f"group_concat(cast(size / {_BAND} + 1e-6 as integer))" if by_size else "null"
    sql = (
        "select status, group_concat(recording_id), item, operation, si_low, si_high, si_unit, "  # noqa: S608 - ours
        f"count(*), {band} from {facts} group by kind, item, status, operation, si_unit, si_low, si_high"
    )
    counts: dict[str, list[Count]] = defaultdict(list)
    among: dict[str, list[str]] = defaultdict(list)
    for status, recordings, *alike in rows_of(conn, sql, values):
        counts[status].append(Count._make(alike))
        among[status].append(recordings)
    return {
        status: Stated(sum(c.facts for c in of), set(map(int, set(",".join(among[status]).split(",")))), of)
        for status, of in counts.items()
    }


def wood_counts(conn: sqlite3.Connection, conditions: Sequence[Condition]) -> dict[str, int]:
    """How many facts there are of pieces of each wood; ``BETWEEN`` stands between several woods of one piece."""
    facts, values = _from(conditions)
    sql = f"select wood, count(*) from {facts} and wood != '' group by wood"  # noqa: S608 - our own constants
    return dict(rows_of(conn, sql, values))


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
    return _matching(conn, "cue_fts", match, limit)


def fact_ids(conn: sqlite3.Connection, match: str, limit: int = MOST_CUES) -> list[int]:
    """Numbers of the newest facts whose words match an FTS expression."""
    return _matching(conn, "fact_fts", match, limit)


def _matching(conn: sqlite3.Connection, table: str, match: str, limit: int) -> list[int]:
    # As one text: thousands of rows would take three times as long.
    newest = f"select rowid from {table} where {table} match ? order by rowid desc limit ?"  # noqa: S608 - ours
    found = rows_of(conn, f"select group_concat(rowid) from ({newest})", (match, limit))[0][0]  # noqa: S608 - ours
    return list(map(int, found.split(","))) if found else []
