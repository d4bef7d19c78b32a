"""What the log holds: projects, their recordings, and what was found in them, as plain values.

``store`` reads these from the database; ``timeline``, ``reckon``, ``record``, ``publish`` and ``web`` work on them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Literal

from shoplog.facts import Fact
from shoplog.transcript import Cue, Stretch

#: waiting: known, not heard yet. hearing: being heard now, or interrupted. done. failed: ``reason`` says why.
State = Literal["waiting", "hearing", "done", "failed"]
#: What a correction does: take the fact as it is, change fields of it, take it out, or put in one that was missed.
Verdict = Literal["accept", "change", "reject", "add"]


@dataclass(frozen=True, slots=True)
class Clip:
    """One file. ``start`` is its place in the recording, seconds (0 unless several files are one recording)."""

    id: int
    recording_id: int
    path: str
    name: str
    sha256: str | None
    size: int
    container: str | None = None
    start: float = 0.0
    duration: float | None = None
    recorded_at: datetime | None = None
    recorded_at_source: Literal["container", "file"] | None = None
    has_video: bool = False


@dataclass(frozen=True, slots=True)
class Recording:
    """One take: one file, or several that a camera cut one take into. ``kind`` captions has no sound of its own.

    ``started`` is when it began (from the first clip), ``same_as`` the recording of the same moment that is counted
    instead of this one (a second camera), ``same_offset`` its start on that recording's clock, seconds.
    """

    id: int
    project_id: int
    name: str
    kind: Literal["media", "captions"]
    state: State
    reason: str | None = None
    duration: float | None = None
    started: datetime | None = None
    started_source: Literal["container", "file"] | None = None
    model: str | None = None
    settings: Mapping[str, Any] = field(default_factory=dict)
    patterns: str | None = None
    machine_seconds: float | None = None
    added_at: str = ""
    heard_at: str | None = None
    same_as: int | None = None
    same_offset: float | None = None
    clips: tuple[Clip, ...] = ()


@dataclass(frozen=True, slots=True)
class Correction:
    """The maker's word about one fact. A row of its own: it survives re-hearing, found again by words and place.

    ``old`` and ``new`` are facts as mappings (``Fact.as_json``; ``new`` holds only what changes). ``fact_id`` is None
    where the fact can't be found any more; then it is shown, not dropped.
    """

    id: int
    recording_id: int
    verdict: Verdict
    old: Mapping[str, Any]
    new: Mapping[str, Any]
    why: str | None = None
    author: str | None = None
    written_at: str = ""
    undone_at: str | None = None
    fact_id: int | None = None


@dataclass(frozen=True, slots=True)
class KeptFact:
    """A fact in the log, as it is shown: heard, plus the maker's correction if there is one.

    ``heard`` is the fact as it was heard when a correction changed it, else None. ``operation`` is the operation of
    the work in which it was stated (timeline), ``piece`` numbers the pieces of one project from 1.
    """

    id: int
    recording_id: int
    fact: Fact
    operation: str | None = None
    piece: int | None = None
    cue_id: int | None = None
    verdict: Verdict | None = None
    correction_id: int | None = None
    heard: Fact | None = None

    @property
    def doubtful(self) -> bool:
        """True where nobody has confirmed it and it was not heard or read with certainty."""
        return self.verdict is None and (self.fact.confidence < DOUBT or bool(self.fact.attrs.get("doubt")))


#: Facts below this confidence are shown as doubtful and asked about. At 10 and 5 dB two in three of the numbers that
#: were heard wrong lie below it, and a fifth of the right ones (12 narrations, tests/bench/hearing.md).
DOUBT = 0.7


@dataclass(frozen=True, slots=True)
class Take:
    """A recording with all that was found in it. Rejected facts are left out, other pieces' facts are in."""

    recording: Recording
    cues: tuple[Cue, ...] = ()
    facts: tuple[KeptFact, ...] = ()
    stretches: tuple[Stretch, ...] = ()
    corrections: tuple[Correction, ...] = ()


@dataclass(frozen=True, slots=True)
class Project:
    """One piece of work over its days; ``takes`` in order of time."""

    id: int
    name: str
    takes: tuple[Take, ...] = ()
    created_at: str = ""

    def facts(self) -> tuple[KeptFact, ...]:
        """All facts of this project's own recordings, in order; a second camera's are not counted twice."""
        return tuple(f for take in self.takes if take.recording.same_as is None for f in take.facts)

    def recording(self, recording_id: int) -> Recording:
        """The recording of that number. Raises KeyError if it is not of this project."""
        for take in self.takes:
            if take.recording.id == recording_id:
                return take.recording
        raise KeyError(recording_id)


@dataclass(frozen=True, slots=True)
class Stage:
    """A part of the work: one operation in one recording, seconds from its start."""

    recording_id: int
    operation: str
    start: float
    end: float
    piece: int = 1
    evidence: str = ""
