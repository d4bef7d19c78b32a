"""The record for a terminal, as Markdown and as JSON."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict

from shoplog.reckon.derived import Result
from shoplog.record.summary import DayOfWork, Line, Record
from shoplog.times import span, stamp

WIDTH = 100


def render(made: Record) -> str:
    """Plain text, at most WIDTH columns where words allow, every stated thing with its time."""
    out: list[str] = [made.name, "=" * len(made.name)]
    out += [f"{made.headline}", f"{made.dates}", f"State: {made.state}"]
    if made.needs:
        out.append("Needs a look: " + "; ".join(made.needs))
    for day in made.days:
        out += ["", day_title(day), "-" * len(day_title(day))]
        for step in day.steps:
            out.append(f"  {step.operation or 'by the way'}  [{step.recording} {stamp(step.start)}]")
            out += [_stated(line) for line in step.lines]
    for heading, body in _sections(made):
        out += ["", heading, "-" * len(heading), *(f"  {line}" for line in body)]
    return "\n".join(out) + "\n"


def _stated(line: Line) -> str:
    marks = "  ?" if line.doubtful else "  *" if line.corrected else ""
    return f"    {stamp(line.start):>7}  {line.kind:12} {line.text}{marks}"


def day_title(day: DayOfWork) -> str:
    """Day 1, 2026-03-03 (14 min recorded, 9 min with a machine running)."""
    parts = [f"{span(day.working)} recorded"] if day.working else []
    parts += [f"{span(day.machine)} with a machine running"] if day.machine else []
    when = f", {day.date.isoformat()}" if day.date else ""
    return f"Day {day.number}{when}" + (f" ({', '.join(parts)})" if parts else "")


def _where(line: Line) -> str:
    return f"[{line.recording} {stamp(line.start)}]"


def _sections(made: Record) -> Iterator[tuple[str, list[str]]]:
    """The parts after the course of work: (heading, lines); empty ones are left out."""
    if made.defects:
        yield "Defects", list(_defects(made))
    if made.readings:
        yield (
            "Moisture and weight",
            [f"day {r.day}: {made.lines[r.fact_id].text} {_where(made.lines[r.fact_id])}" for r in made.readings],
        )
    if made.plans:
        yield (
            "Plans and what became of them",
            [f"{verdict}: {words} {_where(line)}" for verdict, words, line in made.plans],
        )
    if made.contradictions:
        yield "Times that disagree", list(made.contradictions)
    spent = [(name, s) for name, s in made.course.spent.items() if s.working or s.waiting]
    if spent:
        yield (
            "Time spent",
            [
                f"{name}: {span(s.working)} recorded"
                + (f", {span(s.machine)} machine" if s.machine else "")
                + (f", {span(s.waiting)} waiting" if s.waiting else "")
                for name, s in spent
            ],
        )
    if made.derived:
        yield "Computed, not stated", [d.sentence() + _moment(made, d) for d in made.derived]
    if made.followups or made.credits:
        yield "Promised and thanked", [f"{line.text} {_where(line)}" for line in (*made.followups, *made.credits)]
    if made.doubtful:
        yield "Needs a listen", [f"{line.text} {_where(line)} “{line.quote}”" for line in made.doubtful]
    if made.card:
        yield "Set-up card", [f"{heading}: {words}" for heading, words in made.card]
    failed = [r for r in made.recordings if r.state == "failed"]
    if failed:
        yield "Recordings that could not be used", [f"{r.name}: {r.reason}" for r in failed]


def _defects(made: Record) -> Iterator[str]:
    for defect in made.defects:
        steps = []
        for event in defect.events:
            line = made.lines[event.fact_id]
            glue = f" with {event.glue}" if event.glue else ""
            clamped = f", left {span(event.clamped)}" if event.clamped else ""
            steps.append(f"{event.change}{glue}{clamped} {_where(line)}")
        where = f" at {defect.where}" if defect.where else ""
        yield f"{defect.item}{where}: now {defect.state}; " + ", ".join(steps)


def _moment(made: Record, result: Result) -> str:
    """Where in the recordings a computed thing belongs, if it belongs to one moment."""
    if result.recording_id is None or result.at is None:
        return ""
    name = next((r.name for r in made.recordings if r.id == result.recording_id), "")
    return f" [{name} {stamp(result.at)}]"


def card(made: Record) -> str:
    """The set-up card alone."""
    title = f"{made.name}: set-up card"
    body = [f"{heading}: {words}" for heading, words in made.card] or ["Nothing certain was stated."]
    return "\n".join([title, "-" * len(title), *body]) + "\n"


def markdown(made: Record) -> str:
    """Markdown with the same parts; characters that Markdown would read are escaped."""
    out = [
        f"# {_escape(made.name)}",
        "",
        _escape(made.headline),
        "",
        _escape(made.dates),
        "",
        f"**State:** {_escape(made.state)}",
    ]
    if made.needs:
        out += ["", f"**Needs a look:** {_escape('; '.join(made.needs))}"]
    for day in made.days:
        out += ["", f"## {_escape(day_title(day))}"]
        for step in day.steps:
            out += [
                "",
                f"### {_escape(step.operation or 'by the way')} ({_escape(step.recording)} {stamp(step.start)})",
                "",
            ]
            out += [
                f"- `{stamp(line.start)}` {_escape(line.text)}{' **?**' if line.doubtful else ''}"
                for line in step.lines
            ]
    for heading, body in _sections(made):
        out += ["", f"## {heading}", "", *(f"- {_escape(line)}" for line in body)]
    return "\n".join(out) + "\n"


def _escape(text: str) -> str:
    for character in "\\`*_[]<>#|":
        text = text.replace(character, "\\" + character)
    return text


def as_json(made: Record) -> dict[str, object]:
    """Every part of the record as JSON values; facts as in ``shoplog facts --json``, with their numbers."""
    return {
        "name": made.name,
        "headline": made.headline,
        "dates": made.dates,
        "state": made.state,
        "needs": list(made.needs),
        "recordings": [
            {"id": r.id, "name": r.name, "state": r.state, "reason": r.reason, "started": r.started,
             "started_source": r.started_source, "duration": r.duration, "machine_seconds": r.machine_seconds,
             "model": r.model, "same_as": r.same_as}
            for r in made.recordings
        ],
        "facts": [
            {"id": f.id, "recording": f.recording_id, **f.fact.as_json(), "operation": f.operation, "piece": f.piece,
             "doubtful": f.doubtful, "verdict": f.verdict, "moment": made.course.moments.get(f.id)}
            for f in made.facts
        ],
        "days": [asdict(day) for day in made.days],
        "defects": [asdict(d) for d in made.defects],
        "readings": [asdict(r) for r in made.readings],
        "plans": [{"verdict": v, "words": w, "fact": line.fact_id} for v, w, line in made.plans],
        "contradictions": list(made.contradictions),
        "spent": {name: asdict(s) for name, s in made.course.spent.items()},
        "computed": [{"sort": type(d).__name__, **asdict(d), "words": d.sentence()} for d in made.derived],
        "card": dict(made.card),
        "doubtful": [line.fact_id for line in made.doubtful],
    }  # fmt: skip
