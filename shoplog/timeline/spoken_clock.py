"""What one recording's clock facts say: hour, date, jump, and whether of the moment itself or of another one."""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from shoplog.log import KeptFact, Take

_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
#: Words that settle the half of the day.
_MORNING = re.compile(r"\b(?:a\.?m\.?|morning|before breakfast|at dawn)\b", re.IGNORECASE)
_LATER = re.compile(
    r"\b(?:p\.?m\.?|afternoon|evening|tonight|at night|after (?:lunch|dinner|supper|work|tea))\b",
    re.IGNORECASE,
)
_NOON = re.compile(r"\b(?:noon|midday|mid-day|midnight)\b", re.IGNORECASE)
#: A time after these words is that of something else, not of the moment of speaking.
_ELSEWHEN = re.compile(
    r"\b(?:at|since|from|until|till|til|by|before|after|between|for|was|were|on|in|dated|cut|felled|of)\s+"
    r"(?:about |around |roughly |nearly |just |exactly |the |last |early |late |mid )*$",
    re.IGNORECASE,
)
#: Said so, it is now, whatever stands before.
_ITS_NOW = re.compile(
    r"\b(?:it's|it is|its|that's|we're|is now|now|here we are|today is|today's|clock (?:says|reads|on the wall says)"
    r"|time is|just gone|just past|coming up (?:on|to)|getting on for|i've got|welcome back)\b[^.;!?]{0,24}$",
    re.IGNORECASE,
)
_PAST = re.compile(
    r"\b(?:wasn't|was|were|had been|used to|ago|last (?:year|spring|summer|fall|autumn|winter)|dried|felled"
    r"|came down)\b",
    re.IGNORECASE,
)
#: A year that was said: "2026", "twenty twenty six", "twenty nineteen"; not the "twenty first of May".
_YEAR = re.compile(
    r"\b(?:(?:19|20)\d\d|twenty[- ](?:ten|eleven|twelve|\w+teen|twenty|thirty)|two thousand|nineteen \w+ty)\b",
    re.IGNORECASE,
)
_DAYS = "|".join(_WEEKDAYS)
#: A weekday said of today.
_TODAY = re.compile(
    rf"\b(?:it's|its|it is|today is|happy|this)\s+(?:a |another )?({_DAYS})\b"
    rf"|^\W*(?:\w+\W+){{0,3}}({_DAYS})(?: (?:morning|afternoon|evening|night|the)\b|[,.])",
    re.IGNORECASE,
)
#: A weekday that a recording begins with.
_OPENS_WITH = re.compile(
    rf"^\W*(?:(?:good|morning|afternoon|evening|evenin'?|mornin'?|hello|hi|right|so|well|now|okay)\W+){{0,2}}({_DAYS})"
    r"(?: (?:morning|afternoon|evening|night|again|then|now|today))?[.,!]",
    re.IGNORECASE,
)
_HOURS = "one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve"
#: Words that make a number an hour: without them "three twenty" may as well be a grit, a length or a price.
_AN_HOUR = re.compile(
    rf"\bo'?clock\b|\bhalf\b|\bquarter\b|\b(?:past|to|after|till|before)\b|\d[:.]\d\d|{_MORNING.pattern}|{_LATER.pattern}"
    rf"|{_NOON.pattern}|\b(?:{_DAYS})\b|\b(?:it's|it is|its|'tis|clock|time|gone)\b(?: \w+){{0,3}} (?:\d|{_HOURS})\b",
    re.IGNORECASE,
)
_MONTHS = re.compile(
    r"\b(?:january|february|march|april|may|june|july|august|september|october|november|december)\b", re.IGNORECASE
)
#: A number beside one that was measured: "it was six ninety grams and it's four forty now".
_MEASURED = re.compile(
    r"\b(?:was|were|weighed|from|down)\b[^.;!?]{0,30}\b(?:grams?|g|kilos?|pounds?|ounces?|oz|percent|mil|inch(?:es)?)\b",
    re.IGNORECASE,
)
#: "Next week I take it off": what is to come, no leap of the narration.
_TO_COME = re.compile(r"(?<!the )next (?:week|month|year) \w", re.IGNORECASE)
#: The hours in which a shop is usually at work; an hour without its half of the day is taken to lie in them.
EARLIEST, LATEST = timedelta(hours=6, minutes=30), timedelta(hours=18, minutes=29)
HALF = timedelta(hours=12)


@dataclass(frozen=True, slots=True)
class Spoken:
    """One clock fact at ``at`` seconds. ``time`` is time of day, ``sure`` that its half of the day is settled.

    ``jump`` is days passed, ``backward`` a jump told of the past; ``now`` says that it is of the moment of speaking.
    ``date`` is (year or None, month or None, day or None). ``loose``: the time is a bare number, perhaps no hour.
    """

    fact: KeptFact
    at: float
    now: bool
    time: timedelta | None = None
    sure: bool = False
    date: tuple[int | None, int | None, int | None] | None = None
    jump: int | None = None
    weekday: int | None = None
    backward: bool = False
    loose: bool = False

    @property
    def leeway(self) -> int:
        """By so many days the jump may be off: nobody counts four months, or three weeks, to the day."""
        if self.jump is None:
            return 0
        quote = self.fact.fact.quote.lower()
        return self.jump // (6 if "month" in quote or "year" in quote else 10)

    def times(self) -> tuple[timedelta, ...]:
        """The times of day that may be meant."""
        assert self.time is not None
        if self.sure:
            return (self.time,)
        return tuple(sorted((self.time % (2 * HALF), (self.time + HALF) % (2 * HALF))))

    def nearest(self, moment: datetime) -> datetime:
        """The meant time that lies nearest to ``moment``, on its day or the one before or after."""
        hour = moment - datetime.combine(moment.date(), datetime.min.time())
        return moment + min(((time - hour + HALF) % (2 * HALF) - HALF for time in self.times()), key=abs)

    def likely(self, floor: timedelta | None) -> timedelta:
        """The meant time that is the first after ``floor``, else the one in a shop's usual hours."""
        options = [t for t in self.times() if floor is None or t >= floor] or list(self.times())
        usual = [t for t in options if EARLIEST <= t <= LATEST]
        return (usual or options)[0]


def spoken_clock(take: Take) -> list[Spoken]:
    """The clock facts of this piece in the recording, in order."""
    starts = [cue.start for cue in take.cues]
    found = []
    clocks = [kept for kept in take.facts if kept.fact.kind == "clock"]
    for kept in sorted(clocks, key=lambda k: k.fact.start):
        fact = kept.fact
        if fact.attrs.get("other_piece") or fact.status in ("habit", "hypothetical", "denied"):
            continue
        index = bisect_right(starts, fact.start + 0.01) - 1
        text = take.cues[index].text if index >= 0 else fact.quote
        before, sentence = _around(text, fact.quote)
        time, sure = _time(fact.attrs.get("time"), sentence)
        day = _date(fact.attrs.get("date"))
        jump = None if _TO_COME.search(sentence) else fact.attrs.get("days_later")
        said_day = _TODAY.search(sentence)
        weekday = str(fact.attrs.get("weekday") or (said_day[1] or said_day[2] if said_day else "") or "").lower()
        now = fact.status == "done" and _is_now(before, sentence, fact.quote, day, jump is not None)
        found.append(
            Spoken(
                kept,
                fact.start,
                now,
                time,
                sure,
                day,
                int(jump) if isinstance(jump, int | float) and jump > 0 else None,
                _WEEKDAYS.index(weekday) if weekday in _WEEKDAYS else None,
                bool(_PAST.search(sentence)),
                time is not None and _is_loose(sentence),
            )
        )
    return found


def opening_weekday(take: Take) -> int | None:
    """The weekday (Monday is 0) that is the recording's first word; None if it begins otherwise."""
    match = _OPENS_WITH.match(take.cues[0].text) if take.cues else None
    return _WEEKDAYS.index(match[1].lower()) if match else None


def full_date(spoken: Spoken, near: datetime | None) -> date | None:
    """The date as a whole; without a stated year the one nearest to ``near``. None if a part is missing."""
    if spoken.date is None:
        return None
    year, month, day = spoken.date
    if near is not None and not _YEAR.search(spoken.fact.fact.quote):
        year = None  # it was not said, only filled in
    if month is None or day is None or (year is None and near is None):
        return None
    try:
        if year is not None:
            return date(year, month, day)
        assert near is not None
        options = [date(y, month, day) for y in (near.year - 1, near.year, near.year + 1)]
    except ValueError:  # the 30th of February was heard, or the 29th in a common year
        return None
    return min(options, key=lambda option: abs(option - near.date()))


def _around(text: str, quote: str) -> tuple[str, str]:
    """The words before the quote in its sentence, and the whole sentence."""
    place = text.find(quote) if quote else -1
    if place < 0:
        return "", text
    start = max(text.rfind(mark, 0, place) for mark in ".;!?") + 1
    ends = [e for e in (text.find(mark, place + len(quote)) for mark in ".;!?") if e >= 0]
    return text[start:place].strip() + " ", text[start : min(ends, default=len(text))]


def _is_now(before: str, sentence: str, quote: str, day: tuple[int | None, ...] | None, jump: bool) -> bool:
    if jump:
        return True
    if day is not None and (day[2] is None or day[1] is None):
        return False  # a month or a year alone is of the life of the wood
    if _ITS_NOW.search(before) or _ITS_NOW.search(quote):
        return True
    lead = f"{before}{quote.split()[0].lower() if quote else ''} "
    if _ELSEWHEN.search(before) or _ELSEWHEN.fullmatch(quote.split()[0].lower() + " " if quote else "x "):
        return False
    return not (_PAST.search(lead) and day is not None)


def _is_loose(sentence: str) -> bool:
    """Whether a time is only a number: no word beside it says that it is an hour."""
    parts = re.split(r"[.;!?]\s+", sentence)
    parts = [part for part in parts if not _MONTHS.search(part)] or parts
    return bool(_MEASURED.search(sentence)) or not any(_AN_HOUR.search(part) for part in parts)


def _time(text: object, sentence: str) -> tuple[timedelta | None, bool]:
    match = re.fullmatch(r"(\d{1,2}):(\d{2})", str(text or ""))
    if not match:
        return None, False
    time = timedelta(hours=int(match[1]) % 24, minutes=int(match[2]))
    sure = (
        int(match[1]) >= 13
        or int(match[1]) == 0
        or bool(_MORNING.search(sentence) or _LATER.search(sentence) or _NOON.search(sentence))
    )
    if time < HALF and _LATER.search(sentence) and not _MORNING.search(sentence):
        time += HALF
    return time, sure


def _date(text: object) -> tuple[int | None, int | None, int | None] | None:
    match = re.fullmatch(r"(?:(\d{4})|-)?(?:-?(\d{2})(?:-(\d{2}))?)?", str(text or ""))
    if not match or not any(match.groups()):
        return None
    year, month, day = (int(g) if g else None for g in match.groups())
    return year, month, day
