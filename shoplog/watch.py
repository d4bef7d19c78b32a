"""The inbox: a folder that is watched, one recording heard at a time.

What the system tells of changes is only a hint (it tells nothing on many network folders); a look at the whole folder
every few seconds is the truth. A file is taken when two looks find it unchanged and it can be opened.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

from shoplog import ingest
from shoplog.errors import InputError
from shoplog.hearing import Hearing, Progress, Stopped
from shoplog.inbox import Source, is_captions, project_of, sources
from shoplog.register import Outcome, register_all
from shoplog.store import open_database, queries

#: Seconds between two looks; a file that did not change from one to the next has stopped growing.
LOOK_SECONDS = 5.0

#: Size and time of change of a file, by which a change is seen.
_Sight = tuple[int, int]


def watch(
    folder: Path,
    database: Path,
    *,
    hearing: Hearing | None = None,
    stop: threading.Event | None = None,
    tell: Callable[[str], None] = lambda line: None,
    poll: bool = False,
    once: bool = False,
    look_seconds: float = LOOK_SECONDS,
) -> None:
    """Take in what is put into ``folder`` until ``stop`` is set (or, with ``once``, what is there now).

    Raises InputError where there is no such folder, StoreError and WeightsError where nothing can be heard.
    """
    if not folder.is_dir():
        raise InputError(f"There is no folder {folder}; make it, or name another one.")
    stop = stop or threading.Event()
    seen: dict[Path, _Sight] = {}
    settled: dict[Path, _Sight] = {}
    told: set[Path] = set()
    with closing(open_database(database)) as conn:
        try:
            for recording_id in _unfinished(conn):
                _say(tell, ingest.process(conn, recording_id, hearing, _teller(tell), stop))
            while not stop.is_set():
                ready = _ready(folder, seen, settled, told, tell)
                outcomes = register_all(conn, [Source(p, project_of(p, folder), is_captions(p)) for p in ready])
                for path in ready:
                    settled[path] = seen[path]
                for outcome in outcomes:
                    if outcome.verdict == "failed":
                        _say(tell, outcome)
                waiting = [o.recording_id for o in outcomes if o.verdict == "added" and o.recording_id is not None]
                for recording_id in dict.fromkeys(waiting):
                    _say(tell, ingest.process(conn, recording_id, hearing, _teller(tell), stop))
                ingest.mark_same_moments(conn)
                if once and not ready and len(settled) == len(seen):
                    return
                _wait(folder, stop, look_seconds, poll)
        except Stopped:
            return


def _unfinished(conn: object) -> list[int]:
    """What an earlier run left waiting or half heard."""
    found = queries.state(conn)  # type: ignore[arg-type]
    return [row["id"] for row in (*found["hearing"], *found["waiting"])]


def _ready(
    folder: Path,
    seen: dict[Path, _Sight],
    settled: dict[Path, _Sight],
    told: set[Path],
    tell: Callable[[str], None],
) -> list[Path]:
    """Files that look the same as at the last look and were not taken in this state; ``seen`` is brought up to now."""
    ready = []
    present: dict[Path, _Sight] = {}
    found, passed = sources([folder])
    for trouble in passed:
        if trouble.failed and trouble.path not in told:
            told.add(trouble.path)
            tell(f"{trouble.path}: {trouble.reason}")
    for source in found:
        try:
            stat = source.path.stat()
        except OSError:
            continue  # gone between the look and now
        present[source.path] = (stat.st_size, stat.st_mtime_ns)
        if seen.get(source.path) == present[source.path] != settled.get(source.path):
            ready.append(source.path)
    seen.clear()
    seen.update(present)
    for gone in settled.keys() - present.keys():
        del settled[gone]
    return ready


def _wait(folder: Path, stop: threading.Event, seconds: float, poll: bool) -> None:
    """Until something changes in the folder, or the time for the next look has come, or ``stop`` is set."""
    from watchfiles import watch as changes

    told = changes(
        folder,
        stop_event=stop,
        rust_timeout=int(seconds * 1000),
        yield_on_timeout=True,
        raise_interrupt=False,
        force_polling=poll or None,
        poll_delay_ms=1000,
    )
    try:
        next(told, None)
    except (OSError, FileNotFoundError):
        stop.wait(seconds)
        return
    # A change begins a copy more often than it ends one: two looks must not follow at once.
    stop.wait(min(seconds, 2.0))


def _teller(tell: Callable[[str], None]) -> Progress:
    begun: set[str] = set()

    def progress(name: str, share: float) -> None:
        if name not in begun:
            begun.add(name)
            tell(f"hearing {name} ...")

    return progress


def _say(tell: Callable[[str], None], outcome: Outcome) -> None:
    if outcome.verdict == "failed":
        tell(f"{outcome.path}: failed; {outcome.reason}")
    else:
        tell(f'{outcome.path.name}: {outcome.facts} facts, in "{outcome.project}"')
