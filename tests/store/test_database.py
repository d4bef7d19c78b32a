"""The database is ours, of a schema that we know, and whole: or a person reads what to do."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from shoplog.errors import StoreError
from shoplog.store import open_database, transaction, writes
from shoplog.store.database import explain, migrations


def test_new_log_is_marked_and_in_wal(database: Path) -> None:
    """A new file carries our application id and schema version, and readers don't block the writer."""
    conn = open_database(database)
    assert conn.execute("pragma application_id").fetchone()[0] == 0x73686F70
    assert conn.execute("pragma user_version").fetchone()[0] == len(migrations())
    assert conn.execute("pragma journal_mode").fetchone()[0] == "wal"
    assert conn.execute("pragma foreign_keys").fetchone()[0] == 1


def test_opening_again_changes_nothing(database: Path) -> None:
    """Opening runs each step of the schema once."""
    conn = open_database(database)
    with transaction(conn):
        writes.project(conn, "elm bowl")
    conn.close()
    assert [r["name"] for r in open_database(database).execute("select name from project")] == ["elm bowl"]


def _foreign(path: Path) -> None:
    conn = sqlite3.connect(path)
    conn.execute("create table notes (x)")
    conn.commit()
    conn.close()


def _newer(path: Path) -> None:
    conn = open_database(path)
    conn.execute("pragma user_version = 999")
    conn.close()


def _cut(path: Path) -> None:
    conn = open_database(path)
    with transaction(conn):
        for n in range(500):
            writes.project(conn, f"bowl {n}")
    conn.execute("pragma wal_checkpoint(truncate)")
    conn.close()
    path.write_bytes(path.read_bytes()[:5000])


@pytest.mark.parametrize(
    ("spoil", "words"),
    [
        (_foreign, "belongs to another program"),
        (_newer, "newer shoplog"),
        (lambda path: path.write_text("not a database " * 100), "not a shoplog database"),
        (_cut, "damaged"),
        (lambda path: path.mkdir(), "cannot be opened"),
    ],
    ids=["foreign", "newer", "text", "cut off", "folder"],
)
def test_unusable_file_is_refused_with_a_sentence(database: Path, spoil: object, words: str) -> None:
    """A file that we can't use is refused, told why, and left as it is."""
    spoil(database)  # type: ignore[operator]
    before = database.read_bytes() if database.is_file() else None
    with pytest.raises(StoreError, match=words):
        open_database(database)
    assert before == (database.read_bytes() if database.is_file() else None)


def test_missing_database_is_not_made_by_reading(database: Path) -> None:
    """A command that reads makes no empty database."""
    with pytest.raises(StoreError, match="add a recording first"):
        open_database(database, create=False)
    assert not database.exists()


def test_locked_database_says_so(database: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A writer that holds the lock too long is named as the reason."""
    monkeypatch.setattr("shoplog.store.database.BUSY_SECONDS", 0.05)
    holder, other = open_database(database), open_database(database)
    holder.execute("begin immediate")
    with pytest.raises(sqlite3.OperationalError) as caught, transaction(other):
        pass
    assert "another program" in str(explain(caught.value, database))


def test_full_disk_leaves_the_log_as_it_was(database: Path) -> None:
    """When the disk is full nothing of the transaction stays, and the sentence says what to do."""
    conn = open_database(database)
    pages = conn.execute("pragma page_count").fetchone()[0]
    conn.execute(f"pragma max_page_count = {pages}")
    with pytest.raises(sqlite3.OperationalError) as caught, transaction(conn):
        for n in range(5000):
            writes.project(conn, f"a bowl with a long name, number {n}")
    assert "disk" in str(explain(caught.value, database))
    assert conn.execute("select count(*) from project").fetchone()[0] == 0


def test_error_inside_a_transaction_undoes_all_of_it(database: Path) -> None:
    """A transaction is all or nothing, and the next one starts clean."""
    conn = open_database(database)
    with pytest.raises(ZeroDivisionError), transaction(conn):
        writes.project(conn, "half written")
        raise ZeroDivisionError
    with transaction(conn):
        writes.project(conn, "whole")
    assert [r["name"] for r in conn.execute("select name from project")] == ["whole"]


def test_transaction_left_open_is_not_committed_with_ours(database: Path) -> None:
    """Half-done rows of someone else on the same connection are rolled back, not adopted."""
    conn = open_database(database)
    conn.execute("begin")
    conn.execute("insert into project (name, created_at) values ('stray', '')")
    with transaction(conn):
        writes.project(conn, "ours")
    assert [r["name"] for r in conn.execute("select name from project")] == ["ours"]
