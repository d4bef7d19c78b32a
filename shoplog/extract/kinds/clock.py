"""``clock``: times of day of the work, dates in the life of the wood, and jumps of the narration."""

from __future__ import annotations

import contextlib
import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from shoplog.extract.kinds.dates import dates, jumps
from shoplog.extract.kinds.times import Found, times
from shoplog.extract.quantities import Quantity
from shoplog.extract.reading import Candidate, Reading, numbered
from shoplog.extract.wordset import wordset
from shoplog.facts import Status


def candidates(reading: Reading) -> Iterator[Candidate]:
    """Times, dates and jumps; what is said in one breath is one fact."""
    found = sorted((*times(reading), *jumps(reading), *dates(reading)), key=lambda f: (f.start, -f.end))
    kept: list[Found] = []
    for item in found:
        if kept and item.start < kept[-1].end:
            continue
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
    for group in groups:
        start, end = group[0].start, max(f.end for f in group)
        attrs: dict[str, Any] = {}
        status: Status | None = None
        score = 0.9
        for f in group:
            if f.later is not None:
                attrs["days_later"] = f.later
                running, jumped = None, True
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
        for f in group:
            if f.time is not None:
                hour, minute = f.time
                if hour < 0:
                    hour = _half(-hour, minute, running, f.now)
                attrs["time"] = f"{hour:02d}:{minute:02d}"
                running = hour + minute / 60
        if not attrs or (any(f.time for f in group) and _not_ours(reading, group)):
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
        hour = _half(hour, minute, running, True)
    yield numbered("clock", quantity, (None, None, None), None, score=score, attrs={"time": f"{hour:02d}:{minute:02d}"})


def _number_in(reading: Reading, start: int, end: int) -> int | None:
    found = reading.numbers(start, end)
    return found[0].start if found else None


def _not_ours(reading: Reading, group: list[Found]) -> bool:
    """A time that is no time of the work: another's appointment, a stopped clock."""
    start, end = group[0].start, group[-1].end
    low, high = reading.clauses.sentence(start)
    around = reading.words(max(low, start - 9), min(high, end + 5))
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


def _promised(reading: Reading, found: Found) -> bool:
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
