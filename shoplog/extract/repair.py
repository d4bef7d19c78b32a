"""Trade words half heard: found by sound and spelling, and only where the context leaves no other reading.

Known mishearings are lines of the vocabulary; this is for those that nobody has written down yet.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache, lru_cache

from shoplog import trade
from shoplog.extract.reading import Mention, Reading
from shoplog.extract.senses_woods import wood
from shoplog.extract.surroundings import determined
from shoplog.extract.wordset import wordset
from shoplog.trade import Term

#: Below this length too many common words sound alike.
_SHORTEST = 6
#: Spelling likeness (0 to 100) that a word of the same sound must have.
_ALIKE = 78.0
_GOUGES = {
    "bowl": "bowl gouge",
    "spindle": "spindle gouge",
    "detail": "detail gouge",
    "roughing": "spindle roughing gouge",
}
#: What stands before "gauge" when a gauge is meant.
_REAL_GAUGES = wordset(
    "depth pressure vacuum wall feeler temperature rain fuel the a my your this that marking thickness center "
    "angle dial"
    "oil gas moisture humidity tape air height big small old same little good wire"
)


@cache
def _by_sound() -> dict[str, list[Term]]:
    """The single words of the trade that speak for themselves, by their phonetic key."""
    from jellyfish import metaphone

    found: dict[str, list[Term]] = {}
    for term in trade.terms():
        if (
            not term.misheard
            and len(term.words) >= _SHORTEST
            and term.words.isalpha()
            and (not term.needs or term.kind == "species")
        ):
            found.setdefault(metaphone(term.words), []).append(term)
    return found


@cache
def _known() -> frozenset[str]:
    """Every single word of the vocabulary: none of them is a mishearing."""
    return frozenset(word for term in trade.terms() for word in term.words.split())


@lru_cache(maxsize=20_000)
def meant_by(word: str) -> Term | None:
    """The term that a word sounds and is spelt like, None if none or the word is known itself."""
    if len(word) < _SHORTEST or not word.isascii() or not word.isalpha() or word in _known():
        return None
    from jellyfish import metaphone
    from rapidfuzz import fuzz

    alike = _by_sound().get(metaphone(word), ())
    best = max(((fuzz.ratio(word, t.words), t) for t in alike), key=lambda pair: pair[0], default=None)
    if best is None or best[0] < _ALIKE or word.rstrip("s") == best[1].words.rstrip("s"):
        return None
    term = best[1]
    return Term(term.kind, term.item, word, "wood" if term.kind == "species" else "det", misheard=True)


@lru_cache(maxsize=2_000)
def _gouge(word: str) -> str | None:
    from rapidfuzz.distance import JaroWinkler

    score, item = max((JaroWinkler.similarity(word, name), item) for name, item in _GOUGES.items())
    return item if score >= 0.7 else None


def repaired(reading: Reading, taken: set[int]) -> Iterator[Mention]:
    """Mentions of half-heard words among the tokens that no term has taken."""
    text = reading.text
    for i, word in enumerate(text):
        if i in taken:
            continue
        if word in ("gouge", "gauge") and i and i - 1 not in taken and text[i - 1] not in _REAL_GAUGES:
            sized = reading.quantity_before(i - 1) is not None
            if sized and text[i - 1].isalpha() and (item := _gouge(text[i - 1])) is not None:
                yield Mention(i - 1, i + 1, Term("tool", item, f"{text[i - 1]} {word}", misheard=True))
            continue
        if (term := meant_by(word)) is None:
            continue
        mention = Mention(i, i + 1, term)
        if wood(reading, mention) if term.kind == "species" else determined(reading, i):
            yield mention
