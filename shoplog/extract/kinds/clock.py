"""``clock``: times of day of the work, dates in the life of the wood, and jumps of the narration."""

from __future__ import annotations

import contextlib
import datetime as dt
import itertools
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from shoplog.extract.kinds.dates import dates, jumps
from shoplog.extract.kinds.times import CLOCKS, Found, loose, times
from shoplog.extract.quantities import Quantity
from shoplog.extract.reading import Candidate, Reading, numbered
from shoplog.extract.stream import SENTENCE
from shoplog.extract.wordset import wordset
from shoplog.facts import Status


def candidates(reading: Reading) -> Iterator[Candidate]:
    """Times, dates and jumps; what is said in one breath is one fact."""
    told = list(times(reading))
    told += loose(reading, told)
    found = sorted((*told, *jumps(reading), *dates(reading)), key=lambda f: (f.start, -f.end))
    kept: list[Found] = []
    for item in found:
        if kept and item.start < kept[-1].end:
            continue
        if kept and _put_right(reading, kept[-1], item):
            kept.pop()
        kept.append(item)
    groups: list[list[Found]] = []
    for item in kept:
        if groups and _joins(reading, groups[-1], item):
            groups[-1].append(item)
        else:
            groups.append([item])
    yield from _resolve(reading, groups)


def _joins(reading: Reading, group: list[Found], item: Found) -> bool:
    last = group[-1]
    if item.start - last.end > 6 or (item.later is not None and reading.stream.upper[item.start]):
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


def _by_clock(reading: Reading, start: int) -> bool:
    """Whether a clock tells the time: a reading of an instrument, not the word of someone."""
    return reading.previous(start) in ("says", "said", "reads", "shows") and any(
        w in CLOCKS for w in reading.words(start - 8, start)
    )


def _passing(reading: Reading, found: Found) -> bool:
    """Whether the hour that it is, is told in passing: so, whatever else the talk around it denies or plans."""
    lead = reading.previous(found.start, SENTENCE)
    around = reading.words(found.start - 8, found.end + 6)
    return (
        (found.now or reading.bare)
        and any(w in _PLAIN for w in reading.text[found.start : found.end])
        and lead not in _AT
        and not any(w in wordset("i'll we'll gonna going tomorrow if might will") for w in around)
    )


def _put_right(reading: Reading, first: Found, second: Found) -> bool:
    """Whether a time is told again more closely at once: "it's gone two, five past actually"."""
    if first.time is None or second.time is None or second.start - first.end > 6:
        return False
    if reading.previous(second.start) in _AT or any(
        w in ("and", "till", "until") for w in reading.text[first.end : second.start]
    ):
        return False
    a, b = (abs(f.time[0]) % 12 * 60 + f.time[1] for f in (first, second) if f.time)
    return min((a - b) % 720, (b - a) % 720) <= 15


def _resolve(reading: Reading, groups: list[list[Found]]) -> Iterator[Candidate]:
    recorded = reading.recorded
    today = recorded if isinstance(recorded, dt.date) else dt.date.today()
    today = today.date() if isinstance(today, dt.datetime) else today
    # A moment is when the recording began; a day alone is that of a file, written when the story was over.
    began = isinstance(recorded, dt.datetime)
    running: float | None = (
        recorded.hour + recorded.minute / 60
        if isinstance(recorded, dt.datetime) and (recorded.hour or recorded.minute)
        else None
    )
    if running is None:
        running = _greeting(reading)
    groups = [[replace(f, now=f.now or (any(o.time for o in g) and bool(f.day))) for f in g] for g in groups]
    stated = [(f.start, f.month, f.day) for g in groups for f in g if f.now and f.month and f.day]
    base, based_at, jumped = today, -1, False
    told_at: float | None = None
    for group in groups:
        start, end = group[0].start, max(f.end for f in group)
        attrs: dict[str, Any] = {}
        status: Status | None = None
        score = 0.9
        for f in group:
            if f.later is not None:
                attrs["days_later"] = f.later
                running, told_at, jumped = None, None, True
            if f.date is not None:
                attrs["date"] = f.date
            if f.written:
                status = "reported"
            if f.month:
                future = _promised(reading, f)
                if future and reading.statuses.at(start, start + 1) != "denied":
                    status = "planned"
                anchor = base
                if based_at < 0 and stated and not f.now and not future:
                    # A month named before the first date of the story lies before that date.
                    first = next((s for s in stated if s[0] > f.start), None)
                    if first and first[1] and first[2]:
                        told = _nearest(*first[1:], today) if began else _settle(*first[1:], today, False)
                        anchor = told or base
                day = f.day
                if day is None and not future and f.month == anchor.month and not reading.says(f.start - 1, "this"):
                    anchor = anchor.replace(day=1) - dt.timedelta(days=1)  # this one is "this month"
                if f.ago is not None:
                    with contextlib.suppress(ValueError):
                        told_of = dt.date(anchor.year - f.ago, f.month, day or 1).isoformat()
                        attrs["date"] = told_of if day else told_of[:7]
                    continue
                if f.elapsed and not future:
                    anchor = min(anchor, base - dt.timedelta(days=f.elapsed - 31))
                if day and not future and began and (f.now or jumped):
                    # The story may go on for months after its recording began.
                    date: dt.date | None = _nearest(f.month, day, anchor)
                else:
                    date = _settle(f.month, day or 1, anchor, future)
                if date:
                    attrs["date"] = date.isoformat() if day else date.isoformat()[:7]
                    if f.now and day:
                        base, based_at = date, f.start
        ours = not any(f.time for f in group) or not _not_ours(reading, group)
        for f in group if ours else ():
            if f.time is not None:
                hour, minute = f.time
                if hour < 0:
                    since = told_at if f.now else None
                    hour = _half(-hour, minute, running, since, f.now, _early(reading, f.start))
                attrs["time"] = f"{hour:02d}:{minute:02d}"
                running = hour + minute / 60
                if status is None and (_by_clock(reading, f.start) or _passing(reading, f)):
                    status = "done"
                if (f.now or reading.bare) and any(w in _PLAIN for w in reading.text[f.start : f.end]):
                    told_at = running
        if not attrs or not ours:
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


def stated(reading: Reading, quantity: Quantity, score: float, claims: Sequence[Candidate]) -> Iterator[Candidate]:
    """A number that is known to be a time of day; morning or afternoon by the time that was told before it."""
    amount = quantity.amount
    hour, minute = amount.time or (int(amount.value), 0)
    if (amount.value != int(amount.value) and amount.time is None) or not 0 < hour <= 24 or minute > 59:
        return
    told = [c for c in claims if c.kind == "clock" and c.start < quantity.start and c.attrs.get("time")]
    last = max(told, key=lambda c: c.start).attrs["time"] if told else None
    recorded = reading.recorded
    running = (
        int(last[:2]) + int(last[3:]) / 60
        if last
        else recorded.hour + recorded.minute / 60
        if isinstance(recorded, dt.datetime)
        else _greeting(reading)
    )
    if hour <= 12:
        hour = _half(hour, minute, running)
    yield numbered("clock", quantity, (None, None, None), None, score=score, attrs={"time": f"{hour:02d}:{minute:02d}"})


def _number_in(reading: Reading, start: int, end: int) -> int | None:
    found = reading.numbers(start, end)
    return found[0].start if found else None


#: Whose time it is, where it is none of the work's.
_OTHERS = wordset(
    "school church train train's bus bus's flight plane plane's ferry ferries ferry's boat doctor doctor's dentist vet "
    "choir chapel mass rehearsal appointment appointment's appointments meeting meeting's class lesson game "
    "game's match match's football kickoff show show's film movie news concert gig party party's wedding funeral store "
    "shops library bank pub bakery post postman mail delivery courier open closes close closed shuts opens opening "
    "bell dinner dinner's supper supper's breakfast bedtime bed leaves leave departs sails runs picking woke wake "
    "alarm awake posted upload uploaded stream"
)
#: Words of a time told plainly, not by its numbers only.
_PLAIN = wordset("past to after of till o'clock half quarter noon")
_MORNING = (
    wordset("breakfast sunrise dawn rooster")
    | {f"{a} early" for a in ("here", "up", "and", "bright", "start", "nice")}
    | {"sun clears", "sun comes", "early start"}
)
_EVENING = wordset("supper dinner fed evening tonight dark sunset bedtime telly bed")
_ROUTINE = wordset("usually always every never")
_AT = wordset("at by till until before the on from after than to for and or round every")
_PEOPLE = wordset("she he they she's he's they're kids children wife husband boy girl neighbor neighbour neighbours")


def _not_ours(reading: Reading, group: list[Found]) -> bool:
    """A time that is no time of the work: another's appointment, a timetable, a stopped clock."""
    told = [f for f in group if f.time is not None]
    start, end = told[0].start, told[-1].end
    status = reading.statuses.at(start, start + 1)
    if reading.says(start - 2, "stuck at"):
        return True
    if status == "reported" and not _by_clock(reading, start):
        return True
    if reading.next(end) in ("until", "till", "to", "through") and reading.numbers(end + 1, end + 2):
        return True  # opening hours
    lead = reading.before(start, 3)
    if any(w in ("thinks", "thought", "thinking") for w in reading.words(start - 3, start)):
        return True
    plain = reading.bare and any(w in _PLAIN for w in reading.text[start:end])
    if (plain or any(f.now for f in told)) and not (lead and lead[-1] in _AT):
        # "It's ten to four, and the bus comes at four": the hour that it is stands whatever else the day holds.
        return any(w in ("every", "schedule") for w in (*reading.before(start, 4), *reading.after(end, 2)))
    if status == "hypothetical" and not any(f.month for f in group):
        return True
    if (
        reading.previous(start) == "at"
        and "morning" in reading.text[start:end]
        and told[0].time
        and abs(told[0].time[0]) < 5
    ):
        return True  # the small hours are nobody's at the lathe
    if reading.previous(start) == "the" or reading.says(start - 3, "see you at", "back here at"):
        return True
    if reading.previous(start) == "by" and reading.next(end) in ("you", "you'd", "you'll"):
        return True
    low, high = reading.clauses.clause(start)
    if start - low < 2 and low and reading.border[low] < SENTENCE:
        low = reading.clauses.clause(low - 1)[0]  # "he's not here | till four"
    around = reading.text[max(low, start - 10) : min(high, end + 3)]
    ours = any(w in ("i", "we", "i'm") for w in around)
    return (
        any(w in _OTHERS or (w in _ROUTINE and not ours) for w in around)
        or any(w in _PEOPLE for w in around[:2])
        or any(w in ("he'd", "she'd", "they'd") for w in around)
        or reading.says(start - 2, "up at")
    )


def _promised(reading: Reading, found: Found) -> bool:
    before = reading.before(found.start, 14)
    if any(w in ("was", "were", "had", "went") for w in reading.words(found.end, found.end + 4)):
        return False
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


def _nearest(month: int, day: int, base: dt.date) -> dt.date | None:
    """The date of that day and month nearest to ``base``."""
    found = []
    for year in (base.year - 1, base.year, base.year + 1):
        with contextlib.suppress(ValueError):
            found.append(dt.date(year, month, day))
    return min(found, key=lambda d: abs(d - base), default=None)


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


def _half(
    hour: int,
    minute: int,
    running: float | None,
    told: float | None = None,
    now: bool = True,
    early: bool | None = None,
) -> int:
    """Morning or afternoon of a spoken hour: the one nearer to the hour that it is, later rather than earlier.

    ``running`` is the hour that it is as far as known, ``told`` the one that was plainly said to be: the clock only
    goes forward from it. ``early`` is whether the talk around is of a morning.
    """
    choices = hour % 12 + minute / 60, hour % 12 + 12 + minute / 60
    if told is not None:
        at = told
        return int(min(choices, key=lambda c: (c - at + 0.02) % 24))
    if running is None:
        if early is not None and 5 <= choices[0] < 10:
            return int(choices[not early])
        return int(choices[choices[0] < 6.5])
    since = running
    return int(min(choices, key=lambda c: c - since if c - since >= -0.02 else (since - c) * (2.5 if now else 1.0)))


def _early(reading: Reading, start: int) -> bool | None:
    """Whether the talk around a time is of a morning, None where it is of neither end of the day."""
    around = reading.words(start - 12, start + 25)
    pairs = {f"{a} {b}" for a, b in itertools.pairwise(around)}
    morning, evening = _MORNING & {*around, *pairs}, _EVENING & {*around, *pairs}
    return None if bool(morning) == bool(evening) else bool(morning)
