"""Everything that was found in a transcript before facts are read from it: what the families of facts look at."""

from __future__ import annotations

import datetime as dt
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from shoplog.extract import clauses as clauses_
from shoplog.extract import lexicon
from shoplog.extract.quantities import Quantity, quantities
from shoplog.extract.status import Statuses
from shoplog.extract.stream import COMMA, PAUSE, PAUSE_SECONDS, SENTENCE, Stream
from shoplog.facts import Kind, Status
from shoplog.trade import Term


@dataclass(frozen=True, slots=True)
class Mention:
    """A trade term at tokens ``start`` to ``end``, meant as such by its surroundings."""

    start: int
    end: int
    term: Term


@dataclass(frozen=True, slots=True)
class Candidate:
    """A fact as a family reads it, in tokens: ``start`` to ``end`` are the words that state it.

    ``score`` is how plain the family finds it (0 to 1); ``quantity`` is the token at which its number starts, which no
    two facts share. ``anchor`` is the token whose surroundings set the status, ``status`` overrules them.
    """

    kind: Kind
    start: int
    end: int
    item: str | None = None
    value: float | None = None
    low: float | None = None
    high: float | None = None
    unit: str | None = None
    approx: bool = False
    status: Status | None = None
    attrs: Mapping[str, Any] = field(default_factory=dict)
    score: float = 0.9
    quantity: int | None = None
    anchor: int | None = None
    term: Term | None = None

    @property
    def at(self) -> int:
        """The token whose surroundings set the status: the anchor, else the first."""
        return self.start if self.anchor is None else self.anchor


def numbered(
    kind: Kind,
    quantity: Quantity,
    numbers: tuple[float | None, float | None, float | None],
    unit: str | None,
    *,
    score: float,
    approx: bool | None = None,
    attrs: Mapping[str, Any] | None = None,
    status: Status | None = None,
) -> Candidate:
    """A candidate that is one stated number: it lies where the number does, claims it, and takes its status there.

    ``numbers`` are (value, low, high); the hedge is the quantity's unless ``approx`` says otherwise.
    """
    value, low, high = numbers
    return Candidate(
        kind,
        quantity.start,
        quantity.end,
        value=value,
        low=low,
        high=high,
        unit=unit,
        approx=quantity.approx if approx is None else approx,
        status=status,
        attrs=attrs or {},
        score=score,
        quantity=quantity.start,
        anchor=quantity.start,
    )


class Reading:
    """One transcript, read up to its numbers, terms, clauses and topics."""

    def __init__(self, stream: Stream, recorded: dt.date | None = None) -> None:
        self.stream, self.text, self.border = stream, stream.text, stream.border
        self.n = len(stream.text)
        self.recorded = recorded
        self.hits = lexicon.find(stream)
        self.clauses = clauses_.cut(stream)
        self.statuses = Statuses(stream, self.clauses, self.hits)
        self.quantities = quantities(stream)
        self._starts = [q.start for q in self.quantities]
        self.topics: dict[str, list[int]] = {}
        for hit in self.hits:
            for entry in hit.entries:
                if isinstance(entry, lexicon.Topic):
                    self.topics.setdefault(entry.topic, []).append(hit.start)
        said = [q.unit for q in self.quantities]
        metric = sum(u in ("mm", "cm", "kg", "g", "degC", "m") for u in said)
        imperial = sum(u in ("in", "ft", "lb", "oz", "degF") for u in said)
        spelt = sum(
            w in ("timber", "centre", "colour", "centres", "metre", "bloke", "reckon", "shed") for w in stream.text
        )
        self.metric = metric > imperial or (metric == imperial and spelt > 0)
        self.terms: list[Mention] = []
        #: Whether sentences are hardly marked at all, as in automatic captions.
        self.bare = sum(b >= SENTENCE for b in stream.border) * 40 < self.n

    # ---- tokens

    def word(self, i: int) -> str:
        """The token at ``i``, nothing outside the stream or across the end of a sentence before it."""
        return self.text[i] if 0 <= i < self.n else ""

    def next(self, i: int, limit: int = PAUSE) -> str:
        """The token at ``i`` if no border of ``limit`` or more stands before it."""
        return self.text[i] if 0 <= i < self.n and self.border[i] < limit else ""

    def previous(self, i: int, limit: int = PAUSE) -> str:
        """The token before ``i`` if no border of ``limit`` or more stands between."""
        return self.text[i - 1] if 0 < i <= self.n and (i == self.n or self.border[i] < limit) else ""

    def words(self, start: int, end: int) -> list[str]:
        """The tokens ``start`` to ``end``, cut to the stream."""
        return self.text[max(0, start) : max(0, end)]

    def before(self, i: int, count: int, limit: int = PAUSE) -> list[str]:
        """Up to ``count`` tokens before ``i``, nearest last, not across a border of ``limit``."""
        low = i
        while low > 0 and i - low < count and (low == self.n or self.border[low] < limit):
            low -= 1
        return self.text[low:i]

    def after(self, i: int, count: int, limit: int = PAUSE) -> list[str]:
        """Up to ``count`` tokens from ``i`` on, not across a border of ``limit``."""
        high = i
        while high < self.n and high - i < count and self.border[high] < limit:
            high += 1
        return self.text[i:high]

    def says(self, i: int, *phrases: str) -> bool:
        """Whether one of the phrases stands at token ``i``."""
        return any(self.text[i : i + len(p)] == p for p in (phrase.split() for phrase in phrases))

    # ---- topics

    def near(self, topic: str, i: int, before: int = 12, after: int = 8) -> bool:
        """Whether a word of the topic stands within so many tokens of ``i``."""
        found = self.topics.get(topic, ())
        k = bisect_left(found, i - before)
        return k < len(found) and found[k] <= i + after

    def beside(self, topic: str, i: int, before: int = 12, after: int = 8) -> bool:
        """As `near`, within the sentence of ``i`` only."""
        low, high = self.clauses.sentence(i)
        found = self.topics.get(topic, ())
        k = bisect_left(found, max(low, i - before))
        return k < len(found) and found[k] <= min(high - 1, i + after)

    def gap(self, topic: str, i: int) -> int:
        """How many tokens back the topic was last named, a large number if never."""
        found = self.topics.get(topic, ())
        k = bisect_right(found, i)
        return i - found[k - 1] if k else 10_000

    def in_clause(self, topic: str, i: int) -> bool:
        """Whether a word of the topic stands in the clause of ``i``."""
        low, high = self.clauses.clause(i)
        found = self.topics.get(topic, ())
        k = bisect_left(found, low)
        return k < len(found) and found[k] < high

    def in_sentence(self, topic: str, i: int, reach: int = 25) -> bool:
        """Whether a word of the topic stands in the sentence of ``i``, within ``reach`` tokens."""
        low, high = self.clauses.sentence(i)
        found = self.topics.get(topic, ())
        k = bisect_left(found, max(low, i - reach))
        return k < len(found) and found[k] < min(high, i + reach)

    # ---- numbers and terms

    def numbers(self, start: int, end: int) -> Sequence[Quantity]:
        """The quantities that start within tokens ``start`` to ``end``."""
        return self.quantities[bisect_left(self._starts, start) : bisect_left(self._starts, end)]

    def quantity_before(self, i: int, gap: int = 1) -> Quantity | None:
        """The quantity that ends at most ``gap`` tokens before ``i``, in the same breath."""
        k = bisect_left(self._starts, i)
        if not k:
            return None
        quantity = self.quantities[k - 1]
        if quantity.end <= i <= quantity.end + gap and all(
            self.border[j] < PAUSE for j in range(quantity.end, min(i + 1, self.n))
        ):
            return quantity
        return None

    def mentions(self, kind: str) -> Iterator[Mention]:
        """The mentions of a kind, in order."""
        return (m for m in self.terms if m.term.kind == kind)

    def mentioned(self, start: int, end: int) -> list[Mention]:
        """The mentions that start within tokens ``start`` to ``end``."""
        low = bisect_left(self.terms, start, key=lambda m: m.start)
        return self.terms[low : bisect_left(self.terms, end, key=lambda m: m.start)]

    def status(self, candidate: Candidate) -> Status:
        """The status of a candidate, by its own word or by its surroundings."""
        if candidate.status is not None:
            return candidate.status
        at = candidate.at
        named = candidate.item is not None and candidate.kind != "dimension"
        return self.statuses.at(at, at + 1, 8 if candidate.kind == "clock" else 40, named=named)

    def paused(self, start: int, end: int) -> bool:
        """Whether silence lies before one of the tokens ``start`` to ``end``, whatever is written there."""
        words, owner = self.stream.words, self.stream.word
        return any(
            owner[k] != owner[k - 1] and words[owner[k]].start - words[owner[k] - 1].end >= PAUSE_SECONDS
            for k in range(max(start, 1), min(end, self.n))
        )

    def status_word(self, i: int, word: str) -> bool:
        """Whether ``word`` stands in the clause of token ``i``, before it."""
        return word in self.text[self.clauses.clause(i)[0] : i]

    def comma_before(self, i: int) -> bool:
        """Whether a written border stands before token ``i``."""
        return 0 < i < self.n and self.border[i] >= COMMA
