"""From files to the log: found, registered, heard, read, stored; resumable at every step.

A recording passes through `register` (fingerprint, probe, a row that says it waits) and `hear` (parts are stored as
they are finished, so that an interrupted hearing goes on from the last one). Files are only read.
"""

from __future__ import annotations

import json
import sqlite3
import threading
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any, Literal

from shoplog.errors import BadTranscript, UnreadableMedia
from shoplog.facts import Fact
from shoplog.inbox import Source
from shoplog.log import Recording
from shoplog.store import queries, rows, transaction, writes
from shoplog.transcript import Transcript

Verdict = Literal["added", "already", "failed", "passed"]


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one file: added, already there, failed (and why), or passed over (and why)."""

    path: Path
    verdict: Verdict
    recording_id: int | None = None
    project: str | None = None
    reason: str | None = None
    facts: int = 0
    duration: float | None = None

    def as_json(self) -> dict[str, Any]:
        return {**asdict(self), "path": str(self.path)}


@dataclass(frozen=True, slots=True)
class Hearing:
    """How to hear: ``model`` is a path or name of weights (None: the best installed), ``device`` cpu or cuda."""

    model: str | None = None
    device: Literal["cpu", "cuda"] = "cpu"
    keep_all: bool = False


class Stopped(Exception):
    """Someone asked to stop; what was finished is stored."""


#: Called with a recording's name and the share of it that has been heard, 0 to 1.
Progress = Callable[[str, float], None]


def no_progress(name: str, share: float) -> None:
    """For callers that show none."""


# ------------------------------------------------------------------------------------------------ registering


@dataclass(frozen=True, slots=True)
class _Look:
    """What was seen of a file: its digest and what it says of itself, or why it can't be used."""

    source: Source
    path: Path
    size: int = 0
    mtime_ns: int = 0
    digest: str | None = None
    probe: Any = None
    trouble: str | None = None
    growing: bool = False


def register_all(conn: sqlite3.Connection, found: Sequence[Source], *, join: bool = False) -> list[Outcome]:
    """Make files known to the log; verdict ``added`` means that the recording waits to be heard (or read).

    The same content is never registered twice, wherever it lies. A file that failed is tried again. The chapter files
    that a camera cuts one take into become one recording; with ``join`` all the files do, in the order given.
    """
    outcomes: list[Outcome] = []
    fresh: list[_Look] = []
    for look in map(_look, found):
        known = _known(conn, look)
        if known:
            outcomes.append(known)
        else:
            fresh.append(look)
    takes = [fresh] if join and fresh else [[look] for look in fresh]
    for take in takes:
        outcomes.append(_add_take(conn, take))
    return outcomes


def register(conn: sqlite3.Connection, source: Source) -> Outcome:
    """One file by itself; see `register_all`."""
    return register_all(conn, [source])[0]


def _look(source: Source) -> _Look:
    from shoplog import media

    path = source.path.absolute()
    try:
        before = path.stat()
        if not before.st_size:
            return _Look(source, path, mtime_ns=before.st_mtime_ns, trouble="the file is empty (0 bytes)")
        digest = media.fingerprint(path)
        probe = None if source.captions else media.probe(path)
        after = path.stat()
    except UnreadableMedia as error:
        return _Look(source, path, trouble=error.why)
    except OSError as error:
        return _Look(source, path, trouble=f"it cannot be read ({error.strerror}); check its rights")
    growing = (before.st_size, before.st_mtime_ns) != (after.st_size, after.st_mtime_ns)
    return _Look(source, path, after.st_size, after.st_mtime_ns, digest, probe, growing=growing)


def _known(conn: sqlite3.Connection, look: _Look) -> Outcome | None:
    """The outcome for a file that starts no recording: growing, unusable, or content that is in the log."""
    if look.growing:
        return Outcome(look.path, "passed", reason="it is still being written; add it again when it is complete")
    if look.trouble:
        return _failed(conn, look)
    assert look.digest is not None  # nothing was wrong with it
    known = queries.clip_by_digest(conn, look.digest)
    if not known:
        return None
    if str(look.path) != known.path and not Path(known.path).exists():
        with transaction(conn):
            writes.move_clip(conn, known.id, look.path, look.mtime_ns)
    recording = queries.recording(conn, known.recording_id)
    if recording.state == "failed":
        with transaction(conn):
            writes.set_state(conn, recording.id, "waiting")
    return _outcome(conn, look.path, recording, "already" if recording.state == "done" else "added")


def _add_take(conn: sqlite3.Connection, take: Sequence[_Look]) -> Outcome:
    first = take[0]
    with transaction(conn):
        for look in take:
            _forget_failed(conn, look.path)
        kind = "captions" if first.source.captions else "media"
        number = writes.add_recording(conn, writes.project(conn, first.source.project), first.path.name, kind)
        start = 0.0
        for look in take:
            # The same content twice in one call is one clip.
            if look.digest and queries.clip_by_digest(conn, look.digest):
                continue
            when, said_by = _moment(look)
            writes.add_clip(
                conn, number, look.path, look.digest, look.size, look.mtime_ns,
                container=look.probe.container if look.probe else look.path.suffix.lower().lstrip("."),
                start=start, duration=look.probe.duration if look.probe else None,
                recorded_at=when, recorded_at_source=said_by, has_video=bool(look.probe and look.probe.has_video),
            )  # fmt: skip
            start += (look.probe.duration or 0.0) if look.probe else 0.0
        if not queries.recording(conn, number).clips:
            writes.delete_recording(conn, number)
            assert first.digest is not None  # it is the one that is in the log already
            twin = queries.clip_by_digest(conn, first.digest)
            assert twin is not None
            return _outcome(conn, first.path, queries.recording(conn, twin.recording_id), "already")
        return _outcome(conn, first.path, queries.recording(conn, number), "added")


def _moment(look: _Look) -> tuple[datetime, Any]:
    """When it was recorded and who says so: the container, else the file."""
    if look.probe is not None and look.probe.recorded_at is not None:
        return look.probe.recorded_at, look.probe.recorded_at_source
    return datetime.fromtimestamp(look.mtime_ns // 1_000_000_000, UTC), "file"


def _outcome(conn: sqlite3.Connection, path: Path, recording: Recording, verdict: Verdict) -> Outcome:
    project = conn.execute("select name from project where id = ?", (recording.project_id,)).fetchone()["name"]
    facts = conn.execute("select count(*) from fact where recording_id = ?", (recording.id,)).fetchone()[0]
    duration = recording.duration or sum(c.duration or 0.0 for c in recording.clips) or None
    return Outcome(path, verdict, recording.id, project, recording.reason, facts, duration)


def _forget_failed(conn: sqlite3.Connection, path: Path) -> None:
    """A file that failed before is being tried again: its old row goes."""
    before = queries.clip_by_path(conn, str(path))
    if before and queries.recording(conn, before[0].recording_id).state == "failed":
        writes.delete_recording(conn, before[0].recording_id)


def _failed(conn: sqlite3.Connection, look: _Look) -> Outcome:
    """Store a file that can't be used with the reason, so that it is shown and tried again when it changes."""
    with transaction(conn):
        _forget_failed(conn, look.path)
        kind = "captions" if look.source.captions else "media"
        project = writes.project(conn, look.source.project)
        name = look.path.name
        number = writes.add_recording(conn, project, name, kind, "failed", look.trouble)
        # No digest: many broken files (all empty ones) are alike, and none of them is a recording yet.
        writes.add_clip(conn, number, look.path, None, look.size, look.mtime_ns)
    return Outcome(look.path, "failed", number, look.source.project, look.trouble)


# ------------------------------------------------------------------------------------------------ hearing and reading


@dataclass(frozen=True, slots=True)
class Plan:
    """What is needed to hear one recording, without the database: its clips as (path, start in the recording,
    seconds), and the words that the maker is likely to use."""

    recording_id: int
    name: str
    clips: tuple[tuple[str, float], ...]
    seconds: float
    words: tuple[str, ...] = ()


def plan(conn: sqlite3.Connection, recording_id: int) -> Plan:
    """The plan of a registered recording: the maker's own words and the woods of its project go to the recogniser."""
    recording = queries.recording(conn, recording_id)
    species = conn.execute(
        "select distinct item from fact join recording on recording.id = fact.recording_id "
        "where project_id = ? and fact.kind = 'species' and status = 'done' and item is not null",
        (recording.project_id,),
    )
    words = [row["item"] for row in species] + [meant for _, meant in queries.vocabulary(conn)]
    return Plan(
        recording_id,
        recording.name,
        tuple((c.path, c.start) for c in recording.clips),
        sum(c.duration or 0.0 for c in recording.clips),
        tuple(dict.fromkeys(words)),
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
    return _outcome(conn, Path(recording.clips[0].path), recording, "failed")


def hear_all(
    plan: Plan,
    hearing: Hearing,
    done: Sequence[dict[str, Any]] = (),
    keep: Callable[[int, float, dict[str, Any]], None] = lambda n, end, body: None,
    progress: Progress = no_progress,
    stop: threading.Event | None = None,
) -> Transcript:
    """Hear the clips of a recording. ``done`` are the parts of an earlier run, ``keep`` gets each new one.

    A part is a mapping with its ``clip`` (its place in the plan) and its ``part``. Raises Stopped between two parts.
    """
    from shoplog import speech

    heard: list[Transcript] = []
    n = 0
    for index, (path, start) in enumerate(plan.clips):
        known = [speech.Part.from_json(d["part"]) for d in done if d["clip"] == index]
        parts: list[speech.Part] = []

        def report(share: float, index: int = index) -> None:
            progress(plan.name, (index + share) / len(plan.clips))

        hearer = speech.hear_parts(
            path, model=hearing.model, device=hearing.device, words=plan.words, keep_all=hearing.keep_all,
            on_progress=report, done=known,
        )  # fmt: skip
        for part in hearer:
            parts.append(part)
            if part not in known:
                keep(n, start + part.end, {"clip": index, "part": part.to_json()})
            n += 1
            if stop is not None and stop.is_set():
                raise Stopped
        heard.append(_moved(speech.join(parts), start))
    return heard[0] if len(heard) == 1 else _joined(heard)


def _moved(transcript: Transcript, by: float) -> Transcript:
    """The transcript with all times later by ``by`` seconds."""
    if not by:
        return transcript
    cues = tuple(
        replace(
            c,
            start=c.start + by,
            end=c.end + by,
            words=tuple(replace(w, start=w.start + by, end=w.end + by) for w in c.words),
        )
        for c in transcript.cues
    )
    stretches = tuple(replace(s, start=s.start + by, end=s.end + by) for s in transcript.stretches)
    return replace(transcript, cues=cues, stretches=stretches)


def _joined(heard: Sequence[Transcript]) -> Transcript:
    """The transcripts of a take's clips, already on the take's clock, as one."""
    ends = [s.end for t in heard for s in t.stretches]
    return replace(
        heard[0],
        cues=tuple(c for t in heard for c in t.cues),
        stretches=tuple(s for t in heard for s in t.stretches),
        duration=max(ends) if ends else None,
    )


def store_transcript(conn: sqlite3.Connection, recording_id: int, transcript: Transcript) -> Outcome:
    """Read the facts of a transcript and store both, replacing what was there; corrections are put back."""
    from shoplog.extract import PATTERNS_VERSION

    recording = queries.recording(conn, recording_id)
    facts = _facts(conn, recording, transcript)
    with transaction(conn):
        writes.save_transcript(conn, recording_id, transcript)
        writes.save_facts(conn, recording_id, facts, PATTERNS_VERSION)
        _course(conn, recording.project_id)
    return _outcome(conn, Path(recording.clips[0].path), queries.recording(conn, recording_id), "added")


def _facts(conn: sqlite3.Connection, recording: Recording, transcript: Transcript) -> list[Fact]:
    from shoplog.extract import extract

    moment = recorded_moment(recording.started, recording.started_source)
    return extract(transcript.kept, queries.vocabulary(conn), moment)


def recorded_moment(moment: datetime | None, said_by: str | None) -> datetime | date | None:
    """When it was recorded as far as that can be believed: a file's time of change is no time of the work, and its
    day is good for a year at most. In the shop's own time."""
    if moment is None:
        return None
    local = moment.astimezone()
    return local if said_by == "container" else local.date()


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


def mark_same_moments(conn: sqlite3.Connection, recording_ids: Sequence[int]) -> None:
    """Find new recordings that show the moment of another one (a second camera), so that none is counted twice."""
