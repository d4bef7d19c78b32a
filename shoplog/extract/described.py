"""Defects told by how they look or what happened: "a soft bit", "it grabbed", "a chip came off", "that pocket".

None of these words is a name of a defect; what stands around it makes it one. They are looked up in one pass and kept
apart from the trade's vocabulary, whose words are also what is searched for.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from shoplog.extract.lexicon import plain
from shoplog.extract.reading import Mention, Reading
from shoplog.extract.stream import PAUSE
from shoplog.extract.surroundings import wooden
from shoplog.extract.wordset import table, wordset
from shoplog.trade import Term

#: How far around its word a description reaches, in tokens.
_BEFORE, _AFTER = 12, 9
#: How long a defect stays the matter, so that it may be called "the hole" or "those rings", in tokens.
_REMEMBERED = 500
_MADE = re.compile(r"(?:drill|bore|boring|forstner|screw|mortise|tang|candle|wick|punch|jig|socket)")
_NO_CUTTERS = wordset("i you we they he'd i'd he'll bus cold train flu fish breath eye attention sight")


@dataclass(frozen=True, slots=True)
class _Look:
    """A way of telling a defect: what must stand before and after the word, and a condition on the place."""

    item: str
    before: re.Pattern[str] | None
    after: re.Pattern[str] | None
    condition: str


@cache
def _looks() -> dict[str, list[_Look]]:
    """``described.csv`` by the words that its descriptions hang on."""
    found: dict[str, list[_Look]] = {}
    for row in table("described.csv"):
        look = _Look(
            row["item"],
            re.compile(rf"(?:.* )?(?:{_spelt(row['before'])}) $") if row["before"] else None,
            re.compile(rf"(?:{_spelt(row['after'])})(?: |$)") if row["after"] else None,
            row["condition"],
        )
        for word in _spelt(row["word"]).split("|"):
            found.setdefault(word, []).append(look)
    return found


@cache
def _groups() -> dict[str, str]:
    return {r["group"]: r["words"].replace(" ", "|") for r in table("describing.csv")}


def _spelt(pattern: str) -> str:
    """The pattern with the groups of ``describing.csv`` put in: ``SPOT`` for any word for a place."""
    return re.sub(r"[A-Z]{3,}", lambda m: _groups()[m[0]], pattern)


def described(reading: Reading, taken: set[int]) -> Iterator[Mention]:
    """The mentions that descriptions make, of words that no term has ``taken``; a full stop is what opens a breath."""
    looks = _looks()
    at: dict[str, int] = {}  # where each defect was last spoken of
    named = [m for m in reading.terms if m.term.kind == "defect"]
    n, last = 0, -3
    for i, raw in enumerate(reading.text):
        while n < len(named) and named[n].start <= i:
            at[named[n].term.item] = named[n].start
            n += 1
        if i in taken or i - last <= 2 or (options := looks.get(raw) or looks.get(plain(raw))) is None:
            continue
        words = [plain(w) for w in reading.before(i, _BEFORE)]
        before = "".join(w + " " for w in ([".", *words] if len(words) < _BEFORE else words))
        after = " ".join(plain(w) for w in reading.after(i + 1, _AFTER))
        for look in options:
            if look.before is not None and not look.before.match(before):
                continue
            if look.after is not None and not look.after.match(after):
                continue
            if look.condition == "seen":
                if not 2 <= i - at.get(look.item, -_REMEMBERED) < _REMEMBERED:
                    continue
            elif look.condition and not _holds(reading, i, look.condition):
                continue
            at[look.item] = last = i
            yield Mention(i, i + 1, Term("defect", look.item, raw, "described"))
            break


def _holds(reading: Reading, i: int, condition: str) -> bool:
    """Whether the place at token ``i`` meets a condition of ``described.csv``."""
    if condition == "wooden":
        return wooden(reading, i)
    if condition == "unmade":  # a hole that nobody made
        return not any(_MADE.match(w) for w in reading.words(i - 14, i + 10))
    if condition == "cutting":  # "it grabbed", not "I grabbed it"
        return reading.previous(i) not in _NO_CUTTERS
    if condition == "opening":  # as a cry does
        return reading.border[i] >= PAUSE
    if condition == "warping":  # "it'll move", not what the maker lets move
        return wooden(reading, i) and not reading.beside("lathe", i, 6, 6)
    return any(w.startswith(tuple(condition.split("|"))) for w in reading.words(i - 30, i + 10))
