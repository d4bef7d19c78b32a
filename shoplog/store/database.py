"""Opening the database: ours, of a schema that we know, with the settings that keep it whole."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import resources
from pathlib import Path

from shoplog.errors import StoreError

#: Marks the file as a shoplog database ("shop" in ASCII).
APPLICATION_ID = 0x73686F70
#: Seconds that a writer waits for another one.
BUSY_SECONDS = 10.0


def migrations() -> list[str]:
    """The schema's steps in order; step n brings the database to ``user_version`` n."""
    folder = resources.files("shoplog.store") / "migrations"
    return [
        f.read_text(encoding="utf-8") for f in sorted(folder.iterdir(), key=lambda f: f.name) if f.name.endswith(".sql")
    ]


def open_database(path: Path | str, *, create: bool = True) -> sqlite3.Connection:
    """Open the log at ``path``, making or upgrading it where needed.

    The connection is in autocommit mode; use `transaction` for writes. Raises StoreError with what to do when the file
    is not ours, newer than this program, damaged, locked, or cannot be made.
    """
    path = Path(path)
    try:
        existed = path.exists()
        if not existed and not create:
            raise StoreError(f"There is no database at {path}; add a recording first, or name another one with --db.")
        if not existed:
            path.parent.mkdir(parents=True, exist_ok=True)
        conn = sqlite3.connect(path, timeout=BUSY_SECONDS, isolation_level=None)
    except (OSError, sqlite3.OperationalError) as error:
        raise StoreError(
            f"The database {path} cannot be opened ({error}); check the folder's rights, or use --db."
        ) from error
    try:
        prepare(conn)
        _check(conn, path)
        _migrate(conn)
    except sqlite3.DatabaseError as error:
        conn.close()
        raise explain(error, path) from error
    except StoreError:
        conn.close()
        raise
    return conn


def prepare(conn: sqlite3.Connection) -> None:
    """Settings of a connection, not of the file: rows by name, foreign keys, triggers that see replaced rows."""
    conn.row_factory = sqlite3.Row
    conn.execute("pragma foreign_keys = on")
    conn.execute("pragma recursive_triggers = on")


def explain(error: sqlite3.Error, path: Path | str) -> StoreError:
    """The sentence for an SQLite error: what happened and what to do."""
    words = str(error)
    if "locked" in words or "busy" in words:
        return StoreError(f"The database {path} is being written by another program; try again when it has finished.")
    if "full" in words:
        return StoreError(f"The disk with {path} is full; nothing was changed. Free some space and repeat.")
    if "not a database" in words:
        return StoreError(f"{path} is not a shoplog database; name another file with --db.")
    if "malformed" in words:
        return StoreError(
            f"The database {path} is damaged; restore your copy of it, or add the recordings to a new one."
        )
    if "readonly" in words or "unable to open" in words:
        return StoreError(f"The database {path} cannot be written; check the rights of the file and its folder.")
    return StoreError(f"The database {path} cannot be used: {words}.")


def _check(conn: sqlite3.Connection, path: Path) -> None:
    application = conn.execute("pragma application_id").fetchone()[0]
    version = conn.execute("pragma user_version").fetchone()[0]
    empty = conn.execute("select count(*) from sqlite_master").fetchone()[0] == 0
    if application != APPLICATION_ID and not (empty and application == 0 and version == 0):
        raise StoreError(f"{path} belongs to another program; name another file with --db.")
    if version > len(migrations()):
        raise StoreError(f"{path} was made by a newer shoplog (schema {version}); install that version to use it.")


def _migrate(conn: sqlite3.Connection) -> None:
    steps = migrations()
    if conn.execute("pragma user_version").fetchone()[0] == len(steps):
        return
    conn.execute("pragma journal_mode = wal")
    conn.execute("begin immediate")
    try:
        # Read again under the lock: another process may have done it meanwhile.
        version = conn.execute("pragma user_version").fetchone()[0]
        for n, script in enumerate(steps[version:], version + 1):
            for statement in _statements(script):
                conn.execute(statement)
            conn.execute(f"pragma user_version = {n}")
        conn.execute(f"pragma application_id = {APPLICATION_ID}")
        conn.execute("commit")
    except BaseException:
        conn.execute("rollback")
        raise


def _statements(script: str) -> Iterator[str]:
    """The script's statements one by one: ``executescript`` would commit before it runs."""
    statement = ""
    for line in script.splitlines(keepends=True):
        statement += line
        if sqlite3.complete_statement(statement):
            yield statement
            statement = ""


@contextmanager
def transaction(conn: sqlite3.Connection) -> Iterator[sqlite3.Connection]:
    """All or nothing. Takes the write lock at once, so that what was read before writing is still true.

    A transaction that someone left open on this connection is rolled back first: its half-done rows must not be
    committed with ours.
    """
    if conn.in_transaction:
        conn.rollback()
    conn.execute("begin immediate")
    try:
        yield conn
        conn.execute("commit")
    except BaseException:
        if conn.in_transaction:
            conn.execute("rollback")
        raise
