"""Measures the reckoning of one big project: 500 recordings, 20,000 facts. Run: python tests/bench/reckoning.py"""

from __future__ import annotations

import random
import time
from datetime import datetime, timedelta

from shoplog.facts import Fact
from shoplog.log import KeptFact, Project, Recording, Take
from shoplog.reckon.project import reckon
from shoplog.transcript import Cue

RECORDINGS, FACTS = 500, 40
SPECIES = ("black cherry", "maple", "walnut")


def big_project() -> Project:
    """A made-up project with every kind of fact that is reckoned, the same every time."""
    chance = random.Random(7)
    takes = []
    for number in range(RECORDINGS):
        started = datetime(2025, 1, 1, 9) + timedelta(days=number)
        facts = []
        for index in range(FACTS):
            at = index * 30.0
            kept = KeptFact(number * FACTS + index, number, _fact(chance, index, at))
            facts.append(kept)
        cues = tuple(
            Cue(i * 6.0, i * 6.0 + 5, "and that is vibrating a bit" if i % 50 == 0 else "and now along the rim")
            for i in range(200)
        )
        takes.append(
            Take(Recording(number, 1, f"{number}", "media", "done", duration=1800, started=started), cues, tuple(facts))
        )
    return Project(1, "big", tuple(takes))


def _fact(chance: random.Random, index: int, at: float) -> Fact:
    near = {"start": at, "end": at + 3, "quote": "as was said"}
    made = (
        lambda: Fact("speed", value=chance.randrange(300, 1500, 50), unit="rpm", **near),
        lambda: Fact("dimension", item="diameter", value=chance.uniform(6, 14), unit="in", **near),
        lambda: Fact("grit", value=chance.choice((80, 120, 180, 240, 320, 400)), unit="grit", **near),
        lambda: Fact("moisture", value=chance.uniform(8, 40), unit="%", **near),
        lambda: Fact("weight", value=chance.uniform(1500, 2500), unit="g", **near),
        lambda: Fact(
            "duration", value=24, unit="h", status=chance.choice(("planned", "done")), attrs={"of": "clamp"}, **near
        ),
        lambda: Fact("species", item=chance.choice(SPECIES), **near),
        lambda: Fact("defect", item="crack", **near),
        lambda: Fact("finish", item="oil", **near),
        lambda: Fact("humidity", value=chance.uniform(30, 70), unit="%", **near),
    )
    return made[index % len(made)]()


if __name__ == "__main__":
    project = big_project()
    for _ in range(3):
        begun = time.process_time()
        found = reckon(project)
        print(
            f"{RECORDINGS * FACTS} facts, {len(found)} results, {time.process_time() - begun:.2f} s of processor time"
        )
