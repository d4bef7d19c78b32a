"""A point of the checklist and the words it rests on."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from typing import Any, Literal

from shoplog.log import KeptFact, Project
from shoplog.publish.programme import Programme
from shoplog.publish.stated import remark, statements
from shoplog.times import stamp

State = Literal["good", "missing", "needs your eyes"]


@dataclass(frozen=True, slots=True)
class Evidence:
    """Words and where they were said, or (``spoken`` False) where nothing was.

    ``video`` is the second of the published video, None where it was cut out.
    """

    words: str
    recording_id: int | None = None
    recording: str = ""
    at: float | None = None
    video: float | None = None
    spoken: bool = True

    def __str__(self) -> str:
        if self.at is None:
            return self.words
        words = f"“{self.words}”" if self.spoken else self.words
        return f"{words} ({self.recording} at {stamp(self.at)})"


@dataclass(frozen=True, slots=True)
class Point:
    """One point: good only with evidence. ``do`` says what to do, '' where nothing is left."""

    key: str
    title: str
    state: State
    evidence: tuple[Evidence, ...] = ()
    do: str = ""

    def __post_init__(self) -> None:
        assert self.state != "good" or self.evidence, f"{self.key} is claimed good without evidence"

    def as_json(self) -> dict[str, Any]:
        return asdict(self)

    def settled(self, note: str | None) -> Point:
        """The same, looked at by a person."""
        return replace(
            self, state="good", evidence=(*self.evidence, Evidence(f"settled by hand: {note or 'looked at'}")), do=""
        )


class Witness:
    """Turns statements and places into evidence with the names and times of one project and its video."""

    def __init__(self, project: Project, programme: Programme) -> None:
        self.project, self.programme = project, programme
        self.names = {take.recording.id: take.recording.name for take in project.takes}

    def of(self, *kept: KeptFact) -> tuple[Evidence, ...]:
        """The remarks in which these were stated, each once."""
        found = [self.at(k.recording_id, k.fact.start, remark(self.project, k)) for k in kept]
        return tuple({(e.recording_id, e.words): e for e in reversed(found)}.values())[::-1]

    def at(self, recording_id: int, seconds: float, words: str, *, spoken: bool = True) -> Evidence:
        return Evidence(
            " ".join(words.split()), recording_id, self.names.get(recording_id, ""), seconds,
            self.programme.at(recording_id, seconds), spoken,
        )  # fmt: skip

    def cut_out(self, kept: KeptFact) -> bool:
        """True where a real cut leaves these words out."""
        return self.programme.is_cut and not self.programme.shows(kept.recording_id, kept.fact.start, kept.fact.end)


def done(project: Project, *kinds: str) -> tuple[KeptFact, ...]:
    """What was stated as so, of these kinds."""
    return tuple(k for k in statements(project, "checklist", *kinds, uses=("evidence",)) if k.fact.status == "done")
