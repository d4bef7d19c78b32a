"""One-line answers to what viewers always ask, with their times, and "not stated" where nobody said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

from shoplog.log import KeptFact, Project
from shoplog.publish import phrases, sections
from shoplog.publish.programme import Programme
from shoplog.publish.sections import Line
from shoplog.publish.stated import remark, statements
from shoplog.timeline.course import Course
from shoplog.times import span, stamp

NOT_STATED = "not stated"


@dataclass(frozen=True, slots=True)
class Answer:
    """``text`` is one line; ``times`` are (recording or video, second) of the words; ``stated`` False: nobody said."""

    question: str
    text: str
    times: tuple[tuple[str, float], ...] = ()
    stated: bool = True

    def as_json(self) -> dict[str, Any]:
        return asdict(self)


def answers(project: Project, course: Course, programme: Programme) -> tuple[Answer, ...]:
    """An answer to each question, in the order in which viewers ask."""
    facts = {k.id: k for k in project.facts()}

    def where(fact_id: int) -> str:
        return programme.place(project, facts[fact_id].recording_id, facts[fact_id].fact.start)

    def answer(question: str, lines: Sequence[Line]) -> Answer:
        if not lines:
            return Answer(question, NOT_STATED, stated=False)
        text = "; ".join(_bare(phrases.placed(x.text, where)) for x in lines)
        ids = dict.fromkeys(i for x in lines for i in x.facts)
        return Answer(question, text, tuple(_time(project, programme, facts[i]) for i in ids if i in facts))

    return (
        answer("What wood is it?", sections.wood(project)),
        answer("How fast does it turn?", sections.speeds(project)),
        answer("Which tool, and what grind?", sections.tools(project)),
        answer("Which grits?", sections.grits(project, course)),
        answer("What finish, and how many coats?", sections.finishes(project) or _denied(project, "finish")),
        answer("How is it held?", sections.held(project)),
        answer("How big is it?", sections.sizes(project, course)),
        answer(
            "How dry was the wood?", [x for x in sections.readings(project, course) if x.text.startswith("Moisture")]
        ),
        answer("How long did it take?", _how_long(course)),
        answer("Did it crack?", _cracked(project, course)),
        answer("Where is the wood from?", _source(project)),
    )


#: Labels of the description that the question makes needless.
_NEEDLESS = ("Wood", "Speeds", "Tools", "Sanded", "Finish", "Held by", "Moisture", "Size")


def _bare(text: str) -> str:
    label, _, rest = text.partition(": ")
    return rest if rest and label in _NEEDLESS else text


def _time(project: Project, programme: Programme, kept: KeptFact) -> tuple[str, float]:
    """Where it is said: in the video if it is a cut that keeps it, else in the recording."""
    at = programme.at(kept.recording_id, kept.fact.start)
    if programme.is_cut and at is not None:
        return "video", at
    return project.recording(kept.recording_id).name, kept.fact.start


def _denied(project: Project, kind: str) -> list[Line]:
    found = list(statements(project, "answers", kind, uses=("no",)))
    return [Line(f"no {k.fact.item}, as I said", (k.id,)) for k in found[:2]]


def _source(project: Project) -> list[Line]:
    return [
        Line(sections.told(kept, f"from {name}"), (kept.id,))
        for name, role, kept in sections.names(project)
        if role == "wood"
    ]


def _how_long(course: Course) -> list[Line]:
    """Computed from the days and the recordings, and labelled so."""
    working = sum(d.spent.working for d in course.days)
    if not working:
        return []
    dated = [d.date for d in course.days if d.date]
    over = (max(dated) - min(dated)).days + 1 if dated else len(course.days)
    days = f" over {over} days" if over > 1 else ""
    return [Line(f"{span(working)} recorded{days} (computed from the recordings)", computed=True)]


def _cracked(project: Project, course: Course) -> list[Line]:
    lines = [
        x for x, item in zip(sections.troubles(project, course), _told(project, course), strict=True)
        if item in ("crack", "ring shake")
    ]  # fmt: skip
    if lines:
        return [Line(f"yes, {x.text[:1].lower()}{x.text[1:]}", x.facts) for x in lines]
    denied = [k for k in statements(project, "answers", "defect", uses=("no",)) if k.fact.item == "crack"]
    return [Line(f"no, “{remark(project, denied[-1])}”", (denied[-1].id,))] if denied else []


def _told(project: Project, course: Course) -> list[str]:
    """The items of the defects that `sections.troubles` tells of, in its order."""
    told = {k.id for k in sections.said(project, "defect")}
    return [d.item for d in course.defects if any(e.fact_id in told for e in d.events)]


def as_text(found: Sequence[Answer]) -> str:
    """Question, answer and times, a line each."""
    lines = []
    for a in found:
        where = ", ".join(f"{name} {stamp(at)}" for name, at in a.times[:3])
        lines.append(f"{a.question}\n  {a.text}{f'  ({where})' if where else ''}\n")
    return "".join(lines)
