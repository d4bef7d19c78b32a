"""``clock``: times of day of the work, dates in the life of the wood, and jumps of the narration."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

from shoplog.extract.numbers import SMALL, TENS
from shoplog.extract.reading import Candidate, Reading
from shoplog.extract.stream import COMMA, PAUSE
from shoplog.extract.wordset import wordset

_MONTHS = {
    m: k
    for k, m in enumerate(
        [
            "january",
            "february",
            "march",
            "april",
            "may",
            "june",
            "july",
            "august",
            "september",
            "october",
            "november",
            "december",
        ],
        1,
    )
} | {"jan": 1, "feb": 2, "apr": 4, "aug": 8, "sept": 9, "sep": 9, "oct": 10, "nov": 11, "dec": 12}
_ORDINALS = {
    w: k
    for k, w in enumerate(
        [
            "first",
            "second",
            "third",
            "fourth",
            "fifth",
            "sixth",
            "seventh",
            "eighth",
            "ninth",
            "tenth",
            "eleventh",
            "twelfth",
            "thirteenth",
            "fourteenth",
            "fifteenth",
            "sixteenth",
            "seventeenth",
            "eighteenth",
            "nineteenth",
            "twentieth",
        ],
        1,
    )
} | {"thirtieth": 30}
_DAYS_IN = {"day": 1, "week": 7, "month": 30, "year": 365}
_NAMED = {"noon": (12, 0), "midday": (12, 0), "midnight": (0, 0)}
_OPENERS = wordset(
    "it's its it is at about now past around nearly almost gone just coming up on time's by until till already "
    "'bout at's since"
)
_EVENTS = wordset(
    "shed rack loft garage barn kiln attic felled cut fell down milled sawn sawed repaired mended drying dried "
    "stored sitting sat roughed sealed stacked split harvested blew storm turned bagged oiled measured bag box "
    "put penciled pencilled marked weighed waiting dug died taken"
)
_WORK = wordset(
    "start started stop stopped finish finished knock quit lunch glued clamped put began begin break wrap back "
    "apply coat"
)
_NOT_WORK = wordset(
    "school breakfast ate lunch dinner bus flight appointment church train game show movie news alarm woke wake "
    "bed dentist"
)


@dataclass(frozen=True, slots=True)
class _Found:
    start: int
    end: int
    time: tuple[int, int] | None = None
    date: str | None = None
    later: int | None = None
    weekday: str | None = None
    approx: bool = False
    now: bool = False
    month: int | None = None
    day: int | None = None


def candidates(reading: Reading) -> Iterator[Candidate]:
    """Times, dates and jumps; what is said in one breath is one fact."""
    found = sorted((*_times(reading), *_jumps(reading), *_dates(reading)), key=lambda f: (f.start, -f.end))
    kept: list[_Found] = []
    for item in found:
        if kept and item.start < kept[-1].end:
            continue
        kept.append(item)
    groups: list[list[_Found]] = []
    for item in kept:
        if groups and _joins(reading, groups[-1], item):
            groups[-1].append(item)
        else:
            groups.append([item])
    yield from _resolve(reading, groups)


def _joins(reading: Reading, group: list[_Found], item: _Found) -> bool:
    last = group[-1]
    if item.start - last.end > 6:
        return False
    has = {
        k for f in group for k in ("time", "date", "later") if getattr(f, k) is not None or (k == "date" and f.month)
    }
    mine = {k for k in ("time", "date", "later") if getattr(item, k) is not None or (k == "date" and item.month)}
    if has & mine:
        return False
    if reading.text[last.end : item.start] == ["at"] or last.end == item.start:
        return True
    if not (group[0].now or item.now or last.now):
        return False
    between = reading.text[last.end : item.start]
    return all(
        w in wordset("it's and the on of at about now in a around is just it so nearly almost already we're back")
        for w in between
    )


# ---- times of day


def _times(reading: Reading) -> Iterator[_Found]:
    text = reading.text
    for i, word in enumerate(text):
        if word in ("half", "quarter", "quarters") or word in wordset("five ten twenty twelve 5 10 20 25 12"):
            found = _relative(reading, i)
            if found:
                yield found
                continue
        if word in _NAMED and (
            reading.previous(i) in wordset("at about it's around by past until after before nearly just till")
            or (word != "midnight" and reading.border[i] >= PAUSE)
        ):
            yield _timed(reading, i, i + 1, _NAMED[word], exact=True)
        if word == "o'clock" and i:
            hour = _hour(text[i - 1])
            if hour and not reading.comma_before(i):
                yield _timed(reading, i - 1, i + 1, (hour, 0))
    for quantity in reading.quantities:
        found = _stated(reading, quantity.start, quantity.end, quantity)
        if found:
            yield found


def _hour(word: str) -> int | None:
    value = SMALL.get(word, int(word) if word.isdigit() and len(word) <= 2 else 0)
    return value if 1 <= value <= 12 else None


def _relative(reading: Reading, i: int) -> _Found | None:
    """ "half past two", "quarter to four", "twenty-five past nine", "five after one", and the British "half one"."""
    text = reading.text
    word = text[i]
    if word == "half" and (hour := _hour(reading.next(i + 1))) and text[i + 1] not in ("inch",):
        opened = reading.border[i] >= PAUSE or reading.previous(i) in wordset(
            "it's about at is nearly gone by till until"
        )
        if opened and reading.next(i + 2) not in wordset(
            "inch inches mm mil of is a an turn percent to way coats and-a"
        ):
            return _timed(reading, i, i + 2, (hour, 30))
    if (i and text[i - 1] in ("one", "two", "three", "and") and word in ("quarter", "quarters", "half")) or (
        word == "half" and reading.next(i + 1) != "past"
    ):
        return None
    j = i + 1
    if word == "half":
        minutes = 30
    elif word in ("quarter", "quarters"):
        minutes = 15
    else:
        minutes = int(word) if word.isdigit() else TENS.get(word, SMALL.get(word, 0))
        if word == "twenty" and reading.next(j) in ("five", "-five"):
            minutes, j = 25, j + 1
        if reading.next(j) == "minutes":
            j += 1
        if (
            i
            and (text[i - 1] in TENS or (text[i - 1] in SMALL and text[i - 1] not in ("oh",)))
            and reading.border[i] == 0
        ):
            return None
    link = reading.next(j)
    if link not in wordset("past to after of till until before"):
        return None
    hour = _hour(reading.next(j + 1))
    if hour is None or (link == "of" and word not in ("quarter", "ten", "five", "twenty")):
        return None
    end = j + 2
    after = reading.next(end)
    if after == "o'clock":
        end += 1
        after = reading.next(end)
    if (
        after
        in wordset(
            "percent % inch inches mm mil minutes days hours weeks months coats rpm grit years hundred thousand "
            "seconds pounds degrees times fifty eighths of a-half millimetres to"
        )
        or after in TENS
        or after.isdigit()
    ):
        return None
    if (link in ("to", "of", "till", "before", "until") and minutes < 15) or link == "of":
        # "ten to twelve" may be a range: it must open like a time.
        lead = reading.before(i, 3)
        opened = (
            (lead and lead[-1] in _OPENERS | {"the", "say", "a", "or"})
            or not lead
            or reading.border[i] >= COMMA
            or (after in ("in", "now", "and", "so", "on", "at") and lead[-1:] not in (["from"], ["between"]))
        )
        if not opened or lead[-1:] in (["from"], ["between"], ["takes"], ["for"], ["take"]):
            return None
        if lead[-1:] == ["about"] and minutes < 15 and after not in ("in", "on", "", "and", "now"):
            return None
    time = (hour - 1 or 12, 60 - minutes) if link in ("to", "of", "till", "until", "before") else (hour, minutes)
    start = i - 1 if i and text[i - 1] == "a" else i
    return _timed(reading, start, end, time)


def _stated(reading: Reading, start: int, end: int, quantity: Any) -> _Found | None:
    """ "10:15", "it's 10.15", "it's ten fifteen", "two in the afternoon", "9 a.m.", "knock off at four"."""
    amount = quantity.amount
    if (
        (quantity.upper is not None and "-" not in reading.text[start])
        or quantity.unit is not None
        or (amount.time is None and not amount.parts)
    ):
        return None
    if amount.time is None:
        amount = replace(amount, time=(int(amount.parts[0]), 0))
    hour, minute = amount.time
    text = reading.text
    after = reading.after(end, 4)
    before = reading.before(start, 4)
    last = before[-1] if before else ""
    token = text[start]
    exact24 = hour > 12
    colon = ":" in token
    if (
        (
            after[:3] in (["in", "the", "afternoon"], ["in", "the", "morning"], ["in", "the", "evening"])
            or (after[:2] in (["at", "night"],) and hour >= 6)
        )
        and hour <= 12
        and not any(w in ("grit", "rpm") for w in before)
    ):
        return _timed(reading, start, end + (3 if after[0] == "in" else 2), (hour, minute))
    if after[:1] in (["am"], ["pm"]) or after[:2] in (["a", "m"], ["p", "m"]):
        size = 1 if after[0] in ("am", "pm") else 2
        return _timed(reading, start, end + size, (hour, minute))
    if colon and hour <= 23 and not (token.count(":") > 1):
        if last in ("scale", "ratio") or after[:1] in (["ratio"], ["mix"], ["grit"]):
            return None
        return _timed(reading, start, end, (hour, minute), exact=exact24 or token.startswith("0"))
    if exact24 and not (last in _OPENERS and "." in token):
        return None
    if (
        "-" in token
        and amount.parts is not None
        and amount.parts[0] in (5, 10, 20, 25)
        and amount.parts[1] <= 12
        and (last in ("it's", "morning", "now") or reading.border[start] >= COMMA)
    ):
        # "twenty to two", written "20-2".
        return _timed(reading, start, end, ((int(amount.parts[1]) - 1) or 12, 60 - int(amount.parts[0])))
    if "-" in token and amount.size is not None:
        return None
    its = last in ("it's", "its", "now", "it's-about") or before[-2:] in (
        ["it", "is"],
        ["it's", "about"],
        ["it's", "now"],
        ["it's", "just"],
        ["now", "it's"],
        ["it's", "nearly"],
        ["it's", "almost"],
        ["it's", "around"],
        ["it's", "already"],
        ["time", "is"],
        ["it's", "like"],
        ["it's", "past"],
        ["it's", "gone"],
    )
    paired = minute > 0 and (amount.parts is not None or "." in token or (len(token) in (3, 4) and token.isdigit()))
    follows = after[0] if after else ""
    free = follows in {
        "",
        *wordset(
            "and so on now in the but i i've i'm by already here or according it's we're that's when which "
            "exactly this time there's just then here's"
        ),
    }
    if follows == "in" and after[1:2] == ["here"]:
        return None
    following = next(iter(reading.numbers(end, end + 3)), None)
    if (
        following is not None
        and amount.count
        and following.amount.count
        and following.unit in (None, "grit")
        and amount.count >= 100
        and (following.amount.count or 0) > amount.count
    ):
        return None  # a list of grits
    isolated = reading.border[start] >= PAUSE and (end >= reading.n or reading.border[end] >= COMMA)
    if (
        isolated
        and paired
        and minute in (5, 10, 15, 20, 25, 35, 40, 45, 50, 55, 30)
        and hour <= 12
        and (
            (minute % 10 == 5 and (minute in (15, 45) or reading.border[min(end, reading.n - 1)] >= PAUSE))
            or not (reading.near("speed", start, 30, 12) or reading.near("lathe", start, 30, 12))
        )
        and not reading.near("sand", start, 30, 12)
    ):
        return _timed(reading, start, end, (hour, minute))
    if its and paired and (free or reading.border[min(end, reading.n - 1)] >= COMMA):
        if minute % 5 and "." not in token and amount.parts is None:
            return None
        if (
            reading.near("sand", start, 8, 4)
            or reading.near("lathe", start, 8, 2)
            or reading.near("speed", start, 10, 3)
            or hour > 12
        ):
            return None
        return _timed(reading, start, end, (hour, minute))
    if (
        paired
        and last in wordset("at until till by since around about before")
        and (
            ("." in token and amount.count is None)
            or (hour <= 12 and minute % 5 == 0 and ("." in token or amount.parts is not None))
        )
    ) and (
        any(w in _WORK for w in reading.words(start - 8, end + 4))
        and not reading.near("lathe", start, 12, 6)
        and not reading.near("sand", start, 8, 6)
        and not reading.near("speed", start, 12, 8)
        and not any(w in _NOT_WORK for w in reading.words(start - 7, end + 5))
    ):
        return _timed(reading, start, end, (hour, minute))
    if (
        minute == 0
        and last == "at"
        and amount.value <= 12
        and amount.bare
        and any(
            w in wordset("off knock quit stop stopped started start finish finished glued clamped") for w in before[:-1]
        )
        and not any(w in _NOT_WORK for w in reading.words(start - 7, end + 3))
        and free
        and not reading.near("lathe", start, 10, 6)
        and not reading.near("sand", start, 8, 8)
    ):
        return _timed(reading, start, end, (hour, 0))
    return None


def _timed(reading: Reading, start: int, end: int, time: tuple[int, int], exact: bool = False) -> _Found:
    hour, minute = time
    around = reading.words(start - 6, end + 5)
    greeted = [
        w for w in reading.words(start - 5, start) if w in ("evening", "evenin", "afternoon", "morning", "mornin")
    ]
    half = ("am" if greeted[0].startswith("m") else "pm") if greeted else ""
    tail = reading.words(end - 3, end + 4)
    if "pm" in tail or "afternoon" in tail or "evening" in tail or "night" in tail or "tonight" in around:
        half = "pm"
    elif "am" in tail or "morning" in tail:
        half = "am"
    if hour <= 12 and not exact:
        if half == "pm" and hour < 12:
            hour += 12
        elif half == "am" and hour == 12:
            hour = 0
        elif not half:
            hour = -hour  # to be settled from the hours around it
    if reading.words(end, end + 3) in (["in", "the", "morning"], ["in", "the", "afternoon"], ["in", "the", "evening"]):
        end += 3
    before = reading.before(start, 3)
    approx = any(
        w in wordset("about around nearly almost roughly maybe something coming getting pushing") for w in before
    ) or reading.says(end, "or so", "ish", "or thereabouts", "roughly", "give or take")
    now = (
        any(w in ("it's", "its", "now") for w in before)
        or before[-2:] == ["it", "is"]
        or reading.border[start] >= COMMA
    )
    return _Found(start, end, time=(hour, minute), approx=approx, now=now)


# ---- jumps


def _jumps(reading: Reading) -> Iterator[_Found]:
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
                yield _Found(
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
            yield _Found(i, i + 2, later=7 if unit == "week" else 1, now=True)
        elif (
            word == "day"
            and reading.says(i, "day after")
            and reading.before(i, 1) == ["the"]
            and reading.next(i + 2) not in ("tomorrow", "i", "that", "my")
        ):
            yield _Found(i - 1, i + 2, later=1, now=True)
        elif word == "later" and reading.before(i, 2) == ["fortnight"]:
            continue


# ---- dates


def _dates(reading: Reading) -> Iterator[_Found]:
    text = reading.text
    for i, word in enumerate(text):
        month = _MONTHS.get(word)
        if month and not (word in ("may", "march") and not _month_like(reading, i)):
            found = _month(reading, i, month)
            if found:
                yield found
        elif (
            word.isdigit()
            and len(word) == 4
            and 1900 <= int(word) <= 2099
            and reading.next(i + 1) not in _RATES
            and _year_counts(reading, i)
        ):
            yield _Found(i, i + 1, date=word)
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
            yield _Found(a.start, a.end, date=str(int(a.value)))


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
    if word.isdigit() and 1 <= int(word) <= 31 and len(word) <= 2:
        end = i + 1
        if reading.next(end) in ("st", "nd", "rd", "th"):
            end += 1
        elif reading.next(end) in wordset("percent % inches inch rpm degrees mm"):
            return None
        return int(word), end
    if word in _ORDINALS:
        return _ORDINALS[word], i + 1
    if word in ("twenty", "thirty") and reading.next(i + 1) in _ORDINALS and _ORDINALS[reading.next(i + 1)] < 10:
        return TENS[word] + _ORDINALS[reading.next(i + 1)], i + 2
    if (
        word in SMALL
        and 1 <= SMALL[word] <= 19
        and reading.next(i + 1) not in ("o'clock",)
        and reading.border[min(i + 1, reading.n - 1)] >= COMMA
    ):
        return SMALL[word], i + 1
    return None


def _month(reading: Reading, i: int, month: int) -> _Found | None:
    text = reading.text
    before = reading.before(i, 4)
    start, end, day = i, i + 1, None
    if (after := _day_of(reading.next(i + 1, COMMA), reading, i + 1)) is not None:
        day, end = after
    else:
        k = i
        if before[-1:] == ["of"]:
            k -= 1
        if k and text[k - 1] in ("st", "nd", "rd", "th") and k > 1 and text[k - 2].isdigit():
            day, start = int(text[k - 2]), k - 2
        elif k and text[k - 1] in _ORDINALS:
            day, start = _ORDINALS[text[k - 1]], k - 1
            if k > 1 and text[k - 2] in ("twenty", "thirty"):
                day, start = TENS[text[k - 2]] + day, k - 2
        elif k and text[k - 1].isdigit() and 1 <= int(text[k - 1]) <= 31:
            day, start = int(text[k - 1]), k - 1
    if start and text[start - 1] == "the":
        start -= 1
    year = None
    follow = reading.next(end, PAUSE)
    if follow.isdigit() and len(follow) == 4 and 1900 <= int(follow) <= 2099:
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
            return _Found(start, end, date=f"{year}-{month:02d}", month=None)
        return _Found(start, end, month=month)
    if any(w in ("birthday", "anniversary", "wedding") for w in reading.words(start - 6, end + 4)):
        return None
    approx = any(w in ("about", "around") for w in lead[-2:])
    if year:
        try:
            return _Found(start, end, date=dt.date(year, month, day).isoformat(), approx=approx, now=now)
        except ValueError:
            return None
    return _Found(start, end, month=month, day=day, approx=approx, now=now)


# ---- settling


def _resolve(reading: Reading, groups: list[list[_Found]]) -> Iterator[Candidate]:
    recorded = reading.recorded
    today = recorded if isinstance(recorded, dt.date) else dt.date.today()
    today = today.date() if isinstance(today, dt.datetime) else today
    running: float | None = (
        recorded.hour + recorded.minute / 60
        if isinstance(recorded, dt.datetime) and (recorded.hour or recorded.minute)
        else None
    )
    if running is None:
        running = _greeting(reading)
    groups = [[replace(f, now=f.now or (any(o.time for o in g) and bool(f.day))) for f in g] for g in groups]
    stated = [(f.start, f.month, f.day) for g in groups for f in g if f.now and f.month and f.day]
    base, based_at = today, -1
    for group in groups:
        start, end = group[0].start, max(f.end for f in group)
        attrs: dict[str, Any] = {}
        status = None
        score = 0.9
        for f in group:
            if f.later is not None:
                attrs["days_later"] = f.later
                running = None
            if f.date is not None:
                attrs["date"] = f.date
            if f.month:
                future = _promised(reading, f)
                if future and reading.statuses.at(start, start + 1) != "denied":
                    status = "planned"
                anchor = base
                if based_at < 0 and stated and not f.now and not future:
                    # A month named before the first date of the story lies before that date.
                    first = next((s for s in stated if s[0] > f.start), None)
                    if first and first[1] and first[2]:
                        anchor = _settle(first[1], first[2], today, False) or base
                day = f.day
                date = _settle(f.month, day or 1, anchor, future)
                if date:
                    attrs["date"] = date.isoformat() if day else date.isoformat()[:7]
                    if f.now and day:
                        base, based_at = date, f.start
        for f in group:
            if f.time is not None:
                hour, minute = f.time
                if hour < 0:
                    hour = _half(-hour, minute, running, f.now)
                attrs["time"] = f"{hour:02d}:{minute:02d}"
                running = hour + minute / 60
        if any(f.time for f in group) and _not_ours(reading, group):
            continue
        yield Candidate(
            "clock",
            start,
            end,
            approx=any(f.approx for f in group),
            attrs=attrs,
            score=score + 0.06,
            status=status,
            quantity=_number_in(reading, start, end),
            anchor=start,
        )


def _number_in(reading: Reading, start: int, end: int) -> int | None:
    found = reading.numbers(start, end)
    return found[0].start if found else None


def _not_ours(reading: Reading, group: list[_Found]) -> bool:
    """A time that is no time of the work: another's appointment, a stopped clock."""
    start, end = group[0].start, group[-1].end
    around = reading.words(start - 9, end + 5)
    if (
        reading.says(start - 2, "stuck at")
        or reading.says(start - 3, "see you at")
        or reading.says(start - 3, "back here at")
    ):
        return True
    return (
        any(w in wordset("school church train bus flight doctor dentist breakfast woke") for w in around)
        or reading.statuses.at(start, start + 1) == "reported"
    )


def _promised(reading: Reading, found: _Found) -> bool:
    before = reading.before(found.start, 14)
    return not found.now and (
        any(w in wordset("by until promised before i'll deadline due gonna going till next") for w in before)
        and not any(w in ("since", "was", "last") for w in before[-4:])
    )


def _settle(month: int, day: int, base: dt.date, future: bool) -> dt.date | None:
    """The date nearest to ``base`` on the right side of it."""
    for year in (base.year, base.year + 1) if future else (base.year, base.year - 1):
        try:
            date = dt.date(year, month, day)
        except ValueError:
            continue
        if (date >= base) if future else (date <= base):
            return date
    return None


def _greeting(reading: Reading) -> float | None:
    head = reading.text[:60]
    if "evening" in head[:14] or "night" in head[:14] or "tonight" in head:
        return 18.0
    head = head[:14]
    if "afternoon" in head:
        return 13.0
    if "morning" in head or "mornin" in head:
        return 6.5
    return None


def _half(hour: int, minute: int, running: float | None, now: bool) -> int:
    """Morning or afternoon of a spoken hour: the one nearer to the hour that it is, later rather than earlier."""
    hour %= 12
    if running is None:
        return hour if hour >= 7 else hour + 12
    choices = []
    for candidate in (hour, hour + 12):
        gap = candidate + minute / 60 - running
        choices.append((gap if gap >= -0.02 else -gap * (2.5 if now else 1.0), candidate))
    return min(choices)[1]
