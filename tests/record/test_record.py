"""The record shows what was stated with its time, keeps statuses apart, and is safe against what was said."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from html.parser import HTMLParser

import pytest

from shoplog import ingest, record
from shoplog.facts import KINDS, Fact
from shoplog.record import Record
from shoplog.record.summary import ORDER
from shoplog.store import queries
from shoplog.transcript import Cue

CUES = [
    Cue(0, 5, "This is elm and the blank is ten inches across"),
    Cue(5, 10, "the lathe is at 600 rpm and I'm roughing it round"),
    Cue(10, 15, "<script>alert(1)</script> & there's a crack"),
    Cue(15, 20, "I might take it to 900"),
]
FACTS = [
    Fact("species", "elm", start=0, end=1, quote="elm"),
    Fact("dimension", "diameter", 10, unit="in", start=2, end=4, quote="ten inches across", attrs={"of": "blank"}),
    Fact("speed", value=600, unit="rpm", start=5, end=7, quote="the lathe is at 600 rpm"),
    Fact("defect", "crack", start=12, end=14, quote="<script>alert(1)</script> & there's a crack", confidence=0.3),
    Fact("speed", value=900, unit="rpm", status="hypothetical", start=16, end=19, quote="900"),
]


@pytest.fixture
def made(conn: sqlite3.Connection, keep: Callable[..., int]) -> Record:
    keep("elm <b>bowl</b>", CUES, FACTS, name="day & night.vtt")
    ingest.recourse(conn)
    return record.record(queries.load_project(conn, "elm <b>bowl</b>"))


def test_every_kind_has_its_place() -> None:
    """A new kind of fact can't be forgotten in the record."""
    assert set(KINDS) == set(ORDER)


def test_text_has_every_fact_with_its_time(made: Record) -> None:
    """Each stated thing stands in the text with the moment of its recording."""
    text = record.to_text(made)
    for words in ("elm", "diameter 10 in (blank)", "600 rpm", "crack", "maybe: 900 rpm"):
        assert words in text
    assert "0:05  speed" in text
    assert "doubtful hearing needs a listen" in text


def test_card_holds_only_what_was_done_for_certain(made: Record) -> None:
    """Neither a perhaps nor a doubtful hearing gets onto the set-up card."""
    card = record.card_text(made)
    assert "600 rpm" in card
    assert "900" not in card
    assert "crack" not in card


def test_computed_is_apart_and_labelled(made: Record) -> None:
    """The rim speed of 10 in at 600 rpm, pi D N / 12, is 1571 ft/min, under a heading that says computed."""
    computed = record.to_text(made).split("Computed, not stated")[1]
    assert "1571 ft/min" in computed


def test_json_is_whole(made: Record) -> None:
    """Programs get the facts by their contract and everything else as plain values."""
    whole = json.loads(json.dumps(record.to_json(made), default=str))
    assert 5 == len(whole["facts"])
    assert {"id", "recording", "kind", "item", "quote", "operation", "doubtful"} <= whole["facts"][0].keys()


class _Page(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.outside: list[str] = []
        self.words = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.outside += [v for k, v in attrs if k in ("src", "href") and v and not v.startswith("#")]

    def handle_data(self, data: str) -> None:
        self.words += data


def test_page_is_self_contained_and_escapes_what_was_said(made: Record) -> None:
    """No script, nothing from outside, and hostile words are shown as words."""
    page = _Page()
    page.feed(record.to_html(made))
    assert "script" not in page.tags
    assert "b" not in page.tags
    assert [] == page.outside
    assert "<script>alert(1)</script>" in page.words
    assert "elm <b>bowl</b>" in page.words


def test_markdown_escapes_what_was_said(made: Record) -> None:
    """Nothing that was said becomes markup."""
    assert "<script>" not in record.to_markdown(made).replace("\\<script\\>", "")


def test_empty_project_has_a_record(conn: sqlite3.Connection, keep: Callable[..., int]) -> None:
    """A project of one silent recording says what it doesn't know, in every form."""
    keep("nothing", [], [])
    made = record.record(queries.load_project(conn, "nothing"))
    assert "wood not stated" in record.to_text(made)
    assert record.to_html(made)
    assert record.to_markdown(made)
    assert record.to_json(made)
