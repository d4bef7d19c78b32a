"""Whatever a log holds, it has a course: odd times, no words, facts outside all remarks, days in any order."""

from __future__ import annotations

from datetime import datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from shoplog.facts import KINDS, STATUSES, Fact
from shoplog.log import KeptFact, Project, Recording, Take
from shoplog.timeline import course
from shoplog.transcript import Cue, Stretch

WORDS = st.sampled_from(
    "I'm sanding at 180 now. | Next day. | It's ten past nine. | The second bowl. | There's a crack at the rim. | "
    "Thin CA in that crack. | It's been an hour. | Tomorrow I'll oil it. | No cracks. | ... | the of a".split(" | ")
)
ATTRS = st.sampled_from(
    [
        {},
        {"time": "09:10"},
        {"time": "25:99"},
        {"date": "2026-02-30"},
        {"date": "2026-03"},
        {"days_later": 2},
        {"days_later": -1},
        {"change": "gone"},
        {"where": "rim"},
        {"other_piece": True},
    ]
)
SECONDS = st.floats(0, 4000, allow_nan=False)


@st.composite
def projects(draw: st.DrawFn) -> Project:
    takes, fact_id = [], 0
    for number in range(1, draw(st.integers(1, 4)) + 1):
        starts = sorted(draw(st.lists(SECONDS, max_size=6)))
        cues = tuple(Cue(at, at + draw(st.floats(0, 30)), draw(WORDS)) for at in starts)
        facts = []
        for _ in range(draw(st.integers(0, 5))):
            fact_id += 1
            start = draw(SECONDS)
            fact = Fact(
                draw(st.sampled_from(KINDS)),  # type: ignore[arg-type]
                draw(st.sampled_from([None, "crack", "warp", "CA glue", "bowl gouge", "tenon"])),
                draw(st.sampled_from([None, 1.0, 180.0])),
                unit=draw(st.sampled_from([None, "h", "in", "grit", "rpm"])),
                status=draw(st.sampled_from(STATUSES)),  # type: ignore[arg-type]
                start=start,
                end=start + 1,
                quote=draw(st.sampled_from(["", "that", "crack", "Next day"])),
                attrs=draw(ATTRS),
            )
            facts.append(KeptFact(fact_id, number, fact))
        moment = st.datetimes(datetime(2026, 1, 1), datetime(2026, 3, 1))
        started = draw(st.one_of(st.none(), moment))
        duration = draw(st.one_of(st.none(), SECONDS))
        machine = draw(st.booleans())
        stretches = (Stretch(10.0, 200.0, "noise", -20.0, machine),) if machine else ()
        row = Recording(
            number, 1, f"{number}", "media", "done", duration=duration, started=started, started_source="file"
        )
        takes.append(Take(row, cues, tuple(facts), stretches))
    return Project(1, "p", tuple(takes))


@settings(max_examples=150, deadline=timedelta(seconds=5))
@given(projects())
def test_every_project_has_a_course(project: Project) -> None:
    """No project fails, every fact gets its place and day, days count from 1 and no time is negative."""
    found = course(project)
    ids = {kept.id for kept in project.facts()}
    assert ids == set(found.operations) == set(found.days_of)
    assert all(day >= 1 for day in found.days_of.values())
    assert {take.recording.id for take in project.takes} == set(found.starts)
    for spent in (*found.spent.values(), *(day.spent for day in found.days)):
        assert min(spent.elapsed, spent.working, spent.machine, spent.waiting) >= -0.01
    assert all(stage.start <= stage.end for stage in found.stages)
