"""What the weights are learned from: each number of a narration with the gold fact that it states."""

from __future__ import annotations

import json
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from tests.scripts import script


@pytest.fixture(scope="module")
def learn() -> ModuleType:
    return script("models/learn.py")


def fact(kind: str, **more: Any) -> dict[str, Any]:
    return {"kind": kind, "status": "done", "attrs": {}, **more}


@pytest.fixture
def narration(tmp_path: Path) -> Path:
    lines = [
        {"say": "It's ten past four, and the lathe is at eight fifty.",
         "facts": [fact("clock", attrs={"time": "16:10"}), fact("speed", value=850, unit="rpm")]},
        {"say": "My cousin has 850 sheep and 3 dogs.", "facts": []},
        {"say": "The wall is three eighths, and I waited an hour and a half.",
         "facts": [fact("dimension", item="wall thickness", value=0.375, unit="in"),
                   fact("duration", value=1.5, unit="h")]},
        {"say": "I'm going to sand with 180 paper after the half inch bowl gouge.",
         "facts": [{**fact("grit", value=180, unit="grit"), "status": "planned"},
                   {**fact("tool", item="bowl gouge", value=0.5, unit="in"), "status": "planned"}]},
    ]  # fmt: skip
    path = tmp_path / "n99.json"
    path.write_text(json.dumps({"id": "n99", "started": "2026-03-03T16:00", "lines": lines}), "utf-8")
    return path


def test_numbers_get_the_kinds_of_their_facts(learn: ModuleType, narration: Path) -> None:
    """Every number has the kind of the fact that it states, the others none; each narration is read in three styles."""
    found = learn.gather([narration])
    stated = ["clock", "none", "speed", "none", "none", "dimension", "duration", "grit", "tool"]
    assert stated == found["number"].truth[: len(stated)]
    assert 3 == found["number"].truth.count("speed")
    assert ["wall thickness"] * 3 == found["measure"].truth


def test_claims_get_the_statuses_of_their_facts(learn: ModuleType, narration: Path) -> None:
    """A claim of the rules that is a gold fact has its status; a trade word that is one is meant."""
    found = learn.gather([narration])
    assert {"done", "planned"} == set(found["status"].truth)
    assert ["yes"] * 3 == found["meant"].truth


def test_of_the_cases_only_words_are_learned(learn: ModuleType) -> None:
    """What the rules say of a case is no example of how far they can be trusted."""
    found = {name: learn.Examples() for name in learn.FREEDOM}
    learn.gather_cases(found)
    assert len(found["number"].rows) > 500
    assert not [f for rows in found.values() for row in rows.rows for f in row if f.startswith(learn.RULES)]
