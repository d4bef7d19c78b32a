"""Facts that stand beside others: the tool in use at a speed, the moisture at which a crack was seen."""

from __future__ import annotations

import sqlite3
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Mapping, Sequence

from shoplog.search.query import Beside
from shoplog.search.vocabulary import covers
from shoplog.store import finding
from shoplog.store.finding import Condition, Line, Reading

#: One fact stands beside another within this many seconds, or in the same operation of the same recording.
SECONDS = 180.0
#: What is said in one breath is at most this many seconds apart.
AT_ONCE = 45.0
#: Kinds whose number says how the piece or the shop is: the one stated nearest in time holds.
_LASTING = frozenset(("dimension", "moisture", "weight", "temperature", "humidity"))
_APART = 1e7
#: What was denied or only thought of stands beside nothing.
_CLAIMED = ("done", "habit", "reported", "planned")


class Neighbours:
    """The facts that a condition asks for beside the wanted ones.

    Of a kind whose number lasts, the one stated nearest in time decides alone.
    """

    def __init__(self, conn: sqlite3.Connection, beside: Beside, kinds: Sequence[str] = ()) -> None:
        self.conn, self.name = conn, f"--beside {beside}"
        conditions = [
            finding.one_of("kind", (beside.kind,)),
            finding.one_of("status", _CLAIMED),
            finding.this_piece(),
        ]
        if beside.items:
            wanted = [i for i in finding.items(conn, beside.kind) if any(covers(b, i) for b in beside.items)]
            conditions.append(finding.one_of("item", wanted))
        self.at_once = tuple(kinds) == ("duration",)
        self.readings: list[Reading] | None = None
        self.lines: list[Line] = []
        if beside.bounds is not None and beside.kind in _LASTING:
            self.readings = finding.readings(conn, conditions, beside.bounds.condition())
            return
        if beside.bounds is not None:
            conditions.append(beside.bounds.condition())
        self.lines = finding.lines(conn, conditions)

    def nearest(self, conditions: Sequence[Condition]) -> list[Line]:
        """Of the facts that meet the conditions, those beside which one stands: within minutes or in the same
        operation; where there are none, in the same recording; else about the same piece.
        """
        if self.readings is not None:
            return _where_it_held(finding.lines(self.conn, conditions), self.readings, finding.projects(self.conn))
        recordings = {other.recording_id for other in self.lines}
        here = finding.lines(self.conn, [*conditions, finding.recorded(recordings)])
        # A wait is said in one breath with what waits; a speed and a tool go on.
        near = (_close(here, self.lines, AT_ONCE) if self.at_once else []) or _close(here, self.lines) or here
        return near or _same_piece(finding.lines(self.conn, conditions), self.lines, finding.projects(self.conn))


def _close(lines: Sequence[Line], others: Sequence[Line], seconds: float = SECONDS) -> list[Line]:
    """The facts within seconds of another, or at work in the same operation where more than a breath is allowed."""
    moments: dict[int, list[float]] = defaultdict(list)
    for other in others:
        moments[other.recording_id].append(other.start)
    for starts in moments.values():
        starts.sort()
    stages = {(o.recording_id, o.operation) for o in others if o.operation and seconds >= SECONDS}
    kept = []
    for line in lines:
        starts = moments[line.recording_id]
        at = bisect_left(starts, line.start - seconds)
        if (at < len(starts) and starts[at] <= line.start + seconds) or (line.recording_id, line.operation) in stages:
            kept.append(line)
    return kept


def _same_piece(lines: Sequence[Line], others: Sequence[Line], projects: Mapping[int, int]) -> list[Line]:
    pieces: dict[int, set[int | None]] = defaultdict(set)
    for other in others:
        pieces[projects[other.recording_id]].add(other.piece)
    kept = []
    for line in lines:
        of = pieces.get(projects[line.recording_id], set())
        if of and (line.piece is None or None in of or line.piece in of):
            kept.append(line)
    return kept


def _where_it_held(lines: Sequence[Line], readings: Sequence[Reading], projects: Mapping[int, int]) -> list[Line]:
    """The facts at whose moment the reading of the same project that was stated nearest in time is within bounds."""
    order = {recording: n * _APART for n, recording in enumerate(projects)}
    moments: dict[int, list[tuple[float, int]]] = defaultdict(list)
    for recording, start, within in readings:
        moments[projects[recording]].append((order[recording] + start, within))
    for found in moments.values():
        found.sort()
    kept = []
    for line in lines:
        near = moments.get(projects[line.recording_id])
        if near:
            now = order[line.recording_id] + line.start
            i = bisect_left(near, (now, 0))
            if i == len(near) or (i and now - near[i - 1][0] <= near[i][0] - now):
                i -= 1
            if near[i][1]:
                kept.append(line)
    return kept
