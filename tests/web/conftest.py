"""A log with its pages, asked without a network."""

from __future__ import annotations

import asyncio
import html
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import datasette.handle_exception
import pytest
from datasette.plugins import pm

sys.path.insert(0, str(Path(__file__).parent))
from weblog import build

from shoplog.store import open_database
from shoplog.web.options import Options
from shoplog.web.server import datasette_for, take_over_errors


@pytest.fixture(scope="session")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the log and its media, made once; tests copy the log."""
    folder = tmp_path_factory.mktemp("shop")
    build(folder / "log.db", folder / "media")
    return folder


@pytest.fixture
def shop(written: Path, tmp_path: Path) -> Path:
    """A copy of the log for one test; the media are shared and only read."""
    conn = open_database(written / "log.db")
    conn.execute("vacuum into ?", (str(tmp_path / "log.db"),))
    conn.close()
    return tmp_path / "log.db"


class Pages:
    """The pages of a log, asked one request at a time, with a browser's cookies."""

    def __init__(self, database: Path, options: Options, secret: str | None = None) -> None:
        self.database = database
        take_over_errors()
        self.loop = asyncio.new_event_loop()
        self.datasette = datasette_for(database, options, secret)
        self.cookies: dict[str, str] = {}

    def ask(self, method: str, path: str, **more: Any) -> Any:
        headers = {"cookie": "; ".join(f"{k}={v}" for k, v in self.cookies.items()), **more.pop("headers", {})}
        headers = {k: v for k, v in headers.items() if v}
        answer = self.loop.run_until_complete(self.datasette.client.request(method, path, headers=headers, **more))
        self.cookies.update(answer.cookies)
        return answer

    def get(self, path: str, **more: Any) -> Any:
        return self.ask("GET", path, **more)

    def post(self, path: str, form: dict[str, str], page: str = "/listen", **more: Any) -> Any:
        """Send a form as a browser does from ``page``, with its token and the fact's mark."""
        body = self.get(page).text
        token = re.search(r'name="csrftoken" value="([^"]+)"', body)
        hidden = {"csrftoken": token[1] if token else ""}
        fact = re.match(r"/fact/(\d+)/", path)
        if fact:
            mark = re.search(r'name="mark" value="(\w+)"', self.get(f"/fact/{fact[1]}").text)
            hidden["mark"] = mark[1] if mark else ""
        headers = {"origin": "http://localhost", **more.pop("headers", {})}
        return self.ask("POST", path, data={**hidden, **form}, headers=headers, **more)

    def close(self) -> None:
        if not pm.has_plugin("datasette.handle_exception"):
            pm.register(datasette.handle_exception, "datasette.handle_exception")
        for database in self.datasette.databases.values():
            database.close()
        self.loop.close()


@pytest.fixture
def pages(shop: Path) -> Iterator[Pages]:
    """The pages, writable."""
    shown = Pages(shop, Options(read_only=False, author="ada"))
    yield shown
    shown.close()


def text_of(page: str) -> str:
    """A page's words without its tags."""
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page)).split())


__all__ = ["Pages", "text_of"]
