"""What was to be waited for, what was promised, what was planned."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import date

from shoplog.log import Project
from shoplog.publish import phrases
from shoplog.publish import waits as set_waits
from shoplog.publish.evidence import Evidence, Point, State, Witness
from shoplog.publish.followups import FollowUp
from shoplog.publish.stated import order_of
from shoplog.timeline.course import Course

#: A promise for the next video can't be answered in this one.
NEXT = re.compile(r"\bnext (?:video|time|one)\b|\banother (?:day|video)\b", re.IGNORECASE)


def waits(project: Project, course: Course, see: Witness) -> Iterator[Point]:
    states: dict[str, tuple[State, str]] = {
        "kept": ("good", ""),
        "short": ("missing", "The wait was cut short: say so, or wait and say what came of it."),
        "unknown": ("needs your eyes", "Nothing says how long was really waited; say it if you know."),
    }
    for wait in set_waits.waits(project, course):
        state, do = states[wait.verdict]
        who = "The label's wait" if wait.wait.fact.status != "planned" else "The wait"
        title = (
            f"{who} of {phrases.amount(wait.wait.fact)}{f' for the {wait.product}' if wait.product else ''} was kept"
        )
        if wait.wait.doubtful and state != "needs your eyes":
            state, do = "needs your eyes", "The wait itself was heard with doubt; listen."
        evidence = see.of(wait.wait) + ((Evidence(wait.evidence),) if wait.evidence else ())
        yield Point(f"wait-{phrases.slug(wait.product, phrases.amount(wait.wait.fact))}", title, state, evidence, do)


def promised(
    promises: Sequence[FollowUp], project: Project, course: Course, see: Witness, today: date
) -> Iterator[Point]:
    order = order_of(project)
    newest = max((s.moment.date() for s in course.starts.values() if s.moment), default=None)
    last = max(order, key=lambda r: order[r], default=None)
    for promise in promises:
        evidence: tuple[Evidence, ...] = (see.at(promise.recording_id, promise.start, promise.quote),)
        if promise.answer:
            evidence += (
                Evidence(f"answered by {promise.answer}" if promise.answered else f"perhaps by {promise.answer}"),
            )
        due = (
            f"due {promise.due.isoformat()}" if promise.due else f"due {promise.due_words}" if promise.due_words else ""
        )
        title = f"The promise is answered{f' ({due})' if due else ''}"
        state: State = "missing"
        do = (
            "Answer it in the video or the description, or mark it answered: shoplog due NAME --answered " + promise.key
        )
        if promise.answered:
            state, do = "good", ""
        elif promise.state == "perhaps" or promise.doubtful:
            state, do = "needs your eyes", "Listen whether this answers it, and mark it answered."
        elif promise.due and newest and promise.due > newest:
            state = "needs your eyes"
            do = (
                f"It was due on {promise.due.isoformat()}, after the last recording: look, and tell what came of it."
                if promise.due <= today
                else "Not due yet: the description says that it is still to come."
            )
        elif not promise.due and not promise.due_words and (NEXT.search(promise.quote) or promise.recording_id == last):
            state, do = "needs your eyes", "It is for a later video: is it on your list?"
        elif not promise.due and promise.due_words and promise.recording_id == last:
            state, do = "needs your eyes", "No day can be reckoned from the words: keep it in your own calendar."
        yield Point(f"promise-{promise.key}", title, state, evidence, do)


def plans(project: Project, course: Course, see: Witness) -> Iterator[Point]:
    by_id = {k.id: k for k in project.facts()}
    open_plans = [
        by_id[p.planned] for p in course.plans
        if p.verdict == "not heard of again" and p.planned in by_id
        and by_id[p.planned].fact.kind not in ("followup", "duration")
    ]  # fmt: skip
    if open_plans:
        yield Point(
            "plans", "What was planned was done", "needs your eyes", see.of(*open_plans),
            "Planned and not heard of again: keep it out, or say what became of it.",
        )  # fmt: skip
