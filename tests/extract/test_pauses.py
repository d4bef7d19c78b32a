"""Where a breath is put in caption lines of which only the whole line's times are known."""

from __future__ import annotations

import itertools

import pytest

from shoplog.extract import pauses
from shoplog.transcript import Cue

#: Seconds that a word takes in the lines without silence, and the silence that the slow line holds.
PACE, SILENCE = 0.4, 1.2


def breaths(slow: str) -> list[str]:
    """The slow line's parts, cut where a breath is put."""
    lines = [
        "and we turn it round again slowly",
        "that is the way to do it",
        "it looks good to me today",
        "so on we go",
    ]
    cues, now = [], 0.0
    for line in [*lines, *lines, slow]:
        length = len(line.split()) * PACE + (SILENCE if line == slow else 0.0)
        cues.append(Cue(now, now + length, line))
        now += length
    words, cuts = slow.split(), pauses.inside(cues).get(len(cues) - 1, [])
    edges = [0, *sorted(cuts), len(words)]
    return [" ".join(words[a:b]) for a, b in itertools.pairwise(edges)]


@pytest.mark.parametrize(
    "number",
    [
        "sixty four",
        "fifty two",
        "an inch and a quarter",
        "eighteen and a half",
        "two and five eighths",
        "one point three",
        "four hundred and ten",
        "one twenty",
    ],
)
def test_no_breath_inside_a_number(number):
    """Whatever is said around it, a number stays whole."""
    for line in (
        f"it comes out at {number} across there",
        f"the handle's {number} now and that's it",
        f"so {number} then",
    ):
        assert any(number in part for part in breaths(line)), line


def test_a_breath_is_put_before_a_new_remark():
    """A slow line is cut where one remark ends and the next opens."""
    assert ["that's the tenon done", "okay now the rim is next"] == breaths(
        "that's the tenon done okay now the rim is next"
    )
