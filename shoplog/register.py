"""Making files known to the log: looked at once, never twice, grouped into recordings, and kept even where unusable."""

from __future__ import annotations

import sqlite3
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Literal

from shoplog.errors import InputError, UnreadableMedia
from shoplog.inbox import Source
from shoplog.log import Recording
from shoplog.store import queries, transaction, writes

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
    that a camera cuts one take into become one recording; with ``join`` all the files do, in the order given. Raises
    InputError where captions are to be joined: they say nothing of how long the recording is that the next one follows.
    """
    if join and any(source.captions for source in found):
        raise InputError("Captions can't be joined; add them one by one, into one project with --project.")
    outcomes: list[Outcome] = []
    fresh: list[_Look] = []
    for look in map(_look, found):
        known = _known(conn, look)
        if known:
            outcomes.append(known)
        else:
            fresh.append(look)
    takes = [fresh] if join and fresh else _takes(fresh)
    for take in takes:
        outcomes.append(_add_take(conn, take))
    return outcomes


def _takes(looks: Sequence[_Look]) -> list[list[_Look]]:
    """Files grouped into recordings: the chapters of one take together."""
    from shoplog.media.takes import Clip, takes

    clips = []
    for look in looks:
        said = look.probe if look.probe is not None and look.probe.recorded_at_source == "container" else None
        clips.append(Clip(look.path, said.recorded_at if said else None, look.probe.duration if look.probe else None))
    by_path = {look.path: look for look in looks}
    return [[by_path[Path(c.path)] for c in take] for take in takes(clips)]


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
    before = queries.clip_by_path(conn, str(look.path))
    if before and before[0].recording_id != recording.id:
        with transaction(conn):
            _forget_failed(conn, look.path)  # it has become a copy of what is there
    if recording.state == "failed":
        with transaction(conn):
            writes.set_state(conn, recording.id, "waiting")
    return outcome_of(conn, look.path, recording, "already" if recording.state == "done" else "added")


def _add_take(conn: sqlite3.Connection, take: Sequence[_Look]) -> Outcome:
    first = take[0]
    with transaction(conn):
        for look in take:
            _forget_failed(conn, look.path)
        kind = "captions" if first.source.captions else "media"
        project = writes.project(conn, first.source.project)
        number = writes.add_recording(conn, project, first.path.name, kind)
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
            writes.drop_if_empty(conn, project)
            assert first.digest is not None  # it is the one that is in the log already
            twin = queries.clip_by_digest(conn, first.digest)
            assert twin is not None
            return outcome_of(conn, first.path, queries.recording(conn, twin.recording_id), "already")
        return outcome_of(conn, first.path, queries.recording(conn, number), "added")


def _moment(look: _Look) -> tuple[datetime, Any]:
    """When it was recorded and who says so: the container, else the file."""
    if look.probe is not None and look.probe.recorded_at is not None:
        return look.probe.recorded_at, look.probe.recorded_at_source
    return datetime.fromtimestamp(look.mtime_ns // 1_000_000_000, UTC), "file"


def outcome_of(conn: sqlite3.Connection, path: Path, recording: Recording, verdict: Verdict) -> Outcome:
    project = conn.execute("select name from project where id = ?", (recording.project_id,)).fetchone()["name"]
    facts = conn.execute("select count(*) from fact where recording_id = ?", (recording.id,)).fetchone()[0]
    duration = recording.duration or sum(c.duration or 0.0 for c in recording.clips) or None
    return Outcome(path, verdict, recording.id, project, recording.reason, facts, duration)


def _forget_failed(conn: sqlite3.Connection, path: Path) -> None:
    """A file that failed before is being tried again: its old row goes, and only its own.

    Where it was one of several files of a take, the others wait to be heard without it.
    """
    before = queries.clip_by_path(conn, str(path))
    if not before:
        return
    recording = queries.recording(conn, before[0].recording_id)
    if recording.state != "failed":
        return
    if len(recording.clips) > 1:
        writes.delete_clip(conn, before[0].id)
        writes.set_state(conn, recording.id, "waiting")
    else:
        writes.delete_recording(conn, recording.id)
        writes.drop_if_empty(conn, recording.project_id)


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
