"""The whole of a recording by what it sounds like: speech, speech that was not understood, noise, quiet."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from shoplog.media import RATE
from shoplog.speech.activity import FRAME, FRAMES_PER_SECOND, Span, spans
from shoplog.speech.lost import lost
from shoplog.speech.machine import Shop
from shoplog.speech.recogniser import Chunk
from shoplog.transcript import Cue, Stretch, StretchKind, Word

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

#: Pauses shorter than this are part of the talk, seconds.
PAUSE = 1.0
#: A piece shorter than this is none of its own, seconds.
SHORTEST = 0.3


def stretches(
    start: float,
    end: float,
    voiced: NDArray[np.float32],
    around: Shop,
    cues: Sequence[Cue],
    threshold: float,
) -> tuple[Stretch, ...]:
    """What fills a part of the recording, without a hole. Cut where speech begins and ends and the machine does."""
    kinds = _speech(start, end, voiced, cues, threshold)
    found: list[Stretch] = []
    for kind_start, kind_end, kind in kinds:
        for first, last, machine in _machine(kind_start, kind_end, around):
            named: StretchKind = kind if kind != "quiet" else "noise" if machine else "quiet"
            found.append(Stretch(first, last, named, around.level(first, last), machine))
    return tuple(found)


def machine_seconds(found: Sequence[Stretch]) -> float:
    """For how long a machine ran."""
    return round(sum(s.end - s.start for s in found if s.machine), 1)


def _speech(
    start: float, end: float, voiced: NDArray[np.float32], cues: Sequence[Cue], threshold: float
) -> list[tuple[float, float, StretchKind]]:
    """Talk, and within it what was not understood: voice for a second and more without a word near it."""
    first, last = int(start * FRAMES_PER_SECOND), -int(-end * FRAMES_PER_SECOND // 1)
    talk = spans(voiced[first:last], (last - first) * FRAME, threshold=threshold, silence=PAUSE, pad=0.1)
    whole = Chunk((Span(first * FRAME, last * FRAME),))
    gone = [(s.start / RATE, s.end / RATE) for s in lost([whole], [_words(cues)], voiced, threshold)]
    pieces: list[tuple[float, float, StretchKind]] = []
    for span in talk:
        at, stop = ((first * FRAME + s) / RATE for s in (span.start, span.end))
        for gone_start, gone_end in gone:
            if gone_start < stop and gone_end > at:
                pieces += [(at, gone_start, "speech"), (gone_start, gone_end, "unclear")]
                at = gone_end
        pieces.append((at, stop, "speech"))
    found: list[tuple[float, float, StretchKind]] = []
    at = start
    for begin, stop, kind in pieces:
        begin, stop = round(max(begin, at), 3), round(min(stop, end), 3)
        # A breath or a knock, or what is left of a talk beside a part that was lost.
        if stop - begin < SHORTEST or (kind == "speech" and not any(c.start < stop and c.end > begin for c in cues)):
            continue
        if begin > at:
            found.append((at, begin, "quiet"))
        found.append((begin, stop, kind))
        at = stop
    if at < end:
        found.append((at, end, "quiet"))
    return found


def _words(cues: Sequence[Cue]) -> list[Word]:
    return [word for cue in cues for word in cue.timed_words()]


def _machine(start: float, end: float, around: Shop) -> list[tuple[float, float, bool]]:
    """Cut a stretch where the machine starts or stops."""
    import numpy as np

    first, last = int(start * FRAMES_PER_SECOND), int(end * FRAMES_PER_SECOND) + 1
    running = around.running[first:last]
    if not len(running):
        return [(start, end, False)]
    borders = (np.flatnonzero(np.diff(running.astype(np.int8))) + 1 + first) / FRAMES_PER_SECOND
    cuts = [start, *(round(float(b), 3) for b in borders if start < b < end), end]
    return [
        (a, b, bool(around.running[min(int((a + b) / 2 * FRAMES_PER_SECOND), len(around.running) - 1)]))
        for a, b in pairwise(cuts)
    ]
