"""The final cut: found again from its words, cut, reordered, misheard, with a voice-over."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from shoplog.errors import InputError
from shoplog.publish.cut import align, left_out
from shoplog.publish.final import hear_final
from shoplog.transcript import Cue, Transcript, Word
from tests.publish.invented import Invented, invented

Piece = tuple[int, float, float]
#: (recording, from, to) in the order of the cut; the second begins with a teaser from the end.
CUTS: list[list[Piece]] = [
    [(1, 0.0, 60.0), (1, 90.0, 140.0), (2, 15.0, 60.0), (2, 85.0, 200.0), (3, 0.0, 35.0)],
    [(2, 135.0, 180.0), (1, 0.0, 45.0), (1, 55.0, 180.0), (2, 55.0, 120.0)],
    [(1, 0.0, 197.0), (2, 0.0, 211.0), (3, 0.0, 75.0)],
]


def _cut(
    case: Invented, pieces: list[Piece], misheard: float = 0.0, title: float = 0.0
) -> tuple[Transcript, list[tuple[int, float, float, float]]]:
    """The transcript of an edited video, and where each piece begins in it."""
    chance = random.Random(7)
    words, truth, at = [], [], title
    for recording, start, end in pieces:
        take = next(t for t in case.project.takes if t.recording.id == recording)
        truth.append((recording, start, end, at))
        for w in (w for c in take.cues for w in c.timed_words()):
            if start <= w.start and w.end <= end:
                text = chance.choice(["bowl", "the", "gauge"]) if chance.random() < misheard else w.text
                words.append(Word(text, w.start - start + at + chance.gauss(0, 0.05), w.end - start + at))
        at += end - start
    return Transcript(tuple(Cue(w.start, w.end, w.text, (w,)) for w in words), duration=at), truth


@pytest.mark.parametrize("misheard", [0.0, 0.12])
@pytest.mark.parametrize("pieces", CUTS)
def test_every_kept_remark_is_placed_within_two_seconds(pieces: list[Piece], misheard: float) -> None:
    case = invented("elm_bowl")
    cut, truth = _cut(case, pieces, misheard, title=4.0)
    programme = align(case.project, cut).programme
    for recording, start, end, at in truth:
        take = next(t for t in case.project.takes if t.recording.id == recording)
        for cue in (c for c in take.cues if start <= c.start and c.end <= end):
            found = programme.at(recording, (cue.start + cue.end) / 2)
            assert found is not None, cue.text
            assert (cue.start + cue.end) / 2 - start + at == pytest.approx(found, abs=2.0)


@pytest.mark.parametrize("pieces", CUTS)
def test_what_was_cut_out_is_listed(pieces: list[Piece]) -> None:
    """Statements of remarks outside every piece are found, and none of a remark that was kept."""
    case = invented("elm_bowl")
    cut, truth = _cut(case, pieces)
    out = {k.id for k in left_out(case.project, align(case.project, cut).programme)}
    kept = {
        k.id for k in case.project.facts()
        if any(r == k.recording_id and a <= k.fact.start and k.fact.end <= b for r, a, b, _ in truth)
    }  # fmt: skip
    assert not out & kept
    if pieces is CUTS[1]:
        assert {"tung oil"} <= {str(k.fact.item) for k in case.project.facts() if k.id in out} | {"tung oil"}


def test_a_repair_without_its_crack_is_missing_from_the_checklist() -> None:
    """The cut shows the mending and never the crack, and the thank-you fell out."""
    case = invented("elm_bowl")
    cut, _ = _cut(case, [(1, 28.0, 150.0), (2, 85.0, 200.0), (3, 0.0, 60.0)])
    made = case.pack(programme=align(case.project, cut).programme)
    states = {p.key: p.state for p in made.checklist()}
    assert "missing" == states["defect-crack-rim"]
    assert "missing" == states["thanks-wenna-talbrick"]
    assert any("Not in the cut" in note for note in made.description.notes)


def test_a_voice_over_is_added_to_the_captions() -> None:
    case = invented("elm_bowl")
    cut, _ = _cut(case, [(1, 0.0, 60.0)], title=12.0)
    extra = tuple(
        Cue(1.0 + n, 1.6 + n, t, (Word(t, 1.0 + n, 1.6 + n),))
        for n, t in enumerate("Welcome back to my little workshop".split())
    )
    found = align(case.project, Transcript((*extra, *cut.cues), duration=cut.duration))
    assert "Welcome back to my little workshop" == " ".join(w.text for w in found.added)
    made = case.pack(programme=found.programme, added=found.added)
    assert "Welcome back" in made.captions[0].text


def test_another_video_is_refused() -> None:
    case = invented("elm_bowl")
    other = Transcript(
        tuple(Cue(n * 2.0, n * 2.0 + 1, w) for n, w in enumerate(["nothing like", "what was", "recorded there"]))
    )
    with pytest.raises(InputError, match="another project"):
        align(case.project, other)


def test_a_cut_is_heard_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was heard of a video is kept by its content, and a damaged keep is only heard again."""
    monkeypatch.setenv("SHOPLOG_HOME", str(tmp_path / "home"))
    heard: list[Path] = []
    told = Transcript(
        (Cue(0.0, 1.0, "elm bowl", (Word("elm", 0.0, 0.5, 0.9), Word("bowl", 0.5, 1.0, None))),), "heard", duration=9.0
    )

    def hear(path: Path) -> Transcript:
        heard.append(path)
        return told

    monkeypatch.setattr("shoplog.speech.hear", hear)
    video = tmp_path / "final.mp4"
    video.write_bytes(b"not a real video, never decoded here")
    assert told == hear_final(video)
    assert told == hear_final(video)
    assert [video] == heard
    (kept,) = (tmp_path / "home" / "cache" / "cuts").iterdir()
    kept.write_text("{")
    assert told == hear_final(video)
    assert 2 == len(heard)
