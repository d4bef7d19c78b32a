"""Hearing: from a recording to a transcript, in parts that can be stored while the rest is still being heard."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass, field, replace
from typing import TYPE_CHECKING

from shoplog.media import RATE, Sound, decode
from shoplog.speech.activity import FRAME, FRAMES_PER_SECOND, Span, spans, voice
from shoplog.speech.distrust import Distrust, judge, loops
from shoplog.speech.lost import found_again, lost
from shoplog.speech.machine import Levels, Shop, levels, shop
from shoplog.speech.parts import Part, join
from shoplog.speech.recogniser import WINDOW, Chunk, Device, Recogniser, packed, recogniser, threads
from shoplog.speech.remarks import at_onsets, remarks
from shoplog.speech.stretches import stretches
from shoplog.speech.weights import find_weights, name_of
from shoplog.transcript import Cue, Transcript, Word

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Progress = Callable[[float], None]

#: Frames that are looked at in one go: five minutes.
BLOCK_FRAMES = round(300 * FRAMES_PER_SECOND)
#: Chunks in a part: what is decoded at once, or is a few seconds' work. Parts must not depend on the machine.
GROUP = {"cpu": 8, "cuda": 64}
#: How much of the progress looking for speech is; the rest goes by the speech that has been heard.
LOOKING = 0.1


@dataclass(frozen=True, slots=True)
class Settings:
    """How to hear. The defaults were the best and the fastest on speech beside a lathe (base model, 20 to 0 dB)."""

    beam: int = 5
    #: A pause of this many seconds ends a span of speech for the recogniser, and this much is kept around each span.
    silence: float = 0.16
    pad: float = 0.4
    threshold: float = 0.5
    #: A pause of this many seconds makes the next onset a true start of a word.
    onset_silence: float = 0.3
    #: How many of the trade's words the recogniser is given; long lists cost more than they help.
    most_words: int = 30
    distrust: Distrust = field(default_factory=Distrust)


def hear(
    source: str | os.PathLike[str] | Sound | NDArray[np.float32],
    *,
    model: str | os.PathLike[str] | None = None,
    words: Sequence[str] = (),
    device: Device = "cpu",
    on_progress: Progress | None = None,
    keep_all: bool = False,
    done: Sequence[Part] = (),
    settings: Settings | None = None,
) -> Transcript:
    """Hear a whole recording; see `hear_parts`."""
    return join(
        list(
            hear_parts(
                source,
                model=model,
                words=words,
                device=device,
                on_progress=on_progress,
                keep_all=keep_all,
                done=done,
                settings=settings,
            )
        )
    )


def hear_parts(
    source: str | os.PathLike[str] | Sound | NDArray[np.float32],
    *,
    model: str | os.PathLike[str] | None = None,
    words: Sequence[str] = (),
    device: Device = "cpu",
    on_progress: Progress | None = None,
    keep_all: bool = False,
    done: Sequence[Part] = (),
    settings: Settings | None = None,
) -> Iterator[Part]:
    """Hear a recording (a path, or sound at 16 kHz mono) part by part, in order, without a hole between them.

    ``model`` is a path or name of weights (None: the best installed); ``words`` are words of the trade to listen for,
    the most important first; ``keep_all`` keeps what would be dropped as doubtful. Parts in ``done`` that were heard
    in the same way are given back and not heard again. ``on_progress`` gets the share that is done, 0 to 1.

    Raises UnreadableMedia, WeightsError, or ShoplogError where the device can't be used.
    """
    settings = settings or Settings()
    progress = on_progress or (lambda share: None)
    folder = find_weights(model)
    sound = _sound(source, progress)
    try:
        voiced, heard = _look(sound, lambda share: progress(LOOKING * (0.5 + share / 2)))
        around = shop(heard, voiced)
        told = _told(settings, words, device, keep_all)
        known = {(p.start, p.end): p for p in done if (p.model, p.settings) == (name_of(folder), told)}
        hearer: Recogniser | None = None
        for group, end in _groups(spans_of(voiced, sound, settings), sound, GROUP[device]):
            start = group.start
            part = known.get((start, end))
            if part is None:
                if group.chunks and hearer is None:
                    hearer = recogniser(folder, device)
                cues = _cues(group.chunks, sound, hearer, voiced, around, settings, words) if hearer else ()
                cues = tuple(_kept(c) for c in cues) if keep_all else cues
                found = stretches(start, end, voiced, around, cues, settings.threshold)
                part = Part(start, end, sound.duration, cues, found, name_of(folder), told)
            progress(LOOKING + (1 - LOOKING) * part.share)
            yield part
    finally:
        if sound is not source:
            sound.close()


@dataclass(frozen=True, slots=True)
class _Group:
    start: float
    chunks: tuple[Chunk, ...]


def _sound(source: str | os.PathLike[str] | Sound | NDArray[np.float32], progress: Progress) -> Sound:
    if isinstance(source, Sound):
        return source
    if isinstance(source, str | os.PathLike):
        progress(0.0)
        return decode(source)
    return Sound.of(source)


def _told(settings: Settings, words: Sequence[str], device: Device, keep_all: bool) -> dict[str, object]:
    """The settings as plain objects, as they are stored and compared."""
    plain = asdict(settings)
    return {**plain, "words": list(words[: settings.most_words]), "device": device, "keep_all": keep_all}


def _look(sound: Sound, progress: Progress) -> tuple[NDArray[np.float32], Levels]:
    """Voice probabilities and levels of the whole recording, block by block."""
    from concurrent.futures import ThreadPoolExecutor

    import numpy as np

    frames = max(1, -(-sound.samples // FRAME))
    blocks = [(first, min(first + BLOCK_FRAMES, frames)) for first in range(0, frames, BLOCK_FRAMES)]

    def look(block: tuple[int, int]) -> tuple[NDArray[np.float32], Levels]:
        return voice(sound, *block), levels(sound, *block)

    voiced, measured = [], []
    with ThreadPoolExecutor(min(4, threads())) as pool:
        for (_, last), (speech, level) in zip(blocks, pool.map(look, blocks), strict=True):
            voiced.append(speech)
            measured.append(level)
            progress(last / frames)
    return np.concatenate(voiced), Levels(
        np.concatenate([m.bands for m in measured]), np.concatenate([m.whole for m in measured])
    )


def spans_of(voiced: NDArray[np.float32], sound: Sound, settings: Settings) -> list[Span]:
    """The spans of speech as the recogniser gets them."""
    return spans(
        voiced,
        sound.samples,
        threshold=settings.threshold,
        silence=settings.silence,
        pad=settings.pad,
        longest=WINDOW,
    )


def _groups(found: Sequence[Span], sound: Sound, size: int) -> Iterator[tuple[_Group, float]]:
    """Chunks of up to 30 s of speech, in groups of a batch; each group with the moment in a pause at which it ends."""
    chunks = packed(found)
    start = 0.0
    for i in range(0, len(chunks), size):
        after = chunks[i + size].spans[0].start if i + size < len(chunks) else None
        last = chunks[min(i + size, len(chunks)) - 1].spans[-1].end
        end = sound.duration if after is None else round((last + after) / 2 / RATE, 3)
        yield _Group(start, tuple(chunks[i : i + size])), end
        start = end
    if not chunks:
        yield _Group(0.0, ()), sound.duration


def _cues(
    chunks: Sequence[Chunk],
    sound: Sound,
    hearer: Recogniser,
    voiced: NDArray[np.float32],
    around: Shop,
    settings: Settings,
    words: Sequence[str],
) -> tuple[Cue, ...]:
    """The remarks of some chunks, judged. Where there is voice and no words, it is tried once more by itself."""
    words = words[: settings.most_words]
    heard = hearer.words(chunks, sound, beam=settings.beam, words=words)
    gone = lost(chunks, heard, voiced, settings.threshold)
    again = packed(gone)
    heard += [found_again(w, gone) for w in hearer.words(again, sound, beam=settings.beam, words=words)]
    cues = []
    for chunk, said in zip([*chunks, *again], heard, strict=True):
        onsets = _onsets(voiced, chunk, settings)
        placed = at_onsets(said, onsets)
        looped = loops(placed, settings.distrust.repeats)
        for numbers in remarks(placed, onsets, looped):
            cues.append(_cue([placed[i] for i in numbers], looped[numbers[0]], voiced, around, settings))
    return tuple(sorted(cues, key=lambda c: c.start))


def _onsets(voiced: NDArray[np.float32], chunk: Chunk, settings: Settings) -> list[float]:
    """The moments in a chunk's part of the recording at which the voice sets in after a pause."""
    first = chunk.spans[0].start // FRAME
    last = -(-chunk.spans[-1].end // FRAME)
    found = spans(
        voiced[first:last], (last - first) * FRAME, threshold=settings.threshold, silence=settings.onset_silence, pad=0
    )
    return [round(first * FRAME / RATE + s.start / RATE, 3) for s in found]


def _cue(words: Sequence[Word], looped: bool, voiced: NDArray[np.float32], around: Shop, settings: Settings) -> Cue:
    start, end = words[0].start, max(words[-1].end, words[0].start)
    over = around.over(start, end)
    under = voiced[int(start * FRAMES_PER_SECOND) : int(end * FRAMES_PER_SECOND) + 1]
    judged = judge(
        words,
        looped,
        float(under.max()) if len(under) else 0.0,
        around.above_floor(start, end) if over else None,
        settings.distrust,
    )
    text = " ".join(w.text for w in words)
    return Cue(start, end, text, tuple(words), judged.trust, judged.reason, over)


def _kept(cue: Cue) -> Cue:
    return replace(cue, trust="doubtful") if cue.trust == "dropped" else cue
