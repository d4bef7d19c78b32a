"""What stands before every request: who may ask, who may write, and what the browser may do with the answer."""

from __future__ import annotations

import asyncio
import base64
import binascii
import csv
import hmac
import io
import ipaddress
import re
import socket
from collections.abc import Awaitable, Callable, Mapping, MutableMapping
from typing import Any
from urllib.parse import parse_qs, urlsplit

from shoplog.cells import harmless
from shoplog.web.options import Options
from shoplog.web.standing import HERE

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

#: Our own pages hold no inline script or style and load nothing from elsewhere.
OWN_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; media-src 'self'; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
#: Datasette's pages carry inline script and style of their own.
TABLE_POLICY = (
    "default-src 'none'; script-src 'self' 'unsafe-inline'; style-src 'self' 'unsafe-inline'; img-src 'self' data:; "
    "connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
#: The only addresses that take a POST, all of them ours.
WRITES = re.compile(r"/(fact/\d+/(accept|reject|change)|correction/\d+/undo|project/\d+/settle|words/forget)")
#: Of Datasette's own addresses under /-/ only these are needed; others tell of the machine.
STATIC = ("/-/static/", "/-/static-plugins/")
#: A form of ours is far smaller.
BODY_LIMIT = 64 * 1024
CSRF_COOKIE = re.compile(r"(?:^|;\s*)ds_csrftoken=([^;\s]*)")


def guard(app: App, options: Options) -> App:
    """Wrap Datasette: host name, password, same origin for writes, headers, harmless CSV."""

    async def guarded(scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await app(scope, receive, send)
            return
        headers = {k.decode("latin-1").lower(): v.decode("latin-1") for k, v in scope["headers"]}
        refusal = refused(scope, headers, options)
        if refusal:
            status, sentence = refusal
            if status == 401:
                await asyncio.sleep(1)  # slows guessing down
            await _refuse(send, status, sentence)
            return
        if scope["method"] == "POST":
            body = await _body(receive)
            if body is None:
                await _refuse(send, 413, "That was more than a form can hold.")
                return
            if problem := form_problem(body, headers.get("cookie", "")):
                await _refuse(send, *problem)
                return
            receive = _replay(body, receive)
        await app(scope, receive, _dressed(send, scope["path"].endswith(".csv")))

    return guarded


def refused(scope: Mapping[str, Any], headers: Mapping[str, str], options: Options) -> tuple[int, str] | None:
    """(status, sentence) for a request that is not answered, None for one that is."""
    raw = scope.get("raw_path") or scope["path"].encode()
    # Two slashes in front, or a backslash, would be taken for another host where Datasette redirects.
    if not all(32 < byte < 127 for byte in raw) or raw.startswith(b"//") or b"\\" in raw:
        return 400, "That is no address of these pages."
    if not host_allowed(headers.get("host", ""), options):
        return 421, "These pages are not served under that name. Use the address that shoplog printed when it started."
    open_to_all = scope["path"] == HERE and scope["method"] == "GET"
    if (
        options.password is not None
        and not open_to_all
        and not password_right(headers.get("authorization", ""), options.password)
    ):
        return 401, "A password is needed."
    if scope["path"].startswith("/-/") and not scope["path"].startswith(STATIC):
        return 404, "There is no page at this address."
    writes = WRITES.fullmatch(scope["path"])
    if scope["method"] in ("GET", "HEAD") and not writes:
        return None
    if scope["method"] != "POST" or not writes:
        return 405, "Nothing can be written at that address."
    if options.read_only:
        return 403, "The log is shown read-only; start shoplog serve without --read-only to put facts right."
    if not same_origin(headers):
        return 403, "A change must come from the log's own pages."
    if headers.get("content-type", "").split(";")[0].strip() != "application/x-www-form-urlencoded":
        return 415, "A change must be sent as a form."
    # Without the cookie, or with a bearer token, the token check of the layer below would be skipped.
    if not CSRF_COOKIE.search(headers.get("cookie", "")) or headers.get("authorization", "").startswith("Bearer"):
        return 403, "Open the page again before you change something; its token is missing."
    return None


def host_allowed(header: str, options: Options) -> bool:
    """True for a Host header that names this machine.

    A page elsewhere can point a name of its own at this machine's address and then read what is served here; it can't
    do so with a bare address. So names must be known, addresses need not.
    """
    try:
        name = urlsplit(f"//{header}").hostname or ""
    except ValueError:
        return False
    name = name.rstrip(".").lower()
    if name == "localhost" or name in options.names:
        return True
    try:
        address = ipaddress.ip_address(name)
    except ValueError:
        own = socket.gethostname().lower()
        return not options.loopback and name in {options.host.lower(), own, own.split(".")[0] + ".local"}
    return address.is_loopback or not options.loopback


def same_origin(headers: Mapping[str, str]) -> bool:
    """True where the browser says that one of our own pages sent this. A request that says nothing is refused."""
    if headers.get("sec-fetch-site", "same-origin") != "same-origin":
        return False
    origin = urlsplit(headers.get("origin") or headers.get("referer", ""))
    return bool(origin.netloc) and origin.netloc.lower() == headers.get("host", "").lower()


def password_right(header: str, password: str) -> bool:
    """True where the Authorization header carries the password, with any user name."""
    scheme, _, coded = header.partition(" ")
    try:
        given = base64.b64decode(coded, validate=True) if scheme.lower() == "basic" else b""
    except (binascii.Error, ValueError):
        return False
    return hmac.compare_digest(given.partition(b":")[2], password.encode())


def form_problem(body: bytes, cookies: str) -> tuple[int, str] | None:
    """(status, sentence) for a form that is not taken; the layers below would raise, or say it in other words.

    Whether the token is one of ours at all is checked below, by its signature.
    """
    try:
        form = parse_qs(body.decode("utf-8"), errors="strict", keep_blank_values=True)
    except ValueError:
        return 400, "The form could not be read; go back and send it again."
    cookie = CSRF_COOKIE.search(cookies)
    if not cookie or form.get("csrftoken") != [cookie[1]]:
        return 403, "This page was opened before shoplog was started again; go back, open it again and repeat."
    return None


def harmless_csv(row: str) -> str:
    """One CSV row with cells that a spreadsheet would run as formulas made plain text."""
    out = io.StringIO()
    csv.writer(out).writerows([harmless(cell) for cell in cells] for cells in csv.reader(io.StringIO(row, newline="")))
    return out.getvalue()


async def _body(receive: Receive) -> bytes | None:
    """The whole body, None where it is longer than any form of ours."""
    body = b""
    while True:
        message = await receive()
        if message["type"] != "http.request":
            return None
        body += bytes(message.get("body", b""))
        if len(body) > BODY_LIMIT:
            return None
        if not message.get("more_body"):
            return body


def _replay(body: bytes, receive: Receive) -> Receive:
    messages: list[Message] = [{"type": "http.request", "body": body, "more_body": False}]

    async def replay() -> Message:
        return messages.pop() if messages else await receive()

    return replay


def _dressed(send: Send, is_csv: bool) -> Send:
    """Add the headers that every answer has. Datasette sends CSV one row a message; each row is made harmless."""
    text = False

    async def dressed(message: Message) -> None:
        nonlocal text
        if message["type"] == "http.response.start":
            given = {k.lower(): v for k, v in message["headers"]}
            text = is_csv and given.get(b"content-type", b"").startswith((b"text/csv", b"text/plain"))
            added = (
                (b"x-content-type-options", b"nosniff"),
                (b"referrer-policy", b"same-origin"),
                (b"cross-origin-resource-policy", b"same-origin"),
                (b"content-security-policy", TABLE_POLICY.encode()),
            )
            message = {**message, "headers": [*message["headers"], *((k, v) for k, v in added if k not in given)]}
        elif text and message.get("body"):
            message = {**message, "body": harmless_csv(message["body"].decode("utf-8")).encode()}
        await send(message)

    return dressed


async def _refuse(send: Send, status: int, sentence: str) -> None:
    headers = [(b"content-type", b"text/plain; charset=utf-8"), (b"x-content-type-options", b"nosniff")]
    if status == 401:
        headers.append((b"www-authenticate", b'Basic realm="shoplog", charset="UTF-8"'))
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": sentence.encode()})
