"""A second hearing of what rests on doubtful words, and what the two hearings say together."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from math import prod
from typing import Any

from shoplog.facts import Fact
from shoplog.media import RATE, Sound, decode
from shoplog.speech.activity import Span
from shoplog.speech.recogniser import WINDOW, Chunk, Device, recogniser
from shoplog.speech.weights import find_weights
from shoplog.transcript import Cue, Transcript, Word

#: A fact is unsure where `surety` is below this. On 20 recordings it took in 13 of 23 wrong numbers (9 of them at 0 dB)
#: and of the right ones 13 % in clean sound, 19 % at 10 and 5 dB, 35 % at 0 dB (base model; some of the wrong numbers
#: were heard right and read wrong).
UNSURE = 0.7
#: What is heard around the words of a fact, seconds a side.
PAD = 1.2
#: One window for this many seconds of speech, the most doubtful first, and two at least: each costs nearly half as much
#: as 30 s of talk, so this keeps the second hearing under a tenth of the first.
EVERY = 120.0
#: How the second hearing differs from the first: its own window, a wider search, and the trade's words. Of 131 right
#: numbers 77 were read again as the same fact and most others had the same number; of 9 that were heard wrong none.
BEAM = 8

NUMBER = re.compile(
    r"\d|^(?:zero|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|\w+teen|twenty|thirty|forty|fifty|"
    r"sixty|seventy|eighty|ninety|hundred|thousand|half|quarters?|thirds?|eighths?|sixteenths?|an?)\W*$",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Window:
    """A part of a recording to hear again, in seconds, and the facts in it by their place in the list of facts."""

    start: float
    end: float
    facts: tuple[int, ...]


def surety(fact: Fact, words: Sequence[Word]) -> float:
    """How sure the words are that a fact rests on: the geometric mean of their probabilities, 1 where none is known.

    For a number these are its words and their neighbours, since a wrong number is often written with confidence into
    an unsure place; else all the words of the fact.
    """
    said = [i for i, w in enumerate(words) if w.end > fact.start + 0.01 and w.start < fact.end - 0.01]
    numbers = [i for i in said if NUMBER.search(words[i].text)]
    if numbers and (fact.value is not None or fact.low is not None):
        said = sorted({j for i in numbers for j in (i - 1, i, i + 1) if 0 <= j < len(words)})
    known = [p for i in said if (p := words[i].probability) is not None]
    return prod(max(p, 0.001) for p in known) ** (1 / len(known)) if known else 1.0


def doubtful_windows(
    facts: Sequence[Fact], transcript: Transcript, *, below: float = UNSURE, every: float = EVERY
) -> list[Window]:
    """The windows in which facts rest on unsure words, in order of time; one per ``every`` seconds of speech."""
    words = list(transcript.words())
    spoken = sum(c.end - c.start for c in transcript.kept.cues)
    doubts = sorted((sure, i) for i, f in enumerate(facts) if (sure := surety(f, words)) < below)
    chosen: list[Window] = []
    for _, i in doubts:
        window = Window(max(0.0, facts[i].start - PAD), facts[i].end + PAD, (i,))
        merged = _merged(sorted([*chosen, window], key=lambda w: w.start))
        if len(merged) <= max(2, int(spoken / every)) and window.end - window.start < WINDOW:
            chosen = merged
    return chosen


def windows_of(facts: Sequence[Fact], transcript: Transcript, *, below: float = UNSURE) -> list[Window]:
    """The windows that were heard a second time (`Transcript.again`), with the doubtful facts that lie in them now."""
    words = list(transcript.words())
    doubtful = [i for i, f in enumerate(facts) if surety(f, words) < below] if transcript.again else []
    return [
        Window(c.start, c.end, tuple(i for i in doubtful if c.start <= facts[i].start and facts[i].end <= c.end))
        for c in transcript.again
    ]


def _merged(windows: Iterable[Window]) -> list[Window]:
    merged: list[Window] = []
    for window in windows:
        last = merged[-1] if merged else None
        if last and window.start < last.end and max(last.end, window.end) - last.start < WINDOW - 2:
            merged[-1] = Window(last.start, max(last.end, window.end), last.facts + window.facts)
        else:
            merged.append(window)
    return merged


def hear_again(
    source: str | os.PathLike[str] | Sound,
    windows: Sequence[Window],
    *,
    words: Sequence[str] = (),
    model: str | os.PathLike[str] | None = None,
    device: Device = "cpu",
) -> list[tuple[Word, ...]]:
    """Hear some windows of a recording again, out of their surroundings; the words of each, with true times."""
    if not windows:
        return []
    sound = source if isinstance(source, Sound) else decode(source)
    try:
        # One chunk each: of windows in one chunk the recogniser often writes the first alone.
        chunks = [Chunk((Span(round(w.start * RATE), min(round(w.end * RATE), sound.samples)),)) for w in windows]
        hearer = recogniser(find_weights(model), device)
        return [tuple(w) for w in hearer.words(chunks, sound, beam=BEAM, words=words)]
    finally:
        if sound is not source:
            sound.close()


def compared(
    facts: Sequence[Fact],
    windows: Sequence[Window],
    heard: Sequence[Sequence[Word]],
    extract: Callable[[Transcript], Sequence[Fact]],
) -> list[Fact]:
    """The facts with what the second hearing says of them.

    ``extract`` reads facts from a transcript. A fact that is read again, or whose number is heard again, becomes surer.
    One that is read otherwise, or not at all, gets a doubt, and the other readings as alternatives.
    """
    found = list(facts)
    for window, words in zip(windows, heard, strict=True):
        transcript = _transcript(words)
        again = extract(transcript)
        for i in window.facts:
            found[i] = _weighed(facts[i], again, transcript)
    return found


def unsure(
    facts: Sequence[Fact], transcript: Transcript, windows: Sequence[Window], *, below: float = UNSURE
) -> list[Fact]:
    """The facts, those with a doubt that rest on unsure words and lie in no window that was heard again."""
    words = list(transcript.words())
    heard = {i for window in windows for i in window.facts}
    return [
        _doubted(f, "the words are unsure") if i not in heard and surety(f, words) < below else f
        for i, f in enumerate(facts)
    ]


def _doubted(fact: Fact, reason: str, **more: Any) -> Fact:
    return replace(fact, attrs={**fact.attrs, **more, "doubt": [*fact.attrs.get("doubt", ()), reason]})


def _transcript(words: Sequence[Word]) -> Transcript:
    if not words:
        return Transcript((), "heard")
    text = " ".join(w.text for w in words)
    return Transcript((Cue(words[0].start, words[-1].end, text, tuple(words)),), "heard")


def _weighed(fact: Fact, again: Sequence[Fact], transcript: Transcript) -> Fact:
    alike = [a for a in again if a.kind == fact.kind]
    if any(_reading(a) == _reading(fact) for a in alike) or (not alike and _has_numbers(transcript, fact)):
        return replace(fact, confidence=round(fact.confidence + (1 - fact.confidence) * 0.5, 3))
    others = [other for a in alike if (other := _differing(fact, a))]
    more = {"alternatives": [*fact.attrs.get("alternatives", ()), *others]} if others else {}
    reason = "the second hearing has something else" if alike else "the second hearing does not have it"
    return replace(_doubted(fact, reason, **more), confidence=round(fact.confidence * 0.5, 3))


def _has_numbers(transcript: Transcript, fact: Fact) -> bool:
    """Whether the numbers of a fact are among those heard; out of context a number alone is often no fact."""
    from shoplog.extract.numbers import read

    wanted = {n for n in (fact.value, fact.low, fact.high) if n is not None}
    if not wanted:
        return False
    heard = {n for a in read(" ".join(c.text for c in transcript.cues)) for n in (a.value, a.size, a.count)}
    return wanted <= heard


_FIELDS = ("item", "value", "low", "high", "unit")


def _reading(fact: Fact) -> tuple[object, ...]:
    return tuple(getattr(fact, name) for name in _FIELDS)


def _differing(fact: Fact, other: Fact) -> dict[str, Any]:
    """The fields of another reading that differ, and its words."""
    fields = {n: getattr(other, n) for n in _FIELDS if getattr(other, n) != getattr(fact, n)}
    return {**fields, "quote": other.quote} if fields else {}
