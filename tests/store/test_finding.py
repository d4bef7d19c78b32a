"""Searching the facts: what stands beside what, and how it is counted."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from shoplog.facts import Fact
from shoplog.store import conditions as on
from shoplog.store import context, finding, open_database, shown, transaction, writes
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


def test_facts_of_any_kind_stand_beside_one(conn: sqlite3.Connection) -> None:
    """Without a kind all that was said within seconds is found, the fact itself among it."""
    put(
        conn, [crack(100.0), Fact("finish", "oil", start=110.0), Fact("finish", "wax", start=200.0), reading(15, 105.0)]
    )
    found = finding.beside(conn, [on.this_piece()], READING, 45)
    assert {"defect", "finish", "moisture"} == {kept.fact.kind for kept, _, _ in shown.facts(conn, found)}
    assert 3 == len(found)


@pytest.mark.parametrize(
    "conditions",
    [
        [on.one_of("kind", ("speed",))],
        [on.one_of("kind", ("tool",))],
        [on.one_of("kind", ("moisture",)), on.claimed(("done",))],
        [on.claimed(("done",))],
        [on.claimed(("planned",))],
        [on.one_of("kind", ("speed",)), on.claimed(("planned",))],
    ],
)
def test_facts_are_counted_as_the_indexes_run(conn: sqlite3.Connection, conditions: list[on.Condition]) -> None:
    """Counting the facts of a kind or a claim visits no row and sorts nothing, however many there are."""
    plans: list[str] = []

    def plan(sql: str) -> None:
        if sql.startswith("select"):
            plans.extend(row["detail"] for row in other.execute(f"explain query plan {sql}"))

    other = open_database(conn.execute("pragma database_list").fetchone()["file"])
    conn.set_trace_callback(plan)
    finding.stated(conn, [*conditions, on.this_piece()], by_size=True)
    conn.set_trace_callback(None)
    other.close()
    on_facts = [p for p in plans if " fact" in p]
    assert on_facts
    assert [] == [p for p in on_facts if "COVERING INDEX" not in p]
    assert [] == [p for p in plans if "GROUP BY" in p]


def test_the_newest_recordings_are_not_sorted(conn: sqlite3.Connection) -> None:
    """The order of time is that of an index, from either end."""
    plans: list[str] = []
    other = open_database(conn.execute("pragma database_list").fetchone()["file"])
    conn.set_trace_callback(
        lambda sql: plans.extend(row["detail"] for row in other.execute(f"explain query plan {sql}"))
    )
    for newest in (True, False):
        list(shown.in_time(conn, newest=newest))
    conn.set_trace_callback(None)
    other.close()
    assert ["SCAN recording USING INDEX recording_time"] * 2 == plans


def test_counts_add_up(conn: sqlite3.Connection) -> None:
    """Facts of one kind are counted by status, by item with number, and by size."""
    speeds = [Fact("speed", value=v, unit="rpm", status=s) for v, s in ((500, "done"), (500, "done"), (700, "planned"))]  # type: ignore[arg-type]
    across = Fact("dimension", "diameter", value=11, unit="in")
    first, second = put(conn, [across, *speeds]), put(conn, speeds[:1], "b.mp4")
    context.refresh(conn)
    found = finding.stated(conn, [on.one_of("kind", ("speed",))], by_size=True)
    assert {"done": (3, {first, second}), "planned": (1, {first})} == {s: f[:2] for s, f in found.items()}
    assert [finding.Count(None, None, 500, 500, "rpm", 3, "5,5,5")] == found["done"].counts


@pytest.mark.parametrize(("newest", "days"), [(True, [3, 2, 1]), (False, [1, 2, 3])])
def test_recordings_come_in_order_of_time(conn: sqlite3.Connection, newest: bool, days: list[int]) -> None:
    """Recordings come by the time of recording, not in the order in which they were added."""
    recordings = {day: put(conn, [], f"{day}.mp4") for day in (2, 3, 1)}
    for day, recording in recordings.items():
        conn.execute("update recording set started = ? where id = ?", (f"2026-01-0{day}T09:00:00", recording))
    assert [recordings[day] for day in days] == list(shown.in_time(conn, newest=newest))
