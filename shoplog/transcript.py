"""Words with their times: what hearing gives and what captions give, in one shape.

All times are seconds from the start of the recording.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Literal

#: ``ok`` is used; ``doubtful`` is used, shown as doubtful and asked about; ``dropped`` is kept out of everything
#: but stays in the database with its reason.
Trust = Literal["ok", "doubtful", "dropped"]

#: What a stretch of the recording holds. ``unclear`` is speech that was found but not understood.
StretchKind = Literal["speech", "noise", "quiet", "unclear"]


@dataclass(frozen=True, slots=True)
class Word:
    """One written word; ``probability`` is the recogniser's (0 to 1), or None when the words came from captions."""

    text: str
    start: float
    end: float
    probability: float | None = None


@dataclass(frozen=True, slots=True)
class Cue:
    """A remark or a caption line. ``words`` is empty where only the line's own times are known."""

    start: float
    end: float
    text: str
    words: tuple[Word, ...] = ()
    trust: Trust = "ok"
    reason: str | None = None
    over_machine: bool = False

    def timed_words(self) -> tuple[Word, ...]:
        """The words with times; spread over the cue by their length where only the cue's times are known."""
        if self.words:
            return self.words
        texts = self.text.split()
        total = sum(len(t) + 1 for t in texts) or 1
        seconds = max(self.end - self.start, 0.0)
        words, at = [], self.start
        for text in texts:
            end = at + seconds * (len(text) + 1) / total
            words.append(Word(text, round(at, 3), round(end, 3)))
            at = end
        return tuple(words)


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part of the recording by what it sounds like; ``level`` in dB relative to full scale, None if unknown.

    ``machine`` says that a machine was running, found from level and spectrum.
    """

    start: float
    end: float
    kind: StretchKind
    level: float | None = None
    machine: bool = False


@dataclass(frozen=True, slots=True)
class Transcript:
    """What was said in one recording, in order of time.

    ``source`` is ``heard`` (a recogniser wrote it) or ``captions`` (it was imported). ``model`` and ``settings`` say
    with what it was heard. ``again`` holds second hearings of short windows in which numbers were doubtful: a cue is
    what was heard there, its words may be none.
    """

    cues: tuple[Cue, ...]
    source: Literal["heard", "captions"] = "captions"
    stretches: tuple[Stretch, ...] = ()
    duration: float | None = None
    model: str | None = None
    settings: dict[str, object] = field(default_factory=dict)
    again: tuple[Cue, ...] = ()

    @property
    def kept(self) -> Transcript:
        """The same without the dropped cues: what everything after hearing works on."""
        return replace(self, cues=tuple(c for c in self.cues if c.trust != "dropped"))

    def words(self) -> Iterable[Word]:
        """All words of the kept cues, in order."""
        for cue in self.cues:
            if cue.trust != "dropped":
                yield from cue.timed_words()
