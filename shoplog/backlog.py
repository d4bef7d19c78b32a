"""Many recordings at once: in processes of this machine, or on a Dask cluster with one writer here."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from pathlib import Path

from shoplog import ingest
from shoplog.errors import InputError, ShoplogError
from shoplog.hearing import Hearing, Plan, Progress, hear_all
from shoplog.register import Outcome
from shoplog.store import queries
from shoplog.transcript import Transcript

#: A worker process is replaced after so many recordings: what a decoder leaks is given back.
RECORDINGS_PER_PROCESS = 8


def on_this_machine(
    database: Path, waiting: Sequence[Outcome], workers: int, hearing: Hearing, progress: Progress
) -> Iterator[Outcome]:
    """Hear registered recordings in ``workers`` processes; each stores its own, SQLite lets one write at a time.

    A process that dies leaves its recording half heard; it is tried once more at the end, alone.
    """
    from concurrent.futures import ProcessPoolExecutor, as_completed
    from concurrent.futures.process import BrokenProcessPool
    from multiprocessing import get_context

    left = {o.recording_id: o for o in waiting if o.recording_id is not None}
    try:
        with ProcessPoolExecutor(
            min(workers, max(len(left), 1)),
            # Not fork: the recogniser's threads do not survive it.
            mp_context=get_context("spawn"),
            max_tasks_per_child=RECORDINGS_PER_PROCESS,
        ) as pool:
            jobs = {pool.submit(_one, database, number, hearing): o for number, o in left.items()}
            for job in as_completed(jobs):
                outcome = job.result()
                left = {number: o for number, o in left.items() if number != outcome.recording_id}
                progress(jobs[job].path.name, 1.0)
                yield outcome
    except BrokenProcessPool:
        for number, outcome in left.items():
            progress(outcome.path.name, 0.0)
            yield _one(database, number, hearing)


def _one(database: Path, recording_id: int | None, hearing: Hearing) -> Outcome:
    from contextlib import closing

    from shoplog.store import open_database

    assert recording_id is not None  # only registered recordings are submitted
    with closing(open_database(database)) as conn:
        return ingest.process(conn, recording_id, hearing)


def on_cluster(
    conn: sqlite3.Connection, waiting: Sequence[Outcome], address: str, hearing: Hearing, progress: Progress
) -> Iterator[Outcome]:
    """Hear registered recordings on a Dask cluster whose workers see the same paths; this process alone writes.

    A worker that dies is retried elsewhere. Raises InputError where there is no cluster or no extra ``cluster``.
    """
    try:
        from distributed import Client, as_completed
    except ImportError as error:
        raise InputError('For a cluster install shoplog with its extra: pip install "shoplog[cluster]".') from error
    try:
        client = Client(address, timeout="10s")
    except (OSError, ValueError) as error:
        raise InputError(f"There is no Dask scheduler at {address}; start one, or check the address.") from error
    with client:
        jobs = {}
        for outcome in waiting:
            if outcome.recording_id is None:
                continue
            if queries.recording(conn, outcome.recording_id).kind == "captions":
                yield ingest.process(conn, outcome.recording_id)  # there is nothing to hear
                continue
            plan = ingest.plan(conn, outcome.recording_id)
            # Heard work is not pure: the same file may be heard by a newer model at another time.
            job = client.submit(listen, plan, hearing, retries=2, pure=False)
            jobs[job] = outcome
        for job in as_completed(list(jobs)):
            outcome = jobs[job]
            assert outcome.recording_id is not None  # only registered recordings were submitted
            try:
                heard = job.result()
            except ShoplogError as error:
                yield ingest.fail(conn, outcome.recording_id, getattr(error, "why", str(error)))
                continue
            except Exception as error:  # the cluster gave up on it; the recording still waits
                yield Outcome(
                    outcome.path, "failed", outcome.recording_id, outcome.project, f"the cluster gave up: {error}"
                )
                continue
            progress(outcome.path.name, 1.0)
            yield ingest.store_transcript(conn, outcome.recording_id, heard)


def listen(plan: Plan, hearing: Hearing) -> Transcript:
    """Hear one recording, from its plan alone: what a worker of a cluster does."""
    return hear_all(plan, hearing)
