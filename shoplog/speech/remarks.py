"""From the recogniser's words to remarks: true starts, and cuts where somebody pauses."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import replace

from shoplog.transcript import Word

#: A word starts this long before the voice is noticed, seconds.
BEFORE_ONSET = 0.03
#: A pause of this many seconds ends a remark.
PAUSE = 0.5
#: A sentence may end a remark where the pause is at least this long, seconds.
SENTENCE_PAUSE = 0.15
#: A remark longer than this many seconds is cut at its best place.
LONGEST = 14.0


def at_onsets(words: Sequence[Word], onsets: Sequence[float]) -> list[Word]:
    """The words with their starts moved to where the voice sets in.

    The first word after a pause is reported up to half a second early, as it swallows part of the pause. ``onsets`` are
    the moments, in order, at which the voice sets in after a pause.
    """
    moved: list[Word] = []
    for word in words:
        at = bisect_left(onsets, word.end)
        if at and onsets[at - 1] > word.start:
            start = max(word.start, onsets[at - 1] - BEFORE_ONSET)
            word = replace(word, start=round(min(start, word.end), 3))
        moved.append(word)
    return moved


def remarks(words: Sequence[Word], onsets: Sequence[float], marks: Sequence[bool]) -> Iterator[list[int]]:
    """Cut words into remarks; gives the numbers of the words of each.

    A pause, the end of a sentence with a breath after it, and a change of ``marks`` end a remark.
    """
    current: list[int] = []
    for i, word in enumerate(words):
        if current:
            before = words[current[-1]]
            pause = word.start - before.end
            sentence = before.text.rstrip("\"')").endswith((".", "?", "!"))
            if (
                pause >= PAUSE
                or (sentence and pause >= SENTENCE_PAUSE)
                or marks[i] != marks[current[-1]]
                or (pause >= SENTENCE_PAUSE and _sets_in(word, onsets))
            ):
                yield from _short(words, current)
                current = []
        current.append(i)
    if current:
        yield from _short(words, current)


def _sets_in(word: Word, onsets: Sequence[float]) -> bool:
    """Whether the voice sets in with this word."""
    at = bisect_left(onsets, word.start)
    return at < len(onsets) and onsets[at] <= word.start + 2 * BEFORE_ONSET


def _short(words: Sequence[Word], numbers: list[int]) -> Iterator[list[int]]:
    """Cut a remark that is too long at its sentences, else commas, else its longest pauses."""
    if words[numbers[-1]].end - words[numbers[0]].start <= LONGEST or len(numbers) < 4:
        yield numbers
        return

    def worth(i: int) -> tuple[int, float]:
        text, pause = words[numbers[i - 1]].text, words[numbers[i]].start - words[numbers[i - 1]].end
        mark = 2 if text.endswith((".", "?", "!")) else 1 if text.endswith((",", ";", ":")) else 0
        middle = abs(i - len(numbers) / 2) / len(numbers)
        return mark, pause - middle

    at = max(range(2, len(numbers) - 1), key=worth)
    yield from _short(words, numbers[:at])
    yield from _short(words, numbers[at:])
