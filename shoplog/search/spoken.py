"""The words that a question leaves: near which facts they were said, and the passages in which they stand."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable, Sequence

from shoplog.search import vocabulary
from shoplog.search.answer import Passage
from shoplog.search.query import Query
from shoplog.store import finding
from shoplog.store.finding import Line

#: A word in the cue before or after a fact's, at most this many seconds away, was said with it.
NEAR_SECONDS = 15.0
#: Cues among which the passages are chosen, the newest first.
_POOL = 200


def is_form(words: str) -> bool:
    """Whether the words only say what was made ("bowl", "vase")."""
    return all(vocabulary.stem(w) in vocabulary.forms() for w in words.split())


def near_words(conn: sqlite3.Connection, words: Sequence[str], lines: list[Line]) -> tuple[list[Line], tuple[str, ...]]:
    """The facts near which the words were said or in whose names they stand; and the words that were near none.

    A word that nothing is near is left aside, for it may be anything. What was made narrows by names alone.
    """
    unheard: list[str] = []
    for word in words:
        names = by_name(conn, [word])
        kept = [f for f in lines if f.recording_id in names]
        if not (kept and is_form(word)):
            kept = kept or ([] if is_form(word) else _heard_near(conn, word, lines))
        if kept:
            lines = kept
        elif lines and not is_form(word):
            unheard.append(word)
    return lines, tuple(unheard)


def _heard_near(conn: sqlite3.Connection, word: str, lines: Sequence[Line]) -> list[Line]:
    """The facts in whose cue the word was said, or in the cue next to it within seconds."""
    expression = finding.fts_any((word,))
    cues = set(finding.cue_ids(conn, expression)) if expression else set()
    same = [f for f in lines if f.cue_id in cues]
    beside = {f.id: [c for c in (f.cue_id - 1, f.cue_id + 1) if c in cues] for f in lines if f.cue_id is not None and f.cue_id not in cues}
    starts = finding.cue_starts(conn, {c for near in beside.values() for c in near})
    for f in lines:
        for c in beside.get(f.id, ()):
            recording, start = starts[c]
            if recording == f.recording_id and abs(start - f.start) <= NEAR_SECONDS:
                same.append(f)
                break
    return same


def by_name(conn: sqlite3.Connection, words: Iterable[str]) -> set[int]:
    """The recordings in whose own or project's name all of the words stand; none where there are no words."""
    wanted = [vocabulary.key(w) for w in words]
    if not wanted:
        return set()
    firsts = {w[0] for w in wanted if w}
    found = set()
    for recording, name in finding.named(conn):
        plain = name.lower()
        if all(f in plain for f in firsts):
            stems = vocabulary.key(plain.replace("_", " ").replace(".", " "))
            if all(_within(w, stems) for w in wanted):
                found.add(recording)
    return found


def _within(words: tuple[str, ...], name: tuple[str, ...]) -> bool:
    return any(name[i : i + len(words)] == words for i in range(len(name) - len(words) + 1))


def passages(conn: sqlite3.Connection, query: Query, limit: int) -> tuple[Passage, ...]:
    """What was said with all that the question names; with fewer of its words where nothing was; the newest first."""
    groups = [g for g in query.said if finding.fts_any(g)]
    ids: list[int] = []
    while groups and not ids:
        ids = finding.cue_ids(conn, finding.fts_all(groups), _POOL)
        groups.pop()
    cues = finding.spoken(conn, ids)
    places = finding.places(conn, {c.recording_id for c in cues})
    found = [
        Passage(c.id, c.text, c.recording_id, p.name, p.project, p.day, c.start, c.doubtful)
        for c in cues
        if (p := places.get(c.recording_id)) is not None
    ]
    found.sort(key=lambda p: p.day, reverse=True)
    return tuple(found[:limit])
