"""Captions from the corrected words: cut at phrases, within the limits of lines, length and reading speed."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import replace

from shoplog.log import Project, Stage
from shoplog.publish.limits import COMMON, Limits
from shoplog.publish.programme import Programme
from shoplog.publish.spelling import written
from shoplog.publish.stated import own_takes
from shoplog.publish.work import words_of
from shoplog.transcript import Cue, Stretch, Word

#: A pause of so many seconds ends a caption.
PAUSE = 0.9
#: A caption may stay on after its last word, and a hurried one come on before its first, for so many seconds.
LINGER, LEAD = 1.5, 0.3
#: Machine noise without speech is marked from this length on, for at most so long; seconds.
NOISE, MARK = 3.0, 4.0
#: Words before which a phrase begins: better places to break than the middle of one.
OPENERS = frozenset(
    "and but or so because which that when where while if then with without for from to into onto in on at by of about "
    "after before until through between over under as than".split()
)
#: Words that no line should end on.
LEANING = OPENERS | frozenset("a an the my your our their his her its this these no not very i i'm it's".split())


def captions(
    project: Project,
    programme: Programme,
    stages: Sequence[Stage] = (),
    limits: Limits = COMMON,
    vocabulary: Sequence[tuple[str, str]] = (),
    added: Iterable[Word] = (),
) -> tuple[Cue, ...]:
    """The captions of the video, in its time. ``added`` are words of the cut that are in none of the recordings."""
    words = [*video_words(project, programme, vocabulary), *added]
    words.sort(key=lambda w: w.start)
    spoken = _timed([_lines(block, limits) for block in _blocks(_in_order(words), limits)], programme.duration, limits)
    return _with_marks(spoken, sounds(project, programme, stages), limits)


def video_words(project: Project, programme: Programme, vocabulary: Sequence[tuple[str, str]] = ()) -> list[Word]:
    """The written words that are in the video, at the video's time."""
    texts = {take.recording.id: written(take, vocabulary) for take in own_takes(project)}
    found = []
    for span in programme.spans:
        shift = span.at - span.start
        for w in texts.get(span.recording_id, ()):
            if span.start <= (w.start + w.end) / 2 < span.end or w.start == span.start == w.end:
                found.append(replace(w, start=max(w.start + shift, 0.0), end=max(w.end + shift, 0.0)))
    return found


def _in_order(words: list[Word]) -> list[Word]:
    """Words that begin no earlier than the one before: recognisers and cuts overlap a little."""
    result: list[Word] = []
    for w in words:
        start = max(w.start, result[-1].start if result else 0.0)
        result.append(replace(w, start=start, end=max(w.end, start)))
    return result


# ------------------------------------------------------------------------------------------------ cutting


def _blocks(words: Sequence[Word], limits: Limits) -> list[list[Word]]:
    """Captions' words: ended by pauses and full stops, broken at phrases where they would grow too long."""
    blocks: list[list[Word]] = []
    current: list[Word] = []
    for n, w in enumerate(words):
        current.append(w)
        following = words[n + 1] if n + 1 < len(words) else None
        while len(current) > 1 and not _fits(current, limits):
            at = _best_break(current, limits)
            blocks.append(current[:at])
            current = current[at:]
        ends = following is None or following.start - w.end >= PAUSE
        full_stop = w.text.rstrip('"”)')[-1:] in ".!?" and len(_text(current)) >= limits.caption_line / 2
        if ends or full_stop:
            blocks.append(current)
            current = []
    return [b for b in blocks if b]


def _text(words: Sequence[Word]) -> str:
    return " ".join(w.text for w in words)


def _fits(words: Sequence[Word], limits: Limits) -> bool:
    seconds = words[-1].end - words[0].start
    return (
        seconds <= limits.caption_most_seconds
        and len(wrap([w.text for w in words], limits.caption_line)) <= limits.caption_lines
    )


def _best_break(words: Sequence[Word], limits: Limits) -> int:
    """Where to break words that don't fit: the latest good place in the part that fits."""
    longest = next((n for n in range(len(words) - 1, 1, -1) if _fits(words[:n], limits)), 1)
    scores = {n: _break_score(words[n - 1], words[n]) + n / longest for n in range(max(longest // 2, 1), longest + 1)}
    return max(scores, key=lambda n: scores[n])


def _break_score(before: Word, after: Word) -> float:
    return max(_phrase(before.text, after.text), 1.5 if after.start - before.end >= 0.25 else -9.0)


def _phrase(before: str, after: str) -> float:
    """How well a break between two words suits the phrase: above 0 at its end, below 0 within it."""
    if before[-1:] in ".!?":
        return 3.0
    if before[-1:] in ",;:–—":
        return 2.0
    if before.lower() in LEANING:
        return -1.0
    return 0.6 if after.lower() in OPENERS else 0.0


def wrap(texts: Sequence[str], width: int) -> list[str]:
    """Lines of whole words, as few as can be; two lines are balanced, at a phrase where one is near."""
    lines: list[str] = []
    for text in texts:
        if lines and len(lines[-1]) + 1 + len(text) <= width:
            lines[-1] += f" {text}"
        else:
            lines.append(text)
    if len(lines) != 2:
        return lines
    best: tuple[float, list[str]] | None = None
    for n in range(1, len(texts)):
        first, second = " ".join(texts[:n]), " ".join(texts[n:])
        if len(first) <= width and len(second) <= width:
            cost = abs(len(second) - len(first)) - 10 * _phrase(texts[n - 1], texts[n])
            if best is None or cost < best[0]:
                best = cost, [first, second]
    return best[1] if best else lines


def _lines(words: Sequence[Word], limits: Limits) -> Cue:
    text = "\n".join(wrap([w.text for w in words], limits.caption_line))
    return Cue(words[0].start, words[-1].end, text, tuple(words))


# ------------------------------------------------------------------------------------------------ times


def _timed(cues: Sequence[Cue], duration: float, limits: Limits) -> list[Cue]:
    """Each caption long enough to read where there is room, with a gap to the next, none past the video's end."""
    result: list[Cue] = []
    for n, cue in enumerate(cues):
        following = cues[n + 1].start if n + 1 < len(cues) else max(duration, cue.end)
        characters = len(cue.text.replace("\n", " "))
        wanted = max(limits.caption_least_seconds, characters / limits.caption_characters_per_second)
        latest = following - limits.caption_gap if n + 1 < len(cues) else following
        end = min(max(cue.end, min(cue.start + wanted, cue.end + LINGER)), max(latest, cue.start + 0.1))
        start = cue.start
        if end - start < wanted:
            before = result[-1].end + limits.caption_gap if result else 0.0
            start = max(min(start, end - wanted), start - LEAD, min(before, start))
        result.append(
            replace(
                cue,
                start=round(start, 3),
                end=round(min(max(end, start + 0.1), start + limits.caption_most_seconds), 3),
            )
        )
    return result


# ------------------------------------------------------------------------------------------------ other sounds


def sounds(project: Project, programme: Programme, stages: Sequence[Stage] = ()) -> list[Cue]:
    """What is heard besides speech, in the video's time: machines running, speech that was not understood."""
    stretches = {take.recording.id: take.stretches for take in own_takes(project)}
    marks = []
    for span in programme.spans:
        shift = span.at - span.start
        for text, start, end in _joined(stretches.get(span.recording_id, ()), stages, span.recording_id):
            start, end = max(start, span.start), min(end, span.end)
            if end > start:
                marks.append(Cue(start + shift, end + shift, text))
    return sorted(marks, key=lambda c: c.start)


def _joined(stretches: Sequence[Stretch], stages: Sequence[Stage], recording_id: int) -> list[tuple[str, float, float]]:
    """Stretches that sound alike, joined over short pauses."""
    joined: list[tuple[str, float, float]] = []
    for s in stretches:
        text = "[unclear speech]" if s.kind == "unclear" else _machine(stages, recording_id, s) if s.machine else ""
        if not text:
            continue
        if joined and joined[-1][0] == text and s.start - joined[-1][2] < 2.0:
            joined[-1] = (text, joined[-1][1], max(s.end, joined[-1][2]))
        else:
            joined.append((text, s.start, s.end))
    return joined


def _machine(stages: Sequence[Stage], recording_id: int, stretch: Stretch) -> str:
    """The lathe where the work is at the lathe, a saw where the blank is cut round, else only a machine."""
    middle = (stretch.start + stretch.end) / 2
    at = next((s.operation for s in stages if s.recording_id == recording_id and s.start <= middle < s.end), None)
    if at == "lay out":
        return "[saw running]"
    words = words_of(at)
    return "[lathe running]" if words and words.machine else "[machine running]"


def _with_marks(spoken: Sequence[Cue], marks: Sequence[Cue], limits: Limits) -> tuple[Cue, ...]:
    """Marks stand where nobody speaks: at the start of each silence that a sound fills for long enough."""
    result = list(spoken)
    ends = [c.end for c in spoken]
    for mark in marks:
        at = mark.start
        for cue in spoken[bisect_right(ends, at) :]:
            if cue.start >= mark.end:
                break
            _place(result, mark, at, cue.start - limits.caption_gap)
            at = cue.end + limits.caption_gap
        _place(result, mark, at, mark.end)
    return tuple(sorted(result, key=lambda c: c.start))


def _place(result: list[Cue], mark: Cue, start: float, end: float) -> None:
    if end - start >= (1.0 if mark.text == "[unclear speech]" else NOISE):
        result.append(Cue(round(start, 3), round(min(end, start + MARK), 3), mark.text))
