"""The wood page and the tool page."""

from __future__ import annotations

import sqlite3

import pytest

from shoplog.errors import NotFound
from shoplog.search.pages import like_size, tool, wood


@pytest.mark.parametrize("name", ["cherry", "Black Cherry", "american cherry", "chery"])
def test_the_wood_page_covers_all_names_of_the_wood(conn: sqlite3.Connection, name: str) -> None:
    """Trade names and spelling lead to the same pieces, the newest first."""
    page = wood(conn, name)
    assert ["Cherry platter", "Cherry salad bowl"] == [p.project for p in page.pieces]
    assert {"cherry", "black cherry"} == set(page.names)


def test_the_wood_page_knows_how_pieces_went(conn: sqlite3.Connection) -> None:
    """Size, days, finish, cracks with the moisture then, and how each piece ended."""
    page = wood(conn, "elm")
    bowl, vase = page.pieces
    assert ("Elm bowl", "2026-10-10", (), ("crack",)) == (bowl.project, bowl.last_day, bowl.finishes, bowl.open_defects)
    assert vase.last_words is not None
    assert "That one is going in the stove." == vase.last_words.text
    (crack,) = page.cracks
    assert crack.moisture is not None
    assert ("Elm bowl", 18.0) == (crack.found.project, crack.moisture.kept.fact.value)


def test_repaired_is_not_left_open(conn: sqlite3.Connection) -> None:
    """Denials of cracks stand apart from cracks."""
    page = wood(conn, "cherry")
    assert ["Cherry platter"] == [f.project for f in page.no_cracks]
    assert ["Cherry salad bowl"] == [c.found.project for c in page.cracks]


def test_speeds_of_like_size_only(conn: sqlite3.Connection) -> None:
    """With a diameter, speeds and grits are those of pieces about as large."""
    assert 7 == wood(conn, "cherry").speeds.total - 1  # one is what somebody else does
    page = wood(conn, "cherry", like_size(13, "in"))
    assert {"Cherry platter"} == {f.project for f in page.speeds.found}


@pytest.mark.parametrize(
    ("name", "item", "kind", "uses"),
    [
        ("half inch bowl gouge", "bowl gouge", "tool", 5),
        ("skews", "skew chisel", "tool", 3),
        ("superglue", "CA glue", "adhesive", 3),
        ("shelac", "shellac", "finish", 2),
        ("spigot", "tenon", "workholding", 1),
    ],
)
def test_the_tool_page_finds_a_thing_by_any_name(
    conn: sqlite3.Connection, name: str, item: str, kind: str, uses: int
) -> None:
    """Tools, finishes, glues and holding have a page, by the words that the maker uses."""
    page = tool(conn, name)
    assert (item, kind, uses) == (page.item, page.kind, page.uses.total)


def test_the_tool_page_has_woods_speeds_and_the_last_use(conn: sqlite3.Connection) -> None:
    """Where it was used, at what speed, and when last; what was denied is no use."""
    page = tool(conn, "shellac")
    assert ["madrone"] == [g.name for g in page.woods]
    assert page.last is not None
    assert "2026-06-20" == page.last.day
    waits = tool(conn, "CA glue").waits
    assert 20.0 in [w.kept.fact.value for w in waits]


@pytest.mark.parametrize(
    ("page", "name", "message"),
    [(wood, "yew", "it has black cherry"), (tool, "flux capacitor", "no tool"), (tool, "rasp", "is about")],
)
def test_what_is_not_in_the_log(conn: sqlite3.Connection, page, name: str, message: str) -> None:  # type: ignore[no-untyped-def]
    """The answer says what there is instead."""
    with pytest.raises(NotFound, match=message):
        page(conn, name)
