"""``dimension``: measured sizes of the piece and its parts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from shoplog.extract.kinds.dimension_parts import PARTS, ROUND_PARTS, THIN_ROUND, of_part, part_of
from shoplog.extract.kinds.dimension_sections import sections
from shoplog.extract.kinds.dimension_signs import AFTER, BORING, FLAWS, FLOOR, NOT_SIZED, by_signs
from shoplog.extract.lexicon import plain
from shoplog.extract.quantities import LENGTH, Quantity
from shoplog.extract.reading import Candidate, Reading, numbered
from shoplog.extract.stream import COMMA, PAUSE
from shoplog.extract.wordset import wordset

_OTHER_NOUNS = wordset(
    "screw screws faceplate jaws disc disk wheel gouge scraper skew bit drill chisel pad bolt nail nails "
    "board-foot lens tv pipe hose post bar nut knife brush tape sander saw thread spacer mandrel crack split "
    "check knot void tool worm tubes tube bowlgouge strip strips snow rain putter fish screws' nailer dowel's "
    "monitor morse taper hss tpi tooth teeth gap adapter spindle belt"
)
_NAMED = wordset("diameter depth height length width thickness breadth")
#: What is said of round work that has gone oval, and of its widest place.
_WAYS = ("one way", "the one way", "the other way", "the other", "both ways", "that way", "this way", "long ways")
_AT_WIDEST = (
    "at its widest", "at the widest", "at its fattest", "at the fattest", "at its thinnest", "at the thinnest",
    "at the fat", "at the thin", "at the skinny", "at the swell", "outside diameter", "in the round",
)  # fmt: skip
_MONEY = wordset("euro euros dollars bucks pounds quid")
_NAMING = wordset("page number chapter euro dollars plate model channel number's route")
_PLAIN_S = wordset(
    "across this plus less thickness always perhaps towards downwards upwards afterwards unless sometimes lengthways "
    "crossways sideways thereabouts anyways does goes runs comes looks gives leaves takes feels works besides"
)
_SHARE_OF = wordset("dry turn turns round open done finished empty moon circle hour day past asleep decent joke")
_HALVES = wordset("bottom top upper lower first second other better front back left right")
_PAID = wordset("paying paid charge charges costs cost asking sold sells")
_COUNTED = wordset("percent degrees pounds grit coats minutes hours days times o'clock of pieces rpm")
#: Their sizes are in inches whatever the speaker measures the piece in.
_CUTTERS = wordset(
    "gouge gouges skew chisel parting tool scraper bit bits drill forstner spade disc discs sanding screw screws chuck"
)
_WALLS = frozenset(("wall", "walls", "wall's", "calipers", "callipers", "caliper"))


def candidates(reading: Reading) -> Iterator[Candidate]:
    """Each length that is said of the piece or a part, with what it measures."""
    last_part: tuple[int, str] | None = None
    last: Candidate | None = None
    wall_at = -1000
    together = sections(reading)
    for quantity in reading.quantities:
        unit = quantity.unit
        if unit is not None and unit not in LENGTH:
            continue
        if unit is None and reading.text[quantity.start] in ("one", "a", "1") and quantity.end - quantity.start == 1:
            continue
        item, end, score = _measure(reading, quantity)
        if (side := together.get(quantity.start)) and score < 0.85:
            item, score = side, 0.85
        if counts(reading, quantity, item):
            continue
        part, part_at = part_of(reading, quantity, end)
        wall = _wall(reading, quantity)
        again = _again(reading, quantity, last) if item is None and wall is None and last is not None else None
        if again is not None:
            item, score = again, 0.58
        if unit is None and item is None and wall is None:
            follows_on = quantity.amount.size is not None and (
                quantity.start - wall_at < 22 or (last_part is not None and quantity.start - last_part[0] < 16)
            )
            if not (
                _bare(reading, quantity, part)
                or (follows_on and reading.previous(quantity.start) in ("to", "at", "about", "than", "under", "is"))
            ):
                continue
        value, low, high = quantity.read("size")
        biggest = max(v for v in (value, high, 0.0) if v is not None)
        if unit is None:
            if (
                quantity.amount.time is not None
                and quantity.amount.value > 24
                and item is None
                and wall is None
                and part is None
            ):
                continue
            unit = _unsaid(reading, quantity, biggest, "wall thickness" if wall else item)
        if wall and item in (None, "thickness"):
            item, score, part = "wall thickness", max(score, wall), None
            wall_at = quantity.start
        if item is None:
            if part is not None:
                item, score = of_part(reading, part, quantity), 0.72
            elif (
                quantity.start - wall_at < 22
                and not _other(reading, quantity)
                and biggest <= (2 if unit == "in" else 50)
            ):
                item, score = "wall thickness", 0.6
                wall_at = quantity.start
            elif (
                last_part
                and quantity.start - last_part[0] < 16
                and reading.previous(quantity.start) in ("to", "at", "about", "now", "than")
            ):
                part = last_part[1]
                item, score = of_part(reading, part, quantity), 0.6
            else:
                continue
        if item in ("depth", "length") and part is None and FLAWS.intersection(reading.before(quantity.start, 12)):
            continue  # how deep the tool dug in
        if _other(reading, quantity) and (end == quantity.end or _subject_other(reading, quantity)):
            continue
        if item == "thickness" and part in THIN_ROUND and biggest:
            item = "diameter"
        if (
            item == "width"
            and part in ROUND_PARTS
            and reading.text[end - 1 : end] == ["wide"]
            and not (part == "rim" and biggest <= (100 if unit == "mm" else 5))
        ):
            item = "diameter"
        if part:
            last_part = (quantity.start, part)
        attrs = {"of": part} if part else {}
        start = (
            min(quantity.start, part_at) if part and quantity.start - part_at < 6 and part_at >= 0 else quantity.start
        )
        last = Candidate(
            "dimension",
            start,
            max(end, quantity.end),
            item,
            value,
            low,
            high,
            unit,
            quantity.approx,
            attrs=attrs,
            score=score,
            quantity=quantity.start,
            anchor=quantity.start,
        )
        yield last


def _again(reading: Reading, quantity: Quantity, last: Candidate) -> str | None:
    """What a number measures that follows a size: "ten tall, and now it's eight", "six long. No, five and a half"."""
    gap = quantity.start - last.end
    if quantity.unit not in (None, last.unit) or not 0 <= gap < 16 or not quantity.amount.bare:
        return None
    value, size = last.value or last.high or 0.0, quantity.read("size")[0] or 0.0
    if not 0.4 * value < size < 2.5 * value or reading.next(quantity.end) in _COUNTED:
        return None
    alone = reading.border[quantity.start] >= COMMA and (
        quantity.end >= reading.n or reading.border[quantity.end] >= COMMA
    )
    between = reading.text[last.end : quantity.start]
    led = reading.previous(quantity.start) in wordset(
        "to at now it's want say go no actually but was make call going here's there's that's isn't second third first"
    )
    if any(w in PARTS for w in between) or not (led or (gap < 9 and (alone or "no" in between))):
        return None
    return last.item


def counts(reading: Reading, quantity: Quantity, item: str | None) -> bool:
    """Whether a number counts or names something and is no size: "three wheels", "page 61", "two thirds up"."""
    value = quantity.read("size")[0] or quantity.read("size")[2] or 0.0
    after, before = reading.next(quantity.end), reading.previous(quantity.start)
    if quantity.unit == "m":
        return value > 10
    if before == "every" or reading.says(quantity.end, "to the inch", "of mercury"):
        return True  # how far apart
    if any(w in ("moved", "shifted", "slid") for w in reading.before(quantity.start, 4)):
        return True
    if quantity.unit is not None:
        return False
    if after == "times" and reading.numbers(quantity.end + 1, quantity.end + 2):
        return False  # "sixty times sixty"
    if before == "'" and quantity.amount.value < 100:
        return True  # a year
    if before == "all" and quantity.amount.size in (None, quantity.amount.value) and value <= 12:
        return True
    fraction = reading.text[quantity.end - 1]
    if fraction in ("third", "thirds", "fifth", "fifths"):
        return True  # no rule has them
    if fraction in ("half", "quarter") and (after in _SHARE_OF or before in _HALVES):
        return True
    led = reading.before(quantity.start, 4)
    if led[-3:] in (["as", "big", "as"], ["the", "size", "of"]) or any(w in _PAID for w in led):
        return True
    if quantity.amount.value < 1 and reading.says(quantity.end, "of a", "of an", "of it", "of them", "of that"):
        return True
    if before in _NAMING or (after in _COUNTED - {"of"}) or after in _MONEY:
        return True
    if quantity.amount.value < 1 and (reading.says(quantity.end, "of the") or after in ("log", "full", "way")):
        return True
    if item == "wall thickness" and value > 60:
        return True
    plural = after.endswith("s") and len(after) > 3 and after.isalpha() and not after.endswith("ss")
    return plural and after not in _PLAIN_S and after not in AFTER and plain(after) not in ("wall", "walls")


def stated(reading: Reading, quantity: Quantity, item: str, score: float) -> Candidate:
    """A number that is known to be a size, of what is named beside it."""
    numbers = quantity.read("size")
    biggest = max(v for v in (*numbers, 0.0) if v is not None)
    unit = quantity.unit or _unsaid(reading, quantity, biggest, item)
    part, _ = part_of(reading, quantity, quantity.end) if item != "wall thickness" else (None, -1)
    return replace(
        numbered("dimension", quantity, numbers, unit, score=score, attrs={"of": part} if part else {}), item=item
    )


def _measure(reading: Reading, quantity: Quantity) -> tuple[str | None, int, float]:
    """(item, end, score) by the word after the number, or before it ("diameter of", "depth is")."""
    end = quantity.end
    for k in (end, end + 1, end + 2):
        word = reading.next(k, COMMA)
        if not word:
            break
        if word == "in" and reading.next(k + 1) in ("diameter", "length", "height", "width", "depth", "thickness"):
            return AFTER[reading.text[k + 1]], k + 2, 0.93
        if (
            word == "down"
            and k == end
            and any(w in ("hole", "drilled", "depth", "drill") for w in reading.before(k, 14))
        ):
            return "depth", k + 1, 0.8
        if word in _NAMED and reading.previous(quantity.start) in _NAMED and reading.numbers(k + 1, k + 2):
            return AFTER[reading.previous(quantity.start)], end, 0.9  # "length 285 breadth 240"
        if word in AFTER:
            if reading.next(k + 1) == "grind":
                break
            if word in ("through", "round", "across", "long") and k > end:
                break
            if (word == "through" and reading.next(k + 1) in ("to", "the", "it")) or (
                word == "through" and quantity.unit is None and quantity.amount.size is None
            ):
                break
            if word in ("high", "deep", "long", "wide", "thick") and reading.next(k + 1) in ("speed", "enough-to"):
                break
            if (word in ("length",) and k > end) or (word == "thin" and not quantity.unit):
                break
            return AFTER[word], k + 1, 0.92 if quantity.unit else 0.85
        if word in ("for", "on") and reading.next(k + 1) == "the" and reading.next(k + 2) in _NAMED:
            return AFTER[reading.text[k + 2]], k + 3, 0.88
        if reading.says(k, *_WAYS) and not reading.says(k, "this way up"):
            return "diameter", k, 0.66
        if reading.says(k, *_AT_WIDEST):
            return "diameter", k, 0.7
        if word not in wordset("in or so by at ish give about on"):
            break
        if word in ("at", "on", "by", "about", "give"):
            break
    before = reading.before(quantity.start, 6)
    if (sign := by_signs(reading, quantity, before)) is not None:
        return sign[0], end, sign[1]
    if reading.next(end) == "by" and (other := reading.numbers(end + 1, end + 2)):
        deep = reading.next(other[0].end) in ("deep", "thick", "tall", "high", "long")
        return ("diameter" if deep else "width"), end, 0.8
    if before[-1:] in (["stands"], ["stood"]) and quantity.unit in ("in", "mm", "cm"):
        return "height", end, 0.75
    if "overall" in before and (quantity.unit is None or quantity.unit in LENGTH):
        return "length", end, 0.7
    if (
        before[-3:] == ["what's", "left", "is"]
        or before[-2:] == ["to", "length"]
        or before[-4:-1] == ["what's", "left", "is"]
    ):
        return "length", end, 0.8
    if reading.next(end) == "of" and reading.next(end + 1) in wordset("length height width depth diameter thickness"):
        return AFTER[reading.text[end + 1]], end + 2, 0.9
    if before[-1:] == ["to"] and quantity.unit and any(w in ("bored", "drilled", "reamed", "opened") for w in before):
        return "diameter", end, 0.75
    for back, word in enumerate(plain(w) for w in reversed(before)):
        if word in ("diameter", "width", "breadth", "height", "depth", "length"):
            return AFTER[word], end, 0.85 if back <= 4 else 0.7
        if word in ("thickness",) and back <= 4:
            return ("wall thickness" if any(w in ("wall", "walls") for w in before) else "thickness"), end, 0.85
        if reading.border[quantity.start - back] >= PAUSE and back:
            break
    return None, end, 0.0


def _wall(reading: Reading, quantity: Quantity) -> float | None:
    """How plainly the number is a wall's: "the wall is", "roughed out to an inch and a half", "calipers say"."""
    q = quantity.start
    after = reading.after(quantity.end, 4)
    if quantity.unit not in ("in", "mm", None):
        return None
    if (
        after[:1] in (["wall"], ["walls"])
        or after[:2] in (["of", "wall"],)
        or after[:2] in (["thick", "wall"], ["thick", "walls"])
    ):
        return 0.92
    before = reading.before(q, 12)
    if after[:1] and after[0] in AFTER and after[0] not in ("thick", "all", "thin", "thickness"):
        return None
    big = (quantity.read("size")[0] or 0.0) > (2 if quantity.unit == "in" else 25)
    if big and not any(w in ("wall", "walls", "wall's") for w in before):
        return None  # what calipers read of so much is a diameter
    if any(w in _WALLS for w in before):
        since = before[max(k for k, w in enumerate(before) if w in _WALLS) + 1 :]
        if any(w in ("deep", "depth", "tenon", "hole", "tall", "screw", "bottom", "floor", "base") for w in since):
            return None
        if after[:2] in (["at", "the"], ["in", "the"]) and len(after) > 2 and after[2] in FLOOR:
            return None
        return 0.88
    if after[:3] in (
        ["on", "the", "walls"],
        ["on", "the", "wall"],
        ["at", "the", "wall"],
        ["in", "the", "wall"],
        ["in", "the", "walls"],
        ["for", "the", "wall"],
    ) or (after[:2] in (["all", "over"],) and quantity.unit):
        return 0.85
    thin = 0 < (quantity.read("size")[0] or 0) < (20 if quantity.unit == "mm" else 1)
    places = wordset("rim belly base bottom middle lip shoulder")
    placed = after[:2] in (["at", "the"], ["in", "the"]) and len(after) > 2 and after[2] in places
    if thin and placed and (quantity.unit or quantity.amount.size):
        return 0.65
    low, _ = reading.clauses.clause(q)
    clause = reading.text[low:q]
    if (
        quantity.unit
        and any(w in ("roughed", "hollowed", "turned", "thinned") for w in clause)
        and clause[-1:] in (["to"], ["at"], ["about"], ["around"])
        and not any(w in ("diameter", "tenon", "deep", "long") for w in clause)
    ):
        return 0.75
    if quantity.unit and any(w in ("thinner", "thicker") for w in before[-4:]) and "than" in before[-3:]:
        return 0.8
    return None


def _bare(reading: Reading, quantity: Quantity, part: str | None) -> bool:
    """A number without unit that is a size all the same: a fraction, or "measures 38 and a half"."""
    before = reading.before(quantity.start, 4)
    if (
        quantity.upper is None
        and quantity.amount.size is not None
        and quantity.amount.value < 12
        and quantity.amount.value != int(quantity.amount.value)
    ):
        return part is not None or any(w in ("wall", "walls", "measures", "calipers") for w in before)
    if any(w in ("measures", "measured", "calipers", "measuring") for w in before[-2:]):
        return True
    if (
        part in ("stem", "wall", "spigot", "tenon", "tip")
        and before[-2:-1] in (["go"], ["down"])
        and before[-1:] == ["to"]
        and quantity.amount.value < 25
    ):
        return reading.metric or quantity.amount.size is not None
    return False


def _unsaid(reading: Reading, quantity: Quantity, biggest: float, item: str | None) -> str:
    """The unit that was not said: the one of the nearest length that is no cutter's, else the speaker's."""
    near = [
        q
        for q in reading.numbers(max(0, quantity.start - 40), quantity.start + 40)
        if q.unit in ("in", "mm", "cm") and not any(w in _CUTTERS for w in reading.after(q.end, 4))
    ]
    fraction = quantity.amount.value != int(quantity.amount.value) and biggest < 3
    broken = quantity.amount.size is not None and quantity.amount.size * 2 != int(quantity.amount.size * 2)
    if broken and not (reading.metric and biggest > 12 and quantity.amount.size == quantity.amount.value):
        return "in"  # quarters and eighths are said of inches
    if item == "wall thickness" and biggest >= 4:
        return "mm"  # no wall is inches thick
    before = [q for q in near if q.start < quantity.start]
    if before and before[-1].unit == "cm" and biggest <= 60 and item not in ("wall thickness", "thickness"):
        drilled = any(w in BORING for w in reading.before(quantity.start, 6))
        if not drilled:
            return "cm"  # it goes on in the unit that was just said
    if quantity.unit is None and biggest > (20 if reading.metric else 48) and not fraction:
        return "mm"  # so many inches are not said without the word
    if near and not fraction:
        # The unit that was just said goes on; what comes later is another size.
        nearest = min(near, key=lambda q: abs(q.start - quantity.start) + 12 * (q.start > quantity.start))
        return str(nearest.unit)
    if fraction and not reading.metric:
        return "in"
    return "mm" if reading.metric else "in"


def _other(reading: Reading, quantity: Quantity) -> bool:
    """The size of something that is no part of the piece: screws, discs, tools."""
    for k in range(quantity.end, min(quantity.end + 3, reading.n)):
        word = reading.next(k, COMMA)
        if not word:
            break
        if word in _OTHER_NOUNS:
            return not (word == "spindle" and reading.next(k + 1) not in ("gouge", "gauge", "roughing"))
        if word in wordset("of and to so on in at"):
            break
    if _subject_other(reading, quantity):
        return True
    return reading.next(quantity.end) in NOT_SIZED or reading.says(
        quantity.end, "out of round", "up from", "to go", "in from", "down from"
    )


def _subject_other(reading: Reading, quantity: Quantity) -> bool:
    """ "the screws are two inches long"."""
    subject = reading.before(quantity.start, 4)
    return subject[-1:] in (["are"], ["is"], ["were"]) and len(subject) > 1 and subject[-2] in _OTHER_NOUNS
