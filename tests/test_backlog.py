"""A backlog is heard by several processes or a cluster, and ends as if one had done it."""

from __future__ import annotations

import os
import shutil
import signal
import sqlite3
import threading
import time
from pathlib import Path
from typing import Any

import pytest

from shoplog import backlog, inbox
from shoplog.errors import InputError
from shoplog.hearing import Hearing, no_progress
from shoplog.register import Outcome, register_all
from shoplog.store import queries

RECORDING = Path(__file__).resolve().parents[1] / "fixtures" / "recordings" / "sycamore-drum" / "3-epoxy.wav"


def registered(conn: sqlite3.Connection, *paths: Path) -> list[Outcome]:
    return register_all(conn, inbox.sources(paths)[0])


def test_processes_store_what_they_read(conn: sqlite3.Connection, database: Path, tmp_path: Path) -> None:
    """Several processes write into one log, each recording once; one that fails does not stop the others."""
    for n in range(5):
        (tmp_path / f"{n}.txt").write_text(f"[0:00] The lathe is at {500 + 10 * n} rpm.\n" if n else "[0:00]\n[0:01] x")
    waiting = registered(conn, *(tmp_path / f"{n}.txt" for n in range(5)))
    (tmp_path / "0.txt").write_text("spoiled after it was registered")
    outcomes = list(backlog.on_this_machine(database, waiting, 2, Hearing(), no_progress))
    assert ["added"] * 4 + ["failed"] == sorted(o.verdict for o in outcomes)
    speeds = [k.fact.value for r in queries.recordings(conn) for k in queries.facts(conn, r.id)]
    assert [510.0, 520.0, 530.0, 540.0] == sorted(v for v in speeds if v)


@pytest.mark.slow
def test_cluster_goes_on_when_a_worker_dies(conn: sqlite3.Connection, tmp_path: Path) -> None:
    """On a real local Dask cluster a killed worker's recording is heard by another; this process alone writes."""
    distributed = pytest.importorskip("distributed", reason='needs the extra "cluster"')
    shutil.copy2(RECORDING, tmp_path / "talk.wav")
    waiting = registered(conn, tmp_path / "talk.wav")
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, host="127.0.0.1", dashboard_address=None, processes=True
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        pids = client.run(os.getpid)
        killed: list[int] = []
        # Whichever worker is given the recording dies half a second into it.
        killer = threading.Thread(target=_kill_the_busy, args=(client, pids, killed), daemon=True)
        killer.start()
        outcomes = list(backlog.on_cluster(conn, waiting, cluster.scheduler_address, Hearing(), no_progress))
        killer.join(5)
    assert 1 == len(killed)
    assert ["added"] == [o.verdict for o in outcomes]
    assert outcomes[0].facts > 5


def _kill_the_busy(client: Any, pids: dict[str, int], killed: list[int]) -> None:
    while not killed:
        busy = [address for address, tasks in client.processing().items() if tasks]
        if busy:
            time.sleep(0.5)
            os.kill(pids[busy[0]], signal.SIGKILL)
            killed.append(pids[busy[0]])
        time.sleep(0.05)


def test_no_cluster_there_says_so(conn: sqlite3.Connection, tmp_path: Path) -> None:
    """An address without a scheduler is refused with what to do, and the recordings still wait."""
    pytest.importorskip("distributed", reason='needs the extra "cluster"')
    (tmp_path / "a.txt").write_text("[0:00] words")
    waiting = registered(conn, tmp_path / "a.txt")
    with pytest.raises(InputError, match="no Dask scheduler"):
        list(backlog.on_cluster(conn, waiting, "tcp://127.0.0.1:1", Hearing(), no_progress))
    assert ["waiting"] == [r.state for r in queries.recordings(conn)]
