"""Chapters: from the operations of the work and its turning points, in the video's time."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from shoplog.log import KeptFact, Project, Stage
from shoplog.publish import phrases
from shoplog.publish.limits import COMMON, Limits, fit
from shoplog.publish.programme import Programme
from shoplog.publish.stated import remark, statements
from shoplog.publish.work import title_of
from shoplog.times import stamp
from shoplog.transcript import Cue
from shoplog.transcript_files import to_vtt

#: What makes way for what where two chapters are too close: the lower number stays.
STAGE, TURN, REMARK = 1, 2, 3
OPENING = "Start"
#: A change of a defect as a title.
CHANGES = {"repaired": "The {} is mended", "gone": "The {} is gone", "worse": "The {} gets worse"}


@dataclass(frozen=True, slots=True)
class Chapter:
    """A title from second ``start`` to second ``end`` of the video; ``evidence`` is the words it rests on."""

    start: float
    end: float
    title: str
    evidence: str = ""


@dataclass(frozen=True, slots=True)
class _Mark:
    at: float
    title: str
    rank: int
    evidence: str = ""


def chapters(
    project: Project, stages: Sequence[Stage], programme: Programme, limits: Limits = COMMON
) -> tuple[Chapter, ...]:
    """The chapters of the video: first at 0:00, each long enough, titles short, no two alike in a row.

    Fewer than ``limits.chapters_least`` come back only where the video has no room or no words for more.
    """
    marks = _apart(
        _unrepeated([*_stage_marks(project, stages, programme), *_turns(project, stages, programme)]), programme, limits
    )
    if len(marks) + (not marks or marks[0].at > 0) < limits.chapters_least:
        marks = _apart([*marks, *_remarks(project, programme)], programme, limits)[
            : max(limits.chapters_least, len(marks))
        ]
    if not marks or marks[0].at > 0:
        marks.insert(0, _Mark(0.0, OPENING, STAGE))
    ends = [m.at for m in marks[1:]] + [programme.duration]
    return tuple(
        Chapter(m.at, end, fit(m.title, limits.chapter_title), m.evidence) for m, end in zip(marks, ends, strict=True)
    )


def faults(found: Sequence[Chapter], limits: Limits = COMMON) -> list[str]:
    """What a video host would refuse, each in a few words; empty where the chapters are valid."""
    wrong = []
    if not found or found[0].start != 0:
        wrong.append("the first chapter must be at 0:00")
    if len(found) < limits.chapters_least:
        wrong.append(f"there are {len(found)} chapters; hosts show them from {limits.chapters_least} on")
    for c in found:
        if int(c.end) - int(c.start) < limits.chapter_seconds:
            wrong.append(f"the chapter at {stamp(c.start)} is shorter than {limits.chapter_seconds:.0f} s")
        if not c.title or len(c.title) > limits.chapter_title:
            wrong.append(f"the chapter at {stamp(c.start)} needs a title of 1 to {limits.chapter_title} characters")
    wrong += [
        f"the chapter at {stamp(b.start)} is out of order" for a, b in itertools.pairwise(found) if b.start <= a.start
    ]
    return wrong


def _stage_marks(project: Project, stages: Sequence[Stage], programme: Programme) -> list[_Mark]:
    marks = []
    pieces = {s.piece for s in stages}
    stated = statements(project, "chapters", "grit", "finish", "defect")
    for stage in stages:
        at = programme.following(stage.recording_id, stage.start, stage.end)
        if at is None or not (title := title_of(stage.operation)):
            continue
        title += _detail([k for k in stated if k.recording_id == stage.recording_id], stage)
        marks.append(_Mark(at, f"{title}, piece {stage.piece}" if len(pieces) > 1 else title, STAGE, stage.evidence))
    return sorted(marks, key=lambda m: m.at)


def _detail(stated: Sequence[KeptFact], stage: Stage) -> str:
    """What sets this stage apart: the grits of a sanding, the product of a finishing."""
    inside = [k for k in stated if stage.start <= k.fact.start < stage.end]
    grits = [
        n for k in inside if k.fact.kind == "grit" for n in (k.fact.value, k.fact.low, k.fact.high) if n is not None
    ]
    if stage.operation == "sand" and grits:
        low, high = min(grits), max(grits)
        return f", {low:.0f} to {high:.0f}" if high > low else f" with {low:.0f}"
    products = phrases.unique(phrases.product(k.fact) for k in inside if k.fact.kind == "finish")
    if stage.operation == "repair":
        mended = phrases.unique(str(k.fact.item) for k in inside if k.fact.kind == "defect")
        return f": {phrases.listed(mended[:2])}" if mended else ""
    return f": {phrases.listed(products[:2])}" if products and stage.operation == "finish" else ""


def _turns(project: Project, stages: Sequence[Stage], programme: Programme) -> list[_Mark]:
    """What changes the course of the work: a new defect, a repair, days that passed."""
    marks = []
    seen: set[str] = set()
    promised = {remark(project, k) for k in project.facts() if k.fact.kind == "followup"}
    for kept in statements(project, "chapters", "defect", "clock"):
        fact = kept.fact
        at = programme.at(kept.recording_id, fact.start)
        # A repair's chapter names what is mended.
        if any(
            s.recording_id == kept.recording_id and s.operation == "repair" and s.start <= fact.start < s.end
            for s in stages
        ):
            seen.add(fact.item or "")
            continue
        if fact.kind == "clock" and remark(project, kept) in promised:
            continue  # "next week I'll look" is no jump
        if fact.kind == "clock":
            days = fact.attrs.get("days_later")
            title = (
                "The next day" if days == 1 else f"{_later(days)} later" if isinstance(days, int) and days > 1 else ""
            )
        else:
            item, change = fact.item or "", fact.attrs.get("change")
            title = CHANGES.get(change or "", "").format(item)
            if not title and item not in seen and change != "stable":
                title = phrases.defect(fact).split(",")[0]
            seen.add(item)
            title = title[:1].upper() + title[1:]
        if at is not None and title:
            marks.append(_Mark(at, title, TURN, fact.quote))
    return marks


def _later(days: int) -> str:
    for length, word in ((365, "year"), (30, "month"), (7, "week")):
        if days % length == 0:
            n = days // length
            return f"{phrases.count(n).capitalize()} {word}{'' if n == 1 else 's'}"
    return f"{phrases.count(days).capitalize()} days"


def _remarks(project: Project, programme: Programme) -> list[_Mark]:
    """Statements that may stand for a chapter where the work gives too few."""
    marks = []
    for kept in statements(
        project, "chapters", "tool", "workholding", "finish", "species", "dimension", "moisture", "speed"
    ):
        at = programme.at(kept.recording_id, kept.fact.start)
        if at is not None and (text := _remark(kept)):
            marks.append(_Mark(at, text[:1].upper() + text[1:], REMARK, kept.fact.quote))
    return marks


def _remark(kept: KeptFact) -> str:
    label = {"moisture": "Moisture, ", "speed": "Running at ", "species": "The wood: "}.get(kept.fact.kind, "")
    return label + phrases.plain(kept)


def _unrepeated(marks: list[_Mark]) -> list[_Mark]:
    """Without a stage that only goes on: the same title again with no other stage between."""
    kept: list[_Mark] = []
    for mark in sorted(marks, key=lambda m: (m.at, m.rank)):
        before = next((m for m in reversed(kept) if m.rank == STAGE), None)
        if mark.rank != STAGE or before is None or before.title != mark.title:
            kept.append(mark)
    return kept


def _apart(marks: list[_Mark], programme: Programme, limits: Limits) -> list[_Mark]:
    """Marks with room between them, at the start and before the end; where there is none the higher rank stays."""
    # Whole seconds are what is printed: two stamps must differ by the least length after rounding down.
    room = limits.chapter_seconds
    chosen: list[_Mark] = []
    for mark in sorted(marks, key=lambda m: (m.rank, m.at)):
        at = 0.0 if int(mark.at) < room and all(c.at > 0 for c in chosen) and mark.rank == STAGE else mark.at
        if at and (int(at) < room or int(programme.duration) - int(at) < room):
            continue
        if all(abs(int(at) - int(c.at)) >= room for c in chosen):
            chosen.append(_Mark(at, mark.title, mark.rank, mark.evidence))
    return sorted(chosen, key=lambda m: m.at)


def as_text(found: Sequence[Chapter]) -> str:
    """Lines for a description: ``0:00 Start``."""
    return "".join(f"{stamp(c.start)} {c.title}\n" for c in found)


def as_vtt(found: Sequence[Chapter]) -> str:
    """A WebVTT chapter track: one cue a chapter, its payload the title."""
    return to_vtt(Cue(c.start, c.end, c.title) for c in found)


def as_ffmetadata(found: Sequence[Chapter]) -> str:
    """An FFMETADATA file, times in milliseconds; = ; # \\ and line ends are escaped as its description asks."""
    blocks = [";FFMETADATA1\n"]
    for c in found:
        title = "".join(f"\\{ch}" if ch in "=;#\\\n" else ch for ch in c.title)
        blocks.append(
            f"[CHAPTER]\nTIMEBASE=1/1000\nSTART={round(c.start * 1000)}\nEND={round(c.end * 1000)}\ntitle={title}\n"
        )
    return "".join(blocks)
