"""Where a speaker drew breath inside a caption line of which only the whole line's times are known.

Automatic captions are cut every few words, without punctuation. A line that took longer than its words need holds a
silence; at which word is read off the words: remarks open with some and never end with others.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache
from statistics import median

from shoplog.extract.number_words import DENOMINATORS, SCALES, SMALL, TENS
from shoplog.extract.wordset import table, wordset
from shoplog.transcript import Cue

#: A line that is written with punctuation says itself where its sentences end.
_PUNCTUATED = re.compile(r"[,.;!?](?:\s|$)")
#: Silence in seconds that a line must hold beyond what its words need.
_EXCESS = 0.7
_OPENERS = {
    **dict.fromkeys(
        [
            "okay",
            "ok",
            "alright",
            "righto",
            "oh",
            "well",
            "whoa",
            "oops",
            "anyway",
            "now",
            "normally",
            "usually",
            "somebody",
            "someone",
            "hello",
            "welcome",
            "thanks",
            "hey",
        ],
        3.0,
    ),
    **dict.fromkeys(
        [
            "i'm",
            "i've",
            "i'll",
            "i'd",
            "it's",
            "that's",
            "there's",
            "we're",
            "we've",
            "we'll",
            "let's",
            "he's",
            "she's",
            "they're",
            "here's",
            "what's",
            "you're",
            "don't",
            "if",
            "so",
            "but",
            "sanding",
            "using",
            "today",
            "next",
            "then",
        ],
        2.6,
    ),
    **dict.fromkeys(
        [
            "i",
            "and",
            "the",
            "my",
            "this",
            "we",
            "you",
            "it",
            "he",
            "she",
            "they",
            "there",
            "these",
            "those",
            "a",
            "an",
            "one",
            "two",
            "no",
            "not",
            "when",
            "what",
            "in",
            "on",
            "for",
            "at",
            "some",
            "people",
            "just",
            "because",
            "or",
            "also",
            "sometimes",
            "every",
            "all",
            "right",
        ],
        1.6,
    ),
}
_NEVER_LAST = wordset(
    "the a an of to my your his our their and or but i i'm i've i'd i'll we're it's that's there's is are was "
    "were be been at with for from by about than as if because so very really quite into onto its every no not "
    "got get don't didn't can could would will might going gonna half these those this some any such like while "
    "who which where what how when whose says point hundred and-a he she they we you he's she's they're have has "
    "had do does did thin thick small big little first three five six seven eight nine ten twenty thirty forty "
    "bowl spindle roughing parting wall face tail dust"
)
_NEVER_FIRST = wordset(
    "of percent inch inches mm mil mils millimetres millimeters degrees rpm grit than across deep wide thick tall "
    "long coats hours minutes seconds days weeks months years pounds kilos grams too either though enough ago "
    "later away me him them us is are was were to per up down off out again eighths sixteenths quarter gouge "
    "scraper tool chisel chuck glue oil tape shield mask jaws center centre stock thickness diameter ish so-far "
    "yet have has had been"
)
#: Units to which a fraction is added: "an inch | and a half".
_MEASURED = wordset("inch inches foot feet hour hours minute minutes pound pounds kilo kilos week weeks month months")
_LAST = wordset(
    "now it that there here me him again too yet today way them this one out on off up down okay ok though us "
    "then done going ready together"
)


def inside(cues: Sequence[Cue]) -> dict[int, list[int]]:
    """For each cue that holds a silence, the words before which it is likeliest: {cue: [word, ...]}."""
    plain = [(k, c, c.text.split()) for k, c in enumerate(cues) if not c.words and not _PUNCTUATED.search(c.text)]
    rates = [(c.end - c.start) / len(w) for _, c, w in plain if len(w) >= 4 and c.end > c.start]
    if len(rates) < 4:
        return {}
    # The pace of the lines without silence: most lines have none, and those that have are slower.
    pace = median(sorted(rates)[: max(3, 2 * len(rates) // 3)])
    found: dict[int, list[int]] = {}
    for k, cue, words in plain:
        excess = (cue.end - cue.start) - pace * len(words)
        if excess < _EXCESS or len(words) < 3:
            continue
        scores = sorted(((_score(words, i), i) for i in range(1, len(words))), reverse=True)
        wanted = 2 if excess > 2.4 * max(1.0, pace * 2.6) * 0.85 else 1
        found[k] = [i for score, i in scores[:wanted] if score >= 1.0]
    return found


@cache
def _counted() -> dict[str, tuple[float, float, float]]:
    """Log odds of a word as the first, the second and the last of a remark, counted over invented narrations."""
    return {r["word"]: (float(r["opens"]), float(r["follows"]), float(r["ends"])) for r in table("breaths.csv")}


def _fraction(words: list[str]) -> bool:
    """Whether a fraction is among the words: "three-eighths", "a quarter", "5/8"."""
    return any("/" in w or w.rsplit("-", 1)[-1] in DENOMINATORS for w in words)


def _one_number(words: list[str], i: int) -> bool:
    """Whether the words on both sides of ``i`` are likelier one number than two: "fifty | four", "two | and a half"."""
    before, after = words[i - 1].lower(), words[i].lower()
    follow = [w.lower() for w in words[i + 1 : i + 3]]
    whole = before in TENS or before in SMALL or before in SCALES or before.isdecimal()
    if after == "and":
        measured = whole or before in _MEASURED
        cut = len(follow) < 2 and all(w in SMALL or w in ("a", "an") for w in follow)  # the line ends in the number
        return measured and (cut or _fraction(follow))
    if before == "and":
        first = words[i - 2].lower() if i > 1 else ""
        if first in ("hundred", "thousand"):
            return after in TENS or after in SMALL
        counted = first in TENS or first in SMALL or first.isdecimal() or first in _MEASURED
        return counted and _fraction([after, *follow[:1]])
    if not whole:
        return False
    small = SMALL.get(after, 10)
    return (
        after in ("point", "oh")
        or after in DENOMINATORS
        or after in SCALES
        or (before in TENS and 0 < small < 10)
        or (after in TENS and (before in SCALES or before in SMALL))
        or (before in SCALES and 0 < small < 10)
    )


def _score(words: list[str], i: int) -> float:
    before, after = words[i - 1].lower(), words[i].lower()
    none = (0.0, 0.0, 0.0)
    counted = _counted()
    second = counted.get(words[i + 1].lower(), none)[1] if i + 1 < len(words) else 0.0
    score = counted.get(after, (-1.0, 0.0, 0.0))[0] + second + counted.get(before, (0.0, 0.0, 0.3))[2] + 2.0
    score += 0.7 * _OPENERS.get(after, 0.6)
    if after in ("half", "quarter") or before in wordset(
        "normally usually typically sometimes generally today maybe about"
    ):
        score -= 3.0
    if before in _NEVER_LAST:
        score -= 4.0
    elif before in _LAST:
        score += 0.8
    if after in _NEVER_FIRST:
        score -= 3.0
    follow = words[i + 1].lower() if i + 1 < len(words) else ""
    if after in ("the", "my", "this", "a") and before in ("and", "but", "so"):
        score -= 1.0
    if after == "and" and follow in wordset("i i'm i've it's that's then the"):
        score -= 0.2
    if _one_number(words, i):
        score -= 6.0
    if before[-1:].isdecimal() or before in wordset("inches percent rpm grit minutes hours mm degrees"):
        score += 0.3
    return score
