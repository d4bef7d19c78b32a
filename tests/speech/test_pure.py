"""What comes after the recogniser, on words and sound that are made up: no weights are needed."""

from __future__ import annotations

import json

import numpy as np
import pytest

from shoplog.facts import Fact
from shoplog.media import RATE, Sound
from shoplog.speech.activity import FRAME, FRAMES_PER_SECOND, Span, spans
from shoplog.speech.alignment import align
from shoplog.speech.distrust import Distrust, judge, loops
from shoplog.speech.lost import found_again, lost
from shoplog.speech.machine import levels, shop
from shoplog.speech.parts import Part, join
from shoplog.speech.recogniser import Chunk, packed
from shoplog.speech.remarks import at_onsets, remarks
from shoplog.speech.second import Window, compared, doubtful_windows, surety, unsure
from shoplog.speech.stretches import machine_seconds, stretches
from shoplog.transcript import Cue, Stretch, Transcript, Word


def said(text: str, start: float = 0.0, each: float = 0.3, probability: float = 0.9) -> list[Word]:
    """The words of a text, one after the other without a pause."""
    return [
        Word(t, round(start + i * each, 3), round(start + (i + 1) * each, 3), probability)
        for i, t in enumerate(text.split())
    ]


def voiced(*parts: tuple[float, float], seconds: float) -> np.ndarray:
    """Voice probabilities: 0.9 in the parts given, else 0.02."""
    found = np.full(round(seconds * FRAMES_PER_SECOND), 0.02, np.float32)
    for start, end in parts:
        found[round(start * FRAMES_PER_SECOND) : round(end * FRAMES_PER_SECOND)] = 0.9
    return found


def found_spans(probabilities: np.ndarray, **more: float) -> list[tuple[float, float]]:
    options = {"threshold": 0.5, "silence": 0.3, "pad": 0.0, **more}
    return [
        (round(s.start / RATE, 1), round(s.end / RATE, 1))
        for s in spans(probabilities, len(probabilities) * FRAME, **options)
    ]


def test_spans_of_voice() -> None:
    """A short pause does not end a span, a long one does; pads meet in the middle of a pause and stop at the ends."""
    probabilities = voiced((0.1, 2.0), (2.1, 4.0), (5.0, 6.0), seconds=10)
    assert [(0.1, 4.0), (5.0, 6.0)] == found_spans(probabilities)
    assert [(0.0, 4.5), (4.5, 6.8)] == found_spans(probabilities, pad=0.8)
    assert [] == found_spans(voiced(seconds=3))


def test_a_long_span_is_cut_where_the_voice_is_faintest() -> None:
    """No span is longer than the recogniser's window, and together they still cover the talk."""
    probabilities = voiced((0.0, 50.0), seconds=50)
    probabilities[round(25 * FRAMES_PER_SECOND)] = 0.4
    found = found_spans(probabilities, longest=30)
    assert [(0.0, 25.0), (25.0, 50.0)] == found


def test_packing_keeps_every_sample_once() -> None:
    """Chunks hold up to 30 s, in order, and a time in a chunk is a time in the recording."""
    found = [Span(i * 20 * RATE, i * 20 * RATE + 12 * RATE) for i in range(5)]
    chunks = packed(found)
    assert found == [s for c in chunks for s in c.spans]
    assert [24, 24, 12] == [c.samples // RATE for c in chunks]
    assert (21.0, 22.0) == chunks[0].within(13.0, 14.0)
    assert (31.5, 32.0) == Chunk((found[1],)).within(11.5, 12.9)


LOOPS = [
    ("turn it turn it turn it turn it turn it turn it now", 10),
    ("no no no no no no no no", 7),
    ("one twenty one eighty two twenty three twenty four hundred", 0),
    ("no, no, no, that is not it", 0),
    ("", 0),
]


@pytest.mark.parametrize(("text", "expected"), LOOPS)
def test_loops(text: str, expected: int) -> None:
    """A phrase said over and over is marked from its second time on; lists of numbers are no loop."""
    assert expected == sum(loops(said(text), Distrust().repeats))


JUDGED = [
    ("The blank is eleven inches across.", 0.9, 0.99, None, "ok", None),
    ("...", 0.9, 0.99, None, "dropped", "no words"),
    ("ha ha ha ha ha ha ha ha ha ha ha ha ha ha ha ha ha ha", 0.9, 0.99, None, "dropped", "over and over"),
    ("one tablespoon of soy sauce", 0.3, 0.9, 5.0, "dropped", "recogniser itself"),
    ("Thank you.", 0.6, 0.8, 5.0, "dropped", "invent"),
    ("Thank you.", 0.97, 0.99, None, "ok", None),
    ("The blank is eleven inches.", 0.9, 0.2, None, "dropped", "no voice"),
    ("The blank is eleven inches.", 0.55, 0.9, None, "doubtful", "unsure"),
    ("The blank is eleven inches.", 0.9, 0.9, 1.0, "doubtful", "as loud as the voice"),
]


@pytest.mark.parametrize(("text", "probability", "voice", "ratio", "trust", "reason"), JUDGED)
def test_judgement(
    text: str, probability: float, voice: float, ratio: float | None, trust: str, reason: str | None
) -> None:
    """What was invented is dropped, what is unsure is doubtful, and each says why."""
    judged = judge(said(text, probability=probability), False, voice, ratio, Distrust())
    assert trust == judged.trust
    assert (judged.reason is None) if reason is None else (reason in (judged.reason or ""))


def test_first_words_start_at_the_voice() -> None:
    """A word that swallowed a pause starts just before the onset in it; the others keep their start."""
    words = [Word("So", 0.5, 2.3, 0.9), Word("the", 2.3, 2.5, 0.9), Word("bowl", 2.5, 2.9, 0.9)]
    assert [1.97, 2.3, 2.5] == [w.start for w in at_onsets(words, [2.0])]
    assert [0.5, 2.3, 2.5] == [w.start for w in at_onsets(words, [])]


def test_remarks_end_at_pauses() -> None:
    """A pause ends a remark; every word is in exactly one, in order; a loop is a remark of its own."""
    words = said("This is cherry.", 0.0) + said("It is wet,", 2.0) + said("very wet", 3.0)
    found = list(remarks(words, [0.0, 2.0], [False] * len(words)))
    assert [[0, 1, 2], [3, 4, 5, 6, 7]] == found
    marks = [False] * 6 + [True] * 2
    assert [[0, 1, 2], [3, 4, 5], [6, 7]] == list(remarks(words, [0.0, 2.0], marks))


def test_long_remarks_are_cut() -> None:
    """Nobody reads a caption of half a minute; no word is lost by the cut."""
    words = said("we turn the outside first, then the inside, " * 12)
    found = list(remarks(words, [], [False] * len(words)))
    assert list(range(len(words))) == [i for numbers in found for i in numbers]
    assert 14.0 >= max(words[n[-1]].end - words[n[0]].start for n in found)


def test_lost_speech_is_found() -> None:
    """Voice without words is lost; what a second try finds there is taken, and what was known already is not."""
    probabilities = voiced((1.0, 4.0), (6.0, 10.0), seconds=12)
    chunk = Chunk((Span(0, 12 * RATE),))
    heard = said("this was heard all right and well", 1.0, 0.42)
    gone = lost([chunk], [heard], probabilities, 0.5)
    assert [(6, 10)] == [(round(s.start / RATE), round(s.end / RATE)) for s in gone]
    assert ["new"] == [w.text for w in found_again([Word("old", 3.0, 3.4), Word("new", 7.0, 7.5)], gone)]
    everything = heard + said("and this as well until the end of it", 6.0, 0.44)
    assert [] == lost([chunk], [everything], probabilities, 0.5)


# ------------------------------------------------------------------------------------------------ the shop


def shop_sound(random: np.random.Generator) -> np.ndarray:
    """30 s of room, 30 s of a machine 25 dB louder, 30 s of room; bursts like speech in the first and second."""
    sound = random.standard_normal(90 * RATE).astype(np.float32) * 0.001
    sound[30 * RATE : 60 * RATE] *= 18
    for at in np.arange(5, 55, 1.0):
        first = int(at * RATE)
        sound[first : first + RATE // 2] += 0.1 * np.sin(2 * np.pi * 300 * np.arange(RATE // 2) / RATE)
    return sound


def test_the_machine_is_found_from_the_sound() -> None:
    """It ran in the middle third, under speech too, and the quiet parts are quiet."""
    sound = Sound.of(shop_sound(np.random.default_rng(1)))
    frames = sound.samples // FRAME
    probabilities = np.full(frames, 0.02, np.float32)
    for at in np.arange(5, 55, 1.0):
        probabilities[int(at * FRAMES_PER_SECOND) : int((at + 0.5) * FRAMES_PER_SECOND)] = 0.95
    around = shop(levels(sound, 0, frames), probabilities)
    truth = np.zeros(frames, bool)
    truth[int(30 * FRAMES_PER_SECOND) : int(60 * FRAMES_PER_SECOND)] = True
    assert np.mean(around.running == truth) > 0.95
    cues = (Cue(5.0, 30.5, "talk"), Cue(30.5, 40.0, "more talk"))
    found = stretches(0.0, 90.0, probabilities, around, cues, 0.5)
    assert 30 == pytest.approx(machine_seconds(found), abs=3)
    assert [0.0, *[s.end for s in found]] == [*[s.start for s in found], 90.0]
    assert {("speech", False), ("speech", True), ("noise", True), ("quiet", False), ("unclear", True)} >= {
        (s.kind, s.machine) for s in found
    }
    assert any(s.kind == "unclear" for s in found)  # there was voice from 41 s on and no words
    loud = [s.level for s in found if s.kind == "noise"]
    quiet = [s.level for s in found if s.kind == "quiet"]
    assert min(x for x in loud if x is not None) > max(x for x in quiet if x is not None) + 10


def test_silence_is_quiet() -> None:
    """Digital silence has no machine in it and breaks nothing."""
    sound = Sound.of(np.zeros(10 * RATE, np.float32))
    frames = sound.samples // FRAME
    around = shop(levels(sound, 0, frames), np.zeros(frames, np.float32))
    assert not around.running.any()
    assert ["quiet"] == [s.kind for s in stretches(0.0, 10.0, np.zeros(frames, np.float32), around, (), 0.5)]


def test_two_cameras_are_aligned() -> None:
    """The same moment is found with its offset, whatever the level; another moment is not."""
    random = np.random.default_rng(2)

    def scene(seconds: int) -> np.ndarray:
        loud = np.repeat(random.uniform(0, 1, seconds * 4) ** 3, RATE // 4)
        return (0.2 * loud * random.standard_normal(seconds * RATE)).astype(np.float32)

    whole, other = scene(90), scene(60)
    second = 0.3 * whole[int(12.5 * RATE) :] + 0.002 * random.standard_normal(int(77.5 * RATE)).astype(np.float32)
    found = align(Sound.of(whole), Sound.of(second))
    assert found is not None
    assert 12.5 == pytest.approx(found.offset, abs=0.05)
    assert 77.5 == pytest.approx(found.overlap, abs=0.2)
    assert align(Sound.of(whole), Sound.of(other)) is None
    assert align(Sound.of(whole), Sound.of(second[: 5 * RATE])) is None


# ------------------------------------------------------------------------------------------------ parts, second hearing


def test_parts_survive_json_and_join() -> None:
    """A stored part is the part, and the parts together are the recording."""
    word = Word("cherry", 1.0, 1.4, 0.8)
    first = Part(
        0.0, 60.0, 100.0, (Cue(1.0, 1.4, "cherry", (word,), "doubtful", "unsure", True),),
        (Stretch(0.0, 60.0, "noise", -30.0, True),), "base", {"beam": 5, "words": ["burl"]},
    )  # fmt: skip
    last = Part(60.0, 100.0, 100.0, (), (Stretch(60.0, 100.0, "noise", -30.0, True),), "base", first.settings)
    assert first == Part.from_json(json.loads(json.dumps(first.to_json())))
    whole = join([first, last])
    assert (Stretch(0.0, 100.0, "noise", -30.0, True),) == whole.stretches
    assert (100.0, "heard", "base") == (whole.duration, whole.source, whole.model)
    assert (0.6, 1.0) == (first.share, last.share)


def speed(value: float, start: float = 1.0, confidence: float = 0.7) -> Fact:
    return Fact(
        "speed", value=value, unit="rpm", start=start, end=start + 0.6, quote=f"{value:g} RPM", confidence=confidence
    )


SECOND = [
    ([speed(850)], "850 RPM", True, 0),
    ([], "and it is at 850 now", True, 0),
    ([speed(350)], "350 RPM", False, 1),
    ([], "and it is round now", False, 0),
]


@pytest.mark.parametrize(("again", "text", "agrees", "alternatives"), SECOND)
def test_two_hearings_are_compared(again: list[Fact], text: str, agrees: bool, alternatives: int) -> None:
    """Agreement makes a fact surer; another reading is kept beside it, and both it and silence are a doubt."""
    fact = speed(850)
    (found,) = compared([fact], [Window(0.0, 3.0, (0,))], [said(text)], lambda transcript: again)
    assert agrees is (found.confidence > fact.confidence)
    assert agrees is not bool(found.attrs.get("doubt"))
    assert alternatives == len(found.attrs.get("alternatives", ()))
    assert 850 == found.value


def test_the_most_doubtful_are_heard_again() -> None:
    """Unsure numbers come first, sure ones never, and no more than the speech pays for; the rest is marked."""
    words, facts = [], []
    for i in range(40):
        probability = 0.95 if i % 2 else 0.2 + i / 100
        words += said("running at 850 RPM now", 10.0 * i, 0.3, probability)
        facts.append(speed(850, 10.0 * i + 0.6))
    transcript = Transcript(tuple(Cue(w.start, w.end, w.text, (w,)) for w in words), "heard")
    windows = doubtful_windows(facts, transcript)
    assert [0, 2] == [i for w in windows for i in w.facts]
    marked = [i for i, f in enumerate(unsure(facts, transcript, windows)) if f.attrs.get("doubt")]
    assert list(range(4, 40, 2)) == marked
    assert 0.95 == pytest.approx(surety(facts[1], words))
    assert 1.0 == surety(facts[0], [])
