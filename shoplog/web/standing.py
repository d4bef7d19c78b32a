"""One log is served once: where the pages of a log stand, so that a second start finds the first."""

from __future__ import annotations

import hashlib
import json
import os
import secrets
import socket
import time
import urllib.request
from contextlib import suppress
from pathlib import Path

from shoplog.errors import InputError
from shoplog.files import write_whole
from shoplog.settings import config_folder

#: The address at which running pages say which log they show.
HERE = "/here.json"
#: Seconds for which a fresh record is taken for a start that is still under way.
STARTING = 15.0
#: Ports that are tried where none was asked for.
TRIES = 20


def name_of(database: Path) -> str:
    """Tells one log from another without saying where it lies."""
    return hashlib.sha256(str(database.resolve()).encode()).hexdigest()[:16]


def record_of(database: Path) -> Path:
    return database.with_name(database.name + ".serving")


def running(database: Path) -> str | None:
    """The address at which this log is shown already, None where it is not."""
    record = record_of(database)
    while True:
        try:
            address = str(json.loads(record.read_text(encoding="utf-8"))["address"])
            fresh = time.time() - record.stat().st_mtime < STARTING
        except (OSError, ValueError, KeyError, TypeError):
            return None
        if _answers(address, name_of(database)):
            return address
        if not fresh:
            return None
        time.sleep(0.5)


def _answers(address: str, name: str) -> bool:
    if not address.startswith("http://"):
        return False
    direct = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    try:
        with direct.open(address + HERE, timeout=2) as answer:
            return bool(json.loads(answer.read(1000)).get("log") == name)
    except (OSError, ValueError, AttributeError):
        return False


def note(database: Path, address: str) -> None:
    """Write down where this log is shown."""
    write_whole(record_of(database), json.dumps({"address": address}))


def secret() -> str:
    """What signs the forms' tokens: made once, kept among the person's own files, readable by that person only."""
    file = config_folder() / "pages.key"
    try:
        return file.read_text(encoding="ascii")
    except FileNotFoundError:
        file.parent.mkdir(parents=True, exist_ok=True)
        made = secrets.token_hex(32)
        with (
            suppress(FileExistsError),
            os.fdopen(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as out,
        ):
            out.write(made)
        return file.read_text(encoding="ascii")


def clear(database: Path) -> None:
    record_of(database).unlink(missing_ok=True)


def bound(host: str, port: int, *, others: bool) -> socket.socket:
    """A listening socket; with ``others`` on the next free port where that one is taken. Raises InputError."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    for candidate in [port, *(range(port + 1, port + TRIES) if others else ()), *([0] if others else ())]:
        listener = socket.socket(family, socket.SOCK_STREAM)
        try:
            if hasattr(socket, "SO_EXCLUSIVEADDRUSE"):  # Windows
                listener.setsockopt(socket.SOL_SOCKET, socket.SO_EXCLUSIVEADDRUSE, 1)
            else:
                listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            listener.bind((host, candidate))
            listener.listen(128)
        except (OSError, OverflowError) as error:
            listener.close()
            problem: Exception = error
        else:
            return listener
    raise InputError(f"Port {port} of {host} can't be used ({problem}); give another one with --port.")
