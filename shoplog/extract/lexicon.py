"""Finds the trade's words, the topics and the status cues in a stream: one pass of one PhraseMatcher.

The words lie in data files; what a term needs around it to be meant is checked in `mentions`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from shoplog import trade
from shoplog.extract.stream import Stream, pieces
from shoplog.extract.wordset import table, wordset


@dataclass(frozen=True, slots=True)
class Topic:
    """A word that says what is being talked about."""

    topic: str


@dataclass(frozen=True, slots=True)
class Cue:
    """A word that sets the status of what stands in its scope."""

    status: str
    scope: str


Entry = trade.Term | Topic | Cue


@dataclass(frozen=True, slots=True)
class Hit:
    """Entries of the lexicon found at tokens ``start`` to ``end``."""

    start: int
    end: int
    entries: tuple[Entry, ...]


@cache
def _matcher() -> tuple[Any, Any, dict[int, tuple[Entry, ...]]]:
    """The matcher, its vocabulary, and the entries by match id."""
    from spacy.matcher import PhraseMatcher
    from spacy.tokens import Doc
    from spacy.vocab import Vocab

    entries: dict[tuple[str, ...], list[Entry]] = {}

    def add(words: str, entry: Entry) -> None:
        tokens = tuple(p for w in words.split() for p in pieces(w))
        if tokens and entry not in entries.setdefault(tokens, []):
            entries[tokens].append(entry)

    for term in trade.terms():
        add(term.words, term)
    for row in table("topics.csv"):
        for words in row["words"].split(";"):
            add(words.strip(), Topic(row["topic"]))
    for row in table("status.csv"):
        add(row["words"], Cue(row["status"], row["scope"]))
    vocab = Vocab()
    matcher = PhraseMatcher(vocab, attr="ORTH")
    by_id: dict[int, tuple[Entry, ...]] = {}
    for number, (tokens, found) in enumerate(entries.items()):
        key = str(number)
        matcher.add(key, [Doc(vocab, words=list(tokens))])
        by_id[vocab.strings[key]] = tuple(found)
    return matcher, vocab, by_id


_CONTRACTIONS = wordset(
    "i'll i'd we'll we'd you'll you'd he'll he'd she'll she'd they'll they'd it'll it'd that'll that'd this'll "
    "there'll there'd who'll who'd what'll it's that's there's he's she's here's what's let's who's where's "
    "how's one's today's turner's carpenter's joiner's bird's"
)


def plain(word: str) -> str:
    """A noun without the verb that is glued to it: "the crack's stable" names a crack, "epoxy'll fill it" a glue."""
    if "'" not in word or word in _CONTRACTIONS:
        return word
    return word[: word.index("'")] if word.endswith(("'s", "'ll", "'d")) else word


def find(stream: Stream) -> list[Hit]:
    """All hits of a stream, overlapping ones included, in order of start and longest first."""
    if not len(stream):
        return []
    from spacy.tokens import Doc

    matcher, vocab, by_id = _matcher()
    found = matcher(Doc(vocab, words=[plain(w) for w in stream.text]))
    hits = [Hit(start, end, by_id[key]) for key, start, end in found]
    hits.sort(key=lambda h: (h.start, -h.end))
    return hits
