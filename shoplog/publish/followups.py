"""Promises: what was said to be looked at again or shown, when it is due, and whether it was answered."""

from __future__ import annotations

import calendar
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal

from shoplog.log import KeptFact, Project
from shoplog.publish.due import due_date
from shoplog.publish.phrases import slug
from shoplog.publish.stated import order_of, remark, spoken, statements
from shoplog.publish.viewers import WHEN, content, shown_later, to_viewers
from shoplog.timeline.course import Course
from shoplog.times import stamp

#: The topic under which a person settles promises by hand.
TOPIC = "followup"
#: answered: a later recording or a person says so. perhaps: something later may answer it; listen. open: nothing does.
State = Literal["open", "perhaps", "answered"]


@dataclass(frozen=True, slots=True)
class FollowUp:
    """One promise. ``key`` names it within its project for good; ``uid`` among all calendars.

    ``public`` is how viewers are told; ``due`` is None where the words name no day (``due_words`` keeps them).
    ``answer`` says in words what answered it.
    """

    key: str
    uid: str
    project: str
    recording_id: int
    start: float
    quote: str
    public: str
    due_words: str = ""
    due: date | None = None
    said_on: date | None = None
    state: State = "open"
    answer: str = ""
    fact_id: int = 0
    doubtful: bool = False

    @property
    def answered(self) -> bool:
        return self.state == "answered"

    def as_json(self) -> dict[str, Any]:
        names = (
            "key",
            "uid",
            "project",
            "recording_id",
            "start",
            "quote",
            "public",
            "due_words",
            "state",
            "answer",
            "doubtful",
        )
        return {
            **{name: getattr(self, name) for name in names},
            "due": self.due.isoformat() if self.due else None,
            "said_on": self.said_on.isoformat() if self.said_on else None,
        }


def follow_ups(
    project: Project, course: Course, settled: Mapping[str, tuple[str, str | None]] | None = None
) -> tuple[FollowUp, ...]:
    """All promises of a project in the order in which they were made. ``settled`` is what a person settled by hand."""
    found: list[FollowUp] = []
    taken: set[str] = set()
    facts = statements(project, "followups", "followup", uses=("promise", "blank"))
    for kept in facts:
        item, due_words = str(kept.fact.item or "it"), _due_words(kept.fact.attrs.get("due"), remark(project, kept))
        said = _said_on(project, course, kept)
        due = due_date(due_words, said) if said and due_words else None
        state, answer = _answer(project, course, kept, _least_days(said, due))
        found.append(
            _made(
                project, kept.recording_id, kept.fact.start, remark(project, kept), f"{item} {due_words}", taken,
                public=_public(item, due_words, remark(project, kept)), due_words=due_words,
                said_on=said,
                due=due, state=state, answer=answer, fact_id=kept.id, doubtful=kept.doubtful,
            )
        )  # fmt: skip
    for take, cue in to_viewers(project, facts):
        state, answer = shown_later(project, take, cue)
        text = " ".join(cue.text.split())
        due_words = match[0] if (match := WHEN.search(text.lower())) else ""
        start = course.starts.get(take.recording.id)
        said = start.moment.date() if start and start.moment else None
        found.append(
            _made(
                project, take.recording.id, cue.start, text, " ".join(content(text)[:4]), taken,
                public=f"“{text}”", state=state, answer=answer, said_on=said, due_words=due_words,
                due=due_date(due_words, said) if said and due_words else None,
            )
        )  # fmt: skip
    order = order_of(project)
    found.sort(key=lambda f: (order.get(f.recording_id, 0), f.start))
    return tuple(_by_hand(f, settled or {}) for f in found)


def _due_words(due: object, words: str) -> str:
    """The due time as it was said: the longest end of it that stands in the remark ("movement Thursday": Thursday)."""
    parts = str(due or "").split()
    ends = (" ".join(parts[n:]) for n in range(len(parts)))
    return next((end for end in ends if end.lower() in words.lower()), " ".join(parts))


def _said_on(project: Project, course: Course, kept: KeptFact) -> date | None:
    """The day of a promise: by the course, else the last day spoken of before it, else the recording's first."""
    if moment := course.moments.get(kept.id):
        return moment.date()
    before = [
        course.spoken_of[k.id]
        for k in project.facts()
        if k.id in course.spoken_of and k.recording_id == kept.recording_id and k.fact.start <= kept.fact.start
    ]
    start = course.starts.get(kept.recording_id)
    latest = max(before, default=start.moment if start else None)
    return latest.date() if latest else None


def _made(
    project: Project, recording_id: int, start: float, quote: str, about: str, taken: set[str], **more: Any
) -> FollowUp:
    import hashlib

    base = slug(about) or "promise"
    key, n = base, 2
    while key in taken:
        key, n = f"{base}-{n}", n + 1
    taken.add(key)
    recording = project.recording(recording_id)
    # The content of the file names the recording for good: a renamed file or project keeps its calendar entries.
    origin = next((c.sha256 for c in recording.clips if c.sha256), None) or recording.name
    digest = hashlib.sha256(f"{origin}\n{key}".encode()).hexdigest()[:32]
    return FollowUp(key, f"{digest}@shoplog", project.name, recording_id, start, quote, **more)


_LOOKING = {
    "moisture": "put the meter on it again", "weight": "weigh it again", "humidity": "measure the humidity",
    "warp": "check it for movement", "it": "look at it again",
}  # fmt: skip


def _public(item: str, due: str, quote: str) -> str:
    """How viewers are told, with the word that stood before the due time."""
    what = _LOOKING.get(item, f"look at the {item} again")
    before = re.search(rf"\b(in|after|by|at|on|within|until|before|for|come)\s+{re.escape(due.lower())}", quote.lower())
    lead = f" {before[1]}" if before else ""
    # A day or month keeps its capital, whatever the recogniser wrote.
    names = "|".join((*calendar.month_name[1:], *calendar.day_name))
    due = re.sub(rf"\b({names})\b", lambda m: m[0].title(), due, flags=re.IGNORECASE)
    return f"I said I would {what}{f'{lead} {due}' if due else ''}"


def _by_hand(found: FollowUp, settled: Mapping[str, tuple[str, str | None]]) -> FollowUp:
    from dataclasses import replace

    if found.key in settled:
        state, note = settled[found.key]
        return replace(found, state="answered" if state == "answered" else "open", answer=note or "marked by hand")
    return found


# ------------------------------------------------------------------------------------------------ answers in the work

_KINDS = {"moisture": "moisture", "weight": "weight", "humidity": "humidity", "temperature": "temperature"}


def _answer(project: Project, course: Course, promise: KeptFact, least: float) -> tuple[State, str]:
    """Whether the words of a day at least ``least`` days later answer a promise."""
    order, by_id = order_of(project), {k.id: k for k in project.facts()}
    plan = next((p for p in course.plans if p.planned == promise.id and p.deed in by_id), None)
    candidates = [by_id[plan.deed]] if plan and plan.deed and plan.verdict == "kept" else []
    item = str(promise.fact.item or "")
    candidates += [
        k for k in statements(project, "checklist", uses=("evidence",))
        if k.fact.kind != "followup" and k.fact.status in ("done", "denied") and _is_about(k, item)
    ]  # fmt: skip
    for kept in candidates:
        days = _days_between(course, promise, kept)
        if kept.id != promise.id and days is not None and days >= least:
            return "perhaps" if kept.doubtful else "answered", f"“{remark(project, kept)}” at {stamp(kept.fact.start)}"
    words = content(item)
    said_on_day = course.days_of.get(promise.id, 1)
    for take, cue in spoken(project):
        start = course.starts.get(take.recording.id)
        later = order[take.recording.id] > order.get(promise.recording_id, 0)
        late = start is None or start.day - said_on_day >= least
        if later and late and words and all(any(w[:5] == c[:5] for c in content(cue.text)) for w in words):
            return "perhaps", f"“{cue.text}” at {stamp(cue.start)}"
    for kept in statements(project, "checklist", "clock", uses=("evidence",)):
        jump = kept.fact.attrs.get("days_later")
        if isinstance(jump, int) and jump >= least and _later(order, promise, kept):
            return "perhaps", f"“{remark(project, kept)}” at {stamp(kept.fact.start)}"
    return "open", ""


#: A look counts for a promise from this share of its time on: one on the next day is not the one of six months.
EARLY = 0.5


def _least_days(said: date | None, due: date | None) -> float:
    """Days that must have passed before a look answers a promise: at least one."""
    return max(1.0, EARLY * (due - said).days) if said and due else 1.0


def _is_about(kept: KeptFact, item: str) -> bool:
    return kept.fact.kind == _KINDS.get(item) or kept.fact.item == item


def _later(order: Mapping[int, int], a: KeptFact, b: KeptFact) -> bool:
    return (order.get(b.recording_id, 0), b.fact.start) > (order.get(a.recording_id, 0), a.fact.start)


def _days_between(course: Course, promise: KeptFact, kept: KeptFact) -> int | None:
    """Days from a promise to a statement, None where nothing tells."""
    a, b = course.days_of.get(promise.id), course.days_of.get(kept.id)
    return None if a is None or b is None else b - a
