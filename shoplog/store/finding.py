"""Reading for searches: narrow rows by the thousand, and whole facts only for what is shown."""

from __future__ import annotations

import json
import sqlite3
from collections import Counter
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from shoplog.log import KeptFact, Stage
from shoplog.store import rows


class Line(NamedTuple):
    """A fact as far as conditions need it. ``low`` and ``high`` are in the SI unit ``unit``."""

    id: int
    kind: str
    item: str | None
    status: str
    recording_id: int
    start: float
    low: float | None
    high: float | None
    unit: str | None
    operation: str | None
    piece: int | None
    cue_id: int | None
    other_piece: int
    confidence: float


class Place(NamedTuple):
    """A recording as far as a search needs it; ``day`` is its ISO date, the day it was added where it has none."""

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


_LINE = (
    "select id, kind, item, status, recording_id, start, si_low, si_high, si_unit, operation, piece, cue_id, other_piece, "
    "confidence from fact"
)
_KEPT = "coalesce(verdict, '') != 'reject'"
#: Cues looked through for a word, the newest first.
MOST_CUES = 20000


def places(conn: sqlite3.Connection) -> dict[int, Place]:
    """Recordings that count (no second cameras), by number, in order of time."""
    found = conn.execute(
        "select r.id, r.project_id, p.name, r.name, substr(coalesce(r.started, r.added_at), 1, 10), r.started is not null "
        "from recording r join project p on p.id = r.project_id where r.same_as is null "
        "order by coalesce(r.started, r.added_at), r.id"
    )
    found.row_factory = None
    return {row[0]: Place(*row[:5], bool(row[5])) for row in found}


def items(conn: sqlite3.Connection, kind: str) -> list[str]:
    """The different items of a kind that are in the log."""
    # Walks the index from one item to the next instead of through all facts.
    found, last = [], ""
    while row := conn.execute("select min(item) from fact where kind = ? and item > ?", (kind, last)).fetchone():
        if row[0] is None:
            return found
        last = row[0]
        found.append(last)
    return found


def lines(conn: sqlite3.Connection, kinds: Sequence[str], items: Sequence[str] | None = None) -> list[Line]:
    """Facts of these kinds, of these items if given; rejected ones are left out."""
    where, values = f"kind in ({_marks(kinds)})", list(kinds)
    if items is not None:
        where += f" and item in ({_marks(items)})"
        values += items
    return _lines(conn, f"{_LINE} where {where} and {_KEPT}", values)


def lines_by_id(conn: sqlite3.Connection, ids: Iterable[int]) -> list[Line]:
    """The facts of these numbers."""
    return _lines(conn, f"{_LINE} where id in (select value from json_each(?)) and {_KEPT}", [json.dumps(list(ids))])


def lines_of(conn: sqlite3.Connection, recordings: Iterable[int]) -> list[Line]:
    """All facts of these recordings, in order of time."""
    return _lines(
        conn,
        f"{_LINE} where recording_id in (select value from json_each(?)) and {_KEPT} order by recording_id, start",
        [json.dumps(list(recordings))],
    )


def _lines(conn: sqlite3.Connection, sql: str, values: Sequence[object]) -> list[Line]:
    cursor = conn.execute(sql, values)
    cursor.row_factory = None  # plain tuples: thousands of them
    return [Line._make(row) for row in cursor]


def _marks(values: Sequence[object]) -> str:
    return ", ".join("?" * len(values))


def diameter_parts(conn: sqlite3.Connection) -> dict[int, str]:
    """Of which part each diameter or width was stated, by fact number, where it was said."""
    found = conn.execute(
        "select id, json_extract(attrs, '$.of') from fact where kind = 'dimension' and item in ('diameter', 'width') "
        "and attrs != '{}'"
    )
    found.row_factory = None
    return {row[0]: str(row[1]).lower() for row in found if row[1]}


def facts(conn: sqlite3.Connection, ids: Sequence[int]) -> dict[int, KeptFact]:
    """Whole facts by number."""
    found = conn.execute(f"select * from fact where id in ({_marks(ids)})", list(ids))  # noqa: S608 - question marks only
    return {row["id"]: rows.kept_fact(row) for row in found}


def cue_ids(conn: sqlite3.Connection, match: str) -> list[int]:
    """Numbers of the newest cues that match an FTS expression (`fts_all`)."""
    found = conn.execute(
        "select rowid from cue_fts where cue_fts match ? order by rowid desc limit ?", (match, MOST_CUES)
    )
    found.row_factory = None
    return [row[0] for row in found]


def fact_ids(conn: sqlite3.Connection, match: str, limit: int = 2000) -> list[int]:
    """Numbers of the newest facts whose words match an FTS expression."""
    found = conn.execute(
        "select rowid from fact_fts where fact_fts match ? order by rowid desc limit ?", (match, limit)
    )
    found.row_factory = None
    return [row[0] for row in found]


def spoken(conn: sqlite3.Connection, ids: Sequence[int]) -> list[Spoken]:
    """Cues by their numbers."""
    found = conn.execute(
        f"select id, recording_id, start, text, trust from cue where id in ({_marks(ids)})",  # noqa: S608 - marks only
        list(ids),
    )
    return [Spoken(r["id"], r["recording_id"], r["start"], r["text"], r["trust"] == "doubtful") for r in found]


def stages(conn: sqlite3.Connection, operations: Sequence[str]) -> list[Stage]:
    """The stages of these operations in all recordings (of all operations without any)."""
    where = f"where operation in ({_marks(operations)})" if operations else ""
    found = conn.execute(f"select * from stage {where} order by recording_id, start", list(operations))  # noqa: S608
    return [rows.stage(row) for row in found]


def quoted(words: str) -> str:
    """The words as one FTS phrase that cannot be read as syntax; empty where no letter or digit is in them."""
    plain = "".join(c if c.isalnum() else " " for c in words)
    return '"' + " ".join(plain.split()) + '"' if plain.strip() else ""


def fts_any(ways: Iterable[str]) -> str:
    """One FTS expression for any of several ways of saying a thing."""
    parts = [q for q in (quoted(w) for w in ways) if q]
    return "(" + " OR ".join(parts) + ")" if parts else ""


def fts_all(groups: Iterable[Iterable[str]]) -> str:
    """One FTS expression for all groups, any way of each; empty where nothing can be looked for."""
    return " AND ".join(p for p in (fts_any(g) for g in groups) if p)


def units(conn: sqlite3.Connection, ids: Sequence[int]) -> Counter[str]:
    """How often each unit was stated by these facts."""
    found = conn.execute(f"select unit from fact where unit is not null and id in ({_marks(ids)})", list(ids))  # noqa: S608
    return Counter(row["unit"] for row in found)
