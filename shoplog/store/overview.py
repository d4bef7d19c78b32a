"""Reading what a page shows at a glance: counts, names, what is being heard now, words around a moment."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass

from shoplog.errors import NotFound
from shoplog.log import DOUBT, KeptFact
from shoplog.store import rows
from shoplog.transcript import Cue


@dataclass(frozen=True, slots=True)
class Counts:
    """Recordings by state, facts that need a listen, corrections that stand."""

    waiting: int
    hearing: int
    done: int
    failed: int
    doubtful: int
    corrections: int


def counts(conn: sqlite3.Connection) -> Counts:
    states = dict(conn.execute("select state, count(*) from recording group by state").fetchall())
    doubtful = conn.execute(
        "select count(*) from fact where verdict is null and (confidence < ? "
        "or json_extract(attrs, '$.doubt') is not null)",
        (DOUBT,),
    ).fetchone()[0]
    standing = conn.execute("select count(*) from correction where undone_at is null").fetchone()[0]
    waiting, hearing, done, failed = (states.get(s, 0) for s in ("waiting", "hearing", "done", "failed"))
    return Counts(waiting, hearing, done, failed, doubtful, standing)


def project_names(conn: sqlite3.Connection) -> dict[int, str]:
    """Project numbers to names."""
    return dict(conn.execute("select id, name from project").fetchall())


def project_name(conn: sqlite3.Connection, number: int) -> str:
    """Raises NotFound."""
    row = conn.execute("select name from project where id = ?", (number,)).fetchone()
    if not row:
        raise NotFound(f"There is no project number {number} in the log.")
    return str(row["name"])


def remarks_at(conn: sqlite3.Connection, recording_id: int, start: float, end: float, around: float) -> tuple[Cue, ...]:
    """The kept cues that touch ``start`` to ``end``, and those up to ``around`` seconds before and after."""
    found = conn.execute(
        "select * from cue where recording_id = ? and \"end\" >= ? and start <= ? and trust != 'dropped' order by n",
        (recording_id, start - around, end + around),
    )
    return tuple(rows.cue(r) for r in found)


def remarks(conn: sqlite3.Connection, facts: Iterable[KeptFact]) -> dict[int, str]:
    """The whole remarks in which facts were stated, by the number of the cue."""
    wanted = json.dumps(sorted({k.cue_id for k in facts if k.cue_id is not None}))
    found = conn.execute("select id, text from cue where id in (select value from json_each(?))", (wanted,))
    return dict(found.fetchall())


def items(conn: sqlite3.Connection, kind: str) -> list[tuple[str, int]]:
    """What the facts of a kind are about, the most stated first, with how often; denials and other pieces left out."""
    found = conn.execute(
        "select item, count(*) as n from fact where kind = ? and item is not null and status != 'denied' "
        "and coalesce(verdict, '') != 'reject' group by item order by n desc, item",
        (kind,),
    )
    return [(r["item"], r["n"]) for r in found]


def projects_with(conn: sqlite3.Connection, kind: str, limit: int) -> list[int]:
    """The projects that state a fact of that kind, the newest first."""
    found = conn.execute(
        "select project_id from recording join fact on fact.recording_id = recording.id where fact.kind = ? "
        "and coalesce(verdict, '') != 'reject' "
        "group by project_id order by max(coalesce(started, added_at)) desc limit ?",
        (kind, limit),
    )
    return [r["project_id"] for r in found]
