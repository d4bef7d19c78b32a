"""Searching the facts: what stands beside what, and how it is counted."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from shoplog.facts import Fact
from shoplog.store import conditions as on
from shoplog.store import context, finding, open_database, transaction, writes
from shoplog.transcript import Transcript

CRACK = [on.one_of("kind", ("defect",))]
READING = [on.one_of("kind", ("moisture",))]
DRY = on.number_within(float("-inf"), 20, "%")


@pytest.fixture
def conn(tmp_path: Path) -> Iterator[sqlite3.Connection]:
    connection = open_database(tmp_path / "log.db")
    yield connection
    connection.close()


def put(conn: sqlite3.Connection, facts: list[Fact], name: str = "a.mp4") -> int:
    with transaction(conn):
        recording = writes.add_recording(conn, writes.project(conn, "elm bowl"), name, "media")
        writes.add_clip(
            conn, recording, Path(name), name, 1, 1, recorded_at=datetime(2026, 1, 1), recorded_at_source="file"
        )
        writes.save_transcript(conn, recording, Transcript(()))
        writes.save_facts(conn, recording, facts, "test")
    return recording


def crack(start: float) -> Fact:
    return Fact("defect", "crack", start=start)


def reading(percent: float, start: float) -> Fact:
    return Fact("moisture", value=percent, unit="%", start=start)


@pytest.mark.parametrize(
    ("readings", "dry"),
    [
        ([], None),
        ([(15, 10)], True),
        ([(30, 10)], False),
        ([(15, 10), (30, 90)], False),
        ([(30, 10), (15, 90)], True),
        ([(15, 80), (30, 120)], True),  # of two as near the earlier one
        ([(30, 80), (15, 120)], False),
        ([(15, 99.996), (30, 100.003)], False),
        ([(15, 90), (30, 90)], True),  # of several at one moment the one next to it, sorted by whether it is within
        ([(15, 110), (30, 110)], False),
    ],
)
def test_the_nearest_reading_decides(
    conn: sqlite3.Connection, readings: list[tuple[float, float]], dry: bool | None
) -> None:
    """A fact has the reading that was stated nearest to it in its recording, and none where none was."""
    put(conn, [crack(100.0), *(reading(*r) for r in readings)])
    put(conn, [reading(15, 100.0)], "b.mp4")
    assert [dry] == [inside for _, inside in finding.with_reading(conn, CRACK, READING, DRY)]


@pytest.mark.parametrize(
    ("start", "at_work", "beside"),
    [(60, False, True), (145, False, True), (146, False, False), (54, False, False), (900, True, True)],
)
def test_beside_is_within_seconds_or_in_the_same_operation(
    conn: sqlite3.Connection, start: float, at_work: bool, beside: bool
) -> None:
    """A fact stands beside another within so many seconds, or at work in the same operation."""
    recording = put(conn, [crack(100.0), reading(15, start)])
    conn.execute("update fact set operation = 'hollow' where recording_id = ?", (recording,))
    found = finding.beside(conn, CRACK, READING, 45, at_work=at_work)
    assert beside is bool(found)


@pytest.mark.parametrize("kind", ["speed", "moisture", "tool"])
def test_answers_are_counted_as_the_indexes_run(conn: sqlite3.Connection, kind: str) -> None:
    """Counting the facts of a kind visits no row and sorts nothing, however many there are."""
    plans: list[str] = []

    def plan(sql: str) -> None:
        if sql.startswith("select"):
            plans.extend(row["detail"] for row in other.execute(f"explain query plan {sql}"))

    other = open_database(conn.execute("pragma database_list").fetchone()["file"])
    conn.set_trace_callback(plan)
    conditions = [on.one_of("kind", (kind,)), on.this_piece()]
    finding.stated(conn, conditions)
    finding.tally(conn, conditions, "done")
    if kind == "speed":
        finding.by_size(conn, conditions, "done", (kind,))
    conn.set_trace_callback(None)
    other.close()
    on_facts = [p for p in plans if " fact" in p]
    assert on_facts
    assert [] == [p for p in on_facts if "COVERING INDEX" not in p]
    assert [] == [p for p in plans if "GROUP BY" in p]


def test_counts_add_up(conn: sqlite3.Connection) -> None:
    """Facts of one kind are counted by status, by item with number, and by size."""
    speeds = [Fact("speed", value=v, unit="rpm", status=s) for v, s in ((500, "done"), (500, "done"), (700, "planned"))]  # type: ignore[arg-type]
    across = Fact("dimension", "diameter", value=11, unit="in")
    first, second = put(conn, [across, *speeds]), put(conn, speeds[:1], "b.mp4")
    context.refresh(conn)
    conditions = [on.one_of("kind", ("speed",))]
    assert {"done": (3, {first, second}), "planned": (1, {first})} == finding.stated(conn, conditions)
    assert [3] == [c.facts for c in finding.tally(conn, conditions, "done")]
    assert [(5, 3)] == [(c.band, c.facts) for c in finding.by_size(conn, conditions, "done", ("speed",))]
