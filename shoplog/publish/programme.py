"""Where each second of the recordings is in the published video.

Without a final cut the video is taken to be the recordings one after the other; `cut` finds the spans of a real cut.
"""

from __future__ import annotations

from dataclasses import dataclass

from shoplog.log import Project, Take
from shoplog.publish.stated import own_takes
from shoplog.times import stamp


@dataclass(frozen=True, slots=True)
class Span:
    """Seconds ``start`` to ``end`` of a recording play in the video from second ``at`` on."""

    recording_id: int
    start: float
    end: float
    at: float


@dataclass(frozen=True, slots=True)
class Programme:
    """The published video: spans in the video's order, its length, and whether it is a cut that was looked at."""

    spans: tuple[Span, ...]
    duration: float
    is_cut: bool = False

    def at(self, recording_id: int, seconds: float) -> float | None:
        """The video's second at which this second of a recording first plays; None where it was cut out."""
        places = [
            span.at + seconds - span.start
            for span in self.spans
            if span.recording_id == recording_id and span.start <= seconds <= span.end
        ]
        return max(min(places), 0.0) if places else None

    def place(self, project: Project, recording_id: int, seconds: float) -> str:
        """Where something is said, for people: in the cut by its time, else in the recording by its name and time."""
        at = self.at(recording_id, seconds)
        if self.is_cut and at is not None:
            return f"at {stamp(at)}"
        name = "" if len(own_takes(project)) == 1 else f"in {project.recording(recording_id).name} "
        return f"{name}at {stamp(seconds)}" + (", not in the cut" if self.is_cut else "")

    def following(self, recording_id: int, start: float, end: float) -> float | None:
        """The video's second of the first part of a stretch that was kept; None where all of it was cut out."""
        places = [
            span.at + max(start, span.start) - span.start
            for span in self.spans
            if span.recording_id == recording_id and span.start < end and span.end > start
        ]
        return max(min(places), 0.0) if places else None

    def shows(self, recording_id: int, start: float, end: float) -> bool:
        """True where most of this stretch is in the video."""
        length = max(end - start, 0.001)
        kept = sum(
            max(min(end, s.end) - max(start, s.start), 0.0) for s in self.spans if s.recording_id == recording_id
        )
        return kept >= length / 2


def length_of(take: Take) -> float:
    """Seconds of a take: as measured, and never less than up to its last word."""
    ends = [c.end for c in take.cues] + [s.end for s in take.stretches]
    return max([take.recording.duration or 0.0, *ends])


def end_to_end(project: Project) -> Programme:
    """The recordings one after the other, in order of time."""
    spans: list[Span] = []
    at = 0.0
    for take in own_takes(project):
        length = length_of(take)
        spans.append(Span(take.recording.id, 0.0, length, at))
        at += length
    return Programme(tuple(spans), at)
