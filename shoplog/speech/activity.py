"""Where somebody speaks: the voice activity model that faster-whisper ships, read in blocks of bounded memory."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from shoplog.media import RATE, Sound

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

#: Samples that get one probability: 32 ms.
FRAME = 512
FRAMES_PER_SECOND = RATE / FRAME
#: The model remembers what it heard; a block starts with this much of the one before it.
LEAD_FRAMES = 128


@dataclass(frozen=True, slots=True)
class Span:
    """A part of the recording in samples."""

    start: int
    end: int

    @property
    def length(self) -> int:
        return self.end - self.start


def voice(sound: Sound, first: int, last: int) -> NDArray[np.float32]:
    """The probability of voice in the frames ``first`` to ``last`` of the sound, 0 to 1."""
    import numpy as np
    from faster_whisper.vad import get_vad_model

    lead = min(LEAD_FRAMES, first)
    block = sound.read((first - lead) * FRAME, last * FRAME)
    # The model blanks the end of what it gets, so it gets a copy with a frame to spare.
    padded = np.zeros((last - first + lead + 1) * FRAME, np.float32)
    padded[: len(block)] = block
    found: NDArray[np.float32] = np.asarray(get_vad_model()(padded), np.float32).reshape(-1)
    return found[lead : lead + last - first]


def spans(
    voiced: NDArray[np.float32],
    samples: int,
    *,
    threshold: float,
    silence: float,
    pad: float,
    longest: float = float("inf"),
) -> list[Span]:
    """The parts with voice: they begin at ``threshold`` and end where it stays 0.15 below that for ``silence`` seconds.

    Each is widened by ``pad`` seconds a side, up to the middle of the pause to its neighbour; one over ``longest``
    seconds is cut where the voice is faintest.
    """
    edges = []
    start = quiet = -1
    shortest = silence * FRAMES_PER_SECOND
    for i, p in enumerate(voiced.tolist()):
        if p >= threshold:
            start, quiet = (i if start < 0 else start), -1
        elif start >= 0 and p < threshold - 0.15:
            quiet = i if quiet < 0 else quiet
            if i - quiet >= shortest:
                edges.append((start, quiet))
                start = quiet = -1
    if start >= 0:
        edges.append((start, len(voiced) if quiet < 0 else quiet))
    room = int((longest - 2 * pad) * FRAMES_PER_SECOND) if longest != float("inf") else len(voiced) + 1
    edges = [piece for edge in edges for piece in _cut(edge, voiced, room)]
    return _padded(edges, samples, int(pad * RATE))


def _cut(edge: tuple[int, int], voiced: NDArray[np.float32], room: int) -> list[tuple[int, int]]:
    start, end = edge
    pieces = []
    while end - start > room:
        at = start + room // 2 + int(voiced[start + room // 2 : start + room].argmin())
        pieces.append((start, at))
        start = at
    return [*pieces, (start, end)]


def _padded(edges: Sequence[tuple[int, int]], samples: int, pad: int) -> list[Span]:
    found = []
    for i, (start, end) in enumerate(edges):
        before = edges[i - 1][1] * FRAME if i else None
        after = edges[i + 1][0] * FRAME if i + 1 < len(edges) else None
        first, last = start * FRAME, min(end * FRAME, samples)
        first -= pad if before is None else min(pad, (first - before) // 2)
        last += pad if after is None else min(pad, (after - last) // 2)
        found.append(Span(max(0, first), min(samples, last)))
    return found
