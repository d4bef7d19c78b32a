"""What is said of a project's defects, with the glues and waits beside them: each fact in the words around it."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from shoplog.facts import Fact
from shoplog.log import KeptFact, Take
from shoplog.timeline.course import Place
from shoplog.timeline.defect_words import place_of, sentence_of, words

#: How much of the words before a defect tells whether it is a known one, characters.
LEAD = 30

#: "This crack" at the head of a sentence is one that was shown before; "there's this crack" is news.
_THIS = re.compile(r"(?:^|[.;!?]\s*)(?:(?:so|and|but|now|then|okay|right),? )?this (?:\w+ )?$", re.IGNORECASE)
#: "Split's a brown line", said without an article, is of a known one ...
_HEAD = re.compile(r"(?:^|[.;!?,]\s*)(?:(?:so|and|but|now|then|okay|right|yep|yes),? )?$", re.IGNORECASE)
_IS = re.compile(
    r"[\w -]+?(?:'s|'ve| (?:is|are|has|have|was|also|too|as well|next))(?!\w)(?! (?:started|appeared|begun|come)\b)",
    re.IGNORECASE,
)
#: "At knot", too, ...
_AT = re.compile(r"\b(?:at|by|near|round|around|past|of) (?:t')?$", re.IGNORECASE)
#: ... and so is what is still there.
STILL = re.compile(r"\bstill\b", re.IGNORECASE)
_TO_COME = re.compile(r"(?:'ll|\b(?:will|gonna|going to|might|may|could|would)) (?:\w+ )?$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Remark:
    """A fact where it was said: in take number ``take``, in its cue number ``cue`` with the words ``text``."""

    kept: KeptFact
    take: int
    cue: int
    text: str
    piece: int
    operation: str | None
    alone: bool = True

    @property
    def fact(self) -> Fact:
        return self.kept.fact

    @property
    def at(self) -> tuple[int, float]:
        return self.take, self.fact.start

    @property
    def place(self) -> int:
        """Where in the cue the defect's words begin, -1 if nowhere; they may run on into the next cue."""
        return place_of(self.text, self.fact.quote)[0]

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
        return bool(
            words().known.search(before)
            or _THIS.search(before)
            or words().known_first.match(self.fact.quote)
            or (self.place >= 0 and _HEAD.search(before) and _IS.match(self.text[self.place :]))
            or _AT.search(before)
            or STILL.search(sentence_of(self.text, self.fact.quote))
        )

    def is_pointed_at(self) -> bool:
        """True for "that crack": the one in hand, wherever else the words go."""
        return self.place >= 0 and bool(re.search(r"\bthat\s+(?:\w+\s+)?$", self.text[: self.place], re.IGNORECASE))

    def is_to_come(self) -> bool:
        """True for "it'll move": what wood is going to do is no defect yet."""
        return self.place >= 0 and bool(_TO_COME.search(self.text[: self.place]))

    def is_landmark(self) -> bool:
        """True where the defect is named only to say where another thing lies ("next to the knot")."""
        return self.place >= 0 and bool(words().landmark.search(self.text[: self.place]))


def remarks(number: int, take: Take, places: Mapping[int, Place]) -> list[tuple[str, float, list[Remark]]]:
    """Every cue of the take, its text and start, with what it says of these pieces' defects, glues and waits, in order.

    Within one cue the defects come first: they are what its glue is meant for. Of several defects in a cue those
    that are only landmarks are left out, and so are a movement that is said of another defect or its glue ("the crack
    has moved") and what belongs to another one.
    """
    starts = [cue.start for cue in take.cues]
    by_cue: dict[int, list[Remark]] = {}
    for kept in take.facts:
        place = places[kept.id]
        if kept.fact.kind in ("defect", "adhesive", "duration") and place.piece is not None:
            index = bisect_right(starts, kept.fact.start + 0.01) - 1
            text = take.cues[index].text if index >= 0 else kept.fact.quote
            by_cue.setdefault(index, []).append(Remark(kept, number, index, text, place.piece, place.operation))
    order: list[tuple[str, float, list[Remark]]] = []
    for index in range(-1, len(take.cues)):
        row = by_cue.get(index, [])
        row.sort(key=lambda r: (r.fact.kind != "defect", r.fact.start, r.kept.id))
        defects = [r for r in row if r.fact.kind == "defect"]
        if len(defects) > 1:
            others = [r for r in defects if not (r.is_landmark() or _only_moved(r.fact) or _belongs_to(r, defects))]
            row = [
                replace(r, alone=r.fact.kind != "defect")
                for r in row
                if r.fact.kind != "defect" or not others or r in others
            ]
        glues = [r.fact.quote for r in row if r.fact.kind == "adhesive"]
        row = [
            r for r in row if not (_only_moved(r.fact) and any(g in sentence_of(r.text, r.fact.quote) for g in glues))
        ]
        cue = take.cues[max(index, 0)] if take.cues else None
        order.append((cue.text if cue and index >= 0 else "", cue.start if cue else 0.0, row))
    return order


def _only_moved(fact: Fact) -> bool:
    return fact.item == "warp" and bool(re.fullmatch(r"\W*(?:\S+\s+)?(?:moved|moving|move|budged)\W*", fact.quote))


def _belongs_to(remark: Remark, defects: Sequence[Remark]) -> bool:
    """True for the hole where the wall was gone through, and for rot that tears."""
    items = {other.fact.item for other in defects if other.at <= remark.at}
    if remark.fact.item == "void":
        return "hole" in remark.fact.quote.lower() and "blowout" in items
    return remark.fact.item == "tear-out" and "rot" in items
