"""Facts that stand beside others: the tool in use at a speed, the moisture at which a crack was seen."""

from __future__ import annotations

import sqlite3
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Mapping, Sequence

from shoplog.search.query import Beside
from shoplog.search.vocabulary import covers
from shoplog.store import conditions as on
from shoplog.store import finding, shown
from shoplog.store.conditions import Condition
from shoplog.store.finding import Line, Reading

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
            on.one_of("kind", (beside.kind,)),
            on.one_of("status", _CLAIMED),
            on.this_piece(),
        ]
        if beside.items:
            wanted = [i for i in finding.items(conn, beside.kind) if any(covers(b, i) for b in beside.items)]
            conditions.append(on.one_of("item", wanted))
        self.at_once = tuple(kinds) == ("duration",)
        self.within = beside.bounds.condition() if beside.bounds is not None else None
        self.lasting = self.within is not None and beside.kind in _LASTING
        self.others = conditions if self.within is None or self.lasting else [*conditions, self.within]

    def nearest(self, conditions: Sequence[Condition]) -> list[int]:
        """Numbers of the facts that meet the conditions and beside which one stands: within minutes or in the same
        operation; where there are none, in the same recording; else about the same piece.
        """
        if self.lasting and self.within is not None:
            return self._where_it_held(conditions, self.within)
        # A wait is said in one breath with what waits; a speed and a tool go on.
        near = finding.beside(self.conn, conditions, self.others, AT_ONCE) if self.at_once else []
        near = near or finding.beside(self.conn, conditions, self.others, SECONDS, at_work=True)
        if near:
            return near
        others = finding.lines(self.conn, self.others)
        here = finding.ids(self.conn, [*conditions, on.recorded({o.recording_id for o in others})])
        return here or _same_piece(finding.lines(self.conn, conditions), others, shown.projects(self.conn))

    def _where_it_held(self, conditions: Sequence[Condition], within: Condition) -> list[int]:
        """The facts at whose moment the reading that was stated nearest in time about the piece is within bounds."""
        read = finding.with_reading(self.conn, conditions, self.others, within)
        kept = [fact for fact, inside in read if inside]
        unread = [fact for fact, inside in read if inside is None]
        if not unread:
            return kept
        projects = shown.projects(self.conn)
        lines = finding.lines(self.conn, [*conditions, on.numbers(unread)])
        of = {projects[line.recording_id] for line in lines}
        same = on.recorded(r for r, project in projects.items() if project in of)
        return kept + _nearest(lines, finding.readings(self.conn, [*self.others, same], within), projects)


def at_work(conn: sqlite3.Connection, conditions: Sequence[Condition], operations: Sequence[str]) -> list[int]:
    """Of the facts that meet the conditions, those stated nearest in time to one of the operations on their project."""
    projects = shown.projects(conn)
    order = {recording: n * _APART for n, recording in enumerate(projects)}
    moments: dict[int, list[tuple[float, int]]] = defaultdict(list)
    for line in finding.lines(conn, conditions):
        moments[projects[line.recording_id]].append((order[line.recording_id] + line.start, line.id))
    found: dict[int, None] = {}
    for stage in shown.stages(conn, operations):
        if near := moments.get(projects.get(stage.recording_id, 0)):
            now = order[stage.recording_id] + stage.start
            at = min((moment for moment, _ in near), key=lambda moment: abs(moment - now))
            found |= {fact: None for moment, fact in near if abs(moment - at) <= AT_ONCE}
    return list(found)


def _same_piece(lines: Sequence[Line], others: Sequence[Line], projects: Mapping[int, int]) -> list[int]:
    pieces: dict[int, set[int | None]] = defaultdict(set)
    for other in others:
        pieces[projects[other.recording_id]].add(other.piece)
    kept = []
    for line in lines:
        of = pieces.get(projects[line.recording_id], set())
        if of and (line.piece is None or None in of or line.piece in of):
            kept.append(line.id)
    return kept


def _nearest(lines: Sequence[Line], readings: Sequence[Reading], projects: Mapping[int, int]) -> list[int]:
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
                kept.append(line.id)
    return kept
