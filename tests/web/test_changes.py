"""Putting facts right on the pages: written once, shown, taken back."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from weblog import Pages, text_of

from shoplog.errors import InputError
from shoplog.facts import Fact
from shoplog.log import KeptFact
from shoplog.store import open_database, queries, transaction, writes
from shoplog.web.forms import changes_of
from shoplog.web.words import moments

SPEED = Fact("speed", value=815, unit="rpm")
RUN = Fact("grit", low=120, high=400, unit="grit", status="planned")
FROM = Fact("grit", low=180, unit="grit")


@pytest.mark.parametrize(
    ("heard", "form", "changes"),
    [
        (SPEED, {"number": "850"}, {"value": 850}),
        (SPEED, {"number": "1,200", "upto": ""}, {"value": 1200}),
        (SPEED, {"number": "815", "unit": "rpm", "item": "", "kind": "speed", "status": "done"}, {}),
        (SPEED, {"number": "600", "upto": "800"}, {"value": None, "low": 600, "high": 800}),
        (SPEED, {"number": ""}, {"value": None}),
        (SPEED, {"unit": ""}, {"unit": None}),
        (SPEED, {"status": "planned"}, {"status": "planned"}),
        (SPEED, {}, {}),
        (RUN, {"number": "120", "upto": "400"}, {}),
        (RUN, {"number": "120", "upto": ""}, {"value": 120, "low": None, "high": None}),
        (FROM, {"number": "180", "upto": ""}, {}),
        (FROM, {"number": "220", "upto": ""}, {"low": 220}),
        (Fact("tool", "bull gouge"), {"item": " Bowl  Gouge "}, {"item": "bowl gouge"}),
        (Fact("tool", "bowl gouge", 0.5, unit="in"), {"number": "5/8"}, {"value": 0.625}),
    ],
)
def test_what_a_form_changes(heard: Fact, form: dict[str, str], changes: dict[str, Any]) -> None:
    """Only what differs from what was heard is a change."""
    assert changes == changes_of(form, heard)


def test_facts_of_one_remark_stand_together() -> None:
    """The whole remark is shown, the words of its facts told apart; a fact without its remark shows its own words."""
    told = "Sand with 120, then 180 at nine hundred."
    facts = [
        KeptFact(1, 1, Fact("grit", value=180, start=3, end=4, quote="180"), cue_id=7),
        KeptFact(2, 1, Fact("grit", value=120, start=2, end=3, quote="with 120"), cue_id=7),
        KeptFact(3, 1, Fact("speed", value=450, start=1, end=2, quote="four fifty")),
    ]
    first, second = moments(facts, {7: told})
    assert ((("four fifty", True),), (3,)) == (first.remark, tuple(k.id for k in first.facts))
    assert (2, 4, (2, 1)) == (second.start, second.end, tuple(k.id for k in second.facts))
    assert told == "".join(text for text, _ in second.remark)
    assert ["with 120", "180"] == [text for text, stated in second.remark if stated]


def test_a_number_that_is_none_is_refused() -> None:
    """The sentence shows how a number is typed."""
    with pytest.raises(InputError, match="3/8"):
        changes_of({"number": "fast"}, SPEED)


def test_change_is_shown_and_taken_back(pages: Pages) -> None:
    """The project shows the corrected fact with what was heard; undo shows it as it was."""
    answer = pages.post("/fact/4/change", {"number": "850", "why": "clear enough", "back": "/project/1#f4"})
    assert answer.headers["location"].startswith("/project/1?did=")
    shown = text_of(pages.get(answer.headers["location"].split("#")[0]).text)
    assert "Now 850 rpm, was 815 rpm." in shown
    assert "put right, was 815 rpm" in shown
    listed = text_of(pages.get("/corrections").text)
    assert "850 rpm , was 815 rpm" in listed
    assert "ada" in listed
    assert "clear enough" in listed
    number = re.search(r"/correction/(\d+)/undo", pages.get("/fact/4").text)
    assert number
    assert pages.post(f"/correction/{number[1]}/undo", {"back": "/fact/4"}).status_code == 303
    again = text_of(pages.get("/project/1").text)
    assert "815 rpm" in again
    assert "850 rpm" not in again
    assert "taken back" in text_of(pages.get("/corrections").text)


def test_accepting_and_rejecting_settle_a_doubt(pages: Pages) -> None:
    """What was settled is asked no more; what was taken out is in the record no more."""
    before = pages.get("/state.json").json()["needs_a_listen"]
    pages.post("/fact/4/accept", {})
    assert "815 rpm" not in text_of(pages.get("/listen").text).replace("Taken as heard: 815 rpm", "")
    pages.post("/fact/6/reject", {})
    assert before - 1 == pages.get("/state.json").json()["needs_a_listen"]
    assert 'id="f6"' not in pages.get("/project/1").text
    assert "taken out of the record" in text_of(pages.get("/fact/6").text)


@pytest.mark.parametrize(
    ("form", "sentence"),
    [
        ({"number": "fast"}, "is not a number"),
        ({"kind": "mood"}, "is no kind"),
        ({"unit": "furlong"}, "is no unit"),
        ({"heard": "bull gouge"}, "fill in both"),
        ({"number": "9" * 30}, "out of any range"),
    ],
)
def test_a_wrong_form_changes_nothing(pages: Pages, form: dict[str, str], sentence: str) -> None:
    """One sentence says what is wrong, and nothing is written."""
    answer = pages.post("/fact/4/change", form)
    assert answer.status_code == 400
    assert sentence in text_of(answer.text)
    conn = open_database(pages.database)
    assert queries.fact(conn, 4).verdict is None
    conn.close()


def test_teaching_shows_first_then_reads_again(pages: Pages) -> None:
    """Nothing is taught before the second press; then all recordings with the words are read again."""
    form = {"number": "850", "heard": "black cherry", "meant": "black walnut", "back": "/project/1"}
    shown = pages.post("/fact/4/change", form)
    assert shown.status_code == 200
    assert "black walnut" in text_of(shown.text)
    conn = open_database(pages.database)
    assert (None, 1) == (queries.fact(conn, 4).verdict, len(queries.vocabulary(conn)))
    assert pages.post("/fact/4/change", {**form, "confirmed": "yes"}).status_code == 303
    facts = [k.fact for k in queries.facts(conn, 1)]
    assert ["black walnut"] == [f.item for f in facts if f.kind == "species"]
    assert 850 in [f.value for f in facts if f.kind == "speed"]  # the correction outlived the reading
    assert pages.post("/words/forget", {"heard": "black cherry"}, page="/corrections").status_code == 303
    assert ["black cherry"] == [k.fact.item for k in queries.facts(conn, 1) if k.fact.kind == "species"]
    conn.close()


def test_what_cannot_be_placed_is_shown(pages: Pages) -> None:
    """A correction whose words are not found any more stands on its page, apart from the others."""
    pages.post("/fact/4/change", {"number": "850"})
    conn = open_database(pages.database)
    with transaction(conn):
        writes.save_facts(conn, 1, [Fact("species", "elm", start=1, end=2, quote="elm")], "test")
    conn.close()
    assert "Not placed any more" in pages.get("/corrections").text
    assert "850 rpm" in text_of(pages.get("/corrections").text)


def test_what_was_understood_can_be_edited(pages: Pages) -> None:
    """The conditions stand in a form; sent back as they are they ask the same, changed they ask otherwise."""
    shown = pages.get("/find?q=speed+on+cherry").text
    fields = dict(re.findall(r'<label>[^<]+<input name="(\w+)" value="([^"]*)"', shown))
    assert ("speed", "cherry") == (fields["kinds"], fields["species"])
    same = pages.get("/find", params={"q": "speed on cherry", "edited": "yes", **fields}).text
    assert "815 rpm" in text_of(same)
    other = pages.get("/find", params={"q": "speed on cherry", "edited": "yes", **fields, "kinds": "moisture"}).text
    assert "28 %" in text_of(other)
    for name, wrong in (("bounds", "fast"), ("since", "yesterday"), ("want", "x"), ("beside", "mood:x")):
        assert pages.get("/find", params={"edited": "yes", name: wrong}).status_code == 400


def test_a_promise_is_settled_by_hand(pages: Pages) -> None:
    """What is due stands on the first page until the maker says that it is done."""
    home = pages.get("/").text
    key = re.search(r'action="/project/1/settle">.*?name="key" value="([^"]+)"', home, re.S)
    assert key
    assert pages.post("/project/1/settle", {"key": key[1]}, page="/").status_code == 303
    assert "No promise is open" in pages.get("/").text


def test_state_tells_of_what_is_heard(pages: Pages) -> None:
    """The small answer that the script asks for: share, counts, and a version that changes when they do."""
    state = pages.get("/state.json").json()
    assert [("day 4.wav", 0.4)] == [(h["name"], round(h["share"], 3)) for h in state["hearing"]]
    assert (1, 1) == (state["waiting"], state["failed"])
    conn = open_database(pages.database)
    with transaction(conn):
        writes.set_state(conn, state["hearing"][0]["id"], "waiting")
    conn.close()
    assert pages.get("/state.json").json()["version"] != state["version"]


def test_pages_of_an_empty_log(tmp_path: Path) -> None:
    """A new log has pages too, and they say how to begin."""
    from shoplog.web.options import Options

    open_database(tmp_path / "new.db").close()
    shown = Pages(tmp_path / "new.db", Options(read_only=False))
    for path in ("/", "/projects", "/listen", "/recordings", "/corrections", "/find?q=cherry"):
        assert shown.get(path).status_code == 200
    assert "shoplog add" in shown.get("/").text
    shown.close()


def test_pages_stay_away_from_other_databases(tmp_path: Path) -> None:
    """Someone who opens another database in Datasette finds Datasette, nothing of ours."""
    import asyncio
    import sqlite3

    from datasette.app import Datasette

    other = sqlite3.connect(tmp_path / "other.db")
    other.execute("create table birds (name text)")
    other.close()
    served = Datasette([str(tmp_path / "other.db")])
    loop = asyncio.new_event_loop()
    home = loop.run_until_complete(served.client.get("/"))
    missing = loop.run_until_complete(served.client.get("/projects"))
    assert "birds" in home.text
    assert "Ask the log" not in home.text
    assert missing.status_code == 404
    for database in served.databases.values():
        database.close()
    loop.close()


def test_a_log_in_plain_datasette_is_read_only(shop: Path) -> None:
    """Whoever starts Datasette by hand gets the pages, and can't write by them."""
    import asyncio

    from datasette.app import Datasette

    served = Datasette([str(shop)])
    loop = asyncio.new_event_loop()
    assert "read-only" in loop.run_until_complete(served.client.get("/")).text
    for database in served.databases.values():
        database.close()
    loop.close()
