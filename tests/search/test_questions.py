"""Questions with known answers on an invented log."""

from __future__ import annotations

import sqlite3
import tomllib
from pathlib import Path
from typing import Any

import pytest

from shoplog.search import search, told, understand

TABLE = tomllib.loads(Path(__file__).with_name("questions.toml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("question", TABLE["question"], ids=lambda q: q["ask"])
def test_the_answer_stands_in_the_first_three_lines(conn: sqlite3.Connection, question: dict[str, Any]) -> None:
    """A question in plain words is answered in the first three lines, without what does not belong there."""
    lines = list(told(search(conn, understand(question["ask"], TABLE["today"]))))[:3]
    text = "\n".join(lines)
    assert [] == [e for e in question["expect"] if e not in text], text
    assert [] == [a for a in question.get("absent", []) if a in text], text
