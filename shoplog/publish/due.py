"""When something is due, from the words of a promise and the day they were said on."""

from __future__ import annotations

import calendar
import re
from datetime import date, timedelta

_SMALL = {
    "a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
    "ten": 10, "eleven": 11, "twelve": 12, "fifteen": 15, "twenty": 20, "thirty": 30, "couple": 2, "few": 3,
    "half": 0.5,
}  # fmt: skip
_MONTHS = {name.lower(): n for n, name in enumerate(calendar.month_name) if name}
_DAYS = {name.lower(): n for n, name in enumerate(calendar.day_name)}
_MONTH = "|".join(_MONTHS)
_AMOUNT = re.compile(
    r"\b(?:(\d+(?:\.\d+)?)|(" + "|".join(_SMALL) + r"))(?: (?:a|an|of|more|full|whole|good|or so))*"
    r"(?: (?:to|or) (?:\d+|" + "|".join(_SMALL) + r"))? (hour|day|week|fortnight|month|year)s?\b( and a half)?"
)


def due_date(words: str, said_on: date) -> date | None:
    """The day that the words mean, reckoned from ``said_on``; None where they name none ("one full summer").

    A range counts to its first end, a named month to its end where the end is named, else to its first day.
    """
    text = " ".join(words.lower().replace("-", " ").replace("’", "'").split())
    if re.search(r"\btomorrow\b", text):
        return said_on + timedelta(days=1)
    if re.search(r"\b(?:today|tonight|this (?:afternoon|evening))\b", text):
        return said_on
    if found := _month_day(text, said_on):
        return found
    if match := re.search(
        rf"\b(end|middle|beginning|start) of (?:the )?({_MONTH}|week|month|year|next month|next week)\b", text
    ):
        return _part_of(match[1], match[2], said_on)
    if match := re.search(rf"\b(?:in|by|come|next|until|till|this) ({_MONTH})\b", text) or re.fullmatch(
        rf"({_MONTH})", text
    ):
        return _next_first(_MONTHS[match[1]], said_on)
    if match := re.search(rf"\b({'|'.join(_DAYS)})\b", text):
        ahead = (_DAYS[match[1]] - said_on.weekday() - 1) % 7 + 1
        return said_on + timedelta(days=ahead)
    if match := re.search(r"\bnext (week|month|year)\b", text):
        return _after(said_on, 1, match[1])
    if match := _AMOUNT.search(text):
        n = float(match[1]) if match[1] else float(_SMALL[match[2]])
        return _after(said_on, n + (0.5 if match[4] else 0), match[3])
    if re.search(r"\bfortnight\b", text):
        return said_on + timedelta(days=14)
    if match := re.search(r"\b(?:every|each|the) (day|week|month|year)\b", text):
        return _after(said_on, 1, match[1])
    return None


def _after(day: date, n: float, unit: str) -> date:
    if unit in ("month", "year"):
        months = round(n * (12 if unit == "year" else 1))
        if months:
            year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
            return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))
        return day + timedelta(days=15)
    return day + timedelta(days=max(round(n * {"hour": 1 / 24, "day": 1, "week": 7, "fortnight": 14}[unit]), 0))


def _next_first(month: int, day: date) -> date:
    return date(day.year + (month <= day.month), month, 1)


def _month_day(text: str, said_on: date) -> date | None:
    match = re.search(rf"\b(?:the )?(\d{{1,2}})(?:st|nd|rd|th)?(?: of)? ({_MONTH})\b", text)
    number, month = (match[1], match[2]) if match else ("", "")
    if not match and (match := re.search(rf"\b({_MONTH})(?: the)? (\d{{1,2}})(?:st|nd|rd|th)?\b", text)):
        number, month = match[2], match[1]
    if not match:
        return None
    for year in (said_on.year, said_on.year + 1):
        try:
            found = date(year, _MONTHS[month], int(number))
        except ValueError:
            return None
        if found >= said_on:
            return found
    return None


def _part_of(part: str, whole: str, said_on: date) -> date:
    if whole in _MONTHS:
        month = _MONTHS[whole]
        first = date(said_on.year + (month < said_on.month), month, 1)
    elif "week" in whole:
        monday = said_on - timedelta(days=said_on.weekday()) + timedelta(days=7 * ("next" in whole))
        return monday + timedelta(days={"end": 6, "middle": 2}.get(part, 0))
    elif whole == "year":
        return date(
            said_on.year + (part in ("start", "beginning")), *{"end": (12, 31), "middle": (7, 1)}.get(part, (1, 1))
        )
    else:
        first = _after(said_on.replace(day=1), 1, "month") if "next" in whole else said_on.replace(day=1)
    last = calendar.monthrange(first.year, first.month)[1]
    return first.replace(day={"end": last, "middle": 15}.get(part, 1))
