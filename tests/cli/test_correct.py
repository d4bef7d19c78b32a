"""``shoplog correct`` does what the pages do."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from shoplog import ingest
from shoplog.cli import group
from shoplog.store import queries, transaction, writes
from shoplog.transcript import Cue, Transcript


@pytest.fixture
def told(conn: sqlite3.Connection) -> dict[str, int]:
    """A log with one recording; facts by kind to their numbers."""
    with transaction(conn):
        number = writes.add_recording(conn, writes.project(conn, "elm"), "day.vtt", "captions")
        writes.add_clip(conn, number, Path("day.vtt"), None, 1, 1)
    cues = (
        Cue(1, 4, "The lathe is at 815 rpm."),
        Cue(5, 9, "Two coats of zorblax oil."),
        Cue(10, 14, "I use a half inch bowl gouge."),
    )
    ingest.store_transcript(conn, number, Transcript(cues, duration=20.0))
    return {k.fact.kind: k.id for k in queries.facts(conn, number)}


def _run(database: Path, *words: str, answer: str = "") -> Result:
    return CliRunner().invoke(group, ["--db", str(database), "correct", *words], input=answer)


def test_change_and_undo(conn: sqlite3.Connection, database: Path, told: dict[str, int]) -> None:
    """A change says what is and what was; undo brings it back."""
    speed = str(told["speed"])
    assert "Now: 850 rpm (was 815 rpm)" in _run(database, speed, "--value", "850", "--why", "clear").output
    assert ("change", 850) == (queries.fact(conn, told["speed"]).verdict, queries.fact(conn, told["speed"]).fact.value)
    assert "850 rpm, was 815 rpm (clear)" in _run(database, "--list").output
    assert "As heard again: 815 rpm" in _run(database, speed, "--undo").output
    assert queries.fact(conn, told["speed"]).verdict is None


@pytest.mark.parametrize(
    ("words", "verdict", "field", "value"),
    [
        (["--accept"], "accept", "value", 815),
        (["--reject"], "reject", "value", 815),
        (["--low", "600", "--high", "1,200"], "change", "high", 1200),
        (["--status", "planned"], "change", "status", "planned"),
        (["--unit", "none"], "change", "unit", None),
        (["--kind", "grit", "--unit", "grit"], "change", "kind", "grit"),
    ],
)
def test_verdicts(
    conn: sqlite3.Connection,
    database: Path,
    told: dict[str, int],
    words: list[str],
    verdict: str,
    field: str,
    value: object,
) -> None:
    """Each option does what the button of the same meaning does."""
    done = json.loads(_run(database, str(told["speed"]), *words, "--json").output)
    kept = queries.fact(conn, told["speed"])
    assert (verdict, done["verdict"]) == (kept.verdict, verdict)
    assert value == getattr(kept.fact, field)


def test_teaching_asks_first(conn: sqlite3.Connection, database: Path, told: dict[str, int]) -> None:
    """What else would change is printed before the question; a no changes nothing, a yes reads again."""
    refused = _run(database, "--teach", "zorblax oil", "walnut oil", answer="n\n")
    assert "walnut oil" in refused.output
    assert [] == queries.vocabulary(conn)
    assert "1 recording read again" in _run(database, "--teach", "zorblax oil", "walnut oil", answer="y\n").output
    assert "walnut oil" in {k.fact.item for k in queries.facts(conn, 1)}
    assert "1 recording read again" in _run(database, "--forget", "zorblax oil").output
    assert [] == queries.vocabulary(conn)


@pytest.mark.parametrize(
    "words",
    [[], ["1"], ["1", "--accept", "--reject"], ["--accept"], ["--value", "5"],
     ["1", "--value", "x"], ["1", "--value", ""],
     ["99", "--accept"], ["99999999999999999999", "--accept"], ["1", "--unit", "furlong"], ["1", "--undo"],
     ["--forget", "nothing"],
     ["--teach", "elm", "elm", "--yes"], ["1", "--value", "5", "--low", "3"]],
)  # fmt: skip
def test_what_is_not_understood_changes_nothing(
    conn: sqlite3.Connection, database: Path, told: dict[str, int], words: list[str]
) -> None:
    """A refusal is an error with a sentence, and nothing is written."""
    result = _run(database, *words)
    assert result.exit_code != 0
    assert () == queries.corrections(conn, undone=True)
    assert [] == queries.vocabulary(conn)
