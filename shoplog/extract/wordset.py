"""Sets of words and lists of phrases: written in the code as they are read, or kept in ``phrases.csv``."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files


@cache
def wordset(text: str) -> frozenset[str]:
    """The words of ``text`` as a set, built once: ``after in wordset("pie tart jam")``."""
    return frozenset(text.split())


def table(name: str) -> list[dict[str, str]]:
    """The rows of a data file of this package."""
    return list(csv.DictReader((files("shoplog.extract") / name).read_text(encoding="utf-8").splitlines()))


@cache
def _phrases() -> dict[str, tuple[str, ...]]:
    return {r["name"]: tuple(w.strip() for w in r["words"].split(";")) for r in table("phrases.csv")}


def phrases(name: str) -> tuple[str, ...]:
    """The phrases of a list of ``phrases.csv``."""
    return _phrases()[name]


def phrases_by(prefix: str) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The lists whose names open with ``prefix``, by the rest of their names, in the order of the file."""
    return tuple(
        (name[len(prefix) + 1 :], found) for name, found in _phrases().items() if name.startswith(prefix + " ")
    )
