"""What a search shows: whole facts, the recordings and pieces they are of, and what was said."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from shoplog.log import KeptFact, Stage
from shoplog.store import rows
from shoplog.store.conditions import DAY, marks
from shoplog.store.context import BETWEEN
from shoplog.store.finding import rows_of


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
        f"select r.id, r.project_id, p.name, r.name, {DAY}, r.started is not null "  # noqa: S608 - our own constants
        f"from recording r join project p on p.id = r.project_id where r.same_as is null {which} "
        "order by coalesce(r.started, r.added_at), r.id"
    )
    found = rows_of(conn, sql, () if recordings is None else (json.dumps(list(recordings)),))
    return {row[0]: Place(row[0], row[1], row[2], row[3], row[4], bool(row[5])) for row in found}


def projects(conn: sqlite3.Connection) -> dict[int, int]:
    """The project of every recording, in order of time; second cameras are left out."""
    sql = "select id, project_id from recording where same_as is null order by coalesce(started, added_at), id"
    return dict(rows_of(conn, sql, ()))


def in_time(conn: sqlite3.Connection, *, newest: bool) -> Iterator[int]:
    """The recordings in order of time, one by one as far as they are asked for; second cameras are left out."""
    down = "desc" if newest else ""
    sql = f"select id from recording where same_as is null order by coalesce(started, added_at) {down}, id {down}"  # noqa: S608
    return (row[0] for row in conn.execute(sql))


def pieces(conn: sqlite3.Connection, recordings: Iterable[int]) -> list[str]:
    """The names of the projects of these recordings, the newest first."""
    sql = (
        "select p.name from recording r join project p on p.id = r.project_id "
        "where r.id in (select value from json_each(?)) "
        "group by p.id order by max(coalesce(r.started, r.added_at)) desc, p.id desc"
    )
    return [row[0] for row in rows_of(conn, sql, (json.dumps(list(recordings)),))]


def names_with(conn: sqlite3.Connection, part: str) -> list[tuple[int, str]]:
    """(recording, "project / recording") where this part stands anywhere in that name, in lower case."""
    name = "lower(p.name || ' / ' || r.name)"
    sql = f"select r.id, {name} from recording r join project p on p.id = r.project_id where instr({name}, ?)"  # noqa: S608
    return rows_of(conn, sql, (part,))


def cue_starts(conn: sqlite3.Connection, ids: Iterable[int]) -> dict[int, tuple[int, float]]:
    """(recording, start) of cues by number."""
    sql = "select id, recording_id, start from cue where id in (select value from json_each(?))"
    return {row[0]: (row[1], row[2]) for row in rows_of(conn, sql, (json.dumps(list(ids)),))}


def spoken(conn: sqlite3.Connection, ids: Sequence[int]) -> list[Spoken]:
    """Cues by their numbers, the newest first."""
    found = conn.execute(
        f"select id, recording_id, start, text, trust from cue where id in ({marks(ids)}) order by id desc",  # noqa: S608
        list(ids),
    )
    return [Spoken(r["id"], r["recording_id"], r["start"], r["text"], r["trust"] == "doubtful") for r in found]


def stages(conn: sqlite3.Connection, operations: Sequence[str], recordings: Iterable[int] | None = None) -> list[Stage]:
    """The stages of these operations, in these recordings if given."""
    which = "" if recordings is None else "and recording_id in (select value from json_each(?))"
    sql = f"select * from stage where operation in ({marks(operations)}) {which} order by recording_id, start"  # noqa: S608
    within = () if recordings is None else (json.dumps(list(recordings)),)
    return [rows.stage(row) for row in conn.execute(sql, [*operations, *within])]


def recordings_of(conn: sqlite3.Connection, woods: Sequence[str]) -> set[int]:
    """The recordings in which something was stated of a piece of one of these woods; ``woods`` as from `woods`."""
    sql = f"select distinct recording_id from fact where wood in ({marks(woods)})"  # noqa: S608
    return {row[0] for row in rows_of(conn, sql, woods)}


def spent(conn: sqlite3.Connection, recordings: Iterable[int]) -> list[tuple[int, str, float]]:
    """(recording, operation, seconds) of every stage of these recordings, in order."""
    sql = (
        'select recording_id, operation, "end" - start from stage '
        "where recording_id in (select value from json_each(?)) order by recording_id, start"
    )
    return [(row[0], row[1], row[2]) for row in rows_of(conn, sql, (json.dumps(list(recordings)),))]


def last_cues(conn: sqlite3.Connection, recordings: Iterable[int]) -> list[Spoken]:
    """The last thing said in each of these recordings that was understood."""
    sql = (
        "select max(id) from cue where trust != 'dropped' and recording_id in (select value from json_each(?)) "
        "group by recording_id"
    )
    found = [row[0] for row in rows_of(conn, sql, (json.dumps(list(recordings)),))]
    return spoken(conn, found)
