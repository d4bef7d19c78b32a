"""The inbox is watched: files are taken when they are complete, once, and after a restart."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from shoplog.errors import InputError
from shoplog.store import open_database, queries
from shoplog.watch import watch

WORDS = "[0:00] This is elm, and the lathe is at 850 rpm.\n"


@contextmanager
def watching(folder: Path, database: Path) -> Iterator[list[str]]:
    stop, told = threading.Event(), []
    thread = threading.Thread(
        target=watch, args=(folder, database), kwargs={"stop": stop, "tell": told.append, "look_seconds": 0.2}
    )
    thread.start()
    try:
        yield told
    finally:
        stop.set()
        thread.join(20)
        assert not thread.is_alive()


def until(true: Callable[[], bool], seconds: float = 20) -> None:
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "it did not happen"
        time.sleep(0.05)


def names(database: Path) -> list[str]:
    if not database.exists():
        return []
    conn = open_database(database)
    try:
        return sorted(r.name for r in queries.recordings(conn) if r.state == "done")
    finally:
        conn.close()


def test_takes_what_is_put_there_once(tmp_path: Path, database: Path) -> None:
    """Files there at the start and files put there later are taken once; a rename is no new recording."""
    box = tmp_path / "inbox"
    box.mkdir()
    (box / "before.txt").write_text(WORDS)
    with watching(box, database):
        until(lambda: names(database) == ["before.txt"])
        (box / "elm").mkdir()
        (box / "elm" / "later.txt").write_text(WORDS + "[0:09] later")
        until(lambda: names(database) == ["before.txt", "later.txt"])
        (box / "elm" / "later.txt").rename(box / "elm" / "renamed.txt")
        time.sleep(1)
    assert ["before.txt", "later.txt"] == names(database)
    with watching(box, database):
        time.sleep(1)
    assert ["before.txt", "later.txt"] == names(database)


def test_waits_until_a_file_stops_growing(tmp_path: Path, database: Path) -> None:
    """A file that is being copied is taken when it is complete, with all its words."""
    box = tmp_path / "inbox"
    box.mkdir()
    with watching(box, database):
        with (box / "slow.txt").open("w") as file:
            for n in range(12):
                file.write(f"[0:{n:02d}] line {n} of it\n")
                file.flush()
                time.sleep(0.1)
        until(lambda: names(database) == ["slow.txt"])
    conn = open_database(database)
    assert 12 == len(queries.cues(conn, 1))


def test_failed_file_is_tried_again_when_it_changes(tmp_path: Path, database: Path) -> None:
    """A file that can't be used is told once and taken when it has been mended."""
    box = tmp_path / "inbox"
    box.mkdir()
    (box / "x.vtt").write_text("WEBVTT\n\n")
    with watching(box, database) as told:
        until(lambda: any("failed" in line for line in told))
        time.sleep(1)
        assert 1 == len([line for line in told if "failed" in line])
        (box / "x.vtt").write_text("WEBVTT\n\n00:01.000 --> 00:02.000\nthe lathe is at 850 rpm\n")
        until(lambda: names(database) == ["x.vtt"])
    conn = open_database(database)
    assert ["done"] == [r.state for r in queries.recordings(conn)]


def test_missing_folder_says_so(tmp_path: Path, database: Path) -> None:
    """Watching a folder that is not there is refused."""
    with pytest.raises(InputError, match="no folder"):
        watch(tmp_path / "nowhere", database)
