"""What the extractor promises about every fact, whatever its kind."""

from __future__ import annotations

import datetime as dt
import json

import pytest

import shoplog.extract
from shoplog.extract import extract
from shoplog.facts import KINDS, STATUSES
from shoplog.transcript import Cue, Transcript, Word

TALK = (
    "It's half past nine and the lathe is at 850, no, make that 900.",
    "I'm using the half inch bull gouge, freshly sharpened.",
    "The meter reads 12 percent at the rim.",
    "I'll check it for movement again in three weeks.",
    "Thanks to Odalys Finch for the log.",
)


def talk(*lines: str) -> Transcript:
    return Transcript(tuple(Cue(6.0 * k, 6.0 * k + 4.0, line) for k, line in enumerate(lines)))


def test_every_fact_has_its_words_and_its_moment():
    """The quote is in the transcript, and the times are those of its words."""
    transcript = talk(*TALK)
    words = list(transcript.words())
    for fact in extract(transcript):
        assert fact.quote in " ".join(w.text for w in words)
        assert fact.start in {w.start for w in words}
        assert fact.end in {w.end for w in words}
        assert fact.kind in KINDS
        assert fact.status in STATUSES
        assert 0 < fact.confidence <= 1
        assert json.loads(json.dumps(fact.as_json())) == fact.as_json()


def test_facts_come_in_order_of_time():
    """A fact never starts before the one before it."""
    starts = [f.start for f in extract(talk(*TALK))]
    assert sorted(starts) == starts


def test_a_self_correction_keeps_only_the_corrected_value():
    """ "850, no, make that 900" is one speed."""
    assert [900] == [f.value for f in extract(talk(*TALK)) if f.kind == "speed"]


@pytest.mark.parametrize(
    ("said", "value"),
    [
        ("it's running at 600 rpm, sorry, 650 rpm", 650),
        ("the lathe is at 150, no, make that 180", 180),
        ("the lathe is at twelve hundred, no sorry, the readout says thirteen fifty", 1350),
        ("the lathe is at 700, I mean 800", 800),
    ],
)
def test_corrections_by_several_words(said, value):
    """What takes a value back may be said in several ways."""
    assert [value] == [f.value for f in extract(talk(said)) if f.kind == "speed"]


def test_a_repair_is_recorded_and_lowers_confidence():
    """A half-heard trade word becomes the word meant, and the fact says so."""
    (heard,) = (f for f in extract(talk("I'm using the half inch bull gouge")) if f.kind == "tool")
    (plain,) = (f for f in extract(talk("I'm using the half inch bowl gouge")) if f.kind == "tool")
    assert ("bowl gouge", 0.5) == (heard.item, heard.value)
    assert [{"heard": "bull gouge", "meant": "bowl gouge"}] == heard.attrs["repaired"]
    assert "bull gouge" in heard.quote
    assert heard.confidence < plain.confidence


def test_the_makers_own_words_come_first():
    """A pair of the maker's list is applied before anything is read, and recorded."""
    (fact,) = (
        f for f in extract(talk("I'm using the half inch flugel"), [("flugel", "bowl gouge")]) if f.kind == "tool"
    )
    assert ("bowl gouge", 0.5) == (fact.item, fact.value)
    assert {"heard": "flugel", "meant": "bowl gouge"} in fact.attrs["repaired"]
    assert "flugel" in fact.quote


@pytest.mark.parametrize(
    ("said", "kind", "value"),
    [
        ("the lathe is at 85,000 rpm", "speed", 85000),
        ("sanding with 7 grit", "grit", 7),
        ("the meter reads 400 percent", "moisture", 400),
    ],
)
def test_an_implausible_number_is_doubted_not_dropped(said, kind, value):
    """The fact stays, with a reason to doubt it and half the confidence."""
    (fact,) = (f for f in extract(talk(said)) if f.kind == kind)
    assert value == fact.value
    assert fact.attrs["doubt"]
    assert fact.confidence < 0.6


def test_an_unsure_word_makes_an_unsure_fact():
    """The lowest probability among the words of a statement pulls its confidence down."""

    def spoken(sure: float) -> Transcript:
        words = tuple(
            Word(t, k / 2, k / 2 + 0.4, sure if t == "900" else 0.99)
            for k, t in enumerate("the lathe is at 900".split())
        )
        return Transcript((Cue(0.0, 3.0, "the lathe is at 900", words),), source="heard")

    (doubtful,), (sure,) = extract(spoken(0.2)), extract(spoken(0.99))
    assert doubtful.value == sure.value == 900
    assert doubtful.confidence < sure.confidence


def test_the_year_of_a_spoken_date_comes_from_the_recording():
    """A date that was is the last such day before the recording, a promised one the next after it."""
    recorded = dt.datetime(2025, 11, 2, 15, 10)
    was, promised = talk("the tree came down in december"), talk("I promised it would be ready by the first of March")
    assert ["2024-12"] == [f.attrs["date"] for f in extract(was, recorded=recorded) if f.kind == "clock"]
    assert [("2026-03-01", "planned")] == [
        (f.attrs["date"], f.status) for f in extract(promised, recorded=recorded) if f.kind == "clock"
    ]


@pytest.mark.parametrize(("hour", "time"), [(7, "09:30"), (19, "21:30")])
def test_morning_or_afternoon_comes_from_the_recording(hour, time):
    """A spoken hour is the one nearest to the hour of the recording."""
    facts = extract(talk("it's half past nine"), recorded=dt.datetime(2026, 3, 3, hour, 0))
    assert [time] == [f.attrs["time"] for f in facts]


def test_borders_of_cues_do_not_matter():
    """A sentence cut at any word gives the same facts."""
    words = "so the lathe is at nine hundred and i'm using the half inch bowl gouge".split()
    whole = [(f.kind, f.item, f.value) for f in extract(talk(" ".join(words)))]
    for cut in range(1, len(words)):
        cues = (Cue(0.0, 2.0, " ".join(words[:cut])), Cue(2.0, 4.0, " ".join(words[cut:])))
        assert whole == [(f.kind, f.item, f.value) for f in extract(Transcript(cues))]


def test_dropped_cues_give_no_facts():
    """What hearing distrusts altogether is not read."""
    assert [] == extract(Transcript((Cue(0.0, 4.0, "the lathe is at 900 rpm", trust="dropped"),)))


def test_patterns_version_names_the_patterns():
    """It is short, and the same at every reading of the same files."""
    assert shoplog.extract.PATTERNS_VERSION == shoplog.extract._patterns_version()
    assert 12 == len(shoplog.extract.PATTERNS_VERSION)


def test_promises_and_credits_are_found():
    """Who is thanked, and what will be looked at when."""
    facts = {f.kind: f for f in extract(talk(*TALK))}
    assert ("warp", "three weeks", "planned") == (
        facts["followup"].item,
        facts["followup"].attrs["due"],
        facts["followup"].status,
    )
    assert ("odalys finch", "wood") == (facts["credit"].item, facts["credit"].attrs["role"])
    assert not any(f.kind == "duration" for f in extract(talk(*TALK)))


def test_another_piece_is_marked():
    """What is said of an earlier piece is kept apart from this one's."""
    (fact,) = extract(talk("the last one I made was at 900 rpm"))
    assert fact.attrs["other_piece"] is True


def test_anothers_machine_gives_no_fact():
    """How others run theirs is not of this shop."""
    assert [] == extract(talk("some guys run three thousand rpm"))


@pytest.mark.parametrize(
    ("said", "kind", "item"),
    [("a nice piece of cocobollo", "species", "cocobolo"), ("with my half inch boal gauge", "tool", "bowl gouge")],
)
def test_half_heard_words_are_found_by_sound(said, kind, item):
    """A word that nobody has listed is taken for the trade word it sounds like, where the context is plain."""
    (fact,) = extract(talk(said))
    assert (kind, item) == (fact.kind, fact.item)
    assert item == fact.attrs["repaired"][0]["meant"]


@pytest.mark.parametrize("said", ["set the depth gauge", "the vacuum gauge reads low", "a nice cup of cocoa"])
def test_other_words_are_left_alone(said):
    """A word that sounds like the trade's is no repair without its context."""
    assert [] == extract(talk(said))
