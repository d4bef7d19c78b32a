"""Projects made of spoken lines, with the facts that the extractor finds in them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from shoplog.extract import extract
from shoplog.log import KeptFact, Project, Recording, Take
from shoplog.transcript import Cue, Stretch, Transcript

#: Words a second of an unhurried speaker.
PACE = 2.6


def project_of(recordings: Iterable[Mapping[str, Any]], name: str = "a project") -> Project:
    """A project of recordings with ``lines`` ([seconds, words], in order) and, where told, ``started``, ``source``,
    ``duration`` (seconds), ``name`` and ``machine`` ([[start, end], ...])."""
    takes, fact_id = [], 0
    for number, recording in enumerate(recordings, 1):
        started = datetime.fromisoformat(recording["started"]) if recording.get("started") else None
        lines = recording["lines"]
        duration = float(recording.get("duration") or max(1800.0, lines[-1][0] + 60 if lines else 0))
        cues = []
        for place, (at, words) in enumerate(lines):
            following = lines[place + 1][0] if place + 1 < len(lines) else duration
            cues.append(Cue(at, min(at + len(words.split()) / PACE, following), words))
        facts = []
        for fact in extract(Transcript(tuple(cues), duration=duration), (), started):
            fact_id += 1
            facts.append(KeptFact(fact_id, number, fact))
        row = Recording(
            number,
            1,
            recording.get("name", f"{number}.mp4"),
            "media" if started else "captions",
            "done",
            duration=duration,
            started=started,
            started_source=(recording.get("source") or "container") if started else None,
        )
        takes.append(Take(row, tuple(cues), tuple(facts), _stretches(recording.get("machine", ()), duration)))
    return Project(1, name, tuple(takes))


def _stretches(bouts: Iterable[tuple[float, float]], duration: float) -> tuple[Stretch, ...]:
    row, at = [], 0.0
    for start, end in bouts:
        row += [Stretch(at, start, "quiet", -60.0), Stretch(start, end, "noise", -20.0, True)]
        at = end
    return (*row, Stretch(at, duration, "quiet", -60.0)) if row else ()
