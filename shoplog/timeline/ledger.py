"""The defect ledger: each defect followed through the project by what it is and where it lies."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from shoplog.facts import Fact, to_si
from shoplog.log import KeptFact, Take
from shoplog.timeline.clock import Calendar
from shoplog.timeline.course import Defect, DefectEvent, DefectState, Place

#: Places on a piece and the word kept for each.
PLACES = {
    "rim": "rim", "lip": "rim", "edge": "edge", "foot": "foot", "base": "base", "bottom": "bottom", "underside": "bottom",
    "wall": "wall", "side": "side", "pith": "pith", "heart": "pith", "handle": "handle", "lid": "lid", "tenon": "tenon", "spigot": "tenon",
    "shoulder": "shoulder", "neck": "neck", "belly": "belly", "middle": "middle", "center": "center", "centre": "center",
    "top": "top", "end": "end", "mouth": "mouth", "opening": "opening", "bark": "bark", "knot": "knot", "crotch": "crotch", "stem": "stem",
    "inside": "inside", "outside": "outside", "bowl": "bowl", "back": "back", "face": "face", "wing": "wing", "sapwood": "sapwood",
    "cup": "cup", "collar": "collar", "finial": "finial", "seam": "seam", "body": "body", "corner": "corner",
}  # fmt: skip
_PLACE = "|".join(sorted(PLACES, key=len, reverse=True))
_WHERE = re.compile(
    r"(?:\bby|\bnear|\bat|\bfrom|\baround|\bbeside|\bnext to|\balong) the (?P<other>bark inclusion|knot|void|worm holes?)\b"
    rf"|\b(?:at|on|in|near|by|along|across|around|under|below|above|beside|next to|into|through|down|up|over|from|off|of|toward|towards|to|inside|outside)\s+"
    rf"(?:the|this|that|my|one|each|its|a)?\s*(?:(?:other|inner|outer|very|whole|far|near|left|right|top|bottom|back|front|bark|foot|lower|upper)\s+)?(?P<place>{_PLACE})(?:s|es)?\b(?! inclusion)"
    rf"|\b(?P<noun>rim|foot|base|pith|wall|lid|handle|neck|shoulder|tenon|bottom|edge|knot|stem|end)(?:'s)?\s+(?:crack|check|split|void|hole|inclusion|knot|spot)\b"
    r"|\b(?P<alone>inside|outside)\b",
    re.IGNORECASE,
)
_ANOTHER = re.compile(
    r"\b(?:another|a second|second|a third|also an?|other|one more|a new|a few more|two more|new)\b", re.IGNORECASE
)
_KNOWN = re.compile(r"\b(?:the|that|this|those|these|same|my|our|it|its|it's)\b", re.IGNORECASE)
_AGAIN = re.compile(
    r"\b(?:re-?opened|re-?opening|opened (?:back )?up again|opened again|back open|come back|came back|is back|open again|opened back up|let go|has let go|failed|popped (?:open|back)|broke open)\b",
    re.IGNORECASE,
)
_GONE = re.compile(
    r"\b(?:gone|no more|no longer|can't see|cannot see|no sign of|turned (?:it )?away|cut (?:it )?away|sanded (?:it )?out|went away)\b",
    re.IGNORECASE,
)
_WORSE = re.compile(
    r"\b(?:longer|bigger|wider|grown|grew|worse|spread|spreading|creeping|crept|growing|deeper|opened up more)\b",
    re.IGNORECASE,
)
_STABLE = re.compile(
    r"\b(?:hasn't moved|hasn't budged|no worse|no bigger|no longer than|hasn't grown|hasn't changed|stable|settled|same as it was|not moved|holding|held|still tight|still closed|hasn't opened|not budged|unchanged)\b",
    re.IGNORECASE,
)
_MENDED = re.compile(
    r"\b(?:filled|glued|repaired|fixed|mended|stabili[sz]ed|plugged|patched|inlaid|soaked|flooded|packed|closed it up|sealed)\b",
    re.IGNORECASE,
)
#: It has gone out of round, which is no going away.
_GONE_OVAL = re.compile(r"\bgone (?:a bit |slightly |quite |very |all )*(?:oval|out|egg|wonky|wavy)", re.IGNORECASE)
#: Changes that words near the defect tell where the fact itself names none.
CHANGES: tuple[DefectState, ...] = ("gone", "stable", "worse", "repaired")
_WORDS: tuple[tuple[DefectState, re.Pattern[str]], ...] = (
    ("gone", _GONE), ("stable", _STABLE), ("worse", _WORSE), ("repaired", _MENDED),
)  # fmt: skip
#: How far from a defect's words those that tell of its change may stand, characters.
ABOUT = 48
#: Marks that the work on a surface takes away; for the others a denial says nothing of what was seen before.
SURFACE = frozenset({"tear-out", "sanding scratches", "chatter", "catch", "glue spill", "stain"})
#: What nobody glues; glue said long after it is meant for something else.
NOT_GLUED = SURFACE | {"warp", "knot", "bark inclusion", "worm holes", "loose bark"}
#: Glue that holds the work or its mounting is no repair.
_OTHER_USE = re.compile(
    r"\b(?:screw holes?|screws|glue block|waste block|face ?plate|lid blank|segments?|rings? together|tenon on)\b",
    re.IGNORECASE,
)
#: Glue said within so many seconds of a defect is meant for it.
NEAR = 150.0
#: The same words without an article within so many seconds speak of the same defect.
SAME_BREATH = 45.0
GROWN = 1.05


@dataclass(slots=True)
class _Line:
    """A defect while the ledger is being written."""

    item: str
    piece: int
    where: str | None
    last_at: tuple[int, float]
    state: DefectState = "seen"
    events: list[DefectEvent] = field(default_factory=list)
    biggest: float | None = None
    promised: KeptFact | None = None


def ledger(takes: Sequence[Take], places: Mapping[int, Place], calendar: Calendar) -> tuple[Defect, ...]:
    """Every defect of the project's pieces, in the order in which they were first seen."""
    lines: list[_Line] = []
    by_item: dict[tuple[int, str], list[_Line]] = {}
    recent: _Line | None = None
    glued: list[_Line] = []
    for number, take in enumerate(takes):
        starts = [cue.start for cue in take.cues]
        for kept in _glue_last(take, starts):
            fact = kept.fact
            place = places.get(kept.id, Place(None, None))
            if place.piece is None or kept.fact.attrs.get("other_piece"):
                continue
            at = (number, fact.start)
            index = bisect_right(starts, fact.start + 0.01) - 1
            text = take.cues[index].text if index >= 0 else fact.quote
            if fact.kind == "defect" and fact.item:
                row = by_item.setdefault((place.piece, fact.item), [])
                line = _see(kept, text, at, row, place.piece, recent)
                if line is not None:
                    if not any(line is known for known in row):
                        row.append(line)
                        lines.append(line)
                    recent = line
            elif fact.kind == "adhesive" and recent is not None and recent.piece == place.piece:
                close = recent.last_at[0] == number and fact.start - recent.last_at[1] <= NEAR
                meant = close or (place.operation == "repair" and recent.item not in NOT_GLUED)
                if (
                    meant
                    and not _OTHER_USE.search(text)
                    and fact.item
                    not in (
                        "accelerator",
                        "double-sided tape",
                        "hot glue",
                    )
                ):
                    _glue(kept, recent, glued)
            elif fact.kind == "duration" and glued and place.operation in ("repair", "finish", "season", None, "sand"):
                _wait(kept, glued, number, fact, text)
    return tuple(
        Defect(line.item, line.where, line.piece, tuple(line.events), line.state) for line in lines if line.events
    )


def _glue_last(take: Take, starts: Sequence[float]) -> list[KeptFact]:
    """The take's facts in order, but within one remark the defects before the glue: that is what it is meant for."""
    return sorted(
        take.facts,
        key=lambda k: (bisect_right(starts, k.fact.start + 0.01), k.fact.kind != "defect", k.fact.start, k.id),
    )


def where_of(text: str, quote: str = "", item: str | None = None) -> str | None:
    """The place on the piece that ``text`` names nearest to ``quote``, None if it names none."""
    middle = max(text.find(quote), 0) + len(quote) / 2
    best: tuple[float, str] | None = None
    for match in _WHERE.finditer(text):
        name = next(g for g in match.groups() if g).lower()
        if name == item:
            continue
        weak = match["alone"] is not None
        distance = abs((match.start() + match.end()) / 2 - middle) + (1000 if weak else 0)
        if best is None or distance < best[0]:
            best = (distance, PLACES.get(name, name))
    return best[1] if best else None


def _see(
    kept: KeptFact, text: str, at: tuple[int, float], row: list[_Line], piece: int, recent: _Line | None
) -> _Line | None:
    """The line that a defect fact belongs to, with the event put in; None where it claims nothing."""
    fact = kept.fact
    where = (
        str(fact.attrs["where"]).lower()
        if fact.attrs.get("where")
        else where_of(_clause(text, fact.quote), fact.quote, fact.item)
    )
    where = PLACES.get(where or "", where)
    change = _change(fact, text)
    line = _same(fact, text, at, row, where, change, recent)
    if fact.status == "denied":
        if line is None or (fact.item not in SURFACE and not _GONE.search(text)):
            return None
        change = "gone"
    elif fact.status not in ("done", "reported"):
        return None
    if line is None:
        line = _Line(fact.item or "", piece, where, at)
    size = fact.value if fact.value is not None else fact.high
    metres = to_si(size, fact.unit)
    if line.events and change == "seen" and metres and line.biggest and metres > GROWN * line.biggest:
        change = "worse"
    if line.state == "repaired" and change == "worse" and not _AGAIN.search(text) and not line.events:
        change = "reopened"
    if line.state in ("repaired", "gone") and change in ("worse", "reopened"):
        change = "reopened"
    if metres:
        line.biggest = max(metres, line.biggest or 0.0)
    line.where = line.where or where
    line.last_at = at
    line.events.append(DefectEvent(kept.id, change, size, fact.unit if size is not None else None))
    # A mention alone changes nothing, and a mend that holds is still a mend.
    if not (change == "seen" or (change == "stable" and line.state in ("repaired", "gone"))):
        line.state = change
    return line


def _change(fact: Fact, text: str) -> DefectState:
    stated = fact.attrs.get("change")
    clause = _near(_clause(text, fact.quote), fact.quote)
    if _AGAIN.search(clause) and stated not in ("gone", "repaired", "stable"):
        return "reopened"
    if stated == "gone" and fact.item == "warp" and _GONE_OVAL.search(clause):
        return "seen"
    for change in CHANGES:
        if change == stated:
            return change
    if stated == "new":
        return "seen"
    return next((change for change, words in _WORDS if words.search(clause)), "seen")


def _clause(text: str, quote: str) -> str:
    """The sentence of ``text`` in which ``quote`` stands."""
    place = text.find(quote) if quote else -1
    if place < 0:
        return text
    start = max(text.rfind(mark, 0, place) for mark in ".;!?") + 1
    ends = [e for e in (text.find(mark, place + len(quote)) for mark in ".;!?") if e >= 0]
    return text[start : min(ends, default=len(text))]


def _near(text: str, quote: str) -> str:
    """The words within ``ABOUT`` characters of the quote."""
    place = text.find(quote) if quote else -1
    return text if place < 0 else text[max(place - ABOUT, 0) : place + len(quote) + ABOUT]


def _same(
    fact: Fact,
    text: str,
    at: tuple[int, float],
    row: Sequence[_Line],
    where: str | None,
    change: DefectState,
    recent: _Line | None,
) -> _Line | None:
    """The line in ``row`` that the fact speaks of, or None for a new defect."""
    if not row:
        return None
    quote_at = text.find(fact.quote) if fact.quote else -1
    lead = f"{text[max(quote_at - 30, 0) : quote_at]} {fact.quote}" if quote_at >= 0 else fact.quote or text
    lead = re.split(r"[.;!?,]", lead.rstrip(".;!?,"))[-1]
    stated_new = fact.attrs.get("change") == "new"
    latest = max(row, key=lambda line: line.last_at)
    if where is not None:
        here = [line for line in row if line.where == where]
        if here and not _ANOTHER.search(lead):
            return max(here, key=lambda line: line.last_at)
        unplaced = [line for line in row if line.where is None]
        if unplaced and not stated_new and not _ANOTHER.search(lead) and (_KNOWN.search(lead) or change != "seen"):
            return max(unplaced, key=lambda line: line.last_at)
        if (
            not stated_new
            and not here
            and change in ("worse", "stable", "gone", "repaired", "reopened")
            and len(row) == 1
        ):
            return latest
        if fact.item == "warp" and not _ANOTHER.search(lead):
            return latest
        return None
    if _ANOTHER.search(lead) and not re.search(r"\b(?:the|that) (?:other|new|second)\b", lead, re.IGNORECASE):
        return None
    if re.search(r"\b(?:the|that) other\b", lead, re.IGNORECASE) and len(row) > 1:
        return sorted(row, key=lambda line: line.last_at)[-2]
    soon = latest.last_at[0] == at[0] and at[1] - latest.last_at[1] <= SAME_BREATH
    if stated_new:
        return latest if soon else None
    if (
        change in ("worse", "stable", "repaired", "reopened", "gone")
        or _KNOWN.search(lead)
        or soon
        or fact.item in SURFACE | {"warp"}
    ):
        standing = [line for line in row if line.state not in ("gone",)]
        if change == "reopened":
            standing = [line for line in row if line.state == "repaired"] or standing
        elif change in ("repaired", "worse"):
            standing = [line for line in standing if line.state != "repaired"] or standing
        return max(standing, key=lambda line: line.last_at) if standing else latest
    return None


def _glue(kept: KeptFact, line: _Line, glued: list[_Line]) -> None:
    """Note a repair's glue; a planned one waits for a word that it was done."""
    fact = kept.fact
    name = f"{fact.attrs['grade']} {fact.item}" if fact.attrs.get("grade") else fact.item
    if fact.status == "planned":
        line.promised = kept
        glued[:] = [line]
        return
    if fact.status != "done":
        return
    line.events.append(DefectEvent(kept.id, "repaired", glue=name))
    line.state, line.promised = "repaired", None
    line.last_at = (line.last_at[0], max(line.last_at[1], fact.start))
    glued[:] = [line]


def _wait(kept: KeptFact, glued: list[_Line], number: int, fact: Fact, text: str) -> None:
    """A wait that was kept after glue: how long the repair was left, and that a promised one was made."""
    seconds = to_si(fact.value if fact.value is not None else fact.high, fact.unit)
    if fact.status != "done" or seconds is None:
        return
    line = glued[-1]
    if line.promised is not None:
        promised = line.promised
        name = (
            f"{promised.fact.attrs['grade']} {promised.fact.item}"
            if promised.fact.attrs.get("grade")
            else promised.fact.item
        )
        line.events.append(DefectEvent(promised.id, "repaired", glue=name, clamped=seconds))
        line.state, line.promised = "repaired", None
        return
    for place in range(len(line.events) - 1, -1, -1):
        event = line.events[place]
        if event.change == "repaired" and event.clamped is None:
            line.events[place] = DefectEvent(event.fact_id, "repaired", event.size, event.unit, event.glue, seconds)
            break
    glued.clear()
