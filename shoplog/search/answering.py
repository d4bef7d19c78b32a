"""A query answered from the log: facts that meet every condition, then what was said."""

from __future__ import annotations

import sqlite3
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace

from shoplog.search import vocabulary
from shoplog.search.answer import Answer, Counted, Found, Passage, Spent, Summary, summarise
from shoplog.search.context import Context
from shoplog.search.query import Beside, Query, as_line
from shoplog.search.vocabulary import covers
from shoplog.store import finding
from shoplog.store.finding import Line

#: What was done comes before what is usually done, was said by others, was planned or might be; denials come last.
RANKS = {"done": 0, "habit": 1, "reported": 2, "planned": 3, "hypothetical": 4, "denied": 5}
#: Cues before and after a fact in which a word counts as said near it.
_NEAR_CUES = 2
#: Cues among which the passages are chosen, the newest first.
_PASSAGE_POOL = 200

Test = Callable[[Line], bool]


def search(conn: sqlite3.Connection, query: Query, limit: int = 10, passages: int = 5) -> Answer:
    """The answer to a query. ``limit`` facts and ``passages`` passages are given in full."""
    line = as_line(query)
    if query.empty:
        return Answer(query, line)
    places = finding.places(conn)
    context = Context(conn, places)
    candidates = [c for c in _candidates(conn, query) if c.recording_id in places]
    tests = _tests(conn, query, context)
    kept = [c for c in candidates if all(test(c) for _, test in tests)]
    kept, unheard = _by_words(conn, query, context, kept)
    excluded = () if kept else _excluded(candidates, tests)
    kept = _ordered(kept, query, context)
    spent = _spent(conn, query, context) if query.want in ("time", "when", "last", "first", "did") or not kept else ()
    counted, units = _counted(conn, kept, context, limit)
    return Answer(
        query, line,
        found=_found(conn, kept[:limit], context),
        total=len(kept),
        summary=summarise(counted, RANKS, units),
        spent=spent,
        passages=_passages(conn, query, context, passages) if passages else (),
        excluded=excluded,
        unheard=unheard,
    )  # fmt: skip


# ---- conditions


def _candidates(conn: sqlite3.Connection, query: Query) -> list[Line]:
    """The facts of the kinds and items asked for; of the words, where no kind is."""
    if query.kinds:
        asked = None
        if query.items:
            asked = [i for k in query.kinds for i in finding.items(conn, k) if any(covers(q, i) for q in query.items)]
        return finding.lines(conn, query.kinds, asked)
    if query.species:
        asked = [i for i in finding.items(conn, "species") if any(covers(q, i) for q in query.species)]
        return finding.lines(conn, ("species",), asked)
    expression = finding.fts_all((w,) for w in query.words)
    return finding.lines_by_id(conn, finding.fact_ids(conn, expression)) if expression else []


def _tests(conn: sqlite3.Connection, query: Query, context: Context) -> list[tuple[str, Test]]:
    """Each condition, as it is written in the line, with its test."""
    tests: list[tuple[str, Test]] = []

    def add(text: str, test: Test) -> None:
        tests.append((text, test))

    places = context.places
    if not query.other_piece:
        add("this piece only (--other-piece)", lambda f: not f.other_piece)
    if query.bounds:
        bounds = query.bounds
        add(f"--number {bounds}", lambda f: bounds.holds(f.low, f.high) and f.unit == finding_unit(bounds.unit))
    if query.statuses:
        add(" ".join(f"--status {s}" for s in query.statuses), lambda f: f.status in query.statuses)
    if query.since:
        since = query.since.isoformat()
        add(f"--since {since}", lambda f: places[f.recording_id].day >= since)
    if query.until:
        until = query.until.isoformat()
        add(f"--until {until}", lambda f: places[f.recording_id].day <= until)
    if query.project:
        project = query.project.casefold()
        add(f"--project {query.project}", lambda f: project in places[f.recording_id].project.casefold())
    if query.species:
        add(" ".join(f"--species {s}" for s in query.species),
            lambda f: any(covers(s, w) for w in context.species(f) for s in query.species))  # fmt: skip
    if query.operations:
        add(" ".join(f"--operation {o}" for o in query.operations), lambda f: f.operation in query.operations)
    if query.diameter:
        diameter = query.diameter
        add(f"--diameter {diameter}", lambda f: diameter.holds(d := context.diameter(f), d))
    for beside in query.beside:
        nearness = _nearness(conn, beside, context)
        add(f"--beside {beside}", lambda f, nearness=nearness: nearness(f) > 0)
    return tests


def finding_unit(unit: str) -> str | None:
    """The SI unit in which a unit's numbers are stored."""
    from shoplog.facts import SI_UNITS

    return SI_UNITS.get(unit)


def _nearness(conn: sqlite3.Connection, beside: Beside, context: Context) -> Callable[[Line], int]:
    return context.beside(beside.kind, beside.items, beside.bounds, finding.lines(conn, (beside.kind,)))


def _excluded(candidates: Sequence[Line], tests: Sequence[tuple[str, Test]]) -> tuple[tuple[str, int], ...]:
    """Each condition without which something is found; where no single one is to blame, what each leaves by itself."""
    without = [
        (text, sum(all(t(c) for other, t in tests if other != text) for c in candidates)) for text, _ in tests
    ]
    blamed = tuple((text, n) for text, n in without if n)
    return blamed or tuple((text, 0) for text, test in tests if not any(test(c) for c in candidates))


# ---- words


def _by_words(
    conn: sqlite3.Connection, query: Query, context: Context, lines: list[Line]
) -> tuple[list[Line], tuple[str, ...]]:
    """The facts near which the words were said, in whose piece's name they stand; and the words said near none.

    Words that nothing is near are left aside: they may be anything.
    """
    unheard: list[str] = []
    for word in query.words:
        by_name = _named(word, context)
        kept = [f for f in lines if f.recording_id in by_name]
        form = all(vocabulary.stem(w) in vocabulary.forms() for w in word.split())
        if not form:
            expression = finding.fts_any((word,))
            cues = set(finding.cue_ids(conn, expression)) if expression else set()
            around = {c + d for c in cues for d in range(-_NEAR_CUES, _NEAR_CUES + 1)} if len(cues) < len(lines) * 4 else None
            named = {f.id for f in kept}
            for f in lines:
                if f.id not in named and f.cue_id is not None and (
                    f.cue_id in around if around is not None
                    else any(f.cue_id + d in cues for d in range(-_NEAR_CUES, _NEAR_CUES + 1))
                ):
                    kept.append(f)
        if kept:
            lines = kept
        elif lines:
            unheard.append(word)
    return lines, tuple(unheard)


def _named(word: str, context: Context) -> set[int]:
    """The recordings whose name or project's name has the word."""
    wanted = vocabulary.key(word)
    return {
        p.id for p in context.places.values()
        if _within(wanted, vocabulary.key(p.project.replace("_", " "))) or _within(wanted, vocabulary.key(p.name.replace("_", " ")))
    }  # fmt: skip


def _within(words: tuple[str, ...], name: tuple[str, ...]) -> bool:
    return any(name[i : i + len(words)] == words for i in range(len(name) - len(words) + 1))


# ---- order and what is shown


def _ordered(lines: list[Line], query: Query, context: Context) -> list[Line]:
    """Best status first, then nearest to what was asked beside it, then newest; by number where a superlative asks."""
    ranks = dict(RANKS)
    nearness = [_nearness(context.conn, b, context) for b in query.beside] if len(lines) < 2000 else []
    # A condition met within minutes is worth more than one met somewhere in the same piece.
    score = {f.id: -sum(n(f) for n in nearness) for f in lines}
    if query.beside and lines and not any(b.bounds for b in query.beside):
        best = min(score.values())
        lines = [f for f in lines if score[f.id] == best or score[f.id] <= -3 * len(nearness)]
    sign = 1 if query.want == "first" else -1
    lines.sort(key=lambda f: sign * context.at(f))
    if query.want in ("highest", "lowest"):
        up = -1 if query.want == "highest" else 1
        lines.sort(key=lambda f: float("inf") if f.high is None else up * (f.high if up < 0 else f.low or 0.0))
    elif query.want not in ("last", "first"):
        lines.sort(key=lambda f: score[f.id])
    lines.sort(key=lambda f: ranks.get(f.status, 9))
    return lines


def _counted(
    conn: sqlite3.Connection, lines: Sequence[Line], context: Context, limit: int
) -> tuple[list[Counted], Counter[str]]:
    """The facts for the summary, and the units in which their numbers were stated (of the first few hundred)."""
    sizes = any(f.kind == "speed" for f in lines)
    stated = finding.units(conn, [f.id for f in lines[:300] if f.low is not None])
    main = stated.most_common(1)[0][0] if stated else None
    return [
        Counted(
            f.status, f.item, f.low, f.high, main if main and f.unit == finding_unit(main) else None, f.operation,
            context.diameter(f) if sizes else None, context.places[f.recording_id].project,
        )
        for f in lines
    ], stated  # fmt: skip


def _found(conn: sqlite3.Connection, lines: Sequence[Line], context: Context) -> tuple[Found, ...]:
    whole = finding.facts(conn, [f.id for f in lines])
    found = []
    for f in lines:
        place = context.places[f.recording_id]
        found.append(
            Found(whole[f.id], place.project, place.name, place.day, place.dated, context.species(f), context.diameter(f))
        )
    return tuple(found)


def _spent(conn: sqlite3.Connection, query: Query, context: Context) -> tuple[Spent, ...]:
    """The recorded time of the operations asked for, by piece, the newest first."""
    if not query.operations:
        return ()
    totals: dict[tuple[str, str], Spent] = {}
    for stage in finding.stages(conn, query.operations):
        place = context.places.get(stage.recording_id)
        if place is None:
            continue
        line = Line(0, "", None, "done", stage.recording_id, stage.start, None, None, None, stage.operation, stage.piece, None, 0, 1.0)
        if query.species and not any(covers(s, w) for w in context.species(line) for s in query.species):
            continue
        if (query.since and place.day < query.since.isoformat()) or (query.until and place.day > query.until.isoformat()):
            continue
        if query.words and not all(stage.recording_id in _named(w, context) for w in query.words if vocabulary.stem(w) in vocabulary.forms()):
            continue
        at = (place.project, stage.operation)
        seconds = stage.end - stage.start
        if at in totals:
            totals[at] = replace(totals[at], seconds=totals[at].seconds + seconds)
        else:
            totals[at] = Spent(place.project, stage.operation, seconds, place.name, place.id, stage.start, place.day)
    found = sorted(totals.values(), key=lambda s: s.day, reverse=query.want != "first")
    return tuple(found)


def _passages(conn: sqlite3.Connection, query: Query, context: Context, limit: int) -> tuple[Passage, ...]:
    """What was said with all the words of the question, with fewer of them where nothing was; the newest first."""
    groups = [g for g in query.said if finding.fts_any(g)]
    ids: list[int] = []
    while groups and not ids:
        ids = finding.cue_ids(conn, finding.fts_all(groups))[:_PASSAGE_POOL]
        groups.pop()
    cues = sorted(finding.spoken(conn, ids), key=lambda c: -c.id)
    found = []
    for cue in cues:
        place = context.places.get(cue.recording_id)
        if place is not None:
            found.append(
                Passage(cue.id, cue.text, cue.recording_id, place.name, place.project, place.day, cue.start, cue.doubtful)
            )
    found.sort(key=lambda p: p.day, reverse=True)
    return tuple(found[:limit])


__all__ = ["RANKS", "Summary", "search"]
