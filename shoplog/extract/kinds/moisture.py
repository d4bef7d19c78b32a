"""``moisture``: what the meter reads, what the wood is at."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from shoplog.extract.quantities import Quantity
from shoplog.extract.reading import Candidate, Reading, numbered
from shoplog.extract.stream import PAUSE, SENTENCE
from shoplog.extract.wordset import wordset

_METHODS = ("pin meter", "pinless meter", "moisture meter", "pinless", "oven", "meter")


#: What stands before a reading of which the percent was said a little earlier, and what may follow it.
_TOLD = wordset("says said reads read showing shows got get it's was it'd at under over below now around about he's")
_AFTERWARDS = wordset(
    "at on in near by and but so when now today then here there inside outside which that's it's we're before after i"
)


def candidates(reading: Reading) -> Iterator[Candidate]:
    """Percentages of the wood, and the bare numbers that a meter reads or that follow in a row."""
    last_end, _last_score = -1000, 0.0
    for index, quantity in enumerate(reading.quantities):
        if quantity.unit == "%":
            score = _percent(reading, quantity, last_end)
        elif quantity.unit is None and not quantity.implied:
            score = _bare(reading, index, quantity, last_end)
        else:
            continue
        if score < 0.45:
            continue
        last_end, _last_score = quantity.end, score
        yield from stated(reading, quantity, score)


def stated(reading: Reading, quantity: Quantity, score: float) -> Iterator[Candidate]:
    """A number that is known to be a moisture; two where it went from one to another."""
    attrs = _attrs(reading, quantity)
    first = numbered("moisture", quantity, quantity.read("value"), "%", score=score, attrs=attrs)
    before = reading.before(quantity.start, 6)
    if (
        quantity.upper is not None
        and quantity.link == "to"
        and "from" in before[-2:]
        and any(w in wordset("went gone dropped came down lost fell gained") for w in before)
    ):
        yield replace(first, end=quantity.amount.end, value=quantity.amount.value, low=None, high=None)
        yield replace(
            first,
            start=quantity.upper.start,
            value=quantity.upper.value,
            low=None,
            high=None,
            quantity=quantity.upper.start,
        )
    elif (
        quantity.amount.parts is not None
        and quantity.amount.end - quantity.amount.start == 2
        and quantity.upper is None
    ):
        a = quantity.amount
        assert a.parts is not None
        for k, part in enumerate(a.parts):
            yield replace(first, start=a.start + k, end=a.start + k + 1, value=float(part), quantity=a.start + k)
    else:
        yield first


def _percent(reading: Reading, quantity: Quantity, last_end: int) -> float:
    q, end = quantity.start, quantity.end
    if reading.next(end) in wordset("of humidity relative off discount battery ham sure chance alcohol grade"):
        return 0.0
    if reading.near("humid", q, 8, 6) and not reading.near("meter", q, 6, 6):
        return 0.0
    value = quantity.read("value")[0] or quantity.read("value")[2] or 0
    score = 0.25 if 4 <= value <= 60 else 0.0
    if reading.near("meter", q, 14, 8):
        score += 0.75
    elif reading.near("moist", q, 16, 10):
        score += 0.6
    elif reading.gap("meter", q) < 45 or reading.gap("moist", q) < 45:
        score += 0.35
    if q - last_end < 25:
        score += 0.35
    if reading.in_sentence("wood", q):
        score += 0.2
    before = reading.before(q, 6)
    if any(
        w in wordset("at it's reads reading read says got is was under below around came to from with like between in")
        for w in before[-3:]
    ):
        score += 0.2
    if any(
        reading.says(
            k, "went in at", "came in at", "come out at", "came out at", "coming in at", "started at", "started out at"
        )
        for k in range(q - 4, q)
    ):
        score += 0.45
    elif any(w in wordset("it it's they're they she's this that") for w in before) and any(
        reading.says(
            k,
            "came in at",
            "is at",
            "down at",
            "down to",
            "was at",
            "it's at",
            "up at",
            "sitting at",
            "be at",
            "went in at",
            "out at",
            "come out at",
            "in at",
        )
        for k in range(q - 4, q)
    ):
        score += 0.35
    if reading.beside("battery", q, 7, 7) and not reading.near("meter", q, 6, 6):
        score -= 0.8
    if reading.beside("people", q, 6, 6) and not reading.near("meter", q, 8, 8):
        score -= 0.3
    if value > 100 and not reading.near("moist", q, 12, 8):
        score -= 0.5
    return min(score, 0.95)


def _bare(reading: Reading, index: int, quantity: Quantity, last_end: int) -> float:
    """A number without its percent: after the meter's "says", or in a row with one that has it."""
    value, _low, high = quantity.read("value")
    top = value if value is not None else high
    if quantity.amount.parts is not None and quantity.upper is None:
        if quantity.amount.size is None or "." in reading.text[quantity.start]:
            return 0.0
        top = max(quantity.amount.parts)
    if top is None or not 3 <= top <= 120:
        return 0.0
    q, end = quantity.start, quantity.end
    before, after = reading.before(q, 8), reading.next(end)
    last = before[-1] if before else ""
    if after in wordset("inch rpm grit coats places spots different times or more o'clock days of") and after != "or":
        return 0.0
    if reading.near("humid", q, 12, 4) or (reading.in_clause("temp", q) and reading.near("inside", q, 6, 6)):
        return 0.0
    if before[-2:] == ["reading", "of"] and top <= 60:
        return 0.65
    if last in ("reads", "reading") and top <= 60 and not reading.near("temp", q, 5, 3):
        return 0.65
    if last == "from" and q - last_end == 1:
        return 0.7
    if (
        quantity.unit is None
        and last_end > 0
        and q - last_end < 90
        and 5 <= top <= 60
        and before[-2:] in (["we're", "at"], ["it's", "at"], ["she's", "at"])
        and not reading.near("lathe", q, 10, 6)
    ):
        return 0.6
    following = reading.quantities[index + 1] if index + 1 < len(reading.quantities) else None
    placed = after in {"", *wordset("at on in near by further toward everywhere and")} or (after == "then")
    if q - last_end <= 14 and last_end > 0 and (placed or after in ("which", "so", "percent", "now", "with", "but")):
        between = reading.text[last_end:q]
        if (
            "and" in between
            or reading.border[q] > 0
            or q - last_end <= 2
            or any(w in ("and", "was", "is", "to", "then") for w in between)
        ) and not any(
            w in wordset("inch inches rpm at for grit pounds o'clock to") and w not in ("at",) for w in between[-2:]
        ):
            return 0.7
    if (
        reading.near("meter", q, 7, 6)
        and not any(w in ("places", "put") for w in before[-1:])
        and (
            any(
                w in wordset("says reads reading shows at got read is now saying showing moisture gives gave said")
                for w in before[-4:]
            )
            or (after in ("at", "with", "on") and reading.in_clause("meter", q))
        )
    ):
        return 0.72
    if (
        0 < q - last_end < 60
        and 5 <= top <= 60
        and last in _TOLD
        and (not after or after in _AFTERWARDS)
        and not any(reading.near(t, q, 8, 5) for t in ("lathe", "temp", "sand", "coat"))
    ):
        return 0.5
    if (
        following is not None
        and following.unit == "%"
        and following.start - end < 12
        and _reported_pair(reading, quantity, following)
    ):
        return 0.65
    if (
        following is not None
        and following.unit == "%"
        and following.start - end <= 2
        and reading.text[end : following.start] in (["to"], ["and"], ["down", "to"], ["then"])
    ):
        return 0.65
    if (
        following is not None
        and following.unit is None
        and following.start - end <= 2
        and reading.near("meter", q, 8, 12)
        and reading.in_sentence("meter", q)
        and top < 60
    ):
        return 0.6
    return 0.0


def _reported_pair(reading: Reading, quantity: Quantity, following: Quantity) -> bool:
    """ "the yard says 6 but they're reading 7 percent": one percent for both."""
    between = reading.text[quantity.end : following.start]
    if any(reading.border[k] >= SENTENCE for k in range(quantity.end, following.start)):
        return False
    return (
        reading.previous(quantity.start) in wordset("says said at was claimed is about from reads")
        and ("but" in between or "to" in between or "and" in between)
        and (quantity.amount.value <= 60)
    )


def _attrs(reading: Reading, quantity: Quantity) -> dict[str, object]:
    attrs: dict[str, object] = {}
    low, high = reading.clauses.sentence(quantity.start)
    window = " ".join(reading.text[max(low, quantity.start - 14) : min(high, quantity.end + 12)])
    for method in _METHODS:
        if method in window:
            attrs["method"] = method
            break
    where = _where(reading, quantity)
    if where:
        attrs["where"] = where
    return attrs


def _where(reading: Reading, quantity: Quantity) -> str | None:
    """The words of place right after the number: "at the rim", "near the outside", "further in"."""
    k = quantity.end
    words = reading.after(k, 5, PAUSE)
    if not words:
        return None
    if words[0] == "further" and words[1:2] in (["in"], ["out"]):
        return f"further {words[1]}"
    if words[0] in wordset("at in on near toward towards by through inside"):
        place: list[str] = []
        for word in words[1:]:
            if word in ("the", "my", "a"):
                continue
            if (
                word in wordset("and but so i it's then with now on in at average here i'm that this which to of")
                or word[0].isdecimal()
                or reading.numbers(k, k + 1)
            ):
                break
            place.append(word)
            if len(place) == 2 or word in wordset(
                "rim middle bottom top outside inside center centre base edge meter pith seat"
            ):
                break
        if place and place[-1] not in ("meter", "gauge", "places", "average", "reading", "stage"):
            return " ".join(place)
    return None
