"""Measures `find` on a generated log of 1,000 hours: python tests/bench/search.py [--db FILE] [--rounds N]

The log is made once (3,000 recordings of 20 minutes, 300,000 cues, 200,000 facts of 1,000 projects) and kept. Printed:
median, 95th percentile and slowest answer in a warm process over the questions below, each asked several times, and the
wall time of the whole cold command.
"""

from __future__ import annotations

import argparse
import json
import random
import statistics
import subprocess
import sys
import time
from datetime import datetime, timedelta
from pathlib import Path

from shoplog.search import search, told, understand
from shoplog.store import context, open_database, transaction

PROJECTS, RECORDINGS, CUES, FACTS = 1000, 3, 100, 200_000 / 3000
WOODS = (
    "cherry,black walnut,hard maple,elm,white oak,ash,madrone,sycamore,box elder,beech,birch,olive,yew,apple,pear"
).split(",")
FORMS = "bowl,platter,vase,box,goblet,hollow form,lamp,urn,mallet,pen".split(",")
OPERATIONS = (
    "select,measure,mount,true up,shape the outside,cut the tenon,hollow,sand,repair,finish,remove tenon".split(",")
)
TOOLS = (
    "bowl gouge,spindle gouge,skew chisel,parting tool,round-nose scraper,negative-rake scraper,hollowing tool".split(
        ","
    )
)
FINISHES = "walnut oil,shellac,lacquer,tung oil,wax,hardwax oil,friction polish".split(",")
DEFECTS = "crack,tear-out,bark inclusion,knot,catch,warp,void".split(",")
HOLDS = "scroll chuck,faceplate,jam chuck,tenon,mortise,cole jaws,tailstock".split(",")
GEAR = "face shield,respirator,dust mask".split(",")
FILLER = (
    "so the grain runs round here and you can see the bark the end grain is what I worry about today we take it slowly "
    "and listen to the cut there is dust on everything and the light is good in the morning it sounds different when "
    "it gets thin I like the curve from foot to rim a little more off here and then we look at it "
    "again with the lamp behind it"
).split()
#: Every kind of question: by number, wood, tool, words, dates; common and rare; with and without an answer.
QUESTIONS = [
    "what speed did I run cherry at for sanding", "cracked below 20 percent", "half inch gouge on end grain",
    "last time I used shellac", "grits on bark", "pieces over 12 inches above 900 rpm", "what speeds do I use",
    "did I wear a respirator on the walnut", "how thick was the wall on the maple vase", "which pieces cracked in 2022",
    "moisture of the elm when it cracked", "speed with the skew", "finish on madrone platters", "catch with the skew",
    "slowest sanding speed on oak over 10 inches", "how long did the epoxy cure", "which chuck for the yew goblet",
    "tear out on end grain", "foot to rim", "ziricote speeds", "lacquer on a hollow form last year",
    "how often did I have a catch",
    "tell me about birch", "grits over 400 on olive pens", "did I crack the sycamore",
    "what did the meter read on box elder",
    "light behind the lamp", "time spent hollowing beech", "biggest platter", "usual speed for ash",
    "what did I do last year", "what did I do in March 2022", "what did I plan", "fastest speed", "longest wait",
]  # fmt: skip


def facts(rng: random.Random, n: int, wood: str) -> list[tuple[object, ...]]:
    """(kind, item, value, unit, si, si_unit, status, attrs) of the n-th recording's facts."""
    made: list[tuple[object, ...]] = [("species", wood, None, None, None, None, "done", "{}")]
    inches = rng.choice((4, 6, 8, 10, 11, 12, 13, 14, 16))
    made.append(("dimension", "diameter", inches, "in", inches * 0.0254, "m", "done", '{"of":"blank"}'))
    while len(made) < FACTS:
        status = rng.choices(("done", "planned", "habit", "reported", "denied"), (80, 8, 5, 4, 3))[0]
        kind = rng.choice(
            (
                "speed",
                "tool",
                "grit",
                "moisture",
                "duration",
                "defect",
                "dimension",
                "finish",
                "adhesive",
                "workholding",
                "ppe",
            )
        )
        if kind == "speed":
            v = rng.randrange(250, 2500, 50)
            made.append((kind, None, v, "rpm", v, "rpm", status, "{}"))
        elif kind == "grit":
            v = rng.choice((80, 120, 150, 180, 220, 320, 400, 600))
            made.append((kind, None, v, "grit", v, "grit", status, "{}"))
        elif kind == "moisture":
            v = rng.randrange(6, 50)
            made.append((kind, None, v, "%", v, "%", status, '{"method":"meter"}'))
        elif kind == "duration":
            v = rng.randrange(1, 60)
            made.append((kind, None, v, "min", v * 60, "s", status, "{}"))
        elif kind == "tool":
            v = rng.choice((0.25, 0.375, 0.5, 0.625))
            made.append((kind, rng.choice(TOOLS), v, "in", v * 0.0254, "m", status, "{}"))
        elif kind == "dimension":
            v = rng.choice((0.25, 0.375, 0.5, 2, 3))
            made.append(
                (kind, rng.choice(("wall thickness", "depth", "height")), v, "in", v * 0.0254, "m", status, "{}")
            )
        else:
            items = {
                "defect": DEFECTS,
                "finish": FINISHES,
                "adhesive": ("CA glue", "epoxy"),
                "workholding": HOLDS,
                "ppe": GEAR,
            }[kind]
            made.append((kind, rng.choice(items), None, None, None, None, status, "{}"))
    return made


def generate(path: Path) -> None:
    """The log, written straight into its tables: through the extractor it would take hours."""
    rng = random.Random(20260301)
    conn = open_database(path)
    with transaction(conn):
        cue_id = 0
        for project in range(1, PROJECTS + 1):
            wood = rng.choice(WOODS)
            conn.execute(
                "insert into project values (?, ?, '2020-01-01')", (project, f"{wood} {rng.choice(FORMS)} {project}")
            )
            for k in range(RECORDINGS):
                recording = (project - 1) * RECORDINGS + k + 1
                day = datetime(2019, 1, 5) + timedelta(days=recording * 0.9)
                conn.execute(
                    "insert into recording "
                    "(id, project_id, name, kind, state, duration, started, started_source, added_at) "
                    "values (?, ?, ?, 'media', 'done', 1200, ?, 'container', ?)",
                    (recording, project, f"clip{recording}.mp4", day.isoformat(), day.isoformat()),
                )
                made = facts(rng, recording, wood)
                rows, cues = [], []
                for n in range(CUES):
                    words = rng.choices(FILLER, k=12)
                    start = n * 12.0
                    here = made[n * len(made) // CUES : (n + 1) * len(made) // CUES]
                    for f in here:
                        words += [str(w) for w in (f[2], f[3], f[1]) if w is not None]
                    cue_id += 1
                    cues.append((cue_id, recording, n, start, start + 6, " ".join(words)))
                    for kind, item, value, unit, si, si_unit, status, attrs in here:
                        rows.append((recording, cue_id, kind, item, value, unit, si, si, si_unit, status, start,
                                     start + 3,                                     " ".join(words),
                                     attrs, 0.9, OPERATIONS[n * len(OPERATIONS) // CUES], 1))  # fmt: skip
                conn.executemany(
                    'insert into cue (id, recording_id, n, start, "end", text) values (?, ?, ?, ?, ?, ?)', cues
                )
                conn.executemany(
                    "insert into fact (recording_id, cue_id, kind, item, value, unit, si_low, si_high, si_unit, "
                    "status, start, "
                    '"end", quote, attrs, confidence, operation, piece) values '
                    "(?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                    rows,
                )
                stages = [
                    (recording, o, i * 1200 / len(OPERATIONS), (i + 1) * 1200 / len(OPERATIONS))
                    for i, o in enumerate(OPERATIONS)
                ]
                conn.executemany(
                    'insert into stage (recording_id, operation, start, "end") values (?, ?, ?, ?)', stages
                )
    context.refresh(conn)
    conn.close()


def warm(path: Path, rounds: int) -> list[tuple[float, float, str]]:
    """(milliseconds, of which the processor worked, question) of every answer, told and all, in one process."""
    conn = open_database(path)
    list(told(search(conn, understand(QUESTIONS[0]))))
    taken = []
    for _ in range(rounds):
        for question in QUESTIONS:
            started, worked = time.perf_counter(), time.process_time()
            list(told(search(conn, understand(question))))
            taken.append(((time.perf_counter() - started) * 1000, (time.process_time() - worked) * 1000, question))
    return taken


def cold(path: Path) -> float:
    """Seconds of the whole command."""
    started = time.perf_counter()
    subprocess.run(
        [sys.executable, "-m", "shoplog", "--db", str(path), "find", QUESTIONS[0]],
        check=True,
        stdout=subprocess.DEVNULL,
    )
    return time.perf_counter() - started


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--db", type=Path, default=Path("bench-search.db"))
    parser.add_argument("--rounds", type=int, default=3)
    parser.add_argument("--slowest", type=int, default=0, help="print this many of the slowest questions")
    args = parser.parse_args()
    if not args.db.exists():
        generate(args.db)
    conn = open_database(args.db)
    counts = {
        t: conn.execute(f"select count(*) from {t}").fetchone()[0] for t in ("project", "recording", "cue", "fact")
    }
    taken = warm(args.db, args.rounds)
    times, worked = [t for t, _, _ in taken], [w for _, w, _ in taken]
    colds = [cold(args.db) for _ in range(5)]
    print(json.dumps({
        **counts, "megabytes": round(args.db.stat().st_size / 1e6), "answers": len(times),
        "median_ms": round(statistics.median(times), 1), "p95_ms": round(statistics.quantiles(times, n=20)[-1], 1),
        "slowest_ms": round(max(times), 1), "median_cpu_ms": round(statistics.median(worked), 1),
        "p95_cpu_ms": round(statistics.quantiles(worked, n=20)[-1], 1), "cold_s": round(statistics.median(colds), 3),
    }, indent=1))  # fmt: skip
    for ms, cpu, question in sorted(taken, key=lambda t: -t[1])[: args.slowest]:
        print(f"{ms:8.1f} {cpu:8.1f}  {question}")


if __name__ == "__main__":
    main()
