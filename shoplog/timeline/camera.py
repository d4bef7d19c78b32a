"""How far a camera's clock is off, by what the maker said of the hour and the date."""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from shoplog.log import Recording, Take
from shoplog.timeline.course import Contradiction
from shoplog.timeline.spoken_clock import Spoken, full_date
from shoplog.times import span as length

#: A spoken time and the clock agree within this; a maker's "about nine" is no better.
SLACK = timedelta(minutes=20)
#: A difference within this of whole hours, of no more than so many, is a clock set to another hour.
HOUR_SLACK, MOST_HOURS = timedelta(minutes=12), timedelta(hours=3)
#: What is said in the first so many seconds is said of the recording's own beginning.
OPENING = 150.0

#: By recording: how far its clock is to be set on, and the fact that says so.
Shifts = dict[int, tuple[timedelta, int | None]]


def wall_of(recording: Recording) -> datetime | None:
    """When the recording began by the camera, as shop time: a time with a zone is turned into this computer's zone."""
    started = recording.started
    return started.astimezone().replace(tzinfo=None) if started is not None and started.tzinfo else started


def camera_shifts(
    takes: Sequence[Take], heard: Mapping[int, Sequence[Spoken]]
) -> tuple[dict[int, timedelta], list[Contradiction]]:
    """How far each recording's clock is to be set on, and each such difference told once.

    A recording without a spoken hour takes the shift of its neighbours where both agree, else none.
    """
    own: Shifts = {}
    for take in takes:
        shift = _by_the_hour(take, heard[take.recording.id], own)
        if shift is not None:
            own[take.recording.id] = shift
    _by_the_date(takes, heard, own)
    order = [take.recording.id for take in takes]
    known = [place for place, number in enumerate(order) if number in own]
    shifts: dict[int, timedelta] = {}
    for place, number in enumerate(order):
        cut = bisect_right(known, place)
        near = {own[order[k]][0] for k in known[max(cut - 1, 0) : cut + 1]}
        one = own[number][0] if number in own else near.pop() if len(near) == 1 else timedelta(0)
        shifts[number] = one
    return shifts, _told(takes, own)


def _by_the_hour(take: Take, heard: Sequence[Spoken], own: Shifts) -> tuple[timedelta, int | None] | None:
    """The shift by the first hour that was said of the moment itself; None if it says nothing of the clock."""
    wall = wall_of(take.recording)
    spoken = next((s for s in heard if s.now and s.time is not None and not s.loose), None)
    if wall is None or spoken is None:
        return None
    expected = wall + timedelta(seconds=spoken.at)
    off = spoken.nearest(expected) - expected
    if abs(off) <= SLACK:
        return timedelta(0), None
    if take.recording.started_source == "file" and spoken.at <= OPENING:
        return off, spoken.fact.id  # a copied file's time is only that of the copy
    whole = timedelta(hours=round(off / timedelta(hours=1)))
    if abs(off - whole) > HOUR_SLACK or abs(whole) > MOST_HOURS:
        return None
    # Later in a recording that was cut, an hour on may be only an hour on.
    if spoken.at <= OPENING or whole < timedelta(0) or any(whole == shift for shift, _ in own.values()):
        return whole, spoken.fact.id
    return None


def _by_the_date(takes: Sequence[Take], heard: Mapping[int, Sequence[Spoken]], own: Shifts) -> None:
    """A camera whose date is off by the same days against two or more spoken dates is taken to be set wrong."""
    days: Shifts = {}
    for take in takes:
        wall = wall_of(take.recording)
        for spoken in heard[take.recording.id]:
            day = full_date(spoken, wall) if wall is not None and spoken.now and spoken.at <= OPENING else None
            if wall is not None and day is not None:
                days[take.recording.id] = timedelta(days=(day - wall.date()).days), spoken.fact.id
                break
    votes = Counter(delta for delta, _ in days.values())
    delta, count = votes.most_common(1)[0] if votes else (timedelta(0), 0)
    if not delta or count < 2 or count <= len(days) / 2:
        return
    for take in takes:
        number = take.recording.id
        if wall_of(take.recording) is not None and days.get(number, (delta, None))[0] == delta:
            before, fact_id = own.get(number, (timedelta(0), None))
            own[number] = before + delta, days.get(number, (delta, fact_id))[1]


def _told(takes: Sequence[Take], own: Shifts) -> list[Contradiction]:
    """One contradiction for each length by which a clock is off."""
    told = []
    for delta in dict.fromkeys(shift for shift, _ in own.values() if shift):
        row = [take.recording for take in takes if own.get(take.recording.id, (timedelta(0), None))[0] == delta]
        ids = tuple(recording.id for recording in row)
        names = ", ".join(recording.name for recording in row[:3])
        names += f" and {len(row) - 3} more" if len(row) > 3 else ""
        clock = "the file's time" if row[0].started_source == "file" else "the camera's clock"
        way = "slow" if delta > timedelta(0) else "fast"
        words = f"{clock} is {length(abs(delta.total_seconds()))} {way} against what was said in {names}"
        facts = tuple(fact for number in ids if (fact := own[number][1]) is not None)
        told.append(Contradiction("camera clock", words, facts, ids))
    return told
