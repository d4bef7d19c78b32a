"""All that the log knows of one wood, and of one tool, finish or glue."""

from __future__ import annotations

import sqlite3
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from shoplog import trade
from shoplog.errors import NotFound
from shoplog.search import vocabulary
from shoplog.search.answer import Answer, Found, Group, Passage, Summary
from shoplog.search.answering import search
from shoplog.search.query import Beside, Bounds, Query
from shoplog.search.vocabulary import covers
from shoplog.store import context, finding, shown
from shoplog.store.shown import Place

#: Facts of one sort on a page; the newest are given where there are more.
MOST = 200
#: How far a diameter may be off and still count as like it, as part of itself.
LIKE_SIZE = 0.15
#: Kinds that have a page of their own by item.
PAGED = ("tool", "finish", "adhesive", "workholding")


@dataclass(frozen=True, slots=True)
class Piece:
    """One project of a wood. ``diameter`` in metres; ``seconds`` recorded; ``operation`` the last one; ``open_defects``
    those never said to be repaired or gone; ``last_words`` how its last recording ends.
    """

    project: str
    first_day: str
    last_day: str
    species: tuple[str, ...]
    diameter: float | None
    seconds: float
    operation: str | None
    finishes: tuple[str, ...]
    open_defects: tuple[str, ...]
    last_words: Passage | None


@dataclass(frozen=True, slots=True)
class Crack:
    """A crack with the moisture reading of the same piece stated last before it, else first after it."""

    found: Found
    moisture: Found | None


@dataclass(frozen=True, slots=True)
class WoodPage:
    """``names`` are the woods in the log that the name covers. ``spent`` is (operation, seconds), the longest first."""

    species: str
    names: tuple[str, ...]
    pieces: tuple[Piece, ...]
    speeds: Answer
    moisture: tuple[Found, ...]
    cracks: tuple[Crack, ...]
    no_cracks: tuple[Found, ...]
    finishes: Answer
    grits: Answer
    tools: Answer
    spent: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class ToolPage:
    """``uses`` are all statements of it, what was done first. ``woods`` count the uses by wood; ``speeds`` those stated
    beside it; ``waits`` the waits stated beside a finish or a glue.
    """

    item: str
    kind: str
    uses: Answer
    woods: tuple[Group, ...]
    speeds: Summary | None
    waits: tuple[Found, ...]
    last: Found | None


def wood(conn: sqlite3.Connection, species: str, diameter: Bounds | None = None) -> WoodPage:
    """The page of a wood; speeds and grits only of pieces of this size where a ``diameter`` is given.

    Raises NotFound with what there is when nothing is known of the wood.
    """
    species = _named_wood(species)
    context.refresh(conn)
    names = [w for w in finding.woods(conn) if any(covers(species, one) for one in w.split(context.BETWEEN))]
    if not names:
        raise NotFound(_no_wood(conn, species))
    places = shown.places(conn)
    of_wood = Query(species=(species,))

    def ask(*kinds: str, **more: object) -> Answer:
        return search(conn, replace(of_wood, kinds=kinds, **more), limit=MOST, passages=0)  # type: ignore[arg-type]

    moisture = ask("moisture").found
    cracks = ask("defect", items=("crack",))
    told = [f for f in cracks.found if f.kept.fact.status == "done"]
    of_it = shown.recordings_of(conn, names)
    recordings = [r for r in places if r in of_it]
    return WoodPage(
        species,
        tuple(dict.fromkeys(one for w in names for one in w.split(context.BETWEEN) if covers(species, one))),
        _pieces(
            conn,
            recordings,
            places,
            ask("finish").found,
            ask("defect").found,
            ask("dimension", items=("diameter",)).found,
        ),
        ask("speed", diameter=diameter),
        moisture,
        tuple(Crack(f, _reading_at(f, moisture)) for f in told),
        tuple(f for f in cracks.found if f.kept.fact.status == "denied"),
        ask("finish"),
        ask("grit", diameter=diameter),
        ask("tool"),
        _longest((operation, seconds) for _, operation, seconds in shown.spent(conn, recordings)),
    )


def tool(conn: sqlite3.Connection, item: str) -> ToolPage:
    """The page of a tool, a finish, a glue or a way of holding, by any of its names. Raises NotFound."""
    kind, name = _named_item(item)
    if kind is None:
        kind = next((k for k in PAGED if any(covers(name, i) for i in finding.items(conn, k))), None)
    if kind is None:
        known = ", ".join(i for k in ("tool", "finish") for i in finding.items(conn, k)[:6])
        raise NotFound(
            f'The log knows no tool, finish or glue "{item}"' + (f"; it knows {known}." if known else "; it is empty.")
        )
    uses = search(conn, Query(kinds=(kind,), items=(name,)), limit=MOST, passages=0)
    if not uses.total:
        raise NotFound(f'Nothing in the log is about "{name}" yet.')
    beside = (Beside(kind, (name,)),)
    speeds = search(conn, Query(kinds=("speed",), beside=beside), limit=1, passages=0)
    waits = (
        search(conn, Query(kinds=("duration",), beside=beside), limit=MOST, passages=0)
        if kind in ("finish", "adhesive")
        else None
    )
    done = [f for f in uses.found if f.kept.fact.status == "done"]
    woods = Counter(w for f in done for w in f.species)
    return ToolPage(
        name, kind, uses, tuple(Group(w, n) for w, n in woods.most_common()), speeds.summary,
        waits.found if waits else (), done[0] if done else None,
    )  # fmt: skip


def like_size(diameter: float, unit: str) -> Bounds:
    """Diameters near enough to one for its speeds and grits to be of use."""
    return Bounds(unit, diameter * (1 - LIKE_SIZE), diameter * (1 + LIKE_SIZE))


def _named_wood(words: str) -> str:
    """The wood that the words name, spelling and mishearing aside; the words themselves where they name none."""
    return next((m.value for m in _meanings(words) if m.kind == "species"), " ".join(words.lower().split()))


def _named_item(words: str) -> tuple[str | None, str]:
    found = next((m for m in _meanings(words) if m.role == "item" and m.kind in PAGED), None)
    return (found.kind, found.value) if found else (None, " ".join(words.split()))


def _meanings(words: str) -> list[vocabulary.Meaning]:
    tokens = list(vocabulary.key(words))
    return [m for match in vocabulary.match(tokens, [False] * len(tokens)) for m in match.meanings]


def _no_wood(conn: sqlite3.Connection, species: str) -> str:
    known = sorted({one for w in finding.woods(conn) for one in w.split(context.BETWEEN)})
    if not known:
        return f'The log has no piece of "{species}", nor of any other wood yet.'
    hint = "" if species in trade.items("species") else " (it is no wood that shoplog knows the name of)"
    return f'The log has no piece of "{species}"{hint}; it has {", ".join(known[:12])}.'


def _reading_at(crack: Found, readings: Sequence[Found]) -> Found | None:
    """The moisture of the piece when the crack was seen: the last done reading before it, else the first after."""

    def at(f: Found) -> tuple[str, int, float]:
        return f.day, f.kept.recording_id, f.kept.fact.start

    own = sorted((r for r in readings if r.project == crack.project and r.kept.fact.status == "done"), key=at)
    before = [r for r in own if at(r) <= at(crack)]
    return before[-1] if before else next(iter(own), None)


def _longest(parts: Iterable[tuple[str, float]]) -> tuple[tuple[str, float], ...]:
    total: dict[str, float] = defaultdict(float)
    for operation, seconds in parts:
        total[operation] += seconds
    return tuple(sorted(total.items(), key=lambda t: -t[1]))


def _pieces(
    conn: sqlite3.Connection,
    recordings: Sequence[int],
    places: dict[int, Place],
    finishes: Sequence[Found],
    defects: Sequence[Found],
    sizes: Sequence[Found],
) -> tuple[Piece, ...]:
    """The pieces, the newest first; ``recordings`` in order of time."""
    by_project: dict[str, list[Place]] = defaultdict(list)
    for recording in recordings:
        by_project[places[recording].project].append(places[recording])
    seconds: dict[int, float] = defaultdict(float)
    last_operation: dict[int, str] = {}
    for recording, operation, length in shown.spent(conn, recordings):
        seconds[recording] += length
        last_operation[recording] = operation
    last = {c.recording_id: c for c in shown.last_cues(conn, [own[-1].id for own in by_project.values()])}
    pieces = []
    for project, own in by_project.items():
        end = own[-1]
        cue = last.get(end.id)
        size = [f for f in sizes if f.project == project]
        pieces.append(
            Piece(
                project,
                own[0].day,
                end.day,
                next((f.species for f in (*size, *finishes, *defects) if f.project == project), ()),
                size[0].diameter if size else None,
                sum(seconds[p.id] for p in own),
                last_operation.get(end.id),
                _items(f for f in finishes if f.project == project),
                _open(f for f in defects if f.project == project),
                Passage(cue.id, cue.text, end.id, end.name, project, end.day, cue.start, cue.doubtful) if cue else None,
            )
        )
    return tuple(sorted(pieces, key=lambda p: p.last_day, reverse=True))


def _items(found: Iterable[Found]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(f.kept.fact.item or "" for f in found if f.kept.fact.status == "done"))


def _open(defects: Iterable[Found]) -> tuple[str, ...]:
    """The defects whose newest statement does not say that they are repaired or gone."""
    state: dict[str, str] = {}
    for f in defects:  # the newest first
        if f.kept.fact.status == "done" and f.kept.fact.item:
            state.setdefault(f.kept.fact.item, str(f.kept.fact.attrs.get("change") or ""))
    return tuple(item for item, change in state.items() if change not in ("repaired", "gone"))
