"""The record of a project as values, in the order in which a maker reads it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from shoplog.facts import KINDS
from shoplog.garbage import uncollected
from shoplog.log import KeptFact, Project, Recording
from shoplog.reckon.derived import Result
from shoplog.reckon.project import reckon
from shoplog.reckon.statements import Stated, statements
from shoplog.timeline import Course, course
from shoplog.timeline.course import Defect, Reading
from shoplog.wording import quantity, say

#: Kinds in the order in which a step of the work lists them.
ORDER = (
    "clock", "species", "dimension", "weight", "moisture", "temperature", "humidity", "workholding", "tool", "speed",
    "grit", "defect", "adhesive", "finish", "duration", "ppe", "credit", "followup",
)  # fmt: skip
assert set(ORDER) == set(KINDS)  # a new kind must be given its place
_PLACE = {kind: place for place, kind in enumerate(ORDER)}

#: What may stand on the set-up card: only what was done.
_CARD = (
    ("Wood", ("species",)),
    ("Held by", ("workholding",)),
    ("Tools", ("tool",)),
    ("Speeds", ("speed",)),
    ("Grits", ("grit",)),
    ("Finish", ("finish",)),
    ("Glue", ("adhesive",)),
    ("Gear", ("ppe",)),
)


@dataclass(frozen=True, slots=True)
class Line:
    """A stated thing in words, with the words as heard and where they were said (seconds from the start)."""

    text: str
    kind: str
    status: str
    fact_id: int
    recording_id: int
    recording: str
    start: float
    end: float
    quote: str
    doubtful: bool
    corrected: bool = False


@dataclass(frozen=True, slots=True)
class Step:
    """One operation on one day in one recording; ``operation`` is None for what belongs to no operation."""

    operation: str | None
    recording_id: int
    recording: str
    start: float
    end: float
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class DayOfWork:
    """One day: its title, its steps in order, and seconds elapsed, recorded, with a machine running, and waited."""

    number: int
    date: date | None
    steps: tuple[Step, ...]
    elapsed: float
    working: float
    machine: float
    waiting: float


@dataclass(frozen=True, slots=True)
class Record:
    """Everything that the record of a project shows."""

    name: str
    project_id: int
    headline: str
    state: str
    dates: str
    recordings: tuple[Recording, ...]
    days: tuple[DayOfWork, ...]
    defects: tuple[Defect, ...]
    readings: tuple[Reading, ...]
    lines: dict[int, Line]
    facts: tuple[KeptFact, ...]
    stated: tuple[Stated, ...]
    derived: tuple[Result, ...]
    course: Course
    card: tuple[tuple[str, str], ...]
    not_heard_of: tuple[tuple[str, Line], ...]
    plans: tuple[tuple[str, str, Line], ...]
    contradictions: tuple[str, ...]
    doubtful: tuple[Line, ...]
    credits: tuple[Line, ...] = ()
    followups: tuple[Line, ...] = ()
    needs: tuple[str, ...] = field(default=())


@uncollected()
def record(project: Project) -> Record:
    """The record of a project. Computed things are in ``derived`` and nowhere else."""
    found = course(project)
    counted = [t.recording for t in project.takes if t.recording.same_as is None]
    facts = project.facts()
    ours = tuple(f for f in facts if not f.fact.attrs.get("other_piece"))
    names = {r.id: r.name for r in counted}
    lines = {f.id: _line(f, names) for f in facts}
    stated = tuple(statements(facts, [t.recording for t in project.takes], found))
    doubtful = tuple(
        sorted((lines[f.id] for f in ours if f.doubtful), key=lambda line: (line.recording_id, line.start))
    )
    unheard = tuple((p.words, lines[p.planned]) for p in found.plans if p.verdict == "not heard of again")
    unplaced = sum(c.fact_id is None for t in project.takes for c in t.corrections)
    return Record(
        name=project.name,
        project_id=project.id,
        headline=_headline(ours),
        state=_state(found.defects, counted),
        dates=_dates(found),
        recordings=tuple(t.recording for t in project.takes),
        days=_days(found, facts, lines, names),
        defects=found.defects,
        readings=found.readings,
        lines=lines,
        facts=facts,
        stated=stated,
        derived=tuple(reckon(project, found, stated)),
        course=found,
        card=_card(ours, lines),
        not_heard_of=unheard,
        plans=tuple((p.verdict, p.words, lines[p.planned]) for p in found.plans),
        contradictions=tuple(c.words for c in found.contradictions),
        doubtful=doubtful,
        credits=tuple(lines[f.id] for f in ours if f.fact.kind == "credit"),
        followups=tuple(lines[f.id] for f in ours if f.fact.kind == "followup"),
        needs=_needs(doubtful, unheard, found, counted, unplaced),
    )


def _line(kept: KeptFact, names: dict[int, str]) -> Line:
    fact = kept.fact
    return Line(
        text=say(fact) + (" (another piece)" if fact.attrs.get("other_piece") else ""),
        kind=fact.kind,
        status=fact.status,
        fact_id=kept.id,
        recording_id=kept.recording_id,
        recording=names.get(kept.recording_id, ""),
        start=fact.start,
        end=fact.end,
        quote=fact.quote,
        doubtful=kept.doubtful,
        corrected=kept.verdict in ("change", "add"),
    )


def _once(words: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(w for w in words if w))


def _certain(facts: Sequence[KeptFact], kind: str, *statuses: str) -> list[KeptFact]:
    return [f for f in facts if f.fact.kind == kind and f.fact.status in (statuses or ("done",)) and not f.doubtful]


def _headline(facts: Sequence[KeptFact]) -> str:
    """What it is, in one line: wood and size, as far as they were stated."""
    woods = _once(f.fact.item or "" for f in _certain(facts, "species"))
    sizes = [
        f"{quantity(f.fact)} {f.fact.item}" + (f" ({f.fact.attrs['of']})" if f.fact.attrs.get("of") else "")
        for f in _certain(facts, "dimension")
        if f.fact.item in ("diameter", "width", "length", "height")
        and f.fact.attrs.get("of") in (None, "blank", "bowl", "piece", "log", "vase", "platter", "box", "rim")
    ]
    parts = [" and ".join(woods) if woods else "wood not stated", ", ".join(_once(sizes)[:3])]
    return "; ".join(p for p in parts if p)


def _state(defects: Sequence[Defect], recordings: Sequence[Recording]) -> str:
    """How it stands at the end, said honestly: what is open, what was mended, what was not heard."""
    parts = []
    open_ = [d for d in defects if d.state in ("seen", "worse", "stable", "reopened")]
    if open_:
        parts.append("open: " + ", ".join(_once(_named(d) for d in open_)))
    mended = [d for d in defects if d.state == "repaired"]
    if mended:
        parts.append("repaired: " + ", ".join(_once(_named(d, state=False) for d in mended)))
    gone = [d for d in defects if d.state == "gone"]
    if gone:
        parts.append("gone: " + ", ".join(_once(_named(d, state=False) for d in gone)))
    waiting = sum(r.state in ("waiting", "hearing") for r in recordings)
    if waiting:
        parts.append(f"{waiting} recording{'' if waiting == 1 else 's'} not heard yet")
    return "; ".join(parts) or "no defect was stated"


def _named(defect: Defect, *, state: bool = True) -> str:
    where = f" at {defect.where}" if defect.where else ""
    return f"{defect.item}{where}" + (f" ({defect.state})" if state and defect.state != "seen" else "")


def _dates(found: Course) -> str:
    days = [d.date for d in found.days if d.date]
    if not days:
        return f"{len(found.days)} day{'' if len(found.days) == 1 else 's'}, undated" if found.days else "undated"
    first, last = min(days), max(days)
    span = (last - first).days + 1
    return first.isoformat() if first == last else f"{first.isoformat()} to {last.isoformat()} ({span} days)"


def _days(
    found: Course, facts: Sequence[KeptFact], lines: dict[int, Line], names: dict[int, str]
) -> tuple[DayOfWork, ...]:
    by_recording: dict[int, list[KeptFact]] = {}
    for fact in facts:
        by_recording.setdefault(fact.recording_id, []).append(fact)
    result = []
    for day in found.days:
        steps = [s for r in day.recordings for s in _steps(found, r, by_recording.get(r, []), lines, names.get(r, ""))]
        spent = day.spent
        result.append(
            DayOfWork(day.number, day.date, tuple(steps), spent.elapsed, spent.working, spent.machine, spent.waiting)
        )
    return tuple(result)


def _steps(
    found: Course, recording_id: int, facts: Sequence[KeptFact], lines: dict[int, Line], name: str
) -> list[Step]:
    """The facts of a recording in runs of one operation, so that a return to an operation is a step of its own."""
    steps: list[Step] = []
    run: list[KeptFact] = []
    operation: str | None = None
    for fact in sorted(facts, key=lambda f: f.fact.start):
        place = found.operations.get(fact.id)
        now = place.operation if place else None
        if run and now != operation:
            steps.append(_step(operation, recording_id, name, run, lines))
            run = []
        operation = now
        run.append(fact)
    if run:
        steps.append(_step(operation, recording_id, name, run, lines))
    return steps


def _step(operation: str | None, recording_id: int, name: str, run: Sequence[KeptFact], lines: dict[int, Line]) -> Step:
    ordered = sorted(run, key=lambda f: (_PLACE[f.fact.kind], f.fact.start))
    start, end = min(f.fact.start for f in run), max(f.fact.end for f in run)
    return Step(operation, recording_id, name, start, end, tuple(lines[f.id] for f in ordered))


def _card(facts: Sequence[KeptFact], lines: Mapping[int, Line]) -> tuple[tuple[str, str], ...]:
    """What to do again next time: done and certain things only, each once."""
    certain: dict[str, list[str]] = {}
    for kept in facts:
        if kept.fact.status == "done" and not kept.doubtful:
            text = lines[kept.id].text
            if kept.fact.kind == "speed" and kept.operation:
                text += f" ({kept.operation})"
            certain.setdefault(kept.fact.kind, []).append(text)
    card = []
    for heading, kinds in _CARD:
        words = [text for kind in kinds for text in certain.get(kind, ())]
        if kinds == ("grit",):
            words = [w.removesuffix(" grit") for w in words]
        if words:
            card.append((heading, ", ".join(_once(words))))
    return tuple(card)


def _needs(
    doubtful: Sequence[Line],
    unheard: Sequence[tuple[str, Line]],
    found: Course,
    recordings: Sequence[Recording],
    unplaced: int,
) -> tuple[str, ...]:
    def many(n: int, one: str, more: str) -> str:
        return f"{n} {one if n == 1 else more}"

    failed = sum(r.state == "failed" for r in recordings)
    counted = (
        (len(doubtful), "doubtful hearing needs a listen", "doubtful hearings need a listen"),
        (len(found.contradictions), "contradiction in the times", "contradictions in the times"),
        (len(unheard), "plan was not heard of again", "plans were not heard of again"),
        (failed, "recording could not be used", "recordings could not be used"),
        (unplaced, "correction has lost its place", "corrections have lost their place"),
    )
    return tuple(many(n, one, more) for n, one, more in counted if n)
