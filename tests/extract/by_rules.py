"""What the rules alone claim, before anything learned weighs it, and tables of sentences with what they state."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable
from pathlib import Path

from shoplog.extract import assemble, mentions
from shoplog.extract.kinds import candidates
from shoplog.extract.reading import Candidate, Reading
from shoplog.extract.stream import build
from shoplog.transcript import Cue, Transcript

TABLES = Path(__file__).parent / "cases" / "rules"


def rows(table: str) -> list[tuple[str, list[str]]]:
    """The sentences of a table, each with what is expected of it; ``-`` is nothing."""
    with (TABLES / table).open(encoding="utf-8") as file:
        return [(r["said"], [e for e in r["expected"].split("|") if e != "-"]) for r in csv.DictReader(file)]


def bare(text: str) -> str:
    """As automatic captions write it: lower case, no sentence punctuation."""
    return re.sub(r"[,.:;!?](?=\s|$)", "", text.lower())


def claims(cues: Iterable[Cue]) -> list[Candidate]:
    """The claims of the rules, with their status, in order of their start."""
    reading = Reading(build(Transcript(tuple(cues))))
    mentions.meant(reading)
    found = assemble.with_status(reading, assemble.by_rules(reading, candidates(reading)))
    return sorted(found, key=lambda claim: claim.start)
