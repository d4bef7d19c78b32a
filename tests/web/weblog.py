"""An invented log for the pages, with real small recordings: tones whose pitch tells where in the file one is."""

from __future__ import annotations

import asyncio
import hashlib
import html
import re
import sqlite3
import wave
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import datasette.handle_exception
import numpy as np
from datasette.plugins import pm

from shoplog.facts import Fact
from shoplog.store import corrections as corrected
from shoplog.store import open_database, transaction, writes
from shoplog.transcript import Cue, Transcript
from shoplog.web.options import Options
from shoplog.web.server import datasette_for, take_over_errors

#: What a hostile microphone, file system or neighbour may put into a log.
HOSTILE = (
    "<script>window.ran = 1</script>",
    "\"><img src=x onerror='window.ran=1'>",
    "'; drop table fact; --",
    '=HYPERLINK("http://example.invalid")',
    "{{ 913 * 917 }}{% raw %}",
    "javascript:window.ran=1",
    "</textarea></title><svg onload=window.ran=1>",
    "../../etc/passwd",
    "\u202eright to left\u202c \u0007 bell",
    'AND OR NOT NEAR("',
    "名前 и имя",
)
SECONDS = 40.0


def tone(path: Path, seconds: float = SECONDS, rate: int = 8000) -> Path:
    """A WAV file; every second has a pitch of its own."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with wave.open(str(path), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(rate)
        at = np.arange(int(seconds * rate))
        samples = 6000 * np.sin(2 * np.pi * (300 + 20 * (at // rate)) * at / rate)
        out.writeframes(samples.astype("<i2").tobytes())
    return path


Lines = list[tuple[str, list[Fact]]]
LINES: Lines = [
    ("This is black cherry, a wet blank eleven inches across.", [
        Fact("species", "black cherry", attrs={"form": "blank"}), Fact("dimension", "diameter", 11, unit="in")]),
    ("The meter reads 28 percent on the end grain.", [
        Fact("moisture", value=28, unit="%", attrs={"where": "end grain"})]),
    ("The lathe is at eight fifty with the half inch bull gouge.", [
        Fact("speed", value=815, unit="rpm", confidence=0.4, attrs={
            "doubt": ["the number was not heard clearly"], "alternatives": [{"value": 850}]}),
        Fact("tool", "bowl gouge", 0.5, unit="in")]),
    ("There is a crack opening at the rim.", [Fact("defect", "crack", attrs={"change": "new", "where": "rim"})]),
    ("I'm going to sand up through 400.", [Fact("grit", low=120, high=400, unit="grit", status="planned")]),
    ("Walnut oil, two coats, and I'll look at that crack again in a month.", [
        Fact("finish", "walnut oil", attrs={"coats": 2}),
        Fact("followup", "crack", status="planned", attrs={"due": "a month"})]),
]  # fmt: skip
EVERY = 6.0


def _facts(lines: Lines) -> tuple[tuple[Cue, ...], list[Fact]]:
    cues = tuple(Cue(2 + n * EVERY, 2 + n * EVERY + 4, say) for n, (say, _) in enumerate(lines))
    facts = [
        replace(f, start=2 + n * EVERY + 0.5, end=2 + n * EVERY + 3, quote=say)
        for n, (say, fs) in enumerate(lines)
        for f in fs
    ]
    return cues, facts


def build(database: Path, media: Path) -> None:
    """Write the log and its recordings: an honest project of two days, a hostile one, one waiting, one failed."""
    conn = open_database(database)
    begun = datetime(2026, 3, 14, 9, 10, tzinfo=UTC)
    with transaction(conn):
        cherry = writes.project(conn, "Cherry salad bowl")
        for day in range(2):
            path = tone(media / f"day {day + 1}.wav")
            _add(conn, cherry, path, begun + timedelta(days=2 * day), LINES[:4] if day == 0 else LINES[4:])
        hostile = writes.project(conn, HOSTILE[0])
        for n, name in enumerate(HOSTILE):
            path = tone(media / f"h{n}.wav", 8)
            facts = [
                (name, [Fact("tool", name.lower(), confidence=0.3, attrs={"doubt": [name]}), Fact("credit", name)])
            ]
            _add(conn, hostile, path, begun, facts, name=name)
        corrected.correct(
            conn,
            conn.execute("select max(id) from fact").fetchone()[0],
            "change",
            {"item": HOSTILE[1]},
            HOSTILE[2],
            HOSTILE[3],
        )
        waiting = writes.add_recording(conn, cherry, "day 3.wav", "media")
        writes.add_clip(conn, waiting, tone(media / "day 3.wav", 3), "w" * 64, 48044, 1, duration=3.0)
        hearing = writes.add_recording(conn, cherry, "day 4.wav", "media", "hearing")
        writes.add_clip(conn, hearing, tone(media / "day 4.wav", 3), "v" * 64, 48044, 1, duration=3.0)
        writes.save_part(conn, hearing, 0, "{}", 1.2, "[]")
        failed = writes.add_recording(conn, cherry, "day 5.wav", "media", "failed", "there is no sound in it")
        writes.add_clip(conn, failed, media / "day 5.wav", None, 0, 1)
        writes.teach(conn, "bull gouge", "bowl gouge")
    conn.close()


def _add(
    conn: sqlite3.Connection, project: int, path: Path, begun: datetime, lines: Lines, name: str | None = None
) -> None:
    number = writes.add_recording(conn, project, name or path.name, "media")
    digest = hashlib.sha256(path.read_bytes() + str(number).encode()).hexdigest()
    writes.add_clip(
        conn, number, path, digest, path.stat().st_size, path.stat().st_mtime_ns, container="wav", duration=SECONDS,
        recorded_at=begun, recorded_at_source="container",
    )  # fmt: skip
    cues, facts = _facts(lines)
    writes.save_transcript(conn, number, Transcript(cues, source="heard", duration=SECONDS, model="base"))
    writes.save_facts(conn, number, facts, "test")


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


def text_of(page: str) -> str:
    """A page's words without its tags."""
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page)).split())
