"""From a view's values to an answer: templates, redirects, errors; reading and writing the log off the event loop."""

from __future__ import annotations

import sqlite3
import threading
import traceback
from collections.abc import Callable, Hashable
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar
from weakref import WeakKeyDictionary

from datasette.utils.asgi import Base400, Forbidden, Response
from datasette.utils.asgi import NotFound as NoPage
from datasette.views.base import DatasetteError
from markupsafe import Markup

from shoplog.errors import NotFound, ShoplogError, StoreError
from shoplog.store import context, overview, queries, transaction
from shoplog.store.database import explain, prepare
from shoplog.web.guard import OWN_POLICY
from shoplog.web.options import log_database, log_name, options_of

T = TypeVar("T")
#: Values kept until the log changes.
MOST_KEPT = 500


@dataclass(slots=True)
class Watched:
    """A connection that only looks whether others have written, and what was made since."""

    conn: sqlite3.Connection
    version: int = -1
    made: dict[Hashable, Any] = field(default_factory=dict)
    lock: threading.Lock = field(default_factory=threading.Lock)


_WATCHED: WeakKeyDictionary[Any, Watched] = WeakKeyDictionary()


async def read(datasette: Any, fn: Callable[[sqlite3.Connection], T]) -> T:
    """Run ``fn`` on a read-only connection to the log, in a thread."""
    result: T = await log_database(datasette).execute_fn(fn)
    return result


async def write(datasette: Any, fn: Callable[[sqlite3.Connection], T]) -> T:
    """Run ``fn`` in one transaction on the log's write thread."""

    def in_transaction(conn: sqlite3.Connection) -> T:
        prepare(conn)
        with transaction(conn):
            result = fn(conn)
            context.refresh(conn)
            return result

    result: T = await log_database(datasette).execute_write_fn(in_transaction)
    return result


async def freshen(datasette: Any) -> None:
    """Bring up to date what a search compares; a reading connection can't. A log that can't be written stays so."""
    if await read(datasette, lambda conn: conn.execute("select 1 from stale_project limit 1").fetchone()):
        with suppress(sqlite3.OperationalError):
            await write(datasette, context.refresh)


def unchanged(datasette: Any, key: Hashable, make: Callable[[], T]) -> T:
    """What ``make`` gives, made anew only when someone has written to the log since."""
    if datasette not in _WATCHED:
        path = log_database(datasette).path
        conn = sqlite3.connect(f"{Path(path).absolute().as_uri()}?mode=ro", uri=True, check_same_thread=False)
        _WATCHED[datasette] = Watched(conn)
    watched = _WATCHED[datasette]
    with watched.lock:
        # Asked before it is made: what is made is at least as new.
        version = watched.conn.execute("pragma data_version").fetchone()[0]
        if watched.version != version or len(watched.made) >= MOST_KEPT:
            watched.version, watched.made = version, {}
        made = watched.made
    if key not in made:
        made[key] = make()
    result: T = made[key]
    return result


async def page(
    datasette: Any, request: Any, template: str, *, here: str = "", status: int = 200, **values: Any
) -> Response:
    """A page of our own. ``here`` is the entry of the navigation that it belongs to."""
    counts = await read(datasette, lambda conn: unchanged(datasette, "counts", lambda: overview.counts(conn)))
    options = options_of(datasette)
    context = {
        "here": here,
        "counts": counts,
        "read_only": options.read_only,
        "log_name": log_name(datasette),
        "this_page": local(request.full_path, "/"),
        **values,
    }
    text = await datasette.render_template(f"shoplog_{template}.html", context, request=request)
    return Response.html(text, status=status, headers={"content-security-policy": OWN_POLICY})


def number(request: Any, name: str = "number") -> int:
    """A number from the address. Raises NotFound past what the database can hold."""
    digits = request.url_vars[name]
    if len(digits) > 18:
        raise NotFound("There is nothing under that number.")
    return int(digits)


def local(path: str | None, default: str) -> str:
    """The path if it leads to a page of ours, else the default: a form must not send anyone elsewhere."""
    if path and path.startswith("/") and not path.startswith(("//", "/\\")) and path.isprintable() and path.isascii():
        return path
    return default


def redirect(path: str) -> Response:
    """See another page, by GET."""
    return Response.redirect(path, status=303)


def did(conn: Any, request: Any) -> dict[str, Any]:
    """What was just done, so that it can be said and taken back."""
    digits = request.args.get("did") or ""
    if not (digits.isascii() and digits.isdigit() and len(digits) < 18):
        return {"did": None}
    found = [c for c in queries.corrections(conn) if c.id == int(digits)]
    return {"did": found[0] if found else None}


async def sorry(datasette: Any, request: Any, exception: Exception) -> Response:
    """One sentence for a person, or for a program where JSON was asked for. Only a fault of ours is logged."""
    info: dict[str, Any] = {}
    sentence: str | Markup = str(exception)
    if isinstance(exception, NotFound):
        status = 404
    elif isinstance(exception, NoPage):
        status, sentence = 404, "There is no page at this address."
    elif isinstance(exception, sqlite3.OperationalError | sqlite3.DatabaseError):
        status, sentence = 503, str(explain(exception, "the log"))
    elif isinstance(exception, StoreError):
        status = 503
    elif isinstance(exception, ShoplogError):
        status = 400
    elif isinstance(exception, DatasetteError):
        status, info = exception.status, exception.error_dict
        sentence = Markup(exception.message) if exception.message_is_html else exception.message  # noqa: S704 - its own
    elif isinstance(exception, Base400 | Forbidden):
        status = getattr(exception, "status", 403)
        sentence = sentence or "That request can't be answered."
    else:
        traceback.print_exception(exception)
        status, sentence = 500, "Something went wrong here; the window in which shoplog runs says what."
    if request.path.split("?")[0].endswith(".json"):
        body = {**info, "ok": False, "error": str(sentence), "status": status, "title": None}
        return Response.json(body, status=status)
    return await page(datasette, request, "sorry", status=status, sentence=sentence)
