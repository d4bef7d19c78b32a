"""The defect ledger: each defect followed through the project by what it is and where it lies."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from shoplog.facts import Fact, to_si
from shoplog.log import KeptFact, Take
from shoplog.timeline.course import Defect, DefectEvent, DefectState, Place
from shoplog.timeline.defect_words import change_of, sentence_of, where_of, words

#: Glue said within so many seconds of a defect is meant for it.
NEAR = 150.0
#: The same defect named without an article within so many seconds is the same one.
SAME_BREATH = 45.0
#: What nobody usually glues is glued where the glue is named within so many seconds of it.
SAME_REMARK = 12.0
#: "That crack" is the one spoken of last if it was within so many seconds.
IN_HAND = 600.0
#: A size so much larger than the largest before is growth, not another measuring.
GROWN = 1.05
#: How much of the words before a defect tells whether it is a known one, characters.
LEAD = 30
#: A wait in these words is that of the glue, also where the work has gone on to something else.
_WAITED = re.compile(
    r"\b(?:clamp\w*|strap\w*|set|cur(?:e|ed|ing)|glued?|been|had|sat|left|overnight|hard|hardened|kicked|gone off)\b",
    re.IGNORECASE,
)


#: "This crack" at the head of a sentence is one that was shown before; "there's this crack" is news.
_THIS = re.compile(r"(?:^|[.;!?]\s*)(?:(?:so|and|now|then|okay|right),? )?this (?:\w+ )?$", re.IGNORECASE)
#: The rim of a natural edge, not bark grown into the wood.
_NATURAL_EDGE = re.compile(r"\bbark(?:ed)? (?:line|edge|rim)", re.IGNORECASE)


@dataclass(slots=True)
class _Line:
    """A defect while the ledger is being written. ``last_at`` is (take, second); ``promised`` a planned glue."""

    item: str
    piece: int
    where: str | None
    last_at: tuple[int, float]
    state: DefectState = "seen"
    events: list[DefectEvent] = field(default_factory=list)
    biggest: float = 0.0
    promised: KeptFact | None = None


@dataclass(frozen=True, slots=True)
class _Remark:
    """A fact where it was said: in take number ``take``, in the cue ``text``."""

    kept: KeptFact
    take: int
    text: str
    piece: int
    operation: str | None

    @property
    def fact(self) -> Fact:
        return self.kept.fact

    @property
    def at(self) -> tuple[int, float]:
        return self.take, self.fact.start

    @property
    def place(self) -> int:
        """Where in the cue the defect's words begin, -1 if nowhere; they may run on into the next cue."""
        quote = self.fact.quote
        place = self.text.find(quote) if quote else -1
        return place if place >= 0 or not quote else self.text.rfind(re.split(r"(?<=[.;!?])\s", quote)[0])

    @property
    def lead(self) -> str:
        """The words before the defect up to its own, in its clause."""
        quote, place = self.fact.quote, self.place
        if place < 0:
            return quote or self.text
        return re.split(r"[.;!?,]", f"{self.text[max(place - LEAD, 0) : place]} {quote}".rstrip(".;!?,"))[-1]

    def is_definite(self) -> bool:
        """True where the words speak of a known defect: "the crack", "that little split", not "a crack"."""
        before = self.text[: max(self.place, 0)]
        return bool(words().known.search(before) or _THIS.search(before) or words().known_first.match(self.fact.quote))

    def is_pointed_at(self) -> bool:
        """True for "that crack": the one in hand, wherever else the words go."""
        return self.place >= 0 and bool(re.search(r"\bthat\s+(?:\w+\s+)?$", self.text[: self.place], re.IGNORECASE))

    def is_landmark(self) -> bool:
        """True where the defect is named only to say where another thing lies ("next to the knot")."""
        return self.place >= 0 and bool(words().landmark.search(self.text[: self.place]))


def ledger(takes: Sequence[Take], places: Mapping[int, Place]) -> tuple[Defect, ...]:
    """Every defect of the project's pieces, in the order in which they were first seen."""
    lines: list[_Line] = []
    rows: dict[tuple[int, str], list[_Line]] = {}
    recent: dict[int, _Line] = {}
    glued: dict[int, _Line] = {}
    for number, take in enumerate(takes):
        for remark in _remarks(number, take, places):
            fact, piece = remark.fact, remark.piece
            if fact.kind == "defect" and fact.item:
                line = _see(remark, rows.setdefault((piece, fact.item), []))
                if line is not None:
                    if len(line.events) == 1:
                        rows[piece, fact.item].append(line)
                        lines.append(line)
                    recent[piece] = line
            elif fact.kind == "adhesive":
                target = _target(remark, recent.get(piece), lines)
                if target is not None:
                    _glue(remark, target)
                    glued[piece] = target
            elif fact.kind == "duration" and piece in glued and _wait(remark, glued[piece]):
                del glued[piece]
    return tuple(Defect(line.item, line.where, line.piece, tuple(line.events), line.state) for line in lines)


def _remarks(number: int, take: Take, places: Mapping[int, Place]) -> list[_Remark]:
    """What the take says of these pieces' defects, glues and waits, in order.

    Within one cue the defects come first: they are what its glue is meant for. Of several defects in a cue those
    that are only landmarks are left out, and so is a movement that is said of another defect ("the crack has moved").
    """
    starts = [cue.start for cue in take.cues]
    by_cue: dict[int, list[_Remark]] = {}
    for kept in take.facts:
        place = places[kept.id]
        if kept.fact.kind in ("defect", "adhesive", "duration") and place.piece is not None:
            index = bisect_right(starts, kept.fact.start + 0.01) - 1
            text = take.cues[index].text if index >= 0 else kept.fact.quote
            by_cue.setdefault(index, []).append(_Remark(kept, number, text, place.piece, place.operation))
    order: list[_Remark] = []
    for _, row in sorted(by_cue.items()):
        row.sort(key=lambda r: (r.fact.kind != "defect", r.fact.start, r.kept.id))
        defects = [r for r in row if r.fact.kind == "defect"]
        if len(defects) > 1:
            others = [r for r in defects if not r.is_landmark() and not _only_moved(r.fact)]
            row = [r for r in row if r.fact.kind != "defect" or not others or r in others]
        order.extend(row)
    return order


def _only_moved(fact: Fact) -> bool:
    return fact.item == "warp" and bool(re.fullmatch(r"\W*(?:\S+\s+)?(?:moved|moving|move|budged)\W*", fact.quote))


def _see(remark: _Remark, row: Sequence[_Line]) -> _Line | None:
    """The line of this defect with what was said put in, a new one if it is in none of ``row``; None if it claims
    nothing."""
    fact, known = remark.fact, words()
    if fact.item == "loose bark" and remark.operation == "true up":
        # Bark that flies off while the wood is made round is meant to.
        return None
    if fact.item == "bark inclusion" and _NATURAL_EDGE.search(fact.quote):
        return None
    sentence = sentence_of(remark.text, fact.quote)
    stated = str(fact.attrs.get("where") or "").lower()
    where = known.places.get(stated, stated) or where_of(sentence, fact.quote, fact.item)
    change: DefectState = "seen"
    plain = False
    if not remark.is_landmark():
        change, plain = change_of(fact, sentence)
    line = _same(remark, row, where, change)
    if fact.status == "denied":
        # "No cracks" says nothing of one that was seen; a mark of the tool is gone when there is none.
        if line is None or not (fact.item in known.surface or change == "gone"):
            return None
        change = "gone"
    elif fact.status not in ("done", "reported"):
        return None
    size = fact.value if fact.value is not None else fact.high
    metres = to_si(size, fact.unit) or 0.0
    if line is None:
        line = _Line(fact.item or "", remark.piece, where, remark.at)
        if change == "worse" and not plain:
            change = "seen"
    elif change == "seen" and line.biggest and metres > GROWN * line.biggest:
        change = "worse"
    if line.state in ("repaired", "gone") and change == "worse":
        change = "reopened"
    line.biggest = max(metres, line.biggest)
    line.where = line.where or where
    line.last_at = remark.at
    line.events.append(DefectEvent(remark.kept.id, change, size, fact.unit if size is not None else None))
    # A mention alone changes nothing, and a mend that holds is still a mend.
    if change != "seen" and not (change == "stable" and line.state in ("repaired", "gone")):
        line.state = change
    return line


def _same(remark: _Remark, row: Sequence[_Line], where: str | None, change: DefectState) -> _Line | None:
    """The line in ``row`` that is spoken of, or None for a new defect."""
    if not row:
        return None
    known, fact, lead = words(), remark.fact, remark.lead
    one_of_many = fact.item in known.surface or fact.item == "warp"
    latest = max(row, key=lambda line: line.last_at)
    if known.the_other.search(lead) and len(row) > 1:
        return sorted(row, key=lambda line: line.last_at)[-2]
    if known.another.search(lead):
        return None
    new = fact.attrs.get("change") == "new"
    definite = change != "seen" or remark.is_definite()
    in_hand = latest.last_at[0] == remark.take and fact.start - latest.last_at[1] <= IN_HAND
    if remark.is_pointed_at() and not new and (in_hand or len(row) == 1):
        return latest
    if where is not None:
        here = [line for line in row if line.where == where]
        unplaced = [line for line in row if line.where is None]
        if here:
            return max(here, key=lambda line: line.last_at)
        if unplaced and definite and not new:
            return max(unplaced, key=lambda line: line.last_at)
        return latest if one_of_many or (len(row) == 1 and change != "seen" and not new) else None
    soon = latest.last_at[0] == remark.take and fact.start - latest.last_at[1] <= SAME_BREATH
    if soon:
        return latest
    if new or not (definite or one_of_many):
        return None
    mended = [line for line in row if line.state == "repaired"]
    standing = [line for line in row if line.state not in ("repaired", "gone")]
    likely = mended if change == "reopened" else standing
    return max(likely or row, key=lambda line: line.last_at)


def _target(remark: _Remark, recent: _Line | None, lines: Sequence[_Line]) -> _Line | None:
    """The defect that the glue is meant for: the one spoken of just before, while repairing the last that glue mends.
    None where it holds the mounting, or mends nothing."""
    known, fact = words(), remark.fact
    if fact.item in known.helpers or known.mounting.search(remark.text) or fact.status not in ("done", "planned"):
        return None
    close = recent is not None and recent.last_at[0] == remark.take and fact.start - recent.last_at[1] <= NEAR
    unfit = known.surface | known.unglued
    if close and recent is not None and recent.item not in known.surface:
        if recent.item not in unfit:
            return recent
        # "A crack by the knot": the glue is for the crack, whatever was named last.
        since = (remark.take, fact.start - NEAR)
        beside = (
            line
            for line in reversed(lines)
            if line.last_at >= since
            and line.piece == remark.piece
            and line.item not in unfit
            and line.state not in ("repaired", "gone")
        )
        return next(beside, recent if fact.start - recent.last_at[1] <= SAME_REMARK else None)
    if remark.operation != "repair":
        return None
    fit = [line for line in lines if line.piece == remark.piece and line.item not in unfit and line.state != "gone"]
    return max(fit, key=lambda line: (line.state != "repaired", line.last_at), default=None)


def _glue(remark: _Remark, line: _Line) -> None:
    """Put the glue in; a planned one waits for a word that it was used."""
    if remark.fact.status == "planned":
        line.promised = remark.kept
        return
    line.events.append(DefectEvent(remark.kept.id, "repaired", glue=_name(remark.fact)))
    line.state, line.promised, line.last_at = "repaired", None, max(line.last_at, remark.at)


def _name(fact: Fact) -> str | None:
    return f"{fact.attrs['grade']} {fact.item}" if fact.attrs.get("grade") else fact.item


def _wait(remark: _Remark, line: _Line) -> bool:
    """Put in how long a repair was left; True where the wait was that. A glue that was waited for was used."""
    fact = remark.fact
    seconds = to_si(fact.value if fact.value is not None else fact.high, fact.unit)
    if fact.status != "done" or seconds is None or not (remark.operation == "repair" or _WAITED.search(remark.text)):
        return False
    if line.promised is not None:
        kept = line.promised
        line.events.append(DefectEvent(kept.id, "repaired", glue=_name(kept.fact), clamped=seconds))
        line.state, line.promised = "repaired", None
        return True
    last = max((i for i, event in enumerate(line.events) if event.glue), default=None)
    if last is not None:
        line.events[last] = replace(line.events[last], clamped=seconds)
    return last is not None
