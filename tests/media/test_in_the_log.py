"""A take is one recording however many files it has, and a moment counts once however many cameras saw it."""

from __future__ import annotations

import sqlite3
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from shoplog import inbox, ingest
from shoplog.facts import Fact
from shoplog.hearing import Plan
from shoplog.media import RATE, decode
from shoplog.register import Outcome, register_all
from shoplog.store import queries, transaction, writes
from shoplog.transcript import Cue, Transcript

from .making import write

TALK = Path(__file__).resolve().parents[2] / "fixtures" / "recordings" / "sycamore-drum" / "4-finish.mkv"
BEGUN = datetime(2026, 3, 6, 10, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def talk() -> np.ndarray:
    with decode(TALK) as sound:
        return np.asarray(sound.read(0, sound.samples), dtype=np.float32)


def at(seconds: float) -> dict[str, str]:
    return {"creation_time": (BEGUN + timedelta(seconds=seconds)).isoformat()}


def add(conn: sqlite3.Connection, *paths: Path, join: bool = False) -> list[Outcome]:
    return register_all(conn, inbox.sources(paths, "drum")[0], join=join)


def test_chapters_are_one_recording(conn: sqlite3.Connection, tmp_path: Path, talk: np.ndarray) -> None:
    """Files of one take become clips of one recording, each at its place; another take stays another recording."""
    half = 70 * RATE
    for name, part, start in (("V_1", talk[:half], 0), ("V_2", talk[half : 2 * half], 70), ("V_9", talk[:half], 4000)):
        write(tmp_path / f"{name}.m4a", part, RATE, "aac", tags=at(start))
    add(conn, tmp_path)
    takes = queries.recordings(conn)
    assert [["V_1.m4a", "V_2.m4a"], ["V_9.m4a"]] == [[c.name for c in r.clips] for r in takes]
    plan = ingest.plan(conn, takes[0].id)
    assert isinstance(plan, Plan)
    assert [0.0, pytest.approx(70, abs=0.2)] == [start for _, start in plan.clips]
    add(conn, tmp_path)  # again: the same files start nothing new
    assert 2 == len(queries.recordings(conn))


def test_join_makes_one_recording_by_hand(conn: sqlite3.Connection, tmp_path: Path, talk: np.ndarray) -> None:
    """Files without a sign of belonging together are one recording when the maker says so, in the order given."""
    for name in ("b", "a"):
        write(tmp_path / f"{name}.wav", talk[: 5 * RATE] * (1 if name == "a" else 0.5), RATE, "pcm_s16le")
    add(conn, tmp_path / "b.wav", tmp_path / "a.wav", join=True)
    assert [["b.wav", "a.wav"]] == [[c.name for c in r.clips] for r in queries.recordings(conn)]


def test_second_camera_is_not_counted(conn: sqlite3.Connection, tmp_path: Path, talk: np.ndarray) -> None:
    """Two cameras of one moment are found by their sound; the second one's facts are kept and not counted."""
    noise = np.random.default_rng(3).normal(0, 0.01, len(talk)).astype(np.float32)
    write(tmp_path / "near.m4a", talk[: 100 * RATE], RATE, "aac", tags=at(0))
    write(tmp_path / "far.m4a", 0.4 * (talk + noise)[12 * RATE : 110 * RATE], RATE, "aac", tags=at(200))
    write(tmp_path / "later.m4a", talk[110 * RATE :], RATE, "aac", tags=at(300))
    for outcome in add(conn, tmp_path):
        assert outcome.recording_id is not None
        fact = Fact("speed", value=500, unit="rpm", start=1, end=2, quote="500 rpm")
        with transaction(conn):
            writes.save_transcript(conn, outcome.recording_id, Transcript((Cue(1, 2, "500 rpm"),), duration=90.0))
            writes.save_facts(conn, outcome.recording_id, [fact], "test")
    # Nothing is handed over: a run that was killed after storing is made up for by the next.
    assert 3 == len(queries.not_compared(conn))
    ingest.mark_same_moments(conn)
    assert [] == queries.not_compared(conn)
    by_name = {r.name: r for r in queries.recordings(conn)}
    pair = [r for r in by_name.values() if r.same_as is not None]
    assert 1 == len(pair)
    assert {by_name["near.m4a"].id, by_name["far.m4a"].id} == {pair[0].id, pair[0].same_as}
    assert 12 == pytest.approx(abs(pair[0].same_offset or 0), abs=0.1)
    assert 2 == len(queries.load_project(conn, "drum").facts())


def test_replacing_a_bad_file_keeps_the_rest_of_its_take(
    conn: sqlite3.Connection, tmp_path: Path, talk: np.ndarray
) -> None:
    """When one file of a take failed and is replaced, the others are heard, and nothing is there twice."""
    for name, part in (("a", talk[: 5 * RATE]), ("b", talk[5 * RATE : 10 * RATE])):
        write(tmp_path / f"{name}.wav", part, RATE, "pcm_s16le")
    number = add(conn, tmp_path / "a.wav", tmp_path / "b.wav", join=True)[0].recording_id
    assert number is not None
    ingest.fail(conn, number, "b was cut off")
    write(tmp_path / "b.wav", talk[10 * RATE : 16 * RATE], RATE, "pcm_s16le")
    add(conn, tmp_path / "b.wav")
    takes = queries.recordings(conn)
    assert [["a.wav"], ["b.wav"]] == sorted([c.name for c in r.clips] for r in takes)
    assert {"waiting"} == {r.state for r in takes}
