"""``speed`` and ``grit``: the two that share their numbers, told apart by what is being talked about."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import replace

from shoplog.extract.kinds.rate_evidence import (
    ENDS,
    GRITS,
    HOLDERS,
    SHORTEST_GRIT,
    SHORTEST_SPEED,
    Memory,
    in_hundreds,
    judge,
    standard,
)
from shoplog.extract.quantities import Quantity
from shoplog.extract.reading import Candidate, Reading, numbered
from shoplog.extract.wordset import wordset
from shoplog.facts import Kind

#: Words for a direction of turning; "the other way" and "the wrong way round" by their "way".
_DIRECTIONS = {
    "reverse": "reverse", "backwards": "reverse", "backward": "reverse", "way": "reverse", "forward": "forward",
    "forwards": "forward",
}  # fmt: skip
_RAN = wordset("run running runs ran spin spins spinning spun goes going sand sanding lathe turning turns flip flipped")


def candidates(reading: Reading) -> Iterator[Candidate]:
    """Speeds and grits, each number judged by its neighbourhood and by what such numbers near it are."""
    memory = Memory()
    found: list[tuple[Quantity, Kind, float]] = []
    undecided: list[tuple[int, Quantity]] = []
    for index, quantity in enumerate(reading.quantities):
        kind, score = judge(reading, index, quantity, memory)
        if (
            kind == "speed"
            and score < 0.85
            and quantity.unit is None
            and standard(quantity)
            and not reading.in_clause("lathe", quantity.start)
            and not reading.in_clause("speed", quantity.start)
        ):
            undecided.append((index, quantity))
        if kind is None:
            kind, score = in_hundreds(reading, index, quantity, memory)
        if kind == "speed":
            memory.speed = quantity.end
        elif kind == "grit":
            memory.grit = quantity.end
        elif quantity.unit is None:
            undecided.append((index, quantity))
            continue
        if kind:
            found.append((quantity, kind, score))
    found = _second_look(reading, found, undecided)
    for quantity, kind, score in found:
        yield from stated(reading, quantity, kind, score)
    yield from _directions(reading)


def _second_look(
    reading: Reading, found: list[tuple[Quantity, Kind, float]], undecided: list[tuple[int, Quantity]]
) -> list[tuple[Quantity, Kind, float]]:
    """What follows tells what a number was: "I don't go past 150 ... so it's 100, 120, 150"."""
    grits = [q.start for q, kind, _ in found if kind == "grit"]
    speeds = [q.start for q, kind, _ in found if kind == "speed"]
    decided = {q.start: (q, kind, score) for q, kind, score in found}
    for index, quantity in undecided:
        at = quantity.start
        grit, speed = _next(grits, at), _next(speeds, at)
        kind: Kind | None = None
        verbs = ENDS | {"past", "go", "take", "going"}
        if grit - at < 45 and standard(quantity) and any(w in verbs for w in reading.before(at, 5)):
            kind, score = judge(reading, index, quantity, Memory(grit=at - 10))
            kind = kind if kind == "grit" else None
        elif speed - at < 14 and speed < reading.clauses.sentence(at)[1] and at not in decided:
            kind, score = judge(reading, index, quantity, Memory(speed=at - 10))
            kind = kind if kind == "speed" else None
        if kind is not None:
            decided[at] = (quantity, kind, score)
    return [decided[at] for at in sorted(decided)]


def _next(starts: list[int], at: int) -> int:
    """The first of the starts after ``at``, far away if there is none."""
    k = bisect_right(starts, at)
    return starts[k] if k < len(starts) else at + 10_000


def stated(reading: Reading, quantity: Quantity, kind: Kind, score: float) -> Iterator[Candidate]:
    """A number that is known to be a speed or a grit; two where a speed went from one to another."""
    value, low, high = quantity.read("count")
    if quantity.unit is None:
        scale = _scale(kind, max(v for v in (value, high, 0.0) if v is not None))
        value, low, high = (None if v is None else v * scale for v in (value, low, high))
    unit = "rpm" if kind == "speed" else "grit"
    attrs: dict[str, object] = {}
    if kind == "speed":
        direction = _direction(reading, quantity)
        if direction:
            attrs["direction"] = direction
        if quantity.link == "to" and _went(reading, quantity):
            yield from _two(quantity, "speed", unit, attrs, score, low, high)
            return
    else:
        holder = _holder(reading, quantity)
        if holder:
            attrs["holder"] = holder
    yield numbered(kind, quantity, (value, low, high), unit, score=score, attrs=attrs)


def _scale(kind: Kind, top: float) -> int:
    """What a number said short is of: "twelve" is twelve hundred turns, "two and a half" two and a half thousand."""
    if kind == "speed" and top <= SHORTEST_SPEED:
        return 1000 if top < 4 and top != int(top) else 100
    return 100 if kind == "grit" and top <= SHORTEST_GRIT and top * 100 in GRITS else 1


def _two(
    quantity: Quantity,
    kind: Kind,
    unit: str,
    attrs: dict[str, object],
    score: float,
    low: float | None,
    high: float | None,
) -> Iterator[Candidate]:
    first = Candidate(
        kind,
        quantity.start,
        quantity.amount.end,
        None,
        low,
        None,
        None,
        unit,
        quantity.approx,
        attrs=attrs,
        score=score,
        quantity=quantity.start,
        anchor=quantity.start,
    )
    yield first
    assert quantity.upper is not None
    yield replace(
        first,
        start=quantity.upper.start,
        end=quantity.end,
        value=high,
        quantity=quantity.upper.start,
        anchor=quantity.upper.start,
    )


def _went(reading: Reading, quantity: Quantity) -> bool:
    """ "went from 600 to 900": both were so."""
    before = reading.before(quantity.start, 5)
    return "from" in before and any(
        w in wordset("went gone bumped took taken brought dropped came raised moved") for w in before
    )


def _holder(reading: Reading, quantity: Quantity) -> str | None:
    low, high = reading.clauses.clause(quantity.start)
    for k in (*range(quantity.end, min(high, quantity.end + 10)), *range(quantity.start - 1, low - 1, -1)):
        if (holder := HOLDERS.get(reading.text[k])) is not None and reading.text[k + 1 : k + 2] != ["towel"]:
            return holder
    return None


def _direction(reading: Reading, quantity: Quantity) -> str | None:
    low, high = reading.clauses.clause(quantity.start)
    for k in range(max(low, quantity.start - 8), min(high, quantity.end + 6)):
        word = reading.text[k]
        if word in ("reverse", "backwards") and reading.text[k + 1 : k + 2] not in (["chuck"], ["turn"]):
            return "reverse"
        if word in ("forward", "forwards"):
            return "forward"
    return None


def _directions(reading: Reading) -> Iterator[Candidate]:
    """ "forward and then in reverse": a direction without a speed is a fact, in talk of the running lathe."""
    for i, said in enumerate(reading.text):
        word = _DIRECTIONS.get(said)
        if word is None:
            continue
        before, after = reading.previous(i), reading.next(i + 1)
        ran = any(w in _RAN for w in reading.before(i, 5))
        if said == "way":
            turned = reading.text[i - 2 : i] in (["the", "other"], ["the", "wrong"])
            spun = ran and not any(w in ("going", "goes") for w in reading.before(i, 5))
            if not turned or not (spun or reading.text[i + 1 : i + 2] == ["round"]):
                continue
        elif said in ("backwards", "backward"):
            if not ran or before in ("over", "bend", "bent", "bending", "lean", "leaning"):
                continue
        elif word == "reverse" and not (
            before in ("in", "into", "to", "and", "then")
            or (reading.in_clause("lathe", i) and before in ("the", "running"))
        ):
            continue
        if word == "forward" and (
            before in wordset("look looking fast lean leaning step move slide straight way moving put come go going")
            or (after in ("to", "from", "thinking", "with") and before not in ("running", "in"))
        ):
            continue
        far = 45 if ran or before in ("in", "into") else 14
        turning = reading.near("sand", i, far, 6) or reading.near("lathe", i, max(8, far - 10), 6)
        if not (turning or (said == "backwards" and ran) or reading.in_clause("spin", i)):
            continue
        low, high = reading.clauses.clause(i)
        if after in wordset("chuck turn turned mount mounted threads gear") or any(
            q.unit == "rpm"
            or (((q.unit is None and q.read("count")[0]) or 0) >= 100 and q.read("count")[0] not in GRITS)
            for q in reading.numbers(max(low, i - 8), min(high, i + 8))
        ):
            continue
        if any(_close_speed(reading, q, i) for q in reading.numbers(max(low, i - 8), min(high, i + 8))):
            continue
        yield Candidate("speed", i, i + 1, attrs={"direction": word}, score=0.75)


def _close_speed(reading: Reading, quantity: Quantity, i: int) -> bool:
    """A speed right beside the direction takes it."""
    return (
        quantity.unit in ("rpm", None)
        and (quantity.read("count")[0] or 0) >= 50
        and reading.text[quantity.start - 1 : quantity.start] in (["at"], ["about"], ["to"], ["around"])
        and abs(quantity.start - i) <= 7
    ) or (quantity.unit in ("rpm", None) and quantity.start - i in (1, 2) and (quantity.read("count")[0] or 0) >= 100)
