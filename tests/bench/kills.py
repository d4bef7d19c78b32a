"""Kill a watching shoplog again and again, and see that nothing is lost and nothing kept twice.

    python tests/bench/kills.py                 # a hundred kills; about fifteen minutes on two cores
    python tests/bench/kills.py --kills 20 --seed 3

`shoplog watch` gets the demo's recordings one after the other in an inbox, is killed (SIGKILL) at random moments and
started again. Whenever all has been heard, what is kept is compared with a log that was written without a kill, and
it begins anew. The database is checked after every kill.
"""

from __future__ import annotations

import argparse
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from typing import Any

RECORDINGS = Path(__file__).parents[2] / "fixtures" / "recordings" / "sycamore-drum"


def command(database: Path, inbox: Path, *more: str) -> list[str]:
    return [sys.executable, "-m", "shoplog", "--db", str(database), "watch", str(inbox), *more]


def kept(database: Path) -> dict[str, Any]:
    """What a log holds of each recording: its state, its facts and its cues, as often as they stand there."""
    conn = sqlite3.connect(f"file:{database}?mode=ro", uri=True)
    try:
        assert conn.execute("pragma integrity_check").fetchone() == ("ok",), "the database is damaged"
        names = conn.execute("select id, name, state from recording").fetchall()
        assert len({n for _, n, _ in names}) == len(names), f"a recording stands twice: {names}"
        facts = "select kind, item, value, status, quote, start, confidence from fact where recording_id = ?"
        cues = 'select start, "end", text from cue where recording_id = ?'
        return {
            name: (state, Counter(conn.execute(facts, (i,))), Counter(conn.execute(cues, (i,))))
            for i, name, state in names
        }
    finally:
        conn.close()


def finished(database: Path, count: int) -> bool:
    try:
        found = kept(database)
    except sqlite3.OperationalError:
        return False  # killed before there was a table
    return len(found) == count and all(state == "done" for state, _, _ in found.values())


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--kills", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    moments = random.Random(options.seed)
    sounds = sorted(p for p in RECORDINGS.iterdir() if p.suffix in (".m4a", ".wav", ".mp4", ".mov", ".mkv", ".webm"))
    with tempfile.TemporaryDirectory() as name:
        home = Path(name)
        whole = home / "whole"
        whole.mkdir()
        for sound in sounds:
            shutil.copy2(sound, whole)
        subprocess.run(command(home / "whole.db", whole, "--once"), check=True, stderr=subprocess.DEVNULL)
        wanted = kept(home / "whole.db")
        kills, rounds, begun = 0, 0, time.monotonic()
        while kills < options.kills:
            rounds += 1
            inbox, database = home / f"inbox{rounds}", home / f"log{rounds}.db"
            inbox.mkdir()
            waiting = moments.sample(sounds, len(sounds))
            while kills < options.kills and not finished(database, len(sounds)):
                if waiting and moments.random() < 0.5:
                    shutil.copy2(waiting.pop(), inbox)
                run = subprocess.Popen(command(database, inbox), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
                time.sleep(moments.uniform(0.3, 16))
                run.send_signal(signal.SIGKILL)
                assert run.wait() == -signal.SIGKILL, "it ended by itself"
                kills += 1
                if database.exists():
                    finished(database, len(sounds))
                print(f"\r{kills} kills, {rounds} logs", end="", file=sys.stderr, flush=True)
            for sound in waiting:
                shutil.copy2(sound, inbox)
            subprocess.run(command(database, inbox, "--once"), check=True, stderr=subprocess.DEVNULL)
            assert kept(database) == wanted, f"log {rounds} differs from the one without kills"
    print(f"\n{kills} kills in {rounds} logs, {time.monotonic() - begun:.0f} s: nothing lost, nothing twice.")


if __name__ == "__main__":
    main()
