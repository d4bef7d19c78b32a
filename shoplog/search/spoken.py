"""The words that a question leaves: near which facts they were said, and the passages in which they stand."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Sequence

from shoplog.search import vocabulary
from shoplog.search.answer import Passage
from shoplog.search.query import Query
from shoplog.store import conditions as on
from shoplog.store import context, finding, shown
from shoplog.store.conditions import Condition

#: A word in the cue before or after a fact's, at most this many seconds away, was said with it.
NEAR_SECONDS = 15.0
#: Cues among which the passages are chosen, the newest first.
_POOL = 200
_LONG = 5
_MEANT = on.one_of("status", ("done", "habit", "reported", "planned"))


def is_form(words: str) -> bool:
    """Whether the words only say what was made ("bowl", "vase"), and not a part of it ("lid")."""
    return all(vocabulary.stem(w) in vocabulary.forms() - context.PARTS for w in words.replace("|", " ").split())


def near(
    conn: sqlite3.Connection, word: str, conditions: Sequence[Condition], names: Iterable[int]
) -> Condition | None:
    """The condition that narrows the facts to those to which the word belongs; None where it belongs to none.

    It stands in the name of the piece or the recording (``names``, from `by_name`), else it was said in the same
    remark, else in the next one. What was made ("bowl") narrows by names alone.
    """
    if names:
        named = on.recorded(names)
        if finding.some(conn, [*conditions, named]):
            return named
    expression = "" if is_form(word) else on.fts_any(word.split("|"))
    if not expression or not (finding.cue_ids(conn, expression, 1) or finding.fact_ids(conn, expression, 1)):
        return None  # never said at all
    # A word must not lead from what was done to what was only thought of or denied.
    conditions = [*conditions, *([_MEANT] if finding.some(conn, [*conditions, _MEANT]) else [])]
    cues = finding.cue_ids(conn, expression)
    same = finding.ids(conn, [*conditions, on.stated_in(cues, finding.fact_ids(conn, expression))])
    return on.numbers(same or numbers) if same or (numbers := _next_to(conn, set(cues), conditions)) else None


def _next_to(conn: sqlite3.Connection, cues: set[int], conditions: Sequence[Condition]) -> list[int]:
    """The facts that were stated within seconds of one of the cues, in the one before or after it."""
    if not cues:
        return []
    stated = finding.cues_of(conn, conditions)
    near = {fact: [c for c in (cue - 1, cue + 1) if c in cues] for fact, cue, _, _ in stated}
    starts = shown.cue_starts(conn, {c for some in near.values() for c in some})
    return [
        fact
        for fact, _, recording, start in stated
        if any(starts[c][0] == recording and abs(starts[c][1] - start) <= NEAR_SECONDS for c in near[fact])
    ]


def by_name(conn: sqlite3.Connection, words: Iterable[str]) -> set[int]:
    """The recordings in whose own or project's name all of the words stand; none where there are no words."""
    wanted = [k for k in (vocabulary.key(w) for w in words) if k]
    if not wanted:
        return set()
    found = set()
    for recording, name in shown.names_with(conn, wanted[0][0]):
        stems = vocabulary.key(name.replace("_", " ").replace(".", " "))
        if all(_within(w, stems) for w in wanted):
            found.add(recording)
    return found


def _within(words: tuple[str, ...], name: tuple[str, ...]) -> bool:
    """Whether the words stand together in a name; a long word also as the beginning of one ("segment", "segmented")."""
    return any(
        all(n == w or (len(w) >= _LONG and n.startswith(w)) for w, n in zip(words, name[i:], strict=False))
        for i in range(len(name) - len(words) + 1)
    )


def passages(conn: sqlite3.Connection, query: Query, limit: int) -> tuple[Passage, ...]:
    """What was said with all that the question names; with fewer of its words where nothing was; the newest first."""
    groups = [g for g in query.said if on.fts_any(g)]
    ids: list[int] = []
    while groups and not ids:
        ids = finding.cue_ids(conn, on.fts_all(groups), _POOL)
        groups.pop()
    cues = shown.spoken(conn, ids)
    places = shown.places(conn, {c.recording_id for c in cues})
    found = [
        Passage(c.id, c.text, c.recording_id, p.name, p.project, p.day, c.start, c.doubtful)
        for c in cues
        if (p := places.get(c.recording_id)) is not None
    ]
    found.sort(key=lambda p: p.day, reverse=True)
    return tuple(found[:limit])
