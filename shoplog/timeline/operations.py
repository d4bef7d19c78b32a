"""The operations of the trade, read from ``operations.toml``: their names, order, phrases and weights."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any, NamedTuple

#: How much a phrase says for its operation, by its list in the data file.
PHRASE_WEIGHTS = {"strong": 3.0, "cues": 1.6, "weak": 0.6}
#: At most so many words stand for ``...`` in a phrase.
GAP = 3
_TOKEN = re.compile(r"[a-z0-9]+(?:['’.-][a-z0-9]+)*|[.;!?]")


@dataclass(frozen=True, slots=True)
class Operation:
    """One operation. ``order`` counts from 0; ``machine`` is how far a running lathe speaks for it; ``facts`` the
    weight of a stated fact by ``kind`` or ``kind:item``; ``speed`` the rpm range commonly heard, ``next`` what usually
    follows. ``waits``: the time until the next recording belongs to it."""

    name: str
    title: str
    order: int
    machine: float
    next: frozenset[str]
    facts: Mapping[str, float]
    speed: tuple[float, float] | None = None
    waits: bool = False


class Hit(NamedTuple):
    """A phrase found at tokens ``first`` to ``last`` (inclusive). ``label`` is an operation's number or a tense; None
    for words that name no operation, whatever phrases are in them."""

    first: int
    last: int
    label: Any
    weight: float


_Steps = tuple[frozenset[str] | None, ...]


class Phrases:
    """Finds many phrases in a row of words in one pass: they are kept under their first word, or first two."""

    def __init__(self) -> None:
        # What follows a first word: nothing more, a given second word, or first some words of any kind.
        self._single: dict[str, list[tuple[Any, float]]] = {}
        self._pairs: dict[tuple[str, str], list[tuple[_Steps, Any, float]]] = {}
        self._loose: dict[str, list[tuple[_Steps, Any, float]]] = {}

    def add(self, phrase: str, label: Any, weight: float = 1.0) -> None:
        """Take in ``phrase``: words between spaces, ``a|b`` for either, ``...`` for up to three of any.

        A word stands for its plural (or third person) and its genitive (or "is" drawn together) too.
        """
        steps = tuple(None if part == "..." else _forms(part.split("|")) for part in phrase.split())
        if not steps or not steps[0] or steps[-1] is None:
            raise ValueError(f"a phrase begins and ends with a word, not with ...: {phrase!r}")
        for word in steps[0]:
            if len(steps) == 1:
                self._single.setdefault(word, []).append((label, weight))
            elif steps[1] is None:
                self._loose.setdefault(word, []).append((steps[1:], label, weight))
            else:
                for second in steps[1]:
                    self._pairs.setdefault((word, second), []).append((steps[2:], label, weight))

    def find(self, tokens: Sequence[str]) -> Iterator[Hit]:
        """All phrases in ``tokens``, by their place; none reaches over the end of a sentence."""
        single, pairs, loose = self._single, self._pairs, self._loose
        for at, (word, following) in enumerate(zip(tokens, (*tokens[1:], ""), strict=False)):
            for label, weight in single.get(word, ()):
                yield Hit(at, at, label, weight)
            for steps, label, weight in pairs.get((word, following), ()):
                last = _matches(tokens, at + 1, steps) if steps else at + 1
                if last is not None:
                    yield Hit(at, last, label, weight)
            for steps, label, weight in loose.get(word, ()):
                last = _matches(tokens, at, steps)
                if last is not None:
                    yield Hit(at, last, label, weight)


def _forms(options: Sequence[str]) -> frozenset[str]:
    """The words with an s and with 's: "tenon", "tenons", "tenon's"."""
    plain = [word for word in options if word.isalpha() and len(word) > 2 and word[-1] != "s"]
    return frozenset((*options, *(f"{word}s" for word in plain), *(f"{word}'s" for word in plain)))


def _matches(tokens: Sequence[str], at: int, steps: _Steps) -> int | None:
    """The last token of the ``steps`` that follow the token at ``at``, or None if they do not."""
    loose = 0
    for step in steps:
        if step is None:
            loose = GAP
            continue
        for place in range(at + 1, min(at + 2 + loose, len(tokens))):
            if tokens[place] in step:
                at = place
                break
            if tokens[place] in ".;!?":
                return None
        else:
            return None
        loose = 0
    return at


def tokens_of(text: str) -> list[str]:
    """The words of ``text`` in lower case, and the marks that end a sentence."""
    return _TOKEN.findall(text.lower().replace("’", "'"))


@dataclass(frozen=True)
class Trade:
    """All that the data file holds, ready for use. ``phrases`` are labelled with the number of their operation, with
    a tense ("now", "ahead", ...), with "over", or with None (see ``Hit``)."""

    operations: tuple[Operation, ...]
    phrases: Phrases


@cache
def _data() -> dict[str, Any]:
    return tomllib.loads(resources.files(__package__).joinpath("operations.toml").read_text("utf-8"))


@cache
def trade() -> Trade:
    """The operations with their phrases; read once."""
    data = _data()
    operations, phrases = [], Phrases()
    for order, entry in enumerate(data["operation"]):
        low_high = entry.get("speed")
        operations.append(
            Operation(
                name=entry["name"],
                title=entry["title"],
                order=order,
                machine=entry["machine"],
                next=frozenset(entry["next"]),
                facts=entry.get("facts", {}),
                speed=(low_high[0], low_high[1]) if low_high else None,
                waits=entry.get("waits", False),
            )
        )
        for strength, weight in PHRASE_WEIGHTS.items():
            for phrase in entry.get(strength, ()):
                phrases.add(phrase, order, weight)
    for phrase in data["nothing"]:
        phrases.add(phrase, None)
    for tense, words in data["tense"].items():
        for phrase in words:
            phrases.add(phrase, tense, float(len(phrase.split())))
    return Trade(tuple(operations), phrases)


def names() -> tuple[str, ...]:
    """The operations' names in the trade's order."""
    return tuple(entry["name"] for entry in _data()["operation"])
