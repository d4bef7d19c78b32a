"""Dates in the life of the wood, and jumps of the narration: "felled in October", "two days later"."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from shoplog.extract.kinds.times import Found
from shoplog.extract.number_words import MONTHS, ORDINALS, SMALL, TENS
from shoplog.extract.reading import Reading
from shoplog.extract.stream import COMMA, PAUSE
from shoplog.extract.wordset import wordset

_DAYS_IN = {"day": 1, "week": 7, "month": 30, "year": 365}
_EVENTS = wordset(
    "shed rack loft garage barn kiln attic felled cut fell down milled sawn sawed repaired mended drying dried "
    "stored sitting sat roughed sealed stacked split harvested blew storm turned bagged oiled measured bag box "
    "put penciled pencilled marked weighed waiting dug died taken"
)


def jumps(reading: Reading) -> Iterator[Found]:
    text = reading.text
    for quantity in reading.quantities:
        days = _DAYS_IN.get(quantity.unit or "")
        if days and (
            reading.next(quantity.end, COMMA) in ("later",)
            or (
                reading.next(quantity.end, COMMA) == "on"
                and (
                    reading.border[min(quantity.end + 1, reading.n - 1)] >= COMMA
                    or reading.next(quantity.end + 1) in ("and", "now", "so", "it's")
                )
            )
        ):
            value = quantity.read("value")[0]
            if value is not None and value == int(value * 2) / 2:
                yield Found(
                    quantity.start, quantity.end + 1, later=round(value * days), now=True, approx=quantity.approx
                )
    for i, word in enumerate(text):
        if word in ("next", "following") and reading.next(i + 1) in ("day", "morning", "afternoon", "evening", "week"):
            before = reading.before(i, 3)
            unit = text[i + 1]
            opened = (
                reading.border[i] >= PAUSE
                or i == 0
                or before[-1:] == ["the"]
                or before[-1:] in (["it's"], ["so"], ["okay"], ["ok"], ["now"], ["right"], ["well"], ["is"])
            )
            if not opened or (unit == "week" and before[-1:] != ["following"] and not (reading.border[i] >= PAUSE)):
                continue
            if any(w in wordset("until till for in into by i'll going gonna") for w in reading.before(i, 5)):
                continue
            yield Found(i, i + 2, later=7 if unit == "week" else 1, now=True)
        elif (
            word == "day"
            and reading.says(i, "day after")
            and reading.before(i, 1) == ["the"]
            and reading.next(i + 2) not in ("tomorrow", "i", "that", "my")
        ):
            yield Found(i - 1, i + 2, later=1, now=True)
        elif word == "later" and reading.before(i, 2) == ["fortnight"]:
            continue


def dates(reading: Reading) -> Iterator[Found]:
    text = reading.text
    for i, word in enumerate(text):
        month = MONTHS.get(word)
        if month and not (word in ("may", "march") and not _month_like(reading, i)):
            found = _month(reading, i, month)
            if found:
                yield found
        elif (
            word.isdecimal()
            and len(word) == 4
            and 1900 <= int(word) <= 2099
            and reading.next(i + 1) not in _RATES
            and _year_counts(reading, i)
        ):
            yield Found(i, i + 1, date=word)
    for quantity in reading.quantities:
        a = quantity.amount
        if (
            quantity.unit is None
            and quantity.upper is None
            and a.parts
            and a.end - a.start >= 2
            and a.parts[0] in (19, 20)
            and text[a.start].isalpha()
            and _year_counts(reading, a.start, a.end)
        ) or (
            quantity.unit is None
            and 2000 <= a.value <= 2040
            and text[a.start] == "two"
            and a.end - a.start >= 3
            and _year_counts(reading, a.start, a.end)
        ):
            yield Found(a.start, a.end, date=str(int(a.value)))


_RATES = wordset("rpm revs grit grits percent inch mm people subscribers views dollars of bowls")


def _year_counts(reading: Reading, i: int, end: int | None = None) -> bool:
    """A year is a fact where the wood or the piece has it: felled, cut, repaired, in the rack since."""
    before = reading.before(i, 12)
    if before[-1:] not in (["in"], ["since"], ["from"], ["of"], ["back"], ["around"], ["about"]):
        return False
    low, high = reading.clauses.clause(i)
    clause = reading.text[max(low, i - 14) : min(high, i + 10)]
    if any(
        w in wordset("i i've we we've my he she they i'm he's channel truck lathe light machine movie song career")
        for w in clause
    ) and not any(w in wordset("felled milled roughed penciled sealed turned cut repaired") for w in clause):
        return False
    if any(w in wordset("movie song truck married born channel lathe machine machined video") for w in clause):
        return False
    return any(w in _EVENTS for w in clause) and (
        reading.near("wood", i, 14, 8)
        or any(w in ("it", "it's", "this", "that", "crack") for w in clause)
        or reading.near("wait", i, 10, 4)
    )


def _month_like(reading: Reading, i: int) -> bool:
    before, after = reading.before(i, 2), reading.next(i + 1)
    return (
        before[-1:]
        in (["in"], ["of"], ["since"], ["last"], ["early"], ["late"], ["mid"], ["until"], ["by"], ["this"], ["next"])
        or (_day_of(after, reading, i + 1) is not None and after not in ("a", "be"))
        or reading.quantity_before(i, 0) is not None
    )


def _day_of(word: str, reading: Reading, i: int) -> tuple[int, int] | None:
    """(day, end) of a day of the month at token ``i``."""
    if word == "the":
        i, word = i + 1, reading.next(i + 1)
    if word.isdecimal() and 1 <= int(word) <= 31 and len(word) <= 2:
        end = i + 1
        if reading.next(end) in ("st", "nd", "rd", "th"):
            end += 1
        elif reading.next(end) in wordset("percent % inches inch rpm degrees mm"):
            return None
        return int(word), end
    if word in ORDINALS:
        return ORDINALS[word], i + 1
    if word in ("twenty", "thirty") and reading.next(i + 1) in ORDINALS and ORDINALS[reading.next(i + 1)] < 10:
        return TENS[word] + ORDINALS[reading.next(i + 1)], i + 2
    if (
        word in SMALL
        and 1 <= SMALL[word] <= 19
        and reading.next(i + 1) not in ("o'clock",)
        and reading.border[min(i + 1, reading.n - 1)] >= COMMA
    ):
        return SMALL[word], i + 1
    return None


def _month(reading: Reading, i: int, month: int) -> Found | None:
    text = reading.text
    before = reading.before(i, 4)
    start, end, day = i, i + 1, None
    if (after := _day_of(reading.next(i + 1, COMMA), reading, i + 1)) is not None:
        day, end = after
    else:
        k = i
        if before[-1:] == ["of"]:
            k -= 1
        if k and text[k - 1] in ("st", "nd", "rd", "th") and k > 1 and text[k - 2].isdecimal():
            day, start = int(text[k - 2]), k - 2
        elif k and text[k - 1] in ORDINALS:
            day, start = ORDINALS[text[k - 1]], k - 1
            if k > 1 and text[k - 2] in ("twenty", "thirty"):
                day, start = TENS[text[k - 2]] + day, k - 2
        elif k and text[k - 1].isdecimal() and 1 <= int(text[k - 1]) <= 31:
            day, start = int(text[k - 1]), k - 1
    if start and text[start - 1] == "the":
        start -= 1
    year = None
    follow = reading.next(end, PAUSE)
    if follow.isdecimal() and len(follow) == 4 and 1900 <= int(follow) <= 2099:
        year, end = int(follow), end + 1
    lead = reading.before(start, 5)
    now = (any(w in ("it's", "is", "today's") for w in lead[-3:]) and day is not None) or (
        day is not None and reading.border[start] >= PAUSE
    )
    if day is None:
        if lead[-1:] not in (
            ["in"],
            ["since"],
            ["last"],
            ["mid"],
            ["early"],
            ["late"],
            ["of"],
            ["back"],
            ["until"],
            ["around"],
            ["about"],
        ):
            return None
        low, high = reading.clauses.clause(i)
        clause = text[max(low, i - 14) : min(high, i + 8)]
        if (
            lead[-1:] == ["of"]
            or any(
                w
                in wordset(
                    "loaned lent birthday usually lake vacation holiday here wedding's wedding heating we usual "
                    "normally"
                )
                for w in clause
            )
            or lead[-2:] == ["of", "last"]
        ):
            return None
        if not any(w in _EVENTS for w in (*clause, *text[max(0, i - 14) : i])):
            return None
        if year:
            return Found(start, end, date=f"{year}-{month:02d}", month=None)
        return Found(start, end, month=month)
    if any(w in ("birthday", "anniversary", "wedding") for w in reading.words(start - 6, end + 4)):
        return None
    approx = any(w in ("about", "around") for w in lead[-2:])
    if year:
        try:
            return Found(start, end, date=dt.date(year, month, day).isoformat(), approx=approx, now=now)
        except ValueError:
            return None
    return Found(start, end, month=month, day=day, approx=approx, now=now)
