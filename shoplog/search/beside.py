"""Facts that stand beside others: the tool in use at a speed, the moisture at which a crack was seen."""

from __future__ import annotations

import sqlite3
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Callable, Sequence

from shoplog.search.query import Beside, Bounds
from shoplog.search.vocabulary import covers
from shoplog.store import finding
from shoplog.store.finding import Line, Place

#: One fact stands beside another within this many seconds, or in the same operation of the same recording.
SECONDS = 180.0
#: Kinds whose number says how the piece or the shop is: the one stated nearest in time holds.
_LASTING = frozenset(("dimension", "moisture", "weight", "temperature", "humidity"))
_APART = 1e7

#: How near: 3 within minutes, 2 in the same recording, 1 about the same piece, 0 nowhere.
Nearness = Callable[[Line], int]


def nearness(conn: sqlite3.Connection, beside: Beside, places: dict[int, Place]) -> Nearness:
    """A function that tells how near to a fact another one of that kind, items and number stands.

    ``places`` are all recordings. Of a kind whose number lasts, the one stated nearest in time decides alone.
    """
    conditions = [
        finding.one_of("kind", (beside.kind,)), finding.one_of("status", ("done", "reported")), finding.this_piece(),
    ]  # fmt: skip
    if beside.items:
        wanted = [i for i in finding.items(conn, beside.kind) if any(covers(b, i) for b in beside.items)]
        conditions.append(finding.one_of("item", wanted))
    if beside.bounds is not None and beside.kind in _LASTING:
        return _by_nearest(finding.lines(conn, conditions), beside.bounds, places)
    if beside.bounds is not None:
        conditions.append(beside.bounds.condition())
    return _by_distance(finding.lines(conn, conditions), places)


def _by_distance(others: Sequence[Line], places: dict[int, Place]) -> Nearness:
    near: dict[int, list[Line]] = defaultdict(list)
    projects: dict[int, set[int | None]] = defaultdict(set)
    for other in others:
        near[other.recording_id].append(other)
        projects[places[other.recording_id].project_id].add(other.piece)

    def nearness(line: Line) -> int:
        here = near.get(line.recording_id)
        if here:
            for other in here:
                if abs(other.start - line.start) <= SECONDS or (other.operation and other.operation == line.operation):
                    return 3
            return 2
        pieces = projects.get(places[line.recording_id].project_id, ())
        return int(bool(pieces) and (line.piece is None or None in pieces or line.piece in pieces))

    return nearness


def _by_nearest(others: Sequence[Line], bounds: Bounds, places: dict[int, Place]) -> Nearness:
    order = {p.id: n for n, p in enumerate(sorted(places.values(), key=lambda p: (p.day, p.id)))}

    def at(line: Line) -> float:
        return order[line.recording_id] * _APART + line.start

    moments: dict[int, list[tuple[float, bool]]] = defaultdict(list)
    for other in sorted((o for o in others if o.high is not None), key=at):
        moments[places[other.recording_id].project_id].append((at(other), bounds.holds(other.low, other.high)))

    def nearness(line: Line) -> int:
        found = moments.get(places[line.recording_id].project_id)
        if not found:
            return 0
        now = at(line)
        i = bisect_left(found, (now, False))
        if i == len(found) or (i and now - found[i - 1][0] <= found[i][0] - now):
            i -= 1
        return 3 if found[i][1] else 0

    return nearness
