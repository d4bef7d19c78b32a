"""Whether two recordings are of one moment, seen by two cameras: found from how their sound rises and falls."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from shoplog.media import Sound
from shoplog.speech.activity import FRAME, FRAMES_PER_SECOND
from shoplog.speech.machine import levels

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

#: Seconds over which the level of a band is evened out: what is left are words, knocks and starts, not the motor.
EVEN_SECONDS = 2.0
#: Shorter common sound says too little. Seconds.
SHORTEST = 20.0
#: Correlation of the rises and falls from which two sounds are of one moment. Of 39 pairs of computed cameras in one
#: shop (20 to 0 dB) the lowest had 0.59 and all were placed to 0.02 s; of 39 pairs of other moments the highest 0.20.
SAME = 0.4
BLOCK_FRAMES = round(300 * FRAMES_PER_SECOND)


@dataclass(frozen=True, slots=True)
class Alignment:
    """The second recording starts ``offset`` seconds after the first (negative: before it).

    ``overlap`` is how long both ran, in seconds; ``confidence`` the correlation of their sound there, 0 to 1.
    """

    offset: float
    overlap: float
    confidence: float


def align(first: Sound, second: Sound) -> Alignment | None:
    """How the second recording lies on the first's clock; None where they are not of one moment."""
    return _best(_changes(first), _changes(second))


def _changes(sound: Sound) -> NDArray[np.float32]:
    """How each band rises and falls around its level of the moment, frame by frame, in dB; bounded against bangs."""
    import numpy as np

    frames = max(1, sound.samples // FRAME)
    bands = np.concatenate(
        [levels(sound, at, min(at + BLOCK_FRAMES, frames)).bands for at in range(0, frames, BLOCK_FRAMES)]
    )
    wide = round(EVEN_SECONDS * FRAMES_PER_SECOND)
    sums = np.cumsum(np.pad(bands, ((wide // 2 + 1, wide - wide // 2), (0, 0)), mode="edge"), axis=0, dtype=np.float64)
    evened = (sums[wide:] - sums[:-wide])[: len(bands)] / wide
    found: NDArray[np.float32] = np.clip(bands - evened, -10, 15).astype(np.float32)
    return found


def _best(a: NDArray[np.float32], b: NDArray[np.float32]) -> Alignment | None:
    import numpy as np

    if min(len(a), len(b)) < SHORTEST * FRAMES_PER_SECOND:
        return None
    size = 1 << (len(a) + len(b) - 1).bit_length()

    def product(x: NDArray[np.float32], y: NDArray[np.float32]) -> NDArray[np.float64]:
        """Sum of x[t + lag] * y[t] for every lag."""
        found: NDArray[np.float64] = np.fft.irfft(np.fft.rfft(x, size) * np.conj(np.fft.rfft(y, size)), size)
        return found

    ones_a, ones_b = np.ones(len(a), np.float32), np.ones(len(b), np.float32)
    together = np.zeros(size)
    for band in range(a.shape[1]):
        together += product(a[:, band], b[:, band])
    power_a = product((a**2).sum(axis=1), ones_b)
    power_b = product(ones_a, (b**2).sum(axis=1))
    both = product(ones_a, ones_b)
    enough = both >= SHORTEST * FRAMES_PER_SECOND
    score = np.where(enough, together / np.sqrt(np.maximum(power_a * power_b, 1e-6)), -1.0)
    at = int(score.argmax())
    if score[at] < SAME:
        return None
    lag = at if at < len(a) else at - size
    return Alignment(
        round(lag / FRAMES_PER_SECOND, 2), round(float(both[at]) / FRAMES_PER_SECOND, 1), round(float(score[at]), 3)
    )
