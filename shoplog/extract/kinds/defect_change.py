"""What became of a defect: gone, repaired, new, worse or stable, said beside its name or later of "it".

The patterns are rows of ``defect_changes.csv``, searched in words whose contractions are opened ("it's" as "it 's",
"hasn't" as "has not").
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from functools import cache

from shoplog.extract.reading import Candidate, Reading
from shoplog.extract.stream import PAUSE
from shoplog.extract.wordset import table, wordset

#: What is not so yet, or may never be, though its words are said.
_NOT_YET = re.compile(
    r"\b(?:not|never|no|will|'ll|gonna|going to|to be|to get|be|if|until|till|hope|want|need|needs|might|could|should|"
    r"would|'d|almost|when)(?: \S+){0,2} $"
)
#: Openers of a remark that goes on about what was named right before.
_GOES_ON = re.compile(
    r"(?:it|that|they|those|these|and|but|not|no|gone|all|still|same|did|has|was|were|there (?:was|were)|look|mostly|"
    r"yesterday|you|i can|i thought|brand|is|so it|which|filled|fixed|repaired)\b"
)
#: Words that may open a remark about "it" and stand in the midst of other talk as well: only after a border.
_AFTER_BORDER = wordset(
    "and so now there gone out same still no all look turned sanded scraped cut cleaned skimmed planed buffed nothing "
    "right"
)
#: What a remark about "it" may open with.
_OPENERS = _AFTER_BORDER | wordset(
    "it it's they they're they've that that's those these she's she he's he both mostly i i've hasn't haven't didn't "
    "you yeah yes yep okay better nice but the"
)
#: What is mended where it can be; the others are cut away.
_MENDED = wordset("crack void blowout knot") | {"loose bark", "worm holes", "ring shake", "bark inclusion"}
#: Longest stretch of tokens after the name that can tell what became of it.
_REACH = 18
#: How many tokens back a remark about "it" may look for what it is about.
_REMEMBERED = 300
#: Within so many tokens, and without a silence, what is said of "it" belongs to the fact that named it.
_BREATH, _TURN = 12, 25


@cache
def _patterns(said: str) -> Mapping[str, re.Pattern[str]]:
    """The pattern of each change for what is ``said`` beside the name or of "it"."""
    groups: dict[str, str] = {}
    found: dict[str, list[str]] = {}
    for row in table("defect_changes.csv"):
        words = re.sub(r"\{([A-Z]+)\}", lambda m: groups[m[1]], row["words"])
        if row["change"].isupper():
            groups[row["change"]] = words
        elif row["said"] == said:
            found.setdefault(row["change"], []).append(words)
    return {change: re.compile(rf"(?<![^ ])(?:{'|'.join(ways)})(?![^ ])") for change, ways in found.items()}


def _opened(words: Sequence[str]) -> str:
    """The words with their contractions opened."""
    text = re.sub(r"\b(?:can't|cannot)\b", "can not", " ".join(words))
    text = re.sub(r"n't\b", " not", text.replace("ain't", "is not"))
    return re.sub(r"'(s|re|ve|ll|d|m)\b", r" '\1", text)


def _latest(text: str, item: str) -> str | None:
    """The latest state that the words tell."""
    found = []
    for change, pattern in _patterns("beside").items():
        if change == "worse" and item in ("catch", "knot"):
            continue
        for match in pattern.finditer(text):
            if change not in ("gone", "repaired") or not _NOT_YET.search(text[: match.start()]):
                found.append((match.start(), match.end(), change))
    # "not any worse" is stable: what lies inside another match tells nothing of its own.
    free = [m for m in found if not any(o is not m and o[0] <= m[0] and m[1] <= o[1] for o in found)]
    return max(free)[2] if free else None


def beside(reading: Reading, i: int, j: int, ceiling: int, item: str) -> str | None:
    """The latest state that the words around the defect at tokens ``i`` to ``j`` give it; none from ``ceiling`` on."""
    low = max(i - 6, reading.clauses.sentence(i)[0])
    high = min(ceiling, j + _REACH, reading.n)
    for k in range(j, high):
        if reading.border[k] >= PAUSE and not _GOES_ON.match(_opened(reading.text[k : k + 3])):
            high = k
            break
    return _latest(_opened(reading.text[low:high]), item)


def of_it(reading: Reading, named: Sequence[tuple[int, int, str]]) -> Iterator[Candidate]:
    """ "There, it's gone", "it's no worse": said of the defect that was named last, some way back.

    ``named`` are (start, end, item) of the defects.
    """
    starts = [start for start, _, _ in named]
    spoken = -_REMEMBERED
    for i, word in enumerate(reading.text):
        if word not in _OPENERS or (word in _AFTER_BORDER and not reading.border[i]):
            continue
        k = bisect_left(starts, i) - 1
        if k < 0 or not _BREATH <= i - named[k][1] <= _REMEMBERED or i - spoken <= _BREATH:
            continue
        if i - named[k][1] < _TURN and not reading.paused(named[k][1], i + 1):
            continue
        if k + 1 < len(named) and named[k + 1][0] < i + _BREATH and not reading.paused(i, named[k + 1][0] + 1):
            continue
        words = [word, *reading.after(i + 1, 8)]
        text, item = _opened(words), named[k][2]
        told = ((c, m) for c, p in _patterns("of it").items() if (m := p.match(text)))
        change, match = next(told, (None, None))
        if change is None or match is None:
            continue
        if change == "away":  # "you'd never know"
            change = "repaired" if item in _MENDED else "gone"
        spoken = i + min(len(words), len(match[0].replace(" '", "'").replace(" not", "").split()))
        yield Candidate("defect", i, spoken, item, status="done", attrs={"change": change}, score=0.66, anchor=i)
