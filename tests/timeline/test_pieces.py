"""Which of several pieces is on the lathe."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from shoplog.log import Recording, Take
from shoplog.timeline.evidence import Unit
from shoplog.timeline.pieces import pieces_of
from shoplog.transcript import Cue

CASES = json.loads(Path(__file__).with_name("pieces.json").read_text("utf-8"))


@pytest.mark.parametrize("case", CASES, ids=[c["case"] for c in CASES])
def test_pieces(case: dict[str, Any]) -> None:
    """A piece stays on until another is named as being worked on; there are as many as were worked on or announced."""
    cues = tuple(Cue(60.0 * n, 60.0 * n + 5, words) for n, words in enumerate(case["lines"]))
    take = Take(Recording(1, 1, "a", "captions", "done"), cues)
    units = [Unit(cue.start, cue.end, n) for n, cue in enumerate(cues)]
    numbers, count = pieces_of([take], [units])
    assert [case["pieces"]] == numbers
    assert case.get("count", max(case["pieces"])) == count
