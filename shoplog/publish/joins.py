"""Where exactly one piece of a cut ends and the next begins, from the sound on both sides of the join."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from shoplog.publish.programme import Span

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from shoplog.media import Sound

#: The join is sought so far around the place that the words leave, seconds.
AROUND = 10.0
#: Pieces count as meeting where they are so near, seconds.
MEETING = 0.5
#: Levels of two bands that differ by more say no more than this, dB.
MOST = 20.0
#: The levels are evened out over so many frames: places from words are good to a tenth of a second.
EVEN = 5

Clips = Mapping[int, Sequence[tuple[float, "Sound"]]]


def sharpened(spans: Sequence[Span], cut: Sound, clips: Clips) -> list[Span]:
    """The spans with each join moved to where the sound changes from the one recording to the other.

    ``clips`` are the recordings' sounds with their start in the recording. Joins without sound stay as they are.
    """
    found = list(spans)
    for n in range(len(found) - 1):
        a, b = found[n], found[n + 1]
        join = b.at
        if abs(a.at + a.end - a.start - join) > MEETING:
            continue
        first = max(join - AROUND, a.at + 0.5)
        last = min(join + AROUND, b.at + b.end - b.start - 0.5)
        at = _join(a, b, first, last, cut, clips) if last - first > 1.0 else None
        if at is not None:
            found[n] = replace(a, end=a.start + at - a.at)
            found[n + 1] = replace(b, start=b.start + at - b.at, at=at)
    return found


def _join(a: Span, b: Span, first: float, last: float, cut: Sound, clips: Clips) -> float | None:
    """The second of the cut at which the left piece fits best before and the right one after."""
    import numpy as np

    from shoplog.speech.activity import FRAMES_PER_SECOND

    heard = _bands(cut, first, last)
    before = _of_recording(a.recording_id, first + a.start - a.at, last + a.start - a.at, clips)
    after = _of_recording(b.recording_id, first + b.start - b.at, last + b.start - b.at, clips)
    if before is None or after is None:
        return None
    size = min(len(heard), len(before), len(after))
    left = np.abs(heard[:size] - before[:size]).clip(0, MOST).mean(axis=1)
    right = np.abs(heard[:size] - after[:size]).clip(0, MOST).mean(axis=1)
    cost = np.concatenate([[0.0], np.cumsum(left)]) + np.concatenate([np.cumsum(right[::-1])[::-1], [0.0]])
    return first + int(cost.argmin()) / FRAMES_PER_SECOND


def _of_recording(recording_id: int, start: float, end: float, clips: Clips) -> NDArray[np.float32] | None:
    """The levels of a stretch of a recording, silence where it has no sound; None where none of it is there."""
    for clip_start, sound in clips.get(recording_id, ()):
        if start < clip_start + sound.duration and end > clip_start:
            return _bands(sound, start - clip_start, end - clip_start)
    return None


def _bands(sound: Sound, start: float, end: float) -> NDArray[np.float32]:
    """The level of each band, frame by frame, evened out; outside the sound there is silence."""
    import numpy as np

    from shoplog.media import RATE
    from shoplog.media import Sound as Decoded
    from shoplog.speech.activity import FRAME
    from shoplog.speech.machine import levels

    first, last = round(start * RATE), round(end * RATE)
    array = np.zeros(max(last - first, FRAME), np.float32)
    read = sound.read(first, last)
    at = max(-first, 0)
    array[at : at + len(read)] = read[: len(array) - at]
    bands = levels(Decoded.of(array), 0, len(array) // FRAME).bands
    kernel = np.ones(EVEN) / EVEN
    evened: NDArray[np.float32] = np.stack([np.convolve(band, kernel, "same") for band in bands.T], axis=1)
    return evened
