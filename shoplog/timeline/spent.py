"""Time spent: recorded, with the machine running, and waiting, by day and by operation."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

from shoplog.log import Stage, Take
from shoplog.timeline.clock import Calendar
from shoplog.timeline.course import Day, Spent
from shoplog.timeline.evidence import bouts_of
from shoplog.timeline.operations import Trade


def by_operation(takes: Sequence[Take], stages: Sequence[Stage], calendar: Calendar, trade: Trade) -> dict[str, Spent]:
    """Seconds by operation in the trade's order; operations without a stage are left out.

    The time up to the next recording is waiting of the operation before it where that one waits by its nature (glue,
    finish, seasoning), else only within a day.
    """
    sums: dict[str, list[float]] = {}
    rows = _by_recording(stages)
    waits = {operation.name for operation in trade.operations if operation.waits}
    for place, take in enumerate(takes):
        row = rows.get(take.recording.id, ())
        bouts = bouts_of(take.stretches)
        known = sum(end - start for start, end in bouts)
        whole = sum(s.end - s.start for s in row)
        for stage in row:
            total = sums.setdefault(stage.operation, [0.0, 0.0, 0.0])
            total[0] += stage.end - stage.start
            if known:
                total[1] += _overlap(bouts, stage.start, stage.end)
            elif take.recording.machine_seconds and whole:
                total[1] += take.recording.machine_seconds * (stage.end - stage.start) / whole
        if not row:
            continue
        for span, following in zip(
            calendar.spans[take.recording.id], calendar.spans[take.recording.id][1:], strict=False
        ):
            before, after = span.moment(following.start), following.moment(following.start)
            stage = _at(row, following.start)
            if before and after and (stage.operation in waits or before.date() == after.date()):
                sums[stage.operation][2] += max((after - before).total_seconds(), 0.0)
        if place + 1 < len(takes):
            before = calendar.moment(take.recording.id, row[-1].end)
            after = calendar.moment(takes[place + 1].recording.id, 0.0)
            last = row[-1].operation
            if before and after and (last in waits or before.date() == after.date()):
                sums[last][2] += max((after - before).total_seconds(), 0.0)
    order = [operation.name for operation in trade.operations]
    return {name: Spent(sum(sums[name]) - sums[name][1], *sums[name]) for name in order if name in sums}


def by_day(takes: Sequence[Take], stages: Sequence[Stage], calendar: Calendar) -> tuple[Day, ...]:
    """The days in order, each with its recordings and the seconds spent. Recordings lie on the day they began."""
    rows = _by_recording(stages)
    groups: dict[int, list[Take]] = {}
    for take in takes:
        groups.setdefault(calendar.starts[take.recording.id].day, []).append(take)
    days = []
    for number, group in sorted(groups.items()):
        working = sum(_length(take) for take in group)
        machine = sum(_machine(take) for take in group)
        moments = [m for t in group for m in (calendar.moment(t.recording.id, 0.0), _end(t, calendar)) if m]
        dated = len(moments) == 2 * len(group)
        elapsed = max((max(moments) - min(moments)).total_seconds(), working) if dated else working
        names = dict.fromkeys(stage.operation for take in group for stage in rows.get(take.recording.id, ()))
        date = calendar.spans[group[0].recording.id][0].date
        ids = tuple(take.recording.id for take in group)
        days.append(Day(number, date, ids, Spent(elapsed, working, machine, elapsed - working), tuple(names)))
    return tuple(days)


def _length(take: Take) -> float:
    return max(take.recording.duration or 0.0, take.cues[-1].end if take.cues else 0.0)


def _machine(take: Take) -> float:
    bouts = bouts_of(take.stretches)
    return sum(end - start for start, end in bouts) if bouts else take.recording.machine_seconds or 0.0


def _end(take: Take, calendar: Calendar) -> object:
    """The end of the recording's first day: of its first span that lies on it, or of the last of those."""
    spans = calendar.spans[take.recording.id]
    same = [s for s in spans if s.day == spans[0].day]
    rest = spans[len(same)].start if len(same) < len(spans) else _length(take)
    return same[-1].moment(rest)


def _by_recording(stages: Sequence[Stage]) -> dict[int, list[Stage]]:
    rows: dict[int, list[Stage]] = {}
    for stage in stages:
        rows.setdefault(stage.recording_id, []).append(stage)
    return rows


def _at(row: Sequence[Stage], at: float) -> Stage:
    return row[max(bisect_right([s.start for s in row], at - 0.01) - 1, 0)]


def _overlap(bouts: Sequence[tuple[float, float]], start: float, end: float) -> float:
    return sum(max(min(stop, end) - max(begin, start), 0.0) for begin, stop in bouts)
