"""What surrounds a fact: the wood it is about, the piece's diameter then, and what else was stated nearby."""

from __future__ import annotations

import sqlite3
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence

from shoplog.search.query import Bounds
from shoplog.search.vocabulary import covers
from shoplog.store import finding
from shoplog.store.finding import Line, Place

#: Parts whose diameter is not the piece's.
_PARTS = frozenset(
    "tenon spigot hole mortise recess foot base stem neck bead cove knob finial screw bit jaw jaws opening mouth lid tube "
    "dowel shank shaft collar nub foot ring bottom knot".split()
)
#: A fact beside another of these kinds: within this many seconds, or in the same operation of the same recording.
_BESIDE_SECONDS = 180.0
#: Kinds that say how the piece is, not what is done at the moment: they hold for the whole piece.
_LASTING = frozenset(("species", "dimension", "moisture", "defect", "finish", "weight", "temperature", "humidity", "credit"))
#: Seconds that keep the recordings of a project apart in one row of time.
_APART = 1e7

Moment = tuple[float, Line]


class Context:
    """The wood and the size at any fact, read once for one search."""

    def __init__(self, conn: sqlite3.Connection, places: dict[int, Place]) -> None:
        self.conn, self.places = conn, places
        self.order = {recording: n for n, recording in enumerate(places)}
        self._woods: dict[tuple[int, int | None], tuple[str, ...]] | None = None
        self._sizes: dict[tuple[int, int | None], tuple[list[float], list[Line]]] | None = None

    def at(self, line: Line) -> float:
        """A fact's place in the row of time of all recordings, seconds."""
        return self.order[line.recording_id] * _APART + line.start

    # ---- wood

    def species(self, line: Line) -> tuple[str, ...]:
        """The woods of the piece: those stated as so, else those that a label or a person named."""
        if self._woods is None:
            self._woods = self._read_woods()
        project = self.places[line.recording_id].project_id
        return self._woods.get((project, line.piece)) or self._woods.get((project, None), ())

    def _read_woods(self) -> dict[tuple[int, int | None], tuple[str, ...]]:
        stated: dict[tuple[int, int | None], dict[str, None]] = defaultdict(dict)
        claimed: dict[tuple[int, int | None], dict[str, None]] = defaultdict(dict)
        for line in finding.lines(self.conn, ("species",)):
            place = self.places.get(line.recording_id)
            if place is None or line.other_piece or not line.item:
                continue
            kept = stated if line.status == "done" else claimed if line.status in ("reported", "planned") else None
            if kept is not None:
                for piece in {line.piece, None}:
                    kept[place.project_id, piece][line.item] = None
        for owner, woods in claimed.items():
            # Another name than the maker's own is only heard where the maker gave none.
            if (owner[0], None) not in stated:
                stated[owner] = woods
        return {owner: tuple(woods) for owner, woods in stated.items()}

    # ---- size

    def diameter(self, line: Line) -> float | None:
        """The piece's diameter in metres as stated nearest in time; its width where no diameter was stated."""
        if self._sizes is None:
            self._sizes = self._read_sizes()
        project = self.places[line.recording_id].project_id
        found = self._sizes.get((project, line.piece)) or self._sizes.get((project, None))
        return None if found is None else _nearest(found, self.at(line)).high

    def _read_sizes(self) -> dict[tuple[int, int | None], tuple[list[float], list[Line]]]:
        parts = finding.diameter_parts(self.conn)
        by_item: dict[str, dict[tuple[int, int | None], list[Moment]]] = {
            "diameter": defaultdict(list),
            "width": defaultdict(list),
        }
        for line in finding.lines(self.conn, ("dimension",), ("diameter", "width")):
            place = self.places.get(line.recording_id)
            if place is None or line.other_piece or line.status not in ("done", "reported") or line.high is None:
                continue
            if _PARTS & set(parts.get(line.id, "").split()):
                continue
            for piece in {line.piece, None}:
                by_item[line.item or ""][place.project_id, piece].append((self.at(line), line))
        chosen = {**by_item["width"], **by_item["diameter"]}
        return {owner: _sorted(moments) for owner, moments in chosen.items()}

    # ---- what else was stated

    def beside(self, kind: str, items: Sequence[str], bounds: Bounds | None, lines: Sequence[Line]) -> Callable[[Line], int]:
        """A function that tells how near to a fact another one of that kind, items and number stands.

        3: within minutes; 2: in the same recording; 1: about the same piece; 0: nowhere. Of a lasting kind with a
        number, the one stated nearest in time decides alone.
        """
        others = [
            o for o in lines
            if o.recording_id in self.places and not o.other_piece and o.status in ("done", "reported")
            and (not items or any(covers(i, o.item) for i in items))
        ]  # fmt: skip
        if bounds is not None and kind in _LASTING:
            return self._by_nearest(others, bounds)
        if bounds is not None:
            others = [o for o in others if bounds.holds(o.low, o.high)]
        near: dict[int, list[Line]] = defaultdict(list)
        projects: dict[int, set[int | None]] = defaultdict(set)
        for o in others:
            near[o.recording_id].append(o)
            projects[self.places[o.recording_id].project_id].add(o.piece)

        def nearness(line: Line) -> int:
            here = near.get(line.recording_id, ())
            if any(
                abs(o.start - line.start) <= _BESIDE_SECONDS or (o.operation and o.operation == line.operation) for o in here
            ):
                return 3
            if here:
                return 2
            pieces = projects.get(self.places[line.recording_id].project_id, ())
            return int(line.piece in pieces or (None in pieces) or (line.piece is None and bool(pieces)))

        return nearness

    def _by_nearest(self, others: Iterable[Line], bounds: Bounds) -> Callable[[Line], int]:
        moments: dict[int, list[Moment]] = defaultdict(list)
        for o in others:
            if o.high is not None:
                moments[self.places[o.recording_id].project_id].append((self.at(o), o))
        rows = {project: _sorted(found) for project, found in moments.items()}

        def nearness(line: Line) -> int:
            found = rows.get(self.places[line.recording_id].project_id)
            if found is None:
                return 0
            nearest = _nearest(found, self.at(line))
            return 3 if bounds.holds(nearest.low, nearest.high) else 0

        return nearness


def _sorted(moments: list[Moment]) -> tuple[list[float], list[Line]]:
    moments.sort(key=lambda m: m[0])
    return [at for at, _ in moments], [line for _, line in moments]


def _nearest(row: tuple[list[float], list[Line]], at: float) -> Line:
    times, lines = row
    i = bisect_left(times, at)
    if i == len(times) or (i and at - times[i - 1] <= times[i] - at):
        i -= 1
    return lines[i]
