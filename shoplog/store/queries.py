"""Reading the log."""

from __future__ import annotations

import sqlite3
from collections import defaultdict
from collections.abc import Sequence
from typing import Any

from shoplog.errors import NotFound
from shoplog.log import DOUBT, Clip, Correction, KeptFact, Project, Recording, Stage, Take
from shoplog.store import rows
from shoplog.transcript import Cue, Stretch, Transcript

_FACTS = "select * from fact where coalesce(verdict, '') != 'reject'"
_CORRECTIONS = (
    "select correction.*, fact.id as fact_id from correction left join fact on fact.correction_id = correction.id"
)


def project_names(conn: sqlite3.Connection) -> list[str]:
    """All project names, the one with the newest recording first."""
    return [
        row["name"]
        for row in conn.execute(
            "select name from project order by (select max(coalesce(started, added_at)) from recording "
            "where project_id = project.id) desc, id desc"
        )
    ]


def project_id(conn: sqlite3.Connection, name: str) -> int:
    """The number of the project of that name, any case. Raises NotFound with the nearest names."""
    row = conn.execute("select id from project where name = ?", (name,)).fetchone()
    if row:
        return int(row["id"])
    names = project_names(conn)
    if not names:
        raise NotFound(f'There is no project "{name}": the log is empty; add a recording first.')
    from rapidfuzz import process

    near = [n for n, score, _ in process.extract(name, names, limit=3) if score > 50] or names[:3]
    raise NotFound(f'There is no project "{name}"; perhaps you mean {", ".join(near)} (see shoplog projects).')


def load_project(conn: sqlite3.Connection, name: str) -> Project:
    """The project with everything found in its recordings, in order of time. Raises NotFound."""
    number = project_id(conn, name)
    row = conn.execute("select * from project where id = ?", (number,)).fetchone()
    takes = tuple(load_take(conn, r) for r in recordings(conn, number))
    return Project(number, row["name"], takes, row["created_at"])


def load_take(conn: sqlite3.Connection, recording: Recording) -> Take:
    """One recording with its cues, facts, stretches and corrections."""
    return Take(
        recording,
        cues(conn, recording.id),
        facts(conn, recording.id),
        stretches(conn, recording.id),
        corrections(conn, recording.id),
    )


def recordings(conn: sqlite3.Connection, project: int | None = None) -> tuple[Recording, ...]:
    """The recordings of one project (all without it), in order of time; undated ones in the order they were added."""
    where, values = ("where project_id = ?", (project,)) if project is not None else ("", ())
    clips: dict[int, list[Clip]] = defaultdict(list)
    inner = f"(select id from recording {where})"  # noqa: S608 - both parts are constants of this function
    for row in conn.execute(f"select * from clip where recording_id in {inner} order by start, id", values):  # noqa: S608
        clips[row["recording_id"]].append(rows.clip(row))
    return tuple(
        rows.recording(row, tuple(clips[row["id"]]))
        for row in conn.execute(
            f"select * from recording {where} order by coalesce(started, added_at), id",  # noqa: S608
            values,
        )
    )


def recording(conn: sqlite3.Connection, recording_id: int) -> Recording:
    """One recording. Raises NotFound."""
    row = conn.execute("select * from recording where id = ?", (recording_id,)).fetchone()
    if not row:
        raise NotFound(f"There is no recording number {recording_id} in the log.")
    clips = conn.execute("select * from clip where recording_id = ? order by start, id", (recording_id,))
    return rows.recording(row, tuple(rows.clip(c) for c in clips))


def not_compared(conn: sqlite3.Connection) -> list[Recording]:
    """Finished recordings that were not yet compared with the others of their time, in the order they were added."""
    found = conn.execute("select id from recording where state = 'done' and not compared order by id").fetchall()
    return [recording(conn, row["id"]) for row in found]


def clip_by_digest(conn: sqlite3.Connection, sha256: str) -> Clip | None:
    """The clip with this content, wherever its file was."""
    row = conn.execute("select * from clip where sha256 = ?", (sha256,)).fetchone()
    return rows.clip(row) if row else None


def clip_by_path(conn: sqlite3.Connection, path: str) -> tuple[Clip, int] | None:
    """The newest clip read from this path, with the file's modification time (ns) when it was read."""
    row = conn.execute("select * from clip where path = ? order by id desc limit 1", (rows.path_text(path),)).fetchone()
    return (rows.clip(row), row["mtime_ns"]) if row else None


def cues(conn: sqlite3.Connection, recording_id: int) -> tuple[Cue, ...]:
    """All cues, the dropped ones with their reason among them."""
    return tuple(
        rows.cue(r) for r in conn.execute("select * from cue where recording_id = ? order by n", (recording_id,))
    )


def stretches(conn: sqlite3.Connection, recording_id: int) -> tuple[Stretch, ...]:
    return tuple(
        rows.stretch(r)
        for r in conn.execute("select * from stretch where recording_id = ? order by start", (recording_id,))
    )


def transcript(conn: sqlite3.Connection, recording_id: int) -> Transcript:
    """The stored transcript, dropped cues included."""
    r = recording(conn, recording_id)
    return Transcript(
        cues(conn, recording_id),
        source="captions" if r.kind == "captions" else "heard",
        stretches=stretches(conn, recording_id),
        duration=r.duration,
        model=r.model,
        settings=dict(r.settings),
        again=tuple(
            Cue(row["start"], row["end"], row["text"], rows.load_words(row["words"]))
            for row in conn.execute(
                "select * from second_hearing where recording_id = ? order by start", (recording_id,)
            )
        ),
    )


def facts(conn: sqlite3.Connection, recording_id: int) -> tuple[KeptFact, ...]:
    """The facts as shown: heard plus corrected, rejected ones left out, in order of time."""
    found = conn.execute(f"{_FACTS} and recording_id = ? order by start, id", (recording_id,))
    return tuple(rows.kept_fact(r) for r in found)


def fact(conn: sqlite3.Connection, fact_id: int) -> KeptFact:
    """One fact, rejected or not. Raises NotFound."""
    row = conn.execute("select * from fact where id = ?", (fact_id,)).fetchone()
    if not row:
        raise NotFound(f"There is no fact number {fact_id} in the log.")
    return rows.kept_fact(row)


def doubtful_facts(conn: sqlite3.Connection, limit: int = 200, project: int | None = None) -> tuple[KeptFact, ...]:
    """Facts that need a listen, the most doubtful first."""
    scope = "" if project is None else "and recording_id in (select id from recording where project_id = :project)"
    found = conn.execute(
        f"select * from fact where verdict is null {scope} "  # noqa: S608 - constants only
        "and (confidence < :doubt or json_extract(attrs, '$.doubt') is not null) order by confidence, id limit :limit",
        {"project": project, "doubt": DOUBT, "limit": limit},
    )
    return tuple(rows.kept_fact(r) for r in found)


def corrections(
    conn: sqlite3.Connection, recording_id: int | None = None, *, undone: bool = False
) -> tuple[Correction, ...]:
    """Corrections in the order they were written; those taken back only on request."""
    where = ["1 = 1"] if undone else ["undone_at is null"]
    values: Sequence[int] = ()
    if recording_id is not None:
        where.append("correction.recording_id = ?")
        values = (recording_id,)
    found = conn.execute(f"{_CORRECTIONS} where {' and '.join(where)} order by correction.id", values)
    return tuple(rows.correction(r) for r in found)


def vocabulary(conn: sqlite3.Connection) -> list[tuple[str, str]]:
    """The maker's own list: (heard, meant), in the order it was taught."""
    return [(r["heard"], r["meant"]) for r in conn.execute("select heard, meant from vocabulary order by id")]


def stages(conn: sqlite3.Connection, recording_id: int) -> tuple[Stage, ...]:
    return tuple(
        rows.stage(r)
        for r in conn.execute("select * from stage where recording_id = ? order by start", (recording_id,))
    )


def parts(conn: sqlite3.Connection, recording_id: int) -> list[tuple[str, str]]:
    """Finished parts of an interrupted hearing: (settings, body) in order."""
    found = conn.execute("select settings, body from part where recording_id = ? order by n", (recording_id,))
    return [(r["settings"], r["body"]) for r in found]


def settled(conn: sqlite3.Connection, project: int, topic: str) -> dict[str, tuple[str, str | None]]:
    """What a person settled by hand under a topic: key to (state, note)."""
    found = conn.execute("select key, state, note from settled where project_id = ? and topic = ?", (project, topic))
    return {r["key"]: (r["state"], r["note"]) for r in found}


def project_list(conn: sqlite3.Connection) -> list[dict[str, Any]]:
    """One mapping per project, the newest first: name, first, last, seconds, and counts of recordings (waiting, failed
    among them), facts and doubtful facts."""
    found = conn.execute(
        """
        select project.name,
               count(recording.id) as recordings,
               coalesce(sum(recording.state in ('waiting', 'hearing')), 0) as waiting,
               coalesce(sum(recording.state = 'failed'), 0) as failed,
               (select count(*) from fact join recording r on r.id = fact.recording_id
                where r.project_id = project.id and coalesce(fact.verdict, '') != 'reject') as facts,
               (select count(*) from fact join recording r on r.id = fact.recording_id
                where r.project_id = project.id and fact.verdict is null
                and (fact.confidence < :doubt or json_extract(fact.attrs, '$.doubt') is not null)) as doubtful,
               coalesce(sum(recording.duration), 0) as seconds,
               min(recording.started) as first,
               max(recording.started) as last
        from project left join recording on recording.project_id = project.id
        group by project.id order by max(coalesce(recording.started, recording.added_at)) desc, project.id desc
        """,
        {"doubt": DOUBT},
    )
    return [dict(row) for row in found]


def state(conn: sqlite3.Connection) -> dict[str, Any]:
    """What a person wants to know while recordings are heard.

    ``hearing``: id, name, project, share (0 to 1) and seconds_left (None until two parts are finished); ``waiting``
    and ``failed`` (with the reason); ``done``: how many.
    """
    found: dict[str, Any] = {"hearing": [], "waiting": [], "failed": [], "done": 0}
    for row in conn.execute(
        """
        select recording.id, recording.name, project.name as project, recording.state, recording.reason,
               (select sum(duration) from clip where recording_id = recording.id) as seconds,
               (select max("end") from part where recording_id = recording.id) as heard,
               (select min("end") from part where recording_id = recording.id) as first_heard,
               (select (julianday(max(saved_at)) - julianday(min(saved_at))) * 86400.0
                from part where recording_id = recording.id) as took
        from recording join project on project.id = recording.project_id
        where recording.state != 'done' order by recording.id
        """
    ):
        entry = {"id": row["id"], "name": row["name"], "project": row["project"], "reason": row["reason"]}
        if row["state"] == "hearing":
            heard, seconds = row["heard"] or 0.0, row["seconds"] or 0.0
            entry["share"] = min(heard / seconds, 1.0) if seconds else 0.0
            pace = (heard - (row["first_heard"] or 0.0)) / row["took"] if row["took"] else 0.0
            entry["seconds_left"] = (seconds - heard) / pace if pace and seconds else None
        found[row["state"]].append(entry)
    found["done"] = conn.execute("select count(*) from recording where state = 'done'").fetchone()[0]
    return found
