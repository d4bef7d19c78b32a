"""How loud it was and whether a machine ran, found from the sound itself.

A machine is a floor that speech does not reach: under talk the sound drops between the syllables to whatever else is
there. The floor of each frequency band is compared with the recording's own quiet and with its speech.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from shoplog.media import RATE, Sound
from shoplog.speech.activity import FRAME, FRAMES_PER_SECOND

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

#: Edges of the bands in Hz: a third octave to an octave wide, from above the hum to where phones still record.
EDGES = (100, 200, 315, 500, 800, 1250, 2000, 3150, 5000, 7000)
#: Seconds over which the floor is sought: long enough for a pause between words.
FLOOR_SECONDS = 4.0
#: The floor is this share of the frames from below.
FLOOR_SHARE = 0.10
#: A machine is this many dB over the recording's own quiet ...
OVER_QUIET = 10.0
#: ... but a floor this far under the speech is never one, and one this near to it always is. dB.
NEVER_BELOW, ALWAYS_ABOVE = -32.0, -24.0
#: Level of speech in dB of full scale where a recording has none to measure.
USUAL_SPEECH = -24.0
#: A machine that runs (or stops) for less than this is a knock (or a pause in the cut). Seconds.
SHORTEST = 2.0


@dataclass(frozen=True, slots=True)
class Levels:
    """Power in dB of full scale for each frame of 32 ms: ``bands`` by frequency, ``whole`` over all of them."""

    bands: NDArray[np.float32]
    whole: NDArray[np.float32]


def levels(sound: Sound, first: int, last: int) -> Levels:
    """Measure the frames ``first`` to ``last`` of a sound."""
    import numpy as np

    block = np.zeros((last - first) * FRAME, np.float32)
    read = sound.read(first * FRAME, last * FRAME)
    block[: len(read)] = read
    window = np.hanning(FRAME).astype(np.float32)
    spectrum = np.fft.rfft(block.reshape(-1, FRAME) * window, axis=1)
    power = (spectrum.real**2 + spectrum.imag**2) * (2 / (FRAME * float((window**2).sum())))
    edges = [round(f * FRAME / RATE) for f in EDGES]
    bands = np.add.reduceat(power, edges, axis=1)[:, :-1]
    return Levels(_decibels(bands), _decibels(bands.sum(axis=1)))


def _decibels(power: NDArray[np.float32]) -> NDArray[np.float32]:
    import numpy as np

    found: NDArray[np.float32] = (10 * np.log10(power + 1e-10)).astype(np.float32)
    return found


@dataclass(frozen=True, slots=True)
class Shop:
    """The recording's sound by frames: whether a machine ran, and the floor under everything in dB."""

    running: NDArray[np.bool_]
    floor: NDArray[np.float32]
    whole: NDArray[np.float32]

    def level(self, start: float, end: float) -> float | None:
        """Mean power between two moments, dB of full scale."""
        import numpy as np

        part = self.whole[round(start * FRAMES_PER_SECOND) : max(round(end * FRAMES_PER_SECOND), 1)]
        return round(float(10 * np.log10(np.mean(10 ** (part / 10)))), 1) if len(part) else None

    def over(self, start: float, end: float) -> bool:
        """Whether a machine ran for at least half of the time between two moments."""
        part = self.running[round(start * FRAMES_PER_SECOND) : round(end * FRAMES_PER_SECOND) + 1]
        return bool(len(part)) and bool(part.mean() >= 0.5)

    def above_floor(self, start: float, end: float) -> float | None:
        """How far the loud frames between two moments stand over the floor, dB: near the ratio of voice to noise."""
        import numpy as np

        at = slice(round(start * FRAMES_PER_SECOND), round(end * FRAMES_PER_SECOND) + 1)
        if not len(self.whole[at]):
            return None
        return float(np.percentile(self.whole[at], 80) - np.median(self.floor[at]))


def shop(heard: Levels, voiced: NDArray[np.float32]) -> Shop:
    """Find the machine in a whole recording from its levels and its voice probabilities."""
    import numpy as np

    floors = _floors(heard.bands)
    floor = _decibels(np.sum(10 ** (floors / 10), axis=1))
    spoken = heard.whole[voiced >= 0.8]
    speech = float(np.percentile(spoken, 60)) if len(spoken) >= 2 * FRAMES_PER_SECOND else USUAL_SPEECH
    bound = np.clip(float(np.percentile(floor, 2)) + OVER_QUIET, speech + NEVER_BELOW, speech + ALWAYS_ABOVE)
    return Shop(_steady(floor > bound), floor, heard.whole)


def _floors(bands: NDArray[np.float32]) -> NDArray[np.float32]:
    """The floor of each band around each frame, worked out for every half second and held in between."""
    import numpy as np
    from numpy.lib.stride_tricks import sliding_window_view

    step, wide = round(FRAMES_PER_SECOND / 2), round(FLOOR_SECONDS * FRAMES_PER_SECOND)
    wide = min(wide, len(bands))
    low = np.pad(bands, ((wide // 2, wide - wide // 2), (0, 0)), mode="reflect" if len(bands) > wide else "edge")
    windows = sliding_window_view(low, wide, axis=0)[::step]
    rank = int(FLOOR_SHARE * (wide - 1))
    found = np.concatenate([np.partition(part, rank, axis=-1)[..., rank] for part in np.array_split(windows, 64)])
    return np.repeat(found, step, axis=0)[: len(bands)]


def _steady(running: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The same without runs and stops that are too short to be one."""
    import numpy as np

    steady = running.copy()
    shortest = round(SHORTEST * FRAMES_PER_SECOND)
    for value in (False, True):  # first close short stops, then drop short runs
        edges = np.flatnonzero(np.diff(steady.astype(np.int8))) + 1
        borders = [0, *edges.tolist(), len(steady)]
        for start, end in pairwise(borders):
            inner = start > 0 and end < len(steady)
            if inner and steady[start] == value and end - start < shortest:
                steady[start:end] = not value
    return steady
