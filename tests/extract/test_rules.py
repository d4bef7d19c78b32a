"""What the rules alone take a number for, before anything learned weighs it: a table in ``cases/rules/numbers.csv``.

``expected`` lists the claims on numbers as ``kind item value unit``, an item or a range where there is one, ``-`` none.
Each line is read as written and as automatic captions write it.
"""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest

from shoplog.extract import assemble, mentions
from shoplog.extract.kinds import candidates
from shoplog.extract.reading import Candidate, Reading
from shoplog.extract.stream import build
from shoplog.transcript import Cue, Transcript

CASES = Path(__file__).parent / "cases" / "rules" / "numbers.csv"


def rows() -> list[tuple[str, str]]:
    with CASES.open(encoding="utf-8") as file:
        return [(r["said"], r["expected"]) for r in csv.DictReader(file)]


def bare(text: str) -> str:
    """As automatic captions write it: lower case, no sentence punctuation."""
    return re.sub(r"[,.:;!?](?=\s|$)", "", text.lower())


def shown(claim: Candidate) -> str:
    number = f"{claim.value:g}" if claim.value is not None else f"{claim.low:g}-{claim.high:g}"
    return " ".join(p for p in (claim.kind, claim.item, number, claim.unit) if p)


@pytest.mark.parametrize("written", [str, bare], ids=["written", "captions"])
@pytest.mark.parametrize(("said", "expected"), rows())
def test_rules(said, expected, written):
    """The rules claim the listed numbers and no others."""
    reading = Reading(build(Transcript((Cue(0.0, 5.0, written(said)),))))
    mentions.meant(reading)
    claims = assemble.with_status(reading, assemble.by_rules(reading, candidates(reading)))
    got = [shown(c) for c in sorted(claims, key=lambda c: c.start) if c.value is not None or c.low is not None]
    assert [e for e in expected.split("|") if e != "-"] == got
