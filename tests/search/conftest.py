"""The invented log of log.toml, written through the store."""

from __future__ import annotations

import sqlite3
import tomllib
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from shoplog.facts import Fact
from shoplog.log import Stage
from shoplog.store import open_database, queries, transaction, writes
from shoplog.transcript import Cue, Transcript

HERE = Path(__file__).parent
#: Seconds from one line of a recording to the next.
STEP = 60.0


def write_recording(conn: sqlite3.Connection, number: int, given: dict[str, Any]) -> int:
    """One recording of log.toml with its cues, facts and stages."""
    lines = given["lines"]
    cues = tuple(Cue(n * STEP, n * STEP + 8, line["say"]) for n, line in enumerate(lines))
    facts = [
        Fact(**{"start": n * STEP + 1, "end": n * STEP + 4, "quote": line["say"], **f})
        for n, line in enumerate(lines)
        for f in line["facts"]
    ]
    with transaction(conn):
        project = writes.project(conn, given["project"])
        recording = writes.add_recording(conn, project, given["name"], "media")
        started = datetime.fromisoformat(given["started"])
        writes.add_clip(conn, recording, Path(given["name"]), f"{number:064d}", 1000, number, recorded_at=started,
                        recorded_at_source="container")  # fmt: skip
        writes.save_transcript(conn, recording, Transcript(cues, duration=len(lines) * STEP))
        writes.save_facts(conn, recording, facts, "test")
        stages, operation = [], lines[0]["op"]
        for n, line in enumerate(lines):
            if "op" in line:
                operation = line["op"]
                stages.append(Stage(recording, operation, n * STEP, (n + 1) * STEP))
            else:
                last = stages.pop()
                stages.append(Stage(recording, last.operation, last.start, (n + 1) * STEP))
        where = {
            f.id: (next(s.operation for s in stages if s.start <= f.fact.start < s.end), 1)
            for f in queries.facts(conn, recording)
        }
        writes.save_course(conn, [recording], stages, where)
    return recording


def write_log(path: Path, name: str) -> Path:
    """The database of one of the invented logs beside this file."""
    conn = open_database(path)
    for number, given in enumerate(tomllib.loads((HERE / name).read_text(encoding="utf-8"))["recording"]):
        write_recording(conn, number, given)
    conn.close()
    return path


@pytest.fixture(scope="session")
def log_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The database of the invented log."""
    return write_log(tmp_path_factory.mktemp("log") / "log.db", "log.toml")


@pytest.fixture(scope="session")
def second_log_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The database of the other maker's invented log."""
    return write_log(tmp_path_factory.mktemp("log") / "second.db", "second_log.toml")


@pytest.fixture
def conn(log_file: Path) -> Iterator[sqlite3.Connection]:
    """The invented log, open."""
    connection = open_database(log_file)
    yield connection
    connection.close()


@pytest.fixture
def second(second_log_file: Path) -> Iterator[sqlite3.Connection]:
    """The other maker's log, open."""
    connection = open_database(second_log_file)
    yield connection
    connection.close()
