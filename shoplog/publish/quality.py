"""Captions beside the four published qualities: accurate, synchronous, complete, placed.

The yardstick is 47 CFR 79.1(j)(2) (US, television) and WCAG 2.2 success criterion 1.2.2; an ordinary web video is not
bound by the first. Lengths and reading speeds are common practice.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from shoplog.log import Project
from shoplog.publish.limits import COMMON, Limits
from shoplog.publish.programme import Programme
from shoplog.publish.stated import own_takes
from shoplog.times import stamp
from shoplog.transcript import Cue

Criterion = Literal["accuracy", "synchrony", "completeness", "placement"]
#: Words below this probability were hardly understood.
UNSURE = 0.5
#: Speech without a caption from this length on is named, seconds.
UNCAPTIONED = 2.0
MOST_PLACES = 20


@dataclass(frozen=True, slots=True)
class Finding:
    """What a person should look at, or that nothing was found; ``places`` are (second of the video, words)."""

    criterion: Criterion
    text: str
    places: tuple[tuple[float, str], ...] = ()


def quality(
    project: Project, programme: Programme, found: Sequence[Cue], limits: Limits = COMMON
) -> tuple[Finding, ...]:
    """The report on captions of a video."""
    return (
        *_accuracy(project, programme, found),
        *_synchrony(found, limits),
        *_completeness(project, programme, found),
        *_placement(found, limits),
    )


def _spoken(found: Sequence[Cue]) -> list[Cue]:
    return [c for c in found if not (c.text.startswith("[") and c.text.endswith("]"))]


def _accuracy(project: Project, programme: Programme, found: Sequence[Cue]) -> list[Finding]:
    words = [w for c in _spoken(found) for w in c.words]
    known = [w for w in words if w.probability is not None]
    unsure = [(w.start, w.text) for w in known if w.probability is not None and w.probability < UNSURE]
    doubtful = []
    for take in own_takes(project):
        marked = [(c.start, c.text) for c in take.cues if c.trust == "doubtful"]
        marked += [(k.fact.start, k.fact.quote) for k in take.facts if k.doubtful]
        for at, text in marked:
            if (video := programme.at(take.recording.id, at)) is not None:
                doubtful.append((video, " ".join(text.split())))
    names = []
    for take in own_takes(project):
        for k in take.facts:
            video = programme.at(take.recording.id, k.fact.start)
            if k.fact.kind == "credit" and k.verdict is None and video is not None:
                names.append((video, str(k.fact.item)))
    report = [
        Finding(
            "accuracy",
            f"{len(words)} words; "
            + (
                "no word has a measure of certainty (they came from captions)"
                if not known
                else f"{len(unsure)} were hardly understood"
            ),
            tuple(unsure[:MOST_PLACES]),
        )
    ]
    if doubtful:
        report.append(
            Finding(
                "accuracy", f"{len(doubtful)} doubtful hearings to listen to", tuple(sorted(doubtful)[:MOST_PLACES])
            )
        )
    if names:
        report.append(
            Finding("accuracy", f"{len(names)} names to check for their spelling", tuple(sorted(names)[:MOST_PLACES]))
        )
    return report


def _synchrony(found: Sequence[Cue], limits: Limits) -> list[Finding]:
    fast, short = [], []
    for c in _spoken(found):
        seconds = max(c.end - c.start, 0.001)
        if len(c.text.replace("\n", " ")) / seconds > limits.caption_characters_per_second + 0.5:
            fast.append((c.start, c.text))
        if seconds < limits.caption_least_seconds - 0.001:
            short.append((c.start, c.text))
    report = [
        Finding(
            "synchrony",
            f"{len(fast)} captions pass {limits.caption_characters_per_second:.0f} characters a second",
            tuple(fast[:MOST_PLACES]),
        )
    ]
    if short:
        report.append(
            Finding(
                "synchrony",
                f"{len(short)} captions stand for less than {limits.caption_least_seconds:g} s",
                tuple(short[:MOST_PLACES]),
            )
        )
    return report


def _completeness(project: Project, programme: Programme, found: Sequence[Cue]) -> list[Finding]:
    holes = []
    ends = [c.end for c in found]
    for take in own_takes(project):
        for s in take.stretches:
            if s.kind not in ("speech", "unclear") or s.end - s.start < UNCAPTIONED:
                continue
            at = programme.at(take.recording.id, s.start)
            if at is None:
                continue
            following = bisect_right(ends, at)
            if following == len(found) or found[following].start >= at + s.end - s.start:
                holes.append((at, f"{s.end - s.start:.0f} s"))
    dropped = sum(c.trust == "dropped" for t in own_takes(project) for c in t.cues)
    text = (
        f"{len(holes)} stretches of speech have no caption"
        if any(t.stretches for t in own_takes(project))
        else "what is not speech was not measured: these words came from captions"
    )
    report = [Finding("completeness", text, tuple(holes[:MOST_PLACES]))]
    if dropped:
        report.append(Finding("completeness", f"{dropped} remarks were heard and not trusted; they have no caption"))
    return report


def _placement(found: Sequence[Cue], limits: Limits) -> list[Finding]:
    wide = [
        (c.start, c.text)
        for c in found
        if len(c.text.splitlines()) > limits.caption_lines
        or max(map(len, c.text.splitlines()), default=0) > limits.caption_line
    ]
    return [
        Finding(
            "placement",
            f"{len(wide)} captions break {limits.caption_lines} lines of {limits.caption_line} characters",
            tuple(wide[:MOST_PLACES]),
        ),
        Finding(
            "placement", "they stand where the player puts them: look at close-ups and on-screen text at the bottom"
        ),
    ]


def as_lines(report: Sequence[Finding], *, places: int = 3) -> list[str]:
    """The report for people, one line a finding."""
    lines = []
    for f in report:
        where = "; ".join(f"{stamp(at)} “{' '.join(text.split())}”" for at, text in f.places[:places])
        more = f" and {len(f.places) - places} more" if len(f.places) > places else ""
        lines.append(f"{f.criterion}: {f.text}{f' ({where}{more})' if where else ''}")
    return lines
