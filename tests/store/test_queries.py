"""What was stored comes back whole, and the search indexes follow every change."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable

import pytest

from shoplog.errors import InputError, NotFound
from shoplog.facts import Fact
from shoplog.store import corrections, queries, transaction, writes
from shoplog.transcript import Cue, Stretch, Transcript, Word

CUE = Cue(1.5, 4.25, "naïve résumé 木", (Word("naïve", 1.5, 2.0, 0.75),), "doubtful", "low probability", True)
FACT = Fact("dimension", "diameter", low=10, high=11, unit="in", approx=True, status="planned", start=1, end=2,
            quote="ten or eleven inches", attrs={"of": "blank"}, confidence=0.8)  # fmt: skip


def test_everything_comes_back_as_it_was_put_in(conn: sqlite3.Connection, keep: Callable[..., int]) -> None:
    """Cues, words, stretches and facts survive the database unchanged."""
    number = keep("bowl", [], [])
    stretch = Stretch(0, 1.5, "noise", -31.5, True)
    with transaction(conn):
        writes.save_transcript(conn, number, Transcript((CUE,), stretches=(stretch,), duration=9.5, model="base"))
        writes.save_facts(conn, number, [FACT], "1")
    take = queries.load_project(conn, "BOWL").takes[0]
    assert (CUE,) == take.cues
    assert (stretch,) == take.stretches
    assert (FACT,) == tuple(k.fact for k in take.facts)
    assert (9.5, "base", 1.5) == (take.recording.duration, take.recording.model, take.recording.machine_seconds)


def test_indexes_follow_replacing_correcting_and_deleting(conn: sqlite3.Connection, keep: Callable[..., int]) -> None:
    """After every kind of change both indexes agree with what they index."""
    number = keep("bowl", [CUE, Cue(5, 6, "thank you", trust="dropped", reason="invented")], [FACT])

    def found(index: str, word: str) -> int:
        for table in ("cue_fts", "fact_fts"):
            conn.execute(f"insert into {table}({table}, rank) values ('integrity-check', 1)")
        return int(conn.execute(f"select count(*) from {index} where {index} match ?", (word,)).fetchone()[0])

    assert (1, 0, 1) == (found("cue_fts", "resume"), found("cue_fts", "thank"), found("fact_fts", "inches"))
    with transaction(conn):
        corrections.correct(conn, 1, "change", {"item": "height"})
    assert (0, 1) == (found("fact_fts", "diameter"), found("fact_fts", "height"))
    with transaction(conn):
        writes.save_transcript(conn, number, Transcript((Cue(0, 1, "walnut"),)))
    assert (0, 1, 0) == (found("cue_fts", "resume"), found("cue_fts", "walnut"), found("fact_fts", "inches"))
    with transaction(conn):
        writes.delete_recording(conn, number)
    assert 0 == found("cue_fts", "walnut")


def test_si_values_stand_beside_the_stated_ones(conn: sqlite3.Connection, keep: Callable[..., int]) -> None:
    """Ten inches are 0.254 m exactly (the international inch, 1959: 25.4 mm)."""
    keep("bowl", [], [FACT])
    row = conn.execute("select si_low, si_high, si_unit from fact").fetchone()
    assert (pytest.approx(0.254), pytest.approx(0.2794), "m") == tuple(row)


def test_projects_are_moved_merged_and_renamed(conn: sqlite3.Connection, keep: Callable[..., int]) -> None:
    """Recordings can be put where they belong afterwards; an emptied project goes."""
    a, _, _ = keep("day 1", [], [FACT]), keep("day 2", [], []), keep("other", [], [])
    with transaction(conn):
        writes.assign_recording(conn, a, "elm bowl")
        assert 1 == writes.merge_projects(conn, "day 2", "elm bowl")
        writes.rename_project(conn, "elm bowl", "elm bowl with lid")
    assert {"elm bowl with lid", "other"} == set(queries.project_names(conn))
    assert 2 == len(queries.load_project(conn, "elm bowl with lid").takes)
    with pytest.raises(InputError, match="merge"), transaction(conn):
        writes.rename_project(conn, "other", "Elm Bowl with Lid")
    with pytest.raises(NotFound, match="elm bowl with lid"):
        queries.project_id(conn, "elm bowl lid")


def test_the_makers_own_words_are_kept_once(conn: sqlite3.Connection) -> None:
    """Teaching a word again replaces what it means; forgetting one that isn't there is said."""
    with transaction(conn):
        writes.teach(conn, "Bull  gouge", "bowl gouge")
        writes.teach(conn, "bull gouge", "spindle gouge")
    assert [("bull gouge", "spindle gouge")] == queries.vocabulary(conn)
    with transaction(conn):
        writes.forget(conn, "BULL gouge")
    with pytest.raises(NotFound), transaction(conn):
        writes.forget(conn, "bull gouge")


def test_doubtful_facts_come_most_doubtful_first(conn: sqlite3.Connection, keep: Callable[..., int]) -> None:
    """Doubt is low confidence or a stated reason, until a person has spoken."""
    facts = [
        Fact("speed", value=n, unit="rpm", start=n, end=n, quote=str(n), confidence=c)
        for n, c in ((1, 0.5), (2, 0.9), (3, 0.2))
    ]
    facts.append(Fact("grit", value=7, unit="grit", start=4, end=4, quote="7", attrs={"doubt": ["no such grit"]}))
    keep("bowl", [], facts)
    assert [3.0, 1.0, 7.0] == [k.fact.value for k in queries.doubtful_facts(conn)]
    with transaction(conn):
        corrections.correct(conn, 3, "accept")
    assert [1.0, 7.0] == [k.fact.value for k in queries.doubtful_facts(conn)]
