"""Scores the extractor on narrations with gold facts, and shows how far its confidence can be trusted.

    python tests/bench/extract_score.py FOLDER [--style written|captions|both] [--undated]

FOLDER holds narrations as JSON: ``{"started": ISO time, "lines": [{"say": words, "facts": [...]}, ...]}``. ``written``
is one cue a line as written; ``captions`` is lower case without punctuation, cut every nine words. A fact is right when
kind, item and numbers agree (`tests/matching.py`); ``full`` is the F1 that counts only those whose status agrees too.
"""

from __future__ import annotations

import argparse
import collections
import datetime as dt
import json
import re
import sys
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
from matching import CORE, counted, paired

from shoplog.extract import extract
from shoplog.transcript import Cue, Transcript

WORDS_PER_SECOND, PAUSE, CAPTION_WORDS = 2.6, 1.2, 9
BANDS = ((0.9, 1.01), (0.8, 0.9), (0.7, 0.8), (0.5, 0.7), (0.0, 0.5))


def line_times(lines: list[dict]) -> Iterator[tuple[float, float]]:
    """(start, end) of each line in seconds, at an even pace with a pause after each."""
    now = 0.0
    for line in lines:
        length = max(1.0, len(line["say"].split()) / WORDS_PER_SECOND)
        yield now, now + length
        now += length + PAUSE


def cues(lines: list[dict], style: str) -> Iterator[Cue]:
    """The narration as a transcript of the given style."""
    if style == "written":
        for (start, end), line in zip(line_times(lines), lines, strict=True):
            yield Cue(start, end, line["say"])
        return
    words: list[tuple[float, float, str]] = []
    for (start, end), line in zip(line_times(lines), lines, strict=True):
        bare = re.sub(r"[\"()]|(?<=\s)[-–—]+(?=\s)", "", re.sub(r"[,.:;!?](?=\s|$)", "", line["say"].lower())).split()
        step = (end - start) / max(1, len(bare))
        words += [(start + k * step, start + (k + 1) * step, word) for k, word in enumerate(bare)]
    for k in range(0, len(words), CAPTION_WORDS):
        part = words[k : k + CAPTION_WORDS]
        yield Cue(part[0][0], part[-1][1], " ".join(word for _, _, word in part))


def rates(c: collections.Counter) -> list[float]:
    precision = c["hit"] / max(1, c["hit"] + c["false"])
    recall = c["hit"] / max(1, c["hit"] + c["miss"])
    f1 = 2 * precision * recall / max(1e-9, precision + recall)
    full = 2 * c["status"] / max(1, 2 * c["hit"] + c["false"] + c["miss"])
    return [precision, recall, f1, c["status"] / max(1, c["hit"]), full]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--style", choices=["written", "captions", "both"], default="both")
    parser.add_argument("--undated", action="store_true", help="do not tell the extractor when the recording was made")
    args = parser.parse_args()
    narrations = [json.loads(p.read_text(encoding="utf-8")) for p in sorted(args.folder.glob("*.json"))]
    if not narrations:
        sys.exit(f"{args.folder}: no narrations")
    bands: collections.Counter = collections.Counter()
    for style in ("written", "captions") if args.style == "both" else (args.style,):
        table: dict[str, collections.Counter] = collections.defaultdict(collections.Counter)
        for narration in narrations:
            lines = narration["lines"]
            gold = [
                {**fact, "start": start, "end": end}
                for (start, end), line in zip(line_times(lines), lines, strict=True)
                for fact in line.get("facts", [])
                if counted(fact)
            ]
            started = None if args.undated else dt.datetime.fromisoformat(narration["started"])
            got = [f.as_json() for f in extract(Transcript(tuple(cues(lines, style))), recorded=started)]
            got = [f for f in got if counted(f)]
            pairs = {j: i for i, j in paired(gold, got)}
            for j, fact in enumerate(got):
                band = next(b for b in BANDS if b[0] <= fact["confidence"] < b[1])
                bands[band, "all"] += 1
                bands[band, "right"] += j in pairs
                bands[band, "status"] += j in pairs and gold[pairs[j]]["status"] == fact["status"]
                table[fact["kind"]]["hit" if j in pairs else "false"] += 1
                table[fact["kind"]]["status"] += j in pairs and gold[pairs[j]]["status"] == fact["status"]
            for i, fact in enumerate(gold):
                table[fact["kind"]]["miss"] += i not in pairs.values()
        core: collections.Counter = collections.Counter()
        total: collections.Counter = collections.Counter()
        for kind, counts in table.items():
            total.update(counts)
            if kind in CORE:
                core.update(counts)
        print(f"\n{style:13s}    n   prec recall     f1 status   full")
        for kind, counts in [*sorted(table.items()), ("core", core), ("all", total)]:
            print(f"{kind:13s} {counts['hit'] + counts['miss']:4d} " + " ".join(f"{r:6.3f}" for r in rates(counts)))
    print("\nconfidence   facts  right  with status")
    for band in BANDS:
        if n := bands[band, "all"]:
            low, high = band[0], min(band[1], 1.0)
            print(f"{low:.1f} to {high:.1f}  {n:6d} {bands[band, 'right'] / n:6.3f} {bands[band, 'status'] / n:9.3f}")


if __name__ == "__main__":
    main()
