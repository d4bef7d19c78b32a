"""From files to the log: heard, read and stored; resumable at every step.

A recording is made known by `register`, then goes through `process`: parts are stored as they are finished, so that an
interrupted hearing goes on from the last one, and what was found is stored in one transaction at the end.
"""

from __future__ import annotations

import json
import sqlite3
import threading
from bisect import bisect_right
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

from shoplog.errors import BadTranscript, UnreadableMedia
from shoplog.facts import Fact
from shoplog.hearing import Hearing, Plan, Progress, hear_all, no_progress
from shoplog.log import Recording
from shoplog.register import Outcome, outcome_of
from shoplog.store import context, queries, rows, transaction, writes
from shoplog.transcript import Transcript


def plan(conn: sqlite3.Connection, recording_id: int) -> Plan:
    """The plan of a registered recording."""
    recording = queries.recording(conn, recording_id)
    species = conn.execute(
        "select distinct item from fact join recording on recording.id = fact.recording_id "
        "where project_id = ? and fact.kind = 'species' and status = 'done' and item is not null",
        (recording.project_id,),
    )
    vocabulary = queries.vocabulary(conn)
    own = tuple(dict.fromkeys(meant for _, meant in vocabulary))
    return Plan(
        recording_id,
        recording.name,
        tuple((c.path, c.start) for c in recording.clips),
        sum(c.duration or 0.0 for c in recording.clips),
        own,
        tuple(dict.fromkeys([*(row["item"] for row in species), *own])),
        tuple(vocabulary),
        recorded_moment(recording.started, recording.started_source),
    )


def process(
    conn: sqlite3.Connection,
    recording_id: int,
    hearing: Hearing | None = None,
    progress: Progress = no_progress,
    stop: threading.Event | None = None,
) -> Outcome:
    """Hear (or read) one registered recording and store what was found, in one transaction at the end.

    Parts that were finished before an interruption are not heard again. Raises Stopped at the end of a part when
    ``stop`` is set, and WeightsError or StoreError where no recording can be heard; a recording that can't be decoded
    is stored as failed.
    """
    recording = queries.recording(conn, recording_id)
    hearing = hearing or Hearing()
    try:
        if recording.kind == "captions":
            from shoplog.transcript_files import read_transcript

            transcript = read_transcript(Path(recording.clips[0].path))
        else:
            with transaction(conn):
                writes.set_state(conn, recording_id, "hearing")
            settings = rows.dump([hearing.model, hearing.device, hearing.keep_all])
            done = [json.loads(body) for kept, body in queries.parts(conn, recording_id) if kept == settings]

            def keep(n: int, end: float, body: dict[str, Any]) -> None:
                with transaction(conn):
                    writes.save_part(conn, recording_id, n, settings, end, rows.dump(body))

            transcript = hear_all(plan(conn, recording_id), hearing, done, keep, progress, stop)
    except (UnreadableMedia, BadTranscript) as error:
        return fail(conn, recording_id, error.why if isinstance(error, UnreadableMedia) else str(error))
    progress(recording.name, 1.0)
    return store_transcript(conn, recording_id, transcript)


def fail(conn: sqlite3.Connection, recording_id: int, why: str) -> Outcome:
    """The recording can't be used: kept with the reason, and tried again when its file changes or is added again."""
    with transaction(conn):
        writes.set_state(conn, recording_id, "failed", why)
        writes.clear_parts(conn, recording_id)
    recording = queries.recording(conn, recording_id)
    return outcome_of(conn, Path(recording.clips[0].path), recording, "failed")


def _doubted(facts: list[Fact], transcript: Transcript) -> list[Fact]:
    """The facts, with a doubt on those that rest on a doubtful remark."""
    cues = transcript.kept.cues
    if not any(c.trust == "doubtful" for c in cues):
        return facts
    starts = [c.start for c in cues]
    found = []
    for fact in facts:
        cue = cues[max(bisect_right(starts, fact.start + 0.01) - 1, 0)]
        if cue.trust == "doubtful":
            reason = (
                f"the remark was hardly understood ({cue.reason})" if cue.reason else "the remark was hardly understood"
            )
            attrs = {**fact.attrs, "doubt": [*fact.attrs.get("doubt", ()), reason]}
            fact = replace(fact, attrs=attrs, confidence=round(fact.confidence * 0.6, 3))
        found.append(fact)
    return found


def recorded_moment(moment: datetime | None, said_by: str | None) -> datetime | date | None:
    """When it was recorded as far as that can be believed: a file's time of change is no time of the work, and its
    day is good for a year at most. In the shop's own time."""
    if moment is None:
        return None
    local = moment.astimezone()
    return local if said_by == "container" else local.date()


def store_transcript(conn: sqlite3.Connection, recording_id: int, transcript: Transcript) -> Outcome:
    """Read the facts of a transcript and store both, replacing what was there; corrections are put back."""
    from shoplog.extract import PATTERNS_VERSION

    recording = queries.recording(conn, recording_id)
    facts = _facts(conn, recording, transcript)
    with transaction(conn):
        writes.save_transcript(conn, recording_id, transcript)
        writes.save_facts(conn, recording_id, facts, PATTERNS_VERSION)
        _course(conn, recording.project_id)
    return outcome_of(conn, Path(recording.clips[0].path), queries.recording(conn, recording_id), "added")


def _facts(conn: sqlite3.Connection, recording: Recording, transcript: Transcript) -> list[Fact]:
    """The facts of a transcript, weighed against its second hearings."""
    from shoplog.extract import extract
    from shoplog.speech import second

    moment = recorded_moment(recording.started, recording.started_source)
    vocabulary = queries.vocabulary(conn)

    def read(said: Transcript) -> list[Fact]:
        return extract(said.kept, vocabulary, moment)

    facts = _doubted(read(transcript), transcript)
    windows = second.windows_of(facts, transcript)
    facts = second.compared(facts, windows, [c.words for c in transcript.again], read)
    return second.unsure(facts, transcript, windows)


def rehear(
    conn: sqlite3.Connection, recording_id: int, hearing: Hearing | None = None, progress: Progress = no_progress
) -> Outcome:
    """Hear a stored recording again. What was found before stays until the new is complete; corrections stay."""
    from shoplog.media import fingerprint

    recording = queries.recording(conn, recording_id)
    path = Path(recording.clips[0].path)
    try:
        for clip in recording.clips:
            if clip.sha256 and fingerprint(clip.path) != clip.sha256:
                why = f"{clip.path} is another file now; add it as a recording of its own"
                return Outcome(path, "failed", recording_id, reason=why)
        transcript = hear_all(plan(conn, recording_id), hearing or Hearing(), progress=progress)
    except UnreadableMedia as error:
        return Outcome(path, "failed", recording_id, reason=error.why)
    progress(recording.name, 1.0)
    return store_transcript(conn, recording_id, transcript)


def reread(conn: sqlite3.Connection, recording_id: int) -> int:
    """Extract the facts of a stored recording again with the patterns of now. Returns how many."""
    from shoplog.extract import PATTERNS_VERSION

    recording = queries.recording(conn, recording_id)
    facts = _facts(conn, recording, queries.transcript(conn, recording_id))
    with transaction(conn):
        writes.save_facts(conn, recording_id, facts, PATTERNS_VERSION)
        _course(conn, recording.project_id)
    return len(facts)


def recourse(conn: sqlite3.Connection, name: str | None = None) -> None:
    """Work out the operations of a project (of all without a name) again after recordings were moved."""
    with transaction(conn):
        for row in conn.execute("select id from project where ? is null or name = ?", (name, name)).fetchall():
            _course(conn, row["id"])


def _course(conn: sqlite3.Connection, project_id: int) -> None:
    """Work out the operations of a project again, within the caller's transaction."""
    from shoplog.timeline import course

    name = conn.execute("select name from project where id = ?", (project_id,)).fetchone()["name"]
    project = queries.load_project(conn, name)
    found = course(project)
    writes.save_course(conn, [t.recording.id for t in project.takes], found.stages, found.operations)
    context.refresh(conn)


def mark_same_moments(conn: sqlite3.Connection) -> None:
    """Find new recordings that show the moment of another one (a second camera), so that none is counted twice.

    Only recordings of one project whose clocks put them within `CLOCKS_APART` of each other are compared by their
    sound; of two, the one that was there first (then the longer) is counted. A run that was interrupted before this is
    made up for by the next.
    """
    for new in queries.not_compared(conn):
        found = _same_moment(conn, new)
        with transaction(conn):
            writes.mark_compared(conn, new.id)
            # Another process may have marked them the other way round meanwhile; one of the two must be counted.
            if found and queries.recording(conn, found[0]).same_as is None:
                writes.mark_same(conn, new.id, *found)
                _course(conn, new.project_id)


def _same_moment(conn: sqlite3.Connection, new: Recording) -> tuple[int, float] | None:
    """The recording that shows the same moment, and where the new one starts on its clock (seconds)."""
    from shoplog.media import decode
    from shoplog.speech.alignment import align

    if new.kind != "media" or new.started is None:
        return None
    for other in queries.recordings(conn, new.project_id):
        if other.id == new.id or other.same_as is not None or not _clocks_meet(new, other):
            continue
        try:
            with decode(other.clips[0].path) as first, decode(new.clips[0].path) as second:
                found = align(first, second)
        except UnreadableMedia:
            continue  # moved away since; they stay two
        if found:
            return other.id, found.offset
    return None


#: Two cameras' clocks are rarely further apart than this, seconds.
CLOCKS_APART = 600.0


def _clocks_meet(new: Recording, other: Recording) -> bool:
    """Whether both may have run at one time."""
    if other.kind != "media" or other.state != "done" or other.started is None or new.started is None:
        return False
    # A file's time of change is the end of a copy and says nothing of the moment.
    if "container" not in (new.started_source, other.started_source):
        return False
    later = (new.started - other.started).total_seconds()
    return -(new.duration or 0.0) - CLOCKS_APART < later < (other.duration or 0.0) + CLOCKS_APART
