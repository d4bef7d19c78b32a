"""Whether several pieces are made at once, and what only then names one of them: "Two.", "Next.", "Last one."

Where a single piece is made, the same words count coats, grits, cracks and tries.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shoplog.log import Take
from shoplog.timeline.piece_words import COUNTS, MOUNTED, NOT_BEFORE, NOT_HERE, NOUNS, NTH, ORDINALS

#: So many seconds of the first recording say what is going to be made.
PURPOSE = 130.0
#: Several things of one kind.
_SEVERAL = (
    r"(?:bowls|blanks(?! to make)|boxes|vases|platters|plates|goblets|cups|pots|dishes|mallets|bottles|spindles|sticks"
    r"|lamps|pens|pins(?! of\b)|candle ?sticks|candle holders|ornaments|tops|eggs|billets|balusters|bells|globes|legs"
    r"|handles|knobs|bobbins|jobs|chisels|blocks of \w+"
    r"|bits(?= then\b|[.,]| of (?!(?:\w+ )?(?:tape|paper|card|rag|cloth|string|ply|mdf|glue|wire|wood\b))))"
)
_SIZE = rf"(?<!ty )(?<!ty-)(?<!hundred and )(?<!with )(?<!with the )({COUNTS[4:]}|pair|couple|[2-9])"
#: Between a count and what it counts.
_KIND = r"(?:(?!(?:and|on|to|from|with|or|in|the|by|at) )[\w']+ ){0,3}?"
_BATCH = (
    re.compile(
        rf"\b(?:{_SIZE} (?:of )?{_KIND}{_SEVERAL}\b"
        rf"|{_SEVERAL}[^.;!?]*, {_SIZE} of (?:them|'em)|^\W*{_SIZE} of (?:them|'em)\W"
        rf"|core {_SIZE}\b|got {_SIZE} to do\b|this (second) (?:bit|half|piece|blank|billet)\b"
        r"|the (other) half\W[^.;!?]*\bmakes?\b)"
    ),
    re.compile(rf"\b(?:we're|i'm|gonna|going to) (?:make|making|turn|turning|do|doing) (?:\w+ )?{_SEVERAL}\b"),
)
#: Of other days, or of what becomes a single piece.
_NO_BATCH = re.compile(
    r"\b(?:ago|last (?:week|month|year|time)|yesterday|the last one|lid|glued?|laminat\w+|halves|used to|sold)\b"
)
#: Said in the course of the work, these say that there is a batch.
_FIRST_OF = re.compile(
    rf"\b{NOT_BEFORE}number one\b(?! (?:jaws?|reason|rule|thing|tip|question))"
    r"|\bfirst of (?:them|'em)\b|\b(?:one|two) of two\b"
)
#: Of all pieces of a batch at once.
_ALL = re.compile(
    rf"\b(?:all ({COUNTS})(?= of (?:them|'em)|[.,!]| on\b| now\b|$)|the ({COUNTS}) of (?:them|'em)"
    r"|both of (?:them|'em)|the pair of (?:them|'em)"
    r"|there's the (?:family|bunch|set))"
)
#: A sentence of a batch that begins with no more than a number, or with "next", "last one", "the other".
_LEAD = (
    r"\W*(?:(?:and|so|now|okay|right|then|well|but|meanwhile|meantime|here's|there's|back to|same for|on to|again)\W+)"
    r"{0,3}"
)
_BARE = re.compile(
    rf"{_LEAD}(?:number )?(?P<nr>{COUNTS}|{'|'.join(NTH)})"
    r"(?:'s (?!an? |gone |sold )|[.!:]|(?<!first),| (?:on|in|goes|back)\b(?! the (?:outside|inside|rim|foot)))"
)
_OTHER = re.compile(
    rf"{_LEAD}(?:(?P<next>next)(?:[.!]| {NOUNS}\b)|(?:the )?(?P<last>last) {NOUNS}\b|the (?P<end>last)[.!]"
    rf"|(?:the )?other(?: {NOUNS})?[.,!]"
    rf"|(?:the )?(?P<spare>spare)(?: {NOUNS})?(?:'s| is| goes| gets|[.,!]))"
)
_SENTENCE = re.compile(r"(?<=[.!?;])\s+")
#: Two of a kind told apart by their size.
_BY_SIZE = re.compile(
    rf"\b(?:the|that|this) (?:(?P<more>big|bigger|large|larger|tall|taller|thick|thicker)"
    rf"|(?:small|smaller|little|short|shorter|thin|thinner))(?: {NOUNS}\b|[.,!]|(?= between\b| goes\b| again\b))"
)


@dataclass(frozen=True, slots=True)
class Batch:
    """That several pieces are made: how many, as far as it was said (0: it was not)."""

    size: int


def batch_of(takes: Sequence[Take]) -> Batch | None:
    """The batch that is made; None if nothing says that there is one.

    What is going to be made is said first; that there is a first, or a last of them, anywhere.
    """
    said, size = False, 0
    for t, take in enumerate(takes):
        for cue in take.cues:
            text = cue.text.lower().replace("’", "'")
            if t == 0 and cue.start <= PURPOSE and not _NO_BATCH.search(text):
                for match in (m for pattern in _BATCH for m in pattern.finditer(text)):
                    if not NOT_HERE.search(text[: match.start()]):
                        said, size = True, max((size, *_sizes(match)))
            said = said or (("number one" in text or " of " in text) and _FIRST_OF.search(text) is not None)
            for match in _ALL.finditer(text) if "all " in text or " of " in text else ():
                size = max((size, *_sizes(match)))
    return Batch(size) if said else None


def _sizes(match: re.Match[str]) -> Iterator[int]:
    for word in match.groups():
        if word:
            yield ORDINALS.get(word, 2)


def named_in_batch(text: str, current: int, most: int, batch: Batch, before: int) -> int | None:
    """The piece of the batch that one of the remark's outer sentences begins with.

    ``most`` pieces are known so far, ``before`` of them were made before the numbered ones.
    """
    sentences = _SENTENCE.split(text)
    for sentence in (sentences[0], sentences[-1]):
        if match := _BARE.match(sentence):
            return ORDINALS[match["nr"]] + before
    if match := _OTHER.match(sentences[0]) or _OTHER.match(sentences[-1]):
        if match["next"]:
            return current + 1 if not batch.size or current < most else None
        if match["last"] or match["end"]:
            return most if batch.size or current < most else most + 1
        if match["spare"]:
            return most + 1
        return 3 - current if most <= 2 else None
    return 1 if _ALL.search(text) else None


def named_by_size(text: str, current: int, sizes: dict[bool, int]) -> int | None:
    """The piece of a pair that is told by its size; ``sizes`` (bigger: piece) is kept from remark to remark."""
    match = _BY_SIZE.search(text)
    if match is None or NOT_HERE.search(text[: match.start()]):
        return None
    bigger = match["more"] is not None
    if not sizes and not MOUNTED.search(text):
        return None
    sizes.setdefault(bigger, 3 - sizes[not bigger] if sizes else current)
    return sizes[bigger]
