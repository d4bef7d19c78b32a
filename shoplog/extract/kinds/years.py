"""Years as they are said: "2019", "twenty nineteen", "nineteen oh five", "two thousand and nine", "'24"."""

from __future__ import annotations

from shoplog.extract.number_words import SMALL, TENS
from shoplog.extract.reading import Reading
from shoplog.extract.stream import COMMA
from shoplog.extract.wordset import wordset

_CENTURIES = {"nineteen": 1900, "19": 1900, "twenty": 2000, "20": 2000}
_COUNTED = wordset(
    "percent % inch inches mm mil cm feet foot degrees rpm revs grit grits coat coats minute minutes hour hours "
    "day days week weeks month months pounds ounces grams kilos times o'clock past of people views dollars bowls"
)


def below_hundred(reading: Reading, i: int, opens: bool = False) -> tuple[int, int] | None:
    """(value, end) of a whole number below a hundred at token ``i``, in words or in one or two digits.

    A border before ``i`` ends what came before it, unless the number ``opens`` there.
    """
    word = reading.word(i) if opens else reading.next(i, COMMA)
    if word.isdecimal() and len(word) <= 2:
        return int(word), i + 1
    if word in TENS:
        unit = SMALL.get(reading.next(i + 1, COMMA), 0)
        return (TENS[word] + unit, i + 2) if 0 < unit < 10 else (TENS[word], i + 1)
    return (SMALL[word], i + 1) if word in SMALL and word != "oh" else None


def year(reading: Reading, i: int) -> tuple[int, int] | None:
    """(year, end) of a year said in full at token ``i``: 1900 to 2099."""
    word = reading.word(i)
    found: tuple[int, int] | None = None
    if word.isdecimal() and len(word) == 4 and 1900 <= int(word) <= 2099:
        found = int(word), i + 1
    elif word in _CENTURIES:
        if reading.next(i + 1, COMMA) in ("oh", "o"):
            digit = SMALL.get(reading.next(i + 2, COMMA), 0)
            found = (_CENTURIES[word] + digit, i + 3) if 0 < digit < 10 else None
        elif (rest := below_hundred(reading, i + 1)) is not None and rest[0] >= 10:
            found = _CENTURIES[word] + rest[0], rest[1]
    elif word == "two" and reading.next(i + 1, COMMA) == "thousand":
        end = i + 3 if reading.next(i + 2, COMMA) == "and" else i + 2
        rest = below_hundred(reading, end)
        found = (2000 + rest[0], rest[1]) if rest and 0 < rest[0] < 50 else None
    return found if found and reading.next(found[1]) not in _COUNTED else None


def short_year(reading: Reading, i: int, latest: int, said: bool = False) -> tuple[int, int] | None:
    """(year, end) of a year without its century: "'24"; with ``said`` also "twenty four" and "24".

    The century is the last one that leaves the year no later than ``latest``.
    """
    marked = reading.word(i) == "'"
    if not (marked or said) or (rest := below_hundred(reading, i + marked)) is None:
        return None
    value, end = rest
    if (marked and end - i != 2) or reading.next(end) in _COUNTED:
        return None
    return value + (2000 if value + 2000 <= latest else 1900), end


def year_of_month(reading: Reading, i: int, latest: int, day: bool = False) -> tuple[int, int] | None:
    """(year, end) of the year that follows a month or its day: "of twenty twenty four", "'25", "of '24", ", 2019".

    After a ``day`` the century may be left out: "the fifth of March twenty six".
    """
    joined = reading.next(i) in ("of", "in")
    at = i + 1 if joined else i
    if not reading.next(at):
        return None
    if (full := year(reading, at)) is not None:
        return full
    short = short_year(reading, at, latest, said=reading.next(i) == "of" or day)
    likely = short is not None and (not day or joined or latest - 30 <= short[0] <= latest)
    return short if likely else None


def years_ago(reading: Reading, start: int, end: int) -> tuple[int, int, int] | None:
    """(years back, start, end) where calendar years are counted around a month: "of last year", "two years ago in"."""
    at = end + 1 if reading.next(end) in ("of", "in") else end
    for words, ago in (
        ("last year", 1),
        ("this year", 0),
        ("this last year", 1),
        ("the year before last", 2),
        ("year before last", 2),
        ("the year before", 1),
        ("a year ago", 1),
        ("a year back", 1),
        ("gone a year", 1),
    ):
        if reading.next(at) and reading.says(at, words):
            return ago, start, at + len(words.split())
    counted = below_hundred(reading, at) if reading.next(at) else None
    if counted and reading.next(counted[1]) == "years" and reading.next(counted[1] + 1) in ("ago", "back", "since"):
        return counted[0], start, counted[1] + 2
    before = reading.before(start, 5)
    while before and before[-1] in ("in", "this", "last", "back", "the"):
        if before[-2:] == ["year", "last"] and before[-3:-2] == ["a"]:
            return 1, start - 3, end
        before = before[:-1]
    if before[-1:] == ["ago"] and before[-2:-1] in (["year"], ["years"]) and len(before) > 2:
        word = before[-3]
        back = 1 if word in ("a", "one") else SMALL.get(word, int(word) if word.isdecimal() else 0)
        return (back, start, end) if 0 < back < 20 else None
    return None


def opens_year(reading: Reading, i: int) -> bool:
    """Whether a year may open at token ``i``: cheap, for a look at every token."""
    word = reading.text[i]
    return word in _CENTURIES or word in ("two", "'") or (len(word) == 4 and word.isdecimal())
