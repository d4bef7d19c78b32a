"""The maker's word: written once, put back on the facts after every hearing or reading."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from shoplog.errors import InputError
from shoplog.facts import KINDS, STATUSES, UNITS, Fact
from shoplog.log import Correction, Verdict
from shoplog.store import queries, rows

#: A fact is the one that was corrected if it starts within this many seconds of where that was, and
NEAR_SECONDS = 8.0
#: its words are at least this much alike (0 to 100): a better model may write them differently.
ALIKE = 55.0
#: What a person may change of a fact.
CHANGEABLE = ("kind", "item", "value", "low", "high", "unit", "approx", "status", "attrs")


def checked(new: Mapping[str, Any]) -> dict[str, Any]:
    """The changed fields, checked and typed. Raises InputError that says what is allowed."""
    result = dict(new)
    for name, value in result.items():
        if name not in CHANGEABLE:
            raise InputError(f'"{name}" of a fact can\'t be changed; these can: {", ".join(CHANGEABLE)}.')
        if name in ("value", "low", "high") and value is not None:
            try:
                result[name] = float(value)
            except (TypeError, ValueError):
                raise InputError(f'{name} must be a number, not "{value}".') from None
            if abs(result[name]) > 1e12 or result[name] != result[name]:
                raise InputError(f"{name} is out of any range.")
        for field, allowed in (("kind", KINDS), ("status", STATUSES), ("unit", (None, *UNITS))):
            if name == field and value not in allowed:
                raise InputError(f'"{value}" is no {field}; use one of {", ".join(str(a) for a in allowed if a)}.')
        if name == "item":
            result[name] = " ".join(str(value).split()) or None if value is not None else None
    if result.get("value") is not None and (result.get("low") is not None or result.get("high") is not None):
        raise InputError("Give one number or the two ends of a range, not both.")
    return result


def correct(
    conn: sqlite3.Connection,
    fact_id: int,
    verdict: Verdict,
    new: Mapping[str, Any] | None = None,
    why: str | None = None,
    author: str | None = None,
) -> int:
    """Write a correction of one fact and show it so. Returns its number. A later one on the same fact replaces it."""
    kept = queries.fact(conn, fact_id)
    heard = kept.heard or kept.fact
    changes = checked(new or {}) if verdict == "change" else {}
    if verdict == "change" and not changes:
        raise InputError("Say what to change: a value, a unit, an item, a status or a kind.")
    if kept.correction_id is not None:
        conn.execute("update correction set undone_at = ? where id = ?", (rows.now(), kept.correction_id))
    if kept.verdict == "add" and verdict != "reject":
        # Nothing that is heard again brings this fact back: it stays one that the maker put in.
        fact = corrected(heard, changes)
        number = _write(conn, kept.recording_id, "add", {}, fact.as_json(), why, author)
        _show(conn, fact_id, fact, number, "add", {})
        return number
    number = _write(conn, kept.recording_id, verdict, heard.as_json(), changes, why, author)
    _show(conn, fact_id, heard, number, verdict, changes)
    return number


def add_missed(
    conn: sqlite3.Connection, recording_id: int, fact: Fact, why: str | None = None, author: str | None = None
) -> int:
    """A fact that was stated and not found. Returns the correction's number."""
    checked({name: getattr(fact, name) for name in CHANGEABLE})
    number = _write(conn, recording_id, "add", {}, replace(fact, confidence=1.0).as_json(), why, author)
    _add(conn, recording_id, number, replace(fact, confidence=1.0))
    return number


def undo(conn: sqlite3.Connection, correction_id: int) -> None:
    """Take a correction back: the fact is shown as it was heard. The row stays, marked as taken back."""
    row = conn.execute("select * from correction where id = ? and undone_at is null", (correction_id,)).fetchone()
    if not row:
        raise InputError(f"There is no standing correction number {correction_id}.")
    conn.execute("update correction set undone_at = ? where id = ?", (rows.now(), correction_id))
    fact = conn.execute("select * from fact where correction_id = ?", (correction_id,)).fetchone()
    if fact and fact["verdict"] == "add":
        conn.execute("delete from fact where id = ?", (fact["id"],))
    elif fact:
        # Not the correction's own word for what was heard: a fact put in by hand may have been heard since.
        _show(conn, fact["id"], rows.fact_of(json.loads(fact["heard"])), None, None, {})


def corrected(heard: Fact, changes: Mapping[str, Any]) -> Fact:
    """The fact as the maker says it is. What made it doubtful is settled."""
    changes = dict(changes)
    if changes.get("value") is not None:
        changes = {"low": None, "high": None, **changes}
    elif changes.get("low") is not None or changes.get("high") is not None:
        changes = {"value": None, **changes}
    fact = replace(heard, **changes)
    attrs = {k: v for k, v in fact.attrs.items() if k not in ("doubt", "alternatives")}
    return replace(fact, attrs=attrs, confidence=1.0)


def replace_all(conn: sqlite3.Connection, recording_id: int) -> None:
    """Put every standing correction of a recording back on its facts, just replaced.

    Each is found by kind, place and words; one that can't be placed stays unplaced (its ``fact_id`` is None) and is
    shown as such.
    """
    free = {f.id: f.fact for f in queries.facts(conn, recording_id)}
    for correction in queries.corrections(conn, recording_id):
        if correction.verdict == "add":
            missed = rows.fact_of(correction.new)
            twin = next((i for i, f in free.items() if _same(f, missed)), None)
            if twin is None:
                _add(conn, recording_id, correction.id, missed)
            else:
                _show(conn, twin, free.pop(twin), correction.id, "accept", {})
            continue
        found = _placed(correction, free)
        if found is not None:
            _show(conn, found, free.pop(found), correction.id, correction.verdict, correction.new)


def _placed(correction: Correction, facts: Mapping[int, Fact]) -> int | None:
    from rapidfuzz import fuzz

    old = rows.fact_of(correction.old)
    best: tuple[float, int] | None = None
    for number, fact in facts.items():
        gap = abs(fact.start - old.start)
        if fact.kind not in (old.kind, correction.new.get("kind")) or gap > NEAR_SECONDS:
            continue
        alike = fuzz.token_set_ratio(fact.quote.lower(), old.quote.lower())
        if alike < ALIKE:
            continue
        same = (fact.item == old.item) + ((fact.value, fact.low, fact.high) == (old.value, old.low, old.high))
        score = alike - 4 * gap + 20 * same
        if best is None or score > best[0]:
            best = (score, number)
    return best[1] if best else None


def _same(a: Fact, b: Fact) -> bool:
    return (a.kind, a.item, a.value, a.low, a.high, a.unit) == (b.kind, b.item, b.value, b.low, b.high, b.unit) and abs(
        a.start - b.start
    ) <= NEAR_SECONDS


def _write(
    conn: sqlite3.Connection,
    recording_id: int,
    verdict: str,
    old: Mapping[str, Any],
    new: Mapping[str, Any],
    why: str | None,
    author: str | None,
) -> int:
    cursor = conn.execute(
        "insert into correction (recording_id, verdict, old, new, why, author, written_at) "
        "values (?, ?, ?, ?, ?, ?, ?)",
        (recording_id, verdict, rows.dump(old), rows.dump(new), why, author, rows.now()),
    )
    assert cursor.lastrowid is not None  # an insert was just made
    return cursor.lastrowid


def _show(
    conn: sqlite3.Connection,
    fact_id: int,
    heard: Fact,
    correction_id: int | None,
    verdict: str | None,
    changes: Mapping[str, Any],
) -> None:
    """Write the fact as it is to be shown into its row."""
    fact = heard if correction_id is None or verdict == "reject" else corrected(heard, changes)
    row = rows.fact_row(0, fact, None)
    del row["recording_id"], row["cue_id"]
    row |= {
        "correction_id": correction_id,
        "verdict": verdict,
        "heard": rows.dump(heard.as_json()) if correction_id is not None else None,
    }
    assignments = ", ".join(f'"{name}" = :{name}' for name in row)
    conn.execute(f"update fact set {assignments} where id = :id", {**row, "id": fact_id})  # noqa: S608 - our own columns


def _add(conn: sqlite3.Connection, recording_id: int, correction_id: int, fact: Fact) -> None:
    row = {**rows.fact_row(recording_id, fact, None), "correction_id": correction_id, "verdict": "add"}
    names: Sequence[str] = list(row)
    columns = ", ".join(f'"{n}"' for n in names)
    conn.execute(
        f"insert into fact ({columns}) values ({', '.join(':' + n for n in names)})",  # noqa: S608 - our own columns
        row,
    )
