"""A finished part of a hearing: what is stored while a long recording is still being heard."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from typing import Any

from shoplog.transcript import Cue, Stretch, Transcript, Word


@dataclass(frozen=True, slots=True)
class Part:
    """What was heard from ``start`` to ``end`` (seconds), and with what; parts follow each other without a hole.

    ``duration`` is that of the whole recording; the part that ends there is the last.
    """

    start: float
    end: float
    duration: float
    cues: tuple[Cue, ...]
    stretches: tuple[Stretch, ...]
    model: str
    settings: dict[str, object] = field(default_factory=dict)

    @property
    def share(self) -> float:
        """How much of the recording is done with this part, 0 to 1."""
        return min(1.0, self.end / self.duration) if self.duration else 1.0

    def to_json(self) -> dict[str, Any]:
        """Plain objects for `json.dumps`."""
        return asdict(self)

    @classmethod
    def from_json(cls, stored: dict[str, Any]) -> Part:
        """The part that `to_json` gave."""
        cues = tuple(Cue(**{**c, "words": tuple(Word(**w) for w in c["words"])}) for c in stored["cues"])
        stretches = tuple(Stretch(**s) for s in stored["stretches"])
        return cls(**{**stored, "cues": cues, "stretches": stretches})


def join(parts: Sequence[Part]) -> Transcript:
    """The transcript of a recording from all its parts, in order."""
    last = parts[-1]
    return Transcript(
        cues=tuple(cue for part in parts for cue in part.cues),
        source="heard",
        stretches=_merged([s for part in parts for s in part.stretches]),
        duration=last.duration,
        model=last.model,
        settings=last.settings,
    )


def _merged(stretches: Sequence[Stretch]) -> tuple[Stretch, ...]:
    """The same with neighbours of one kind made one: a part may end in the middle of a stretch."""
    merged: list[Stretch] = []
    for stretch in stretches:
        before = merged[-1] if merged else None
        if before and before.kind == stretch.kind and before.machine == stretch.machine and stretch.kind != "unclear":
            merged[-1] = Stretch(before.start, stretch.end, before.kind, _level(before, stretch), before.machine)
        else:
            merged.append(stretch)
    return tuple(merged)


def _level(a: Stretch, b: Stretch) -> float | None:
    """The level of two stretches together: the mean of their powers, weighted by their lengths."""
    from math import log10

    if a.level is None or b.level is None:
        return a.level if b.level is None else b.level
    seconds = (a.end - a.start) + (b.end - b.start)
    if seconds <= 0:
        return a.level
    power = ((a.end - a.start) * 10 ** (a.level / 10) + (b.end - b.start) * 10 ** (b.level / 10)) / seconds
    return round(10 * log10(power), 1)
