"""Many-day projects with what is true of them, and how far a course agrees.

A project file holds recordings with lines ``[seconds, operation, words or null, piece]``: the operation is the true
one from that second on (a line without words marks a change in silence). Facts are those that the extractor finds;
a fact's true operation is its line's.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from shoplog.log import KeptFact, Project, Stage
from shoplog.timeline import Course
from tests.timeline.spoken import PACE, project_of

PROJECTS = Path(__file__).parent / "projects"


def open_projects() -> list[Path]:
    """The projects that may be read and are learned from; those in ``first_sight`` are only scored."""
    return sorted(path for path in PROJECTS.rglob("*.json") if path.parent.name != "first_sight")


@dataclass(frozen=True)
class Told:
    """A project as it is stored, with the file that tells what is true of it."""

    project: Project
    truth: dict[str, Any]


def load(path: Path, *, close: bool = False) -> Told:
    """The project of one file, its facts found by the extractor.

    ``close`` moves the remarks together as captions that were cut to the words have them: without pauses, without
    machine time; moments within a recording are then not those of the truth.
    """
    truth = json.loads(path.read_text("utf-8"))
    if close:
        for recording in truth["recordings"]:
            _close_up(recording)
    spoken = [
        {**recording, "lines": [line[::2][:2] for line in recording["lines"] if line[2]]}
        for recording in truth["recordings"]
    ]
    return Told(project_of(spoken, truth["name"]), truth)


def _close_up(recording: dict[str, Any]) -> None:
    at, lines = 2.0, []
    for line in recording["lines"]:
        if line[2]:
            lines.append([at, *line[1:]])
            at += len(line[2].split()) / PACE + 1.5
    recording.update(lines=lines, duration=at, machine=[])


def true_stages(truth: dict[str, Any]) -> list[Stage]:
    """The true stages, from each change of operation or piece to the next; the first begins with the recording."""
    stages: list[Stage] = []
    for number, recording in enumerate(truth["recordings"], 1):
        first = len(stages)
        for line in recording["lines"]:
            piece = line[3] if len(line) > 3 else 1
            if len(stages) == first or (stages[-1].operation, stages[-1].piece) != (line[1], piece):
                if len(stages) > first:
                    last = stages.pop()
                    stages.append(Stage(number, last.operation, last.start, line[0], last.piece))
                stages.append(Stage(number, line[1], line[0] if len(stages) > first else 0.0, 0.0, piece))
        last = stages.pop()
        stages.append(Stage(number, last.operation, last.start, recording["duration"], last.piece))
    return stages


def overlap(told: Told, found: Course) -> float:
    """The share of the recorded time that is in its true operation."""
    same = whole = 0.0
    for stage in true_stages(told.truth):
        whole += stage.end - stage.start
        for other in found.stages:
            if (other.recording_id, other.operation) == (stage.recording_id, stage.operation):
                same += max(min(stage.end, other.end) - max(stage.start, other.start), 0.0)
    return same / whole


def confused(told: Told, found: Course) -> dict[tuple[str, str], float]:
    """Seconds by (true, found) operation where they differ."""
    seconds: dict[tuple[str, str], float] = {}
    for stage in true_stages(told.truth):
        for other in found.stages:
            if other.recording_id == stage.recording_id and other.operation != stage.operation:
                both = min(stage.end, other.end) - max(stage.start, other.start)
                if both > 0:
                    pair = (stage.operation, other.operation)
                    seconds[pair] = seconds.get(pair, 0.0) + both
    return dict(sorted(seconds.items(), key=lambda item: -item[1]))


def misplaced(told: Told, found: Course) -> tuple[list[tuple[KeptFact, str]], int]:
    """The facts that are not in their true operation, each with that operation, and how many facts there are."""
    wrong, count = [], 0
    for take, recording in zip(told.project.takes, told.truth["recordings"], strict=True):
        for kept in take.facts:
            true = [line[1] for line in recording["lines"] if line[2] and line[0] <= kept.fact.start + 0.05][-1]
            count += 1
            if found.operations[kept.id].operation != true:
                wrong.append((kept, true))
    return wrong, count


def wrong_defects(told: Told, found: Course) -> list[str]:
    """What is wrong with the ledger: true defects missing or in another state, and entries that are none of them.

    An ``optional`` one may be missing: the words leave open whether it is a defect.
    """
    left = list(found.defects)
    wrong = []
    for true in told.truth["defects"]:
        fits = [d for d in left if d.item == true["item"]]
        fits.sort(key=lambda d: (true["where"] is not None and d.where != true["where"], d.state not in true["state"]))
        if not fits:
            if true.get("optional"):
                continue
            wrong.append(f"{true['item']} ({true['where']}) is missing")
            continue
        left.remove(fits[0])
        if fits[0].state not in true["state"]:
            wrong.append(f"{true['item']} ({true['where']}) is {fits[0].state}, not {true['state']}")
    return wrong + [f"{d.item} ({d.where}, {d.state}) is one too many" for d in left]


def wrong_moments(told: Told, found: Course) -> list[str]:
    """The moments (within twenty minutes) and days that are not those of the truth, in words."""
    wrong = []
    for true in told.truth["moments"]:
        take = told.project.takes[true["recording"]]
        start = found.starts[take.recording.id]
        facts = [k for k in take.facts if k.fact.start >= true["at"] - 0.05] or list(take.facts[-1:])
        near = min(facts, key=lambda k: k.fact.start)
        moment = found.moments[near.id]
        expected = datetime.fromisoformat(true["moment"])
        if len(true["moment"]) == 10:
            if found.dates[near.id] != expected.date():
                wrong.append(
                    f"recording {take.recording.name} at {true['at']}: {found.dates[near.id]}, not {expected.date()}"
                )
        elif moment is None or abs((moment - expected).total_seconds() - (near.fact.start - true["at"])) > 1200:
            wrong.append(f"recording {take.recording.name} at {true['at']}: {moment} ({start.source}), not {expected}")
    for take, day in zip(told.project.takes, told.truth.get("days", ()), strict=False):
        if found.starts[take.recording.id].day != day:
            wrong.append(f"{take.recording.name} on day {found.starts[take.recording.id].day}, not {day}")
    return wrong


def wrong_contradictions(told: Told, found: Course) -> list[str]:
    """Contradictions that were missed or are none, by kind."""
    kinds = {c.kind for c in found.contradictions}
    true = set(told.truth["contradictions"])
    return [f"{kind} was missed" for kind in sorted(true - kinds)] + [
        f"{c.kind}: {c.words}" for c in found.contradictions if c.kind not in true
    ]


def wrong_plans(told: Told, found: Course) -> list[str]:
    """Plans whose verdict is another than the truth; named by words of their quote."""
    quotes = {k.id: k.fact.quote for take in told.project.takes for k in take.facts}
    wrong = []
    for true in told.truth.get("plans", ()):
        verdicts = [p.verdict for p in found.plans if true["quote"].lower() in quotes[p.planned].lower()]
        if true["verdict"] not in verdicts:
            wrong.append(f"“{true['quote']}” is {verdicts or 'no plan'}, not {true['verdict']}")
    return wrong
