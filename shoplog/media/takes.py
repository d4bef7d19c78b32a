"""Files that belong together: the chapter files into which a camera cuts one take."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import PurePath

#: A chapter begins where the one before ended. Cameras stamp whole seconds, some at the end of the first write.
JOIN_SECONDS = 3.0
#: Shorter files are takes of their own: a camera cuts at a size or after minutes. Seconds.
SHORTEST_CHAPTER = 60.0


@dataclass(frozen=True, slots=True)
class Clip:
    """A media file as far as it matters here. ``recorded_at`` only where the container says so; ``duration`` in s."""

    path: PurePath
    recorded_at: datetime | None
    duration: float | None


def takes(clips: Sequence[Clip]) -> list[tuple[Clip, ...]]:
    """The clips, with the chapters of one take together in order; takes in the order of their first clip.

    Two files are chapters when they lie in one folder, have one container, their names differ in a counter that goes up
    by one, and the second begins where the first ends. Where a camera stamps all chapters with the start of the take,
    the counter and the equal stamps decide. Without a time in the container nothing is joined.
    """
    after: dict[int, int] = {}
    taken: set[int] = set()
    for i, clip in enumerate(clips):
        followers = [j for j, other in enumerate(clips) if j not in taken and j != i and _follows(clip, other)]
        if followers:
            # Several cameras may write into one folder; the closest in time is the chapter.
            after[i] = min(followers, key=lambda j: abs(_gap(clip, clips[j])))
            taken.add(after[i])
    found = []
    for i in range(len(clips)):
        if i in taken:
            continue
        chain = [i]
        while chain[-1] in after:
            chain.append(after[chain[-1]])
        found.append(tuple(clips[k] for k in chain))
    return found


def _follows(clip: Clip, other: Clip) -> bool:
    if clip.recorded_at is None or other.recorded_at is None or not clip.duration:
        return False
    if clip.path.parent != other.path.parent or clip.path.suffix.lower() != other.path.suffix.lower():
        return False
    if clip.duration < SHORTEST_CHAPTER or not counts_on(clip.path.stem, other.path.stem):
        return False
    return abs(_gap(clip, other)) <= JOIN_SECONDS or clip.recorded_at == other.recorded_at


def _gap(clip: Clip, other: Clip) -> float:
    """Seconds between the end of one clip and the start of the other."""
    assert clip.recorded_at is not None, "asked only of clips with a time"
    assert other.recorded_at is not None, "asked only of clips with a time"
    return (other.recorded_at - clip.recorded_at).total_seconds() - (clip.duration or 0.0)


def counts_on(name: str, other: str) -> bool:
    """Whether the second name is the first with one counter in it up by one.

    The counter is a run of digits or the head or tail of one, as in "take-9" and "take-10", "V010123" and "V020123".
    A first chapter may have no counter: "walk" and "walk_2", "walk (1)".
    """
    mine, theirs = re.split(r"(\d+)", name), re.split(r"(\d+)", other)
    if len(mine) == len(theirs):
        differing = [k for k, (a, b) in enumerate(zip(mine, theirs, strict=True)) if a != b]
        return len(differing) == 1 and differing[0] % 2 == 1 and _up_by_one(mine[differing[0]], theirs[differing[0]])
    return bool(other.startswith(name) and re.fullmatch(r"[ _-]*\(?0*[12]\)?", other[len(name) :]))


def _up_by_one(a: str, b: str) -> bool:
    if int(b) == int(a) + 1:
        return True
    if len(a) != len(b):
        return False
    # The counter leads and the number of the take follows: the same tail, the head up by one.
    same = next((k for k in range(1, len(a)) if a[k:] == b[k:]), len(a))
    return same < len(a) and int(b[:same]) == int(a[:same]) + 1
