"""Measure how well and how fast a final cut is found again: python tests/bench/cuts.py

Each narration is cut at random (parts left out, sometimes a teaser in front, words misheard and dropped), and every
kept half second is looked up in the alignment.
"""

from __future__ import annotations

import json
import random
import sys
import time
from pathlib import Path

from shoplog.log import Project, Recording, Take
from shoplog.publish.cut import align
from shoplog.transcript import Cue, Transcript, Word

NARRATIONS = Path(__file__).parent.parent / "narrations"
MISHEARD = 0.15


def project_of(path: Path) -> Project:
    """One recording with the narration's lines, spoken at 2.6 words a second, a machine between every few."""
    at, cues = 0.0, []
    for n, line in enumerate(json.loads(path.read_text(encoding="utf-8"))["lines"]):
        seconds = max(1.5, len(line["say"].split()) / 2.6)
        cues.append(Cue(round(at, 2), round(at + seconds, 2), line["say"]))
        at += seconds + (15.0 if n % 7 == 6 else 0.6)
    return Project(1, path.stem, (Take(Recording(1, 1, path.name, "media", "done", duration=at), tuple(cues)),))


def cut_of(project: Project, chance: random.Random) -> tuple[Transcript, list[tuple[float, float, float]]]:
    """A cut's transcript, and (from, to, at) of its parts."""
    length, at = project.takes[0].recording.duration or 0.0, 0.0
    parts: list[tuple[float, float]] = []
    while at < length:
        end = min(length, at + chance.uniform(8, 60))
        parts.append((at, end))
        at = end + chance.choice([0, 0, 3, 12, 40])
    if chance.random() < 0.5 and len(parts) > 3:
        parts.insert(0, parts.pop(chance.randrange(len(parts))))
    truth, words, at = [], [], chance.choice([0.0, 4.0])
    for start, end in parts:
        truth.append((start, end, at))
        for w in (w for c in project.takes[0].cues for w in c.timed_words() if start <= w.start and w.end <= end):
            draw = chance.random()
            text = chance.choice(["the", "uh", "bowl", "gauge"]) if draw < MISHEARD else w.text
            if draw >= MISHEARD / 3:
                words.append(Word(text, w.start - start + at + chance.gauss(0, 0.08), w.end - start + at))
        at += end - start
    return Transcript(tuple(Cue(w.start, w.end, w.text, (w,)) for w in words), duration=at), truth


def main() -> int:
    looked = late = lost = 0
    seconds = 0.0
    for seed, path in enumerate(sorted(NARRATIONS.glob("*.json"))):
        project = project_of(path)
        cut, truth = cut_of(project, random.Random(seed))
        started = time.perf_counter()
        programme = align(project, cut).programme
        seconds += time.perf_counter() - started
        for cue in project.takes[0].cues:
            middle = (cue.start + cue.end) / 2
            places = [at + middle - start for start, end, at in truth if start <= cue.start and cue.end <= end]
            if places:
                found = programme.at(1, middle)
                looked += 1
                lost += found is None
                late += found is not None and min(abs(found - p) for p in places) > 2.0
    print(f"{looked} kept remarks: {lost} not found, {late} more than 2 s off; {seconds:.2f} s for all")
    return 0


if __name__ == "__main__":
    sys.exit(main())
