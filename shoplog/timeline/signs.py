"""What stands in and around each remark, as named signs, and what these weigh for each operation.

The rules know phrases, facts and the machine (`evidence`). Beside them stand weights that were learned from narrations
and projects whose operations are known: of the words of a remark and of its neighbours, of the facts stated, of the
rules' phrases, of the place in the recording and of the machine. ``models/learn_operations.py`` learns them.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

from shoplog import linear
from shoplog.facts import Fact
from shoplog.linear import Linear
from shoplog.log import Take
from shoplog.timeline.evidence import Said, bouts_of
from shoplog.timeline.operations import trade

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

LEARNED = Path(str(files("shoplog.timeline") / "learned.npz"))
#: How many remarks before and after a remark speak for its operation.
AROUND = 2
#: Signs that speak for the remarks around them too, by how they begin.
SHARED = ("word ", "fact ", "size ", "speed ", "says ")
#: An operation is never less likely than the likeliest by more than this: one odd remark decides nothing.
WORST = -4.0
#: Borders between lengths of silence, seconds.
_SILENCES = (10, 30, 60, 120, 300)

#: Days from the recording before within which no wood dries.
SOON = 4


def standings(days: Sequence[int]) -> list[str]:
    """Where each recording stands in its project, from the days of all: its place, whether the wood lay long before it
    or before one before it, and else whether it is of the same day as the last."""
    found = []
    rested = False
    for n, day in enumerate(days):
        part = "only" if len(days) == 1 else "first" if not n else "last" if n + 1 == len(days) else "middle"
        apart = day - days[n - 1] if n else 0
        long = apart > SOON
        found.append(f"{part} {'later' if long else 'rested' if rested else 'soon' if apart else 'same day'}")
        rested = rested or long
    return found


def signs(
    take: Take, tokens: Sequence[Sequence[str]], said: Sequence[Sequence[Said]], standing: str
) -> list[list[str]]:
    """The signs of each remark of a recording, each once.

    ``tokens`` are the words of each remark, ``said`` the rules' phrases in it; ``standing``: see `standings`.
    """
    part, apart = standing.split(" ", 1)
    stated = _facts(take)
    sounds = _sounds(take)
    names = trade().operations
    count = len(take.cues)
    found = []
    for n, (remark, phrases) in enumerate(zip(tokens, said, strict=True)):
        # Captions have no punctuation, and a number's size is told by the fact that it states.
        words = ["#" if t[0].isdigit() else t for t in remark if t[0].isalnum()]
        begun, left = min(n, 5), min(count - 1 - n, 3)
        own = ["word " + w for w in words]
        own += [f"two {a} {b}" for a, b in pairwise(words)]
        for phrase in phrases:
            name = names[phrase.operation].name
            own += (f"says {name} {phrase.tense}", f"{apart} {name}")
        for fact in stated[n]:
            of = fact.attrs.get("of") if fact.kind == "dimension" else None
            own += _of_fact(
                fact.kind, fact.status, fact.item, str(of) if of else "-", fact.value if fact.kind == "speed" else None
            )
        own += sounds[n]
        own += (f"begun {min(begun, 3)}", f"left {left}", f"part {part}", f"begun {begun} {part}")
        own += (f"share {5 * n // count}", f"apart {apart}")
        found.append(list(dict.fromkeys(own)))
    return found


def _facts(take: Take) -> list[list[Fact]]:
    """The facts stated in each remark."""
    starts = [cue.start for cue in take.cues]
    found: list[list[Fact]] = [[] for _ in starts]
    for kept in take.facts if starts else ():
        found[max(bisect_right(starts, kept.fact.start + 0.01) - 1, 0)].append(kept.fact)
    return found


@lru_cache(maxsize=4096)
def _of_fact(kind: str, status: str, item: str | None, of: str, speed: float | None) -> tuple[str, ...]:
    found = (f"fact {kind} {status}", f"fact {kind} {item}")
    if kind == "dimension":
        return (*found, f"size {item} {(of.split() or ['-'])[-1]}")
    if speed:
        return (*found, f"speed {int(min(speed, 3000) // 300)}")
    return found


def _sounds(take: Take) -> list[list[str]]:
    """What of the machine is heard during, before and after each remark; nothing where noise was not listened for."""
    if not take.stretches:
        return [[] for _ in take.cues]
    bouts = bouts_of(take.stretches)
    end = take.recording.duration or (take.cues[-1].end if take.cues else 0.0)
    gaps = [0.0, *(cue.end for cue in take.cues)], [*(cue.start for cue in take.cues), end]
    shares = []
    k = 0
    for start, stop in zip(*gaps, strict=True):
        while k < len(bouts) and bouts[k][1] <= start:
            k += 1
        running, at = 0.0, k
        while at < len(bouts) and bouts[at][0] < stop:
            running += max(min(stop, bouts[at][1]) - max(start, bouts[at][0]), 0.0)
            at += 1
        shares.append(round(3 * running / max(stop - start, 1.0)))
    found = []
    for n, cue in enumerate(take.cues):
        silence = bisect_left(_SILENCES, gaps[1][n + 1] - cue.end)
        over = "over" if cue.over_machine else "in quiet"
        found.append([f"machine {over}", f"machine before {shares[n]}", f"machine after {shares[n + 1]}"])
        found[-1].append(f"silence {silence}")
    return found


@dataclass(frozen=True)
class Weights:
    """What was learned.

    ``rows`` is the row of each sign in ``weights``, which has what the sign speaks for in its remark and in those
    around it, by place (from `AROUND` before to as many after) and operation; the last row always counts. ``costs`` are
    those of going to an operation (row) from another (column).
    """

    rows: Mapping[str, int]
    weights: NDArray[np.float32]
    costs: NDArray[np.float64]

    def scores(self, remarks: Sequence[Sequence[str]]) -> NDArray[np.float32]:
        """How much the signs of each remark and of those around it speak for each operation: 0 for the likeliest."""
        import numpy as np

        count, (always, places, size) = len(remarks), self.weights.shape
        if not count:
            return np.zeros((0, size), np.float32)
        get = self.rows.get
        flat: list[int] = []
        starts: list[int] = []
        for row in remarks:
            starts.append(len(flat))
            flat.append(always - 1)
            flat += [k for sign in row if (k := get(sign)) is not None]
        said = np.add.reduceat(self.weights.reshape(always, -1)[flat], starts, axis=0).reshape(count, places, size)
        sums = np.zeros((count + 2 * AROUND, size), np.float32)
        for place in range(places):
            sums[place : place + count] += said[:, place]
        sums = sums[AROUND : AROUND + count]
        sums -= sums.max(axis=1, keepdims=True)
        return np.asarray(np.maximum(sums, WORST))


def around(on: int, sign: str) -> str:
    """The name of a sign that stands so many remarks before (``on`` above 0) or after the one it speaks for."""
    return f"{on:+d} {sign}" if on else sign


def weights_of(remark: Linear, going: Linear) -> Weights:
    """The weights of a remark's signs (named by `around`) and of the operation before, ready for use."""
    import numpy as np

    names = tuple(operation.name for operation in trade().operations)
    assert (going.classes, tuple(going.index)) == (names, names)
    told = [(int(name[:2]), name[3:]) if name[0] in "+-" else (0, name) for name in remark.index]
    rows: dict[str, int] = {}
    at = [rows.setdefault(sign, len(rows)) for _, sign in told], [AROUND + on for on, _ in told]
    order = [remark.classes.index(name) for name in names]
    weights = np.zeros((len(rows) + 1, 2 * AROUND + 1, len(names)), np.float32)
    weights[at] = remark.weights[:-1, order]
    weights[-1, AROUND] = remark.weights[-1, order]
    # By the operation gone to, then the one come from: what is compared lies side by side.
    return Weights(rows, weights, np.ascontiguousarray(-going.weights[:-1].astype(np.float64).T))


@cache
def learned() -> Weights:
    """The weights that come with the package."""
    return weights_of(linear.load(LEARNED, "remark"), linear.load(LEARNED, "going"))
