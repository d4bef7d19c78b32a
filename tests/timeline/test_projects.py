"""Whole projects: time and facts in the right operation, ledger, calendar and pieces."""

from __future__ import annotations

from functools import cache

import pytest

from shoplog.timeline import OPERATIONS, Course, course
from tests.timeline import gold

NAMES = sorted(path.stem for path in gold.PROJECTS.glob("*.json"))
#: Set by ourselves for a single project; the mean over all is measured in tests/bench/timeline.py.
LEAST_TIME, LEAST_FACTS = 0.75, 0.8
MEAN_TIME, MEAN_FACTS = 0.88, 0.93


@cache
def _told(name: str, *, close: bool = False) -> tuple[gold.Told, Course]:
    told = gold.load(gold.PROJECTS / f"{name}.json", close=close)
    return told, course(told.project)


@pytest.mark.parametrize("name", NAMES)
def test_project(name: str) -> None:
    """Most of the time and most facts are in their true operation; days and contradictions are right."""
    told, found = _told(name)
    wrong, count = gold.misplaced(told, found)
    assert gold.overlap(told, found) >= LEAST_TIME
    assert 1 - len(wrong) / count >= LEAST_FACTS
    assert [] == gold.wrong_moments(told, found)
    assert told.truth["pieces"] == found.pieces


@pytest.mark.parametrize("close", [False, True], ids=["filmed through", "cut to the words"])
def test_all_projects_together(close: bool) -> None:
    """Over all projects the shares are those that the timeline is held to, and few ledger entries are wrong."""
    courses = [_told(name, close=close) for name in NAMES]
    shares = [gold.overlap(told, found) for told, found in courses]
    wrong = sum(len(gold.misplaced(told, found)[0]) for told, found in courses)
    count = sum(gold.misplaced(told, found)[1] for told, found in courses)
    defects = sum(len(told.truth["defects"]) for told, _ in courses)
    assert sum(shares) / len(shares) >= MEAN_TIME
    assert 1 - wrong / count >= MEAN_FACTS
    assert sum(len(gold.wrong_defects(told, found)) for told, found in courses) <= defects / 10


@pytest.mark.parametrize(("folder", "time", "facts"), [("learn", 0.85, 0.93), ("first_sight", 0.72, 0.78)])
def test_folder(folder: str, time: float, facts: float) -> None:
    """Of the projects that are only learned from and of those that are only scored, enough is right."""
    told = [gold.load(path) for path in sorted((gold.PROJECTS / folder).glob("*.json"))]
    courses = [(each, course(each.project)) for each in told]
    wrong = [gold.misplaced(each, found) for each, found in courses]
    assert sum(gold.overlap(each, found) for each, found in courses) / len(courses) >= time
    assert 1 - sum(len(w) for w, _ in wrong) / sum(count for _, count in wrong) >= facts


@pytest.mark.parametrize("name", NAMES)
def test_course_is_whole(name: str) -> None:
    """Stages follow each other through every recording without gaps, and every fact has its place, day and moment."""
    told, found = _told(name)
    ids = {kept.id for kept in told.project.facts()}
    assert ids == set(found.operations) == set(found.moments) == set(found.days_of) == set(found.dates)
    for take in told.project.takes:
        row = [stage for stage in found.stages if stage.recording_id == take.recording.id]
        assert 0.0 == row[0].start
        assert take.recording.duration == pytest.approx(row[-1].end)
        assert [stage.end for stage in row[:-1]] == [stage.start for stage in row[1:]]
    assert {stage.operation for stage in found.stages} <= set(OPERATIONS)
    working = sum(take.recording.duration or 0.0 for take in told.project.takes)
    assert working == pytest.approx(sum(spent.working for spent in found.spent.values()))
    assert working == pytest.approx(sum(day.spent.working for day in found.days))
    assert all(day.spent.elapsed >= day.spent.working - 0.01 for day in found.days)
    assert all(day.spent.machine <= day.spent.working + 0.01 for day in found.days)
