"""The maker's own list of words: what a new line of it would change, and putting it into force."""

from __future__ import annotations

import re
import sqlite3
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from shoplog.facts import Fact
from shoplog.log import Recording
from shoplog.store import queries, transaction, writes

#: So many recordings are read again for a look ahead; the others that hold the words are only counted.
LOOK_AHEAD = 40


@dataclass(frozen=True, slots=True)
class Difference:
    """One place where facts would come out otherwise: those before and after, from the same words."""

    recording: Recording
    at: float
    quote: str
    before: tuple[Fact, ...]
    after: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class Effect:
    """What a line of the list does: the recordings that hold the words, the differences, recordings not looked into."""

    recordings: tuple[int, ...]
    differences: tuple[Difference, ...]
    unread: int = 0


def holding(conn: sqlite3.Connection, heard: str) -> tuple[int, ...]:
    """The recordings in which those words were said, newest first."""
    words = heard.split()
    if not words:
        return ()
    pattern = re.compile(r"\W+".join(rf"\b{re.escape(w)}\b" if w.isalnum() else re.escape(w) for w in words), re.I)
    likely = conn.execute(
        "select recording_id, text from cue where trust != 'dropped' and instr(lower(text), lower(?)) > 0",
        (words[0],),
    )
    return tuple(sorted({r["recording_id"] for r in likely if pattern.search(r["text"])}, reverse=True))


def effect(conn: sqlite3.Connection, heard: str, meant: str) -> Effect:
    """What taking ``heard`` for ``meant`` would change in what is stored. Nothing is written."""
    from shoplog.extract import extract

    found = holding(conn, heard)
    known = queries.vocabulary(conn)
    taught = [(h, m) for h, m in known if h.lower() != heard.lower()] + [(heard.lower(), meant)]
    changes: list[Difference] = []
    for number in found[:LOOK_AHEAD]:
        recording = queries.recording(conn, number)
        kept = queries.transcript(conn, number).kept
        before = extract(kept, known, recording.started)
        after = extract(kept, taught, recording.started)
        changes.extend(differences(recording, before, after))
    return Effect(found, tuple(changes), max(len(found) - LOOK_AHEAD, 0))


def differences(recording: Recording, before: Sequence[Fact], after: Sequence[Fact]) -> Iterable[Difference]:
    """The facts that are only on one side, those of the same moment together."""
    gone, come = _without(before, after), _without(after, before)
    moments = sorted({round(f.start) for f in (*gone, *come)})
    taken: set[int] = set()
    for moment in moments:
        old = [f for f in gone if id(f) not in taken and abs(f.start - moment) <= 2]
        new = [f for f in come if id(f) not in taken and abs(f.start - moment) <= 2]
        if old or new:
            taken.update(id(f) for f in (*old, *new))
            first = (old or new)[0]
            yield Difference(recording, first.start, first.quote, tuple(old), tuple(new))


def _without(facts: Sequence[Fact], others: Sequence[Fact]) -> list[Fact]:
    """The facts that are not among the others, each counted as often as it stands there."""
    left = Counter(_key(f) for f in others)
    result = []
    for fact in facts:
        if left[_key(fact)]:
            left[_key(fact)] -= 1
        else:
            result.append(fact)
    return result


def _key(fact: Fact) -> tuple[object, ...]:
    return fact.kind, fact.item, fact.value, fact.low, fact.high, fact.unit, fact.status, round(fact.start, 1)


def teach(conn: sqlite3.Connection, heard: str, meant: str, correction_id: int | None = None) -> tuple[int, ...]:
    """Put the line into the list and read the recordings that hold the words again. Returns their numbers."""
    from shoplog import ingest

    with transaction(conn):
        writes.teach(conn, heard, meant, correction_id)
    found = holding(conn, heard)
    for number in found:
        ingest.reread(conn, number)
    return found


def forget(conn: sqlite3.Connection, heard: str) -> tuple[int, ...]:
    """Take the line out again and read the recordings that hold the words again. Raises NotFound."""
    from shoplog import ingest

    with transaction(conn):
        writes.forget(conn, heard)
    found = holding(conn, heard)
    for number in found:
        ingest.reread(conn, number)
    return found
