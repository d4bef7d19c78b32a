"""Dates in a question: "last year", "in March 2024", "on the third of May", "since June", "two weeks ago"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

_MONTHS = {
    name: n
    for n, names in enumerate(
        ("january jan", "february feb", "march", "april apr", "may", "june jun", "july jul", "august aug",
         "september sept sep", "october oct", "november nov", "december dec"), 1)
    for name in names.split()
}  # fmt: skip
#: Names of months that are words of the trade or of plain speech too; they need a word before them.
_DOUBTFUL = frozenset(("march", "may", "jan"))
_LEADS = frozenset(
    ("in", "since", "until", "before", "after", "from", "during", "of", "last", "this", "till", "by", "on")
)
_SEASONS = {"spring": (3, 5), "summer": (6, 8), "autumn": (9, 11), "fall": (9, 11)}
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_ORDINALS = {
    word: n
    for n, word in enumerate(
        ("first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth thirteenth fourteenth "
         "fifteenth sixteenth seventeenth eighteenth nineteenth twentieth").split(), 1)
} | {"thirtieth": 30}  # fmt: skip
_TENS = {"twenty": 20, "thirty": 30}
_SPANS = {"day": 1, "week": 7, "month": 30, "year": 365}


@dataclass(frozen=True, slots=True)
class When:
    """Tokens ``start`` to ``end`` that name days ``since`` to ``until``, both included."""

    start: int
    end: int
    since: date | None
    until: date | None


def _month(year: int, month: int) -> tuple[date, date]:
    following = date(year + month // 12, month % 12 + 1, 1)
    return date(year, month, 1), following - timedelta(days=1)


def find(tokens: Sequence[str], today: date) -> When | None:
    """The first stretch of time that a question names, or None."""
    for i in range(len(tokens)):
        named = _named(tokens, i, today)
        if named is None:
            continue
        end, first, last = named
        first_word = i - 1 if i and tokens[i - 1] == "the" else i
        lead = tokens[first_word - 1] if first_word else ""
        start = first_word - 1 if lead in _LEADS else i
        if lead in ("since", "from"):
            return When(start, end, first, None)
        if lead == "after":
            return When(start, end, last + timedelta(days=1), None)
        if lead == "before":
            return When(start, end, None, first - timedelta(days=1))
        if lead in ("until", "till", "by"):
            return When(start, end, None, last)
        return When(start, end, first, last)
    return None


def _named(tokens: Sequence[str], i: int, today: date) -> tuple[int, date, date] | None:
    """(end, first day, last day) of the stretch named at ``i``."""
    word = tokens[i]
    after = tokens[i + 1] if i + 1 < len(tokens) else ""
    lead = tokens[i - 1] if i else ""
    if day := _day(tokens, i, today):
        return day
    if word == "today":
        return i + 1, today, today
    if word == "yesterday":
        return i + 1, today - timedelta(days=1), today - timedelta(days=1)
    if word in ("last", "this", "past") and after in ("week", "month", "year", *_SEASONS, *_MONTHS):
        return i + 2, *_relative(word, after, today)
    if (
        word.isdecimal()
        and len(word) == 4
        and 1990 <= int(word) <= today.year + 1
        and (lead in _LEADS or lead in _MONTHS)
    ):
        return i + 1, date(int(word), 1, 1), date(int(word), 12, 31)
    if word in _MONTHS and (lead in _LEADS or word not in _DOUBTFUL or (after.isdecimal() and len(after) == 4)):
        month = _MONTHS[word]
        if after.isdecimal() and len(after) == 4 and 1990 <= int(after) <= today.year + 1:
            return i + 2, *_month(int(after), month)
        return i + 1, *_month(today.year if month <= today.month else today.year - 1, month)
    if word in _SEASONS and lead in _LEADS:
        return i + 1, *_relative("in", word, today)
    if (
        word.isdecimal()
        and after.rstrip("s") in _SPANS
        and i + 2 < len(tokens)
        and tokens[i + 2] == "ago"
        and int(word) < 200
    ):
        return i + 3, *_ago(int(word), after.rstrip("s"), today)
    if word in ("a", "one") and after in _SPANS and i + 2 < len(tokens) and tokens[i + 2] == "ago":
        return i + 3, *_ago(1, after, today)
    return None


def _day(tokens: Sequence[str], i: int, today: date) -> tuple[int, date, date] | None:
    """A single day: "20 June", "the third of May 2026", "June 20th", "2026-06-20", "on Saturday"."""
    word = tokens[i]
    lead = tokens[i - 1] if i else ""
    if word in _WEEKDAYS and lead in ("on", "last", "since", "this"):
        on = today - timedelta(days=(today.weekday() - _WEEKDAYS.index(word) - 1) % 7 + 1)
        return i + 1, on, on
    if len(word) == 10 and word[4] == "-":
        try:
            on = date.fromisoformat(word)
        except ValueError:
            return None
        return i + 1, on, on
    if word in _MONTHS:
        end, number, ordinal = _number_of_day(tokens, i + 1)
        month = word
    else:
        end, number, ordinal = _number_of_day(tokens, i)
        of = end < len(tokens) and tokens[end] == "of"
        end, ordinal = end + of, ordinal or of
        month = tokens[end] if number and end < len(tokens) else ""
        end += 1
    if not number or month not in _MONTHS or (month in _DOUBTFUL and not ordinal and lead not in _LEADS):
        return None
    year = today.year
    if end < len(tokens) and tokens[end].isdecimal() and len(tokens[end]) == 4:
        year, end = int(tokens[end]), end + 1
    elif (_MONTHS[month], number) > (today.month, today.day):
        year -= 1
    try:
        on = date(year, _MONTHS[month], number)
    except ValueError:
        return None
    return end, on, on


def _number_of_day(tokens: Sequence[str], i: int) -> tuple[int, int, bool]:
    """(end, day of the month or 0, whether it was said as an ordinal) of the number at ``i``."""
    word = tokens[i] if i < len(tokens) else ""
    after = tokens[i + 1] if i + 1 < len(tokens) else ""
    if word.isdecimal() and 1 <= len(word) <= 2:
        suffix = after in ("st", "nd", "rd", "th")
        return i + 1 + suffix, int(word), suffix
    if word in _TENS and _ORDINALS.get(after, 10) < 10:
        return i + 2, _TENS[word] + _ORDINALS[after], True
    return i + 1, _ORDINALS.get(word, 0), True


def _relative(word: str, unit: str, today: date) -> tuple[date, date]:
    back = 1 if word == "last" else 0
    if unit == "year":
        return date(today.year - back, 1, 1), date(today.year - back, 12, 31)
    if unit == "month":
        months = today.year * 12 + today.month - 1 - back
        return _month(months // 12, months % 12 + 1)
    if unit == "week":
        monday = today - timedelta(days=today.weekday() + 7 * back)
        return monday, monday + timedelta(days=6)
    first, last = _SEASONS.get(unit) or (_MONTHS[unit], _MONTHS[unit])
    year = today.year if (first <= today.month and not (word == "last" and last >= today.month)) else today.year - 1
    return _month(year, first)[0], _month(year, last)[1]


def _ago(count: int, unit: str, today: date) -> tuple[date, date]:
    """Around then: a stretch as long as the unit."""
    middle = today - timedelta(days=count * _SPANS[unit])
    reach = timedelta(days=_SPANS[unit] // 2)
    return middle - reach, middle + reach
