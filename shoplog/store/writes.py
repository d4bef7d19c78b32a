"""Writing the log. Callers wrap what belongs together in one `transaction`."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

import sqlite_utils

from shoplog.errors import InputError, NotFound
from shoplog.facts import Fact
from shoplog.log import Stage, State
from shoplog.store import corrections, queries, rows
from shoplog.transcript import Transcript


def _table(conn: sqlite3.Connection, name: str) -> Any:
    # The connection's own settings stand; sqlite-utils must not change them.
    return sqlite_utils.Database(conn)[name]


def _insert(conn: sqlite3.Connection, table: str, values: Mapping[str, Any]) -> int:
    return int(_table(conn, table).insert(dict(values)).last_pk)


def project(conn: sqlite3.Connection, name: str) -> int:
    """The number of the project of that name; made where there is none. Raises InputError on an empty name."""
    name = " ".join(rows.shown(name).split())
    if not name:
        raise InputError("A project needs a name.")
    row = conn.execute("select id from project where name = ?", (name,)).fetchone()
    return int(row["id"]) if row else _insert(conn, "project", {"name": name, "created_at": rows.now()})


def add_recording(
    conn: sqlite3.Connection, project_id: int, name: str, kind: str, state: State = "waiting", reason: str | None = None
) -> int:
    """A new recording without clips yet."""
    return _insert(
        conn,
        "recording",
        {
            "project_id": project_id,
            "name": rows.shown(name),
            "kind": kind,
            "state": state,
            "reason": reason,
            "added_at": rows.now(),
        },
    )


def add_clip(
    conn: sqlite3.Connection,
    recording_id: int,
    path: Path,
    sha256: str | None,
    size: int,
    mtime_ns: int,
    *,
    container: str | None = None,
    start: float = 0.0,
    duration: float | None = None,
    recorded_at: datetime | None = None,
    recorded_at_source: str | None = None,
    has_video: bool = False,
) -> int:
    """A file of a recording. The first clip's time is the recording's."""
    clip_id = _insert(
        conn,
        "clip",
        {
            "recording_id": recording_id, "path": rows.path_text(path), "name": rows.shown(path.name),
            "sha256": sha256, "size": size, "mtime_ns": mtime_ns, "container": container, "start": start,
            "duration": duration, "recorded_at": recorded_at.isoformat() if recorded_at else None,
            "recorded_at_source": recorded_at_source, "has_video": int(has_video),
        },
    )  # fmt: skip
    if start == 0.0 and recorded_at:
        conn.execute(
            "update recording set started = ?, started_source = ? where id = ?",
            (recorded_at.isoformat(), recorded_at_source, recording_id),
        )
    return clip_id


def move_clip(conn: sqlite3.Connection, clip_id: int, path: Path, mtime_ns: int) -> None:
    """The same content is now at another path (renamed or copied)."""
    conn.execute("update clip set path = ?, mtime_ns = ? where id = ?", (rows.path_text(path), mtime_ns, clip_id))


def delete_clip(conn: sqlite3.Connection, clip_id: int) -> None:
    """Take one file out of its recording."""
    conn.execute("delete from clip where id = ?", (clip_id,))


def delete_recording(conn: sqlite3.Connection, recording_id: int) -> None:
    """Take a recording out of the log with all that was found in it; the file is never touched."""
    conn.execute("delete from recording where id = ?", (recording_id,))


def set_state(conn: sqlite3.Connection, recording_id: int, state: State, reason: str | None = None) -> None:
    conn.execute("update recording set state = ?, reason = ? where id = ?", (state, reason, recording_id))


def save_part(conn: sqlite3.Connection, recording_id: int, n: int, settings: str, end: float, body: str) -> None:
    """Keep one finished part of a hearing under way; ``end`` is the second up to which it heard."""
    conn.execute(
        'insert or replace into part (recording_id, n, settings, "end", body, saved_at) values (?, ?, ?, ?, ?, ?)',
        (recording_id, n, settings, end, body, rows.now()),
    )


def clear_parts(conn: sqlite3.Connection, recording_id: int) -> None:
    conn.execute("delete from part where recording_id = ?", (recording_id,))


def save_transcript(conn: sqlite3.Connection, recording_id: int, transcript: Transcript) -> None:
    """Replace what was heard in a recording, mark it done, and forget the parts. Facts are saved by `save_facts`."""
    conn.execute("delete from fact where recording_id = ?", (recording_id,))
    conn.execute("delete from stage where recording_id = ?", (recording_id,))
    conn.execute("delete from cue where recording_id = ?", (recording_id,))
    conn.execute("delete from stretch where recording_id = ?", (recording_id,))
    conn.execute("delete from second_hearing where recording_id = ?", (recording_id,))
    _table(conn, "cue").insert_all(rows.cue_row(recording_id, n, c) for n, c in enumerate(transcript.cues))
    _table(conn, "stretch").insert_all(rows.stretch_row(recording_id, s) for s in transcript.stretches)
    _table(conn, "second_hearing").insert_all(
        {
            "recording_id": recording_id,
            "start": c.start,
            "end": c.end,
            "text": c.text,
            "words": rows.dump_words(c.words),
        }
        for c in transcript.again
    )
    machine = sum(s.end - s.start for s in transcript.stretches if s.machine) if transcript.stretches else None
    conn.execute(
        "update recording set state = 'done', reason = null, duration = coalesce(?, duration), model = ?, "
        "settings = ?, machine_seconds = ?, heard_at = ? where id = ?",
        (transcript.duration, transcript.model, rows.dump(transcript.settings), machine, rows.now(), recording_id),
    )
    clear_parts(conn, recording_id)


def save_facts(conn: sqlite3.Connection, recording_id: int, facts: Sequence[Fact], patterns: str) -> None:
    """Replace the facts of a recording and put the maker's corrections back on them."""
    conn.execute("delete from fact where recording_id = ?", (recording_id,))
    stored = conn.execute(
        'select id, start, "end" from cue where recording_id = ? order by start', (recording_id,)
    ).fetchall()
    spans = [(r["id"], r["start"], r["end"]) for r in stored]
    _table(conn, "fact").insert_all(rows.fact_row(recording_id, f, _cue_at(spans, f)) for f in facts)
    conn.execute("update recording set patterns = ? where id = ?", (patterns, recording_id))
    corrections.replace_all(conn, recording_id)


def _cue_at(spans: Sequence[tuple[int, float, float]], fact: Fact) -> int | None:
    """The cue in which the fact begins: the last one that starts no later than the middle of its first instant."""
    from bisect import bisect_right

    at = bisect_right(spans, fact.start + 0.05, key=lambda span: span[1]) - 1
    return spans[at][0] if at >= 0 else None


def save_course(
    conn: sqlite3.Connection,
    recording_ids: Iterable[int],
    stages: Iterable[Stage],
    operations: Mapping[int, tuple[str | None, int | None]],
) -> None:
    """Replace the stages of these recordings, and set (operation, piece) of facts by their number."""
    conn.executemany("delete from stage where recording_id = ?", [(r,) for r in recording_ids])
    conn.executemany(
        'insert into stage (recording_id, operation, start, "end", piece, evidence) values (?, ?, ?, ?, ?, ?)',
        [(s.recording_id, s.operation, s.start, s.end, s.piece, s.evidence) for s in stages],
    )
    conn.executemany(
        "update fact set operation = ?, piece = ? where id = ?",
        [(o, p, number) for number, (o, p) in operations.items()],
    )


def teach(conn: sqlite3.Connection, heard: str, meant: str, correction_id: int | None = None) -> None:
    """Always take ``heard`` for ``meant`` from now on. Raises InputError when either is empty or both are the same."""
    heard, meant = " ".join(heard.lower().split()), " ".join(meant.split())
    if not heard or not meant or heard == meant.lower():
        raise InputError("Say which words are heard wrong and which other words are meant.")
    conn.execute(
        "insert into vocabulary (heard, meant, added_at, correction_id) values (?, ?, ?, ?) "
        "on conflict (heard) do update set meant = excluded.meant, added_at = excluded.added_at",
        (heard, meant, rows.now(), correction_id),
    )


def forget(conn: sqlite3.Connection, heard: str) -> None:
    """Take a line out of the maker's own list. Raises NotFound."""
    if not conn.execute("delete from vocabulary where heard = ?", (" ".join(heard.split()),)).rowcount:
        raise NotFound(f'"{heard}" is not in your own list of words.')


def rename_project(conn: sqlite3.Connection, name: str, new: str) -> None:
    """Raises NotFound, or InputError where the new name is taken (use merge for that)."""
    number = queries.project_id(conn, name)
    new = " ".join(new.split())
    taken = conn.execute("select id from project where name = ? and id != ?", (new, number)).fetchone()
    if taken or not new:
        raise InputError(
            f'There is a project "{new}" already; use merge to join the two.' if new else "A project needs a name."
        )
    conn.execute("update project set name = ? where id = ?", (new, number))


def merge_projects(conn: sqlite3.Connection, name: str, into: str) -> int:
    """Move everything of one project into another and drop the empty one. The number of recordings moved."""
    source, target = queries.project_id(conn, name), queries.project_id(conn, into)
    if source == target:
        raise InputError("A project can't be merged into itself; name two projects.")
    moved = conn.execute("update recording set project_id = ? where project_id = ?", (target, source)).rowcount
    conn.execute("update or ignore settled set project_id = ? where project_id = ?", (target, source))
    conn.execute("delete from project where id = ?", (source,))
    return moved


def assign_recording(conn: sqlite3.Connection, recording_id: int, name: str) -> None:
    """Move one recording to the project of that name, made where there is none; an emptied project goes."""
    before = queries.recording(conn, recording_id).project_id
    conn.execute("update recording set project_id = ? where id = ?", (project(conn, name), recording_id))
    drop_if_empty(conn, before)


def drop_if_empty(conn: sqlite3.Connection, project_id: int) -> None:
    """Take a project without recordings out of the log."""
    conn.execute(
        "delete from project where id = ? and not exists (select 1 from recording where project_id = ?)",
        (project_id, project_id),
    )


def mark_same(conn: sqlite3.Connection, recording_id: int, same_as: int | None, offset: float | None) -> None:
    """This recording shows the same moment as another one (a second camera) and is not counted twice."""
    conn.execute("update recording set same_as = ?, same_offset = ? where id = ?", (same_as, offset, recording_id))


def mark_compared(conn: sqlite3.Connection, recording_id: int) -> None:
    """This recording was compared with the others of its time."""
    conn.execute("update recording set compared = 1 where id = ?", (recording_id,))


def settle(
    conn: sqlite3.Connection,
    project_id: int,
    topic: str,
    key: str,
    state: str,
    note: str | None = None,
    author: str | None = None,
) -> None:
    """A person settled a point by hand (a promise answered, a check looked at)."""
    conn.execute(
        "insert into settled (project_id, topic, key, state, note, author, settled_at) values (?, ?, ?, ?, ?, ?, ?) "
        "on conflict (project_id, topic, key) do update set state = excluded.state, note = excluded.note, "
        "author = excluded.author, settled_at = excluded.settled_at",
        (project_id, topic, key, state, note, author, rows.now()),
    )
