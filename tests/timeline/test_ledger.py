"""The defect ledger: which statements are of one defect, what became of it, with what glue, left how long."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from shoplog.timeline import course
from shoplog.timeline.defect_words import where_of
from tests.timeline.spoken import project_of

CASES = json.loads(Path(__file__).with_name("ledger.json").read_text("utf-8"))


@pytest.mark.parametrize("case", CASES, ids=[c["case"] for c in CASES])
def test_ledger(case: dict[str, Any]) -> None:
    """Every defect has one entry that ends in the right state."""
    found = course(project_of([{"lines": lines} for lines in case["lines"]])).defects
    assert [(d["item"], d["state"]) for d in case["defects"]] == [(d.item, d.state) for d in found]
    for expected, defect in zip(case["defects"], found, strict=True):
        if "where" in expected:
            assert expected["where"] == defect.where
        if "changes" in expected:
            assert expected["changes"] == [e.change for e in defect.events]
        if "sizes" in expected:
            assert expected["sizes"] == [size for _, size, _ in defect.sizes]
        assert tuple(expected.get("glues", ())) == defect.glues
        assert expected.get("clamped", []) == [e.clamped for e in defect.events if e.clamped]


@pytest.mark.parametrize(
    ("said", "where"),
    [
        ("I gave it two days in the end, and the void is filled to the top.", None),
        ("There's a void in the end, about an inch.", "end"),
        ("I filled the void at the top.", "top"),
    ],
)
def test_a_turn_of_phrase_is_no_place(said: str, where: str | None) -> None:
    """ "In the end" after a wait, and "to the top" of a filling, name no place on the piece."""
    assert where == where_of(said, "void", "void")
