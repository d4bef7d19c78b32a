"""What is said of a defect after it was named: of it, without its name, in the words and remarks that follow."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache
from typing import cast

from shoplog.timeline.course import DefectState
from shoplog.timeline.defect_words import GONE_INTO, HOPED, defect_data, where_of, words

#: Words that a size or a pronoun is made of; with no other words in it, a statement names no defect.
_NAMELESS = re.compile(
    r"(?:\W|_|\d|\b(?:it|its|that|thats|they|them|those|this|he|i|me|of|and|a|an|at|by|the|is|was|be|has|have|had|ve|re|s|t|d|ll|now|not|"
    r"no|longer|does|doesn|did|didn|hasn|haven|don|can|see|gone|went|out|away|off|back|on|done|got|rid|filled|"
    r"one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|\w+teen|twenty|thirty|forty|fifty|sixty|seventy|"
    r"eighty|ninety|hundred|half|quarters?|eighths?|sixteenths?|thirds?|\w+ths|point|even|only|about|"
    r"inch(?:es)?|mil(?:s|li\w*)?|mm|cm|centi\w+|feet|foot|thou\w*)\b)+",
    re.IGNORECASE,
)
#: A sentence, or its part up to a comma, with the mark that ends it.
_SENTENCE = re.compile(r"((?:[^.;!?,]|,(?! ))+)([.;!?,]*)")
_WHOLE = re.compile(r"[.;!?]+")
#: What he called it, said again with its end.
_AGAIN = re.compile(
    r"\b(?:the|that|those|them|these) (?:\w+ )?(\w{3,}?)s?(?:'s|'re|'ve| is| are| has| have)(?: all| now| just| been)* "
    r"(?:gone|out|oot|away)\b"
)


def is_nameless(quote: str) -> bool:
    """True for words that only measure or point ("two inches", "it's gone"): what they are of must stand elsewhere."""
    return bool(_NAMELESS.fullmatch(quote))


@cache
def _sequels(item: str) -> tuple[tuple[DefectState, re.Pattern[str]], ...]:
    data = defect_data()
    known = data["sequels"]
    name = _any([*data["names"].get(item, [item]), *data["marks"].get(item, [])])
    marks = item in words().surface
    subject = _any([*known["it"], name]) if marks or item in words().removable else name
    anything = _any(known["it"])
    linked = _any(known["is"])
    last = "cleaned" if marks else "trued" if item == "warp" else "repaired"
    states = ["reopened", "worse", "gone", last]
    return tuple(
        (
            cast(DefectState, "gone" if state in ("cleaned", "trued") else state),
            re.compile(
                r"(?:\b|^)"
                + _any(
                    row.replace("{it}", anything if state == "trued" else subject)
                    .replace("{is}", linked)
                    .replace("{name}", name)
                    for row in known[state]
                )
            ),
        )
        for state in states
    )


def _any(options: Iterable[str]) -> str:
    return f"(?:{'|'.join(options)})"


@cache
def _own_names(item: str) -> re.Pattern[str]:
    data = defect_data()
    return re.compile(rf"\b{_any([*data['names'].get(item, [item]), *data['marks'].get(item, [])])}(?:s|es)?\b")


def where_else(text: str, item: str) -> str | None:
    """Where ``text``, said with a defect of that kind, puts it by another name ("a catch. Spiral on the rim, look")."""
    for sentence in _WHOLE.split(text):
        name = _own_names(item).search(sentence.lower())
        place = where_of(sentence, sentence[name.start() : name.end()], item) if name else None
        if place is not None:
            return place
    return None


@cache
def _names() -> tuple[tuple[str, re.Pattern[str]], ...]:
    return tuple((item, re.compile(rf"\b{_any(row)}(?:s|es)?\b")) for item, row in defect_data()["names"].items())


def named(text: str) -> tuple[str, ...]:
    """The kinds of defect that ``text`` calls by name."""
    lowered = text.lower()
    if not _any_name().search(lowered):
        return ()
    return tuple(item for item, pattern in _names() if pattern.search(lowered))


@cache
def _any_name() -> re.Pattern[str]:
    return re.compile(rf"\b{_any(name for row in defect_data()['names'].values() for name in row)}")


def sequel_of(text: str, item: str, said: str = "") -> DefectState | None:
    """What ``text``, said after a defect of that kind was named, tells became of it; None if it tells nothing.

    ``said`` are the words in which it was named, in lower case: "feels like corduroy ... the corduroy's gone".
    """
    removable = item in words().surface or item in words().removable
    found: DefectState | None = None
    for match in _SENTENCE.finditer(text.lower()):
        sentence = match[1].strip()
        if "?" in match[2] or HOPED.search(sentence) or GONE_INTO.search(sentence):
            continue
        again = _AGAIN.search(sentence)
        if removable and again and re.search(rf"\b{again[1]}", said):
            found = "gone"
            continue
        for state, pattern in _sequels(item):
            if pattern.search(sentence):
                found = state
                break
    return found
