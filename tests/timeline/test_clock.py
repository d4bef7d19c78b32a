"""The project's calendar: camera clocks, spoken hours, dates and jumps, and where they exclude each other."""

from __future__ import annotations

import json
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest

from shoplog.log import Project
from shoplog.timeline import Course, course
from tests.timeline.spoken import project_of

CASES = json.loads(Path(__file__).with_name("clock.json").read_text("utf-8"))


def _near(found: datetime | None, expected: str | None) -> bool:
    if found is None or expected is None:
        return found is None and expected is None
    return abs((found - datetime.fromisoformat(expected)).total_seconds()) <= 300


def _fact_at(project: Project, found: Course, recording: int, at: float) -> int:
    return next(k.id for k in project.takes[recording].facts if k.fact.start >= at - 0.05)


@pytest.mark.parametrize("case", CASES, ids=[c["case"] for c in CASES])
def test_calendar(case: dict[str, Any]) -> None:
    """Every recording gets its day and hour, and what cannot be true together is told by kind."""
    project = project_of(case["recordings"])
    found = course(project)
    assert case["contradictions"] == [c.kind for c in found.contradictions]
    starts = [found.starts[take.recording.id] for take in project.takes]
    assert case["days"] == [start.day for start in starts]
    for expected, start in zip(case.get("starts", ()), starts, strict=False):
        assert _near(start.moment, expected), (start.moment, expected)
    days = {day.number: day.date for day in found.days}
    for expected, start in zip(case.get("dates", ()), starts, strict=False):
        assert date.fromisoformat(expected) == days[start.day]
    for recording, at, expected in case.get("dates_at", ()):
        assert date.fromisoformat(expected) == found.dates[_fact_at(project, found, recording, at)]
    for recording, at, expected in case.get("moments_at", ()):
        moment = found.moments[_fact_at(project, found, recording, at)]
        assert _near(moment, expected), (moment, expected)
    spoken = list(found.spoken_of.values())
    for place, expected in enumerate(case.get("spoken_of", ())):
        assert datetime.fromisoformat(expected) == spoken[place]


def test_contradictions_name_their_words() -> None:
    """A contradiction names the recordings and the facts that say it, and says it in words."""
    case = next(c for c in CASES if c["contradictions"] == ["weekday"])
    project = project_of(case["recordings"])
    (contradiction,) = course(project).contradictions
    known = {k.id for take in project.takes for k in take.facts}
    assert contradiction.fact_ids
    assert set(contradiction.fact_ids) <= known
    assert (1,) == contradiction.recording_ids
    assert "Wednesday" in contradiction.words
    assert "Thursday" in contradiction.words
