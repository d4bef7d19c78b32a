"""Waits that a label or the maker set, beside what the log says was waited."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Literal

from shoplog.facts import to_si
from shoplog.log import KeptFact, Project
from shoplog.publish.phrases import amount
from shoplog.publish.stated import order_of, remark, use
from shoplog.timeline.course import Course
from shoplog.times import span, stamp

#: A wait counts as kept from this share on: words for times are round.
ENOUGH = 0.9
#: What is said so soon after the product belongs to it, seconds of recording.
SAME_BREATH = 90.0
#: What is said so soon after the wait is still the same remark, seconds.
SAME_REMARK = 10.0

Verdict = Literal["kept", "short", "unknown"]


@dataclass(frozen=True, slots=True)
class Wait:
    """A wait that was set. ``product`` is what it is for ('' if nothing was named near); ``evidence`` is in words."""

    wait: KeptFact
    product: str
    verdict: Verdict
    evidence: str


def waits(project: Project, course: Course) -> tuple[Wait, ...]:
    """Every wait that was set for a finish, a glue or the wood, and whether it was kept."""
    labels = {k.id for k in project.facts() if k.fact.kind == "duration" and by_a_label(project, k)}
    facts = [
        _as_reported(k) if k.id in labels else k
        for k in project.facts() if k.id in labels or use(k, "checklist") == "evidence"
    ]  # fmt: skip
    order = order_of(project)
    ordered = sorted(facts, key=lambda k: (order.get(k.recording_id, 0), k.fact.start, k.id))
    found = []
    for n, kept in enumerate(ordered):
        fact = kept.fact
        if fact.kind != "duration" or fact.status in ("done", "denied") or not _seconds(kept):
            continue
        product = _product(ordered, n)
        if not product and (fact.status != "planned" or not _of_the_wood(kept)):
            continue
        found.append(
            Wait(kept, product.fact.item or "" if product else "", *_kept(project, ordered, n, product, course))
        )
    return tuple(found)


_LABEL = re.compile(
    r"\b(?:label|tin|can|bottle|jar|tube|packet|box|sheet|instructions|directions|maker|manufacturer)'?s?"
    r" (?:says?|said|wants?|asks?|calls?|recommends?|suggests?|needs?|reckons?|tells?)\b|\bsays the \w+\b|"
    r"\bsupposed to\b"
)


def _as_reported(kept: KeptFact) -> KeptFact:
    return replace(kept, fact=replace(kept.fact, status="reported"))


_ANOTHER_CLAUSE = re.compile(r"[,;.]|\b(?:but|i|we|and)\b")
#: The number of a label's wait stands so near to the words that name the label, characters.
BESIDE = 30


def by_a_label(project: Project, kept: KeptFact) -> bool:
    """True for a time that a label asks for, however its words were read ("the tin wants eight hours")."""
    words = remark(project, kept).lower()
    at = words.find(" ".join(kept.fact.quote.lower().split()))
    between = [words[m.end() : at] for m in _LABEL.finditer(words) if m.end() <= at]
    near = any(len(text) <= BESIDE and not _ANOTHER_CLAUSE.search(text) for text in between)
    return near and not kept.fact.attrs.get("other_piece")


def _seconds(kept: KeptFact) -> float:
    """The least that was set: of a range its first end."""
    fact = kept.fact
    value = fact.value if fact.value is not None else fact.low if fact.low is not None else fact.high
    return to_si(value, fact.unit) or 0.0


#: Waits of the wood are told in these units; glues and finishes take hours or days.
_LONG = ("week", "month", "year")
_DRYING = re.compile(r"\b(?:bag|box|shavings|loft|shelf|rack|attic|drying|season\w*|wood|blank|rough[- ]?out)\b")


def _of_the_wood(kept: KeptFact) -> bool:
    """True for the wait of wood that dries."""
    return kept.fact.unit in _LONG or bool(_DRYING.search(str(kept.fact.attrs.get("of") or "").lower()))


def _product(ordered: list[KeptFact], n: int) -> KeptFact | None:
    """The finish or glue that a wait is for: in the same words, else the last one said shortly before."""
    kept = ordered[n]
    if _of_the_wood(kept):
        return None
    near = [
        k for k in ordered
        if k.fact.kind in ("finish", "adhesive") and k.fact.status in ("done", "planned")
        and k.recording_id == kept.recording_id
        and -SAME_REMARK <= kept.fact.start - k.fact.start <= SAME_BREATH
    ]  # fmt: skip
    before = [k for k in near if k.fact.start <= kept.fact.start]
    return before[-1] if before else near[0] if near else None


def _kept(
    project: Project, ordered: list[KeptFact], n: int, product: KeptFact | None, course: Course
) -> tuple[Verdict, str]:
    """What tells whether the wait was kept: a stated time, else the clock at the next thing done to it."""
    kept = ordered[n]
    needed = _seconds(kept)
    for later in _near(ordered, n):
        if later.fact.kind == "duration" and later.fact.status == "done" and _of_the_same(ordered, later, product):
            waited = _seconds(later)
            verdict: Verdict = "kept" if waited >= needed * ENOUGH else "short"
            return verdict, f"“{remark(project, later)}” at {stamp(later.fact.start)} is {amount(later.fact)}"
    start = course.moments.get(kept.id)
    for later in ordered[n + 1 :]:
        if later.fact.status != "done" or not _is_next(later, kept, product):
            continue
        end = course.moments.get(later.id)
        quote = f"“{remark(project, later)}” at {stamp(later.fact.start)}"
        if later.recording_id == kept.recording_id and not _clock_between(ordered, kept, later):
            # A camera may have been stopped between two remarks of one file: its clock proves nothing.
            return "unknown", f"next: {quote}"
        if start is None or end is None:
            return "unknown", f"next: {quote}, at no known time"
        waited = (end - start).total_seconds()
        return "kept" if waited >= needed * ENOUGH else "short", f"{quote}, {span(max(waited, 0))} later by the clock"
    return "unknown", ""


def _clock_between(ordered: list[KeptFact], kept: KeptFact, later: KeptFact) -> bool:
    """True where a time or a jump is told between two statements of one recording."""
    return any(
        k.fact.kind == "clock" and k.recording_id == kept.recording_id
        and kept.fact.end <= k.fact.start <= later.fact.end + SAME_REMARK / 2
        for k in ordered
    )  # fmt: skip


def _near(ordered: list[KeptFact], n: int) -> list[KeptFact]:
    """What follows, and what was said in the same breath before ("gave it ten minutes, the label says thirty")."""
    kept = ordered[n]
    if kept.fact.status == "planned":
        # What is still to be waited can only be told of later.
        return ordered[n + 1 :]
    around = [
        k for k in ordered[:n]
        if k.recording_id == kept.recording_id and kept.fact.start - k.fact.start <= SAME_BREATH / 3
    ]  # fmt: skip
    return ordered[n + 1 :] + around


def _of_the_same(ordered: list[KeptFact], later: KeptFact, product: KeptFact | None) -> bool:
    """A stated time belongs to the same product where that is the last one spoken of before it."""
    if product is None:
        return later.fact.unit in ("day", *_LONG) and _product(ordered, ordered.index(later)) is None
    before = [
        k for k in ordered
        if k.fact.kind in ("finish", "adhesive") and k.fact.status in ("done", "planned")
        and (k.recording_id, k.fact.start) <= (later.recording_id, later.fact.end)
    ]  # fmt: skip
    return bool(before) and before[-1].fact.kind == product.fact.kind and before[-1].fact.item == product.fact.item


def _is_next(later: KeptFact, wait: KeptFact, product: KeptFact | None) -> bool:
    """The next thing done after a wait: another coat, a polish, a cut into what was glued, a look at the dried wood."""
    if later.fact.start <= wait.fact.end and later.recording_id == wait.recording_id:
        return False
    if product is None:
        return later.fact.kind in ("moisture", "weight", "tool", "speed")
    if product.fact.kind == "finish":
        return later.fact.kind == "finish" and later.id != product.id
    return later.fact.kind in ("tool", "speed", "grit", "workholding")
