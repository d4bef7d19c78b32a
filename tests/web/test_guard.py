"""Who may ask, who may write."""

from __future__ import annotations

import base64
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from weblog import Pages

from shoplog.store import open_database, queries
from shoplog.web.guard import host_allowed, same_origin
from shoplog.web.options import Options


@pytest.mark.parametrize(
    ("host", "served_at", "allowed"),
    [
        ("127.0.0.1:8001", "127.0.0.1", True),
        ("localhost", "127.0.0.1", True),
        ("LOCALHOST.:8001", "127.0.0.1", True),
        ("[::1]:8001", "127.0.0.1", True),
        ("shop.example", "127.0.0.1", False),
        ("localhost.shop.example", "127.0.0.1", False),
        ("127.0.0.1.shop.example:8001", "127.0.0.1", False),
        ("192.168.1.7", "127.0.0.1", False),
        ("", "127.0.0.1", False),
        ("[::1", "127.0.0.1", False),
        ("192.168.1.7:8001", "0.0.0.0", True),
        ("shop.example:8001", "0.0.0.0", False),
        ("bench.lan", "bench.lan", True),
        ("named.lan", "127.0.0.1", True),
    ],
)
def test_only_known_names_are_answered(host: str, served_at: str, allowed: bool) -> None:
    """A name that someone else points at this machine is refused; bare addresses can't be pointed."""
    assert allowed is host_allowed(host, Options(host=served_at, names=frozenset({"named.lan"})))


@pytest.mark.parametrize(
    ("headers", "same"),
    [
        ({"host": "a:1", "origin": "http://a:1"}, True),
        ({"host": "a:1", "referer": "http://a:1/listen"}, True),
        ({"host": "a:1", "origin": "http://a:2"}, False),
        ({"host": "a:1", "origin": "null"}, False),
        ({"host": "a:1"}, False),
        ({"host": "a:1", "origin": "http://a:1", "sec-fetch-site": "cross-site"}, False),
        ({"host": "a:1", "origin": "http://a:1", "sec-fetch-site": "same-origin"}, True),
    ],
)
def test_same_origin(headers: dict[str, str], same: bool) -> None:
    """A change must say that it comes from our own pages."""
    assert same is same_origin(headers)


def _verdict(database: Path, fact: int) -> str | None:
    conn = open_database(database)
    verdict = queries.fact(conn, fact).verdict
    conn.close()
    return verdict


Asked = Callable[[Pages], int]


def _status(path: str, **more: dict[str, str]) -> Asked:
    return lambda pages: pages.post(path, more.get("form", {}), headers=more.get("headers", {})).status_code


@pytest.mark.parametrize(
    ("asked", "status"),
    [
        pytest.param(_status("/fact/4/accept"), 303, id="as the page does it"),
        pytest.param(_status("/fact/4/accept", form={"csrftoken": "wrong"}), 403, id="wrong token"),
        pytest.param(_status("/fact/4/accept", form={"csrftoken": "ü"}), 403, id="odd token"),
        pytest.param(_status("/fact/4/accept", headers={"cookie": ""}), 403, id="no cookie"),
        pytest.param(_status("/fact/4/accept", headers={"origin": "http://shop.example"}), 403, id="elsewhere"),
        pytest.param(_status("/fact/4/accept", headers={"origin": ""}), 403, id="no origin"),
        pytest.param(_status("/fact/4/accept", headers={"authorization": "Bearer x"}), 403, id="bearer"),
        pytest.param(_status("/fact/4/accept", headers={"host": "shop.example"}), 421, id="wrong host"),
        pytest.param(_status("/fact/4/accept", headers={"content-type": "text/plain"}), 415, id="no form"),
        pytest.param(_status("/fact/4/accept", form={"why": "x" * 70_000}), 413, id="too long"),
        pytest.param(lambda p: p.get("/fact/4/accept").status_code, 405, id="by GET"),
        pytest.param(lambda p: p.ask("DELETE", "/fact/4").status_code, 405, id="DELETE"),
        pytest.param(_status("/log/fact"), 405, id="a table"),
        pytest.param(_status("/-/messages"), 404, id="Datasette's own form"),
        pytest.param(_status("/fact/99999/accept"), 404, id="no such fact"),
        pytest.param(_status("/fact/4/accept", form={"mark": "0" * 16}), 400, id="another fact by now"),
    ],
)
def test_writes_need_token_origin_and_address(pages: Pages, asked: Asked, status: int) -> None:
    """Anything but our own page's form is refused, and nothing is written."""
    assert status == asked(pages)
    assert ("accept" if status == 303 else None) == _verdict(pages.database, 4)


def test_read_only_changes_nothing(shop: Path) -> None:
    """Read-only pages show no form, and refuse what a form would send."""
    shown = Pages(shop, Options(read_only=True))
    assert 'method="post"' not in shown.get("/listen").text
    assert shown.post("/fact/4/accept", {}).status_code == 403
    assert _verdict(shop, 4) is None
    shown.close()


@pytest.mark.parametrize(
    ("given", "status"),
    [("", 401), ("Basic " + base64.b64encode(b"me:wrong").decode(), 401), ("Basic ???", 401), ("Bearer right", 401),
     ("Basic " + base64.b64encode("me:gräin".encode()).decode(), 200)],
)  # fmt: skip
def test_password(shop: Path, given: str, status: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """With a password nothing is shown without it, files and tables included."""

    async def at_once(_: float) -> None:
        return None

    monkeypatch.setattr("shoplog.web.guard.asyncio.sleep", at_once)
    shown = Pages(shop, Options(host="0.0.0.0", password="gräin"))
    for path in ("/", "/log/fact.json", "/media/1", "/-/static-plugins/shoplog/shoplog.js"):
        assert status == shown.get(path, headers={"authorization": given, "host": "192.168.1.7"}).status_code
    shown.close()


@pytest.mark.parametrize("path", ["//shop.example/", "/\\shop.example/", "/%5Cshop.example/", "/log//shop.example/"])
def test_no_redirect_leads_elsewhere(pages: Pages, path: str) -> None:
    """No address makes the server send the browser to another host."""
    answer = pages.get("http://localhost" + path)
    target = answer.headers.get("location", "/")
    assert target.startswith("/")
    assert not target.startswith(("//", "/\\"))


def test_a_form_sends_nobody_elsewhere(pages: Pages) -> None:
    """Where to go after a change is one of our own pages, whatever the form says."""
    for back in ("http://shop.example/", "//shop.example", "/\\shop.example", "javascript:alert(1)", "/a\nb"):
        answer = pages.post("/fact/4/accept", {"back": back})
        assert answer.headers["location"].startswith("/listen?did=")


def test_answers_say_what_a_browser_may_do(pages: Pages) -> None:
    """Our pages allow no inline script or style; nothing is sniffed, framed or read from elsewhere."""
    for path in ("/", "/project/1", "/listen", "/find?q=cherry", "/nothing"):
        policy = pages.get(path).headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
    for path in ("/", "/log", "/log/fact.json", "/media/1", "/-/static-plugins/shoplog/shoplog.css"):
        headers = pages.get(path).headers
        assert headers["x-content-type-options"] == "nosniff"
        assert "content-security-policy" in headers


def test_sql_is_read_only_and_ends(pages: Pages) -> None:
    """Arbitrary SQL can't write, and is stopped when it takes too long."""
    assert pages.get("/log.json?sql=delete+from+fact").status_code == 400
    endless = "with recursive n(i) as (select 1 union all select i + 1 from n) select count(*) from n"
    answer = pages.get("/log.json", params={"sql": endless})
    assert answer.status_code == 400
    assert "interrupted" in answer.text or "time limit" in answer.text


def test_datasettes_own_pages_about_the_machine_are_closed(pages: Pages) -> None:
    """Where the database lies, which versions run and who is who is nobody's business."""
    for path in (
        "databases.json",
        "versions.json",
        "settings.json",
        "metadata.json",
        "actor.json",
        "permissions",
        "messages",
    ):
        assert pages.get(f"/-/{path}").status_code == 404


def test_open_pages_outlive_a_restart(shop: Path) -> None:
    """A form opened before the server was started again is still taken, with the kept key; with another it is not."""
    from shoplog.web import standing

    key = standing.secret()
    assert key == standing.secret()
    for secret, status in ((key, 303), ("another", 403)):
        before = Pages(shop, Options(read_only=False), key)
        body = before.get("/fact/4").text
        token, mark = (re.search(rf'name="{n}" value="([^"]+)"', body) for n in ("csrftoken", "mark"))
        assert token
        assert mark
        after = Pages(shop, Options(read_only=False), secret)
        after.cookies = before.cookies
        form = {"csrftoken": token[1], "mark": mark[1]}
        answer = after.ask("POST", "/fact/4/accept", data=form, headers={"origin": "http://localhost"})
        assert status == answer.status_code
        before.close()
        after.close()
