"""The course of a project: its operations, its calendar, plans and deeds, defects and readings.

``course(project)`` is a pure function of what is stored; ``OPERATIONS`` names the operations in the trade's order.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from shoplog.garbage import uncollected
from shoplog.log import Project, Take
from shoplog.timeline.clock import Calendar, Span, resolve
from shoplog.timeline.course import Course, Place, Reading
from shoplog.timeline.defect_words import where_of
from shoplog.timeline.evidence import heard_phrases, tells_after, units_of
from shoplog.timeline.ledger import ledger
from shoplog.timeline.operations import names, tokens_of, trade
from shoplog.timeline.pieces import pieces_of
from shoplog.timeline.plans import plans
from shoplog.timeline.signs import learned, signs, standings
from shoplog.timeline.spent import by_day, by_operation
from shoplog.timeline.stages import find_stages, place_facts

__all__ = ["OPERATIONS", "Course", "course"]

#: The names of the operations, in the trade's usual order.
OPERATIONS: tuple[str, ...] = names()


@uncollected()
def course(project: Project) -> Course:
    """The course of the work in ``project``: operations, days, what was planned, defects, readings.

    Recordings that are a second camera's view of another are left out. The time taken grows with the number of
    cues and facts, not with its square.
    """
    takes = [take for take in project.takes if take.recording.same_as is None]
    known = trade()
    tokens = [[tokens_of(cue.text) for cue in take.cues] for take in takes]
    said = [[heard_phrases(remark, known) for remark in remarks] for remarks in tokens]
    after = tells_after(takes)
    calendar = resolve(takes)
    standing = standings([calendar.starts[take.recording.id].day for take in takes])
    weights = learned()
    units = [
        units_of(take, phrases, known, weights.scores(signs(take, words, phrases, stands)).tolist(), after=after)
        for take, words, phrases, stands in zip(takes, tokens, said, standing, strict=True)
    ]
    numbers, count = pieces_of(takes, units)
    stages, states = find_stages(takes, units, numbers, weights.costs, known)
    places: dict[int, Place] = {}
    for t, take in enumerate(takes):
        places |= place_facts(take, units[t], states[t], numbers[t], said[t], known)
    spans: dict[int, Span] = {}
    moments: dict[int, datetime | None] = {}
    for take in takes:
        for kept in take.facts:
            spans[kept.id] = span = calendar.span(take.recording.id, kept.fact.start)
            moments[kept.id] = span.moment(kept.fact.start)
    return Course(
        stages=stages,
        operations=places,
        starts=calendar.starts,
        moments=moments,
        spoken_of=calendar.spoken_of,
        days_of={number: span.day for number, span in spans.items()},
        dates={number: span.date for number, span in spans.items()},
        days=by_day(takes, stages, calendar),
        spent=by_operation(takes, stages, calendar, known),
        contradictions=tuple(calendar.contradictions),
        plans=plans(takes, places, calendar),
        defects=ledger(takes, places),
        readings=_readings(takes, places, calendar),
        pieces=count,
    )


def _readings(takes: Sequence[Take], places: Mapping[int, Place], calendar: Calendar) -> tuple[Reading, ...]:
    """Every stated moisture and weight of these pieces, done or reported, in order of time."""
    found = []
    for take in takes:
        for kept in take.facts:
            fact = kept.fact
            piece = places[kept.id].piece
            if fact.kind not in ("moisture", "weight") or fact.status not in ("done", "reported") or piece is None:
                continue
            span = calendar.span(kept.recording_id, fact.start)
            found.append(
                Reading(
                    kept.id,
                    "moisture" if fact.kind == "moisture" else "weight",
                    fact.value,
                    fact.low,
                    fact.high,
                    fact.unit,
                    span.day,
                    span.moment(fact.start),
                    fact.attrs.get("where") or where_of(fact.quote),
                    fact.attrs.get("method"),
                    piece,
                    fact.status,
                )
            )
    return tuple(found)
