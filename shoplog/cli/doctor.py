"""``shoplog doctor``: what is wrong with the installation, the weights or the database, and what to do."""

from __future__ import annotations

import sqlite3
import sys
from collections.abc import Callable, Iterator

import click

from shoplog.cli.common import echo_json, json_option, log_path

#: (what was looked at, whether it is well, what was found or what to do)
Finding = tuple[str, bool, str]


@click.command()
@json_option
@click.pass_context
def doctor(ctx: click.Context, as_json: bool) -> None:
    """Say what is wrong with the installation, the weights or the database. Exit code 1 if anything is.

    \b
    Example:
      shoplog doctor
    """
    findings = [*_parts(), *_weights(), *_database(ctx)]
    if as_json:
        echo_json([{"what": what, "well": well, "words": words} for what, well, words in findings])
    else:
        for what, well, words in findings:
            click.echo(f"{'well ' if well else 'WRONG'}  {what}: {words}")
    if not all(well for _, well, _ in findings):
        sys.exit(1)


def _parts() -> Iterator[Finding]:
    from importlib.metadata import PackageNotFoundError, version
    from importlib.util import find_spec

    yield "Python", sys.version_info >= (3, 11), sys.version.split()[0]
    for package in ("faster-whisper", "av", "spacy", "sqlite-utils", "datasette"):
        try:
            yield package, find_spec(package.replace("-", "_")) is not None, version(package)
        except PackageNotFoundError:
            yield package, False, "not installed; install shoplog again"
    conn = sqlite3.connect(":memory:")
    try:
        conn.execute("create virtual table t using fts5(x)")
        yield "SQLite", True, f"{sqlite3.sqlite_version} with full-text search"
    except sqlite3.OperationalError:
        yield "SQLite", False, f"{sqlite3.sqlite_version} without FTS5; use another build of Python"
    finally:
        conn.close()


def _weights() -> Iterator[Finding]:
    from shoplog.errors import WeightsError
    from shoplog.speech import weights

    try:
        yield "weights", True, str(weights.find_weights())
    except WeightsError as error:
        yield "weights", False, str(error)


def _database(ctx: click.Context) -> Iterator[Finding]:
    from shoplog.errors import StoreError
    from shoplog.store import open_database, queries

    path = log_path(ctx)
    if not path.exists():
        yield "database", True, f"{path} (made when the first recording is added)"
        return
    try:
        conn = open_database(path, create=False)
    except StoreError as error:
        yield "database", False, str(error)
        return
    checks: tuple[tuple[str, Callable[[], str | None]], ...] = (
        ("database", lambda: _first(conn, "pragma quick_check", "ok")),
        ("references", lambda: _first(conn, "pragma foreign_key_check", None)),
        ("search index of words", lambda: _index(conn, "cue_fts")),
        ("search index of facts", lambda: _index(conn, "fact_fts")),
    )
    for what, check in checks:
        trouble = check()
        yield what, trouble is None, trouble or str(path)
    state = queries.state(conn)
    missing = [c.path for r in queries.recordings(conn) for c in r.clips if not _exists(c.path)]
    yield (
        "recordings",
        not state["failed"],
        (
            f"{state['done']} done, {len(state['waiting'])} waiting, {len(state['failed'])} failed"
            + (" (see shoplog status)" if state["failed"] else "")
        ),
    )
    yield "files", not missing, f"{len(missing)} are no longer where they were" if missing else "all where they were"
    conn.close()


def _exists(path: str) -> bool:
    from pathlib import Path

    return Path(path).exists()


def _first(conn: sqlite3.Connection, sql: str, well: str | None) -> str | None:
    row = conn.execute(sql).fetchone()
    found = row[0] if row else None
    return None if found == well else f"damaged ({found}); restore your copy of the database"


def _index(conn: sqlite3.Connection, table: str) -> str | None:
    """Only with a rank does the check compare the index with what it indexes; ``table`` is a name of ours."""
    try:
        conn.execute(f"insert into {table}({table}, rank) values ('integrity-check', 1)")  # noqa: S608
    except sqlite3.DatabaseError:
        rebuild = f"insert into {table}({table}) values ('rebuild')"  # noqa: S608
        return f'out of step; mend it with: sqlite3 DATABASE "{rebuild}"'
    return None
