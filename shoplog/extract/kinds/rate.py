"""``speed`` and ``grit``: the two that share their numbers, told apart by what is being talked about."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from shoplog.extract.quantities import Quantity
from shoplog.extract.reading import Candidate, Reading
from shoplog.extract.stream import COMMA, PAUSE

GRITS = frozenset((24, 36, 40, 50, 60, 70, 80, 100, 120, 150, 180, 200, 220, 240, 280, 320, 360, 400, 500, 600, 700, 800, 1000, 1200, 1500, 1800, 2000, 2400, 2500, 3000, 3200, 3600, 4000, 5000, 6000, 8000, 10000, 12000))
#: What may follow a number that stands alone; anything else is taken for the thing that is counted.
_FREE = frozenset(
    "and then but so or to with on for at in now because if when where which it's it i'm i i've i'll that that's the this "
    "is was all up down through as while until before again today here just maybe forward reverse backwards after instead "
    "from nothing no not there's we're we let's you they by my a an even feels sounds looks seems since once only though "
    "too still already right okay ok uh um well or-so ish thereabouts easy max tops roughly about over under at-least first "
    "next finally done afterwards did does do runs running smooth into off out every than plus we've i'd also usually "
    "always again: dry wet by-hand they're let's what grit really pretty and-then would will could might should can has "
    "gets got goes works cause".split()
)
_COUNTED_BEFORE = frozenset("$ # £ € number no. box street route channel episode video room page highway interstate model volume chapter level day part size in since of weighs years".split())
_HOLDERS = {"disc": "disc", "disk": "disc", "discs": "disc", "disks": "disc", "paper": "paper", "papers": "paper", "sandpaper": "paper", "pad": "pad", "pads": "pad", "mesh": "mesh", "sponge": "sponge", "sponges": "sponge", "cloth": "cloth", "belt": "belt", "screen": "screen", "strip": "strip", "strips": "strip"}
_SPEED_VERBS = frozenset("bumped bump crank cranked slow slowed drop dropped turned turn taken take took brought bring running run runs spinning spin going starting start started set kicked knock knocked back up down sitting holding spun speed".split())


def candidates(reading: Reading) -> Iterator[Candidate]:
    """Speeds and grits, each number judged by its neighbourhood and by what the last such number was."""
    last_kind, last_at = "", -1000
    chain_from = -1
    for index, quantity in enumerate(reading.quantities):
        kind, score = _judge(reading, index, quantity, last_kind, last_at)
        if not kind:
            if last_kind == "grit":
                pass
            continue
        last_kind, last_at = kind, quantity.end
        chain_from = quantity.start if chain_from < 0 else chain_from
        yield from _facts(reading, quantity, kind, score)
    yield from _directions(reading)


def _facts(reading: Reading, quantity: Quantity, kind: str, score: float) -> Iterator[Candidate]:
    value, low, high = quantity.read("count")
    unit = "rpm" if kind == "speed" else "grit"
    attrs: dict[str, object] = {}
    if kind == "speed":
        direction = _direction(reading, quantity)
        if direction:
            attrs["direction"] = direction
        if quantity.link in ("to", "or", "maybe", "and", "-", "through", "up to") and low is not None and quantity.link == "to" and _went(reading, quantity) :
            yield from _two(quantity, "speed", unit, attrs, score, low, high)
            return
    else:
        holder = _holder(reading, quantity)
        if holder:
            attrs["holder"] = holder
        if quantity.link in ("or",) and low is not None:
            pass
    yield Candidate(kind, quantity.start, quantity.end, None, value, low, high, unit, quantity.approx, attrs=attrs, score=score, quantity=quantity.start, anchor=quantity.start)  # type: ignore[arg-type]


def _two(quantity: Quantity, kind: str, unit: str, attrs: dict[str, object], score: float, low: float | None, high: float | None) -> Iterator[Candidate]:
    first = Candidate(kind, quantity.start, quantity.amount.end, None, low, None, None, unit, quantity.approx, attrs=attrs, score=score, quantity=quantity.start, anchor=quantity.start)  # type: ignore[arg-type]
    yield first
    assert quantity.upper is not None
    yield replace(first, start=quantity.upper.start, end=quantity.end, value=high, quantity=quantity.upper.start, anchor=quantity.upper.start)


def _went(reading: Reading, quantity: Quantity) -> bool:
    """ "went from 600 to 900": both were so."""
    before = reading.before(quantity.start, 5)
    return "from" in before and any(w in ("went", "gone", "bumped", "took", "taken", "brought", "dropped", "came", "raised", "moved") for w in before)


def _judge(reading: Reading, index: int, quantity: Quantity, last_kind: str, last_at: int) -> tuple[str, float]:
    if quantity.unit == "rpm":
        return "speed", 0.97
    if quantity.unit == "grit":
        if reading.text[quantity.unit_at] == "great" and quantity.read("count")[0] not in GRITS and quantity.upper is None:
            return "", 0.0
        if reading.text[quantity.unit_at] == "grid":
            return ("grit", 0.9) if quantity.read("count")[0] in GRITS else ("", 0.0)
        return "grit", 0.97
    if quantity.unit is not None or quantity.implied:
        return "", 0.0
    value, low, high = quantity.read("count")
    numbers = [v for v in (value, low, high) if v is not None]
    top = max(numbers)
    if min(numbers) < 24 or top > 12_000 or top != int(top):
        return "", 0.0
    q, end = quantity.start, quantity.end
    before = reading.before(q, 8)
    last = before[-1] if before else ""
    nearby = before[-2:]
    if last in _COUNTED_BEFORE and not (last == "no" and reading.border[q] >= COMMA) or (last == "of" and nearby[:1] != ["speed"]) or any(w in ("$", "#", "£", "€", "number", "box", "route", "channel", "episode", "video") for w in before[-3:]):
        return "", 0.0
    after = reading.next(end)
    if after in ("$", "%", "'", "st", "nd", "rd", "th") or (after == "s" and reading.stream.word[end] == reading.stream.word[end - 1]):
        return "", 0.0
    speed = grit = 0.0
    standard = all(v in GRITS for v in numbers)
    low_clause, high_clause = reading.clauses.clause(q)
    # What follows: a counted thing rules both out.
    if after and after not in _FREE and not (after in _HOLDERS or reading.next(end) in ("disc",)):
        follow_quantity = bool(reading.numbers(end, end + 1))
        if not follow_quantity:
            speed -= 4
            grit -= 4
    if after == "of":
        return "", 0.0
    previous = reading.quantities[index - 1] if index else None
    linked_back = previous is not None and _linked(reading, previous.end, q)
    following = reading.quantities[index + 1] if index + 1 < len(reading.quantities) else None
    linked_on = following is not None and _linked(reading, end, following.start)
    # ---- grit
    if standard:
        grit += 1
        gap = reading.gap("sand", q)
        if reading.in_clause("sand", q):
            grit += 2.5
        elif gap < 30 or reading.near("sand", q, 1, 6):
            grit += 1.8
        elif gap < 90:
            grit += 0.8
        if after in _HOLDERS or last in ("grit",):
            grit += 3
        if last_kind == "grit":
            grit += 2.2 if q - last_at < 6 and linked_back else 1.2 if q - last_at < 40 else 0.6 if q - last_at < 160 else 0.0
        if linked_on and following is not None and (following.unit == "grit" or (_standard(following) and following.unit is None)):
            grit += 1.2 if following.unit is None else 3
            third = reading.quantities[index + 2] if index + 2 < len(reading.quantities) else None
            if third is not None and _linked(reading, following.end, third.start) and _standard(third) and third.unit in (None, "grit"):
                grit += 1.5
        if linked_back and previous is not None and previous.unit is None and _standard(previous) and last_kind == "grit":
            grit += 1
        if quantity.link in ("through", "up to", "to"):
            grit += 1
        if last in ("through", "with", "past", "to", "from", "at", "then", "then-a", "by", "with-a") or nearby in (["up", "to"],):
            grit += 0.5
        if any(w in ("stop", "stopped", "finish", "finished", "finishing", "stopping", "skip", "skipped", "jump", "jumped") for w in before[-4:]):
            grit += 1
    # ---- speed
    if top >= 50 and top <= 6000 and (top % 10 == 0 or top % 25 == 0):
        if reading.in_clause("speed", q):
            speed += 3
        if reading.in_clause("lathe", q):
            speed += 2.5
        elif reading.gap("lathe", q) < 20:
            speed += 0.8
        if reading.near("speed", q, 12, 8):
            speed += 0.8
        if last == "at" or nearby in (["at", "about"], ["at", "around"], ["at", "roughly"], ["at", "maybe"], ["around", "at"], ["at", "a"]) or "at" in before[-3:]:
            speed += 1.3
        if nearby in (["up", "to"], ["down", "to"], ["back", "to"]) or before[-3:-1] in (["up", "to"], ["down", "to"], ["back", "to"]):
            speed += 1.2
        if reading.in_clause("spin", q):
            speed += 1
        if any(w in _SPEED_VERBS for w in before[-5:]):
            speed += 0.7
        if last_kind == "speed":
            speed += 1.6 if q - last_at < 25 else 0.9 if q - last_at < 60 else 0.5
        if any(w in ("reverse", "forward", "backwards") for w in reading.words(q - 4, end + 4)):
            speed += 1
        if not standard:
            speed += 0.6
        if quantity.amount.parts is not None and reading.text[q].isalpha() or top in (900, 1100, 1300, 1400, 1600, 1700, 1900, 2100, 2200, 2300, 450, 350, 550, 650, 750, 850, 950):
            speed += 0.6
        if last in ("over", "past", "above", "under", "below", "faster") or "than" in nearby:
            speed += 0.5
        if before[-2:] == ["i'm", "at"] or before[-2:] == ["we're", "at"] or before[-2:] == ["it's", "at"]:
            speed += 1
    # Not the lathe, not the paper.
    if reading.near("outside", q, 10, 6) and not reading.in_clause("lathe", q):
        speed -= 2.5
        grit -= 1
    if reading.near("people", q, 8, 8) and not (reading.in_clause("lathe", q) or reading.in_clause("sand", q) or reading.in_clause("speed", q)):
        speed -= 1.5
        grit -= 1
    if any(w in ("dollars", "bucks", "pounds", "subscribers", "people", "miles", "paid", "cost", "heart", "heart's") for w in reading.words(q - 6, end + 4)):
        speed -= 3
        grit -= 3
    if quantity.amount.time and last in ("until", "till", "by", "since", "school"):
        speed -= 2
    kind, score = ("grit", grit) if grit >= speed and standard else ("speed", speed)
    if grit == speed and standard:
        kind = "grit" if last != "at" else "speed"
    if score < 2.6:
        return "", 0.0
    return kind, min(0.95, 0.6 + 0.07 * score)


def _standard(quantity: Quantity) -> bool:
    return all(v in GRITS for v in quantity.read("count") if v is not None)


def _linked(reading: Reading, end: int, start: int) -> bool:
    """Whether two numbers stand in one list."""
    if not 0 <= start - end <= 3:
        return False
    if any(reading.border[k] >= PAUSE for k in range(end, min(start + 1, reading.n))):
        return False
    return all(w in ("and", "then", "to", "or", "through", "grit", "up", "followed", "by", "next", "a", "on", "finally", "&", "great") for w in reading.text[end:start])


def _holder(reading: Reading, quantity: Quantity) -> str | None:
    low, high = reading.clauses.clause(quantity.start)
    for k in (*range(quantity.end, min(high, quantity.end + 10)), *range(quantity.start - 1, low - 1, -1)):
        if (holder := _HOLDERS.get(reading.text[k])) is not None and reading.text[k + 1 : k + 2] != ["towel"]:
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
    for i, word in enumerate(reading.text):
        if word not in ("reverse", "forward"):
            continue
        before, after = reading.previous(i), reading.next(i + 1)
        if word == "reverse" and not (before in ("in", "into", "to", "and", "then") or reading.in_clause("lathe", i) and before in ("the", "running")):
            continue
        if word == "forward" and (before in ("look", "looking", "fast", "lean", "leaning", "step", "move", "slide", "straight", "way", "moving", "put", "come", "go", "going") or after in ("to", "from", "thinking", "with") and before not in ("running", "in")):
            continue
        if not (reading.near("sand", i, 14, 6) or reading.near("lathe", i, 8, 6) or reading.in_clause("spin", i)):
            continue
        low, high = reading.clauses.clause(i)
        if after in ("chuck", "turn", "turned", "mount", "mounted", "threads", "gear") or any(q.unit == "rpm" or (q.unit is None and q.read("count")[0] or 0) >= 100 and q.read("count")[0] not in GRITS for q in reading.numbers(max(low, i - 8), min(high, i + 8))):
            continue
        if any(_close_speed(reading, q, i) for q in reading.numbers(max(0, i - 8), i + 8)):
            continue
        yield Candidate("speed", i, i + 1, attrs={"direction": word}, score=0.75)


def _close_speed(reading: Reading, quantity: Quantity, i: int) -> bool:
    """A speed right beside the direction takes it."""
    return quantity.unit in ("rpm", None) and (quantity.read("count")[0] or 0) >= 50 and reading.text[quantity.start - 1 : quantity.start] in (["at"], ["about"], ["to"], ["around"]) and abs(quantity.start - i) <= 7
