"""How the templates put values into words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import Any

from shoplog.facts import convert
from shoplog.log import Correction, KeptFact
from shoplog.reckon.derived import amount, figure
from shoplog.record.text import day_title
from shoplog.search.telling import numbers_line
from shoplog.store.corrections import corrected
from shoplog.store.rows import fact_of
from shoplog.times import span, stamp
from shoplog.wording import number, say

#: What a state or status is called on the pages.
STATE_WORDS = {"waiting": "waiting", "hearing": "being heard", "done": "heard", "failed": "could not be heard"}
STATUS_CHOICES = {
    "done": "it is so, or was done",
    "planned": "planned, not done yet",
    "habit": "usual practice, not this piece",
    "reported": "someone else says so",
    "hypothetical": "maybe, if",
    "denied": "said not to be so",
}
VERDICT_WORDS = {"accept": "taken as heard", "change": "changed", "reject": "taken out", "add": "put in"}
#: What a kind of fact is called where people read it.
KIND_WORDS = {
    "ppe": "protection", "followup": "to look at again", "workholding": "held by", "clock": "date or time",
    "species": "wood", "defect": "fault in the wood", "duration": "time taken or waited", "grit": "abrasive",
    "dimension": "size", "adhesive": "glue",
}  # fmt: skip


def when(moment: datetime | str | None, *, time: bool = True) -> str:
    """A date as people write it: 3 May 2026, 14:05. Empty where none is known."""
    if not moment:
        return ""
    try:
        at = datetime.fromisoformat(moment) if isinstance(moment, str) else moment
    except ValueError:
        return str(moment)
    text = f"{at.day} {at:%B} {at.year}"
    return f"{text}, {at:%H:%M}" if time else text


def day(moment: datetime | str | None) -> str:
    return when(moment, time=False)


def kind(name: str) -> str:
    return KIND_WORDS.get(name, name)


def doubts(kept: KeptFact) -> list[str]:
    """Why a fact needs a listen, in words."""
    reasons = kept.fact.attrs.get("doubt") or []
    reasons = [reasons] if isinstance(reasons, str) else [str(r) for r in reasons]
    return reasons or ["it may have been heard or read wrongly"]


def readings(kept: KeptFact) -> list[tuple[str, dict[str, str]]]:
    """Other readings of a doubtful fact: in words, with the fields of the form that makes it so."""
    found = []
    for other in kept.fact.attrs.get("alternatives") or []:
        changes = {k: v for k, v in other.items() if k in CHANGING}
        if not changes:
            continue
        meant = corrected(kept.fact, changes)
        fields = {k: str(changes[k] or "") for k in ("kind", "item", "unit", "status") if k in changes}
        if NUMBERS & changes.keys():
            first = meant.low if meant.value is None else meant.value
            fields |= {"number": plain_number(first), "upto": plain_number(meant.high)}
        found.append((say(meant), fields))
    return found


#: The fields of a fact that the forms change.
NUMBERS = {"value", "low", "high"}
CHANGING = NUMBERS | {"kind", "item", "unit", "status"}


def old_words(correction: Correction) -> str:
    """The fact as it was heard; empty for one that was put in by hand."""
    return say(fact_of(correction.old)) if correction.old else ""


def new_words(correction: Correction) -> str:
    """The fact as the correction makes it."""
    if correction.verdict == "add":
        return say(fact_of(correction.new))
    return say(corrected(fact_of(correction.old), correction.new))


#: A remark in parts, each with whether it states one of the facts shown with it.
Remark = tuple[tuple[str, bool], ...]


@dataclass(frozen=True, slots=True)
class Moment:
    """Facts that were stated in one remark; ``start`` to ``end`` seconds."""

    facts: tuple[KeptFact, ...]
    start: float
    end: float
    remark: Remark


def moments(facts: Iterable[KeptFact], remarks: Mapping[int, str]) -> list[Moment]:
    """The facts by the remark that states them, in order of time. ``remarks`` are texts by the number of their cue."""
    groups: dict[tuple[int, int | str], list[KeptFact]] = {}
    for kept in facts:
        cue = kept.cue_id if kept.cue_id in remarks else None
        groups.setdefault((kept.recording_id, kept.fact.quote if cue is None else cue), []).append(kept)
    found = [
        Moment(
            tuple(sorted(group, key=lambda k: k.fact.start)),
            min(k.fact.start for k in group),
            max(k.fact.end for k in group),
            remark(group, remarks),
        )
        for group in groups.values()
    ]
    return sorted(found, key=lambda m: (m.facts[0].recording_id, m.start))


def remark(group: Sequence[KeptFact], remarks: Mapping[int, str]) -> Remark:
    """The whole remark with the words of these facts told apart; their words alone where it is not known."""
    text = remarks.get(group[0].cue_id or 0, "")
    stated = [False] * len(text)
    for kept in group:
        at = text.lower().find(kept.fact.quote.lower()) if kept.fact.quote else -1
        if at < 0:  # it reaches into the next remark, or the text has been heard anew
            return ((" … ".join(dict.fromkeys(k.fact.quote for k in group)), True),)
        stated[at : at + len(kept.fact.quote)] = [True] * len(kept.fact.quote)
    parts: list[tuple[str, bool]] = []
    for key, letters in groupby(zip(text, stated, strict=False), key=lambda pair: pair[1]):
        parts.append(("".join(letter for letter, _ in letters), key))
    return tuple(parts)


def inches(metres: float) -> str:
    """A piece's size as the trade says it, to the eighth of an inch."""
    return f"{number(round(convert(metres, 'm', 'in') * 8) / 8, 'in')} in"


def percent(share: float | None) -> str:
    return "" if share is None else f"{round(share * 100)} %"


def plain_number(value: float | None) -> str:
    """A number for a form field: as many digits as it has, no unit."""
    return "" if value is None else f"{value:.6f}".rstrip("0").rstrip(".")


FILTERS: dict[str, Any] = {
    "amount": amount, "day": day, "day_title": day_title, "doubts": doubts, "figure": figure, "inches": inches,
    "kind": kind, "moments": moments, "new_words": new_words, "number": number, "numbers_line": numbers_line,
    "old_words": old_words, "percent": percent, "plain_number": plain_number, "readings": readings, "remark": remark,
    "say": say, "span": span, "stamp": stamp, "state_words": STATE_WORDS.get, "verdict_words": VERDICT_WORDS.get,
    "when": when,
}  # fmt: skip
