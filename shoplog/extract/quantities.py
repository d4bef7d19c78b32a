"""Amounts with their units, hedges and ranges: "about 15 to 18 percent", "an hour and a half", "8 pounds 4 ounces"."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from shoplog.extract.number_words import SCALES
from shoplog.extract.numbers import Amount, amounts, read_fraction
from shoplog.extract.stream import COMMA, NONE, SENTENCE, Stream
from shoplog.extract.wordset import phrases, wordset

Reading = Literal["value", "size", "count"]

LENGTH = frozenset(("in", "ft", "mm", "cm", "m"))
TIME = frozenset(("s", "min", "h", "day", "week", "month", "year"))
WEIGHT = frozenset(("g", "kg", "oz", "lb"))

#: How a unit is written or said, to our name of it and the factor that goes with it ("a fortnight" is 2 weeks).
UNIT_WORDS: dict[str, tuple[str, float]] = {
    **dict.fromkeys(("inch", "inches", '"', "″", "inchs", "inched"), ("in", 1.0)),
    **dict.fromkeys(("foot", "feet", "ft"), ("ft", 1.0)),
    **dict.fromkeys(
        ("mm", "mil", "mils", "mill", "mills", "millimetre", "millimetres", "millimeter", "millimeters", "ml"),
        ("mm", 1.0),
    ),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters", "cms"), ("cm", 1.0)),
    **dict.fromkeys(("metre", "metres", "meters"), ("m", 1.0)),
    **dict.fromkeys(("second", "seconds", "sec", "secs"), ("s", 1.0)),
    **dict.fromkeys(("minute", "minutes", "min", "mins"), ("min", 1.0)),
    **dict.fromkeys(("hour", "hours", "hr", "hrs"), ("h", 1.0)),
    **dict.fromkeys(("day", "days"), ("day", 1.0)),
    **dict.fromkeys(("week", "weeks"), ("week", 1.0)),
    **dict.fromkeys(("fortnight", "fortnights"), ("week", 2.0)),
    **dict.fromkeys(("month", "months"), ("month", 1.0)),
    **dict.fromkeys(("year", "years"), ("year", 1.0)),
    **dict.fromkeys(("gram", "grams", "gramme", "grammes", "gms"), ("g", 1.0)),
    **dict.fromkeys(("kilo", "kilos", "kilogram", "kilograms", "kg", "kgs"), ("kg", 1.0)),
    **dict.fromkeys(("ounce", "ounces", "oz"), ("oz", 1.0)),
    **dict.fromkeys(("pound", "pounds", "lb", "lbs"), ("lb", 1.0)),
    **dict.fromkeys(("percent", "%", "percents"), ("%", 1.0)),
    **dict.fromkeys(("degree", "degrees", "°"), ("deg", 1.0)),
    **dict.fromkeys(("rpm", "revs", "revolutions", "rpms", "rp"), ("rpm", 1.0)),
    **dict.fromkeys(("grit", "grits", "great", "gritt", "grid", "grade"), ("grit", 1.0)),
    **dict.fromkeys(("coat", "coats"), ("coat", 1.0)),
}
#: Units that count only when written together with their number ("12in", "400g").
_GLUED = {
    "in": ("in", 1.0),
    "m": ("m", 1.0),
    "g": ("g", 1.0),
    "s": ("s", 1.0),
    "h": ("h", 1.0),
    "c": ("degC", 1.0),
    "f": ("degF", 1.0),
    "rt": ("rpm", 1.0),
}
_TWO_WORDS = {
    ("per", "cent"): ("%", 1.0),
    ("m", "m"): ("mm", 1.0),
    ("c", "m"): ("cm", 1.0),
    ("r", "p"): ("rpm", 1.0),
    ("are", "pm"): ("rpm", 1.0),
    ("k", "g"): ("kg", 1.0),
    ("in", "diameter"): ("", 1.0),
}
#: Units that may stand without a number for one of it: "an inch and a half", "a week".
_ALONE = wordset("inch foot hour minute day week fortnight month year pound kilo second")
_FULLER = wordset("full more whole solid good long extra further odd straight real clear square round")
_SMALLER = {
    "lb": ("oz", 16.0),
    "h": ("min", 60.0),
    "min": ("s", 60.0),
    "ft": ("in", 12.0),
    "day": ("h", 24.0),
    "kg": ("g", 1000.0),
    "year": ("month", 12.0),
    "week": ("day", 7.0),
    "month": ("week", 4.348),
}

_HEDGES_ONE = wordset(
    "about around roughly approximately maybe nearly almost perhaps approx circa probably ish roundabout abouts"
)
_HEDGES_MORE = tuple(tuple(h.split()) for h in phrases("hedge before"))
_HEDGE_ENDS = frozenset(h[-1] for h in _HEDGES_MORE)
_HEDGES_AFTER = tuple(tuple(h.split()) for h in phrases("hedge after"))
_HEDGE_STARTS = frozenset(h[0] for h in _HEDGES_AFTER)
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
        if end and self.stream.word[end] == self.stream.word[end - 1] and word in _GLUED:
            unit, factor = _GLUED[word]
            return unit, factor, end, end + 1
        pair = _TWO_WORDS.get((word, self.at(end + 1)))
        if pair and pair[0]:
            last = end + 2
            if pair[0] == "rpm" and self.at(last) in ("m", "n", "and"):
                last += 1
            return pair[0], pair[1], end, last
        if word in UNIT_WORDS:
            unit, factor = UNIT_WORDS[word]
            last = end + 1
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
        if word in _FULLER and (nxt := self.at(end + 1)) in UNIT_WORDS:
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
            if word in _ALONE and i >= taken and (quantity := self._alone(i, taken)) is not None:
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
        smaller = _SMALLER.get(unit)
        # "one pound, eleven ounces": a comma between the two units parts nothing.
        beside = k < len(self.text) and (bool(self.at(k)) or (unit == "lb" and self.border[k] == COMMA))
        if smaller and (extra := heads.get(k)) is not None and beside:
            follow = self.unit(extra.end)
            if follow and follow[0] == smaller[0] and extra.value < smaller[1]:
                total = amount.value + extra.value / smaller[1]
                return Amount(amount.start, follow[3], total, size=total), follow[3]
            if (
                unit == "lb"
                and not joined
                and follow is None
                and extra.value < 16
                and self.at(extra.end) not in ("inch", "percent")
            ):
                total = amount.value + extra.value / 16
                return Amount(amount.start, extra.end, total), extra.end
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
        elif before in _FULLER and i - 2 >= taken and self.text[i - 2] in ("a", "an", "one", "another"):
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
        return quantity

    def _range(self, left: Quantity, right: Quantity) -> Quantity | None:
        if left.upper is not None or right.upper is not None or left.implied or right.start - left.end > 3:
            return None
        gap = self.text[left.end : right.start]
        if any(self.border[k] >= SENTENCE for k in range(left.end, right.start + 1)):
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
        else:
            return None
        if comma and link not in ("maybe", "or"):
            return None
        if left.unit and right.unit and left.unit != right.unit:
            return None
        if left.unit and not right.unit:
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
            right.unit,
            right.unit_at,
            link == "maybe" or left.approx or right.approx,
            link,
            from_=from_,
        )

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
        return self.text[max(0, i - 3) : i] == ["give", "or", "take"] or self.text[max(0, i - 3) : i] == [
            "plus",
            "or",
            "minus",
        ]

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
    found = [q for q in joiner.ranges(joiner.measured()) if not joiner.tolerance(q)]
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
