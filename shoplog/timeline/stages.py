"""The most likely course of operations through a project's recordings, and the operation of every fact.

A Viterbi search over the units' scores: staying costs nothing, going on to a usual next operation little, jumping
ahead more, going back most. Units without evidence are skipped, so the time is linear in what was said.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any, NamedTuple

from shoplog.log import KeptFact, Stage, Take
from shoplog.timeline.course import Place
from shoplog.timeline.evidence import Said, Unit, fact_weights
from shoplog.timeline.operations import Trade

#: What a change of operation costs: to a usual next one, to a later one, to an earlier one.
USUAL, LATER, EARLIER = 1.3, 2.7, 3.0
#: Going back costs so much more for every step of the trade's order that it goes back.
BACK_STEP = 0.08
#: A step with so much for an operation says plainly what it is.
PLAIN = 1.5
#: At the start of a recording, or of another piece, a change costs this share.
FRESH = 0.4
#: What a fact's own stage weighs against its own words, for what was done and for what was only spoken of.
STAGE_DONE, STAGE_SPOKEN = 3.5, 2.0
#: How the words about the fact weigh against that: its kind and item, and the phrases of its clause.
OWN_KIND, OWN_PHRASE = 0.7, 0.4
#: Days from one recording to the next in which no wood dries.
SOON = 4


class Step(NamedTuple):
    """A unit that says something. ``fresh``: it begins a recording or turns to another piece; ``piece_begins``: to one
    not seen before. ``days``: how long after the recording before, in days."""

    scores: Mapping[int, float]
    fresh: bool
    piece_begins: bool
    days: int


@cache
def _costs(trade: Trade) -> Any:
    """What it costs to go to each operation (row) from each other (column)."""
    import numpy as np

    size = len(trade.operations)
    costs = np.zeros((size, size))
    for before in trade.operations:
        for after in trade.operations:
            if after.name in before.next and after is not before:
                cost = USUAL
            elif after.order > before.order:
                cost = LATER
            else:
                cost = EARLIER + BACK_STEP * (before.order - after.order)
            costs[before.order, after.order] = 0.0 if after is before else cost
    # By the operation gone to, then the one come from: what is compared lies side by side.
    return np.ascontiguousarray(costs.T)


def best_path(steps: Sequence[Step], trade: Trade) -> list[int]:
    """The operation number of each step."""
    if not steps:
        return []
    import numpy as np

    size = len(trade.operations)
    scores = np.zeros((len(steps), size))
    for row, step in zip(scores, steps, strict=True):
        for number, score in step.scores.items():
            row[number] = score
    costs = _costs(trade)
    fresh = costs * FRESH
    # Where a piece starts over, wherever the last one was, the first operations are the likely ones.
    start = -BACK_STEP * np.arange(size)
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


def _in_context(steps: Sequence[Step], path: Sequence[int], trade: Trade) -> list[Step] | None:
    """The steps with their evidence read in the light of what went before; None where that changes nothing.

    A chuck before any turning is a way of mounting. Once rough-turned wood was seasoned, truing it up and mounting it
    is the second turning, and measuring it belongs to the seasoning. What is measured when a piece is finished is its
    description; days later it is following it up.
    """
    number = {operation.name: operation.order for operation in trade.operations}

    def moves(*rows: tuple[str, str, float]) -> list[tuple[int, int, float]]:
        return [(number[source], number[target], share) for source, target, share in rows]

    season = number["season"]
    raw = moves(("reverse", "mount", 0.9), ("second turning", "true up", 0.9))
    again = moves(
        ("true up", "second turning", 1.0),
        ("mount", "second turning", 0.6),
        ("cut the tenon", "second turning", 0.4),
    )
    dried = again + moves(
        ("measure", "season", 0.9),
        ("photograph", "season", 0.5),
        ("follow up", "season", 0.7),
    )
    made = moves(("measure", "photograph", 0.7), ("select", "photograph", 0.5), ("true up", "part off", 0.5))
    later = moves(
        ("measure", "follow up", 0.9),
        ("select", "follow up", 0.6),
        ("season", "follow up", 0.7),
        ("photograph", "follow up", 0.5),
        ("second turning", "follow up", 0.5),
    )
    holed = moves(("cut the tenon", "part off", 0.6), ("true up", "part off", 0.2))
    ending = {number[name] for name in ("finish", "part off", "sign", "photograph")}
    looking = {number[name] for name in ("select", "measure", "season", "second turning", "photograph", "follow up")}
    worked = seasoned = back = holed_yet = finished = after = touched = turned_here = soon = False
    changed: list[Step] = []
    for step, state in zip(steps, path, strict=True):
        if step.piece_begins:
            worked = seasoned = back = holed_yet = finished = after = False
        after = after or (finished and step.days > 1)
        if step.fresh:
            # What lay in its bag for a night or two has not dried.
            soon, turned_here = 0 < step.days <= SOON, False
            seasoned = seasoned and (back or not soon)
        if after:
            light = later
        elif finished:
            light = made + holed
        elif seasoned:
            light = again if back else dried
        else:
            light = raw if not worked else holed if holed_yet else []
        scores = step.scores
        for source, target, share in light:
            gain = scores.get(source, 0.0)
            if gain > 0:
                scores = {**scores, source: gain * (1 - share), target: scores.get(target, 0.0) + gain * share}
                touched = True
        changed.append(step if scores is step.scores else step._replace(scores=scores))
        turning = trade.operations[state].machine > 0.5
        worked = worked or turning
        turned_here = turned_here or turning
        if worked and state in ending:
            finished = True
        elif turning or state == season:
            finished = False
        # Following up ends where work goes on.
        after = after and state in looking
        # Wood that lay drying before any work was a blank; it is trued up like any other.
        lay = worked and state == season and step.scores.get(season, 0.0) >= PLAIN
        seasoned = seasoned or (lay and (turned_here or not soon))
        # What is measured once dried wood is turned again is no seasoning.
        back = seasoned and (back or turning) and state != season
        holed_yet = holed_yet or state == number["hollow"]
    return changed if touched else None


def find_stages(
    takes: Sequence[Take],
    units: Sequence[Sequence[Unit]],
    pieces: Sequence[Sequence[int]],
    days: Sequence[int],
    trade: Trade,
) -> tuple[tuple[Stage, ...], list[list[int | None]]]:
    """The stages of all takes, and for each take the operation number of each unit (None where nothing tells).

    ``pieces`` gives each unit's piece, ``days`` each take's day. A unit without evidence goes with what was said
    before it in the same recording and piece, else with what comes after.
    """
    steps: list[Step] = []
    where: list[tuple[int, int]] = []
    piece, seen = 1, {1}
    for t, (row, numbers) in enumerate(zip(units, pieces, strict=True)):
        fresh, begins = True, False
        apart = days[t] - days[t - 1] if t else 0
        for u, unit in enumerate(row):
            fresh = fresh or numbers[u] != piece
            begins = begins or numbers[u] not in seen
            piece = numbers[u]
            seen.add(piece)
            if unit.scores:
                steps.append(Step(unit.scores, fresh, begins, apart))
                where.append((t, u))
                fresh, begins, apart = False, False, 0
    if not steps:
        return (), [[None] * len(row) for row in units]
    path = best_path(steps, trade)
    reread = _in_context(steps, path, trade)
    if reread is not None:
        path = best_path(reread, trade)
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
