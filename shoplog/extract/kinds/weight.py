"""``weight`` of the piece."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from shoplog.extract.quantities import WEIGHT, Quantity
from shoplog.extract.reading import Candidate, Reading, numbered
from shoplog.extract.wordset import wordset

_MONEY = wordset("paid cost costs price worth spent charge sold sell quid note each")


def candidates(reading: Reading) -> Iterator[Candidate]:
    """Pounds, kilos, grams and ounces that weigh the work, and the bare number that follows "from"."""
    last: Candidate | None = None
    for quantity in reading.quantities:
        if quantity.unit in WEIGHT:
            if not _weighs(reading, quantity):
                continue
            last = numbered("weight", quantity, quantity.read("value"), quantity.unit, score=0.9)
            if (
                quantity.upper is not None
                and quantity.link == "to"
                and any(w in ("went", "from", "dropped") for w in reading.before(quantity.start, 4))
            ):
                yield replace(last, value=quantity.amount.value, low=None, high=None)
                yield replace(
                    last,
                    start=quantity.upper.start,
                    value=quantity.upper.value,
                    low=None,
                    high=None,
                    quantity=quantity.upper.start,
                )
            else:
                yield last
        elif (
            last is not None
            and quantity.unit is None
            and quantity.start - last.end <= 3
            and reading.previous(quantity.start) == "from"
            and quantity.upper is None
        ):
            yield numbered("weight", quantity, (quantity.amount.value, None, None), last.unit, score=0.75, approx=False)
        elif (
            last is not None
            and last.value
            and quantity.unit is None
            and quantity.upper is None
            and quantity.start - last.end < 150
            and reading.before(quantity.start, 3) in (["she's", "down", "to"], ["it's", "down", "to"])
            and 0.3 * last.value < quantity.amount.value < last.value
        ):
            yield numbered("weight", quantity, (quantity.amount.value, None, None), last.unit, score=0.6, approx=False)
        elif (
            quantity.unit is None
            and quantity.upper is None
            and 1 < quantity.amount.value < 5000
            and _from_to(reading, quantity)
        ):
            following = next(iter(reading.numbers(quantity.end, quantity.end + 4)), None)
            if following is not None and following.unit in WEIGHT:
                yield numbered(
                    "weight", quantity, (quantity.amount.value, None, None), following.unit, score=0.8, approx=False
                )


def _from_to(reading: Reading, quantity: Quantity) -> bool:
    """ "from 1240 down to 980 grams"."""
    return reading.previous(quantity.start) == "from" and reading.next(quantity.end) in ("to", "down")


def _weighs(reading: Reading, quantity: Quantity) -> bool:
    q, end = quantity.start, quantity.end
    after, before = reading.after(end, 4), reading.before(q, 10)
    if after[:1] in (
        ["of"],
        ["test"],
        ["pressure"],
        ["per"],
        ["bag"],
        ["bags"],
        ["hammer"],
        ["mallet"],
        ["note"],
        ["jar"],
        ["each"],
        ["pinch"],
        ["a"],
    ) and after[:2] not in (["of", "wood"], ["of", "water"], ["of", "wet"], ["of", "it"]):
        return False
    if any(w in _MONEY for w in before[-5:]) or any(
        w in ("wife", "doctor", "weighs-me", "diet", "myself", "gained") for w in before
    ):
        return False
    if reading.near("scale", q, 14, 6):
        return True
    if any(
        w in wordset("went down lost dropped guess said from came it's weighs she's about heavy at to still now")
        for w in before[-4:]
    ):
        return (
            reading.in_sentence("wood", q)
            or reading.gap("wood", q) < 30
            or any(w in ("it", "it's", "she's", "this", "came") for w in before)
        )
    return False
