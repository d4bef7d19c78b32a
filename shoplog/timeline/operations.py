"""The operations of the trade, read from ``operations.toml``: their names, order, phrases and weights."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
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
    weight of a stated fact by ``kind`` or ``kind:item``; ``speed`` the rpm range commonly heard. ``waits``: the time
    until the next recording belongs to it."""

    name: str
    title: str
    order: int
    machine: float
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


@dataclass(slots=True)
class _Begun:
    """What may follow a first word: nothing more, a given second word, or first some words of any kind."""

    alone: list[tuple[Any, float]] = field(default_factory=list)
    pairs: dict[str, list[tuple[_Steps, Any, float]]] = field(default_factory=dict)
    loose: list[tuple[_Steps, Any, float]] = field(default_factory=list)


class Phrases:
    """Finds many phrases in a row of words in one pass: they are kept under their first word."""

    def __init__(self) -> None:
        self._begun: dict[str, _Begun] = {}

    def add(self, phrase: str, label: Any, weight: float = 1.0) -> None:
        """Take in ``phrase``: words between spaces, ``a|b`` for either, ``...`` for up to three of any.

        A word stands for its plural (or third person) and its genitive (or "is" drawn together) too.
        """
        steps = tuple(None if part == "..." else _forms(part.split("|")) for part in phrase.split())
        if not steps or not steps[0] or steps[-1] is None:
            raise ValueError(f"a phrase begins and ends with a word, not with ...: {phrase!r}")
        for word in steps[0]:
            begun = self._begun.setdefault(word, _Begun())
            if len(steps) == 1:
                begun.alone.append((label, weight))
            elif steps[1] is None:
                begun.loose.append((steps[1:], label, weight))
            else:
                for second in steps[1]:
                    begun.pairs.setdefault(second, []).append((steps[2:], label, weight))

    def find(self, tokens: Sequence[str]) -> list[Hit]:
        """All phrases in ``tokens``, by their place; none reaches over the end of a sentence."""
        found: list[Hit] = []
        for at, word in enumerate(tokens):
            begun = self._begun.get(word)
            if begun is None:
                continue
            for label, weight in begun.alone:
                found.append(Hit(at, at, label, weight))
            if at + 1 == len(tokens):
                break
            if begun.pairs and (pairs := begun.pairs.get(tokens[at + 1])):
                for steps, label, weight in pairs:
                    last = _matches(tokens, at + 1, steps) if steps else at + 1
                    if last is not None:
                        found.append(Hit(at, last, label, weight))
            for steps, label, weight in begun.loose:
                last = _matches(tokens, at, steps)
                if last is not None:
                    found.append(Hit(at, last, label, weight))
        return found


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


@dataclass(frozen=True, eq=False)
class Trade:
    """All that the data file holds, ready for use. ``phrases`` are labelled with the number of their operation or with
    None (see ``Hit``), ``tenses`` with a tense ("now", "ahead", ...) or with "over"."""

    operations: tuple[Operation, ...]
    phrases: Phrases
    tenses: Phrases


@cache
def _data() -> dict[str, Any]:
    return tomllib.loads(resources.files(__package__).joinpath("operations.toml").read_text("utf-8"))


@cache
def trade() -> Trade:
    """The operations with their phrases; read once."""
    data = _data()
    operations, phrases, tenses = [], Phrases(), Phrases()
    for order, entry in enumerate(data["operation"]):
        low_high = entry.get("speed")
        operations.append(
            Operation(
                name=entry["name"],
                title=entry["title"],
                order=order,
                machine=entry["machine"],
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
            tenses.add(phrase, tense, float(len(phrase.split())))
    return Trade(tuple(operations), phrases, tenses)


def names() -> tuple[str, ...]:
    """The operations' names in the trade's order."""
    return tuple(entry["name"] for entry in _data()["operation"])
