"""How the pages are served: to whom, whether they may write, and which attached database is the log."""

from __future__ import annotations

import ipaddress
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any
from weakref import WeakKeyDictionary

from shoplog.store.database import APPLICATION_ID

if TYPE_CHECKING:
    from datasette.app import Datasette
    from datasette.database import Database


@dataclass(frozen=True, slots=True)
class Options:
    """What ``shoplog serve`` decides. The defaults hold where Datasette was started some other way: look, don't touch.

    ``names`` are further host names under which the pages may be reached. ``inbox`` is asked what the watcher of the
    inbox is doing; it gives (folder, a sentence), or is None where nothing is watched.
    """

    host: str = "127.0.0.1"
    names: frozenset[str] = frozenset()
    password: str | None = None
    read_only: bool = True
    author: str | None = None
    inbox: Callable[[], tuple[str, str]] | None = None

    @property
    def loopback(self) -> bool:
        return is_loopback(self.host)


def is_loopback(host: str) -> bool:
    """True where only this machine can reach the address."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


_OPTIONS: WeakKeyDictionary[Any, Options] = WeakKeyDictionary()
#: Datasette to (the databases that were looked at, the name of the log among them).
_LOGS: WeakKeyDictionary[Any, tuple[tuple[str, ...], str | None]] = WeakKeyDictionary()


def bind(datasette: Datasette, options: Options) -> None:
    """Say how this Datasette serves the log; before its ``app()`` is made."""
    _OPTIONS[datasette] = options


def options_of(datasette: Datasette) -> Options:
    return _OPTIONS.get(datasette, Options())


def log_name(datasette: Datasette) -> str | None:
    """The name of the attached database that is a shoplog log, or None: then our pages stay away."""
    names = tuple(datasette.databases)  # more may be attached after the first hook has been called
    if datasette not in _LOGS or _LOGS[datasette][0] != names:
        _LOGS[datasette] = names, next((name for name, db in datasette.databases.items() if _is_log(db)), None)
    return _LOGS[datasette][1]


def log_database(datasette: Datasette) -> Database:
    """The log among the attached databases; only called where `log_name` found one."""
    return datasette.databases[log_name(datasette)]


def _is_log(db: Database) -> bool:
    if not db.path:
        return False
    try:
        with closing(sqlite3.connect(f"file:{db.path}?mode=ro", uri=True)) as conn:
            return bool(conn.execute("pragma application_id").fetchone()[0] == APPLICATION_ID)
    except sqlite3.Error:
        return False
