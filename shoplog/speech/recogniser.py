"""The recogniser: Whisper weights in memory, and words for pieces of sound. Knows faster-whisper; nothing else does."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any, Literal

from shoplog.errors import ShoplogError
from shoplog.media import RATE, Sound
from shoplog.speech.activity import Span
from shoplog.transcript import Word

Device = Literal["cpu", "cuda"]

#: Seconds that Whisper looks at in one piece.
WINDOW = 30.0


@dataclass(frozen=True, slots=True)
class Chunk:
    """Up to 30 s of speech for the recogniser: spans of the recording, one after the other."""

    spans: tuple[Span, ...]

    @property
    def samples(self) -> int:
        return sum(s.length for s in self.spans)

    def within(self, start: float, end: float) -> tuple[float, float]:
        """Both ends of a word in the recording's time; a word never lies in two spans: the one of its middle has it."""
        middle = (start + end) / 2 * RATE
        before = 0
        for span in self.spans:
            if middle < before + span.length or span is self.spans[-1]:
                break
            before += span.length
        first, last = (min(max(t * RATE - before, 0), span.length) for t in (start, end))
        return (span.start + first) / RATE, (span.start + last) / RATE


def packed(found: Sequence[Span]) -> list[Chunk]:
    """Spans one after the other in as few chunks as hold them; a span is at most 30 s long."""
    chunks: list[Chunk] = []
    current: list[Span] = []
    for span in found:
        if current and sum(s.length for s in current) + span.length > WINDOW * RATE:
            chunks.append(Chunk(tuple(current)))
            current = []
        current.append(span)
    return [*chunks, Chunk(tuple(current))] if current else chunks


class Recogniser:
    """Weights in memory. Not to be shared between threads; one per process is enough.

    ``batch`` is how many chunks are decoded at once: as many as the device takes.
    """

    def __init__(self, folder: Path, device: Device = "cpu") -> None:
        from faster_whisper import BatchedInferencePipeline, WhisperModel

        if device == "cuda":
            require_cuda()
        self.device, self.compute = device, "int8" if device == "cpu" else "float16"
        self._model = WhisperModel(
            str(folder), device=device, compute_type=self.compute, cpu_threads=threads(), local_files_only=True
        )
        self._pipeline = BatchedInferencePipeline(self._model)
        self.batch = 4 if device == "cpu" else cuda_batch(folder)

    def words(
        self, chunks: Sequence[Chunk], sound: Sound, *, beam: int = 5, words: Sequence[str] = ()
    ) -> list[list[Word]]:
        """The words of each chunk of a sound, with the recording's times; ``words`` are those to listen for."""
        import numpy as np

        found: list[list[Word]] = [[] for _ in chunks]
        if not chunks:
            return found
        pieces = [sound.read(span.start, span.end) for chunk in chunks for span in chunk.spans]
        ends = np.cumsum([chunk.samples for chunk in chunks])
        starts = np.array([0, *ends[:-1]]) / RATE
        # faster-whisper rounds times down to samples; half a sample more gives each clip exactly its own.
        clips = [
            {"start": (e - c.samples + 0.5) / RATE, "end": (e + 0.5) / RATE} for e, c in zip(ends, chunks, strict=True)
        ]
        segments, _ = self._pipeline.transcribe(
            np.concatenate(pieces),
            language="en",
            beam_size=beam,
            batch_size=self.batch,
            word_timestamps=True,
            vad_filter=False,
            clip_timestamps=clips,
            hotwords=", ".join(words) or None,
        )
        for segment in segments:
            # Which chunk it belongs to: `seek` is the chunk's start in hundredths of a second, rounded down.
            number = int(np.searchsorted(starts, segment.seek / 100 + 0.011, side="right")) - 1
            for word in _whole(segment.words or ()):
                start, end = chunks[number].within(word.start - starts[number], word.end - starts[number])
                found[number].append(replace(word, start=round(start, 3), end=round(end, 3)))
        return found


def _whole(pieces: Sequence[Any]) -> list[Word]:
    """The recogniser's pieces as words: one without a space before it belongs to the one before ("19" and "%")."""
    words: list[Word] = []
    for piece in pieces:
        text, end, probability = piece.word, round(float(piece.end), 3), round(float(piece.probability), 3)
        if words and not text[:1].isspace():
            last = words[-1]
            sure = min(probability, last.probability or 0.0)
            words[-1] = replace(last, text=last.text + text.rstrip(), end=end, probability=sure)
        elif text.strip():
            words.append(Word(text.strip(), round(float(piece.start), 3), end, probability))
    return words


@lru_cache(maxsize=1)
def recogniser(folder: Path, device: Device = "cpu") -> Recogniser:
    """The recogniser for some weights; the one used last stays in memory."""
    return Recogniser(folder, device)


def threads() -> int:
    """Threads for decoding: what OMP_NUM_THREADS says, else the cores that this process may use, 8 at most."""
    if (said := os.environ.get("OMP_NUM_THREADS", "")).isdigit() and int(said):
        return int(said)
    try:
        cores = len(os.sched_getaffinity(0))
    except AttributeError:
        cores = os.cpu_count() or 1
    return min(cores, 8)


# ------------------------------------------------------------------------------------------------ CUDA

#: Run in a process of its own: where a CUDA library is missing the process aborts, and ours must not.
CUDA_TRIAL = """
import sys, numpy, ctranslate2
if not ctranslate2.get_cuda_device_count():
    sys.exit("no CUDA device was found")
from faster_whisper.utils import get_assets_path  # noqa: F401
a = ctranslate2.StorageView.from_array(numpy.ones((2, 2), numpy.float32))
a.to_device(ctranslate2.Device.cuda)
if "float16" not in ctranslate2.get_supported_compute_types("cuda"):
    sys.exit("the device has no float16")
"""


def require_cuda() -> None:
    """Raise ShoplogError with the reason unless CUDA can be used here."""
    try:
        trial = subprocess.run(  # noqa: S603 - a fixed program
            [sys.executable, "-P", "-c", CUDA_TRIAL], capture_output=True, text=True, timeout=120, check=False
        )
        why = (
            None if trial.returncode == 0 else (trial.stderr.strip().splitlines() or ["the CUDA libraries failed"])[-1]
        )
    except subprocess.TimeoutExpired:
        why = "the device did not answer in two minutes"
    if why:
        raise ShoplogError(
            f"CUDA cannot be used ({why}): it needs an NVIDIA device with CUDA 12 and cuDNN 9; leave out --device cuda."
        )


def cuda_batch(folder: Path) -> int:
    """How many chunks at once on a CUDA device: as many as its free memory holds beside the weights, 8 to 64."""
    try:
        said = subprocess.run(
            ["nvidia-smi", "--query-gpu=memory.free", "--format=csv,noheader,nounits"],  # noqa: S607
            capture_output=True, text=True, timeout=20, check=True,
        ).stdout  # fmt: skip
        free = float(said.splitlines()[0]) * 1e6
    except (OSError, subprocess.SubprocessError, ValueError, IndexError):
        return 16
    weights = (folder / "model.bin").stat().st_size
    per_chunk = 60e6 + weights * 0.25  # beam 5: states grow with the size of the model
    return int(min(64, max(8, (free - 2 * weights) / per_chunk)))
