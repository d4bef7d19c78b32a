"""Hearing a registered recording, without the database: its clips part by part, then the doubtful windows again."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import TYPE_CHECKING, Any, Literal

from shoplog.transcript import Cue, Transcript

if TYPE_CHECKING:
    from shoplog.media import Sound


@dataclass(frozen=True, slots=True)
class Hearing:
    """How to hear: ``model`` is a path or name of weights (None: the best installed), ``device`` cpu or cuda."""

    model: str | None = None
    device: Literal["cpu", "cuda"] = "cpu"
    keep_all: bool = False


class Stopped(Exception):
    """Someone asked to stop; what was finished is stored."""


#: Called with a recording's name and the share of it that has been heard, 0 to 1.
Progress = Callable[[str, float], None]


def no_progress(name: str, share: float) -> None:
    """For callers that show none."""


@dataclass(frozen=True, slots=True)
class Plan:
    """What is needed to hear one recording, without the database.

    ``clips`` are (path, start in the recording, seconds); ``words`` the maker's own words to listen for; ``vocabulary``
    and ``recorded`` are for reading facts, in order to know what to hear a second time; ``likely`` are words that may
    help there, the woods of the project first.
    """

    recording_id: int
    name: str
    clips: tuple[tuple[str, float], ...]
    seconds: float
    words: tuple[str, ...] = ()
    likely: tuple[str, ...] = ()
    vocabulary: tuple[tuple[str, str], ...] = ()
    recorded: datetime | date | None = None


def hear_all(
    plan: Plan,
    hearing: Hearing,
    done: Sequence[dict[str, Any]] = (),
    keep: Callable[[int, float, dict[str, Any]], None] = lambda n, end, body: None,
    progress: Progress = no_progress,
    stop: threading.Event | None = None,
) -> Transcript:
    """Hear the clips of a recording. ``done`` are the parts of an earlier run, ``keep`` gets each new one.

    A part is a mapping with its ``clip`` (its place in the plan) and its ``part``. Raises Stopped between two parts.
    """
    from shoplog import speech
    from shoplog.media import decode

    heard: list[Transcript] = []
    n = 0
    for index, (path, start) in enumerate(plan.clips):
        known = [speech.Part.from_json(d["part"]) for d in done if d["clip"] == index]
        parts: list[speech.Part] = []

        def report(share: float, index: int = index) -> None:
            progress(plan.name, (index + share) / len(plan.clips))

        with decode(path) as sound:
            hearer = speech.hear_parts(
                sound, model=hearing.model, device=hearing.device, words=plan.words, keep_all=hearing.keep_all,
                on_progress=report, done=known,
            )  # fmt: skip
            for part in hearer:
                parts.append(part)
                if part not in known:
                    keep(n, start + part.end, {"clip": index, "part": part.to_json()})
                n += 1
                if stop is not None and stop.is_set():
                    raise Stopped
            transcript = _with_second_hearing(speech.join(parts), sound, plan, hearing)
        heard.append(_moved(transcript, start))
    return heard[0] if len(heard) == 1 else _joined(heard)


def _with_second_hearing(transcript: Transcript, sound: Sound, plan: Plan, hearing: Hearing) -> Transcript:
    """The transcript with second hearings of the windows in which facts rest on doubtful words."""
    from shoplog.extract import extract
    from shoplog.speech import second

    facts = extract(transcript.kept, plan.vocabulary, plan.recorded)
    windows = second.doubtful_windows(facts, transcript)
    found = second.hear_again(sound, windows, words=plan.likely, model=hearing.model, device=hearing.device)
    again = tuple(
        Cue(w.start, w.end, " ".join(word.text for word in words), words)
        for w, words in zip(windows, found, strict=True)
    )
    return replace(transcript, again=again)


def _moved(transcript: Transcript, by: float) -> Transcript:
    """The transcript with all times later by ``by`` seconds."""
    if not by:
        return transcript

    def moved(cue: Cue) -> Cue:
        words = tuple(replace(w, start=w.start + by, end=w.end + by) for w in cue.words)
        return replace(cue, start=cue.start + by, end=cue.end + by, words=words)

    cues, again = tuple(map(moved, transcript.cues)), tuple(map(moved, transcript.again))
    stretches = tuple(replace(s, start=s.start + by, end=s.end + by) for s in transcript.stretches)
    return replace(transcript, cues=cues, stretches=stretches, again=again)


def _joined(heard: Sequence[Transcript]) -> Transcript:
    """The transcripts of a take's clips, already on the take's clock, as one."""
    ends = [s.end for t in heard for s in t.stretches]
    return replace(
        heard[0],
        cues=tuple(c for t in heard for c in t.cues),
        stretches=tuple(s for t in heard for s in t.stretches),
        again=tuple(c for t in heard for c in t.again),
        duration=max(ends) if ends else None,
    )
