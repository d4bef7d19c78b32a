"""Promises to look again and thanks, as the rules read them: tables in ``cases/followup.csv`` and ``cases/credit.csv``.

``expected`` is the item and what belongs to it, when it is due or what was given, as ``item@due``; ``-`` none.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from shoplog.extract import mentions
from shoplog.extract.kinds import credit, followup
from shoplog.extract.reading import Reading
from shoplog.extract.stream import build
from shoplog.transcript import Cue, Transcript

CASES = Path(__file__).parent / "cases"


def rows(family: str) -> list[tuple[str, str]]:
    with (CASES / f"{family}.csv").open(encoding="utf-8") as file:
        return [(r["said"], r["expected"]) for r in csv.DictReader(file)]


def reading(said: str) -> Reading:
    found = Reading(build(Transcript((Cue(0.0, 5.0, said),))))
    mentions.meant(found)
    return found


@pytest.mark.parametrize(("said", "expected"), rows("followup"))
def test_followup(said, expected):
    """The line promises to look at the listed thing when it is due."""
    found = [f"{c.item}@{c.attrs['due']}" for c in followup.candidates(reading(said))]
    assert expected == ("|".join(found) or "-")


@pytest.mark.parametrize(("said", "expected"), rows("credit"))
def test_credit(said, expected):
    """The line thanks the listed person for what is listed."""
    found = [f"{c.item}@{c.attrs['role']}" for c in credit.candidates(reading(said))]
    assert expected == ("|".join(found) or "-")
