"""Captions: within the limits whatever is said, read by other parsers, corrections carried over."""

from __future__ import annotations

import io
from itertools import pairwise
from typing import Any

import pysubs2
import pytest
import webvtt
from hypothesis import given, settings
from hypothesis import strategies as st

from shoplog.publish.captions import captions, sounds, wrap
from shoplog.publish.limits import COMMON
from shoplog.publish.programme import Programme, Span, end_to_end
from shoplog.publish.quality import as_lines, quality
from shoplog.publish.spelling import written
from shoplog.transcript import Cue
from shoplog.transcript_files import to_srt, to_vtt
from tests.publish.invented import NAMES, Invented, invented, made

WORDS = st.lists(st.text("abcdefgh<&>-', .3/8", min_size=1, max_size=14).filter(str.strip), min_size=1, max_size=60)


def _captions(case: Invented) -> tuple[Cue, ...]:
    return captions(case.project, end_to_end(case.project), case.course.stages)


def _hold(found: tuple[Cue, ...]) -> None:
    for a, b in pairwise(found):
        assert a.end <= b.start
    for c in found:
        lines = c.text.splitlines()
        assert c.end > c.start >= 0
        assert c.end - c.start <= COMMON.caption_most_seconds + 0.001
        assert len(lines) <= COMMON.caption_lines
        assert all(len(x) <= COMMON.caption_line or " " not in x for x in lines)


@pytest.mark.parametrize("name", NAMES)
def test_captions_keep_every_word_and_all_limits(name: str) -> None:
    case = invented(name)
    found = _captions(case)
    _hold(found)
    said = [w.text for t in case.project.takes for w in written(t)]
    assert said == " ".join(c.text for c in found if not c.text.startswith("[")).split()


@pytest.mark.parametrize("name", NAMES)
def test_two_other_parsers_read_what_we_write(name: str) -> None:
    """webvtt-py and pysubs2 find the same captions, in both formats."""
    found = _captions(invented(name))
    read = webvtt.from_buffer(io.StringIO(to_vtt(found)))
    assert [c.text for c in found] == [c.text for c in read]
    assert len(found) == len(pysubs2.SSAFile.from_string(to_vtt(found), format_="vtt"))
    assert len(found) == len(pysubs2.SSAFile.from_string(to_srt(found), format_="srt"))


@settings(deadline=None, max_examples=60)
@given(WORDS, st.floats(0.3, 6.0))
def test_any_words_give_valid_captions(words: list[str], pace: float) -> None:
    text = " ".join(words)
    length = max(len(text.split()) / pace, 0.5)
    take = made("x", [{"name": "a.mp4", "lines": [{"at": 0, "say": text}]}]).project.takes[0]
    cue = Cue(0.0, length, text)
    from dataclasses import replace

    project = replace(
        made("x", [{"name": "a.mp4", "lines": [{"at": 0, "say": "x"}]}]).project, takes=(replace(take, cues=(cue,)),)
    )
    found = captions(project, end_to_end(project))
    _hold(found)
    assert text.split() == " ".join(c.text for c in found).split()


def test_lines_break_at_phrases_and_are_balanced() -> None:
    text = "I sanded the inside of the bowl twice, and then I put on oil".split()
    lines = wrap(text, 42)
    assert ["I sanded the inside of the bowl twice,", "and then I put on oil"] == lines


def test_machines_are_marked_where_nobody_speaks() -> None:
    """One mark at the start of a silence that a machine fills; none over speech, none for a short one."""
    lines = [
        {"at": 10, "say": "Sanding at 300 with 120 grit.", "facts": [
            {"kind": "grit", "value": 120, "unit": "grit"}, {"kind": "speed", "value": 300, "unit": "rpm"}]},
    ]  # fmt: skip
    stretches = [{"start": 0.0, "end": 40.0, "kind": "noise", "machine": True}]
    case = made("x", [{"name": "a.mp4", "duration": 60.0, "lines": lines, "stretches": stretches}])
    found = _captions(case)
    _hold(found)
    marks = [c for c in found if c.text == "[lathe running]"]
    assert [0.0] == [m.start for m in marks if m.end < 10]
    assert 2 == len(marks)
    assert all(m.end - m.start <= 4.0 for m in marks)
    assert 40.0 == max(c.end for c in sounds(case.project, end_to_end(case.project), case.course.stages))


CORRECTIONS: list[tuple[str, dict[str, Any], str]] = [
    ("it runs at 150 now",
     {"kind": "speed", "value": 1150, "unit": "rpm", "verdict": "change", "heard": {"value": 150}},
     "it runs at 1150 now"),
    ("with the bull gouge, freshly ground",
     {"kind": "tool", "item": "bowl gouge", "attrs": {"repaired": [{"heard": "bull gouge", "meant": "bowl gouge"}]}},
     "with the bowl gouge, freshly ground"),
    ("using the 5-8 inch gouge", {"kind": "tool", "item": "bowl gouge", "value": 0.625, "unit": "in"},
     "using the 5/8 inch gouge"),
    ("about 1 3-4 inches thick", {"kind": "dimension", "item": "thickness", "value": 1.75, "unit": "in"},
     "about 1 3/4 inches thick"),
    ("then 2 20 and done", {"kind": "grit", "value": 220, "unit": "grit"}, "then 220 and done"),
    ("a score of 5-8 in the game", {"kind": "species", "item": "elm"}, "a score of 5-8 in the game"),
    ("the Elm here", {"kind": "species", "item": "alder", "verdict": "change", "heard": {"item": "elm"}},
     "the Alder here"),
]  # fmt: skip


@pytest.mark.parametrize(("say", "fact", "expected"), CORRECTIONS)
def test_corrections_and_fractions_carry_over(say: str, fact: dict[str, Any], expected: str) -> None:
    """Only words that a statement speaks for are changed."""
    case = made("x", [{"name": "a.mp4", "lines": [{"at": 1, "say": say, "facts": [fact]}]}])
    assert expected == " ".join(w.text for w in written(case.project.takes[0]))


def test_the_makers_own_words_are_written() -> None:
    case = made("x", [{"name": "a.mp4", "lines": [{"at": 1, "say": "Thanks to Wena for the log."}]}])
    assert "Thanks to Wenna for the log." == " ".join(
        w.text for w in written(case.project.takes[0], [("wena", "Wenna")])
    )


def test_a_cut_moves_captions_and_leaves_out_what_it_leaves_out() -> None:
    case = invented("elm_bowl")
    found = captions(case.project, Programme((Span(2, 60.0, 100.0, 5.0),), 45.0, is_cut=True))
    assert 5.0 <= found[0].start < 6.0
    assert found[0].text.startswith("There's a crack")
    assert "elm" not in " ".join(c.text for c in found)


def test_the_report_names_what_to_look_at() -> None:
    case = invented("plum_box")
    programme = end_to_end(case.project)
    lines = as_lines(quality(case.project, programme, _captions(case)))
    assert {"accuracy", "synchrony", "completeness", "placement"} == {x.split(":")[0] for x in lines}
    assert any("doubtful" in x for x in lines)
