"""One calendar for the project, from the recordings' creation times and what was said of days and hours.

A recording is cut into spans where the narration jumps ("two days later", a clock that is hours on). In a span time
runs with the recording. A span's day and hour come from the best of: the camera, spoken words, the span before.
Where two of these exclude each other, both are named in a contradiction; the calendar follows the one with more
behind it.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

from shoplog.log import Recording, Take
from shoplog.timeline.camera import OPENING, SLACK, camera_shifts, wall_of
from shoplog.timeline.course import Contradiction, Start
from shoplog.timeline.spoken_clock import Spoken, full_date, opening_weekday, spoken_clock

DAY = timedelta(days=1)
_MIDNIGHT = time()


@dataclass(slots=True)
class Span:
    """A part of a recording in which the shop's clock runs with it, from ``start`` seconds on.

    ``day`` is counted from the project's first day; ``time`` is the time of day at ``start``, None if unknown.
    ``island`` numbers the groups of spans whose days are known relative to each other.
    """

    recording: Recording
    start: float
    day: int
    time: timedelta | None = None
    island: int = 0
    date: date | None = None
    source: str = "order"

    def moment(self, at: float) -> datetime | None:
        """Wall time at ``at`` seconds of the recording; None without a date or an hour."""
        if self.date is None or self.time is None:
            return None
        return datetime.combine(self.date, _MIDNIGHT) + self.time + timedelta(seconds=at - self.start)


@dataclass(slots=True)
class Calendar:
    """The resolved clock of a project."""

    spans: dict[int, list[Span]] = field(default_factory=dict)
    starts: dict[int, Start] = field(default_factory=dict)
    spoken_of: dict[int, datetime] = field(default_factory=dict)
    contradictions: list[Contradiction] = field(default_factory=list)

    def span(self, recording_id: int, at: float) -> Span:
        """The span of the recording in which ``at`` seconds lies."""
        row = self.spans[recording_id]
        if len(row) == 1:
            return row[0]
        return row[max(bisect_right([s.start for s in row], at) - 1, 0)]

    def moment(self, recording_id: int, at: float) -> datetime | None:
        """Wall time at ``at`` seconds of the recording, or None."""
        return self.span(recording_id, at).moment(at)


def resolve(takes: Sequence[Take]) -> Calendar:
    """The calendar of these takes, given in order of time."""
    calendar = Calendar()
    heard = {take.recording.id: spoken_clock(take) for take in takes}
    shifts, calendar.contradictions[:] = camera_shifts(takes, heard)
    last: Span | None = None
    for place, take in enumerate(takes):
        following = next((wall_of(t.recording) for t in takes[place + 1 : place + 2]), None)
        last = _lay(take, heard[take.recording.id], shifts[take.recording.id], last, following, calendar)
    _date_islands(calendar)
    for take in takes:
        _tell(take, heard[take.recording.id], calendar)
    first_day = min((span.day for row in calendar.spans.values() for span in row), default=0)
    for row in calendar.spans.values():
        for span in row:
            span.day += 1 - first_day
        head = row[0]
        source = head.source if head.source in ("container", "file", "spoken") else "order"
        calendar.starts[head.recording.id] = Start(head.recording.id, head.day, head.moment(0.0), source)  # type: ignore[arg-type]
    return calendar


def _lay(
    take: Take,
    spoken: Sequence[Spoken],
    shift: timedelta,
    last: Span | None,
    following: datetime | None,
    calendar: Calendar,
) -> Span:
    """Lay one recording's spans into the calendar, after ``last``; returns its last span."""
    recording = take.recording
    wall = wall_of(recording)
    wall = wall + shift if wall is not None else None
    head = _head(recording, wall, spoken, last, calendar)
    row = [head]
    for word in spoken:
        if not word.now:
            continue
        span = row[-1]
        if word.jump is not None and (word.at > OPENING or (last is None and word.at > 30)):
            jumped = span.day + word.jump
            if wall is not None and following is not None and _number(following.date(), span) < jumped:
                if not word.backward:
                    calendar.contradictions.append(
                        Contradiction(
                            "order of recordings",
                            f"“{word.fact.fact.quote}” was said, but the next recording begins before that",
                            (word.fact.id,),
                            (recording.id,),
                        )
                    )
                continue
            date_ = span.date + timedelta(days=word.jump) if span.date else None
            span = Span(recording, word.at, jumped, None, span.island, date_, "spoken")
            row.append(span)
        day = full_date(word, datetime.combine(span.date, datetime.min.time()) if span.date else None)
        if day is not None and span.date is not None and day != span.date:
            span = _other_date(word, day, span, row, take, wall, following, last, calendar)
        elif day is not None and span.date is None:
            span.date = day
        if word.time is not None:
            _other_time(word, span, row, calendar)
        if word.weekday is not None and span.date is not None and span.date.weekday() != word.weekday:
            calendar.contradictions.append(_wrong_weekday(word.weekday, span.date, (word.fact.id,), recording))
    began = opening_weekday(take)
    heard = any(word.weekday is not None and word.at <= OPENING for word in spoken)
    if began is not None and not heard and head.date is not None and head.date.weekday() != began:
        calendar.contradictions.append(_wrong_weekday(began, head.date, (), recording))
    calendar.spans[recording.id] = row
    return row[-1]


def _wrong_weekday(said: int, day: date, facts: tuple[int, ...], recording: Recording) -> Contradiction:
    words = f"{_WEEKDAYS[said]} was said, but {_say(day)} is a {_WEEKDAYS[day.weekday()]}"
    return Contradiction("weekday", words, facts, (recording.id,))


def _head(
    recording: Recording, wall: datetime | None, spoken: Sequence[Spoken], last: Span | None, calendar: Calendar
) -> Span:
    """The first span of a recording: from the camera, else from what is said at its opening, else from the last."""
    opening = [s for s in spoken if s.now and (s.at <= OPENING or s is spoken[0])]
    jump = next((s for s in opening if s.jump is not None and s.at <= OPENING), None)
    if wall is not None:
        head = Span(
            recording, 0.0, 0, wall - datetime.combine(wall.date(), datetime.min.time()), 0, wall.date(), "container"
        )
        head.source = recording.started_source or "file"
        if last is not None:
            head.island = last.island
            head.day = last.day + (
                (wall.date() - last.date).days if last.date else jump.jump if jump and jump.jump else 0
            )
            if jump is not None and jump.jump is not None and last.date is not None and not jump.backward:
                apart = (wall.date() - last.date).days
                if abs(apart - jump.jump) > jump.leeway:
                    calendar.contradictions.append(
                        Contradiction(
                            "days between",
                            f"“{jump.fact.fact.quote}” was said, but the recordings lie {apart} days apart",
                            (jump.fact.id,),
                            (last.recording.id, recording.id),
                        )
                    )
        return head
    if last is None:
        return Span(recording, 0.0, 0, None, 0, None, "order")
    if jump is not None and jump.jump is not None:
        day = last.date + timedelta(days=jump.jump) if last.date else None
        return Span(recording, 0.0, last.day + jump.jump, None, last.island, day, "spoken")
    head = Span(recording, 0.0, last.day, None, last.island, last.date, "order")
    word = next((s for s in opening if s.date is not None), None)
    if word is not None:
        day = full_date(word, datetime.combine(last.date, datetime.min.time()) if last.date else None)
        if day is not None and last.date is not None and day >= last.date:
            head.day, head.date, head.source = last.day + (day - last.date).days, day, "spoken"
        elif day is not None and last.date is None:
            head.island, head.day, head.date, head.source = last.island + 1, last.day + 1, day, "spoken"
        return head
    hour = next((s for s in opening if s.time is not None), None)
    if hour is not None and hour.time is not None and last.time is not None:
        begun = min(hour.times()) if hour.sure else max(hour.times())
        if begun + timedelta(minutes=5) < last.time:
            # An hour before the last one that was said, with no day named: the next day, at the earliest.
            head.island, head.day, head.date = last.island + 1, last.day + 1, None
    return head


def _number(day: date, span: Span) -> int:
    """The project's day number of a date, from a dated span."""
    return span.day + (day - span.date).days if span.date else span.day + 10**6


def _other_date(
    word: Spoken,
    day: date,
    span: Span,
    row: list[Span],
    take: Take,
    wall: datetime | None,
    following: datetime | None,
    last: Span | None,
    calendar: Calendar,
) -> Span:
    """A date was said that is not the span's: a later part of the recording, or a contradiction."""
    assert span.date is not None
    recording = take.recording
    before = last is not None and last.date is not None and last.recording.id != recording.id and day < last.date
    after = following is not None and day > following.date()
    later = word.at > OPENING and day > span.date and not after
    if later:
        new = Span(recording, word.at, span.day + (day - span.date).days, None, span.island, day, "spoken")
        row.append(new)
        return new
    against = (
        "the recording before it was made later"
        if before
        else "the next recording was made earlier"
        if after
        else (
            f"the camera's clock says {_say(span.date)}"
            if wall is not None
            else f"the recordings before it give {_say(span.date)}"
        )
    )
    calendar.contradictions.append(
        Contradiction(
            "spoken date",
            f"“{word.fact.fact.quote}” ({_say(day)}) was said, but {against}",
            (word.fact.id,),
            (recording.id,),
        )
    )
    if not before and not after and wall is not None and recording.started_source == "file":
        # A copied file's date is weaker than the maker's word.
        span.day += (day - span.date).days
        span.date, span.source = day, "spoken"
    return span


def _other_time(word: Spoken, span: Span, row: list[Span], calendar: Calendar) -> None:
    """Set the span's hour by a spoken one, or begin a new span where the clock ran on while the camera did not."""
    assert word.time is not None
    if span.time is None:
        floor = row[-2].time if len(row) > 1 and row[-2].day == span.day else None
        chosen = word.likely(floor)
        span.time = chosen - timedelta(seconds=word.at - span.start)
        span.source = "spoken" if span.source == "order" else span.source
        return
    expected = span.time + timedelta(seconds=word.at - span.start)
    base = datetime(2000, 1, 1)
    off = word.nearest(base + expected) - (base + expected)
    if abs(off) <= SLACK or word.loose:
        return
    ahead = [t for t in word.times() if t > expected]
    if ahead and word.at > min(OPENING, 60) and min(ahead) - expected < timedelta(hours=11):
        row.append(Span(span.recording, word.at, span.day, min(ahead), span.island, span.date, "spoken"))
        return
    if not any(word.fact.id in c.fact_ids for c in calendar.contradictions):
        clock = (base + expected).strftime("%H:%M")
        calendar.contradictions.append(
            Contradiction(
                "spoken time",
                f"“{word.fact.fact.quote}” was said when the clock stood at {clock}",
                (word.fact.id,),
                (span.recording.id,),
            )
        )


def _date_islands(calendar: Calendar) -> None:
    """Give every span of an island the date that one of them has."""
    anchors: dict[int, tuple[int, date]] = {}
    rows = [span for row in calendar.spans.values() for span in row]
    for span in rows:
        if span.date is not None:
            anchors.setdefault(span.island, (span.day, span.date))
    for span in rows:
        if span.date is None and span.island in anchors:
            day, known = anchors[span.island]
            span.date = known + timedelta(days=span.day - day)


def _tell(take: Take, spoken: Sequence[Spoken], calendar: Calendar) -> None:
    """The moments that clock facts speak of."""
    for word in spoken:
        span = calendar.span(take.recording.id, word.at)
        moment = span.moment(word.at)
        if word.loose and moment is not None and abs(word.nearest(moment) - moment) > SLACK:
            continue
        if word.time is not None and span.date is not None:
            base = datetime.combine(full_date(word, moment) or span.date, datetime.min.time())
            said = moment or base + word.likely(None)
            options = [base + t for t in word.times()]
            if word.fact.fact.status == "planned":
                options = [t for t in options if t >= said] or [t + DAY for t in options]
            elif not word.now:
                options = [t for t in options if t <= said + SLACK] or options
            calendar.spoken_of[word.fact.id] = min(options, key=lambda t: abs(t - said))
        elif word.date is not None:
            day = full_date(word, moment)
            if day is not None:
                calendar.spoken_of[word.fact.id] = datetime.combine(day, datetime.min.time())
        elif word.jump is not None and moment is not None:
            calendar.spoken_of[word.fact.id] = moment


_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def _say(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
