"""The real recogniser on the demo's sound: words, true times, the machine, and parts that need not be heard again."""

from __future__ import annotations

import json
import re
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from shoplog.errors import ShoplogError
from shoplog.media import RATE, Sound, decode
from shoplog.speech import Part, hear, hear_parts, join, recogniser
from shoplog.speech.weights import find_weights

FIXTURES = Path(__file__).parents[2] / "fixtures"


@pytest.fixture(scope="module")
def epoxy() -> dict[str, object]:
    """The lines of the shortest recording, with their times."""
    recordings = json.loads((FIXTURES / "facts.json").read_text())["recordings"]
    found: dict[str, object] = next(r for r in recordings if r["file"].endswith("3-epoxy.wav"))
    return found


def plain(text: str) -> set[str]:
    return set(re.findall(r"[a-z]{4,}", text.lower()))


@pytest.mark.slow
def test_a_recording_is_heard(epoxy: dict[str, object]) -> None:
    """Most words are right, remarks start where they were said, and stored parts are taken as they are."""
    path = FIXTURES / "recordings" / str(epoxy["file"])
    told: list[float] = []
    parts = list(hear_parts(path, on_progress=told.append))
    transcript = join(parts)
    lines: list[dict[str, object]] = epoxy["lines"]  # type: ignore[assignment]
    said = set().union(*(plain(str(line["say"])) for line in lines))
    heard = set().union(*(plain(c.text) for c in transcript.kept.cues))
    assert len(said & heard) / len(said) > 0.8
    starts = np.array([c.start for c in transcript.cues])
    errors = [float(np.abs(starts - line["start"]).min()) for line in lines]  # type: ignore[operator]
    assert np.median(errors) < 0.1
    assert np.percentile(errors, 90) < 0.3
    assert all(w.start <= w.end for c in transcript.cues for w in c.words)
    assert all(a.end <= b.end for a, b in pairwise(transcript.cues))
    assert [0.0, transcript.duration] == [transcript.stretches[0].start, transcript.stretches[-1].end]
    assert told == sorted(told)
    assert 1.0 == pytest.approx(told[-1])
    stored = [Part.from_json(json.loads(json.dumps(p.to_json()))) for p in parts]

    def unused(*args: object) -> None:
        raise AssertionError("nothing was left to hear")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("shoplog.speech.recognise.recogniser", unused)
        assert transcript == hear(path, done=stored)


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["silence", "noise"])
def test_nothing_is_invented(kind: str) -> None:
    """Silence and noise hold no words; the whole of it is accounted for."""
    sound = np.zeros(20 * RATE, np.float32)
    if kind == "noise":
        sound += 0.05 * np.random.default_rng(5).standard_normal(len(sound)).astype(np.float32)
    transcript = hear(sound)
    assert () == transcript.cues
    assert [(0.0, 20.0, "noise" if kind == "noise" else "quiet", kind == "noise")] == [
        (s.start, s.end, s.kind, s.machine) for s in transcript.stretches
    ]


@pytest.mark.slow
def test_contiguous_clips_of_odd_lengths_are_heard() -> None:
    """Spans that fill the sound to the last sample do not add up to more than there is."""
    hearer = recogniser.recogniser(find_weights())
    sound = Sound.of(np.zeros(100_003, np.float32))
    cuts = [0, 33_331, 66_667, 100_003]
    chunks = [recogniser.Chunk((recogniser.Span(a, b),)) for a, b in pairwise(cuts)]
    assert 3 == len(hearer.words(chunks, sound))


def test_without_cuda_the_sentence_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """The trial runs in a process of its own; whatever happens there, one sentence comes out."""
    monkeypatch.setattr(recogniser, "CUDA_TRIAL", "import os; os.abort()")
    with pytest.raises(ShoplogError, match="CUDA cannot be used"):
        recogniser.require_cuda()
    monkeypatch.setattr(recogniser, "CUDA_TRIAL", "import sys; sys.exit('no CUDA device was found')")
    with pytest.raises(ShoplogError, match="no CUDA device was found"):
        recogniser.require_cuda()


def test_the_recording_is_only_read(tmp_path: Path) -> None:
    """Decoding leaves the file as it was."""
    path = FIXTURES / "recordings" / "sycamore-drum" / "3-epoxy.wav"
    copy = tmp_path / "take.wav"
    copy.write_bytes(path.read_bytes())
    copy.chmod(0o444)
    with decode(copy) as sound:
        assert sound.samples > 0
    assert path.read_bytes() == copy.read_bytes()
