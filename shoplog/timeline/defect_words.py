"""The words for where a defect lies and what became of it, read from ``defects.toml``."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any, cast

from shoplog.facts import Fact
from shoplog.timeline.course import DefectState

#: How far from a defect's words those that tell of its change may stand, characters.
ABOUT = 48
#: Before these words no place is meant: "filled to the top", "forty-nine hours in the end".
NO_PLACE = re.compile(
    r"\bfill(?:ed|s|ing)?\s+(?:\w+\s+){0,3}$|\b(?:hours?|days?|minutes?|weeks?|months?|it|that|out|well|fine)\s+$",
    re.IGNORECASE,
)
#: A place beyond a comma counts as so many characters further off.
BEYOND_COMMA = 30
_NEXT = re.compile(r"(?<=[.;!?])\s")
#: "The end of the crack" is no place on the piece.
_PART = re.compile(r" of (?:the|each|every|that|this) ")
_BECOME = r"(?:oval|out of|egg|wonky|wavy|soft|punky|rotten|gr[ae]y|black|brown|dark|hard|drummy|nice|any)"
#: "Gone oval", "gone a shade soft" and "how oval it's gone" are no going away.
GONE_INTO = re.compile(
    rf"\bgone (?:\w+ ){{0,4}}{_BECOME}"
    r"|\bhow \w+ (?:it|they)(?:'s|'ve| has| have) gone\b|\b(?:not|n't|never) (?:all )?gone\b",
    re.IGNORECASE,
)
#: "That's the oval out of it."
_OUT = re.compile(
    r"\W*(?:all |clean |right )?(?:out|oot|away)(?!\w)(?! (?:in|on|the|there|from|towards?|at)\b)", re.IGNORECASE
)
#: In these words what is said has not come about.
HOPED = re.compile(
    r"\b(?:will|gonna|going to|would|should|shall|if|might|may|hope\w*|reckon|try|betting|nearly|almost)\b"
    r"|'ll\b|'d like",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class DefectWords:
    """The data file, compiled. ``places`` leads from a said place to the word kept for it.

    ``where`` and ``changes`` are for text in lower case: they have many words, and are looked for several times faster.
    """

    places: dict[str, str]
    where: re.Pattern[str]
    landmark: re.Pattern[str]
    another: re.Pattern[str]
    the_other: re.Pattern[str]
    known: re.Pattern[str]
    known_first: re.Pattern[str]
    mounting: re.Pattern[str]
    left: re.Pattern[str]
    away: re.Pattern[str]
    changes: tuple[tuple[DefectState, re.Pattern[str]], ...]
    surface: frozenset[str]
    removable: frozenset[str]
    everywhere: frozenset[str]
    unglued: frozenset[str]
    helpers: frozenset[str]


@cache
def defect_data() -> dict[str, Any]:
    """The data file, read once."""
    return tomllib.loads(resources.files(__package__).joinpath("defects.toml").read_text("utf-8"))


@cache
def words() -> DefectWords:
    """The words, compiled once."""
    data = defect_data()
    said = {variant: kept for kept, variants in data["places"].items() for variant in variants}
    place = _any(sorted(said, key=len, reverse=True))
    lead, article, side = (_any(data["words"][name]) for name in ("lead", "article", "side_of"))
    known = _any(data["words"]["known"])
    where = (
        rf"\b{lead}\s+(?:{article}\s+)?(?:{side}\s+)?(?P<place>{place})(?:s|es)?\b"
        r"(?! (?:inclusion|pocket|seam|edge|up)\b)"
        rf"|\b(?P<noun>{place})(?:'s)?\s+(?:crack|check|split|void|hole|spot)\b"
        rf"|\b(?:rotten|punky|soft|cracked|split|torn|chipped|checked|wormy)\s+(?P<marred>{place})\b"
        rf"|\b(?P<subject>{place})(?:s?\s+(?:is|are|has|was|looks|feels)|'s got)\b"
        r"|\b(?P<alone>inside|outside)\b"
    )
    return DefectWords(
        places=said,
        where=re.compile(where),
        landmark=re.compile(rf"\b{_any(data['words']['landmark'])} (?:the|that|this) (?:\w+ )?$", re.IGNORECASE),
        another=_pattern(data["words"]["another"]),
        the_other=_pattern(data["words"]["the_other"]),
        known=re.compile(rf"\b{known}\s+(?:(?!(?:a|an|some|is|has|was|of)\b)\w+\s+){{0,2}}$", re.IGNORECASE),
        known_first=re.compile(rf"{known}\b", re.IGNORECASE),
        mounting=_pattern(data["words"]["mounting"]),
        left=_pattern(data["decisions"]["left"]),
        away=_pattern(data["decisions"]["away"]),
        changes=tuple(
            (cast(DefectState, state), re.compile(rf"\b{_any(row)}\b")) for state, row in data["changes"].items()
        ),
        surface=frozenset(data["kinds"]["surface"]),
        removable=frozenset(data["kinds"]["removable"]),
        everywhere=frozenset(data["kinds"]["everywhere"]),
        unglued=frozenset(data["kinds"]["unglued"]),
        helpers=frozenset(data["kinds"]["helpers"]),
    )


def _any(options: Iterable[str]) -> str:
    return f"(?:{'|'.join(options)})"


def _pattern(options: Iterable[str]) -> re.Pattern[str]:
    return re.compile(rf"\b{_any(options)}\b", re.IGNORECASE)


def place_of(text: str, quote: str) -> tuple[int, int]:
    """Where ``quote`` begins and ends in ``text``, (-1, -1) where it does not stand; it may run on beyond the text."""
    if not quote:
        return -1, -1
    place = text.find(quote)
    if place >= 0:
        return place, place + len(quote)
    head = _NEXT.split(quote)[0]
    place = text.rfind(head)
    return (place, place + len(head)) if place >= 0 else (-1, -1)


def where_of(text: str, quote: str = "", item: str | None = None) -> str | None:
    """The place on the piece that ``text`` names nearest to ``quote``, None if it names none but ``item`` itself."""
    known = words()
    middle = max(text.find(quote), 0) + len(quote) / 2
    best: tuple[float, str] | None = None
    for match in known.where.finditer(text.lower()):
        name = known.places[next(g for g in match.groups() if g)]
        part = _PART.match(text, match.end())
        if part and quote and text.startswith(quote, part.end()):
            continue
        if name == item or (match[0] in ("to the top", "in the end") and NO_PLACE.search(text[: match.start()])):
            continue
        # "Inside" without an article is as often where the work is as where the defect lies.
        distance = abs((match.start() + match.end()) / 2 - middle) + (1000 if match["alone"] else 0)
        # Beyond a comma something else is spoken of.
        low, high = sorted((int(middle), match.start()))
        distance += BEYOND_COMMA * text.count(",", low, high)
        if best is None or distance < best[0]:
            best = (distance, name)
    return best[1] if best else None


def sentence_of(text: str, quote: str) -> str:
    """The sentence of ``text`` in which ``quote`` stands; all of it where it is not found."""
    place, after = place_of(text, quote)
    if place < 0:
        return text
    start = max(text.rfind(mark, 0, place) for mark in ".;!?") + 1
    ends = [end for end in (text.find(mark, max(after - 1, place)) for mark in ".;!?") if end >= 0]
    return text[start : min(ends, default=len(text))]


def change_of(fact: Fact, sentence: str) -> tuple[DefectState, bool]:
    """What the fact, or else the words near it, say became of the defect, and whether the words say so plainly."""
    stated = fact.attrs.get("change")
    place, after = place_of(sentence, fact.quote)
    near = (sentence if place < 0 else sentence[max(place - ABOUT, 0) : after + ABOUT]).lower()
    said = [state for state, pattern in words().changes if pattern.search(near)]
    if place >= 0 and "gone" not in said and _OUT.match(sentence[after:]):
        said.insert(0, "gone")
    if GONE_INTO.search(near) or HOPED.search(near):
        said = [state for state in said if state != "gone"]
        stated = None if stated == "gone" else stated
    if stated == "stable" and "repaired" in said and "stable" not in said:
        stated = "repaired"
    if "reopened" in said and stated not in ("gone", "repaired", "stable"):
        return "reopened", True
    if stated in ("gone", "stable", "worse", "repaired"):
        return cast(DefectState, stated), stated in said
    if stated == "new" or not said or said[0] == "reopened":
        return "seen", False
    return said[0], True
