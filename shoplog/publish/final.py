"""The edited video itself: its words, and its sound where nobody speaks."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from shoplog import __version__
from shoplog.errors import InputError, UnreadableMedia
from shoplog.log import Project
from shoplog.publish.programme import Span
from shoplog.publish.stated import own_takes
from shoplog.settings import cache_folder
from shoplog.transcript import Cue, Transcript, Word

if TYPE_CHECKING:
    from shoplog.media import Sound
    from shoplog.publish.cut import Sound as Filler

#: Shorter parts without known words are left open: their sound says too little. Seconds.
SHORTEST = 20.0
#: At most so many parts are compared by sound, the longest first: each costs a look at every recording.
MOST_PARTS = 12


def is_captions(path: Path) -> bool:
    """True for a caption file of the cut rather than the video."""
    from shoplog.transcript_files import SUFFIXES

    return path.suffix.lower() in SUFFIXES


def hear_final(path: Path) -> Transcript:
    """The transcript of the final cut. Raises InputError, or what hearing raises on a file it can't use."""
    from shoplog.transcript_files import read_transcript

    if not path.exists():
        raise InputError(f"There is no file {path}; check the name of the final cut.")
    if path.is_dir():
        raise InputError(f"{path} is a folder; name the edited video or a caption file of it.")
    if is_captions(path):
        return read_transcript(path)
    from shoplog.media import fingerprint

    # A cut is asked for several times (description, chapters, captions) and takes minutes to hear.
    kept = cache_folder() / "cuts" / f"{fingerprint(path)}-{__version__}.json"
    if found := _read(kept):
        return found
    from shoplog.speech import hear

    heard = hear(path)
    _keep(kept, heard)
    return heard


def _keep(path: Path, heard: Transcript) -> None:
    """Keep what was heard; without room for it, it is only heard again."""
    from shoplog.files import write_whole

    cues = [
        [c.start, c.end, c.text, [[w.text, w.start, w.end, w.probability] for w in c.words], c.trust]
        for c in heard.cues
    ]
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_whole(path, json.dumps({"duration": heard.duration, "cues": cues}, ensure_ascii=False))
    except OSError:
        return


def _read(path: Path) -> Transcript | None:
    """What was heard of this cut before, None where nothing usable is kept."""
    try:
        table = json.loads(path.read_text(encoding="utf-8"))
        cues = tuple(
            Cue(start, end, text, tuple(Word(*w) for w in words), trust)
            for start, end, text, words, trust in table["cues"]
        )
        return Transcript(cues, source="heard", duration=table["duration"])
    except (OSError, ValueError, KeyError, TypeError):
        return None


def by_sound(video: Path, project: Project) -> Filler | None:
    """What fills the parts without known words from the sound of the video and the recordings; None for captions."""
    if is_captions(video):
        return None

    def fill(spans: Sequence[Span], lengths: Mapping[int, float], length: float) -> list[Span]:
        from contextlib import ExitStack

        from shoplog.media import decode
        from shoplog.publish.joins import sharpened

        with ExitStack() as opened:
            cut = opened.enter_context(decode(video))
            clips: dict[int, list[tuple[float, Sound]]] = {}
            for take in own_takes(project):
                for clip in take.recording.clips:
                    if take.recording.kind != "media" or not Path(clip.path).exists():
                        continue
                    try:
                        sound = opened.enter_context(decode(clip.path))
                    except UnreadableMedia:
                        continue  # a recording that can no longer be read leaves its part to the words
                    clips.setdefault(take.recording.id, []).append((clip.start, sound))
            parts = sorted(holes(spans, length), key=lambda h: h[0] - h[1])[:MOST_PARTS]
            best: dict[float, tuple[float, Span]] = {}
            for recording_id, sounds in clips.items():
                for clip_start, sound in sounds:
                    _compare(recording_id, clip_start, sound, [(a, cut.between(a, b)) for a, b in parts], best)
            found = sorted([*spans, *(span for _, span in best.values())], key=lambda s: s.at)
            return sharpened(found, cut, clips)

    return fill


def _compare(
    recording_id: int, clip_start: float, sound: Sound, parts: Sequence[tuple[float, object]],
    best: dict[float, tuple[float, Span]],
) -> None:  # fmt: skip
    """Keep for each part of the cut the place that sounds most like it."""
    from shoplog.media import Sound as Decoded
    from shoplog.speech.alignment import align

    for at, array in parts:
        part = Decoded.of(array)  # type: ignore[arg-type]
        match = align(sound, part)
        if match is None or match.overlap < SHORTEST or match.confidence <= best.get(at, (0.0, None))[0]:
            continue
        # The second sound starts ``offset`` after the first; what lies outside the recording is not of it.
        start = max(match.offset, 0.0)
        end = min(match.offset + part.duration, sound.duration)
        span = Span(recording_id, clip_start + start, clip_start + end, at + start - match.offset)
        best[at] = (match.confidence, span)


def holes(spans: Sequence[Span], length: float) -> list[tuple[float, float]]:
    """The parts of the video that no span covers and that are long enough to compare."""
    found, at = [], 0.0
    for span in sorted(spans, key=lambda s: s.at):
        if span.at - at >= SHORTEST:
            found.append((at, span.at))
        at = max(at, span.at + span.end - span.start)
    return [*found, (at, length)] if length - at >= SHORTEST else found
