"""A query answered from the log: facts that meet every condition, then what was said."""

from __future__ import annotations

import sqlite3
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from shoplog.facts import KINDS
from shoplog.search import spoken
from shoplog.search.answer import Answer, Found, Spent, Summary, summarise
from shoplog.search.beside import Nearness, nearness
from shoplog.search.query import Query, as_line
from shoplog.search.vocabulary import covers
from shoplog.store import context, finding
from shoplog.store.finding import Condition, Line, Place

#: What was done comes before what is usually done, was said by others, was planned or might be; denials come last.
RANKS = {"done": 0, "habit": 1, "reported": 2, "planned": 3, "hypothetical": 4, "denied": 5}
#: Kinds that say how the piece is, whatever is being done to it.
_LASTING = frozenset(("moisture", "weight", "temperature", "humidity", "dimension", "credit", "species", "followup"))
#: Questions that the recorded time of an operation may answer.
_TIMED = ("time", "when", "last", "first", "did", "count")


@dataclass(frozen=True, slots=True)
class _Aside:
    """A condition on what stands beside a fact."""

    name: str
    near: Nearness


def search(conn: sqlite3.Connection, query: Query, limit: int = 10, passages: int = 5) -> Answer:
    """The answer to a query. ``limit`` facts and ``passages`` passages are given in full."""
    line = as_line(query)
    if query.empty:
        return Answer(query, line)
    context.refresh(conn)
    places = finding.places(conn)
    conditions = _conditions(conn, query)
    asides = [_Aside(f"--beside {b}", nearness(conn, b, places)) for b in query.beside]
    kept, unheard = _kept(conn, query, conditions, asides, places)
    by_status = finding.statuses(conn, kept)
    total = sum(by_status.values())
    ranked = sorted(by_status, key=lambda s: RANKS.get(s, len(RANKS)))
    found = _found(conn, query, kept, ranked, places, limit)
    return Answer(
        query,
        line,
        found=found,
        total=total,
        summary=_summary(conn, kept, ranked[0], found, places) if ranked else None,
        spent=_spent(conn, query, places) if query.operations and (query.want in _TIMED or not total) else (),
        passages=spoken.passages(conn, query, places, passages) if passages else (),
        excluded=() if total else _excluded(conn, conditions, asides),
        unheard=unheard,
    )


def _kept(
    conn: sqlite3.Connection,
    query: Query,
    conditions: Sequence[Condition],
    asides: Sequence[_Aside],
    places: dict[int, Place],
) -> tuple[Sequence[Condition], tuple[str, ...]]:
    """Conditions that hold for the facts that are wanted, and the words that were said near none of them."""
    kept, unheard = list(conditions), []
    if set(query.items) & {"diameter", "width"} and not any(w in context.PARTS for w in query.words):
        whole = [*kept, finding.whole_piece()]
        kept = whole if finding.count(conn, whole) else kept
    if query.operations and set(query.kinds) & _LASTING:
        # A reading belongs to the piece: where none was taken in the operation itself, the others answer.
        name = _named("--operation", query.operations)
        if not finding.count(conn, kept):
            kept = [c for c in kept if c.name != name]
            unheard.append(name)
    if query.kinds or query.species or query.diameter or query.beside or query.statuses:
        # Names first: what narrows to one piece must not be lost to a word that was said of another.
        for word in sorted(query.words, key=lambda w: not spoken.by_name(places, [w])):
            narrower = spoken.near(conn, word, kept, places)
            if narrower:
                kept = [*kept, narrower]
            elif not spoken.is_form(word):
                unheard.append(word)
    if asides:
        near = _nearest(finding.lines(conn, kept), asides)
        kept = [*(c for c in conditions if c.sql.startswith("kind")), finding.numbers([f.id for f in near])]
    return kept, tuple(unheard)


# ---- conditions


def _conditions(conn: sqlite3.Connection, query: Query) -> list[Condition]:
    """All that the log itself can decide. The first one says which facts are meant at all; it has no name."""
    conditions = _base_of(conn, query)
    if not query.other_piece:
        conditions.append(finding.this_piece("this piece only"))
    if query.bounds:
        conditions.append(query.bounds.condition(f"--number {query.bounds}"))
    if query.statuses:
        conditions.append(finding.one_of("status", query.statuses, _named("--status", query.statuses)))
    if query.since:
        conditions.append(finding.since(query.since.isoformat(), f"--since {query.since}"))
    if query.until:
        conditions.append(finding.until(query.until.isoformat(), f"--until {query.until}"))
    if query.project:
        conditions.append(finding.project_has(query.project, f"--project {query.project}"))
    if query.species:
        conditions.append(finding.one_of("wood", _woods(conn, query), _named("--species", query.species)))
    if query.operations:
        conditions.append(finding.one_of("operation", query.operations, _named("--operation", query.operations)))
    if query.diameter:
        conditions.append(finding.size_within(*query.diameter.si(), f"--diameter {query.diameter}"))
    return conditions


def _woods(conn: sqlite3.Connection, query: Query) -> list[str]:
    """The woods of pieces, as they are stored, that the species asked for cover."""
    return [
        w for w in finding.woods(conn) if any(covers(s, one) for one in w.split(context.BETWEEN) for s in query.species)
    ]


def _base_of(conn: sqlite3.Connection, query: Query) -> list[Condition]:
    """The kinds and items that are asked for; what else is said of a piece where only that is asked."""
    if query.kinds and query.items:
        stored = [i for k in query.kinds for i in finding.items(conn, k) if any(covers(q, i) for q in query.items)]
        return [finding.one_of("kind", query.kinds), finding.one_of("item", stored, _named("--item", query.items))]
    if query.kinds:
        return [finding.one_of("kind", query.kinds)]
    if query.beside or query.statuses:
        return [finding.one_of("kind", KINDS)]
    if query.species:
        return [finding.one_of("kind", ("species",))]
    if query.diameter:
        return [finding.one_of("kind", ("dimension",)), finding.one_of("item", ("diameter", "width"))]
    expression = finding.fts_all((w,) for w in query.words)
    return [finding.numbers(finding.fact_ids(conn, expression) if expression else ())]


def _named(option: str, values: Sequence[str]) -> str:
    return " ".join(f"{option} {v}" for v in values)


def _nearest(lines: list[Line], asides: Sequence[_Aside]) -> list[Line]:
    """The facts that stand nearest to all that was asked beside them; farther ones only where none is near."""
    for aside in asides:
        near = [(aside.near(f), f) for f in lines]
        best = max((n for n, _ in near), default=0)
        lines = [f for n, f in near if n and n == best]
    return lines


def _excluded(
    conn: sqlite3.Connection, conditions: Sequence[Condition], asides: Sequence[_Aside]
) -> tuple[tuple[str, int], ...]:
    """Each condition without which something is found; where no single one is to blame, those that nothing meets."""
    named = [c for c in conditions if c.name]
    blamed = []
    for one in named:
        rest = [c for c in conditions if c is not one]
        if n := len(_nearest(finding.lines(conn, rest), asides)) if asides else finding.count(conn, rest):
            blamed.append((one.name, n))
    if asides:
        lines = finding.lines(conn, conditions)
        for aside in asides:
            if n := len(_nearest(lines, [a for a in asides if a is not aside])):
                blamed.append((aside.name, n))
    if blamed:
        return tuple(blamed)
    base = [c for c in conditions if not c.name]
    if not finding.count(conn, base):
        return ()
    return tuple((c.name, 0) for c in named if not finding.count(conn, [*base, c]))


# ---- what is shown


def _found(
    conn: sqlite3.Connection,
    query: Query,
    conditions: Sequence[Condition],
    ranked: Sequence[str],
    places: dict[int, Place],
    limit: int,
) -> tuple[Found, ...]:
    """The first facts: best status first, then newest, or by number where a superlative asks."""
    order = {"first": "oldest", "highest": "highest", "lowest": "lowest"}.get(query.want or "", "newest")
    ids: list[int] = []
    for status in ranked:
        if len(ids) < limit:
            ids += finding.first(conn, [*conditions, finding.one_of("status", (status,))], order, limit - len(ids))
    return tuple(
        Found(kept, p.project, p.name, p.day, p.dated, woods, size)
        for kept, woods, size in finding.facts(conn, ids)
        for p in (places[kept.recording_id],)
    )


def _summary(
    conn: sqlite3.Connection,
    conditions: Sequence[Condition],
    status: str,
    found: Sequence[Found],
    places: dict[int, Place],
) -> Summary:
    """Over all facts of the status, numbers in the unit in which most of those shown were stated."""
    chosen = [*conditions, finding.one_of("status", (status,))]
    stated = Counter(f.kept.fact.unit for f in found if f.kept.fact.unit and f.kept.fact.status == status)
    unit = stated.most_common(1)[0][0] if stated else None
    recordings = finding.recordings(conn, chosen)
    pieces = dict.fromkeys(p.project for p in reversed(places.values()) if p.id in recordings)
    return summarise(finding.counts(conn, chosen, bands=unit == "rpm"), status, tuple(pieces), unit)


def _spent(conn: sqlite3.Connection, query: Query, places: dict[int, Place]) -> tuple[Spent, ...]:
    """The recorded time of the operations asked for, by piece, the newest first."""
    named = spoken.by_name(places, [w for w in query.words if spoken.is_form(w)])
    wooden = finding.recordings_of(conn, _woods(conn, query)) if query.species else set(places)
    totals: dict[tuple[str, str], Spent] = {}
    for stage in finding.stages(conn, query.operations):
        place = places.get(stage.recording_id)
        if place is None or place.id not in wooden or (named and place.id not in named):
            continue
        if (query.since and place.day < query.since.isoformat()) or (
            query.until and place.day > query.until.isoformat()
        ):
            continue
        at, seconds = (place.project, stage.operation), stage.end - stage.start
        if at in totals:
            totals[at] = replace(totals[at], seconds=totals[at].seconds + seconds)
        else:
            totals[at] = Spent(place.project, stage.operation, seconds, place.name, place.id, stage.start, place.day)
    return tuple(sorted(totals.values(), key=lambda s: s.day, reverse=query.want != "first"))
