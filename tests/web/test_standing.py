"""A log is served once: a second start finds the first, and what ends, ends whole."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from click.testing import CliRunner

from shoplog.cli import group
from shoplog.errors import InputError
from shoplog.store import open_database
from shoplog.web import standing


@contextmanager
def _started(*words: str) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """The command running, and the address that it printed."""
    child = subprocess.Popen(
        [sys.executable, "-m", "shoplog", *words], stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
    )  # fmt: skip
    try:
        assert child.stdout is not None
        lines = []
        for line in child.stdout:
            lines.append(line)
            if match := re.search(r"http://\S+", line):
                yield child, match[0]
                break
        else:
            pytest.fail("".join(lines))
    finally:
        if child.poll() is None:
            child.send_signal(signal.SIGINT)
        child.wait(60)


def _get(address: str) -> str:
    direct = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    with direct.open(address, timeout=20) as answer:
        return str(answer.read().decode())


@pytest.mark.slow
def test_a_second_start_finds_the_first(database: Path) -> None:
    """The second one says where the log is shown and ends; when the first has ended, its note is gone."""
    open_database(database).close()
    serve = ("--db", str(database), "serve", "--no-browser")
    with _started(*serve, "--port", "0") as (first, address):
        assert "Nothing has been heard yet" in _get(address + "/")
        second = subprocess.run(
            [sys.executable, "-m", "shoplog", *serve], capture_output=True, text=True, timeout=60, check=True
        )
        assert address in second.stdout
        assert first.poll() is None
    assert not standing.record_of(database).exists()
    assert standing.running(database) is None


@pytest.mark.slow
def test_open_watches_the_inbox_and_ends_with_it(database: Path, tmp_path: Path) -> None:
    """Captions put into the inbox come to be read and shown; killed outright, the watcher ends too."""
    inbox = tmp_path / "inbox"
    (inbox / "elm bowl").mkdir(parents=True)
    with _started("--db", str(database), "open", str(inbox), "--no-browser", "--port", "0") as (child, address):
        assert str(inbox) in _get(address + "/")
        (inbox / "elm bowl" / "day.vtt").write_text("WEBVTT\n\n00:01.000 --> 00:04.000\nThe lathe is at 850 rpm.\n")
        deadline = time.monotonic() + 90
        while json.loads(_get(address + "/state.json"))["done"] == 0 and time.monotonic() < deadline:
            time.sleep(0.5)
        assert "elm bowl" in _get(address + "/projects")
        watchers = _children(child.pid)
        child.kill()
    assert watchers
    deadline = time.monotonic() + 60
    while any(Path(f"/proc/{w}").exists() for w in watchers) and time.monotonic() < deadline:
        time.sleep(0.2)
    assert not [w for w in watchers if Path(f"/proc/{w}").exists()]


def _children(pid: int) -> list[int]:
    try:
        return [int(c) for c in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]
    except OSError:
        pytest.skip("this system does not tell a process's children")


def test_a_note_that_leads_nowhere_is_no_running_one(database: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A note left behind by a crash, broken, or naming another program is passed over."""
    monkeypatch.setattr(standing, "STARTING", 0.0)
    for text in (
        "",
        "[]",
        "{}",
        '{"address": 5}',
        '{"address": "file:///etc/passwd"}',
        '{"address": "http://127.0.0.1:1"}',
    ):
        standing.record_of(database).write_text(text)
        assert standing.running(database) is None


def test_a_taken_port_is_said_or_passed(database: Path) -> None:
    """Where a port was asked for and is taken, one sentence says so; where none was, the next one is used."""
    with standing.bound("127.0.0.1", 0, others=False) as taken:
        port = taken.getsockname()[1]
        with pytest.raises(InputError, match=str(port)):
            standing.bound("127.0.0.1", port, others=False)
        with standing.bound("127.0.0.1", port, others=True) as other:
            assert other.getsockname()[1] != port


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["serve", "--host", "0.0.0.0"], "password"),
        (["open", "nowhere at all"], "no folder"),
    ],
)
def test_refusals(database: Path, words: list[str], sentence: str) -> None:
    """Other machines need a password; an inbox must be there."""
    open_database(database).close()
    result = CliRunner().invoke(group, ["--db", str(database), *words, "--no-browser"])
    assert sentence in str(result.exception) + result.output
    assert not standing.record_of(database).exists()


def test_serving_nothing_says_how_to_begin(database: Path) -> None:
    """Without a log there is nothing to serve."""
    result = CliRunner().invoke(group, ["--db", str(database), "serve", "--no-browser"])
    assert "no database" in str(result.exception)
