"""How defects ended, and whether the last shot shows it."""

from __future__ import annotations

from collections.abc import Iterator

from shoplog.log import KeptFact, Project
from shoplog.publish import phrases
from shoplog.publish.evidence import Point, State, Witness
from shoplog.publish.stated import order_of, statements
from shoplog.timeline.course import Course

#: What endangers the piece: its last word must be how it ended. The rest may stay in on purpose or be cut away.
GRAVE = frozenset(("crack", "ring shake", "rot", "blowout"))


#: Changes of a defect that viewers have not seen if they came after the last shot.
NEWS = ("seen", "worse", "reopened")
STANDING = {"seen": "there", "worse": "worse", "reopened": "open again"}


def defects(project: Project, course: Course, see: Witness) -> Iterator[Point]:
    facts = {k.id: k for k in project.facts()}
    for defect in course.defects:
        events = [facts[e.fact_id] for e in defect.events if e.fact_id in facts]
        if not events:
            continue
        last = events[-1]
        where = f" ({defect.where})" if defect.where else ""
        title = f"How the {defect.item}{where} ended is told honestly"
        evidence = see.of(events[0]) if len(events) == 1 else see.of(events[0], last)
        if any(k.doubtful for k in (events[0], last)):
            state: State = "needs your eyes"
            do = "It was heard with doubt; listen."
        elif defect.state in ("repaired", "gone", "stable"):
            hidden = see.programme.is_cut and see.cut_out(last) and not see.cut_out(events[0])
            origin = see.programme.is_cut and see.cut_out(events[0]) and not see.cut_out(last)
            state = "missing" if hidden or origin else "good"
            do = (
                "The cut shows it and leaves out how it ended: say it." if hidden
                else "The cut shows the mending and never the defect: show or say what it was." if origin else ""
            )  # fmt: skip
        elif defect.item not in GRAVE and defect.state == "seen":
            state, do = (
                "needs your eyes",
                "The last word is that it is there: is it still, and does the description say so?",
            )
        else:
            state, do = (
                "missing",
                f"The last word is that it is {STANDING[defect.state]}: say how it ended, or that it is still there.",
            )
        yield Point(
            f"defect-{phrases.slug(defect.item, defect.where or '', str(defect.piece) if course.pieces > 1 else '')}",
            title,
            state,
            evidence,
            do,
        )
    if not course.defects:
        denied = [
            k for k in statements(project, "checklist", "defect", uses=("evidence",)) if k.fact.status == "denied"
        ]
        if denied and not denied[-1].doubtful:
            yield Point("defects", "Defects at the end are told honestly", "good", see.of(denied[-1]))
        else:
            yield Point(
                "defects",
                "Defects at the end are told honestly",
                "needs your eyes",
                see.of(*denied[-1:]),
                "No defect was spoken of; look at the piece once more.",
            )


def last_shot(project: Project, course: Course, see: Witness) -> Point:
    """A crack that came after the piece was filmed: a defect's event lies after the last finish or picture."""
    title = "The last shot shows the final state"
    order = order_of(project)

    def place(k: KeptFact) -> tuple[int, float]:
        return order.get(k.recording_id, 0), k.fact.start

    facts = {k.id: k for k in project.facts()}
    filmed = [
        k
        for k in project.facts()
        if k.operation in ("finish", "photograph", "sign") and k.fact.kind != "defect" and k.fact.status == "done"
    ]
    after = max(map(place, filmed), default=None)
    late = [
        facts[e.fact_id] for d in course.defects for e in d.events
        if after and e.fact_id in facts and e.change in NEWS and place(facts[e.fact_id]) > after
    ]  # fmt: skip
    if late and see.programme.is_cut and all(see.cut_out(k) for k in late):
        return Point(
            "last-shot", title, "missing", see.of(*late), "It came after the last shot of the cut: show it or tell it."
        )
    if late:
        return Point(
            "last-shot",
            title,
            "needs your eyes",
            see.of(*late),
            "It came after the finish: does the last shot show it?",
        )
    return Point(
        "last-shot",
        title,
        "needs your eyes",
        see.of(*filmed[-1:]),
        "Nothing was said after this; is the piece still as the last shot shows it?",
    )
