"""The words of the trade: what is said, what it is called here, and what a recogniser makes of it.

The vocabulary lies in data files beside this module, so that a new term, variant or mishearing is a line in a file:

``terms.csv``        kind, canonical item, what the words need around them to be meant, and the words
``species.csv``      woods by the name that is said
``mishearings.csv``  words that recognisers write for a term, and what must stand near before they are believed
``plausible.csv``    the numbers that are likely for a kind

``needs`` names a condition that `shoplog.extract.mentions` knows how to check; empty means the words speak for
themselves.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files


@dataclass(frozen=True, slots=True)
class Term:
    """Words that name an item of a kind; ``misheard`` when they are what a recogniser writes for it."""

    kind: str
    item: str
    words: str
    needs: str = ""
    misheard: bool = False


@dataclass(frozen=True, slots=True)
class Band:
    """The numbers of a kind: outside ``low`` to ``high`` a number is doubted; ``unit`` is what they are counted in."""

    kind: str
    unit: str
    low: float
    high: float


def rows(name: str) -> Iterator[dict[str, str]]:
    """The rows of a data file of this package."""
    text = (files(__name__) / name).read_text(encoding="utf-8")
    return csv.DictReader(text.splitlines())


def _split(words: str) -> list[str]:
    return [w for w in (part.strip() for part in words.split(";")) if w]


@cache
def terms() -> tuple[Term, ...]:
    """Every way of saying every item, mishearings last."""
    found = [Term(r["kind"], r["item"], w, r["needs"]) for r in rows("terms.csv") for w in _split(r["words"])]
    found += [Term("species", r["item"], w, r["needs"]) for r in rows("species.csv") for w in _split(r["words"])]
    kinds = {t.item: t.kind for t in reversed(found)}
    known = {(t.kind, t.words) for t in found}
    for row in rows("mishearings.csv"):
        kind = kinds[row["meant"]]
        for words in _split(row["heard"]):
            if (kind, words) not in known:
                found.append(Term(kind, row["meant"], words, row["needs"], misheard=True))
    return tuple(found)


@cache
def items(kind: str) -> tuple[str, ...]:
    """The canonical items of a kind, in the order of the data file."""
    return tuple(dict.fromkeys(t.item for t in terms() if t.kind == kind and not t.item.startswith("*")))


@cache
def _canonical() -> dict[tuple[str, str], str]:
    found: dict[tuple[str, str], str] = {}
    for term in terms():
        found.setdefault((term.kind, _plain(term.words)), term.item)
        found.setdefault((term.kind, _plain(term.item)), term.item)
    return found


def _plain(words: str) -> str:
    return " ".join(words.lower().replace("-", " ").split())


def canonical(kind: str, words: str) -> str | None:
    """The item of ``kind`` that the words name, by any variant or known mishearing; None if they name none."""
    item = _canonical().get((kind, _plain(words)))
    return None if item is None or item.startswith("*") else item


@cache
def bands() -> dict[str, tuple[Band, ...]]:
    """The plausible numbers of each kind, by kind."""
    found: dict[str, list[Band]] = {}
    for row in rows("plausible.csv"):
        found.setdefault(row["kind"], []).append(Band(row["kind"], row["unit"], float(row["low"]), float(row["high"])))
    return {kind: tuple(b) for kind, b in found.items()}


@cache
def botanical(species: str) -> str | None:
    """The botanical name of a wood by its common or trade name, None where the table does not know or names several."""
    wanted = _plain(species)
    try:
        table = list(rows("woods.csv"))
    except FileNotFoundError:
        return None
    for row in table:
        if _plain(row["common_name"]) == wanted:
            return row["botanical_name"]
    found = {
        row["botanical_name"] for row in table if wanted in (_plain(t) for t in _split(row.get("trade_names", "")))
    }
    return found.pop() if len(found) == 1 else None
