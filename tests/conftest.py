"""What every test may ask for: a log of its own, and an environment in which nothing of the user's is touched."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from shoplog.facts import Fact
from shoplog.transcript import Cue, Transcript


@pytest.fixture(autouse=True)
def own_home(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The database and the maker's own files are the test's; joined weights are kept for the whole run."""
    home = tmp_path_factory.mktemp("home")
    cache = tmp_path_factory.getbasetemp() / "cache"
    cache.mkdir(exist_ok=True)
    (home / "cache").symlink_to(cache, target_is_directory=True)
    monkeypatch.setenv("SHOPLOG_HOME", str(home))
    monkeypatch.delenv("SHOPLOG_DB", raising=False)
    return home


@pytest.fixture
def database(tmp_path: Path) -> Path:
    return tmp_path / "log.db"


@pytest.fixture
def conn(database: Path) -> Iterator[object]:
    """An open, empty log."""
    from shoplog.store import open_database

    opened = open_database(database)
    yield opened
    opened.close()


@pytest.fixture
def keep(conn: object) -> Callable[..., int]:
    """``keep(project, cues, facts, name="day-1.vtt")`` puts a recording into the log and returns its number."""
    from shoplog.store import transaction, writes

    def put(project: str, cues: list[Cue], facts: list[Fact], name: str = "day-1.vtt") -> int:
        with transaction(conn):
            number = writes.add_recording(conn, writes.project(conn, project), name, "captions")
            writes.add_clip(conn, number, Path("/nowhere") / name, None, 1, 1)
            writes.save_transcript(conn, number, Transcript(tuple(cues)))
            writes.save_facts(conn, number, facts, "test")
        return number

    return put
