"""What a recording is and how it sounds: probe, fingerprint, decode.

Files are only ever read. Whatever looks inside one runs in a child process with limits (see `child`).
"""

from __future__ import annotations

import hashlib
import json
import os
import stat
import subprocess
import sys
import tempfile
import threading
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import IO, Any, Literal

from shoplog.errors import UnreadableMedia
from shoplog.media.sound import RATE, Sound, size_of
from shoplog.media.takes import Clip, takes

__all__ = ["RATE", "Clip", "Probe", "Sound", "decode", "fingerprint", "probe", "takes"]

CHILD = Path(__file__).with_name("child.py")
#: Longer than this is taken for a damaged header, not for a recording.
MAX_HOURS = 24.0
#: The wall limit of a child: this many seconds, and one more for each of these bytes.
WALL_SECONDS, WALL_BYTES = 300.0, 1_000_000


@dataclass(frozen=True, slots=True)
class Probe:
    """What a file says of itself. ``duration`` in seconds or None; ``recorded_at`` is aware.

    ``recorded_at_source`` says who gave the moment: the container's metadata, or the file's own time of change.
    """

    container: str
    duration: float | None
    codec: str
    sample_rate: int
    channels: int
    has_video: bool
    recorded_at: datetime | None
    recorded_at_source: Literal["container", "file"] | None


def fingerprint(path: str | os.PathLike[str]) -> str:
    """SHA-256 of the content, as hex: the same recording wherever it lies. Raises UnreadableMedia without rights."""
    try:
        with Path(path).open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except OSError as error:
        raise UnreadableMedia(path, _refusal(error)) from error


def probe(path: str | os.PathLike[str]) -> Probe:
    """Look at a file without decoding it. Raises UnreadableMedia with the reason if it is no recording with sound."""
    info = _regular(path)
    found = _child("probe", path, info.st_size)
    moment = _recorded(found["tags"])
    return Probe(
        container=found["container"],
        duration=found["duration"],
        codec=found["codec"],
        sample_rate=found["rate"],
        channels=found["channels"],
        has_video=found["has_video"],
        recorded_at=moment or datetime.fromtimestamp(info.st_mtime, UTC).replace(microsecond=0),
        recorded_at_source="container" if moment else "file",
    )


def decode(
    path: str | os.PathLike[str],
    *,
    on_progress: Callable[[float], None] | None = None,
    max_hours: float = MAX_HOURS,
) -> Sound:
    """The sound of a recording at 16 kHz mono, on disk in a nameless temporary file; close it (or use ``with``).

    Times are the recording's own: holes in its timestamps are silence. A file that was cut off gives what can be
    decoded (see `Sound.cut_off`). ``on_progress`` gets the seconds decoded so far. Raises UnreadableMedia.
    """
    info = _regular(path)
    file = tempfile.TemporaryFile(prefix="shoplog-")  # noqa: SIM115 - the Sound closes it
    try:
        found = _child("decode", path, info.st_size, str(max_hours * 3600), out=file, on_progress=on_progress)
        samples = min(found["samples"], size_of(file) // 2)
    except BaseException:
        file.close()
        raise
    return Sound(samples, file=file, claimed=found["claimed"], gaps=found["gaps"], broken=found["broken"])


def _regular(path: str | os.PathLike[str]) -> os.stat_result:
    """The file's facts, if it is a file that can be opened and holds something."""
    try:
        info = Path(path).stat()
        if not stat.S_ISREG(info.st_mode):
            raise UnreadableMedia(path, "this is not a file")
        with Path(path).open("rb"):
            pass
    except OSError as error:
        raise UnreadableMedia(path, _refusal(error)) from error
    if not info.st_size:
        raise UnreadableMedia(path, "the file is empty (0 bytes)")
    return info


def _refusal(error: OSError) -> str:
    if isinstance(error, PermissionError):
        return "it cannot be read; check its rights"
    if isinstance(error, FileNotFoundError):
        return "there is no such file"
    return f"it cannot be read ({error.strerror or error})"


def _child(
    task: str,
    path: str | os.PathLike[str],
    size: int,
    *more: str,
    out: IO[bytes] | None = None,
    on_progress: Callable[[float], None] | None = None,
) -> dict[str, Any]:
    """Run the child on one file and return its result, or raise what it said as UnreadableMedia."""
    command = [sys.executable, "-P", str(CHILD), task, os.fspath(Path(path).absolute()), *more]
    limit = WALL_SECONDS + size / WALL_BYTES
    said: dict[str, Any] = {}
    with subprocess.Popen(  # noqa: S603 - a list of arguments, no shell
        command, stdin=subprocess.DEVNULL, stdout=out or subprocess.DEVNULL, stderr=subprocess.PIPE
    ) as child:
        watch = threading.Timer(limit, child.kill)
        watch.start()
        try:
            assert child.stderr is not None, "stderr was asked for"
            for line in child.stderr:
                said = _said(line) or said
                if on_progress and "at" in said:
                    on_progress(said["at"])
        except BaseException:
            child.kill()
            raise
        finally:
            overdue = not watch.is_alive()
            watch.cancel()
    if "result" in said:
        result: dict[str, Any] = said["result"]
        return result
    if overdue:
        raise UnreadableMedia(path, f"it was given up after {limit / 60:.0f} minutes; the file may be damaged")
    raise UnreadableMedia(path, said.get("why") or "reading it broke the decoder; the file may be damaged")


def _said(line: bytes) -> dict[str, Any] | None:
    """A line of the child as an object; libraries may print lines of their own in between."""
    try:
        said = json.loads(line)
    except ValueError:
        return None
    return said if isinstance(said, dict) else None


#: Tags that hold the moment of recording, the surest first; the first carries the camera's own time zone.
MOMENT_TAGS = ("com.apple.quicktime.creationdate", "creation_time", "date_recorded", "date")


def _recorded(tags: dict[str, str]) -> datetime | None:
    """The moment of recording in a container's tags; a clock that was never set (1904, 1970) says nothing."""
    tomorrow = datetime.now(UTC) + timedelta(days=1)
    for name in MOMENT_TAGS:
        text = tags.get(name, "").strip()
        if len(text) < len("2026-01-01T00:00"):  # a day or a year alone is not a moment
            continue
        try:
            moment = datetime.fromisoformat(text)
        except ValueError:
            continue
        moment = moment if moment.tzinfo else moment.astimezone()
        if datetime(1990, 1, 1, tzinfo=UTC) < moment < tomorrow:
            return moment
    return None
