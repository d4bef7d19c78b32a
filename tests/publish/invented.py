"""Invented projects for the tests: TOML to a `Project` with its course, without database or extractor."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

from shoplog.facts import Fact
from shoplog.log import Clip, KeptFact, Project, Recording, Take
from shoplog.publish.pack import Pack, pack
from shoplog.timeline import course
from shoplog.timeline.course import Course
from shoplog.transcript import Cue, Stretch

FOLDER = Path(__file__).parent / "projects"
NAMES = sorted(p.stem for p in FOLDER.glob("*.toml"))
#: Words a second of the invented speakers.
PACE = 2.6


@dataclass(frozen=True)
class Invented:
    project: Project
    course: Course
    expect: dict[str, Any]

    def pack(self, **more: Any) -> Pack:
        return pack(self.project, self.course, **more)


@cache
def invented(name: str) -> Invented:
    """The project in ``projects/NAME.toml``."""
    table = tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))
    return made(table["name"], table["recording"], table.get("expect", {}))


def made(name: str, recordings: list[dict[str, Any]], expect: dict[str, Any] | None = None) -> Invented:
    """A project of recordings given as mappings: name, started, lines (at, say, facts), stretches."""
    number = 0
    takes = []
    for n, r in enumerate(recordings, 1):
        cues, facts = [], []
        for line in r["lines"]:
            start = float(line["at"])
            end = round(start + max(1.0, len(line["say"].split()) / PACE), 2)
            cues.append(Cue(start, end, line["say"], trust=line.get("trust", "ok")))
            for f in line.get("facts", ()):
                number += 1
                settled = f.get("verdict")
                fields = {k: v for k, v in f.items() if k not in ("verdict", "heard")}
                fact = Fact(**{"start": start, "end": end, "quote": line["say"], "confidence": 0.9, **fields})
                heard = Fact(**{**fact.as_json(), **f["heard"]}) if "heard" in f else None
                facts.append(KeptFact(number, n, fact, verdict=settled, heard=heard))
        length = float(r.get("duration", cues[-1].end + 30))
        stretches = tuple(Stretch(**s) for s in r.get("stretches", ()))
        started = datetime.fromisoformat(r["started"]) if "started" in r else None
        clip = Clip(n, n, f"{r['name']}", r["name"], f"digest of {r['name']}", 1, duration=length, recorded_at=started)
        recording = Recording(
            n,
            1,
            r["name"],
            "media",
            "done",
            duration=length,
            started=started,
            started_source="container",
            clips=(clip,),
        )
        takes.append(Take(recording, tuple(cues), tuple(facts), stretches))
    project = Project(1, name, tuple(takes))
    found = course(project)
    placed = tuple(
        replace(
            t,
            facts=tuple(
                replace(k, operation=found.operations[k.id].operation, piece=found.operations[k.id].piece)
                for k in t.facts
            ),
        )
        for t in project.takes
    )
    return Invented(replace(project, takes=placed), found, expect or {})
