"""What counts, what comes first, and what is said where nothing is found."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from shoplog.facts import Fact
from shoplog.search import Query, search, told, understand
from shoplog.search.query import Bounds
from shoplog.store import corrections, open_database, queries, transaction, writes
from shoplog.transcript import Cue, Transcript


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[sqlite3.Connection]:
    conn = open_database(tmp_path / "log.db")
    yield conn
    conn.close()


def put(conn: sqlite3.Connection, project: str, facts: list[Fact], *, day: int = 1, words: str = "said here") -> int:
    """A recording of one cue with these facts."""
    with transaction(conn):
        recording = writes.add_recording(conn, writes.project(conn, project), f"{project} {day}.mp4", "media")
        writes.add_clip(conn, recording, Path(f"{project}{day}.mp4"), f"{project}{day}", 1, 1,
                        recorded_at=datetime(2026, 1, day, 9), recorded_at_source="container")  # fmt: skip
        writes.save_transcript(conn, recording, Transcript((Cue(0.0, 60.0, words),), duration=60.0))
        writes.save_facts(conn, recording, facts, "test")
    return recording


def speed(value: float, status: str = "done", **more: object) -> Fact:
    return Fact("speed", value=value, unit="rpm", status=status, quote="said here", **more)  # type: ignore[arg-type]


def test_what_was_done_comes_before_plans_and_denials_come_last(empty: sqlite3.Connection) -> None:
    """Status ranks before everything else; the summary is over what was done."""
    statuses = ("denied", "hypothetical", "planned", "done", "reported", "habit")
    put(empty, "A", [speed(100.0 * n, s) for n, s in enumerate(statuses, 1)])
    answer = search(empty, understand("speeds"))
    assert ["done", "habit", "reported", "planned", "hypothetical", "denied"] == [
        f.kept.fact.status for f in answer.found
    ]
    assert answer.summary is not None
    assert ("done", 1) == (answer.summary.of, answer.summary.count)


@pytest.mark.parametrize(
    ("status", "begins"), [("done", "Yes"), ("denied", "No"), ("planned", "Nothing says"), ("habit", "Nothing says")]
)
def test_only_what_was_done_answers_did_i(empty: sqlite3.Connection, status: str, begins: str) -> None:
    """A denial answers no, a plan or a habit answers neither yes nor no."""
    put(empty, "A", [Fact("finish", "shellac", status=status, quote="said here")])  # type: ignore[arg-type]
    assert list(told(search(empty, understand("did I use shellac"))))[1].startswith(begins)


def test_rejected_second_camera_and_other_pieces_do_not_count(empty: sqlite3.Connection) -> None:
    """A fact counts once, and only if the maker did not reject it and it is of this piece."""
    first = put(empty, "A", [speed(500), speed(600), speed(700, attrs={"other_piece": True})])
    second = put(empty, "A", [speed(500)], day=2)
    with transaction(empty):
        writes.mark_same(empty, second, first, 0.0)
        corrections.correct(empty, queries.facts(empty, first)[1].id, "reject")
    assert [500.0] == [f.kept.fact.value for f in search(empty, understand("speeds")).found]
    with_others = search(empty, Query(kinds=("speed",), other_piece=True))
    assert [500.0, 700.0] == sorted(f.kept.fact.value or 0 for f in with_others.found)


def test_a_correction_is_found_and_the_misheard_number_is_not(empty: sqlite3.Connection) -> None:
    """Facts are found as they are shown: heard plus corrected; the wood too."""
    recording = put(empty, "A", [speed(580), Fact("species", "ash", quote="said here")])
    heard, wood = queries.facts(empty, recording)
    with transaction(empty):
        corrections.correct(empty, heard.id, "change", {"value": 850})
        corrections.correct(empty, wood.id, "change", {"item": "elm"})
    assert 1 == search(empty, understand("speed over 800 on elm")).total
    assert 0 == search(empty, understand("speed under 600")).total
    assert 0 == search(empty, understand("speed on ash")).total


def test_the_wood_is_what_the_maker_says_and_not_the_tag(empty: sqlite3.Connection) -> None:
    """A reported name counts only where the maker named no wood."""
    tag = Fact("species", "ash", status="reported", quote="said here")
    put(empty, "Tagged", [tag, Fact("species", "elm", quote="said here"), speed(500)])
    put(empty, "Only tagged", [tag, speed(600)], day=2)
    assert [600.0] == [f.kept.fact.value for f in search(empty, understand("speed on ash")).found]
    assert [500.0] == [f.kept.fact.value for f in search(empty, understand("speed on elm")).found]


def test_the_diameter_is_the_one_stated_nearest_in_time(empty: sqlite3.Connection) -> None:
    """A piece gets smaller; a tenon's diameter is not the piece's."""
    size = {"kind": "dimension", "item": "diameter", "unit": "in", "quote": "said here"}
    facts = [
        Fact(value=14, start=0, **size), speed(400, start=10), Fact(value=3, start=20, attrs={"of": "tenon"}, **size),
        Fact(value=12, start=200, **size), speed(900, start=210),
    ]  # type: ignore[arg-type]  # fmt: skip
    put(empty, "A", facts)
    assert [400.0] == [f.kept.fact.value for f in search(empty, understand("speeds over 13 inches")).found]
    assert [900.0] == [f.kept.fact.value for f in search(empty, understand("speeds under 320 mm")).found]
    assert 0 == search(empty, understand("speeds under 4 inches")).total


def test_nothing_found_names_the_condition_that_excluded_everything(empty: sqlite3.Connection) -> None:
    """Where nothing is found, the answer says without which condition something would be."""
    put(empty, "A", [Fact("species", "elm", quote="said here"), speed(500), speed(600)])
    answer = search(empty, understand("speed over 900 on elm"))
    assert (("--number 900rpm..", 2),) == answer.excluded
    assert "No fact meets all of this: 2 without --number 900rpm.." == list(told(answer))[1]
    both = search(empty, understand("speed over 900 on yew"))
    assert {("--number 900rpm..", 0), ("--species yew", 0)} == set(both.excluded)
    assert "The log holds no fact of --kind moisture" == list(told(search(empty, understand("moisture"))))[1]


def test_what_stands_beside_is_the_nearest_there_is(empty: sqlite3.Connection) -> None:
    """A tool named within minutes, else in the same recording, else on the same piece; a wait in the same breath."""
    skew = Fact("tool", "skew chisel", start=0, quote="said here")
    put(empty, "Near", [skew, speed(900, start=60), speed(400, start=900)])
    put(empty, "Far", [skew, speed(700, start=900)], day=2)
    found = search(empty, understand("speed with the skew")).found
    assert [900.0] == [f.kept.fact.value for f in found]
    epoxy = Fact("adhesive", "epoxy", start=0, quote="said here")
    waits = [Fact("duration", value=v, unit="h", start=s, quote="said here") for v, s in ((12, 5), (2, 120))]
    put(empty, "Wait", [epoxy, *waits], day=3)
    assert [12.0] == [f.kept.fact.value for f in search(empty, understand("how long did the epoxy take")).found]


def test_a_lasting_number_holds_until_the_next_one(empty: sqlite3.Connection) -> None:
    """The moisture at a crack is the reading stated nearest in time."""
    wet, dry = (Fact("moisture", value=v, unit="%", start=s, quote="said here") for v, s in ((40, 0), (12, 500)))
    cracks = [
        Fact("defect", "crack", start=s, quote="said here", attrs={"where": w}) for s, w in ((30, "rim"), (510, "foot"))
    ]
    put(empty, "A", [wet, dry, *cracks])
    found = search(empty, understand("cracked below 20 percent")).found
    assert ["foot"] == [f.kept.fact.attrs["where"] for f in found]


def test_the_nearest_is_shown_where_nothing_meets_all(empty: sqlite3.Connection) -> None:
    """Below the reason stands what meets all other conditions."""
    put(empty, "A", [Fact("species", "elm", quote="said here"), speed(500), speed(600)])
    answer = search(empty, understand("speed over 900 on elm"))
    assert ("--number 900rpm..", [600.0, 500.0]) == (
        answer.without,
        sorted((f.kept.fact.value or 0 for f in answer.instead), reverse=True),
    )


def test_the_time_of_an_operation_is_that_of_the_piece_named(conn: sqlite3.Connection) -> None:
    """Recorded time is summed up by piece; all words of a name narrow it, and so does the wood."""
    spent = search(conn, understand("time spent sanding the salad bowl")).spent
    assert [("Cherry salad bowl", 180.0)] == [(s.project, s.seconds) for s in spent]
    assert ["Elm bowl"] == [s.project for s in search(conn, understand("time spent sanding elm")).spent]


def test_woods_of_which_something_is_true(conn: sqlite3.Connection) -> None:
    """Which woods cracked: the woods of the pieces with cracks, a denial is none."""
    summary = search(conn, understand("which woods cracked")).summary
    assert summary is not None
    assert {"elm": 1, "madrone": 1, "hard maple": 1, "black cherry": 1} == {g.name: g.count for g in summary.woods}


def test_the_summary_has_range_median_operations_and_diameters(conn: sqlite3.Connection) -> None:
    """Numbers are told as range and median, together and by operation and diameter."""
    summary = search(conn, understand("speeds on cherry")).summary
    assert summary is not None
    assert summary.numbers is not None
    assert (7, 450.0, 950.0, 700.0) == (
        summary.count,
        summary.numbers.low,
        summary.numbers.high,
        summary.numbers.median,
    )
    assert {"sand": 2, "hollow": 2, "shape the outside": 2, "true up": 1} == {
        g.name: g.count for g in summary.by_operation
    }
    assert [("10 to 12 in", 4), ("14 to 16 in", 3)] == [(g.name, g.count) for g in summary.by_diameter]


def test_numbers_of_both_systems_are_summed_up_in_one(empty: sqlite3.Connection) -> None:
    """Inches and millimetres are told in the unit in which most were stated."""
    wall = {"kind": "dimension", "item": "wall thickness", "quote": "said here"}
    put(
        empty,
        "A",
        [Fact(value=6, unit="mm", **wall), Fact(value=10, unit="mm", **wall), Fact(value=0.5, unit="in", **wall)],
    )  # type: ignore[arg-type]
    summary = search(empty, understand("wall thickness")).summary
    assert summary is not None
    assert summary.numbers is not None
    assert ("mm", 6.0, 12.7, 10.0) == (
        summary.numbers.unit,
        summary.numbers.low,
        summary.numbers.high,
        summary.numbers.median,
    )


def test_passages_come_with_words_recording_and_time(conn: sqlite3.Connection) -> None:
    """What was said is found by its words, with where it was said."""
    passage = search(conn, understand("the stove")).passages[0]
    assert ("That one is going in the stove.", "Elm vase", "elm_vase.mp4", 420.0) == (
        passage.text, passage.project, passage.recording, passage.start,
    )  # fmt: skip


def test_a_project_is_found_by_part_of_its_name(conn: sqlite3.Connection) -> None:
    """Part of a name is enough, in any case."""
    found = search(conn, Query(kinds=("speed",), bounds=Bounds("rpm", 1000, 1000), project="wedding"))
    assert ["2026-06-20"] == [f.day for f in found.found]


@pytest.mark.parametrize(
    ("question", "expect", "absent"),
    [
        ("drill bits", "38 mm forstner bit", "gouge"),  # a sort of what is asked
        ("how thin is the stem of the goblet", "7 mm", "wall thickness"),  # its only size, not another part's
        ("how wet was the ash when I trued it up", "39 %", "12 %"),  # the reading nearest to the work
        ("which chuck for the rolling pin", "center", "scroll chuck"),  # of the piece that is named, not of others
        ("who gave me the pepper mill", "No fact", "Ludo"),
        ("what went wrong with the lid", "warp", "chatter"),  # a part is looked for in what was said
        ("when did I start the mill", "2025-04-05", "2025-04-06"),
    ],
)
def test_the_answer_is_of_the_part_piece_and_moment_asked_for(
    second: sqlite3.Connection, question: str, expect: str, absent: str
) -> None:
    """Other parts, pieces and moments do not answer for those that are asked for."""
    text = "\n".join(list(told(search(second, understand(question))))[:3])
    assert expect in text
    assert absent not in text
