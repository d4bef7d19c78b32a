"""The main job on real sound: recordings in, a record out, and no fact that was not said.

The gold is the script of the demonstration recordings (fixtures/facts.json), which are spoken by a synthetic voice
beside a computed lathe.
"""

from __future__ import annotations

import importlib.util
import json
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from shoplog.store import open_database, queries

pytestmark = pytest.mark.slow
ROOT = Path(__file__).resolve().parents[1]
GOLD = json.loads((ROOT / "fixtures" / "facts.json").read_text(encoding="utf-8"))


def _matching() -> ModuleType:
    spec = importlib.util.spec_from_file_location("matching", Path(__file__).with_name("matching.py"))
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


matching = _matching()


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """The folder that ``shoplog demo`` made, and what it printed."""
    folder = tmp_path_factory.mktemp("demo") / "shop"
    result = subprocess.run(
        [sys.executable, "-m", "shoplog", "demo", str(folder)], capture_output=True, text=True, timeout=900, check=False
    )
    assert 0 == result.returncode, result.stderr
    return folder, result.stdout


def stored(database: Path) -> dict[str, list[dict[str, Any]]]:
    """The facts in a log by recording name, as JSON mappings without their numbers."""
    conn = open_database(database, create=False)
    try:
        return {r.name: [k.fact.as_json() for k in queries.facts(conn, r.id)] for r in queries.recordings(conn)}
    finally:
        conn.close()


def gold(recording: dict[str, Any]) -> list[dict[str, Any]]:
    return [
        {"attrs": {}, **f, "start": line["start"], "end": line["end"]}
        for line in recording["lines"]
        for f in line["facts"]
        if matching.counted({"attrs": {}, **f})
    ]


def test_what_was_stated_is_found_and_nothing_is_invented(demo: tuple[Path, str]) -> None:
    """At least nine in ten of the core facts of the script are found with their status, and one in fifty is wrong."""
    found = stored(demo[0] / "shoplog.db")
    stated = hit = wrong = got_all = 0
    misses = []
    for recording in GOLD["recordings"]:
        wanted = [g for g in gold(recording) if g["kind"] in matching.CORE]
        got = [f for f in found[Path(recording["file"]).name] if f["kind"] in matching.CORE and matching.counted(f)]
        pairs = matching.paired(wanted, got)
        right = [(i, j) for i, j in pairs if wanted[i]["status"] == got[j]["status"]]
        stated, hit, got_all = stated + len(wanted), hit + len(right), got_all + len(got)
        wrong += len(got) - len(pairs)
        misses += [g for i, g in enumerate(wanted) if i not in {a for a, _ in right}]
        misses += [g for j, g in enumerate(got) if j not in {b for _, b in pairs}]
    assert hit >= 0.9 * stated, misses
    assert wrong <= 0.02 * got_all, misses


def test_every_fact_has_words_at_its_time(demo: tuple[Path, str]) -> None:
    """Each fact's quote is written in the transcript within its times."""
    conn = open_database(demo[0] / "shoplog.db", create=False)
    for recording in queries.recordings(conn):
        words = [w for c in queries.cues(conn, recording.id) if c.trust != "dropped" for w in c.timed_words()]
        for kept in queries.facts(conn, recording.id):
            said = "".join(w.text for w in words if kept.fact.start - 0.01 <= w.start and w.end <= kept.fact.end + 0.01)
            squeezed = "".join(kept.fact.quote.split())
            assert squeezed
            assert squeezed in "".join(said.split()), kept.fact
            assert 0 <= kept.fact.start <= kept.fact.end <= (recording.duration or 0) + 0.5


def test_record_is_printed_with_the_next_steps(demo: tuple[Path, str]) -> None:
    """The demo prints the record, where the database is, and three commands that work."""
    folder, printed = demo
    assert GOLD["project"] in printed
    assert str(folder / "shoplog.db") in printed
    assert 3 == printed.count("\n  shoplog --db")


def test_machine_time_is_heard(demo: tuple[Path, str]) -> None:
    """The running lathe is found from the sound of every recording in which it runs."""
    conn = open_database(demo[0] / "shoplog.db", create=False)
    assert all((r.machine_seconds or 0) > 5 for r in queries.recordings(conn) if r.name != "3-epoxy.wav")


def add(database: Path, inbox: Path) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", "shoplog", "--db", str(database), "add", str(inbox)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )


def test_killed_at_any_moment_and_added_again(demo: tuple[Path, str], tmp_path: Path) -> None:
    """After kill -9 at random moments the database opens, and adding again ends with the same facts, nothing twice."""
    box = tmp_path / "inbox" / "sycamore-drum"
    box.mkdir(parents=True)
    for name in ("2-hollow.m4a", "3-epoxy.wav"):
        shutil.copy2(demo[0] / "inbox" / "sycamore-drum" / name, box / name)
    database = tmp_path / "log.db"
    moments = random.Random(os.environ.get("SHOPLOG_SEED", "7"))
    for _ in range(4):
        run = add(database, box.parent)
        time.sleep(moments.uniform(0.3, 12))
        run.send_signal(signal.SIGKILL)
        run.wait()
        if database.exists() and database.stat().st_size:
            conn = sqlite3.connect(database)
            assert "ok" == conn.execute("pragma integrity_check").fetchone()[0]
            conn.close()
    assert 0 == add(database, box.parent).wait(600)
    whole = stored(demo[0] / "shoplog.db")
    assert {name: whole[name] for name in ("2-hollow.m4a", "3-epoxy.wav")} == stored(database)


@pytest.mark.parametrize("signum", [signal.SIGTERM, signal.SIGINT])
def test_watch_ends_when_asked_with_nothing_lost(demo: tuple[Path, str], tmp_path: Path, signum: int) -> None:
    """SIGTERM ends watching after the part being heard; the next start goes on and ends the same."""
    box = tmp_path / "inbox"
    box.mkdir()
    shutil.copy2(demo[0] / "inbox" / "sycamore-drum" / "3-epoxy.wav", box / "3-epoxy.wav")
    command = [sys.executable, "-m", "shoplog", "--db", str(tmp_path / "log.db"), "watch", str(box)]
    run = subprocess.Popen(command, stderr=subprocess.PIPE, text=True)
    assert run.stderr
    for line in run.stderr:
        if line.startswith("hearing"):
            break
    run.send_signal(signum)
    assert 0 == run.wait(120)
    assert 0 == subprocess.run([*command, "--once"], timeout=300, check=False).returncode
    assert stored(demo[0] / "shoplog.db")["3-epoxy.wav"] == stored(tmp_path / "log.db")["3-epoxy.wav"]
