"""How well the timeline does on the many-day projects, and how long a large project takes.

``python tests/bench/timeline.py [-v] [-c] [NAME ...]`` prints, for every project: time in the right operation, facts
in the right operation, and the faults of ledger, calendar, contradictions, plans and pieces; the same over each folder
(those of ``first_sight`` are not learned from); then the seconds that the page of 500 recordings takes, by part. ``-v``
names what is wrong, but not of ``first_sight``; ``-c`` moves the remarks together and leaves out the machine.
"""

from __future__ import annotations

import gc
import sys
import time
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from shoplog import record
from shoplog.log import Project
from shoplog.reckon.project import reckon
from shoplog.record.pictures import pictures
from shoplog.timeline import course
from tests.timeline import gold


def main(names: list[str], verbose: bool, close: bool) -> None:
    """Print one line a project (with the faults below it when ``verbose``) and the totals of each folder."""
    paths = [p for p in sorted(gold.PROJECTS.rglob("*.json")) if not names or any(p.stem.startswith(n) for n in names)]
    told = {path: gold.load(path, close=close) for path in paths}
    for folder in sorted({path.parent for path in paths}):
        shares, facts, right, faults, defects = [], 0, 0, 0, 0
        for path in (p for p in paths if p.parent == folder):
            project = told[path]
            found = course(project.project)
            share = gold.overlap(project, found)
            wrong, count = gold.misplaced(project, found)
            ledger = gold.wrong_defects(project, found)
            rest = [
                *([] if close else gold.wrong_moments(project, found)),
                *gold.wrong_contradictions(project, found),
                *gold.wrong_plans(project, found),
            ]
            if found.pieces != project.truth["pieces"]:
                rest.append(f"{found.pieces} pieces")
            shares.append(share)
            facts, right = facts + count, right + count - len(wrong)
            faults, defects = faults + len(ledger), defects + len(project.truth["defects"])
            print(
                f"{path.stem}  time {share:6.1%}  facts {1 - len(wrong) / count:6.1%} of {count:3}  "
                f"ledger {len(ledger)} wrong for {len(project.truth['defects'])}  other faults {len(rest)}"
            )
            if not verbose or folder.name == "first_sight":
                continue
            pairs = gold.confused(project, found).items()
            print("      " + ", ".join(f"{true} < {taken} {seconds:.0f} s" for (true, taken), seconds in pairs))
            for kept, true in wrong:
                place = found.operations[kept.id].operation
                print(
                    f"      {true} < {place}: {kept.fact.status} {kept.fact.kind} {kept.fact.item} “{kept.fact.quote}”"
                )
            for line in [*ledger, *rest]:
                print(f"      {line}")
        mean, least = sum(shares) / len(shares), min(shares)
        print(
            f"{folder.name}: {len(shares)} projects, time {mean:.1%} (least {least:.1%}), facts {right / facts:.1%}, "
            f"{faults} faults of the ledger for {defects} defects\n"
        )
    if not names:
        _large([told[path].project for path in paths])


def _large(projects: list[Project]) -> None:
    """Time the page of one project of 500 recordings and at least 20,000 facts, made of copies of these."""
    takes, fact_id = [], 0
    while len(takes) < 500 or fact_id < 20_000:
        source = projects[len(takes) % len(projects)]
        take = source.takes[len(takes) // len(projects) % len(source.takes)]
        number = len(takes) + 1
        copies = -(-40 // max(len(take.facts), 1))
        kept = []
        for fact in take.facts * copies:
            fact_id += 1
            kept.append(replace(fact, id=fact_id, recording_id=number))
        started = take.recording.started
        moved = started + timedelta(days=number) if started else None
        takes.append(replace(take, recording=replace(take.recording, id=number, started=moved), facts=tuple(kept)))
    # The extractor's own objects stay out of the collector's way; the program that reads a log does not hold them.
    gc.collect()
    gc.freeze()
    project = Project(1, "large", tuple(takes))
    cues = sum(len(t.cues) for t in takes)
    print(f"{len(takes)} recordings, {cues} cues, {fact_id} facts, seconds of processor:")
    for run in ("first", "again"):
        marks = [time.process_time()]
        found = course(project)
        marks.append(time.process_time())
        reckon(project, found)
        marks.append(time.process_time())
        made = record.record(project)
        marks.append(time.process_time())
        pictures(made)
        marks.append(time.process_time())
        page = record.to_html(made)
        marks.append(time.process_time())
        course_, reckoning, record_, drawn, html = (after - before for before, after in pairwise(marks))
        print(
            f"{run}: page {record_ + html:.2f} (record {record_:.2f}, in it course {course_:.2f} and reckoning "
            f"{reckoning:.2f}; HTML {html:.2f}, in it pictures {drawn:.2f}), {len(page) / 1e6:.1f} MB"
        )


if __name__ == "__main__":
    main([a for a in sys.argv[1:] if a not in ("-v", "-c")], "-v" in sys.argv, "-c" in sys.argv)
