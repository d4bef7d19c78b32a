"""What was said, and the facts of one family in it: tables in ``cases/``, one for each family.

``expected`` lists the facts as ``item value unit/status``, parts that are the same for the whole family or done left
out; ``~`` marks a hedged one, ``-`` none. Each line is read as written and as automatic captions write it.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from shoplog.extract import extract
from shoplog.extract.quantities import Quantity, quantities
from shoplog.extract.stream import build
from shoplog.facts import Fact
from shoplog.transcript import Cue, Transcript
from tests.extract.by_rules import bare

CASES = Path(__file__).parent / "cases"
NAMED = ("adhesive", "tool", "defect", "dimension", "species", "finish", "ppe", "workholding")


def rows(*families: str) -> list[tuple[str, str, str]]:
    found = []
    for family in families:
        with (CASES / f"{family}.csv").open(encoding="utf-8") as file:
            found += [(family, r["said"], r["expected"]) for r in csv.DictReader(file)]
    return found


def number(value: float) -> str:
    return f"{value:.5g}"


def transcript(text: str) -> Transcript:
    return Transcript((Cue(0.0, 5.0, text),))


def shown(fact: Fact, expected: str) -> str:
    parts = [str(fact.item)] if fact.kind in NAMED else []
    if fact.kind == "clock":
        date = str(fact.attrs.get("date", ""))
        parts = [
            f"+{fact.attrs['days_later']}"
            if "days_later" in fact.attrs
            else str(fact.attrs.get("time") or (date if date in expected else date[5:]) or date)
        ]
    elif fact.kind == "finish" and fact.attrs.get("coats"):
        parts.append(f"x{fact.attrs['coats']}")
    elif fact.value is not None:
        parts.append(number(fact.value))
    elif fact.low is not None and fact.high is not None:
        parts.append(f"{number(fact.low)}-{number(fact.high)}")
    elif fact.kind == "speed":
        parts.append(str(fact.attrs.get("direction", "")))
    if fact.unit and fact.kind not in ("speed", "grit", "moisture"):
        parts.append(fact.unit)
    hedge = "~" if fact.approx and "~" in expected else ""
    return " ".join(parts) + hedge + ("" if fact.status == "done" else f"/{fact.status}")


@pytest.mark.parametrize("written", [str, bare], ids=["written", "captions"])
@pytest.mark.parametrize(
    ("family", "said", "expected"),
    rows(
        "adhesive",
        "clock",
        "defect",
        "dimension",
        "duration",
        "finish",
        "grit",
        "moisture",
        "ppe",
        "species",
        "speed",
        "tool",
        "workholding",
    ),
)
def test_family(family, said, expected, written):
    """The facts of the family are the listed ones and no others."""
    got = [shown(f, expected) for f in extract(transcript(written(said))) if f.kind == family]
    assert sorted(e for e in expected.split("|") if e != "-") == sorted(got)


@pytest.mark.parametrize("written", [str, bare], ids=["written", "captions"])
@pytest.mark.parametrize(("family", "said", "expected"), rows("status"))
def test_status(family, said, expected, written):
    """The speed in the line has the status that the words around it give it."""
    assert [expected] == [f.status for f in extract(transcript(written(said))) if f.kind == "speed"]


def amount(quantity: Quantity) -> str:
    reading = "size" if quantity.unit == "in" or (quantity.amount.parts and quantity.amount.size) else "value"
    value, low, high = quantity.read(reading)
    text = number(value) if value is not None else f"{number(low or 0)}-{number(high or 0)}"
    return text + (f" {quantity.unit}" if quantity.unit else "") + ("~" if quantity.approx else "")


@pytest.mark.parametrize(("family", "said", "expected"), rows("numbers"))
def test_number(family, said, expected):
    """The amounts in the line have the listed values, units and hedges."""
    assert expected.split("|") == [amount(q) for q in quantities(build(transcript(said)))]
