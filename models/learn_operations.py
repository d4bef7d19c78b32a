"""Learn what remarks speak for which operation (`shoplog/timeline/learned.npz`).

    python models/learn_operations.py            # learn and write
    python models/learn_operations.py --check    # learn from a part, tell how well the other projects are read

Needs `pip install scikit-learn`. Learned from the narrations of `tests/narrations` whose lines name the operation under
way, and from the projects of `tests/timeline/projects`; those in `first_sight/` are for the score. Run it after a
change to the phrases of operations, to the signs or to the extractor, and score the projects of first sight with
`tests/bench/timeline.py` before and after.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[1]
sys.path[:0] = [str(ROOT / "models"), str(ROOT)]
from fitting import fit  # noqa: E402

from shoplog import timeline  # noqa: E402
from shoplog.linear import Linear, save  # noqa: E402
from shoplog.log import Project  # noqa: E402
from shoplog.timeline.clock import resolve  # noqa: E402
from shoplog.timeline.evidence import heard_phrases  # noqa: E402
from shoplog.timeline.operations import tokens_of, trade  # noqa: E402
from shoplog.timeline.signs import AROUND, LEARNED, SHARED, around, signs, standings, weights_of  # noqa: E402
from tests.timeline import gold  # noqa: E402
from tests.timeline.spoken import project_of  # noqa: E402

NARRATIONS = ROOT / "tests" / "narrations"
#: Seconds from one line of a narration to the next; they have no times of their own.
STEP = 12.0
#: A sign that was seen less often than this is left out.
SEEN = 3
#: Weights below this for all operations are left out: they change no decision.
SMALL = 0.04
#: A remark of a project counts so often: it has its days, machine and silences, as what is read has.
PROJECT = 2.5
#: How strongly the weights are held back (the inverse of the penalty), the best of a few on projects left out.
FREEDOM = 0.3
#: How far the frequency of an operation is taken out of its weights: the operation before says it better.
FREQUENCY = 0.5
#: So often is every operation taken to have followed every other, beside what was counted.
NEVER_SEEN = 0.3
#: No step costs more than this.
DEAREST = 6.0


@dataclass
class Recording:
    """The signs of each remark of a recording, and the true operation of each; how often it counts."""

    remarks: list[list[str]]
    operations: list[str]
    weight: float


def recordings(project: Project, operations: Iterable[Sequence[str]], weight: float) -> list[Recording]:
    """The recordings of a project, with their true operations remark by remark."""
    known, starts = trade(), resolve(project.takes).starts
    standing = standings([starts[take.recording.id].day for take in project.takes])
    found = []
    for take, stands, true in zip(project.takes, standing, operations, strict=True):
        tokens = [tokens_of(cue.text) for cue in take.cues]
        said = [heard_phrases(remark, known) for remark in tokens]
        found.append(Recording(signs(take, tokens, said, stands), list(true), weight))
    return found


def of_narration(path: Path) -> list[Recording]:
    """A narration as a recording in which no machine was listened for; none if its lines name no operations."""
    narration = json.loads(path.read_text("utf-8"))
    lines = narration["lines"]
    if "operation" not in lines[0]:
        return []
    spoken = [[STEP * n, line["say"]] for n, line in enumerate(lines)]
    project = project_of([{"started": narration["started"], "lines": spoken}])
    project = replace(project, takes=tuple(replace(take, stretches=()) for take in project.takes))
    return recordings(project, [[line["operation"] for line in lines]], 1.0)


def of_project(told: gold.Told) -> list[Recording]:
    """The recordings of a project with its truth."""
    true = [[line[1] for line in r["lines"] if line[2]] for r in told.truth["recordings"]]
    return recordings(told.project, true, PROJECT)


def with_neighbours(remarks: Sequence[Sequence[str]]) -> list[list[str]]:
    """The signs of each remark together with those around it that it shares, by the names that they have for it."""
    found = []
    for n, own in enumerate(remarks):
        row = list(own)
        for on in range(-AROUND, AROUND + 1):
            if on and 0 <= n - on < len(remarks):
                row += [around(on, sign) for sign in remarks[n - on] if sign.startswith(SHARED)]
        found.append(row)
    return found


def learn(found: Sequence[Recording]) -> dict[str, Linear]:
    """What signs weigh for each operation, and what the operation before does."""
    rows = [row for recording in found for row in with_neighbours(recording.remarks)]
    truth = [operation for recording in found for operation in recording.operations]
    counted = [recording.weight for recording in found for _ in recording.operations]
    remark = fit(rows, truth, counted, freedom=FREEDOM, seen=SEEN, small=SMALL, rounds=150)
    counts = Counter(truth)
    remark.weights[-1] -= FREQUENCY * np.log([counts[c] / len(truth) for c in remark.classes])
    return {"remark": remark, "going": going(found)}


def going(found: Sequence[Recording]) -> Linear:
    """How much rarer it is to go from one operation (row) to another (class) than to stay, as logarithms."""
    names = timeline.OPERATIONS
    place = {name: k for k, name in enumerate(names)}
    counts = np.full((len(names), len(names)), NEVER_SEEN)
    for recording in found:
        for before, after in zip(recording.operations, recording.operations[1:], strict=False):
            counts[place[before], place[after]] += 1
    logs = np.log(counts)
    logs = np.clip(logs - np.diag(logs)[:, None], -DEAREST, 0.0)
    return Linear(names, place, np.vstack([logs, np.zeros(len(names))]).astype(np.float32))


def check(narrations: Sequence[Recording], projects: dict[str, gold.Told]) -> None:
    """Print how well projects are read by weights that were learned without them."""
    told = {name: of_project(project) for name, project in projects.items()}
    names = list(projects)
    time = right = facts = 0.0
    for part in range(5):
        out = names[part::5]
        models = learn([*narrations, *(r for name in names if name not in out for r in told[name])])
        weights = weights_of(models["remark"], models["going"])
        timeline.learned = lambda weights=weights: weights  # type: ignore[attr-defined,misc]
        for name in out:
            course = timeline.course(projects[name].project)
            wrong, count = gold.misplaced(projects[name], course)
            time += gold.overlap(projects[name], course)
            facts += count
            right += count - len(wrong)
    print(f"time {time / len(names):.3f}, facts {right / facts:.3f} in {len(names)} projects left out in turn")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--check", action="store_true", help="learn from four fifths and tell how the rest is read")
    options = parser.parse_args()
    narrations = [r for path in sorted(NARRATIONS.glob("n*.json")) for r in of_narration(path)]
    projects = {path.stem: gold.load(path) for path in gold.open_projects()}
    if options.check:
        check(narrations, projects)
        return
    found = [*narrations, *(r for told in projects.values() for r in of_project(told))]
    models = learn(found)
    save(LEARNED, models)
    remarks = sum(len(r.operations) for r in found)
    print(f"{remarks} remarks of {len(found)} recordings, {len(models['remark'].index)} signs")


if __name__ == "__main__":
    main()
