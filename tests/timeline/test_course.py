"""The course of odd projects: empty ones, wordless recordings, second cameras, other pieces."""

from __future__ import annotations

from dataclasses import replace

import pytest

from shoplog.facts import Fact
from shoplog.log import KeptFact, Project, Recording, Take
from shoplog.timeline import OPERATIONS, course
from shoplog.timeline.operations import trade
from shoplog.timeline.signs import learned
from shoplog.transcript import Cue
from tests.timeline.spoken import project_of


def test_empty_project() -> None:
    """A project without recordings has an empty course."""
    found = course(Project(1, "nothing yet"))
    assert () == found.stages == found.days == found.plans == found.defects == found.readings
    assert {} == found.operations


def test_recording_without_words() -> None:
    """A recording in which nothing was heard has a day and no stage."""
    row = Recording(1, 1, "a.mp4", "media", "waiting")
    found = course(Project(1, "p", (Take(row),)))
    assert () == found.stages
    assert (1,) == found.days[0].recordings


def test_second_camera_is_not_counted() -> None:
    """A recording of the same moment as another gives no stages and no facts of its own."""
    project = project_of([{"started": "2026-05-08T10:00", "lines": [[5, "Sanding at 180 grit."]]}])
    first = project.takes[0]
    twin = replace(
        first,
        recording=replace(first.recording, id=2, same_as=1),
        facts=tuple(replace(k, id=k.id + 100, recording_id=2) for k in first.facts),
    )
    found = course(replace(project, takes=(first, twin)))
    assert {1} == {stage.recording_id for stage in found.stages}
    assert {k.id for k in first.facts} == set(found.operations)


def test_fact_of_another_piece() -> None:
    """A fact of another piece has an operation and no piece, and is in no ledger and no reading."""
    cue = Cue(0.0, 4.0, "The last one I made cracked at the rim, and that was at 30 percent.")
    other = {"other_piece": True}
    facts = (
        KeptFact(1, 1, Fact("defect", "crack", start=1.0, end=2.0, quote="cracked", attrs=other)),
        KeptFact(2, 1, Fact("moisture", None, 30, unit="%", start=3.0, end=4.0, quote="30 percent", attrs=other)),
    )
    found = course(Project(1, "p", (Take(Recording(1, 1, "a", "captions", "done", duration=9.0), (cue,), facts),)))
    assert () == found.defects == found.readings
    assert {None} == {place.piece for place in found.operations.values()}


def test_readings_have_their_day_and_place() -> None:
    """Every moisture and weight is listed in order with day, place and method."""
    project = project_of(
        [
            {
                "started": "2026-05-08T10:00",
                "lines": [[5, "The pin meter says 28 percent at the rim."], [60, "It weighs 2400 grams."]],
            },
            {"started": "2026-06-19T10:00", "lines": [[5, "The meter says 12 percent now."]]},
        ]
    )
    found = course(project).readings
    assert [(1, 28.0, "%"), (1, 2400.0, "g"), (43, 12.0, "%")] == [(r.day, r.value, r.unit) for r in found]
    assert "rim" == found[0].where
    assert found[0].moment is not None
    assert "2026-05-08" == found[0].moment.date().isoformat()


def test_talk_of_what_is_to_come_leaves_the_operation() -> None:
    """A finish that is planned for tomorrow is a fact of finishing; the work goes on being what it is."""
    project = project_of(
        [
            {
                "lines": [
                    [5, "I'm hollowing the inside, wall thickness is half an inch."],
                    [200, "Tomorrow I'll put two coats of walnut oil on it."],
                    [400, "Wall thickness is three eighths now."],
                ]
            }
        ]
    )
    found = course(project)
    assert ["hollow"] == [stage.operation for stage in found.stages]
    planned = next(k for k in project.facts() if k.fact.kind == "finish")
    assert "finish" == found.operations[planned.id].operation


def test_operations_are_whole() -> None:
    """The data file names every operation once, and each is one of those that were learned."""
    assert len(OPERATIONS) == len(set(OPERATIONS)) == 18
    for operation in trade().operations:
        assert OPERATIONS[operation.order] == operation.name
    assert (18, 18) == learned().costs.shape


@pytest.mark.parametrize(("later", "again"), [("2026-05-09T09:00", False), ("2026-11-09T09:00", True)])
def test_a_night_in_a_bag_is_no_seasoning(later: str, again: bool) -> None:
    """Wood that is turned again the next day goes on where it was; after months it is turned a second time."""
    project = project_of(
        [
            {
                "started": "2026-05-08T10:00",
                "lines": [
                    [5, "The blank is on the faceplate, and I'm truing up the outside at 500 rpm."],
                    [300, "Now I'm shaping the outside with the bowl gouge, pulling from the foot to the rim."],
                    [900, "Hollowing now, the inside is coming down."],
                ],
            },
            {
                "started": later,
                "lines": [
                    [5, "It was in its bag on the shelf."],
                    [60, "Back in the chuck by its tenon, jaws tight, at 500 rpm."],
                    [200, "It runs out a little, I'm truing up the outside with the bowl gouge."],
                    [500, "Round again, and the rim too."],
                    [800, "Now the inside again, the wall is coming down."],
                    [1100, "The wall is half an inch."],
                    [1500, "Sanding at 120 grit."],
                ],
            },
        ]
    )
    operations = {s.operation for s in course(project).stages if s.recording_id == 2}
    assert again == ("second turning" in operations) == ("season" in operations)
