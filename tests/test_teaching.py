"""A line of the maker's own list: what it would change is what it changes."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from shoplog import ingest, teaching
from shoplog.errors import InputError
from shoplog.store import queries, transaction, writes
from shoplog.transcript import Cue, Transcript


def _add(conn: sqlite3.Connection, name: str, *lines: str) -> int:
    with transaction(conn):
        number = writes.add_recording(conn, writes.project(conn, name), f"{name}.vtt", "captions")
        writes.add_clip(conn, number, Path(f"{name}.vtt"), None, 1, 1)
    cues = tuple(Cue(10.0 * n, 10.0 * n + 5, line) for n, line in enumerate(lines, 1))
    ingest.store_transcript(conn, number, Transcript(cues, duration=60.0))
    return number


def test_the_effect_is_shown_and_then_comes_true(conn: sqlite3.Connection) -> None:
    """The differences foretold are those between the facts before and after teaching; nothing else changes."""
    first = _add(conn, "one", "I use the quarter inch bowl gouge.", "Then two coats of zorblax oil.")
    second = _add(conn, "two", "Zorblax oil again, and shellac.")
    third = _add(conn, "three", "Shellac only.")
    before = {r: queries.facts(conn, r) for r in (first, second, third)}
    effect = teaching.effect(conn, "zorblax oil", "walnut oil")
    assert {first, second} == set(effect.recordings)
    assert {"walnut oil"} == {f.item for d in effect.differences for f in d.after}
    assert before == {r: queries.facts(conn, r) for r in (first, second, third)}
    assert set(effect.recordings) == set(teaching.teach(conn, "zorblax oil", "walnut oil"))
    for number in (first, second):
        assert "walnut oil" in {k.fact.item for k in queries.facts(conn, number)}
    assert before[third] == queries.facts(conn, third)


def test_forgetting_brings_back_what_was(conn: sqlite3.Connection) -> None:
    """A line taken out again leaves the facts as they were without it."""
    number = _add(conn, "one", "Two coats of zorblax oil.")
    before = [k.fact for k in queries.facts(conn, number)]
    teaching.teach(conn, "zorblax oil", "walnut oil")
    teaching.forget(conn, "zorblax oil")
    assert before == [k.fact for k in queries.facts(conn, number)]


@pytest.mark.parametrize(
    ("heard", "found"),
    [
        ("bull gouge", True),
        ("Bull  GOUGE", True),
        ("gouge", True),
        ("bull", True),
        ("gou", False),
        ("gouge bull", False),
        ("%", False),
        ("", False),
    ],
)
def test_words_are_found_whole(conn: sqlite3.Connection, heard: str, found: bool) -> None:
    """A recording holds the words where they stand one after another, in any case, not as parts of others."""
    number = _add(conn, "one", "The bull gouge, then.")
    assert ((number,) if found else ()) == teaching.holding(conn, heard)


def test_a_word_for_itself_teaches_nothing(conn: sqlite3.Connection) -> None:
    """The same words on both sides are refused."""
    with pytest.raises(InputError):
        teaching.teach(conn, "elm", "Elm")
