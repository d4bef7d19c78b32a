"""A log with its pages, asked without a network."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))
from weblog import Pages, build

from shoplog.store import open_database
from shoplog.web.options import Options


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


@pytest.fixture
def pages(shop: Path) -> Iterator[Pages]:
    """The pages, writable."""
    shown = Pages(shop, Options(read_only=False, author="ada"))
    yield shown
    shown.close()
