"""The most likely course of operations through a project's recordings, and the operation of every fact.

A Viterbi search over the units' scores: staying costs nothing, and going to another operation what was learned of how
often it follows (`signs`). Units without evidence are skipped, so the time is linear in what was said.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from shoplog.log import KeptFact, Stage, Take
from shoplog.timeline.course import Place
from shoplog.timeline.evidence import Said, Unit, fact_weights
from shoplog.timeline.operations import Trade

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

#: What a change of operation was learned to cost counts so much: remarks that lie close speak of the same thing.
COSTS = 0.8
#: A piece begins with the first operations of the trade's order; each later one costs so much more.
LATER = 0.08
#: At the start of a recording, or of another piece, a change costs this share.
FRESH = 0.4
#: What a fact's own stage weighs against its own words, for what was done and for what was only spoken of.
STAGE_DONE, STAGE_SPOKEN = 3.5, 2.0
#: How the words about the fact weigh against that: its kind and item, and the phrases of its clause.
OWN_KIND, OWN_PHRASE = 0.7, 0.4


class Step(NamedTuple):
    """A unit that says something. ``fresh``: it begins a recording or turns to another piece; ``piece_begins``: to one
    not seen before."""

    scores: Mapping[int, float]
    fresh: bool
    piece_begins: bool


def best_path(steps: Sequence[Step], costs: NDArray[np.float64]) -> list[int]:
    """The operation number of each step; ``costs`` are those of going to an operation (row) from another (column)."""
    if not steps:
        return []
    import numpy as np

    size = len(costs)
    scores = np.zeros((len(steps), size))
    for row, step in zip(scores, steps, strict=True):
        for number, score in step.scores.items():
            row[number] = score
    costs = costs * COSTS
    fresh = costs * FRESH
    # Where a piece starts over, wherever the last one was, the first operations are the likely ones.
    start = -LATER * np.arange(size)
    total = start.copy()
    reached = np.empty((size, size))
    flat, lines = reached.ravel(), size * np.arange(size)
    sources = np.empty((len(steps), size), dtype=np.intp)
    for step, own, source in zip(steps, scores, sources, strict=True):
        if step.piece_begins:
            source[:] = total.argmax()
            total = total.max() + start
        else:
            np.subtract(total, fresh if step.fresh else costs, out=reached)
            reached.argmax(axis=1, out=source)
            total = flat.take(source + lines)
        total += own
    state = int(total.argmax())
    path = [state]
    for back in sources[:0:-1].tolist():
        state = back[state]
        path.append(state)
    path.reverse()
    return path


def find_stages(
    takes: Sequence[Take],
    units: Sequence[Sequence[Unit]],
    pieces: Sequence[Sequence[int]],
    costs: NDArray[np.float64],
    trade: Trade,
) -> tuple[tuple[Stage, ...], list[list[int | None]]]:
    """The stages of all takes, and for each take the operation number of each unit (None where nothing tells).

    ``pieces`` gives each unit's piece; ``costs``: see `best_path`. A unit without evidence goes with what was said
    before it in the same recording and piece, else with what comes after.
    """
    steps: list[Step] = []
    where: list[tuple[int, int]] = []
    piece, seen = 1, {1}
    for t, (row, numbers) in enumerate(zip(units, pieces, strict=True)):
        fresh, begins = True, False
        for u, unit in enumerate(row):
            fresh = fresh or numbers[u] != piece
            begins = begins or numbers[u] not in seen
            piece = numbers[u]
            seen.add(piece)
            if unit.scores:
                steps.append(Step(unit.scores, fresh, begins))
                where.append((t, u))
                fresh, begins = False, False
    if not steps:
        return (), [[None] * len(row) for row in units]
    path = best_path(steps, costs)
    found: list[list[int | None]] = [[None] * len(row) for row in units]
    for (t, u), state in zip(where, path, strict=True):
        found[t][u] = state
    stages: list[Stage] = []
    last: int | None = None
    for take, row, numbers, states in zip(takes, units, pieces, found, strict=True):
        _fill(states, numbers, last)
        last = states[-1] if states else last
        stages.extend(_join(take, row, states, numbers, trade))
    return tuple(stages), found


def _fill(states: list[int | None], numbers: Sequence[int], last: int | None) -> None:
    """Give the units without a state the one before them on the same piece, else what comes after, else ``last``."""
    for u in range(1, len(states)):
        if states[u] is None and numbers[u] == numbers[u - 1]:
            states[u] = states[u - 1]
    following = last
    for u in range(len(states) - 1, -1, -1):
        if states[u] is None:
            states[u] = following
        else:
            following = states[u]


def _join(
    take: Take, row: Sequence[Unit], states: Sequence[int | None], numbers: Sequence[int], trade: Trade
) -> list[Stage]:
    """Neighbouring units of one operation and piece as one stage; ``evidence`` is its most telling remark."""
    stages: list[Stage] = []
    first = 0
    for u in range(1, len(row) + 1):
        if u < len(row) and (states[u], numbers[u]) == (states[first], numbers[first]):
            continue
        state = states[first]
        if state is not None:
            said = [unit for unit in row[first:u] if unit.cue is not None]
            telling = max(said, key=lambda unit: unit.scores.get(state, 0.0), default=None)
            words = take.cues[telling.cue].text if telling is not None and telling.cue is not None else ""
            name = trade.operations[state].name
            stages.append(Stage(take.recording.id, name, row[first].start, row[u - 1].end, numbers[first], words))
        first = u
    return stages


def place_facts(
    take: Take,
    row: Sequence[Unit],
    states: Sequence[int | None],
    numbers: Sequence[int],
    said: Sequence[Sequence[Said]],
    trade: Trade,
) -> dict[int, Place]:
    """The operation and piece of each of the take's facts: its stage, unless its own words name another operation."""
    places = {}
    cues = [(u, unit) for u, unit in enumerate(row) if unit.cue is not None]
    starts = [unit.start for _, unit in cues]
    for kept in take.facts:
        if not row:
            places[kept.id] = Place(None, None)
            continue
        u, unit = cues[max(bisect_right(starts, kept.fact.start + 0.01) - 1, 0)] if cues else (0, row[0])
        stage = states[u]
        number = _own_operation(kept, unit, stage, take, said, trade)
        other = bool(kept.fact.attrs.get("other_piece"))
        name = None if number is None else trade.operations[number].name
        places[kept.id] = Place(name, None if other else numbers[u])
    return places


def _own_operation(
    kept: KeptFact, unit: Unit, stage: int | None, take: Take, said: Sequence[Sequence[Said]], trade: Trade
) -> int | None:
    fact = kept.fact
    phrases = said[unit.cue] if unit.cue is not None else ()
    weights = fact_weights(fact)
    votes: dict[int, float] = {}
    if stage is not None:
        # Most often no other operation can outweigh the stage, whatever all the words together speak for.
        against = OWN_KIND * max(weights.values(), default=0.0) + OWN_PHRASE * max([p.weight for p in phrases] or [0.0])
        if against < (STAGE_DONE if fact.status == "done" else STAGE_SPOKEN) + OWN_KIND * weights.get(stage, 0.0):
            return stage
        votes[stage] = STAGE_DONE if fact.status == "done" else STAGE_SPOKEN
    for number, weight in weights.items():
        votes[number] = votes.get(number, 0.0) + OWN_KIND * weight
    if unit.cue is not None and phrases:
        cue = take.cues[unit.cue]
        place = cue.text.find(fact.quote) if fact.quote else -1
        length = max(len(cue.text), 1)
        at = place / length if place >= 0 else (fact.start - cue.start) / max(cue.end - cue.start, 0.1)
        to = at + len(fact.quote) / length
        near = phrases[0].clause
        if phrases[-1].clause != near:
            near = min(phrases, key=lambda phrase: abs(phrase.at - (at + to) / 2)).clause
        strongest: dict[int, float] = {}
        for phrase in phrases:
            if phrase.clause == near:
                strongest[phrase.operation] = max(strongest.get(phrase.operation, 0.0), phrase.weight)
        for number, weight in strongest.items():
            votes[number] = votes.get(number, 0.0) + OWN_PHRASE * weight
    return max(votes, key=votes.__getitem__) if votes else None
