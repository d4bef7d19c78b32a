"""Cuts a stream into clauses without relying on punctuation.

A clause opens at a written end of sentence, at a pause, at a conjunction, and at a subject that brings its own verb
("i'm", "that's", "it was"), unless what came before it is only a lead-in ("normally in summer | it's more like").
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

from shoplog.extract.stream import COMMA, PAUSE, Stream
from shoplog.extract.wordset import wordset

_CONJUNCTIONS = wordset(
    "but so because cause 'cause though although while whereas except which unless until till once before otherwise"
)
_STRONG = wordset("but because though although")
JOINED_SUBJECTS = wordset(
    "i'm i've i'd i'll it's it'll it'd that's that'll there's we're we've we'll we'd he's she's they're they've "
    "they'll he'll she'll he'd she'd you're you'd you'll you've here's what's who's let's let"
)
_PRONOUNS = wordset("i we they he she it this that there you")
_VERBS = wordset(
    "is was are were has had have will would could might may can should did does do doesn't don't isn't aren't "
    "wasn't weren't hasn't haven't couldn't wouldn't won't went goes go going came comes come weighs weighed "
    "measures measured reads read says said shows showed gets get got takes took drinks needs need looks looked "
    "feels felt stays stayed put used use want wanted think thought know knew guess reckon cut turned made make "
    "keep kept run ran started start sanded tried try like love hope hit wait waited let gave give left leave "
    "usually normally always never just also still only almost really actually probably didn't can't might've "
    "could've would've should've"
)
#: Words that show that a clause has its verb.
FINITE = JOINED_SUBJECTS | wordset(
    "is was are were has had have will would could might may can should did does do went goes came comes says "
    "said reads read weighs measures gets got takes took needs stays put used want think know turned made keep "
    "run started don't didn't won't can't isn't wasn't aren't cut i we shows stopped gave left sanded dropped "
    "using working sitting running turning looks feels"
)


_BE = wordset(
    "is are was were has had reads read says said measures weighs looks gets goes went comes came isn't aren't "
    "wasn't needs takes will would"
)
_DETERMINERS = wordset("the my this that these those a an our your his her two both every all another")
_NOT_IN_SUBJECT = wordset(
    "of to in on at with for and or but so i it he she they you we that which who is are was were if when as by "
    "from than into about then because not"
)
#: What a bare remark may open with, where nothing before it calls for a word.
_MARKERS = wordset("okay ok alright anyway oh well whoa oops hey look yeah yep righto")
_ADVERBS = wordset(
    "normally usually typically sometimes generally ordinarily now next then today first also later right meanwhile"
)
_GERUNDS = wordset(
    "sanding cutting using drilling hollowing starting turning working roughing taking running putting making "
    "switching moving finishing measuring speeding going shaping parting wiping"
)
_OPEN_ENDED = wordset(
    "the a an my this that these those his her your our no any some of to in on at with for by from as than into "
    "about around i we he she they you it it's i'm i've i'd that's we're is are was were be been being am not "
    "just still really only always never start started keep kept stop stopped finish finished like love before "
    "after when while if or and very more most up down through without between have has had get got go went do "
    "did does isn't wasn't ain't aren't weren't don't didn't who which all right there there's every each one two "
    "three last next first until till says said say can could will would enjoy hate begin began freshly already "
    "quite so too power wet dry hand end end-grain"
)


def _remark(text: list[str], i: int) -> bool:
    """Whether a new remark opens at ``i`` without a subject: "okay", "normally i'd", "sanding with 150"."""
    word, before = text[i], text[i - 1]
    after = text[i + 1] if i + 1 < len(text) else ""
    if word == "look" and after in ("at", "for", "like", "into", "after", "back"):
        return False
    if word in _MARKERS:
        return before not in _OPEN_ENDED or before in wordset("it that one up down on all")
    if word in _ADVERBS:
        return after in JOINED_SUBJECTS or (
            after in wordset("i for the we it on with in a this")
            and before not in _OPEN_ENDED
            and (
                word not in ("right", "first", "next", "then", "now")
                or (after in ("i", "the", "we", "it", "for") and word != "right")
            )
        )
    if word in _GERUNDS:
        return before not in _OPEN_ENDED and after in wordset(
            "with at the it from dry wet on now through in by this a up to"
        )
    return False


def _subject(text: list[str], i: int) -> bool:
    """Whether a noun with its own verb opens at ``i``: "the lathe is", "the humidity in the shop was", "speed is"."""
    word, before = text[i], text[i - 1]
    n = len(text)
    if word in _DETERMINERS:
        if before in wordset(
            "of to in on at with for from is was are that's it's by like than about into over how what where why "
            "if that all both half not says said because but when say off around until till as"
        ):
            return False
        for k in range(i + 1, min(i + 5, n)):
            if text[k] in _BE or (
                text[k].endswith("'s")
                and text[k] not in JOINED_SUBJECTS
                and k + 1 < n
                and text[k + 1]
                in wordset(
                    "at on in down up a about not gone still now the running set sitting just only off been got going"
                )
            ):
                return True
            if text[k] in _NOT_IN_SUBJECT or text[k][0].isdecimal():
                return False
        return False
    if (
        i + 1 < n
        and text[i + 1] in ("is", "are", "reads", "says", "was")
        and word.isalpha()
        and word not in _NOT_IN_SUBJECT
        and word not in _PRONOUNS
    ):
        return (
            before not in _OPEN_ENDED
            and before not in _DETERMINERS
            and before not in wordset("wall relative moisture pin bowl end spindle")
        )
    return False


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
            finite = word in FINITE
            continue
        opens = False
        if word in JOINED_SUBJECTS:
            opens = finite or (text[i - 1] in ("and", "but") and i - starts[-1] >= 5)
        elif word in _PRONOUNS:
            nxt = text[i + 1] if i + 1 < n else ""
            opens = (
                finite
                and (nxt in _VERBS or word == "i")
                and text[i - 1] not in wordset("that what of to with for on do did is was are if when how where why")
            )
        elif word in _STRONG and i - starts[-1] >= 4:
            opens = True
        elif word in _CONJUNCTIONS:
            opens = finite and not (word == "so" and text[i - 1] in ("or", "and"))
        elif word in ("if", "when") or (word == "then" and border[i] == COMMA):
            opens = finite
        elif finite:
            opens = _remark(text, i) or _subject(text, i)
        if opens:
            at = i
            # The conjunction before a subject belongs to the subject's clause.
            while (
                at - 1 > starts[-1]
                and text[at - 1] in wordset("and but so or because cause then now well okay ok while though")
                and border[at] < PAUSE
            ):
                at -= 1
            if at > starts[-1]:
                starts.append(at)
                finite = any(text[k] in FINITE for k in range(at, i + 1))
                continue
        if word in FINITE or (word.endswith("'s") and word not in JOINED_SUBJECTS):
            finite = True
    return Clauses(starts, sentences, n)
