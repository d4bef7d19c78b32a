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
            score = _weighs(reading, quantity)
            if not score:
                continue
            last = numbered("weight", quantity, quantity.read("value"), quantity.unit, score=score)
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
        elif last is not None and last.value and _again(reading, quantity, last.end, last.value):
            yield numbered("weight", quantity, (quantity.amount.value, None, None), last.unit, score=0.55)
        elif (
            quantity.unit is None
            and quantity.upper is None
            and 1 < quantity.amount.value < 20_000
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


def _again(reading: Reading, quantity: Quantity, end: int, value: float) -> bool:
    """ "two kilos before, one point three now", "sixty two for the other": the unit was just said."""
    if quantity.unit is not None or quantity.upper is not None or not 0 < quantity.start - end < 30:
        return False
    if not 0.2 * value < quantity.amount.value < 4 * value:
        return False
    before, after = reading.before(quantity.start, 3), reading.after(quantity.end, 2)
    told = before[-1:] and before[-1] in wordset(
        "it's was now at to over under about from just says stopped weighs liked no on"
    )
    marked = after[:1] and after[0] in wordset("now today before when wet dry this after and but so for")
    return bool(told and (marked or not after)) or bool(marked and not before)


def _weighs(reading: Reading, quantity: Quantity) -> float:
    """How plainly it is the work that weighs so much; 0 where it is something else."""
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
        return 0.0
    if any(w in _MONEY for w in before[-5:]) or any(
        w in ("wife", "doctor", "weighs-me", "diet", "myself", "gained") for w in before
    ):
        return 0.0
    if reading.near("scale", q, 14, 6):
        return 0.9
    if any(
        w in wordset("went down lost dropped guess said from came it's weighs she's about heavy at to still now")
        for w in before[-4:]
    ):
        work = (
            reading.in_sentence("wood", q)
            or reading.gap("wood", q) < 30
            or any(w in ("it", "it's", "she's", "this", "came") for w in before)
        )
        if work:
            return 0.9
    # Little else in the shop is weighed; what a person weighs is told in stones, pounds and kilos.
    return 0.0 if reading.beside("people", q, 8, 6) and quantity.unit in ("lb", "kg") else 0.5
