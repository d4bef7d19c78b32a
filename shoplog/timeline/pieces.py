"""Which of several pieces is on the lathe: "the second bowl", "on to the next blank", "back to the first one"."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from shoplog.log import Take
from shoplog.timeline.evidence import Unit

#: So many seconds are a recording's first words.
OPENING = 40.0
#: What a piece may be called.
_NAMES = tuple(
    "bowl bowls blank piece one vase box platter plate goblet cup form pot urn dish mallet bottle spindle candlestick "
    "lamp ornament top pen egg handle leg finial log twin pair billet offcut lump slab disc square round half board "
    "ring ball stick".split()
)
_NOUNS = rf"(?:{'|'.join(_NAMES)}|hollow form)"
_NTH = ("first", "second", "third", "fourth", "fifth", "sixth")
_ORDINALS = {word: number for number, word in enumerate(_NTH, 1)} | {"one": 1, "two": 2, "three": 3}
_ORDINALS |= {"four": 4, "five": 5, "six": 6, "1": 1, "2": 2, "3": 3, "4": 4, "5": 5, "6": 6}
#: After these words a number counts something else, or pieces of other days.
_NOT_A_PIECE = r"(?! (?:inch|mil|mm|coat|hundred|thousand|\d|of these|i (?:ever|made|did|turned|sold|ruined)|ever)\b)"
_NUMBERED = re.compile(
    rf"\b(?:(?P<nth>{'|'.join(_NTH)}) (?:\w+ )?{_NOUNS}"
    rf"|(?:{_NOUNS}|number) (?:number )?(?P<nr>one|two|three|four|five|six|[1-6]))\b{_NOT_A_PIECE}",
    re.IGNORECASE,
)
_START = r"(?:on to|onto|now for|start(?:ing)? (?:on )?|here's|here is|grab(?:bing)?|mount(?:ing)?)"
_NEXT = re.compile(
    rf"\b(?:{_START} (?:the|my|this)? ?(?:next|other) {_NOUNS}"
    rf"|(?:the|this) other {_NOUNS} (?:now|is|goes|gets)|same (?:again|thing) (?:on|for|with) the other {_NOUNS})\b",
    re.IGNORECASE,
)
#: In front of these words a name of a piece, or "number", may stand.
_COUNT = re.compile(r" (?:one|two|three|four|five|six|[1-6])\b")
_COUNTED = (*_NAMES, "number")
_BACK = re.compile(rf"\bback to the (?:other|first|previous) {_NOUNS}\b", re.IGNORECASE)
#: Words before which an ordinal counts something else or another time.
_NOT_HERE = re.compile(
    r"\b(?:next time|last time|tomorrow|later|the last|ever|when (?:i|we) get to|before (?:the|i)|(?:like|than|as) the"
    r"|unlike|my very|normally|used to|gonna be|years? ago|will be|saving|(?<!now )for the|would|i'd|could)\b[^.;!?]*$",
    re.IGNORECASE,
)


def pieces_of(takes: Sequence[Take], units: Sequence[Sequence[Unit]]) -> tuple[list[list[int]], int]:
    """The piece (from 1) of each unit of each take, and how many pieces there are.

    A piece stays on until another is named as being worked on; a new recording goes on with the last one.
    """
    current, count = 1, 1
    found: list[list[int]] = []
    for take, row in zip(takes, units, strict=True):
        numbers = []
        for unit in row:
            if unit.cue is not None:
                named = _named(take.cues[unit.cue].text, current, count)
                # A second piece must be announced before a third can be.
                if named is not None and named <= count + 1:
                    current, count = named, max(count, named)
            numbers.append(current)
        found.append(_from_the_opening(row, numbers))
    return found, count


def _named(text: str, current: int, count: int) -> int | None:
    for match in _matches(text):
        if _NOT_HERE.search(text[: match.start()]):
            continue
        groups = match.groupdict()
        number = groups.get("nth") or groups.get("nr")
        if number:
            return _ORDINALS[number.lower()]
        if match.re is _NEXT and "next" not in match.group().lower():
            return 3 - current if count <= 2 and current <= 2 else None
        return current + 1 if match.re is _NEXT else 1 if "first" in match.group().lower() else max(current - 1, 1)
    return None


def _matches(text: str) -> Iterator[re.Match[str]]:
    """Where a piece may be named. Few remarks have the words for it; only they are put to the patterns."""
    low = text.lower()
    if "back to the " in low:
        yield from _BACK.finditer(text)
    if any(word in low for word in _NTH) or any(
        low.endswith(_COUNTED, 0, match.start()) for match in _COUNT.finditer(low)
    ):
        yield from _NUMBERED.finditer(text)
    if " next " in low or " other " in low:
        yield from _NEXT.finditer(text)


def _from_the_opening(row: Sequence[Unit], numbers: list[int]) -> list[int]:
    """A piece that is named in a recording's first words is on the lathe from its beginning."""
    for u, unit in enumerate(row):
        if unit.start > OPENING:
            break
        if numbers[u] != numbers[0]:
            return [numbers[u]] * u + numbers[u:]
    return numbers
