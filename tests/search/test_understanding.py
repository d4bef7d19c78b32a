"""What a question is taken to mean: the printed line, word for word."""

from __future__ import annotations

from datetime import date

import pytest

from shoplog.search import as_line, understand

TODAY = date(2026, 11, 25)

LINES = {
    # a kind, a wood, an operation
    "what speed did I run cherry at for sanding": "--kind speed --species cherry --operation sand",
    "rpm for hollowing box elder": "--kind speed --species 'box elder' --operation hollow",
    "How fast was the lathe while I trued up the ash?": "--kind speed --species ash --operation 'true up'",
    "which finish on the walnut": "--kind finish --species walnut",
    # numbers: of the fact, of the piece, of what stands beside it
    "speeds over eight fifty": "--kind speed --number 850rpm..",
    "speeds between 400 and 600": "--kind speed --number 400rpm..600rpm",
    "bowl gouge speeds over 12 in": "--kind speed --diameter 12in.. --beside 'tool:bowl gouge'",
    "how fast can I hollow elm": "--kind speed --species elm --operation hollow",
    "has walnut ever sung": "--species walnut --word sung",
    "1,200 rpm or more": "--kind speed --number 1200rpm..",
    "half inch gouge on end grain": "--kind tool --item gouge --number 0.5in --word 'end grain'",
    '3/8" spindle gouge': "--kind tool --item 'spindle gouge' --number 0.375in",
    "10mm spindle gouge": "--kind tool --item 'spindle gouge' --number 10mm",
    "pieces over 12 inches above 900 rpm": "--kind speed --number 900rpm.. --diameter 12in.. --want pieces",
    "cracked below 20 percent": "--kind defect --item crack --beside moisture=..20%",
    "speed with the half inch bowl gouge": "--kind speed --beside 'tool:bowl gouge=0.5in'",
    "grits above 220 on bowls under 300 mm": "--kind grit --number 220grit.. --diameter ..300mm --word bowls",
    "humidity over 60%": "--kind humidity --number 60%..",
    # what is wanted of them
    "last time I used shellac": "--kind finish --item shellac --want last",
    "when did I use the cole jaws": "--kind workholding --item 'cole jaws' --want when",
    "how often did I have a catch with the skew": "--kind defect --item catch --beside 'tool:skew chisel' --want count",
    "did I wear a respirator": "--kind ppe --item respirator --want did",
    "fastest I ever turned elm": "--kind speed --species elm --want highest",
    "which pieces cracked": "--kind defect --item crack --want pieces",
    "time spent hollowing": "--operation hollow --want time",
    "biggest bowl": "--kind dimension --item diameter --word bowl --want highest",
    # statuses
    "what do I usually start sanding at": "--kind grit --status habit",
    "pieces with no cracks": "--kind defect --item crack --status denied --want pieces",
    "what finish am I planning for the oak": "--kind finish --species oak --status planned",
    # dates
    "cracks last year": "--kind defect --item crack --since 2025-01-01 --until 2025-12-31",
    "shellac since March": "--kind finish --item shellac --since 2026-03-01",
    "grits before 2024": "--kind grit --until 2023-12-31",
    # sizes of things and of parts
    "how deep is the vase": "--kind dimension --item depth --word vase",
    "how big was the crack in the seat": "--kind defect --item crack --word seat",
    "tenon diameter on the goblet": "--kind dimension --item diameter --word goblet --word tenon",
    "how long did the epoxy cure": "--kind duration --beside adhesive:epoxy --word cure",
    "how thick are the walls of the maple bowl": "--kind dimension --item 'wall thickness' --species maple --word bowl",
    "how wide is the platter": "--kind dimension --item width --item diameter --word platter",
    "biggest gouge": "--kind tool --item gouge --want highest",
    "fastest with the bowl gouge": "--kind speed --beside 'tool:bowl gouge' --want highest",
    "what size is the skew": "--kind tool --item 'skew chisel'",
    # which woods, which days, what others said, what comes
    "which woods cracked": "--kind defect --item crack --want woods",
    "which wood did I turn above 2000 rpm": "--kind speed --number 2000rpm.. --want woods",
    "which woods have I turned": "--kind species",
    "what did I do on the third of May": "--since 2026-05-03 --until 2026-05-03 --want pieces",
    "what did I do in January": "--since 2026-01-01 --until 2026-01-31 --want pieces",
    "what does the label say about shellac": "--beside finish:shellac --status reported",
    "when will I weigh the vase again": "--kind followup --status planned --word vase --want when",
    "how heavy was the blank at first": "--kind weight --word blank --want first",
    "who taught me the cut": "--kind credit",
    # steps, limits, coats, failures
    "what grit comes after 180": "--kind grit --number 181grit..",
    "which grits did I use before 320 on the ash": "--kind grit --number ..319grit --species ash",
    "what speed do I never exceed on ash": "--kind speed --species ash --status habit --status denied",
    "did I exceed 1000 rpm": "--kind speed --number 1000rpm.. --want did",
    "which finish needs the most coats": "--kind finish --want 'most coats'",
    "fewest coats on ash": "--kind finish --species ash --want 'fewest coats'",
    "what failed on the elm": "--kind defect --species elm",
    "which grit did I skip": "--kind grit --status denied",
    "did I wax the ash or not": "--kind finish --item wax --species ash --want did",
    "did the ash bowl survive": "--kind defect --species ash --word bowl",
    "which bowls survived": "--kind defect --status denied --want pieces",
    # what was compared, filled, made, owed; who asks where
    "which is wetter, the vase or the ash": "--kind moisture --word 'vase|ash' --want highest",
    "is the goblet lighter than the mallet": "--kind weight --word 'goblet|mallet' --want lowest",
    "how did I fill the crack": "--kind adhesive --operation repair --beside defect:crack",
    "did I fill the crack": "--kind defect --item crack --operation repair --want did",
    "what was the mallet made of": "--kind species --word mallet",
    "what do I owe Odalys": "--kind followup --word odalys",
    "ash bowl, how wet was it": "--kind moisture --species ash --word bowl",
    "when did I start the mallet": "--word mallet --want first",
    "was accelerator used on the vase": "--kind adhesive --item accelerator --word vase --want did",
    "did anything warp": "--kind defect --item warp --want did",
    "how many kilos was the vase": "--kind weight --word vase --want count",
    "has the crack got worse": "--kind defect --item crack",
    # nothing but words
    "the story with the goat": "--word story --word goat",
    "": "",
}


@pytest.mark.parametrize(("question", "line"), LINES.items())
def test_the_line_says_what_was_understood(question: str, line: str) -> None:
    """Every condition of a question stands in its line, and nothing else does."""
    assert line == as_line(understand(question, TODAY))


@pytest.mark.parametrize(
    "questions",
    [
        ("cracks in elm", "checks in elm", "crack elm", "splits in elm", "Cracks, in ELM!"),
        ("sandpaper for ash", "abrasive for ash", "abrasives for ash", "grits for ash", "what grit for ash"),
        ("tenon", "spigot", "spigots", "tenons"),
        ("bowl gouge", "bowl gouges", "bole gouge", "bowl gauge", "bowl-gouge"),
        ("shellac", "shelac", "shellack"),
        ("walnut speed", "wallnut speed", "speed walnut"),
        ("superglue", "CA glue", "cyanoacrylate", "thin CA"),
        ("recess", "mortise", "mortice"),
        ("respirator", "resperator", "respirators"),
        ("half inch skew", "1/2 inch skew", '1/2" skew', "0.5 inch skew", "½ inch skew"),
        ("over 300 mm", "over 300mm", "above 300 millimetres", "bigger than 300 millimeters", "> 300 mm"),
        ("twelve hundred rpm", "1200 rpm", "1,200 rpm", "1200rpm"),
        ("moisture content of ash", "moisture of ash", "how wet was the ash", "MC of ash"),
    ],
    ids=lambda q: q[0],
)
def test_ways_of_asking_mean_the_same(questions: tuple[str, ...]) -> None:
    """Plural, spelling, half-heard words, synonyms and ways of writing numbers make no difference."""
    assert {as_line(understand(questions[0], TODAY))} == {as_line(understand(q, TODAY)) for q in questions}


@pytest.mark.parametrize(
    ("question", "never"),
    [
        ("the river bowl", "--item"),
        ("plaster on the wheel", "--item"),
        ("what did we talk about on the first day", "--kind"),
        ("the tenant upstairs", "--item"),
    ],
)
def test_ordinary_words_are_not_bent_into_the_trade(question: str, never: str) -> None:
    """A word that only resembles one of the trade stays a word to look for."""
    assert never not in as_line(understand(question, TODAY))
