"""The maker's word wins, and survives hearing and reading again."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable

import pytest

from shoplog.errors import InputError
from shoplog.facts import Fact
from shoplog.log import Verdict
from shoplog.store import corrections, queries, transaction, writes
from shoplog.transcript import Cue

CUES = [Cue(0, 4, "the lathe is at eight fifty"), Cue(4, 8, "and I used the half inch bowl gouge")]
SPEED = Fact("speed", value=850, unit="rpm", start=0.5, end=3, quote="the lathe is at eight fifty", confidence=0.4)
TOOL = Fact("tool", item="bowl gouge", value=0.5, unit="in", start=5, end=8, quote="the half inch bowl gouge")


@pytest.fixture
def recording(keep: Callable[..., int]) -> int:
    return keep("elm bowl", CUES, [SPEED, TOOL])


def _facts(conn: sqlite3.Connection, recording: int) -> list[Fact]:
    return [k.fact for k in queries.facts(conn, recording)]


def test_change_is_shown_and_the_heard_fact_kept(conn: sqlite3.Connection, recording: int) -> None:
    """The changed value is shown with full confidence; what was heard stays beside it."""
    with transaction(conn):
        corrections.correct(conn, 1, "change", {"value": "815"}, why="listened", author="Ada")
    kept = queries.facts(conn, recording)[0]
    assert (815.0, 1.0, "change") == (kept.fact.value, kept.fact.confidence, kept.verdict)
    assert kept.heard == SPEED
    assert not kept.doubtful


def test_reject_hides_and_undo_brings_back(conn: sqlite3.Connection, recording: int) -> None:
    """A rejected fact is shown nowhere; taking the correction back shows it as it was heard."""
    with transaction(conn):
        number = corrections.correct(conn, 1, "reject")
    assert [TOOL] == _facts(conn, recording)
    with transaction(conn):
        corrections.undo(conn, number)
    assert [SPEED, TOOL] == _facts(conn, recording)
    assert [number] == [c.id for c in queries.corrections(conn, undone=True)]


@pytest.mark.parametrize(
    ("heard_again", "placed"),
    [
        ([SPEED, TOOL], True),
        ([Fact("speed", value=15, unit="rpm", start=1.4, end=3, quote="lathe is at a fifty")], True),
        ([Fact("speed", value=850, unit="rpm", start=90, end=93, quote="the lathe is at eight fifty")], False),
        ([Fact("speed", value=300, unit="rpm", start=1, end=3, quote="turn down for sanding")], False),
        ([TOOL], False),
    ],
    ids=["the same", "heard otherwise", "elsewhere", "other words", "not found again"],
)
def test_correction_survives_reading_again(
    conn: sqlite3.Connection, recording: int, heard_again: list[Fact], placed: bool
) -> None:
    """It is put back by kind, place and words; where that fails it is kept, unplaced."""
    with transaction(conn):
        corrections.correct(conn, 1, "change", {"value": 815})
    with transaction(conn):
        writes.save_facts(conn, recording, heard_again, "newer")
    assert placed == (815.0 in [f.value for f in _facts(conn, recording)])
    assert placed == (queries.corrections(conn, recording)[0].fact_id is not None)


def test_missed_fact_is_added_and_survives(conn: sqlite3.Connection, recording: int) -> None:
    """A fact that a person put in stays; when it is found by itself later, it is not there twice."""
    grit = Fact("grit", value=120, unit="grit", start=6, end=7, quote="one twenty")
    with transaction(conn):
        corrections.add_missed(conn, recording, grit)
        writes.save_facts(conn, recording, [SPEED], "newer")
    assert [("speed", 850.0), ("grit", 120.0)] == [(f.kind, f.value) for f in _facts(conn, recording)]
    with transaction(conn):
        writes.save_facts(conn, recording, [SPEED, grit], "newest")
    assert [("speed", 850.0), ("grit", 120.0)] == [(f.kind, f.value) for f in _facts(conn, recording)]


@pytest.mark.parametrize(
    "new",
    [
        {},
        {"value": "fast"},
        {"unit": "furlong"},
        {"status": "maybe"},
        {"kind": "colour"},
        {"quote": "x"},
        {"value": 1, "low": 2},
    ],
    ids=str,
)
def test_nonsense_is_refused(conn: sqlite3.Connection, recording: int, new: dict[str, object]) -> None:
    """A change that makes no fact is refused with what is allowed, and nothing is written."""
    with pytest.raises(InputError), transaction(conn):
        corrections.correct(conn, 1, "change", new)
    assert () == queries.corrections(conn)


def test_range_replaces_value(conn: sqlite3.Connection, recording: int) -> None:
    """Two ends instead of one number leave no number behind, and search compares the ends."""
    with transaction(conn):
        corrections.correct(conn, 1, "change", {"low": 800, "high": 900})
    fact = _facts(conn, recording)[0]
    assert (None, 800.0, 900.0) == (fact.value, fact.low, fact.high)
    assert (800.0, 900.0) == tuple(conn.execute("select si_low, si_high from fact where id = 1").fetchone())


@pytest.mark.parametrize(
    ("verdict", "new", "value"), [("change", {"value": 70}, 70.0), ("accept", {}, 60.0)], ids=["changed", "accepted"]
)
def test_missed_fact_that_was_put_right_survives(
    conn: sqlite3.Connection, recording: int, verdict: Verdict, new: dict[str, float], value: float
) -> None:
    """A fact put in by hand and judged again is still there, as judged, after the recording is read again."""
    missed = Fact("speed", value=60, unit="rpm", start=6, end=7, quote="sixty")
    with transaction(conn):
        corrections.add_missed(conn, recording, missed)
    number = next(k.id for k in queries.facts(conn, recording) if k.verdict == "add")
    with transaction(conn):
        corrections.correct(conn, number, verdict, new)
        writes.save_facts(conn, recording, [SPEED, TOOL], "newer")
    assert [value] == [k.fact.value for k in queries.facts(conn, recording) if k.verdict == "add"]


def test_taking_back_a_missed_fact_leaves_what_was_heard_since(conn: sqlite3.Connection, recording: int) -> None:
    """A fact put in by hand that newer patterns find themselves is theirs when the maker's word is taken back."""
    missed = Fact("speed", value=60, unit="rpm", start=6, end=7, quote="sixty")
    with transaction(conn):
        number = corrections.add_missed(conn, recording, missed)
        writes.save_facts(conn, recording, [SPEED, TOOL, missed], "newer")
        corrections.undo(conn, number)
    assert [SPEED, TOOL, missed] == _facts(conn, recording)
