"""Time spent: recorded, with the machine running, and waiting, by day and by operation."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

from shoplog.log import Stage, Take
from shoplog.timeline.clock import Calendar, Span
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
    """The days in order, each with its recordings and the seconds spent.

    A recording in which days pass lies on each of them with its part; one that runs past midnight, on the day on
    which it began.
    """
    rows = _by_recording(stages)
    parts: dict[int, list[tuple[Take, Span, float]]] = {}
    for take in takes:
        spans = calendar.spans[take.recording.id]
        for span, end in zip(spans, [*(s.start for s in spans[1:]), length_of(take)], strict=True):
            parts.setdefault(span.day, []).append((take, span, end))
    days = []
    for number, row in sorted(parts.items()):
        working = machine = 0.0
        names: dict[str, None] = {}
        for take, span, end in row:
            share = max(end - span.start, 0.0)
            working += share
            bouts = bouts_of(take.stretches)
            whole = length_of(take) or 1.0
            rest = (take.recording.machine_seconds or 0.0) * share / whole
            machine += _overlap(bouts, span.start, end) if bouts else rest
            stages_here = rows.get(take.recording.id, ())
            names |= dict.fromkeys(s.operation for s in stages_here if s.start < end and s.end > span.start)
        moments = [m for _, span, end in row for m in (span.moment(span.start), span.moment(end)) if m is not None]
        dated = len(moments) == 2 * len(row)
        elapsed = max((max(moments) - min(moments)).total_seconds(), working) if dated else working
        ids = tuple(dict.fromkeys(take.recording.id for take, _, _ in row))
        spent = Spent(elapsed, working, machine, elapsed - working)
        days.append(Day(number, row[0][1].date, ids, spent, tuple(names)))
    return tuple(days)


def length_of(take: Take) -> float:
    """Seconds that the recording lasts; to its last word where only captions are known."""
    return max(take.recording.duration or 0.0, take.cues[-1].end if take.cues else 0.0)


def _by_recording(stages: Sequence[Stage]) -> dict[int, list[Stage]]:
    rows: dict[int, list[Stage]] = {}
    for stage in stages:
        rows.setdefault(stage.recording_id, []).append(stage)
    return rows


def _at(row: Sequence[Stage], at: float) -> Stage:
    return row[max(bisect_right([s.start for s in row], at - 0.01) - 1, 0)]


def _overlap(bouts: Sequence[tuple[float, float]], start: float, end: float) -> float:
    return sum(max(min(stop, end) - max(begin, start), 0.0) for begin, stop in bouts)
