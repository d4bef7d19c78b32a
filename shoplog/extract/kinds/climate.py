"""``temperature`` and ``humidity`` of the shop or the room: not of the weather, an oven, or a tilted table."""

from __future__ import annotations

from collections.abc import Iterator

from shoplog.extract.quantities import Quantity
from shoplog.extract.reading import Candidate, Reading, numbered
from shoplog.extract.wordset import wordset

#: So few degrees in a shop where people work are Celsius, whatever its sizes are measured in.
_COLD = 24
_ROOMS = wordset(
    "shop shed garage workshop room basement studio barn loft attic cellar place kiln balcony porch carport "
    "conservatory greenhouse lean-to store outbuilding"
)


_WARMTH = wordset("cool cold warm cooled warmed cooler warmer freezing hot chilly temperature temp reached heated")
_THEN = {"", *wordset("and so but this today now tonight already which because right in at i it with degrees")}


def candidates(reading: Reading) -> Iterator[Candidate]:
    """Degrees and relative humidities said of a room."""
    last_humidity = -1000
    last_degrees = -1000
    for quantity in reading.quantities:
        if quantity.unit in ("deg", "degF", "degC"):
            if _room(reading, quantity):
                last_degrees = quantity.end
                yield temperature(reading, quantity, 0.92)
        elif quantity.unit == "%":
            beside = 0 < quantity.start - last_degrees < 9 and not reading.in_clause("moist", quantity.start)
            if beside or _humid(reading, quantity, last_humidity):
                last_humidity = quantity.end
                yield humidity(reading, quantity, 0.9)
        elif quantity.unit is None and not quantity.implied:
            value = quantity.read("value")[0]
            if value is None or value != int(value):
                continue
            after = reading.after(quantity.end, 2)
            if after[:1] in (["above"], ["below"]):  # "four above in here"
                after = reading.after(quantity.end + 1, 2)
            here = after[:2] in (["in", "here"], ["inside", "here"]) or (
                after[:2] in (["in", "the"], ["in", "this"], ["in", "my"], ["in", "our"])
                and reading.word(quantity.end + 2) in _ROOMS
            )
            thermometer = (
                any(w.startswith("thermometer") or w == "thermostat" for w in reading.before(quantity.start, 7))
                and -20 < value < 120
            )
            if _of_room(reading, quantity, value) and quantity.start - last_degrees > 3:
                last_degrees = quantity.end
                yield temperature(reading, quantity, 0.6)
                continue
            if thermometer and quantity.start - last_degrees > 3:
                last_degrees = quantity.end
                yield temperature(reading, quantity, 0.8)
                continue
            humid = reading.near("humid", quantity.start, 10, 5)
            if 5 <= value <= 100 and _on_humidity(reading.after(quantity.end, 4)):
                last_humidity = quantity.end
                yield humidity(reading, quantity, 0.8)
                continue
            if reading.word(quantity.start - 1) in ("hygrometer", "humidity") and 5 <= value <= 100:
                last_humidity = quantity.end
                yield humidity(reading, quantity, 0.8)
                continue
            before = reading.before(quantity.start, 5)
            if (
                humid
                and 5 <= value <= 100
                and any(
                    w in wordset("is at around about over under below only to says reads was above of")
                    for w in before[-2:]
                )
                and not _counted(reading, quantity)
            ):
                last_humidity = quantity.end
                yield humidity(reading, quantity, 0.8)
            elif (
                quantity.start - last_humidity < 26
                and here
                and 5 <= value <= 100
                and quantity.start - last_degrees > 26
            ):
                last_humidity = quantity.end
                yield humidity(reading, quantity, 0.75)
            elif (
                (
                    here
                    or (quantity.start - last_degrees < 16 and reading.in_clause("temp", quantity.start))
                    or (_keeps(reading, quantity) and quantity.start - last_degrees < 16)
                )
                and -20 < value < 120
                and not _counted(reading, quantity)
                and any(w in wordset("it's at about was is around hit to up more like only now") for w in before[-2:])
            ):
                last_degrees = quantity.end
                yield temperature(reading, quantity, 0.75)


def _of_room(reading: Reading, quantity: Quantity, value: float) -> bool:
    """ "shop's sixty three this morning", "the shop has cooled off to 79", "basement's cool, fifty five"."""
    before, after = reading.before(quantity.start, 7), reading.next(quantity.end)
    if not (46 <= value <= 110 or (reading.metric and 2 <= value <= 40)) or quantity.amount.value != int(value):
        return False
    named = [k for k, w in enumerate(before) if w.removesuffix("'s") in _ROOMS - {"place", "store", "room", "kiln"}]
    if not named or before[named[-1] - 1 : named[-1]] == ["in"] or after not in _THEN:
        return False
    since = before[named[-1] + 1 :]
    direct = before[named[-1]].endswith("'s") and len(since) <= 2
    return direct or any(w in _WARMTH for w in since) or since in (["is"], ["is", "at"], ["is", "about"])


def _on_humidity(after: list[str]) -> bool:
    """ "forty four on the humidity", "75 for humidity"."""
    damp = ("humidity", "hygrometer", "damp", "dampness")
    return after[:1] in (["on"], ["for"], ["of"]) and any(w in damp for w in after[1:3])


def _counted(reading: Reading, quantity: Quantity) -> bool:
    return reading.next(quantity.end) in wordset(
        "of bowls people pieces years minutes days coats inches grit rpm times o'clock"
    )


def _keeps(reading: Reading, quantity: Quantity) -> bool:
    before = reading.before(quantity.start, 5)
    return any(w in ("keep", "kept", "hold", "heater") for w in before)


def _room(reading: Reading, quantity: Quantity) -> bool:
    q, end = quantity.start, quantity.end
    after = reading.after(end, 6)
    before = reading.before(q, 8)
    if any(w in wordset("outside tonight out angle below bevel turn") for w in after[:2]) or (
        reading.before(q, 2)[-1:] == ["minus"] and "outside" in after
    ):
        return False
    if any(
        w
        in wordset(
            "angle cut bevel tilt tilted oven stove grind fever turned forecast outside rotate ground table "
            "grinder jig kettle temperature-of iron glue"
        )
        for w in (*before[-6:], *after[:3])
    ):
        inside = any(w in _ROOMS or w == "here" for w in after[:4])
        if not inside:
            return False
    if after[:1] == ["here"] or any(w.removesuffix("'s") in _ROOMS - {"place"} for w in (*before[-3:], *after[:4])):
        return True
    if reading.near("inside", q, 12, 6) or (reading.near("temp", q, 6, 1) and _now(before)):
        return True
    return (quantity.unit in ("degF", "degC") and reading.near("inside", q, 20, 8)) or (
        any(w in ("it's", "heater", "thermometer") for w in before) and not reading.beside("outside", q, 8, 8)
    )


def _now(before: list[str]) -> bool:
    return any(w in wordset("it's is at we're about usually to says reads was a") for w in before)


def temperature(reading: Reading, quantity: Quantity, score: float) -> Candidate:
    """A number that is known to be degrees of the shop."""
    value, low, high = quantity.read("value")
    unit = quantity.unit
    top = value if value is not None else high
    sign = 1.0
    if reading.previous(quantity.start) in ("minus", "negative"):
        sign = -1.0
    if unit not in ("degF", "degC"):
        celsius = (top or 0) <= (45 if reading.metric else _COLD)
        unit = "degC" if celsius else "degF"
    value, low, high = (None if v is None else v * sign for v in (value, low, high))
    return numbered("temperature", quantity, (value, low, high), unit, score=score, attrs=_place(reading, quantity))


def _humid(reading: Reading, quantity: Quantity, last: int) -> bool:
    q, end = quantity.start, quantity.end
    if reading.next(end) in ("humidity", "relative", "rh"):
        return True
    if reading.near("meter", q, 5, 5) and not reading.near("humid", q, 5, 4):
        return False
    if reading.near("humid", q, 12, 6):
        return True
    return q - last < 20 and reading.says(end, "in here")


def humidity(reading: Reading, quantity: Quantity, score: float) -> Candidate:
    """A number that is known to be the humidity of the shop."""
    attrs = _place(reading, quantity)
    return numbered("humidity", quantity, quantity.read("value"), "%", score=score + 0.04, attrs=attrs)


def _place(reading: Reading, quantity: Quantity) -> dict[str, object]:
    low, high = reading.clauses.sentence(quantity.start)
    near = [
        (abs(k - quantity.start), reading.text[k])
        for k in range(max(low, quantity.start - 12), min(high, quantity.end + 8))
        if reading.text[k] in _ROOMS - {"place"}
    ]
    return {"where": min(near)[1]} if near else {}
