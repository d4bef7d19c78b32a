"""A query answered from the log: facts that meet every condition, then what was said."""

from __future__ import annotations

import sqlite3
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import islice

from shoplog.search import spoken
from shoplog.search.answer import Answer, Found, Spent, Summary, summarise
from shoplog.search.beside import Neighbours, at_work
from shoplog.search.query import BY_NUMBER, Query, as_line
from shoplog.search.vocabulary import covers
from shoplog.store import conditions as on
from shoplog.store import context, finding, shown
from shoplog.store.conditions import Condition
from shoplog.store.finding import Stated

#: What was done comes before what is usually done, was said by others, was planned or might be; denials come last.
RANKS = {"done": 0, "habit": 1, "reported": 2, "planned": 3, "hypothetical": 4, "denied": 5}
#: Kinds that say how the piece is, whatever is being done to it.
LASTING = frozenset(("moisture", "weight", "temperature", "humidity", "dimension", "credit", "species", "followup"))
#: The recordings that each word of a query names.
_Named = Mapping[str, set[int]]
#: Facts that are shown where nothing meets all conditions.
_INSTEAD = 3
#: Facts that are looked for by their words alone, the newest first.
_MOST_SAID = 500
#: Questions that the recorded time of an operation may answer.
_TIMED = ("time", "when", "last", "first", "did", "count")


def search(conn: sqlite3.Connection, query: Query, limit: int = 10, passages: int = 5) -> Answer:
    """The answer to a query. ``limit`` facts and ``passages`` passages are given in full."""
    line = as_line(query)
    if query.empty:
        return Answer(query, line)
    context.refresh(conn)
    named = {word: _recordings_named(conn, word) for word in query.words}
    conditions = _conditions(conn, query, named)
    asides = [Neighbours(conn, b, query.kinds) for b in query.beside]
    narrowed = _narrowed(conn, query, named, conditions, asides)
    kept = narrowed.kept
    stated = finding.stated(conn, kept, by_size=not query.kinds or "speed" in query.kinds)
    total = sum(s.facts for s in stated.values())
    found = _found(conn, query, kept, stated, limit)
    answer = Answer(
        query,
        line,
        found=found,
        total=total,
        summary=_summary(conn, query, kept, stated, _unit(found)) if total else None,
        spent=_spent(conn, query, named) if query.operations and (query.want in _TIMED or not total) else (),
        passages=spoken.passages(conn, query, passages) if passages else (),
        unheard=tuple(narrowed.unheard),
    )
    return answer if total else _with_reasons(conn, answer, [*conditions, *narrowed.strict], asides)


@dataclass(slots=True)
class _Narrowed:
    """``kept`` are the conditions for the facts that are wanted, ``unheard`` words that were said near none of them.

    ``strict`` are those of ``kept`` that name a piece of which there are none.
    """

    kept: list[Condition]
    strict: list[Condition] = field(default_factory=list)
    unheard: list[str] = field(default_factory=list)


def _narrowed(
    conn: sqlite3.Connection,
    query: Query,
    named: _Named,
    conditions: Sequence[Condition],
    asides: Sequence[Neighbours],
) -> _Narrowed:
    """The conditions with the words of the query and what is asked beside."""
    found = _Narrowed(list(conditions))
    parts = [w for w in query.words if w in context.PARTS] if "dimension" in query.kinds else []
    if set(query.items) & {"diameter", "width"} and not parts:
        whole = [*found.kept, on.whole_piece()]
        found.kept = whole if finding.some(conn, whole) else found.kept
    # A reading belongs to the piece: where none was taken in the operation itself, the others answer.
    operation = _named("--operation", query.operations)
    lasting = [c for c in found.kept if operation and c.name == operation and set(query.kinds) & LASTING]
    found.kept = [c for c in found.kept if c not in lasting]
    _narrow_by_words(conn, query, named, found, parts)
    if lasting and finding.some(conn, [*found.kept, *lasting]):
        found.kept += lasting
    elif lasting:
        found.unheard += [c.name for c in lasting]
        if near := at_work(conn, found.kept, query.operations):
            found.kept.append(on.numbers(near))
    found.kept = _beside_all(conn, found.kept, asides)
    return found


def _narrow_by_words(
    conn: sqlite3.Connection, query: Query, named: _Named, found: _Narrowed, parts: Sequence[str]
) -> None:
    if any(c.few for c in found.kept):
        return  # they were found by these words
    # Names first: what narrows to one piece must not be lost to a word that was said of another.
    for word in sorted(named, key=lambda w: not named[w]):
        if word in parts and (kept := _of_part(conn, word, found.kept)):
            found.kept = kept
            continue
        if query.want in BY_NUMBER and not named[word]:
            continue  # of all there are, not of those near some word
        narrower = spoken.near(conn, word, found.kept, named[word])
        if narrower:
            found.kept.append(narrower)
        elif named[word] and not (query.species and spoken.is_form(word)):
            # A piece that has a name is not answered for by others; what is called a bowl may be named otherwise.
            found.strict.append(replace(on.recorded(named[word]), name=f"--word {word}"))
            found.kept += found.strict
            return
        elif not spoken.is_form(word):
            found.unheard.append(word)


def _recordings_named(conn: sqlite3.Connection, word: str) -> set[int]:
    """The recordings that the word names; of several ways, a wood names those of its pieces."""
    ways = word.split("|")
    named = {r for way in ways for r in spoken.by_name(conn, [way])}
    if len(ways) > 1:
        named |= shown.recordings_of(conn, _woods(conn, ways))
    return named


def _of_part(conn: sqlite3.Connection, part: str, kept: Sequence[Condition]) -> list[Condition] | None:
    """The conditions for sizes of a part; whichever of its sizes was stated, where the one asked for was not."""
    of = on.of_part(part)
    for base in (kept, [c for c in kept if not c.sql.startswith("item")]):
        if finding.some(conn, [*base, of]):
            return [*base, of]
    return None


# ---- conditions


def _conditions(conn: sqlite3.Connection, query: Query, named: _Named) -> list[Condition]:
    """All that the log itself can decide. The first one says which facts are meant at all; it has no name."""
    conditions = _base_of(conn, query, named)
    if not query.other_piece:
        conditions.append(on.this_piece("this piece only"))
    if query.bounds:
        conditions.append(query.bounds.condition(f"--number {query.bounds}"))
    if query.statuses:
        conditions.append(on.claimed(query.statuses, _named("--status", query.statuses)))
    if query.since:
        conditions.append(on.since(query.since.isoformat(), f"--since {query.since}"))
    if query.until:
        conditions.append(on.until(query.until.isoformat(), f"--until {query.until}"))
    if query.project:
        conditions.append(on.project_has(query.project, f"--project {query.project}"))
    if query.species:
        conditions.append(on.one_of("wood", _woods(conn, query.species), _named("--species", query.species)))
    if query.operations:
        conditions.append(on.one_of("operation", query.operations, _named("--operation", query.operations)))
    if query.diameter:
        conditions.append(on.size_within(*query.diameter.si(), f"--diameter {query.diameter}"))
    return conditions


def _woods(conn: sqlite3.Connection, species: Sequence[str]) -> list[str]:
    """The woods of pieces, as they are stored, that the species asked for cover."""
    return [w for w in finding.woods(conn) if any(covers(s, one) for one in w.split(context.BETWEEN) for s in species)]


def _base_of(conn: sqlite3.Connection, query: Query, named: _Named) -> list[Condition]:
    """The kinds and items that are asked for; what else is said of a piece where only that is asked."""
    if query.kinds and query.items:
        stored = [i for k in query.kinds for i in finding.items(conn, k) if any(covers(q, i) for q in query.items)]
        return [on.one_of("kind", query.kinds), on.one_of("item", stored, _named("--item", query.items))]
    if query.kinds:
        return [on.one_of("kind", query.kinds)]
    if query.beside or query.statuses or query.project or ((query.since or query.until) and not query.words):
        return []
    if query.species:
        return [on.one_of("kind", ("species",))]
    if query.diameter:
        return [on.one_of("kind", ("dimension",)), on.one_of("item", ("diameter", "width"))]
    expression = on.fts_all((w,) for w in query.words)
    said = finding.fact_ids(conn, expression, _MOST_SAID) if expression else []
    return [] if not said and any(named.values()) else [on.numbers(said)]


def _named(option: str, values: Sequence[str]) -> str:
    return " ".join(f"{option} {v}" for v in values)


def _with_reasons(
    conn: sqlite3.Connection, answer: Answer, conditions: Sequence[Condition], asides: Sequence[Neighbours]
) -> Answer:
    """Each condition without which something is found, and what that is for the one that costs least; where no single
    one is to blame, those that nothing meets.
    """
    named = [c for c in conditions if c.name]
    lacking: list[tuple[str, list[Condition]]] = []
    for one in named:
        rest = [c for c in conditions if c is not one]
        lacking.append((one.name, _beside_all(conn, rest, asides)))
    for aside in asides:
        lacking.append((aside.name, _beside_all(conn, conditions, [a for a in asides if a is not aside])))
    blamed = [(n, name, rest) for name, rest in lacking if (n := finding.count(conn, rest))]
    if blamed:
        _, without, rest = min(blamed, key=lambda b: b[0])
        instead = _found(conn, answer.query, rest, finding.stated(conn, rest), _INSTEAD)
        return replace(answer, excluded=tuple((name, n) for n, name, _ in blamed), without=without, instead=instead)
    base = [c for c in conditions if not c.name]
    if not finding.some(conn, base):
        return answer
    return replace(answer, excluded=tuple((c.name, 0) for c in named if not finding.some(conn, [*base, c])))


def _beside_all(
    conn: sqlite3.Connection, conditions: Sequence[Condition], asides: Sequence[Neighbours]
) -> list[Condition]:
    """Conditions for the facts that meet the given ones and stand nearest to all that was asked beside them."""
    kept = list(conditions)
    for aside in asides:
        near = on.numbers(aside.nearest(kept))
        kept = [*conditions, near]
    return [*(c for c in conditions if c.of_kind), near] if asides else kept


# ---- what is shown


def _found(
    conn: sqlite3.Connection,
    query: Query,
    conditions: Sequence[Condition],
    stated: Mapping[str, Stated],
    limit: int,
) -> tuple[Found, ...]:
    """The first facts: best status first, then newest, or by number where a superlative asks."""
    want = query.want or ""
    order = "oldest" if want == "first" else want if want in finding.ORDERS else "newest"
    if order in ("newest", "oldest"):
        conditions = [*conditions, on.recorded(_in_time(conn, stated, order, limit))]
    elif order in ("highest", "lowest"):
        conditions = [*conditions, *_by_number(stated, order, limit)]
    whole = shown.facts(conn, finding.first(conn, conditions, tuple(RANKS), order, limit))
    places = shown.places(conn, {kept.recording_id for kept, _, _ in whole})
    return tuple(
        Found(kept, p.project, p.name, p.day, p.dated, woods, size)
        for kept, woods, size in whole
        for p in (places[kept.recording_id],)
    )


def _in_time(conn: sqlite3.Connection, stated: Mapping[str, Stated], order: str, limit: int) -> set[int]:
    """The recordings that hold the first facts: each of them holds one at least."""
    kept: set[int] = set()
    facts = 0
    for status in sorted(stated, key=_rank):
        among = stated[status].recordings
        kept |= set(islice((r for r in shown.in_time(conn, newest=order == "newest") if r in among), limit))
        facts += stated[status].facts
        if facts >= limit:
            break
    return kept


def _by_number(stated: Mapping[str, Stated], order: str, limit: int) -> list[Condition]:
    """The number that the first facts reach, so that no others need be put in order; none where these are too few."""
    ends = Counter[float]()
    for c in stated[_best(stated)].counts if stated else ():
        if c.low is not None and c.high is not None:
            ends[c.high if order == "highest" else c.low] += c.facts
    facts = 0
    for number in sorted(ends, reverse=order == "highest"):
        facts += ends[number]
        if facts >= limit:
            return [on.at_least(number) if order == "highest" else on.at_most(number)]
    return []


def _rank(status: str) -> int:
    return RANKS.get(status, len(RANKS))


def _best(stated: Mapping[str, Stated]) -> str:
    return min(stated, key=_rank)


def _unit(found: Sequence[Found]) -> str | None:
    """The unit in which most numbers of the best status were stated."""
    stated = Counter(
        f.kept.fact.unit for f in found if f.kept.fact.unit and f.kept.fact.status == found[0].kept.fact.status
    )
    return stated.most_common(1)[0][0] if stated else None


def _summary(
    conn: sqlite3.Connection,
    query: Query,
    conditions: Sequence[Condition],
    stated: Mapping[str, Stated],
    unit: str | None,
) -> Summary:
    """Over all facts of the best status."""
    best = _best(stated)
    pieces = shown.pieces(conn, stated[best].recordings)
    woods: Counter[str] = Counter()
    if query.want == "woods":
        for names, n in finding.wood_counts(conn, [*conditions, on.one_of("status", (best,))]).items():
            woods.update(dict.fromkeys(names.split(context.BETWEEN), n))
    return summarise(stated[best].counts, best, pieces, woods, unit)


def _spent(conn: sqlite3.Connection, query: Query, named: _Named) -> tuple[Spent, ...]:
    """The recorded time of the operations asked for, by piece, the newest first."""
    within = shown.recordings_of(conn, _woods(conn, query.species)) if query.species else None
    for recordings in named.values():
        if recordings:
            within = recordings if within is None else within & recordings
    places = shown.places(conn, within)
    totals: dict[tuple[str, str], Spent] = {}
    for stage in shown.stages(conn, query.operations, within):
        place = places.get(stage.recording_id)
        if place is None:
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
