"""Cuts a stream into clauses without relying on punctuation.

A clause opens at a written end of sentence, at a pause, at a conjunction, and at a subject that brings its own verb
("i'm", "that's", "it was"), unless what came before it is only a lead-in ("normally in summer | it's more like").
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

from shoplog.extract.stream import COMMA, PAUSE, Stream

_CONJUNCTIONS = frozenset("but so because cause 'cause though although while whereas except which unless until till once before otherwise since".split())
_STRONG = frozenset("but because though although".split())
_JOINED_SUBJECTS = frozenset(
    "i'm i've i'd i'll it's it'll it'd that's that'll there's we're we've we'll we'd he's she's they're they've they'll "
    "he'll she'll he'd she'd you're you'd you'll you've here's what's who's let's let".split()
)
_PRONOUNS = frozenset("i we they he she it this that there you".split())
_VERBS = frozenset(
    "is was are were has had have will would could might may can should did does do doesn't don't isn't aren't wasn't weren't hasn't haven't couldn't wouldn't won't went goes go going came comes come "
    "weighs weighed measures measured reads read says said shows showed gets get got takes took drinks needs need looks "
    "looked feels felt stays stayed put used use want wanted think thought know knew guess reckon cut turned made make "
    "keep kept run ran started start sanded tried try like love hope hit wait waited let gave give left leave usually "
    "normally always never just also still only almost really actually probably don't didn't won't can't couldn't "
    "wouldn't isn't wasn't haven't hasn't might've could've would've should've".split()
)
#: Words that show that a clause has its verb.
_FINITE = _JOINED_SUBJECTS | frozenset(
    "is was are were has had have will would could might may can should did does do went goes came comes says said reads "
    "read weighs measures gets got takes took needs stays put used want think know turned made keep run started don't "
    "didn't won't can't isn't wasn't aren't cut i we shows stopped gave left sanded dropped using working sitting running "
    "turning looks feels".split()
)


@dataclass(frozen=True, slots=True)
class Clauses:
    """``starts`` of the clauses and of the sentences, both in order."""

    starts: list[int]
    sentences: list[int]
    size: int

    def clause(self, i: int) -> tuple[int, int]:
        """(start, end) of the clause that holds token ``i``."""
        k = bisect_right(self.starts, i)
        return self.starts[k - 1], self.starts[k] if k < len(self.starts) else self.size

    def index(self, i: int) -> int:
        """Which clause holds token ``i``."""
        return bisect_right(self.starts, i) - 1

    def bounds(self, index: int) -> tuple[int, int]:
        """(start, end) of a clause by its index."""
        return self.starts[index], self.starts[index + 1] if index + 1 < len(self.starts) else self.size

    def sentence(self, i: int) -> tuple[int, int]:
        """(start, end) between the written or heard borders around token ``i``."""
        k = bisect_right(self.sentences, i)
        return self.sentences[k - 1], self.sentences[k] if k < len(self.sentences) else self.size


def cut(stream: Stream) -> Clauses:
    """The clauses and sentences of a stream."""
    text, border, n = stream.text, stream.border, len(stream.text)
    starts: list[int] = [0] if n else []
    sentences: list[int] = [0] if n else []
    finite = False
    for i in range(1, n):
        word = text[i]
        if border[i] >= PAUSE:
            starts.append(i)
            sentences.append(i)
            finite = word in _FINITE
            continue
        opens = False
        if word in _JOINED_SUBJECTS:
            opens = finite or (text[i - 1] in ("and", "but") and i - starts[-1] >= 5)
        elif word in _PRONOUNS:
            nxt = text[i + 1] if i + 1 < n else ""
            opens = finite and (nxt in _VERBS or word == "i") and text[i - 1] not in ("that", "what", "of", "to", "with", "for", "on", "do", "did", "is", "was", "are", "if", "when", "how", "where", "why")
        elif word in _STRONG and i - starts[-1] >= 4:
            opens = True
        elif word in _CONJUNCTIONS:
            opens = finite and not (word == "so" and text[i - 1] in ("or", "and")) and not (word == "since" and False)
        elif word in ("if", "when") or (word == "then" and border[i] == COMMA):
            opens = finite
        if opens:
            at = i
            # The conjunction before a subject belongs to the subject's clause.
            while at - 1 > starts[-1] and text[at - 1] in ("and", "but", "so", "or", "because", "cause", "then", "now", "well", "okay", "ok", "while", "though") and border[at] < PAUSE:
                at -= 1
            if at > starts[-1]:
                starts.append(at)
                finite = any(text[k] in _FINITE for k in range(at, i + 1))
                continue
        if word in _FINITE or (word.endswith("'s") and word not in _JOINED_SUBJECTS):
            finite = True
    return Clauses(starts, sentences, n)
