"""Rows of the database to the plain values of the log, and back."""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from urllib.parse import unquote_to_bytes

from shoplog.facts import SI_UNITS, Fact, to_si
from shoplog.log import Clip, Correction, KeptFact, Recording, Stage
from shoplog.transcript import Cue, Stretch, Word


def now() -> str:
    """The moment of writing, UTC, ISO 8601 to the second."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def dump(value: object) -> str:
    """JSON as it is stored: compact, readable, any script."""
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def shown(text: str) -> str:
    """A name as text that can be kept and printed: bytes that are in no encoding become escapes."""
    return os.fsencode(text).decode("utf-8", "backslashreplace")


def path_text(path: str | os.PathLike[str]) -> str:
    """A path as it is stored: as it is, or as a file URI where its bytes are no text."""
    text = os.fspath(path)
    return text if shown(text) == text else Path(text).absolute().as_uri()


def text_path(stored: str) -> str:
    """The path that `path_text` stored."""
    return os.fsdecode(unquote_to_bytes(stored.removeprefix("file://"))) if stored.startswith("file://") else stored


def _moment(text: str | None) -> datetime | None:
    return datetime.fromisoformat(text) if text else None


def clip(row: sqlite3.Row) -> Clip:
    return Clip(
        id=row["id"], recording_id=row["recording_id"], path=text_path(row["path"]), name=row["name"],
        sha256=row["sha256"], size=row["size"], container=row["container"], start=row["start"],
        duration=row["duration"], recorded_at=_moment(row["recorded_at"]), recorded_at_source=row["recorded_at_source"],
        has_video=bool(row["has_video"]),
    )  # fmt: skip


def recording(row: sqlite3.Row, clips: tuple[Clip, ...] = ()) -> Recording:
    return Recording(
        id=row["id"], project_id=row["project_id"], name=row["name"], kind=row["kind"], state=row["state"],
        reason=row["reason"], duration=row["duration"], started=_moment(row["started"]),
        started_source=row["started_source"], model=row["model"], settings=json.loads(row["settings"]),
        patterns=row["patterns"], machine_seconds=row["machine_seconds"], added_at=row["added_at"],
        heard_at=row["heard_at"], same_as=row["same_as"], same_offset=row["same_offset"], clips=clips,
    )  # fmt: skip


def dump_words(words: Sequence[Word]) -> str:
    """Words as they are stored: a list of [text, start, end, probability]."""
    return dump([[w.text, w.start, w.end, w.probability] for w in words])


def load_words(stored: str) -> tuple[Word, ...]:
    """The words that `dump_words` stored."""
    return tuple(Word(*word) for word in json.loads(stored))


def cue(row: sqlite3.Row) -> Cue:
    return Cue(
        start=row["start"], end=row["end"], text=row["text"], trust=row["trust"], reason=row["reason"],
        words=load_words(row["words"]), over_machine=bool(row["over_machine"]),
    )  # fmt: skip


def cue_row(recording_id: int, n: int, c: Cue) -> dict[str, Any]:
    return {
        "recording_id": recording_id, "n": n, "start": c.start, "end": c.end, "text": c.text, "trust": c.trust,
        "reason": c.reason, "over_machine": int(c.over_machine),
        "words": dump_words(c.words),
    }  # fmt: skip


def stretch(row: sqlite3.Row) -> Stretch:
    return Stretch(row["start"], row["end"], row["kind"], row["level"], bool(row["machine"]))


def stretch_row(recording_id: int, s: Stretch) -> dict[str, Any]:
    return {
        "recording_id": recording_id, "start": s.start, "end": s.end, "kind": s.kind, "level": s.level,
        "machine": int(s.machine),
    }  # fmt: skip


def fact_of(mapping: Mapping[str, Any]) -> Fact:
    """A fact from the mapping of ``Fact.as_json``."""
    return Fact(**{name: mapping[name] for name in Fact.__slots__ if name in mapping})


def fact(row: sqlite3.Row) -> Fact:
    return Fact(
        kind=row["kind"], item=row["item"], value=row["value"], low=row["low"], high=row["high"], unit=row["unit"],
        approx=bool(row["approx"]), status=row["status"], start=row["start"], end=row["end"], quote=row["quote"],
        attrs=json.loads(row["attrs"]), confidence=row["confidence"],
    )  # fmt: skip


def kept_fact(row: sqlite3.Row) -> KeptFact:
    heard = row["heard"]
    return KeptFact(
        id=row["id"], recording_id=row["recording_id"], fact=fact(row), operation=row["operation"], piece=row["piece"],
        cue_id=row["cue_id"], verdict=row["verdict"], correction_id=row["correction_id"],
        heard=fact_of(json.loads(heard)) if heard else None,
    )  # fmt: skip


def fact_row(recording_id: int, f: Fact, cue_id: int | None) -> dict[str, Any]:
    """The columns of one fact. ``si_low``/``si_high`` hold the value twice where one number was stated."""
    ends = [to_si(n, f.unit) for n in (f.value, f.low, f.high) if n is not None] if f.unit in SI_UNITS else []
    numbers = [n for n in ends if n is not None]
    return {
        "recording_id": recording_id, "cue_id": cue_id, "kind": f.kind, "item": f.item, "value": f.value, "low": f.low,
        "high": f.high, "unit": f.unit, "si_low": min(numbers, default=None), "si_high": max(numbers, default=None),
        "si_unit": SI_UNITS.get(f.unit) if f.unit else None, "approx": int(f.approx), "status": f.status,
        "start": f.start, "end": f.end, "quote": f.quote, "attrs": dump(dict(f.attrs)), "confidence": f.confidence,
        "other_piece": int(bool(f.attrs.get("other_piece"))),
    }  # fmt: skip


def correction(row: sqlite3.Row) -> Correction:
    return Correction(
        id=row["id"], recording_id=row["recording_id"], verdict=row["verdict"], old=json.loads(row["old"]),
        new=json.loads(row["new"]), why=row["why"], author=row["author"], written_at=row["written_at"],
        undone_at=row["undone_at"], fact_id=row["fact_id"],
    )  # fmt: skip


def stage(row: sqlite3.Row) -> Stage:
    return Stage(row["recording_id"], row["operation"], row["start"], row["end"], row["piece"], row["evidence"])
