"""The wood and the size of the piece at every fact, kept beside the facts for searching and always computed anew.

Triggers note the projects whose facts have changed; `refresh` works these out again. It is quick where nothing has
changed, so everything that writes facts calls it at the end of its transaction, and a search calls it before it reads.
"""

from __future__ import annotations

import sqlite3
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Sequence

from shoplog.store.database import transaction

#: Parts whose diameter is not the piece's.
PARTS = frozenset(
    [
        "tenon",
        "spigot",
        "hole",
        "mortise",
        "recess",
        "foot",
        "base",
        "stem",
        "neck",
        "bead",
        "cove",
        "knob",
        "finial",
        "screw",
        "bit",
        "jaw",
        "jaws",
        "opening",
        "mouth",
        "lid",
        "tube",
        "dowel",
        "shank",
        "shaft",
        "collar",
        "nub",
        "bottom",
        "knot",
        "ring",
        "branch",
        "tree",
        "trunk",
    ]
)
#: Between the names of several woods of one piece.
BETWEEN = "|"
#: Seconds that keep the recordings of a project apart in one row of time.
_APART = 1e7

_Moments = list[tuple[float, float]]


def refresh(conn: sqlite3.Connection) -> int:
    """Work out wood and size again where facts have changed; the number of projects looked at.

    Joins the caller's transaction where there is one. On a connection that cannot write, and while another program is
    writing, nothing is done: what is stored stays until the next call.
    """
    stale = [row[0] for row in conn.execute("select project_id from stale_project")]
    if not stale:
        return 0
    if conn.in_transaction:
        return _refresh(conn, stale)
    try:
        with transaction(conn):
            return _refresh(conn, stale)
    except sqlite3.OperationalError as error:
        if any(word in str(error) for word in ("readonly", "locked", "busy")):
            return 0
        raise


def _refresh(conn: sqlite3.Connection, projects: Sequence[int]) -> int:
    for project in projects:
        _one(conn, project)
        conn.execute("delete from stale_project where project_id = ?", (project,))
    return len(projects)


def _one(conn: sqlite3.Connection, project: int) -> None:
    found = conn.execute(
        "select fact.id, fact.kind, item, status, fact.start, si_high, piece, other_piece, wood, size, verdict, "
        "recording.id as recording, same_as, json_extract(attrs, '$.of') as part "
        "from fact join recording on recording.id = recording_id "
        "where project_id = ? order by coalesce(started, added_at), recording.id, fact.start",
        (project,),
    ).fetchall()
    order = {r: n for n, r in enumerate(dict.fromkeys(row["recording"] for row in found))}
    own = [row for row in found if not row["other_piece"] and row["same_as"] is None and row["verdict"] != "reject"]
    woods, sizes = _woods(own), _sizes(own, order)
    changes = []
    for row in found:
        # What is said of another piece says nothing of this one's wood and size, nor the other way round.
        wood = None if row["other_piece"] else woods.get(row["piece"]) or woods.get(None)
        moments = None if row["other_piece"] else sizes.get(row["piece"]) or sizes.get(None)
        size = _nearest(moments, order[row["recording"]] * _APART + row["start"]) if moments else None
        if (wood, size) != (row["wood"], row["size"]):
            changes.append((wood, size, row["id"]))
    conn.executemany("update fact set wood = ?, size = ? where id = ?", changes)


def _woods(found: Sequence[sqlite3.Row]) -> dict[int | None, str]:
    """The woods by piece, and of the whole project under None: those stated as so, else those others named.

    A label's or a person's name for the wood counts only where the maker gave none.
    """
    for statuses in (("done",), ("reported", "planned")):
        by_piece: dict[int | None, dict[str, None]] = defaultdict(dict)
        for row in found:
            if row["kind"] == "species" and row["item"] and row["status"] in statuses:
                by_piece[row["piece"]][row["item"]] = None
                by_piece[None][row["item"]] = None
        if by_piece:
            return {piece: BETWEEN.join(names) for piece, names in by_piece.items()}
    return {}


def _sizes(found: Sequence[sqlite3.Row], order: dict[int, int]) -> dict[int | None, _Moments]:
    """The diameters in order of time, by piece and under None of all; widths where no diameter was stated."""
    by_piece: dict[int | None, _Moments] = defaultdict(list)
    for item in ("diameter", "width"):
        for row in found:
            if row["kind"] != "dimension" or row["item"] != item or row["si_high"] is None:
                continue
            if row["status"] not in ("done", "reported") or PARTS & set(str(row["part"] or "").lower().split()):
                continue
            moment = (order[row["recording"]] * _APART + row["start"], row["si_high"])
            by_piece[row["piece"]].append(moment)
            if row["piece"] is not None:
                by_piece[None].append(moment)
        if by_piece:
            break
    return by_piece


def _nearest(moments: _Moments, at: float) -> float:
    i = bisect_left(moments, (at, 0.0))
    if i == len(moments) or (i and at - moments[i - 1][0] <= moments[i][0] - at):
        i -= 1
    return moments[i][1]
