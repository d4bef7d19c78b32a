"""The wood and the size kept beside the facts."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from shoplog.facts import Fact
from shoplog.store import context, open_database, transaction, writes
from shoplog.transcript import Transcript


@pytest.fixture
def conn(tmp_path: Path) -> Iterator[sqlite3.Connection]:
    connection = open_database(tmp_path / "log.db")
    yield connection
    connection.close()


def put(conn: sqlite3.Connection, project: str, name: str, facts: list[Fact], day: int = 1) -> int:
    with transaction(conn):
        recording = writes.add_recording(conn, writes.project(conn, project), name, "media")
        writes.add_clip(
            conn, recording, Path(name), name, 1, 1, recorded_at=datetime(2026, 1, day), recorded_at_source="file"
        )
        writes.save_transcript(conn, recording, Transcript(()))
        writes.save_facts(conn, recording, facts, "test")
    return recording


def kept(conn: sqlite3.Connection) -> list[tuple[str | None, float | None]]:
    """(wood, diameter in whole centimetres) of the speeds, in order."""
    found = conn.execute("select wood, size from fact where kind = 'speed' order by recording_id, start").fetchall()
    return [(r["wood"], None if r["size"] is None else round(r["size"] * 100)) for r in found]


def wood(name: str, status: str = "done") -> Fact:
    return Fact("species", name, status=status)  # type: ignore[arg-type]


def across(inches: float, start: float = 0.0, of: str | None = None) -> Fact:
    return Fact("dimension", "diameter", value=inches, unit="in", start=start, attrs={"of": of} if of else {})


def speed(start: float = 0.0, **attrs: object) -> Fact:
    return Fact("speed", value=500, unit="rpm", start=start, attrs=attrs)


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ([wood("elm"), speed()], [("elm", None)]),
        ([wood("ash", "reported"), wood("elm"), speed()], [("elm", None)]),
        ([wood("ash", "reported"), speed()], [("ash", None)]),
        ([wood("ash", "denied"), speed()], [(None, None)]),
        ([wood("elm"), wood("ash"), speed()], [("elm|ash", None)]),
        ([wood("elm"), speed(other_piece=True)], [(None, None)]),
        ([across(10), speed()], [(None, 25)]),
        ([across(2, of="tenon"), speed()], [(None, None)]),
        ([across(14, 0), speed(10), across(10, 100), speed(95)], [(None, 36), (None, 25)]),
        ([Fact("dimension", "width", value=10, unit="in"), speed()], [(None, 25)]),
        ([Fact("dimension", "width", value=20, unit="in"), across(10), speed()], [(None, 25)]),
    ],
)
def test_wood_and_size_of_a_fact(
    conn: sqlite3.Connection, facts: list[Fact], expected: list[tuple[str | None, float | None]]
) -> None:
    """The wood is what the maker says; the size is the piece's diameter stated nearest in time."""
    put(conn, "A", "a.mp4", facts)
    context.refresh(conn)
    assert expected == kept(conn)


def test_recordings_of_a_project_share_wood_and_size(conn: sqlite3.Connection) -> None:
    """What was said on the first day holds on the second."""
    put(conn, "A", "day 2.mp4", [speed()], day=2)
    put(conn, "A", "day 1.mp4", [wood("elm"), across(12)], day=1)
    put(conn, "B", "other.mp4", [speed()], day=1)
    context.refresh(conn)
    assert [("elm", 30), (None, None)] == kept(conn)


def test_moving_a_recording_moves_its_wood(conn: sqlite3.Connection) -> None:
    """Projects that change are worked out again, both of them."""
    speeds = put(conn, "A", "speeds.mp4", [speed()])
    put(conn, "A", "elm.mp4", [wood("elm")])
    put(conn, "B", "ash.mp4", [wood("ash")])
    context.refresh(conn)
    assert [("elm", None)] == kept(conn)
    with transaction(conn):
        writes.assign_recording(conn, speeds, "B")
    assert 2 == context.refresh(conn)
    assert [("ash", None)] == kept(conn)
    assert 0 == context.refresh(conn)


def test_a_second_camera_says_nothing_about_the_piece(conn: sqlite3.Connection) -> None:
    """What a second camera misheard does not become a wood of the piece."""
    first = put(conn, "A", "one.mp4", [wood("elm"), speed()])
    second = put(conn, "A", "two.mp4", [wood("helm")])
    with transaction(conn):
        writes.mark_same(conn, second, first, 0.0)
    context.refresh(conn)
    assert [("elm", None)] == kept(conn)


def test_a_connection_that_cannot_write_changes_nothing(conn: sqlite3.Connection, tmp_path: Path) -> None:
    """On a read-only connection what is stored stays, without an error."""
    put(conn, "A", "a.mp4", [wood("elm"), speed()])
    reader = sqlite3.connect(f"file:{tmp_path / 'log.db'}?mode=ro", uri=True)
    reader.row_factory = sqlite3.Row
    assert 0 == context.refresh(reader)
    reader.close()
    assert [(None, None)] == kept(conn)


def test_taking_out_recordings_leaves_nothing_stale(conn: sqlite3.Connection) -> None:
    """A recording with its facts can be deleted, and so can a project."""
    recording = put(conn, "A", "a.mp4", [wood("elm"), speed()])
    put(conn, "B", "b.mp4", [speed()])
    with transaction(conn):
        writes.delete_recording(conn, recording)
        writes.merge_projects(conn, "B", "A")
    context.refresh(conn)
    assert [(None, None)] == kept(conn)
    assert 0 == conn.execute("select count(*) from stale_project").fetchone()[0]
