"""The defect ledger: each defect followed through the project by what it is and where it lies."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace

from shoplog.facts import Fact, to_si
from shoplog.log import KeptFact, Take
from shoplog.timeline.course import Defect, DefectEvent, DefectState, Place
from shoplog.timeline.defect_remarks import STILL, Remark, remarks
from shoplog.timeline.defect_sequels import is_nameless, named, sequel_of, where_else
from shoplog.timeline.defect_words import change_of, sentence_of, where_of, words

#: Glue said within so many seconds of a defect is meant for it.
NEAR = 150.0
#: The same defect named without an article within so many seconds is the same one.
SAME_BREATH = 45.0
#: What nobody usually glues is glued where the glue is named within so many seconds of it.
SAME_REMARK = 12.0
#: "That crack" is the one spoken of last if it was within so many seconds.
IN_HAND = 600.0
#: What became of a defect is told within so many remarks and seconds of its naming.
SEQUEL_CUES, SEQUEL = 3, 420.0
#: Where it is named again, within so many seconds.
NAMED = 840.0
#: A size so much larger than the largest before is growth, not another measuring.
GROWN = 1.05
#: A wait in these words is that of the glue, also where the work has gone on to something else.
_WAITED = re.compile(
    r"\b(?:clamp\w*|strap\w*|set|cur(?:e|ed|ing)|glued?|been|had|sat|left|overnight|hard|hardened|kicked|gone off)\b",
    re.IGNORECASE,
)


#: (State, change) that are no news: what mends hide is no longer seen, and a mend that opened grows.
QUIET = (("gone", "worse"), ("repaired", "gone"), ("reopened", "worse"))
#: A size in these words is of what was named before.
_POINTS = re.compile(r"\b(?:it|it's|that|that's|he|he's|now)\b", re.IGNORECASE)
#: In a repair, these words tell that it is treated as the one before.
_LIKEWISE = re.compile(
    r"^\W*(?:and |then )?same (?:on|for|with|again)\b|\bthe same\b(?! as| size| place)", re.IGNORECASE
)
#: Glue in these words is for what was named before.
_INTO_IT = re.compile(r"\b(?:in|into|on|over|round|around|down|behind) (?:it|that|them|there)\b", re.IGNORECASE)
#: What cannot be seen and was not seen before is not there.
_UNSEEN = re.compile(r"\bsee (?:no|nae)\b|\bno (?:sign|trace)\b", re.IGNORECASE)
#: The rim of a natural edge, not bark grown into the wood.
_NATURAL_EDGE = re.compile(r"\W*(?:\w+ ){0,2}?bark(?:ed)? (?:line|edge|rim)", re.IGNORECASE)


@dataclass(slots=True)
class _Line:
    """A defect while the ledger is being written. ``last_at`` is (take, second); ``promised`` a planned glue; ``left``
    is true while it was decided to leave it as it is; ``said`` are the words around its last naming, in cue number
    ``cue`` of its take."""

    item: str
    piece: int
    where: str | None
    last_at: tuple[int, float]
    state: DefectState = "seen"
    events: list[DefectEvent] = field(default_factory=list)
    biggest: float = 0.0
    promised: KeptFact | None = None
    left: bool = False
    said: str = ""
    cue: int = 0


def ledger(takes: Sequence[Take], places: Mapping[int, Place]) -> tuple[Defect, ...]:
    """Every defect of the project's pieces, in the order in which they were first seen."""
    lines: list[_Line] = []
    rows: dict[tuple[int, str], list[_Line]] = {}
    recent: dict[int, _Line] = {}
    glued: dict[int, _Line] = {}
    for number, take in enumerate(takes):
        last: _Line | None = None
        cues_ago = 0
        here: dict[int, _Line] = {}
        for text, start, row in remarks(number, take, places):
            cues_ago, told = cues_ago + 1, False
            for remark in row:
                fact, piece = remark.fact, remark.piece
                if fact.kind == "defect" and fact.item:
                    line = _see(remark, rows, last)
                    if line is not None:
                        if len(line.events) == 1:
                            rows.setdefault((piece, fact.item), []).append(line)
                            lines.append(line)
                        recent[piece] = last = here[id(line)] = line
                        cues_ago = 0
                        if not (told and is_nameless(fact.quote)):
                            text, told = remark.text[max(remark.place, 0) + len(fact.quote) :], True
                elif fact.kind == "adhesive":
                    target = _target(remark, recent.get(piece), lines)
                    if target is not None:
                        _glue(remark, target)
                        glued[piece] = target
                elif fact.kind == "duration" and piece in glued and _wait(remark, glued[piece]):
                    del glued[piece]
            line = last if told else _spoken_of(text, start, last if cues_ago <= SEQUEL_CUES else None, here.values())
            if line is not None:
                _follow(line, text)
    return tuple(Defect(line.item, line.where, line.piece, tuple(line.events), line.state) for line in lines)


def _spoken_of(text: str, start: float, last: _Line | None, here: Collection[_Line]) -> _Line | None:
    """The defect that a remark in which no fact is one may tell of: the one of ``here``, those spoken of in this take,
    that it names, else ``last``."""
    names = named(text) if here else ()
    if not names:
        return last if last is not None and start - last.last_at[1] <= SEQUEL else None
    fit = (line for line in here if line.item in names and start - line.last_at[1] <= NAMED)
    return max(fit, key=lambda line: line.last_at, default=None)


def _follow(line: _Line, text: str) -> None:
    """Put in what is told of the defect spoken of last, where it is not told already."""
    change = sequel_of(text, line.item, line.said)
    if change == "worse" and line.state == "repaired":
        change = "reopened"
    elif change == "reopened" and line.state not in ("repaired", "gone"):
        change = "worse"
    away = change == "gone" and bool(words().away.search(text))
    if change in (None, line.state) or ((line.state, change) in QUIET and not away):
        return
    line.state = change
    line.events.append(DefectEvent(line.events[-1].fact_id, change))


def _see(remark: Remark, rows: Mapping[tuple[int, str], Sequence[_Line]], last: _Line | None) -> _Line | None:
    """The line of this defect with what was said put in, a new one if it is in none of ``rows``; None if it claims
    nothing. ``last`` is the one spoken of last in this take."""
    fact, known = remark.fact, words()
    row = rows.get((remark.piece, fact.item or ""), ())
    if fact.item == "loose bark" and remark.operation == "true up":
        # Bark that flies off while the wood is made round is meant to.
        return None
    if fact.item == "bark inclusion" and _NATURAL_EDGE.match(remark.text[max(remark.place, 0) :] or fact.quote):
        return None
    if remark.is_to_come() or (fact.item == "catch" and _is_no_cut(remark)):
        return None
    sentence = sentence_of(remark.text, fact.quote)
    stated = str(fact.attrs.get("where") or "").lower()
    where = known.places.get(stated, stated) or where_of(sentence, fact.quote, fact.item)
    change: DefectState = "seen"
    plain = False
    if remark.alone or not remark.is_landmark():
        change, plain = change_of(fact, sentence)
    if change == "seen" and remark.operation == "repair" and _LIKEWISE.search(sentence):
        change = "repaired"
    nameless = is_nameless(fact.quote)
    line: _Line | None
    if nameless:
        # "Two inches", "it's gone": of the defect spoken of just before, or of none.
        if last is None or last.item != fact.item or fact.start - last.last_at[1] > SEQUEL:
            return None
        line = last
        change = sequel_of(sentence, line.item, line.said) or change
    else:
        line = _same(remark, row, where, change)
        if line is None and remark.is_definite():
            # Known, but of another piece: the pieces were told apart wrongly, or it is named in looking back.
            elsewhere = [] if row else [others for (_, item), others in rows.items() if item == fact.item]
            line = elsewhere[0][0] if [len(others) for others in elsewhere] == [1] else None
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
        if change == "gone" and _UNSEEN.search(sentence):
            return None
        where = where or where_else(remark.text[max(remark.place, 0) + len(fact.quote) :], fact.item or "")
        line = _Line(fact.item or "", remark.piece, where, remark.at)
        if change == "worse" and not plain:
            change = "seen"
    elif change == "seen" and line.biggest and metres > GROWN * line.biggest:
        if nameless and not _POINTS.search(sentence):
            return None
        apart = re.split(r"[.;!?]\s+", fact.quote)[1:]
        if apart and is_nameless(apart[-1]) and not _POINTS.search(apart[-1]):
            # "That puts the crack in the bottom. Three inches even.": the size is another thing's.
            size, metres = None, 0.0
        else:
            change = "worse"
    if line.state == "gone" and change == "seen" and STILL.search(sentence):
        line.state = "seen"
    if line.state in ("repaired", "gone") and change == "worse":
        change = "reopened"
    mended = line.state == "repaired" and fact.item not in known.surface
    if change == "gone" and mended and not known.away.search(remark.text):
        # Under a mend that can't be seen it is still there.
        change = "stable"
    line.biggest = max(metres, line.biggest)
    line.where = line.where or where
    line.said, line.cue = remark.text.lower(), remark.cue
    line.left = bool(known.left.search(sentence))
    line.last_at = remark.at
    line.events.append(DefectEvent(remark.kept.id, change, size, fact.unit if size is not None else None))
    # A mention alone changes nothing, and a mend that holds is still a mend.
    if change != "seen" and not (change == "stable" and line.state in ("repaired", "gone", "reopened")):
        line.state = change
    return line


def _is_no_cut(remark: Remark) -> bool:
    """True where no tool can catch: what is caught in parting off is the piece. The word itself is taken for one."""
    quote = remark.fact.quote
    if remark.operation == "part off":
        return "caught" in quote.lower()
    idle = remark.operation in ("select", "lay out", "mount", "finish", "photograph", "follow up")
    return idle and not re.search(r"\bcatch\b|\bd[iu]g", quote, re.IGNORECASE)


def _same(remark: Remark, row: Sequence[_Line], where: str | None, change: DefectState) -> _Line | None:
    """The line in ``row`` that is spoken of, or None for a new defect."""
    if not row:
        return None
    known, fact, lead = words(), remark.fact, remark.lead
    one_of_many = fact.item in known.surface or fact.item in known.everywhere
    latest = max(row, key=lambda line: line.last_at)
    if known.the_other.search(lead) and len(row) > 1:
        return sorted(row, key=lambda line: line.last_at)[-2]
    if known.another.search(lead):
        return None
    new = fact.attrs.get("change") == "new" and not remark.is_definite()
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
        if one_of_many or (len(row) == 1 and definite and not new):
            return latest
        return None
    soon = latest.last_at[0] == remark.take and fact.start - latest.last_at[1] <= SAME_BREATH
    if soon:
        return latest
    if new or not (definite or one_of_many):
        return None
    mended = [line for line in row if line.state == "repaired"]
    standing = [line for line in row if line.state not in ("repaired", "gone")]
    likely = mended if change == "reopened" else standing
    return max(likely or row, key=lambda line: line.last_at)


def _target(remark: Remark, recent: _Line | None, lines: Sequence[_Line]) -> _Line | None:
    """The defect that the glue is meant for: the one spoken of just before, while repairing the last that glue mends.
    None where it holds the mounting, or mends nothing."""
    known, fact = words(), remark.fact
    if (
        fact.item in known.helpers
        or fact.quote.endswith("?")
        or known.mounting.search(remark.text)
        or fact.status not in ("done", "planned")
    ):
        return None
    unfit = known.surface | known.unglued
    soon = recent is not None and recent.last_at[0] == remark.take and remark.cue - recent.cue <= SEQUEL_CUES
    reach = SEQUEL if soon or remark.operation == "repair" else NEAR
    if recent is not None and recent.last_at >= (remark.take, fact.start - reach):
        ago = fact.start - recent.last_at[1]
        if recent.item not in unfit and not recent.left:
            return recent
        # "A crack by the knot": the glue is for the crack, whatever was named last.
        since = (remark.take, fact.start - NEAR)
        beside = (
            line
            for line in reversed(lines)
            if line.last_at >= since
            and line.item not in unfit
            and not line.left
            and line.state not in ("repaired", "gone")
        )
        near = recent.item != "warp" and (
            ago <= SAME_REMARK
            or (
                not recent.left
                and remark.cue - recent.cue <= SEQUEL_CUES
                and (remark.operation == "repair" or bool(_INTO_IT.search(remark.text)))
            )
        )
        target = next(beside, recent if near and recent.item not in known.surface else None)
        if target is not None:
            return target
    if remark.operation != "repair":
        return None
    fit = [
        line
        for line in lines
        if line.state != "gone"
        and (line.promised is not None or (line.piece == remark.piece and line.item not in unfit and not line.left))
    ]
    return max(fit, key=lambda line: (line.promised is not None, line.state != "repaired", line.last_at), default=None)


def _glue(remark: Remark, line: _Line) -> None:
    """Put the glue in; a planned one waits for a word that it was used."""
    if remark.fact.status == "planned":
        line.promised = remark.kept
        return
    line.events.append(DefectEvent(remark.kept.id, "repaired", glue=_name(remark.fact)))
    line.state, line.promised, line.last_at = "repaired", None, max(line.last_at, remark.at)


def _name(fact: Fact) -> str | None:
    return f"{fact.attrs['grade']} {fact.item}" if fact.attrs.get("grade") else fact.item


def _wait(remark: Remark, line: _Line) -> bool:
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
