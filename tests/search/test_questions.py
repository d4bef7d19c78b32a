"""Questions with known answers on invented logs."""

from __future__ import annotations

import sqlite3
import tomllib
from pathlib import Path
from typing import Any

import pytest

from shoplog.search import search, told, understand

#: Of the held questions of the second log, so many in ten at least are answered right.
FLOOR = 8


def _table(name: str) -> dict[str, Any]:
    return tomllib.loads(Path(__file__).with_name(name).read_text(encoding="utf-8"))


FIRST, SECOND = _table("questions.toml"), _table("second_questions.toml")
OPEN = [q for q in SECOND["question"] if not q.get("held")]
HELD = [q for q in SECOND["question"] if q.get("held")]


def _wrong(conn: sqlite3.Connection, question: dict[str, Any], table: dict[str, Any]) -> str:
    """What is missing or does not belong in the first three lines, with the lines; empty where all is right."""
    text = "\n".join(list(told(search(conn, understand(question["ask"], table["today"]))))[:3])
    missing = [e for e in question["expect"] if e not in text]
    wrong = [a for a in question.get("absent", []) if a in text]
    return f"missing {missing}, wrong {wrong} in:\n{text}" if missing or wrong else ""


@pytest.mark.parametrize("question", FIRST["question"], ids=lambda q: q["ask"])
def test_the_answer_stands_in_the_first_three_lines(conn: sqlite3.Connection, question: dict[str, Any]) -> None:
    """A question in plain words is answered in the first three lines, without what does not belong there."""
    assert "" == _wrong(conn, question, FIRST)


@pytest.mark.parametrize("question", OPEN, ids=lambda q: q["ask"])
def test_another_makers_questions_are_answered(second: sqlite3.Connection, question: dict[str, Any]) -> None:
    """Questions on another maker's log that were read when the rules were mended are all answered."""
    assert "" == _wrong(second, question, SECOND)


def test_questions_never_read_are_mostly_answered(second: sqlite3.Connection) -> None:
    """Of the questions that nobody looked at while the rules were made, most are answered."""
    right = sum(not _wrong(second, q, SECOND) for q in HELD)
    assert right * 10 >= FLOOR * len(HELD), f"{right} of {len(HELD)}"
