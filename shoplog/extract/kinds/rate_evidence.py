"""How much speaks for a bare number being a spindle speed, and how much for a grit."""

from __future__ import annotations

from dataclasses import dataclass

from shoplog.extract.quantities import Quantity
from shoplog.extract.reading import Reading
from shoplog.extract.stream import COMMA, PAUSE
from shoplog.extract.wordset import wordset
from shoplog.facts import Kind

GRITS = frozenset(
    (
        24,
        36,
        40,
        50,
        60,
        70,
        80,
        100,
        120,
        150,
        180,
        200,
        220,
        240,
        280,
        320,
        360,
        400,
        500,
        600,
        700,
        800,
        1000,
        1200,
        1500,
        1800,
        2000,
        2400,
        2500,
        3000,
        3200,
        3600,
        4000,
        5000,
        6000,
        8000,
        10000,
        12000,
    )
)
#: What may follow a number that stands alone; anything else is taken for the thing that is counted.
_FREE = wordset(
    "turns and then but so or to with on for at in now because if when where which it's it i'm i i've i'll that that's "
    "the this is was all up down through as while until before again today here just maybe forward give "
    "thereabouts roughly kick are were came left between sorry no make reverse backwards after instead from "
    "nothing not there's we're we let's you they by my a an even feels sounds looks seems since once only though "
    "too still already right okay ok uh um well or-so ish easy max tops about over under at-least first next "
    "finally done afterwards did does do runs running smooth into off out every than plus we've i'd also usually "
    "always what dry wet by-hand they're grit really pretty and-then would will could might should can has gets "
    "got goes works cause"
)
_COMMON = frozenset(
    (40, 60, 80, 100, 120, 150, 180, 220, 240, 280, 320, 360, 400, 500, 600, 800, 1000, 1200, 1500, 2000)
)
_COUNTED_BEFORE = wordset(
    "$ # £ € no. street page highway interstate model volume chapter level day part size in since weighs years"
)
_NAMED_BEFORE = wordset("$ # £ € number box route channel episode video")
_MONEY = wordset("bill invoice rent cheque price fee dollars bucks subscribers people miles paid cost heart heart's")
_HEDGES = wordset("about around roughly maybe nearly almost a like just")
ENDS = wordset(
    "stop stopped finish finished finishing stopping skip skipped jump jumped start starting started begin "
    "beginning began end ended ending"
)
_RUNS = wordset("running spinning turning roughing rotating run runs ran cranked bumped spun")
_WORKING = wordset(
    "running spinning turning roughing hollowing sanding sanded going set sitting working shaping truing drilling "
    "polishing buffing scraping turn turned turns run starting started cutting centres centers"
)
HOLDERS = {
    "disc": "disc",
    "disk": "disc",
    "discs": "disc",
    "disks": "disc",
    "paper": "paper",
    "papers": "paper",
    "sandpaper": "paper",
    "pad": "pad",
    "pads": "pad",
    "mesh": "mesh",
    "sponge": "sponge",
    "sponges": "sponge",
    "cloth": "cloth",
    "belt": "belt",
    "screen": "screen",
    "strip": "strip",
    "strips": "strip",
}
_SPEED_VERBS = wordset(
    "nudge nudged nudging creep crept creeping dial dialled dialed ran "
    "eased ease turns dropping bumping cranking speeding slowing backing upped rough detail sand hollow reduce "
    "reduced backed drop"
    "bumped bump crank cranked slow slowed dropped turned turn taken take took brought bring running run runs "
    "spinning spin going starting start started set kicked knock knocked back up down sitting holding spun speed"
)


#: How the machine or the piece takes a speed: "she's happy at nine fifty", "it wobbles around six fifty".
_TEMPER = wordset(
    "happy happiest content sweet smooth smoothest steady calm comfortable quiet best shake shakes shaking wobble "
    "wobbles wobbling vibrate vibrates vibrating hum hums humming purr purrs purring rattle rattles rattling shudder "
    "shudders lope lopes walk walks settle settles settled wants likes"
)
_MACHINE = wordset("she she's she'd her it it's lathe machine blank bowl piece")
_HEATED = wordset("kiln oven furnace stove doctor doctor's scale scales")


#: Numbers up to these, said of the lathe or the paper, are hundreds: "up to twelve", "four hundred, then six".
SHORTEST_SPEED, SHORTEST_GRIT = 36, 20
_SPIN = wordset("mandrel balance balanced wobble slow chart")
_OTHER_TALK = wordset(
    "wall wall's walls deep wide thick tall across thickness diameter inch inches mil mm half quarter eighth eighths "
    "minutes hours days weeks percent o'clock degrees coats calipers callipers depth"
)
#: What stands before a speed said short.
_SET = wordset("at to past over on so no do try go going back maybe about above under than it leave then actually stay")


@dataclass(slots=True)
class Memory:
    """Where the last speed and the last grit ended."""

    speed: int = -1000
    grit: int = -1000


def judge(reading: Reading, index: int, quantity: Quantity, memory: Memory) -> tuple[Kind | None, float]:
    """(kind, score) of a number; no kind where it is neither."""
    if quantity.unit == "rpm":
        return "speed", 0.97
    if quantity.unit == "grit":
        common = quantity.read("count")[0] in GRITS or quantity.upper is not None
        if reading.text[quantity.unit_at] in ("great", "grid", "grade") and not common:
            return None, 0.0
        return "grit", 0.97
    if quantity.unit is not None or quantity.implied or _counted(reading, quantity):
        return None, 0.0
    numbers = [v for v in quantity.read("count") if v is not None]
    if min(numbers) < 24 or max(numbers) > 12_000 or max(numbers) != int(max(numbers)):
        return None, 0.0
    grit = _grit(reading, index, quantity, memory) if all(v in GRITS for v in numbers) else -9.0
    speed = (
        _speed(reading, index, quantity, memory, max(numbers))
        if 50 <= max(numbers) <= 6000 and max(numbers) % 5 == 0
        else -9.0
    )
    kind: Kind = "grit" if grit >= speed else "speed"
    score = max(grit, speed)
    return (kind, min(0.96, 0.55 + 0.07 * score)) if score >= 2.3 else (None, 0.0)


def in_hundreds(reading: Reading, index: int, quantity: Quantity, memory: Memory) -> tuple[Kind | None, float]:
    """(kind, score) of a small number that leaves its "hundred" out; no kind where it is no speed and no grit."""
    q, end, amount = quantity.start, quantity.end, quantity.amount
    short = amount.count is not None and 2 < amount.value <= SHORTEST_SPEED and amount.value == int(amount.value)
    if quantity.unit is not None or quantity.upper is not None or quantity.implied or not short:
        return None, 0.0
    before, follow = reading.before(q, 6), reading.next(end)
    if (follow and follow not in _FREE | {"it", "might"}) or (before and before[-1] in ("of", "number", "the", "my")):
        return None, 0.0
    previous = reading.quantities[index - 1] if index else None
    listed = previous is not None and memory.grit == previous.end and _linked(reading, previous.end, q)
    if listed and previous is not None and (previous.read("count")[0] or 0) < amount.value * 100 in GRITS:
        return "grit", 0.75
    close = q - memory.speed < 30 or reading.in_clause("speed", q) or reading.in_clause("lathe", q)
    context = (
        close
        or q - memory.speed < 45
        or reading.near("speed", q, 15, 12)
        or reading.near("lathe", q, 15, 10)
        or any(w in _SPIN for w in reading.words(q - 14, q))
    )
    alone = (q == 0 or reading.border[q] >= COMMA) and (end >= reading.n or reading.border[end] >= COMMA)
    led = alone or (before[-1:] and before[-1] in _SET)
    if context and led and amount.value > 3 and not _measured(reading, q, end):
        return "speed", 0.6 if close else 0.45
    return None, 0.0


def _measured(reading: Reading, q: int, end: int) -> bool:
    """Whether other talk is nearer than the lathe's: sizes, waits, readings, the time of day."""
    words = (*reading.before(q, 6), *reading.after(end, 4))
    return any(w in _OTHER_TALK for w in words) or reading.near("meter", q, 10, 6)


def _counted(reading: Reading, quantity: Quantity) -> bool:
    """Whether the number counts or names something that is neither the lathe's nor the paper's."""
    q, end = quantity.start, quantity.end
    before = reading.before(q, 8)
    last = before[-1] if before else ""
    if (last in _COUNTED_BEFORE and not (last == "no" and reading.border[q] >= COMMA)) or (
        last == "of" and before[-2:-1] != ["speed"] and before[-2:-1] not in [[h] for h in HOLDERS]
    ):
        return True
    if any(w in _HEATED for w in before) and not any(w in ("lathe", "speed") for w in before):
        return True
    if last == "from" and 1900 <= quantity.amount.value <= 2030 and quantity.upper is None and _year(reading, quantity):
        return True
    if any(w in _NAMED_BEFORE for w in before[-3:]) or any(w in _MONEY for w in reading.words(q - 6, end + 4)):
        return True
    after = reading.next(end)
    if after == "'" and reading.next(end + 1) == "s":
        return False  # "120's done"
    if after in wordset("$ % ' st nd rd th of") or (
        after == "s" and reading.stream.word[end] == reading.stream.word[end - 1]
    ):
        return True
    return bool(after) and after not in _FREE and after not in HOLDERS and not reading.numbers(end, end + 1)


def _year(reading: Reading, quantity: Quantity) -> bool:
    """ "a lamp from 1985": no other number follows to which it went."""
    return quantity.amount.value % 50 != 0 and not reading.numbers(quantity.end, quantity.end + 4)


def _tempered(reading: Reading, before: list[str], top: float) -> bool:
    """Whether the machine's temper is told at a number: "happy at", "shakes around", "wants about"."""
    if top < 100 or top % 10:
        return False
    said = [w for w in before if w not in _HEDGES and w not in ("at", "right", "best", "somewhere")]
    placed = before[-1:] and (before[-1] in _HEDGES or before[-1] in ("at", "over", "above", "under", "wants", "likes"))
    return bool(placed and said and said[-1] in _TEMPER and any(w in _MACHINE for w in before))


def _apart(reading: Reading, q: int) -> float:
    """What speaks against both: another subject nearby and none of the lathe or the paper in the clause."""
    if reading.in_clause("lathe", q) or reading.in_clause("sand", q):
        return 0.0
    if reading.in_clause("speed", q) and not reading.beside("outside", q, 6, 6):
        return 0.0
    return (-2.0 if reading.beside("outside", q, 10, 6) else 0.0) + (-1.2 if reading.beside("people", q, 8, 8) else 0.0)


def _at(before: list[str]) -> bool:
    """ "at", also before a hedge: "at about"."""
    return (
        before[-1:] == ["at"]
        or (before[-2:-1] == ["at"] and before[-1] in _HEDGES)
        or (before[-3:-2] == ["at"] and before[-2:] in (["right", "around"], ["right", "about"], ["like", "a"]))
        or before[-5:] == ["at", "i", "want", "to", "say"]
    )


def _grit(reading: Reading, index: int, quantity: Quantity, memory: Memory) -> float:
    q, end = quantity.start, quantity.end
    before = reading.before(q, 8)
    last = before[-1] if before else ""
    score = 1.0 if all(v in _COMMON for v in quantity.read("count") if v is not None) else 0.4
    gap = reading.gap("sand", q)
    if reading.in_clause("sand", q) or reading.near("sand", q, 1, 5):
        score += 2.2
    elif gap < 30:
        score += 1.8
    elif gap < 90:
        score += 0.8
    elif gap < 250:
        score += 0.3
    if reading.next(end) in HOLDERS or last == "grit" or (last == "of" and before[-2:-1] and before[-2] in HOLDERS):
        score += 3
    previous = reading.quantities[index - 1] if index else None
    linked_back = previous is not None and _linked(reading, previous.end, q) and standard(previous)
    since = q - memory.grit
    score += 2.6 if since < 6 and linked_back else 1.3 if since < 40 else 0.7 if since < 160 else 0.0
    run = 0
    at = end
    for following in reading.quantities[index + 1 : index + 4]:
        if not _linked(reading, at, following.start) or not standard(following) or following.unit not in (None, "grit"):
            break
        run += 3 if following.unit == "grit" else 1
        at = following.end
    score += min(1.3 * run, 4.0)
    if _ladder(reading, index) >= 3:
        score += 2.0
    if _falls(reading, index):
        score -= 2.5
    if quantity.link in ("through", "up to"):
        score += 3.0
    elif quantity.link == "to":
        score += 0.8
    verbs = any(w in ENDS for w in before[-5:])
    if verbs:
        score += 1.0
    elif _at(before):
        score -= 1.0 if run else 2.2
    if last in ("through", "with", "past", "then", "to", "from") or before[-2:] == ["up", "to"]:
        score += 0.5
    if (
        last in ("to", "past")
        and any(w in wordset("go gone going went take took goes taking") for w in before[-4:-1])
        and since < 60
    ):
        score += 1.2
    if (reading.gap("lathe", q) < gap and reading.in_clause("lathe", q)) or reading.gap("speed", q) < 6:
        score -= 1.2
    return score + _apart(reading, q)


def _speed(reading: Reading, index: int, quantity: Quantity, memory: Memory, top: float) -> float:
    q, end = quantity.start, quantity.end
    before = reading.before(q, 8)
    last = before[-1] if before else ""
    since = q - memory.speed
    context = since < 60
    score = 1.0 if (top >= 100 and top % 10 == 0) or top in (325, 375, 425, 475) else 0.0
    if reading.in_clause("speed", q):
        score, context = score + 2.6, True
    elif reading.near("speed", q, 14, 8):
        score, context = score + 0.9, True
    if reading.in_clause("lathe", q):
        score, context = score + 2.4, True
    elif reading.gap("lathe", q) < 25:
        score, context = score + 0.8, True
    verb = any(w in _RUNS for w in before[-6:])
    if verb or reading.in_clause("spin", q):
        score, context = score + 1.0, True
    if _at(before):
        score += 2.0
        if any(w in _WORKING for w in reading.text[reading.clauses.clause(q)[0] : q]):
            score, context = score + 1.0, True
    if before[-2:] in (
        ["up", "to"],
        ["down", "to"],
        ["back", "to"],
        ["up", "around"],
        ["down", "around"],
        ["up", "at"],
        ["down", "at"],
    ) or before[-3:-1] in (["up", "to"], ["down", "to"], ["back", "to"]):
        score += 1.2
    if any(w in _SPEED_VERBS for w in before[-5:]):
        score += 0.7
    score += 2.0 if since < 25 else 1.0 if since < 60 else 0.5 if since < 300 else 0.0
    if any(w in ("reverse", "forward", "backwards") for w in reading.words(q - 4, end + 4)):
        score, context = score + 1.2, True
    if last in ("over", "past", "above") and any(
        w in wordset("go going run running turn gone take") for w in before[-4:-1]
    ):
        score, context = score + 1.0, True
    if reading.next(end) == "now":
        score += 0.8
    round_number = top % 50 == 0 and (quantity.amount.time is None or (top >= 100 and top % 100 == 0))
    if (round_number and before[-2:] in (["up", "to"], ["down", "to"], ["back", "to"])) or (
        _at(before) and round_number
    ):
        context = True
    if "." in reading.text[q]:
        score += 0.4
    if top not in _COMMON or top >= 700:
        score += 0.6
    if any(w in ("max", "maximum") for w in before[-3:]):
        score, context = score + 2.0, True
    if last in ("over", "past", "above", "under", "below") or "than" in before[-2:]:
        score += 1.2
    if last in wordset("it call that's it's dial readout doing shows set on to") or (
        before[-1:] == ["on"] and any(w.startswith("dial") for w in before)
    ):
        score += 1.0 if last != "to" else 0.6
    if _tempered(reading, before, top):
        score, context = score + 2.4, True
    if top >= 100 and before[-3:] in (["i'd", "been", "at"], ["i'd", "stayed", "at"], ["i", "stayed", "at"]):
        score, context = score + 0.8, True
    if before[-2:] in (["i'm", "at"], ["we're", "at"], ["it's", "at"], ["her", "at"], ["it", "at"]):
        score, context = score + 0.8, True
    if last in ("says", "say", "said") and context:
        score += 0.6
    if quantity.amount.time and (
        last in ("until", "till", "by", "since")
        or (reading.beside("people", q, 8, 5) and not reading.in_clause("lathe", q))
    ):
        score -= 2.0
    if any(w in ("kick", "begin", "start") for w in reading.after(end, 3)) and reading.next(end) == "to":
        score, context = score + 1.5, True
    if reading.next(end) == "turns":
        score, context = score + 2.0, True
    if _falls(reading, index):
        score += 1.2
    alone = (q == 0 or reading.border[q] >= PAUSE) and (end >= reading.n or reading.border[end] >= COMMA)
    if alone and (context or since < 400):
        score += 1.0
    if last == "to" and any(w in _SPEED_VERBS for w in before[-3:]):
        score += 0.6
    if reading.beside("jaws", q, 2, 6):
        score += 0.5
    time_like = (
        quantity.amount.time is not None
        and quantity.amount.time[0] <= 12
        and quantity.amount.time[1] % 5 == 0
        and quantity.amount.time[1]
    )
    if not context and time_like and last in wordset("at until till by about around before after since it's"):
        score = min(score, 2.0)
    if (
        any(w in ENDS | {"take", "taking", "go", "going"} for w in before[-4:])
        and top in _COMMON
        and q - memory.grit < 70
        and not (
            reading.in_clause("speed", q)
            or reading.in_clause("lathe", q)
            or (before[-2:] in (["up", "to"], ["down", "to"]) and q - memory.speed < q - memory.grit)
        )
    ):
        score -= 2.0
    if reading.gap("sand", q) < min(30, reading.gap("lathe", q)) and not (
        reading.in_clause("speed", q) or reading.in_clause("lathe", q) or _at(before)
    ):
        score -= 1.5
    if quantity.link in ("through", "up to") and standard(quantity):
        score -= 2.5
    if top < 200 and not (reading.in_clause("lathe", q) or reading.in_clause("speed", q)):
        score -= 1.0
    if reading.beside("outside", q, 2, 4):
        score -= 2.5
    if _ladder(reading, index) >= 3:
        score -= 3.0
    return score + _apart(reading, q)


def _ladder(reading: Reading, index: int) -> int:
    """How many grits follow each other upwards in one list around a number: "120, 150, 180"."""
    numbers = reading.quantities
    first = last = index
    while first and _step(reading, numbers[first - 1], numbers[first]):
        first -= 1
    while last + 1 < len(numbers) and last - first < 8 and _step(reading, numbers[last], numbers[last + 1]):
        last += 1
    return last - first + 1


def _falls(reading: Reading, index: int) -> bool:
    """Whether a number is one end of "from twelve hundred to eight hundred": grits never go down."""
    for left, right in ((index, index + 1), (index - 1, index)):
        if left < 0 or right >= len(reading.quantities):
            continue
        a, b = reading.quantities[left], reading.quantities[right]
        high, low = a.read("count")[0], b.read("count")[0]
        falling = high is not None and low is not None and high > low >= 50 and a.unit is None
        if falling and reading.text[a.end : b.start] in (["to"], ["down", "to"], ["back", "to"]):
            return True
    return False


def _step(reading: Reading, low: Quantity, high: Quantity) -> bool:
    a, b = low.read("count")[0], high.read("count")[0]
    grits = low.unit in (None, "grit") and high.unit in (None, "grit") and standard(low) and standard(high)
    return grits and a is not None and b is not None and a < b and _linked(reading, low.end, high.start)


def standard(quantity: Quantity) -> bool:
    return all(v in GRITS for v in quantity.read("count") if v is not None)


def _linked(reading: Reading, end: int, start: int) -> bool:
    """Whether two numbers stand in one list."""
    if not 0 <= start - end <= 3:
        return False
    if any(reading.border[k] >= PAUSE for k in range(end, min(start + 1, reading.n))):
        return False
    return all(
        w in wordset("and in then to or through grit up followed by next a on finally & great")
        for w in reading.text[end:start]
    )
