"""Amounts with their units, hedges and ranges: "about 15 to 18 percent", "an hour and a half", "8 pounds 4 ounces"."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from shoplog.extract.number_words import SCALES
from shoplog.extract.numbers import Amount, amounts, read_fraction
from shoplog.extract.stream import COMMA, NONE, SENTENCE, Stream
from shoplog.extract.units import ALONE, FULLER, GLUED, LOOSE, SMALLER, TWO_WORDS, UNIT_WORDS
from shoplog.extract.wordset import phrases, wordset

Reading = Literal["value", "size", "count"]

LENGTH = frozenset(("in", "ft", "mm", "cm", "m"))
TIME = frozenset(("s", "min", "h", "day", "week", "month", "year"))
WEIGHT = frozenset(("g", "kg", "oz", "lb"))

#: Units whose two numbers said one after another are a range: "five, six months", "twelve thirteen mil".
_SPANNED = LENGTH | TIME | WEIGHT | {"%"}

#: What may be said on the way from one end of a range to the other: "from 150 today and going up to the 400".
_ONWARDS = wordset("and today then going go working on up through all way right i'll i'm now just straight my here")

_HEDGES_ONE = wordset(
    "about around roughly approximately maybe nearly almost perhaps approx circa probably ish roundabout abouts"
)
_HEDGES_MORE = tuple(tuple(h.split()) for h in phrases("hedge before"))
_HEDGE_ENDS = frozenset(h[-1] for h in _HEDGES_MORE)
_HEDGES_AFTER = tuple(tuple(h.split()) for h in phrases("hedge after"))
_HEDGE_STARTS = frozenset(h[0] for h in _HEDGES_AFTER)
_FILLERS = wordset("uh um er erm uhm ah")
_SKIPPED = wordset("a an the at to of is it's or by in only just right like been and be was were on")


@dataclass(frozen=True, slots=True)
class Quantity:
    """One stated number or range: tokens ``start`` to ``end`` (unit included), ``amount`` and, for a range, ``upper``.

    ``unit`` is our unit name, with ``deg`` for degrees of no stated scale and ``coat`` for coats; ``link`` is the word
    that made the range. ``implied`` marks a unit that stood for one of itself ("a week").
    """

    start: int
    end: int
    amount: Amount
    upper: Amount | None = None
    unit: str | None = None
    unit_at: int = -1
    approx: bool = False
    link: str = ""
    implied: bool = False
    from_: bool = False

    def read(self, reading: Reading) -> tuple[float | None, float | None, float | None]:
        """(value, low, high) by one reading; the plain value where the form has no such reading."""
        low = _read(self.amount, reading)
        if self.upper is None:
            return low, None, None
        high = _read(self.upper, reading)
        return None, min(low, high), max(low, high)


def _read(amount: Amount, reading: Reading) -> float:
    chosen = amount.size if reading == "size" else amount.count if reading == "count" else None
    return float(amount.value if chosen is None else chosen)


class _Joiner:
    def __init__(self, stream: Stream) -> None:
        self.stream, self.text, self.border = stream, stream.text, stream.border
        self.n = len(stream.text)
        self.heads = {a.start: a for a in amounts(stream)}

    def at(self, i: int, limit: int = COMMA) -> str:
        return self.text[i] if 0 <= i < self.n and self.border[i] < limit else ""

    def unit(self, end: int) -> tuple[str, float, int, int] | None:
        """(unit, factor, where, end) of the unit after an amount that ends at ``end``."""
        word = self.at(end)
        if not word:
            return None
        if end and self.stream.word[end] == self.stream.word[end - 1] and word in GLUED:
            unit, factor = GLUED[word]
            return unit, factor, end, end + 1
        pair = TWO_WORDS.get((word, self.at(end + 1)))
        if pair and pair[0]:
            last = end + 2
            if pair[0] == "rpm" and self.at(last) in ("m", "n", "and"):
                last += 1
            return pair[0], pair[1], end, last
        if word in UNIT_WORDS:
            unit, factor = UNIT_WORDS[word]
            last = end + 1
            if word in ('"', "″") and not self.text[end - 1][:1].isdecimal():
                return None  # a quotation ends
            if unit == "deg":
                scale = self.at(last)
                if scale in ("f", "fahrenheit"):
                    return "degF", 1.0, end, last + 1
                if scale in ("c", "celsius", "centigrade"):
                    return "degC", 1.0, end, last + 1
            if unit == "rpm" and self.at(last) in ("per", "a") and self.at(last + 1) == "minute":
                last += 2
            if unit == "rpm" and word == "rp" and self.at(last) in ("and", "m", "n"):
                last += 1
            return unit, factor, end, last
        if word in FULLER and (nxt := self.at(end + 1)) in UNIT_WORDS:
            return *UNIT_WORDS[nxt], end + 1, end + 2
        if word == "or" and self.at(end + 1) == "so" and (nxt := self.at(end + 2)) in UNIT_WORDS:
            return *UNIT_WORDS[nxt], end + 2, end + 3
        if word in ("of",) and self.at(end + 1) in ("an", "a") and (nxt := self.at(end + 2)) in UNIT_WORDS:
            return *UNIT_WORDS[nxt], end + 2, end + 3
        return None

    def measured(self) -> list[Quantity]:
        """Every amount with its unit, units that stand for one included, compounds joined."""
        found: list[Quantity] = []
        taken = 0
        heads = self.heads
        i = 0
        while i < self.n:
            amount = heads.get(i)
            if amount is not None:
                found.append(self._with_unit(amount, heads))
                i = taken = max(found[-1].end, amount.end)
                continue
            word = self.text[i]
            if word in ALONE and i >= taken and (quantity := self._alone(i, taken)) is not None:
                found.append(quantity)
                i = taken = quantity.end
                continue
            i += 1
        return found

    def _with_unit(self, amount: Amount, heads: dict[int, Amount]) -> Quantity:
        unit = self.unit(amount.end)
        if unit is None:
            return Quantity(amount.start, amount.end, amount)
        name, factor, where, end = unit
        if (
            name == "s"
            and amount.parts is None
            and self.text[where] == "second"
            and amount.value == 30
            and amount.start
            and self.text[amount.start - 1] in ("a", "one")
        ):
            # "a 30 second" is how a thirty-second of an inch is written; a wait of 30 s is the plain reading.
            amount = Amount(amount.start, amount.end, amount.value, size=1 / 32, count=None, time=None)
        elif (
            name == "s"
            and amount.value >= 100
            and int(amount.value) % 100 == 30
            and amount.value // 100 in (1, 3, 5, 7, 9)
        ):
            amount = Amount(amount.start, amount.end, amount.value, size=amount.value // 100 / 32)
        elif name == "s" and amount.value != int(amount.value) and round(amount.value % 1, 2) in (0.3,):
            amount = Amount(amount.start, amount.end, amount.value, size=int(amount.value) / 32)
        amount, end = self._more(amount, name, end, heads)
        if factor != 1.0:
            amount = Amount(amount.start, amount.end, amount.value * factor)
        return Quantity(amount.start, end, amount, unit=name, unit_at=where)

    def _more(self, amount: Amount, unit: str, end: int, heads: dict[int, Amount]) -> tuple[Amount, int]:
        """What is added after the unit: "and a half", "4 ounces", "and twenty minutes"."""
        joined = self.at(end) in ("and", "&") or (
            self.at(end) == "in" and self.at(end + 1) == "a" and self.at(end + 2) in ("half", "quarter")
        )
        k = end + 1 if joined else end
        if joined and self.at(k) and (fraction := read_fraction(self.stream, k)) is not None:
            value, last, plain = fraction
            follow = self.unit(last)
            if (plain or self.text[k] == "half") and (follow is None or follow[0] in (unit, "coat", "grit", "deg")):
                if follow and follow[0] == unit:
                    last = follow[3]
                total = amount.value + value
                return Amount(amount.start, last, total, size=(amount.size or amount.value) + value), last
        smaller = SMALLER.get(unit)
        # "one pound, eleven ounces": a comma between the two units parts nothing.
        beside = k < len(self.text) and (bool(self.at(k)) or (unit == "lb" and self.border[k] == COMMA))
        if smaller and (extra := heads.get(k)) is not None and beside:
            follow = self.unit(extra.end)
            if follow and follow[0] == smaller[0] and extra.value < smaller[1]:
                total = amount.value + extra.value / smaller[1]
                return Amount(amount.start, follow[3], total, size=total), follow[3]
            parts, least = LOOSE.get(unit, (0, 0))
            whole = extra.value == int(extra.value)
            if not joined and follow is None and least <= extra.value < parts and whole and self.border[k] == NONE:
                total = amount.value + extra.value / parts
                return Amount(amount.start, extra.end, total), extra.end
        if smaller and joined and self.at(k) in ("a", "an") and UNIT_WORDS.get(self.at(k + 1), ("",))[0] == smaller[0]:
            total = amount.value + 1 / smaller[1]
            return Amount(amount.start, k + 2, total, size=total), k + 2
        return amount, end

    def _alone(self, i: int, taken: int) -> Quantity | None:
        """A unit without a number: "an inch and a half", "the inch skew", "a day in between"."""
        word = self.text[i]
        unit, factor = UNIT_WORDS[word]
        start = i
        before = self.text[i - 1] if i and self.border[i] < COMMA else ""
        article = before in ("a", "an", "one", "another", "each")
        if article and i - 1 >= taken:
            start = i - 1
        elif before in FULLER and i - 2 >= taken and self.text[i - 2] in ("a", "an", "one", "another"):
            start, article = i - 2, True
        one = Amount(start, i + 1, 1.0, size=1.0, bare=False)
        whole, end = self._more(one, unit, i + 1, self.heads)
        if (
            end == i + 1
            and not article
            and not (unit == "in" and before in {"", *wordset("the my this with and your that on of")})
        ):
            return None
        if factor != 1.0:
            whole = Amount(whole.start, whole.end, whole.value * factor)
        if word == "second" and end == i + 1:
            return None
        return Quantity(start, end, whole, unit=unit, unit_at=i, implied=end == i + 1)

    # ---- ranges

    def ranges(self, found: list[Quantity]) -> list[Quantity]:
        out: list[Quantity] = []
        for k, quantity in enumerate(found):
            after = found[k + 1] if k + 1 < len(found) else None
            if (
                out
                and after is not None
                and self.text[quantity.end : after.start] == ["to"] == self.text[out[-1].end : quantity.start]
            ) or (
                out
                and k > 1
                and self.text[found[k - 2].end : found[k - 1].start]
                == ["to"]
                == self.text[found[k - 1].end : quantity.start]
            ):
                out.append(quantity)  # "180 to 220 to 320" is a list
                continue
            merged = self._range(out[-1], quantity) if out else None
            if merged is None and out and not self._listed(found, k):
                merged = self._span(out[-1], quantity)
            if merged is not None:
                out[-1] = merged
            else:
                out.append(quantity)
        return [self._split(q) for q in out]

    def _split(self, quantity: Quantity) -> Quantity:
        """A dashed number that is no fraction of an inch is a range: "15-18 percent"."""
        a = quantity.amount
        if quantity.upper is None and a.parts and "-" in self.text[a.start] and a.parts[0] < a.parts[1]:
            if a.size is not None and quantity.unit in ("in", None):
                return quantity
            if a.time is not None and quantity.unit is None:
                return quantity
            low = Amount(a.start, a.end, a.parts[0])
            high = Amount(a.start, a.end, a.parts[1])
            return Quantity(quantity.start, quantity.end, low, high, quantity.unit, quantity.unit_at, link="-")
        if quantity.upper is None and a.parts and quantity.unit in _SPANNED - {"in", "ft"} and a.value >= 1000:
            # "twenty thirty minutes", "twelve thirteen mil" without the comma.
            low, high = (Amount(a.start, a.end, part) for part in a.parts)
            if low.value < high.value <= 1.5 * low.value and quantity.unit in (*TIME, "mm", "%"):
                return Quantity(quantity.start, quantity.end, low, high, quantity.unit, quantity.unit_at, link="-")
        return quantity

    def _range(self, left: Quantity, right: Quantity) -> Quantity | None:
        gap = self.text[left.end : right.start]
        if left.upper is not None or right.upper is not None or len(gap) > 6:
            return None
        late = gap[:1] in (["maybe"], ["or"], ["perhaps"], ["possibly"])  # "Two mil. Maybe three."
        if any(self.border[k] >= SENTENCE for k in range(left.end + late, right.start + 1)):
            return None
        comma = any(self.border[k] == COMMA for k in range(left.end, right.start + 1))
        words = tuple(w for w in gap if w not in ("a", "an", "the", "to"))
        before = self.text[left.start - 1] if left.start else ""
        before2 = self.text[left.start - 2] if left.start > 1 else ""
        from_ = before == "from" or (before2 == "from" and before in ("a", "an", "about", "around"))
        between = before == "between" or (before2 == "between" and before in ("a", "about"))
        if words in ((), ("up",)) and "to" in gap:
            link = "up to" if "up" in gap else "to"
        elif words == ("or",):
            link = "or"
        elif words in (
            ("through",),
            ("thru",),
            ("up", "through"),
            ("up", "thru"),
            ("right", "through"),
            ("all", "way", "up"),
            ("all", "way"),
            ("all", "way", "through"),
            ("clear", "up"),
            ("right", "up"),
            ("on", "up"),
        ):
            link = "through"
        elif words in (("maybe",), ("or", "maybe"), ("perhaps",), ("or", "even"), ("possibly",), ("or", "perhaps")):
            link = "maybe"
        elif words in (("and",), ("&",)) and between:
            link = "and"
        elif (
            gap in (["and", "up", "to"], ["and", "up", "through"])
            and left.unit is None
            and right.unit in (None, "grit")
        ):
            # "150 and up to 400": no lathe goes up by so much.
            if not 60 <= left.amount.value <= 240 or right.amount.value < 2 * left.amount.value:
                return None
            link = "through"
        elif len(gap) > 3 and words[-1:] in (("up",), ("through",)) and from_ and set(words) <= _ONWARDS:
            link = "through"
        else:
            return None
        if comma and link not in ("maybe", "or"):
            return None
        if len(gap) > 3 and link != "through":
            return None
        if left.unit and right.unit and left.unit != right.unit:
            return None
        if left.implied and not (link in ("or", "to", "maybe") and (left.unit == right.unit or link != "to")):
            return None
        if left.unit and not right.unit and not (link in ("or", "maybe") and self._same_unit(left, right)):
            return None
        low, high = left.amount.value, right.amount.value
        if (
            link in ("or", "and", "to")
            and left.unit is None
            and low < 20
            and low == int(low)
            and self.text[right.amount.end - 1] in ("hundred", "thousand")
        ):
            # "eight or nine hundred"
            scale = SCALES[self.text[right.amount.end - 1]]
            if low * scale < high:
                low *= scale
                left = replace(left, amount=Amount(left.amount.start, left.amount.end, low, count=low))
        if (
            not low < high
            and not (left.amount.count or 0) < (right.amount.count or 0)
            and not (left.amount.size or 0) < (right.amount.size or 0)
        ):
            return None
        if link == "or" and high > 4 * low:
            return None
        return Quantity(
            left.start,
            right.end,
            left.amount,
            right.amount,
            right.unit or left.unit,
            right.unit_at if right.unit else left.unit_at,
            link == "maybe" or left.approx or right.approx,
            link,
            from_=from_,
        )

    def _beside(self, left: Quantity, right: Quantity) -> bool:
        """Whether two numbers follow each other with a comma at most, or the second belongs to one list with it."""
        return left.end == right.start and self.border[right.start] <= COMMA

    def _listed(self, found: list[Quantity], k: int) -> bool:
        """Whether number ``k`` and the one before it are part of a longer list."""
        first = k > 1 and self._beside(found[k - 2], found[k - 1])
        return first or (k + 1 < len(found) and self._beside(found[k], found[k + 1]))

    def _span(self, left: Quantity, right: Quantity) -> Quantity | None:
        """Two numbers one after another that mean what lies between them: "five, six months", "ten, ten and a half"."""
        if not self._beside(left, right) or left.upper or right.upper or left.implied:
            return None
        low, high = left.amount.value, right.amount.value
        if left.unit is None and right.unit in (None, "rpm") and 0 < high - 100 * low < 100 and low == int(low):
            # "nine, nine fifty"
            first = replace(left.amount, value=100 * low, count=100 * low, time=None)
            return replace(right, start=left.start, amount=first, upper=right.amount)
        unsaid = left.unit is None and right.unit is None and low == int(low)
        step = high - low
        halves = unsaid and (step in (0.25, 0.5) or (step == 1 and low >= 5) or (step in (10, 20) and low >= 300))
        halves = halves and self.border[right.start] == COMMA  # "nine nine and a half" are two readings
        if halves and self.at(right.end) in ("and", "then") and right.end + 1 in self.heads:
            halves = step < 1  # "twelve, thirteen and twelve" is a list
        if right.unit not in _SPANNED and not halves:
            return None
        if low < 10 and high >= 200 and self.text[right.amount.end - 1] == "hundred":
            low *= 100  # "two, three hundred grams"
        same = left.unit is None or (left.unit == right.unit and left.unit in TIME and low == 1)
        near = (
            high - low <= 1
            or halves
            or (right.unit in TIME and high <= 2 * low)
            or (low % 5 == 0 and high <= 1.5 * low)
        )
        if not same or not low < high or not near or left.amount.bare != right.amount.bare:
            return None
        amount = replace(left.amount, value=low) if low != left.amount.value else left.amount
        return replace(right, start=left.start, amount=amount, upper=right.amount, approx=left.approx or right.approx)

    def _same_unit(self, left: Quantity, right: Quantity) -> bool:
        """Whether a number without a unit is more of the one before: "a minute or two", "two mil, maybe three"."""
        low, high = left.amount.value, right.amount.value
        follow = self.at(right.end)
        counted = follow in ("of", "more", "times", "o'clock")
        return left.unit in _SPANNED and low < high <= max(3 * low, 3) and not counted

    # ---- hedges

    def hedged(self, quantity: Quantity) -> bool:
        text, i = self.text, quantity.start
        j, limit = i, max(0, i - 6)
        hops = 0
        while j > limit and hops < 4:
            if self.border[j] >= SENTENCE or (self.border[j] == COMMA and hops > 2):
                break
            word = text[j - 1]
            if word in _HEDGES_ONE:
                return True
            if word in _HEDGE_ENDS and any(tuple(text[max(0, j - len(h)) : j]) == h for h in _HEDGES_MORE):
                return True
            if word not in _SKIPPED:
                break
            j -= 1
            hops += 1
        end = quantity.end
        if quantity.unit is None and self.at(end) in UNIT_WORDS:
            end += 1
        nearby = self.text[end : end + 2]
        return any(w in _HEDGE_STARTS for w in nearby) and any(
            self._follows(end + skip, h) for h in _HEDGES_AFTER for skip in (0, 1)
        )

    def tolerance(self, quantity: Quantity) -> bool:
        """ "give or take a thirty second": how exact a number is, and no number of its own."""
        i = quantity.start
        said = self.text[max(0, i - 3) : i] in (["give", "or", "take"], ["plus", "or", "minus"])
        return said and self.border[i] < SENTENCE

    def begun(self, quantity: Quantity, following: list[Quantity]) -> bool:
        """Whether a number was broken off and said anew: "an inch and, um, an inch and an eighth"."""
        end = quantity.end
        if not following or self.text[end : end + 1] != ["and"] or following[0].start - end > 8:
            return False
        again, first = following[0].amount.value, quantity.amount.value
        broken = self.border[end] == NONE and end + 1 < self.n and self.text[end + 1] in _FILLERS | {"what"}
        return broken and quantity.unit == following[0].unit and 0 < again - first < 1 and first == int(first)

    def _follows(self, i: int, words: tuple[str, ...]) -> bool:
        if tuple(self.text[i : i + len(words)]) != words or (i < self.n and self.border[i] >= SENTENCE):
            return False
        if words[0].startswith("i"):
            # "i think" after a number may open the next remark.
            after = self.text[i + len(words)] if i + len(words) < self.n else ""
            return words == ("ish",) or not after or self.border[i + len(words)] > NONE
        return True


def quantities(stream: Stream) -> list[Quantity]:
    """All stated numbers of a stream with units, ranges and hedges, in order, none overlapping."""
    joiner = _Joiner(stream)
    found = joiner.ranges(joiner.measured())
    found = [q for k, q in enumerate(found) if not joiner.tolerance(q) and not joiner.begun(q, found[k + 1 : k + 2])]
    return [
        Quantity(
            q.start,
            q.end,
            q.amount,
            q.upper,
            q.unit,
            q.unit_at,
            q.approx or joiner.hedged(q),
            q.link,
            q.implied,
            q.from_,
        )
        for q in found
    ]


def units(found: Iterable[Quantity]) -> set[str]:
    """The units that were said at all: what a speaker measures in."""
    return {q.unit for q in found if q.unit}
