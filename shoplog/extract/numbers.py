"""Spoken numbers: what amounts a stretch of tokens names, and in how many ways each may be read.

A number heard at the lathe is often ambiguous until its neighbours are known: "eight fifty" is a speed or a time,
"5.8" before "inch" is five eighths, "2.20" beside "grit" is two twenty. So an `Amount` keeps every reading that its
form allows, and the family that claims it picks one. `quantities` joins amounts to ranges, units and hedges.

Use alone with `read("about an inch and a half")`.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from shoplog.extract.number_words import DECIMAL, DENOMINATORS, ORDINAL_TOO, RULE, SCALES, SMALL, TENS
from shoplog.extract.stream import NONE, Stream
from shoplog.extract.wordset import wordset

_SUFFIX = frozenset(("st", "nd", "rd", "th", "ths", "s"))
_DIGITS = re.compile(r"\d+\Z")
_COMMAS = re.compile(r"\d{1,3}(?:,\d{3})+(?:\.\d+)?\Z")
_DECIMAL = re.compile(r"(\d*)\.(\d+)\Z")
_FRACTION = re.compile(r"(?:(\d+)-)?(\d+)/(\d+)\Z")
_DASHED = re.compile(r"(\d+)-(\d+)\Z")
_CLOCK = re.compile(r"(\d{1,2}):(\d\d)\Z")


@dataclass(frozen=True, slots=True)
class Amount:
    """One number as said, tokens ``start`` to ``end``.

    ``value`` is the plain reading, ``size`` the reading as a length on an inch rule, ``count`` the one as a speed or
    a grit, ``time`` as (hour, minute); None where the form does not allow it. ``parts`` holds two loose digits that may
    also be two numbers.
    """

    start: int
    end: int
    value: float
    size: float | None = None
    count: float | None = None
    time: tuple[int, int] | None = None
    parts: tuple[float, float] | None = None
    bare: bool = True


def is_number_word(text: str) -> bool:
    """Whether a token can be part of a number."""
    return text[:1].isdecimal() or text in SMALL or text in TENS or text in SCALES or text in DENOMINATORS


def _time(hour: int, minute: int) -> tuple[int, int] | None:
    return (hour, minute) if 0 < hour <= 24 and minute < 60 else None


def _rule(numerator: int, denominator: int) -> float | None:
    """A fraction of an inch rule, in lowest terms as it is said."""
    return numerator / denominator if denominator in RULE and numerator < denominator and numerator % 2 else None


def _run_together(digits: str) -> float | None:
    """ "916" for nine sixteenths, "516" for five sixteenths, "58" for five eighths, "178" for one and seven eighths."""
    for size in (2, 1):
        if len(digits) > size and int(digits[-size:]) in (8, 16, 32, 64) and not digits.startswith("0"):
            whole, denominator = digits[:-size], int(digits[-size:])
            if (fraction := _rule(int(whole), denominator)) is not None:
                return fraction
            if len(whole) == 2 and (fraction := _rule(int(whole[1]), denominator)) is not None:
                return int(whole[0]) + fraction
    return None


def _again(first: int, second: int) -> bool:
    """Whether the second number says the first again, alone or more exactly: "ten ten", "eighty eighty three"."""
    if first == 20 and second >= 20:
        return False  # a year
    return first == second or (first >= 20 and first % 10 == 0 and first < second < first + 10)


class _Reader:
    """Reads amounts off one stream of tokens; holds nothing but the lists."""

    def __init__(self, stream: Stream) -> None:
        self.text, self.border, self.word = stream.text, stream.border, stream.word
        self.n = len(stream.text)

    def at(self, i: int) -> str:
        """The token at ``i`` if it follows without a written border, else nothing."""
        return self.text[i] if i < self.n and self.border[i] == NONE else ""

    def glued(self, i: int) -> bool:
        """Whether token ``i`` was written together with the one before it."""
        return 0 < i < self.n and self.word[i] == self.word[i - 1]

    # ---- words

    def _below_hundred(self, i: int, first: bool = False) -> tuple[int, int] | None:
        """(value, end) of a number below a hundred; ``first`` when it opens an amount and does not add to one."""
        word = self.text[i] if first else self.at(i)
        if word in TENS:
            value = TENS[word]
            unit = self.at(i + 1)
            # "twenty one eighty": the one belongs to the eighty; "fifty five eighths": the five to the eighths;
            # "eighty one way and seventy the other": the one counts nothing.
            after = self.at(i + 2)
            if (
                unit in SMALL
                and 0 < SMALL[unit] < 10
                and after not in TENS
                and (after not in DENOMINATORS or after in DECIMAL)
                and not (unit == "one" and after in _SIDES)
                and (first or after not in SCALES)
                and unit != "oh"
            ):
                return value + SMALL[unit], i + 2
            return value, i + 1
        if word in SMALL and word != "oh":
            return SMALL[word], i + 1
        return None

    def _words(self, i: int) -> Amount | None:
        """A whole number in words, paired readings included."""
        text = self.text
        if text[i] in ("a", "another") and self.at(i + 1) in SCALES:
            group, j = 1, i + 1
        elif text[i] == "a" and self.at(i + 1) == "couple":
            j = i + 3 if self.at(i + 2) == "of" else i + 2
            group = 2
            if self.at(j) not in SCALES:
                return Amount(i, j, 2, bare=False)
        elif text[i] == "couple" and self.at(i + 1 + (self.at(i + 1) == "of")) not in ("", "the", "these", "them"):
            j, group = i + 1 + (self.at(i + 1) == "of"), 2
            if self.at(j) not in SCALES:
                return Amount(i, j, 2, bare=False)
        elif text[i] in ("hundred", "thousand") and (not i or text[i - 1] not in ("few", "several", "couple", "many")):
            return self._scaled(i, i, 1)
        elif text[i] == "a" and self.at(i + 1) == "dozen":
            return Amount(i, i + 2, 12, bare=False)
        elif (below := self._below_hundred(i, first=True)) is not None:
            group, j = below
        else:
            return None
        if self.at(j) in SCALES and not (self.at(j) == "hundred" and group >= 20 and group % 10 == 0):
            return self._scaled(i, j, group)
        # Pairs: "eight fifty", "twelve thirty", "one oh five".
        if 0 < group < 100:
            after = self.at(j)
            if after in ("oh", "o") and self.at(j + 1) in SMALL and 0 < SMALL[self.at(j + 1)] < 10:
                low = SMALL[self.at(j + 1)]
                return Amount(
                    i, j + 2, group * 100 + low, count=group * 100 + low, time=_time(group, low), parts=(group, low)
                )
            below = self._below_hundred(j) if after in TENS or (after in SMALL and SMALL[after] > 9) else None
            if below is not None and not (group >= 20 and group % 10 == 0 and below[0] < 10):
                low, end = below
                # "ten ten and nine", "seven seven and a half" are readings one after another.
                half = self.at(end) == "and" and self.at(end + 1) in ("a", "half")
                if self.at(end) not in (*SCALES, *DENOMINATORS) and not half and not _again(group, low):
                    value = group * 100 + low
                    return Amount(i, end, value, count=value, time=_time(group, low), parts=(group, low))
        return Amount(i, j, group, count=group, time=_time(group, 0))

    def _scaled(self, i: int, j: int, group: float) -> Amount:
        """ "hundred" and "thousand" after a group, with what is added to them."""
        total = 0.0
        value = group
        while (scale := SCALES.get(self.text[j] if j == i else self.at(j))) is not None:
            value *= scale
            j += 1
            if scale == 1000:
                total, value = total + value, 0
            k = j + 1 if self.at(j) == "and" else j
            below = self._below_hundred(k)
            if below is None:
                break
            if below[0] < 10 and k > j and self.at(below[1]) in DENOMINATORS:
                break
            if self.at(below[1]) in SCALES:
                if scale == 1000 and SCALES[self.at(below[1])] == 100 and below[0] < 10:
                    value, j = below[0], below[1]
                    continue
                break
            if scale == 100 and k > j and self.at(below[1]) in TENS:
                break
            total += value + below[0]
            value, j = 0, below[1]
            break
        total += value
        return Amount(i, j, total, count=total)

    # ---- digits

    def _digits(self, i: int) -> Amount | None:
        token = self.text[i]
        after = self.at(i + 1)
        if _DIGITS.match(token):
            value, j = int(token), i + 1
            if after in _SUFFIX and self.glued(i + 1):
                size = _run_together(token) if after in ("s", "ths", "th") else None
                if size is None and after != "s":
                    return None  # an ordinal: dates and denominators are read elsewhere
                return Amount(i, i + 2, value, size=size, count=value)
            if after in SCALES:
                return self._scaled(i, j, value)
            if _DIGITS.match(after):
                low = int(after)
                size = _rule(value, low)
                third = self.at(i + 2)
                paired = (
                    len(after) == 2 and 0 < value < 25 and low >= 10 and not (third in _SUFFIX and self.glued(i + 2))
                )
                if paired and not (value >= 10 and (_DIGITS.match(third) or low % 10)):
                    pair = value * 100 + low
                    return Amount(i, i + 2, pair, size=size, count=pair, time=_time(value, low), parts=(value, low))
                if size is not None:
                    return Amount(i, i + 2, size, size=size, parts=(value, low))
            time = _time(value // 100, value % 100) if len(token) in (3, 4) else _time(value, 0)
            return Amount(i, j, value, size=_run_together(token) if len(token) == 3 else None, count=value, time=time)
        if _COMMAS.match(token):
            value_f = float(token.replace(",", ""))
            return Amount(i, i + 1, value_f, count=value_f)
        if match := _DECIMAL.match(token):
            return self._decimal(i, match)
        if match := _FRACTION.match(token):
            whole, top, bottom = (int(g or 0) for g in match.groups())
            if not bottom or top >= 100 or bottom >= 1000:
                return None
            value_f = whole + top / bottom
            return Amount(i, i + 1, value_f, size=value_f)
        if match := _DASHED.match(token):
            low, high = int(match[1]), int(match[2])
            end = i + 2 if after in _SUFFIX and self.glued(i + 1) else i + 1
            if end == i + 1 and after in _SUFFIX and high in RULE:
                end = i + 2  # "5-8 s"
            size = _rule(low, high)
            if size is None and end == i + 1 and low >= high:
                return None
            return Amount(
                i,
                end,
                size if size is not None and end > i + 1 else low,
                size=size,
                time=_time(low, high),
                parts=(low, high),
            )
        if match := _CLOCK.match(token):
            hour, minute = int(match[1]), int(match[2])
            return Amount(
                i,
                i + 1,
                hour * 100 + minute,
                count=hour * 100 + minute if minute % 10 == 0 else None,
                time=_time(hour, minute),
                bare=False,
            )
        return None

    def _decimal(self, i: int, match: re.Match[str]) -> Amount:
        token = match[0]
        whole, part = int(match[1] or 0), int(match[2])
        size = _rule(whole, part) if whole else None
        if size is None and len(match[2]) in (2, 3) and whole:
            # "8.58" for eight and five eighths: kept as a second reading.
            fraction = _run_together(match[2])
            size = whole + fraction if fraction is not None and fraction < 1 else None
        count = float(whole * 100 + part) if len(match[2]) == 2 and part % 10 == 0 and whole else None
        time = _time(whole, part) if len(match[2]) == 2 else None
        end = i + 1
        if self.at(end) in ("s", "ths", "th") and (self.glued(end) or size is not None):
            end += 1
        return Amount(i, end, float(token), size=size, count=count, time=time)

    # ---- fractions

    def _denominator(self, i: int) -> tuple[int, int] | None:
        """(denominator, end) of a denominator at ``i``."""
        word = self.at(i)
        if word in DENOMINATORS:
            return DENOMINATORS[word], i + 1
        j = i + 1 if word == "'" else i
        if (digits := self.at(j)) and _DIGITS.match(digits) and int(digits) in (3, 4, 5, 8, 10, 16, 32, 64):
            if self.at(j + 1) in ("th", "ths", "rd", "nd", "nds", "s") and (self.glued(j + 1) or j > i):
                return int(digits), j + 2
            if digits == "30" and self.at(j + 1) in ("second", "seconds"):
                return 32, j + 2
        if word in ("thirty", "sixty") and self.at(i + 1) in ("second", "seconds", "fourth", "fourths"):
            return (32 if word == "thirty" else 64), i + 2
        return None

    def fraction(self, i: int) -> tuple[float, int, bool] | None:
        """(value, end, plain) of a fraction below one at ``i``; ``plain`` when it had a numerator."""
        word = self.text[i]
        if word == "'":
            return None
        if word in ("a", "an", "one", "1"):
            found = self._denominator(i + 1)
            if found and not (
                found[0] in (3, 4, 5, 10)
                and word in ("a",)
                and self.text[i + 1] in ORDINAL_TOO
                and self.at(found[1]) != "of"
            ):
                return 1 / found[0], found[1], True
            if word in ("a", "an") and self.at(i + 1) == "16" and self.at(i + 2) not in ("inch", "mm", "mil", "grit"):
                return 1 / 16, i + 2, True
            return None
        if (
            self.at(i + 1) == "slash"
            and _DIGITS.match(self.at(i + 2))
            and (top := SMALL.get(word, int(word) if _DIGITS.match(word) else 0))
        ) and (value := _rule(top, int(self.at(i + 2)))) is not None:
            return value, i + 3, True
        numerator, end = None, i + 1
        if word in SMALL and 1 < SMALL[word] < 16 and word != "oh":
            numerator = SMALL[word]
        elif _DIGITS.match(word) and 1 < int(word) < 32:
            numerator = int(word)
        if numerator:
            found = self._denominator(end)
            if found and numerator < found[0] and found[0] != 2:
                return numerator / found[0], found[1], True
            return None
        if word in ("half", "quarter", "eighth", "sixteenth"):
            return 1 / DENOMINATORS[word], i + 1, False
        if word in ("8", "16") and self.at(i + 1) == "th" and self.glued(i + 1) and self.at(i + 2) == "inch":
            return 1 / int(word), i + 2, False
        match = _FRACTION.match(word)
        if match and not match[1] and int(match[3]) and int(match[2]) < int(match[3]) < 100:
            return int(match[2]) / int(match[3]), i + 1, True
        if (match := _DASHED.match(word)) and (size := _rule(int(match[1]), int(match[2]))):
            end = i + 2 if self.at(i + 1) in ("s", "th", "ths") else i + 1
            return size, end, True
        return None

    # ---- amounts

    def amount(self, i: int) -> Amount | None:
        """The longest amount that starts at ``i``."""
        text = self.text
        word = text[i]
        if (
            word in ("far", "fall")
            and (digits := self.at(i + 1)).isdecimal()
            and (int(digits) in range(20, 100, 10) or int(digits) in (100, 150))
        ):
            # "four twenty" as recognisers write it: "far 20".
            heard = 400.0 + int(digits) % 100
            return Amount(i, i + 2, heard, count=heard)
        first = word[:1]
        if not (first.isdecimal() or first == "." or word in _STARTERS):
            return None
        found = self.fraction(i)
        if found is not None:
            value, end, plain = found
            if text[i] == "half" and self.at(end) in ("a", "an"):
                return Amount(i, end + 1, value, size=value, bare=False)
            if self.at(end) == "of" and self.at(end + 1) in ("a", "an"):
                return Amount(i, end + 2, value, size=value, bare=False)
            if not plain and not (self.at(end) in _SIZED or value in (0.5, 0.25)):
                return None
            return Amount(i, end, value, size=value, bare=plain)
        if word == "point" or word == ".":
            return self._point(i, 0, i)
        whole = self._digits(i) if first.isdecimal() or first == "." else self._words(i)
        if whole is None:
            return None
        return self._compound(whole)

    def _point(self, start: int, whole: float, i: int) -> Amount | None:
        """ "seven point five" from the "point" on."""
        j, digits = i + 1, ""
        while ((word := self.at(j)) in SMALL and SMALL[word] < 10) or (_DIGITS.match(word) and len(word) <= 2):
            digits += str(SMALL[word]) if word in SMALL else word
            j += 1
        return Amount(start, j, whole + float("0." + digits)) if digits else None

    def _compound(self, whole: Amount) -> Amount:
        """A whole number with the fraction that follows it: "2 and a quarter", "1 3/4", "seven point five"."""
        end = whole.end
        after = self.at(end)
        if after == "point" and (found := self._point(whole.start, whole.value, end)):
            return found
        if after in DECIMAL and whole.parts is None and whole.value < 1000:
            return Amount(
                whole.start, end + 1, whole.value / DENOMINATORS[after], size=whole.value / DENOMINATORS[after]
            )
        if whole.value >= 1000 or whole.value != int(whole.value) or whole.parts:
            return whole
        joined = after in ("and", "&") or (
            after == "in" and self.at(end + 1) in ("a", "one") and self._denominator(end + 2)
        )
        if (found := self._broken_off(whole)) is not None:
            return found
        if joined:
            fraction = self.fraction(end + 1) if end + 1 < self.n and self.border[end + 1] == NONE else None
            if fraction is None and after != "in":
                fraction = self._loose_fraction(end + 1)
            if fraction and (fraction[2] or self.text[end + 1] == "half"):
                value = whole.value + fraction[0]
                if self.at(fraction[1]) in ("thousand", "hundred"):
                    value *= SCALES[self.text[fraction[1]]]
                    return Amount(whole.start, fraction[1] + 1, value, count=value)
                return Amount(whole.start, fraction[1], value, size=value)
        elif after and (fraction := self.fraction(end)) is not None and fraction[2] and "/" in self.text[end]:
            value = whole.value + fraction[0]
            return Amount(whole.start, fraction[1], value, size=value)
        return whole

    def _broken_off(self, whole: Amount) -> Amount | None:
        """ "twelve... and a half", "three and, uh, seven eighths": a breath or a filler inside the number."""
        end = whole.end
        if self.text[end : end + 1] != ["and"]:
            return None
        k = end + 1
        while k < min(end + 3, self.n) and self.text[k] in _FILLERS:
            k += 1
        broken = k > end + 1 or self.border[end] != NONE
        if not broken or k >= self.n or (k == end + 1 and self.border[k] != NONE):
            return None
        fraction = self.fraction(k)
        if fraction is None or not fraction[2] or (self.at(fraction[1]) in _SIZED and k == end + 1):
            return None
        value = whole.value + fraction[0]
        return Amount(whole.start, fraction[1], value, size=value)

    def _loose_fraction(self, i: int) -> tuple[float, int, bool] | None:
        """What is written for a fraction after "and": "5-8", "58", "5 8", "7.8", "116"."""
        word = self.at(i)
        if _DIGITS.match(word):
            if _DIGITS.match(self.at(i + 1)) and (size := _rule(int(word), int(self.at(i + 1)))):
                return size, i + 2, True
            size = _run_together(word)
            follows = self.at(i + 1)
            if size is not None and size < 1 and (follows in _SIZED or follows in ("in", "by", "")):
                return size, i + 1, True
        if (match := _DECIMAL.match(word)) and match[1] and (size := _rule(int(match[1]), int(match[2]))):
            return size, i + 1, True
        return None


_FILLERS = wordset("uh um er erm uhm ah like what")
#: What a "one" after a number goes with rather than with the number.
_SIDES = wordset("way side direction end")
_SIZED = wordset("inch inches mm mil mils millimetre millimetres millimeter millimeters of deep thick wide long across")
_STARTERS = (
    frozenset(SMALL)
    | frozenset(TENS)
    | {
        "a",
        "an",
        "half",
        "quarter",
        "eighth",
        "sixteenth",
        "couple",
        "another",
        "point",
        "thousand",
        "hundred",
        "far",
        "fall",
    }
)


def amounts(stream: Stream) -> list[Amount]:
    """All amounts of a stream, in order, none overlapping."""
    reader, found, i, n = _Reader(stream), [], 0, len(stream)
    text = stream.text
    while i < n:
        word = text[i]
        if word in _STARTERS or word[0].isdecimal() or word[0] == ".":
            amount = reader.amount(i)
            if amount is not None and amount.end > i:
                found.append(amount)
                i = amount.end
                continue
        i += 1
    return found


def read_fraction(stream: Stream, i: int) -> tuple[float, int, bool] | None:
    """(value, end, whether it had a numerator) of a fraction below one at token ``i``."""
    return _Reader(stream).fraction(i) if i < len(stream.text) else None


def read(text: str) -> list[Amount]:
    """The amounts named in plain text."""
    from shoplog.extract.stream import build
    from shoplog.transcript import Cue, Transcript

    return amounts(build(Transcript((Cue(0.0, 0.0, text),))))
