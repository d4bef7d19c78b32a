"""What stands around a word: articles and sizes before it, wood near it, what was named before."""

from __future__ import annotations

from shoplog.extract.reading import Reading
from shoplog.extract.wordset import wordset

ARTICLES = wordset(
    "a an the my this that these those some any no another each every his her our your one its first second third "
    "new old"
)
FIT = wordset(
    "ol ole wee small big tiny little large nice nasty bad good great huge long short deep fine hairline tight "
    "loose slight minor major proper serious ugly old new single real wide narrow visible quick light heavy sharp "
    "thin thick dark black faint awful wicked massive slow lovely hefty bit more few couple three-quarter half "
    "quarter inch mm mil sizable noticeable decent fresh second first third other whole same only dull freshly "
    "sharpened trusty round flat clean final fifth shallow swept fingernail carbide wooden metal pull dead solid "
    "large-ish round-ish curved square original hand"
)


def determined(reading: Reading, i: int) -> bool:
    """Whether an article, a size or an adjective stands before token ``i``."""
    word = reading.previous(i)
    if word == "'":  # "a big ol' split"
        word = reading.previous(i - 1)
    if word in ARTICLES or word in FIT:
        return True
    return reading.quantity_before(i) is not None


def seen(reading: Reading, item: str, i: int) -> bool:
    """Whether the item was named for certain before."""
    return any(m.term.item == item and m.start < i for m in reading.terms[-40:])


def wooden(reading: Reading, i: int) -> bool:
    """Whether a part of a piece, or wood, is named in the same clause or close by."""
    return reading.in_clause("wood", i) or reading.near("part", i, 6, 8) or reading.near("wood", i, 10, 8)
