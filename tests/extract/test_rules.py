"""What the rules alone take a number for, before anything learned weighs it: a table in ``cases/rules/numbers.csv``.

``expected`` lists the claims on numbers as ``kind item value unit``, an item or a range where there is one, ``-`` none.
Each line is read as written and as automatic captions write it.
"""

from __future__ import annotations

import pytest

from shoplog.extract.reading import Candidate
from shoplog.transcript import Cue
from tests.extract.by_rules import bare, claims, rows


def shown(claim: Candidate) -> str:
    number = f"{claim.value:g}" if claim.value is not None else f"{claim.low:g}-{claim.high:g}"
    return " ".join(p for p in (claim.kind, claim.item, number, claim.unit) if p)


@pytest.mark.parametrize("written", [str, bare], ids=["written", "captions"])
@pytest.mark.parametrize(("said", "expected"), rows("numbers.csv"))
def test_rules(said, expected, written):
    """The rules claim the listed numbers and no others."""
    found = claims([Cue(0.0, 5.0, written(said))])
    assert expected == [shown(c) for c in found if c.value is not None or c.low is not None]
