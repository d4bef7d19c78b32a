"""Speech for which no words were written: the recogniser stops early now and then, and whole lines go missing."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from shoplog.media import RATE
from shoplog.speech.activity import FRAME, FRAMES_PER_SECOND, Span, spans
from shoplog.speech.recogniser import WINDOW, Chunk
from shoplog.transcript import Word

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

#: Word times are this far off at worst; what is nearer to a word than this belongs to it. Seconds.
NEAR = 0.4
#: Voice without words for less than this is a breath or the tail of a word. Seconds.
SHORTEST = 1.0


def lost(
    chunks: Sequence[Chunk], heard: Sequence[Sequence[Word]], voiced: NDArray[np.float32], threshold: float
) -> list[Span]:
    """The spans in which there is voice and no word, each with a little room, in order."""
    import numpy as np

    found: list[Span] = []
    for chunk, words in zip(chunks, heard, strict=True):
        first, last = chunk.spans[0].start // FRAME, -(-chunk.spans[-1].end // FRAME)
        left = voiced[first:last].copy()
        for word in words:
            begin = int((word.start - NEAR) * FRAMES_PER_SECOND) - first
            end = int((word.end + NEAR) * FRAMES_PER_SECOND) + 1 - first
            left[max(begin, 0) : max(end, 0)] = 0.0
        if np.count_nonzero(left >= threshold) < SHORTEST * FRAMES_PER_SECOND:
            continue
        gone = spans(left, (last - first) * FRAME, threshold=threshold, silence=0.6, pad=0.25, longest=WINDOW)
        found += [
            Span(first * FRAME + s.start, first * FRAME + s.end) for s in gone if s.length >= (SHORTEST + 0.4) * RATE
        ]
    return found


def found_again(words: Sequence[Word], gone: Sequence[Span]) -> list[Word]:
    """The words of a second try that lie in what was lost; its edges may hold words that were heard before."""
    edge = 0.2
    return [
        w for w in words if any(s.start / RATE + edge <= (w.start + w.end) / 2 <= s.end / RATE - edge / 2 for s in gone)
    ]
