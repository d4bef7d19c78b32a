"""What must be looked at before publishing: each point with its evidence, its state and what to do."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from shoplog.log import Project
from shoplog.publish.chapters import Chapter
from shoplog.publish.evidence import Point, Witness
from shoplog.publish.followups import FollowUp
from shoplog.publish.limits import COMMON, Limits
from shoplog.publish.points import defects, kept, people, piece, published
from shoplog.publish.points.gear import gear_points
from shoplog.publish.points.own import OwnPoint
from shoplog.publish.points.own import own as own_points
from shoplog.publish.programme import Programme
from shoplog.publish.quality import Finding
from shoplog.timeline.course import Course

TOPIC = "checklist"


def checklist(
    project: Project,
    course: Course,
    programme: Programme,
    promises: Sequence[FollowUp],
    *,
    chapters: Sequence[Chapter],
    captions: Sequence[Finding],
    draft: str,
    settled: Mapping[str, tuple[str, str | None]] | None = None,
    own: Sequence[OwnPoint] = (),
    limits: Limits = COMMON,
    today: date | None = None,
) -> tuple[Point, ...]:
    """All points for one project. A point that a person settled is good with their note as its evidence."""
    see = Witness(project, programme)
    points = [
        piece.wood(project, see),
        piece.size(project, see),
        piece.finish(project, see),
        *kept.waits(project, course, see),
        *kept.promised(promises, project, course, see, today or date.today()),
        *kept.plans(project, course, see),
        *people.thanks(project, see),
        *people.disclosures(project, see),
        people.people(project, see),
        *gear_points(project, course, see),
        *published.cautions(project, course, draft, see),
        published.captions(captions),
        published.chapters(chapters, programme, limits),
        published.doubtful_hearings(project, see),
        *defects.defects(project, course, see),
        defects.last_shot(project, course, see),
        *published.left_out(project, see),
        *own_points(project, own, see),
    ]
    points = _told_apart(points)
    by_hand = settled or {}
    return tuple(p.settled(by_hand[p.key][1]) if p.key in by_hand else p for p in points)


def _told_apart(points: Sequence[Point]) -> list[Point]:
    """Points whose keys are alike get a number, in order; a key says what it is about, so that it stays the same."""
    seen: Counter[str] = Counter()
    result = []
    for point in points:
        seen[point.key] += 1
        n = seen[point.key]
        result.append(point if n == 1 else replace(point, key=f"{point.key}-{n}"))
    return result


def missing(points: Sequence[Point]) -> bool:
    """True where the exit code must say so."""
    return any(p.state == "missing" for p in points)
