"""A second hearing of what rests on doubtful words, and what the two hearings say together."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from shoplog.facts import Fact
from shoplog.media import RATE, Sound, decode
from shoplog.speech.activity import Span
from shoplog.speech.recogniser import WINDOW, Chunk, Device, recogniser
from shoplog.speech.weights import find_weights
from shoplog.transcript import Cue, Transcript, Word

#: A fact is heard again where the lowest probability of its number words and their neighbours is below this. It takes
#: in three of four wrong numbers and one of three right ones (base model, clean to 5 dB).
AGAIN_BELOW = 0.6
#: What is heard around the words of a fact, seconds a side.
PAD = 1.2
#: No more than this share of the speech is heard again, the most doubtful first, so that it costs little on any sound.
MOST = 0.08
#: How the second hearing differs from the first: a wider search, and the trade's words.
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
    """The lowest probability of the words that a fact rests on, 0 to 1; 1 where nothing is known.

    For a number these are its words and their neighbours, since a wrong number is often written with confidence into
    an unsure place; else all the words of the fact.
    """
    said = [i for i, w in enumerate(words) if w.end > fact.start + 0.01 and w.start < fact.end - 0.01]
    numbers = [i for i in said if NUMBER.search(words[i].text)]
    if numbers and (fact.value is not None or fact.low is not None):
        said = sorted({j for i in numbers for j in (i - 1, i, i + 1) if 0 <= j < len(words)})
    known = [p for i in said if (p := words[i].probability) is not None]
    return min(known, default=1.0)


def doubtful_windows(
    facts: Sequence[Fact], transcript: Transcript, *, below: float = AGAIN_BELOW, most: float = MOST
) -> list[Window]:
    """The windows in which facts rest on doubtful words, in order of time; at most a share ``most`` of the speech."""
    words = list(transcript.words())
    spoken = sum(c.end - c.start for c in transcript.kept.cues)
    doubts = sorted((surety(f, words), i) for i, f in enumerate(facts))
    left = max(spoken * most, 2 * PAD + 4.0)
    chosen: list[Window] = []
    for sure, i in doubts:
        length = facts[i].end - facts[i].start + 2 * PAD
        if sure >= below or length > left:
            break
        left -= length
        chosen.append(Window(max(0.0, facts[i].start - PAD), facts[i].end + PAD, (i,)))
    return _merged(sorted(chosen, key=lambda w: w.start))


def windows_of(facts: Sequence[Fact], transcript: Transcript, *, below: float = AGAIN_BELOW) -> list[Window]:
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
    """Hear some windows of a recording again, each by itself; the words of each, with the recording's times."""
    if not windows:
        return []
    sound = source if isinstance(source, Sound) else decode(source)
    try:
        chunks = [Chunk((Span(round(w.start * RATE), min(round(w.end * RATE), sound.samples)),)) for w in windows]
        pieces = [sound.read(c.spans[0].start, c.spans[0].end) for c in chunks]
        hearer = recogniser(find_weights(model), device)
        return [tuple(w) for w in hearer.words(chunks, pieces, beam=BEAM, hotwords=", ".join(words) or None)]
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

    ``extract`` reads facts from a transcript. A fact that is read again becomes surer. One that is read otherwise, or
    not at all, gets a doubt, and the other readings as alternatives.
    """
    found = list(facts)
    for window, words in zip(windows, heard, strict=True):
        again = extract(_transcript(words))
        for i in window.facts:
            found[i] = _weighed(facts[i], again)
    return found


def _transcript(words: Sequence[Word]) -> Transcript:
    if not words:
        return Transcript((), "heard")
    text = " ".join(w.text for w in words)
    return Transcript((Cue(words[0].start, words[-1].end, text, tuple(words)),), "heard")


def _weighed(fact: Fact, again: Sequence[Fact]) -> Fact:
    alike = [a for a in again if a.kind == fact.kind]
    if any(_reading(a) == _reading(fact) for a in alike):
        return replace(fact, confidence=round(fact.confidence + (1 - fact.confidence) * 0.5, 3))
    attrs = dict(fact.attrs)
    reason = "the second hearing has something else" if alike else "the second hearing does not have it"
    attrs["doubt"] = [*attrs.get("doubt", ()), reason]
    others = [other for a in alike if (other := _differing(fact, a))]
    if others:
        attrs["alternatives"] = [*attrs.get("alternatives", ()), *others]
    return replace(fact, attrs=attrs, confidence=round(fact.confidence * 0.5, 3))


_FIELDS = ("item", "value", "low", "high", "unit")


def _reading(fact: Fact) -> tuple[object, ...]:
    return tuple(getattr(fact, name) for name in _FIELDS)


def _differing(fact: Fact, other: Fact) -> dict[str, Any]:
    """The fields of another reading that differ, and its words."""
    fields = {n: getattr(other, n) for n in _FIELDS if getattr(other, n) != getattr(fact, n)}
    return {**fields, "quote": other.quote} if fields else {}
