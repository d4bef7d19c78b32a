"""Chapter files of one take are found by a counter in the name and by time, and nothing else is joined."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import PurePath

import pytest

from shoplog.media import Clip, takes
from shoplog.media.takes import counts_on

START = datetime(2026, 4, 1, 9, tzinfo=UTC)


def clip(name: str, at: float | None, seconds: float = 600.0) -> Clip:
    return Clip(PurePath(name), None if at is None else START + timedelta(seconds=at), seconds)


COUNTERS = [
    ("V010123", "V020123", True),
    ("take-9", "take-10", True),
    ("C0001_01", "C0001_02", True),
    ("walk", "walk_2", True),
    ("walk", "walk (1)", True),
    ("2026-04-01 part 1", "2026-04-01 part 2", True),
    ("take-9", "take-11", False),
    ("V020123", "V010123", False),
    ("V010123", "V010125", False),
    ("V010123", "V020124", False),
    ("bowl-1", "vase-2", False),
    ("a1b1", "a2b2", False),
    ("walk", "walk", False),
    ("walk", "walking", False),
]


@pytest.mark.parametrize(("name", "other", "expected"), COUNTERS)
def test_a_counter_in_the_name(name: str, other: str, expected: bool) -> None:
    """The name of a chapter is the one before with one counter up by one."""
    assert expected is counts_on(name, other)


CASES = {
    "chapters follow each other": ([("V010007.mp4", 0), ("V020007.mp4", 600), ("V030007.mp4", 1201)], [[0, 1, 2]]),
    "in any order": ([("V030007.mp4", 1201), ("V010007.mp4", 0), ("V020007.mp4", 600)], [[1, 2, 0]]),
    "two takes with a pause between": ([("C0007.mp4", 0), ("C0008.mp4", 900)], [[0], [1]]),
    "one stamp for all chapters": ([("V010007.mp4", 0), ("V020007.mp4", 0)], [[0, 1]]),
    "no time in the container": ([("V010007.mp4", None), ("V020007.mp4", None)], [[0], [1]]),
    "two folders": ([("a/V010007.mp4", 0), ("b/V020007.mp4", 600)], [[0], [1]]),
    "two containers": ([("V010007.mp4", 0), ("V020007.mov", 600)], [[0], [1]]),
    "a missing chapter": ([("V010007.mp4", 0), ("V030007.mp4", 1200)], [[0], [1]]),
    "two cameras in one folder": (
        [("V010007.mp4", 0), ("W010007.mp4", 3), ("V020007.mp4", 600), ("W020007.mp4", 603)],
        [[0, 2], [1, 3]],
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_takes(case: str) -> None:
    """Each group of files is one take."""
    files, expected = CASES[case]
    clips = [clip(name, at) for name, at in files]
    assert expected == [[clips.index(c) for c in take] for take in takes(clips)]


def test_short_clips_are_takes_of_their_own() -> None:
    """Ten-second clips shot one after the other are not chapters."""
    clips = [clip("C0001.mp4", 0, 10), clip("C0002.mp4", 10, 10)]
    assert [(clips[0],), (clips[1],)] == takes(clips)
