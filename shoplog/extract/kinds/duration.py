"""``duration``: how long something was left, took, or must wait."""

from __future__ import annotations

from collections.abc import Iterator

from shoplog.extract.quantities import TIME, Quantity
from shoplog.extract.reading import Candidate, Reading, numbered
from shoplog.extract.wordset import wordset
from shoplog.facts import Status

_PROCESSES = wordset("clamp clamps dry drying soak cure curing boil season set harden")


def candidates(reading: Reading) -> Iterator[Candidate]:
    """Waits and elapsed times of the work; not ages, not what the speaker's own life took."""
    last_of: dict[str, object] = {}
    last_at = -1000
    last_unit = ""
    for quantity in reading.quantities:
        if quantity.unit in TIME:
            score = _score(reading, quantity)
            if score < 0.4:
                continue
        elif quantity.unit is None and quantity.start - last_at < 18 and last_unit and _elliptic(reading, quantity):
            score = 0.65
        elif unsaid(reading, quantity):
            score = 0.6
        else:
            continue
        near = quantity.start - last_at < 18
        unit = quantity.unit or (last_unit if near else "") or unsaid(reading, quantity) or ""
        if (
            quantity.unit == "s"
            and quantity.amount.size is not None
            and quantity.amount.size < 1
            and not reading.in_clause("wait", quantity.start)
        ):
            continue
        attrs = _of(reading, quantity)
        if quantity.unit is None and not attrs and last_of:
            attrs = dict(last_of)
        last_of, last_at, last_unit = attrs, quantity.end, unit
        status = _status(reading, quantity)
        yield numbered("duration", quantity, quantity.read("value"), unit, score=score, attrs=attrs, status=status)


def unsaid(reading: Reading, quantity: Quantity) -> str | None:
    """The unit of a wait that is told without one: "count to twenty" are seconds, "wipe it after fifteen" minutes."""
    value = quantity.amount.value
    if quantity.unit is not None or quantity.upper is not None or not quantity.amount.bare or value != int(value):
        return None
    before, after = reading.before(quantity.start, 4), reading.next(quantity.end)
    if after and after not in _THEN:
        return None
    if before[-1:] in (["count"], ["counting"]) or before[-2:] in (["count", "to"], ["counting", "to"]):
        return "s" if 5 <= value <= 120 else None
    wiped = any(w in ("wipe", "wiped", "buff", "leave", "left", "flood") for w in before) and before[-1] in _LEFT
    return "min" if wiped and 3 <= value <= 60 and reading.near("coat", quantity.start, 25, 10) else None


_THEN = wordset("and then so before wipe or but now maybe tops don't in for wiped")
_LEFT = wordset("after it about another them in")


def stated(reading: Reading, quantity: Quantity, unit: str, score: float) -> Candidate:
    """A number that is known to be a wait or an elapsed time."""
    attrs, status = _of(reading, quantity), _status(reading, quantity)
    return numbered("duration", quantity, quantity.read("value"), unit, score=score, attrs=attrs, status=status)


def _elliptic(reading: Reading, quantity: Quantity) -> bool:
    """ "The can says two to three", "I need to get it to eight": the unit was just said."""
    before = reading.before(quantity.start, 4)
    after = reading.next(quantity.end)
    if quantity.amount.value > 120 or quantity.amount.value < 1 or not quantity.amount.bare:
        return False
    return (
        before[-1:] in (["says"], ["said"])
        or before[-3:] == ["get", "it", "to"]
        or before[-2:] == ["it", "to"]
        or before[-2:]
        in (["gave", "it"], ["give", "it"], ["left", "it"], ["leave", "it"], ["make", "it"], ["call", "it"])
        or before[-1:] in (["waited"], ["wait"], ["reckons"], ["claims"])
        or (before[-1:] == ["after"] and before[-2:-1] in (["it"], ["them"], ["mine"], ["again"]))
        or before[-2:] in (["i", "say"], ["gonna", "say"], ["i'd", "say"], ["let", "it"], ["it", "in"], ["which", "is"])
        or before[-3:] in (["i", "let", "it"], ["let", "it", "go"], ["it", "another"])
        or (before[-1:] in (["says"], ["say"]) and reading.beside("people", quantity.start, 4, 1))
    ) and after not in ("percent", "inch", "coats", "of", "grit")


def _score(reading: Reading, quantity: Quantity) -> float:
    q, end = quantity.start, quantity.end
    text = reading.text
    before, after = reading.before(q, 8), reading.after(end, 6)
    last, nxt = (before[-1] if before else ""), (after[0] if after else "")
    unit_word = text[quantity.unit_at]
    if nxt == "later" and quantity.unit in ("s", "min", "h"):
        return 0.7
    if _over(text[quantity.end - 1], after) or (nxt in ("it's", "they've", "she's") and after[1:2] == ["had"]):
        return 0.75
    if nxt == "ago" and last in _WEEKDAYS:
        return 0.0  # "Friday a week ago" is a day
    if nxt in ("older", "younger", "straight", "old", "senior") or _lifelong(reading, quantity, before):
        return 0.0
    if quantity.unit in ("s", "min") and before[-2:] in (["give", "me"], ["give", "us"]):
        return 0.0
    if (
        nxt in wordset("later old on of from and-a-half into")
        and not (
            nxt == "of"
            and after[1:2]
            in (["drying"], ["waiting"], ["soaking"], ["sanding"], ["clamp"], ["cure"], ["hand"], ["pressure"])
        )
        and not (nxt == "on" and after[1:2] in (["the"], ["a"], ["my"], ["each"]))
    ):
        return 0.0
    if unit_word == "second" and last == "the" and quantity.amount.value in (20, 30):
        return 0.0  # a day of the month
    if unit_word == "second" and nxt in ("coat", "one", "pass", "time", "hand", "crack"):
        return 0.0
    if quantity.implied:
        # "a minute", "a day" are figures of speech unless something waits.
        if last in ("give", "gimme") or before[-2:] in (
            ["give", "me"],
            ["give", "us"],
            ["hang", "on"],
            ["for", "just"],
            ["got", "a"],
            ["once", "in"],
            ["of", "the"],
            ["at", "the"],
        ):
            return 0.0
        if last in wordset("of this that the every each per some all what in got"):
            return 0.0
        if nxt == "ago" or (after[:2] == ["or", "two"] and unit_word == "second"):
            return 0.0 if unit_word in ("minute", "second") else 0.4
    if last == "every" or before[-2:-1] == ["every"]:
        return 0.0
    if reading.says(end, "ago") or reading.says(end, "back"):
        return (
            0.8
            if reading.near("work", q, 6, 3)
            or (
                any(
                    w in wordset("sharpened honed glued cut felled turned roughed sealed oiled came milled")
                    for w in before
                )
                and not any(w in ("bought", "started") for w in before)
            )
            else 0.0
        )
    if nxt == "long" and any(w in ("video", "movie", "it's") for w in before):
        return 0.0
    score = 0.0 if quantity.implied else 0.3
    low, high = reading.clauses.clause(q)
    if reading.in_clause("wait", q):
        score += 0.7
    elif reading.near("wait", q, 10, 8):
        score += 0.5
    if reading.near("glueish", q, 10, 6) or reading.near("coat", q, 10, 6):
        score += 0.2
    if after[:2] in (["after", "each"], ["without", "touching"], ["with", "nobody"], ["before", "touching"]) or nxt in (
        "untouched",
        "undisturbed",
        "minimum",
        "alone",
    ):
        score += 0.5
    if any(w in ("took", "takes", "taking", "spent", "take", "lasted", "lasts") for w in before[-5:]):
        score += 0.55
    low_clause = text[low : low + 4]
    if "been" in low_clause and any(w in ("that's", "it's") for w in low_clause):
        score += 0.7
    if (
        before[-2:] == ["it's", "been"]
        or before[-2:] == ["that's", "been"]
        or ("been" in before[-4:] and any(w in ("that's", "it's", "has", "that") for w in before))
    ):
        score += 0.3
    if any(w in wordset("for after about another at least over under between") for w in before[-3:]):
        score += 0.1
    if reading.statuses.at(q, q + 1) == "reported":
        score += 0.35
    if any(w in ("had", "has", "have", "it's") for w in before[-3:]) and "had" in before[-4:]:
        score += 0.3
    if nxt in ("each", "apiece", "per", "up", "done") or text[quantity.end - 1].endswith("'s"):
        score += 0.5
    if nxt in ("between", "apart", "in") or after[:2] in (["in", "between"],):
        score += 0.4
    if reading.in_clause("wood", q):
        score += 0.1
    if quantity.unit in ("day", "week", "month", "year") and _lay(before, after):
        score += 0.55
    clause = text[low:high]
    if (reading.in_clause("wait", q) and reading.text[low] in ("i'll", "let", "leave", "give")) or any(
        w in ("let", "leave", "clamp", "hold", "wait") for w in before
    ):
        score += 0.3
    expected = wordset("be it'll take takes at least says wait")
    if nxt == "before" and any(w in expected for w in before[-4:]):
        score += 0.3
    people = reading.beside("people", q, 7, 7)
    if people:
        score -= 0.5
    if (
        any(w in wordset("i've he's she's they've we've he she they") for w in clause[:3])
        and any(w in wordset("been married doing lived worked known wanted had") for w in clause[:6])
        and not any(w in ("drying", "sitting", "it", "soaking", "wood", "this") for w in clause)
    ):
        score -= 0.6
    if nxt == "of" and after[1:2] not in (["hand"], ["drying"], ["clamp"], ["pressure"], ["soaking"], ["sanding"]):
        score -= 0.6
    if any(w in ("see", "back", "ready", "birthday", "video", "married") for w in before[-4:]) and any(
        w in ("you", "in", "next") for w in before[-3:]
    ):
        score -= 0.6
    return min(score, 0.93)


#: How a wait is said to have ended, right after its length.
_ENDED = (("up",), ("is", "up"), ("are", "up"), ("went", "by"), ("gone", "by"), ("has", "passed"), ("have", "passed"),
          ("passed",), ("have", "gone"), ("has", "gone"), ("was", "up"), ("were", "up"))  # fmt: skip


def _over(last: str, after: list[str]) -> bool:
    """ "half an hour's up", "the two days have gone by"."""
    if last.endswith("'s") and after[:1] in (["up"], ["gone"], ["passed"]):
        return True
    return any(tuple(after[: len(words)]) == words for words in _ENDED) and after[:2] != ["up", "to"]


_LAIN = wordset(
    "stood lain laid lying laying sat sitting standing stored hung hanging buried stacked stickered kept left leaning "
    "soaked soaking wintered"
)
_PLACED = wordset("in under on out behind up inside outside beneath below above against down")


def _lay(before: list[str], after: list[str]) -> bool:
    """Whether something lay somewhere for that long: "forty years in the loft", "it's stood out back for two years"."""
    place = (
        after[:1] and after[0] in _PLACED and after[1:2] and after[1] in ("the", "a", "my", "our", "his", "her", "out")
    )
    return bool(place) or any(w in _LAIN for w in (*before[-6:], *after[:4]))


_WEEKDAYS = wordset("monday tuesday wednesday thursday friday saturday sunday")
#: What people do for years that is no wait of the work.
_LIFELONG = wordset(
    "saying telling doing asking promising complaining teaching turning selling making living working coming going "
    "watching"
)


def _lifelong(reading: Reading, quantity: Quantity, before: list[str]) -> bool:
    """ "she's been saying it for thirty years"."""
    if quantity.unit not in ("year", "month") or "for" not in before[-3:]:
        return False
    clause = reading.text[reading.clauses.clause(quantity.start)[0] : quantity.start]
    return "been" in clause and any(w in _LIFELONG for w in clause)


def _status(reading: Reading, quantity: Quantity) -> Status | None:
    """A wait is planned until it is over."""
    status = reading.statuses.at(quantity.start, quantity.start + 1)
    low, high = reading.clauses.sentence(quantity.start)
    waits = reading.statuses.waits(quantity.start)
    if status == "done" and _thought(reading, quantity):
        return "planned"
    if status == "done" and low and not waits and high - low <= quantity.end - quantity.start + 3:
        # "Going to leave that till after supper. Ten hours or so."
        status = reading.statuses.at(low - 1, low)
        return status if status in ("planned", "habit", "reported") else None
    if status == "done" and reading.statuses.waits(quantity.start):
        low, _ = reading.clauses.clause(quantity.start)
        if not any(w in wordset("gave left waited been was had sat i've") for w in reading.text[low : quantity.start]):
            return "planned"
    return None


def _thought(reading: Reading, quantity: Quantity) -> bool:
    """ "call it two hours", "six to eight months is what I'm thinking"."""
    before, after = reading.before(quantity.start, 3), reading.after(quantity.end, 5)
    return (
        any(w in ("timer", "timer's", "alarm's") for w in reading.before(quantity.start, 6))
        or before[-2:] in (["call", "it"], ["say", "about"], ["figure", "on"], ["reckon", "on"], ["allow", "it"])
        or after[:4] in (["is", "what", "i'm", "thinking"], ["is", "what", "i", "reckon"], ["is", "the", "plan", "for"])
        or after[:3] in (["is", "the", "plan"], ["should", "do", "it"], ["ought", "to", "do"], ["ought", "to", "be"])
    )


def _of(reading: Reading, quantity: Quantity) -> dict[str, object]:
    """What it is the time of, in words of the line."""
    end = quantity.end
    after = reading.after(end, 7)
    clause_low, clause_high = reading.clauses.clause(quantity.start)
    clause = reading.text[max(clause_low, quantity.start - 14) : min(clause_high, end + 8)]
    if "between" in clause and "coats" in clause:
        return {"of": "between coats"}
    if after[:1] == ["to"] and len(after) > 1:
        words = []
        for word in after[1:3]:
            if word in ("the", "a", "me", "get", "be"):
                break
            words.append(word)
            if word in ("dry", "cure", "set", "harden", "soak"):
                break
        if words:
            return {"of": " ".join(words)}
    place = _place(reading, quantity, after, clause)
    if place:
        return {"of": place}
    for word in clause:
        if word in _PROCESSES:
            return {"of": word}
    return {}


def _place(reading: Reading, quantity: Quantity, after: list[str], clause: list[str]) -> str | None:
    """Where the wood waited: "in the bag", "on a shelf"."""
    for words in (after, clause):
        for k, word in enumerate(words[:-1]):
            if word in ("in", "on", "under") and words[k + 1] in ("the", "a", "my", "its"):
                noun = words[k + 2 : k + 3]
                if noun and noun[0] in wordset(
                    "bag loft shelf freezer kiln box shed field rack attic garage clamps barn basement drawer "
                    "closet paper shop cupboard"
                ):
                    return f"{word} {words[k + 1]} {noun[0]}"
    return None
