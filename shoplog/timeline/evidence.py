"""How much each moment of a recording speaks for each operation: from words, stated facts and the running machine.

What a remark speaks for is weighed by what was learned (`signs`); what the rules find in it counts less beside that,
and alone where nothing is said.

A recording is cut into units: its cues, and what lies between them (cut again where the machine starts or stops).
Narration that runs ahead of the act ("I'm going to") speaks for what follows, narration after it ("I've just") for
what lies before, and habit, other pieces and far plans hardly speak at all.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import islice
from typing import NamedTuple

from shoplog.facts import Fact
from shoplog.log import Take
from shoplog.timeline.operations import Hit, Trade, trade
from shoplog.transcript import Stretch

#: How much of a phrase's or fact's weight counts (in the cue, in what follows, in what lies before), by tense.
TENSE_SHARES = {
    "now": (1.0, 0.1, 0.0),
    "ahead": (0.6, 0.8, 0.0),
    "behind": (0.6, 0.0, 0.7),
    "far": (0.15, 0.0, 0.0),
    "other": (0.2, 0.0, 0.0),
}
#: The same for what is said in passing of an act that is over ("Weighed it", "the tenon's cut").
TOLD_AFTER = (1.0, 0.0, 0.6)
#: A sentence that begins with what was done, or says of a thing that it is.
_TOLD_AFTER = re.compile(
    r"^(?:(?:and|so|well|right|okay|ok|there|just|i|we|it|also|both|then),? )*"
    r"(?:[a-z]{2,}ed|took|went|gave|left|did|brought|cut|ran|ground|bored|swept|made|that was)\b"
    r"|(?:'s| is| are|'re) (?:all )?"
    r"(?:been|done|cut|gone|drilled|bored|sanded|hollowed|shaped|finished|trued|oiled|away)\b"
)
#: A maker of whose remarks such a share tells of what is over works first and tells after; so many remarks show it.
HABITUAL, ENOUGH = 0.3, 100
#: The tenses that only speak of an act.
ASIDE = ("far", "other")
#: The same for what a fact claims.
STATUS_SHARES = {
    "done": (1.0, 0.1, 0.0),
    "planned": (0.5, 0.3, 0.0),
    "habit": (0.2, 0.0, 0.0),
    "reported": (0.3, 0.0, 0.0),
    "hypothetical": (0.15, 0.0, 0.0),
    "denied": (0.25, 0.0, 0.0),
}
#: Where a clause ends, and with it what is said of a fact in it.
_TURNS = frozenset((".", ";", "!", "?", "but", "now", "then", "so", "and"))
#: A marker counts for phrases that begin at most so many words after it.
REACH = 9
#: Remarks of fewer words than this weigh more, up to twice.
BRIEF = 6
#: Further phrases for the same operation in one cue add this share of their weight: they are often the same words.
REPEAT = 0.3
#: Seconds of machine noise (or of quiet) that speak with full weight.
FULL_NOISE = 90.0
#: What was done in a gap of so many seconds is told after it with full weight; in a shorter one, with less.
FULL_TOLD = 60.0
#: What the rules find in a remark counts so much beside what was learned.
RULES = 0.25
#: A gap shorter than this is not cut where the machine starts or stops, seconds.
SHORTEST = 4.0


class Said(NamedTuple):
    """A phrase for operation number ``operation``, said at ``at`` (0 to 1 through its cue), in clause ``clause``."""

    operation: int
    weight: float
    tense: str
    at: float
    clause: int


@dataclass(slots=True)
class Unit:
    """A cue (``cue`` is its place in the take) or a piece of the time between; ``scores`` by operation number.
    ``told_after``: it tells of what was just done."""

    start: float
    end: float
    cue: int | None = None
    machine: bool = False
    told_after: bool = False
    scores: dict[int, float] = field(default_factory=dict)

    def add(self, operation: int, score: float) -> None:
        if score:
            self.scores[operation] = self.scores.get(operation, 0.0) + score


def heard_phrases(tokens: Sequence[str], known: Trade) -> list[Said]:
    """The phrases among the words of one cue, with the tense that they stand in."""
    found = known.phrases.find(tokens)
    hits = [hit for hit in found if hit.label is not None]
    if hits and len(hits) < len(found):
        nothing = [hit for hit in found if hit.label is None]
        hits = [hit for hit in hits if not any(n.first <= hit.first and hit.last <= n.last for n in nothing)]
    if not hits:
        return []
    # A remark of one or two words is about what it names ("Polish."), like a heading.
    brief = 1.0 + max(BRIEF - len(tokens), 0) / BRIEF
    tenses = known.tenses.find(tokens)
    markers = _longest([hit for hit in tenses if hit.label != "over"]) if tenses else []
    over = [hit.first for hit in tenses if hit.label == "over"]
    ends = [i for i, word in enumerate(tokens) if word in ".;!?"] if tenses else []
    clauses = [i for i, word in enumerate(tokens) if word in _TURNS]
    return [
        Said(
            hit.label,
            hit.weight * brief,
            _tense(hit, markers, over, ends) if tenses else "now",
            hit.first / len(tokens),
            bisect_right(clauses, hit.first),
        )
        for hit in hits
    ]


def _tense(hit: Hit, markers: Sequence[Hit], over: Sequence[int], ends: Sequence[int]) -> str:
    """The tense that the ``markers`` before a phrase, or an "over" soon after it, put it in. ``ends`` are the tokens
    that end a sentence: neither reaches into another one."""
    sentence = bisect_right(ends, hit.first)
    tense = "now"
    for marker in markers:
        if marker.first > hit.first or bisect_right(ends, marker.first) != sentence:
            continue
        # "Tomorrow I'll sand it": what is far or not done stays so up to a word that comes back to now.
        if tense in ASIDE and marker.label in ("ahead", "behind"):
            continue
        if marker.label in ASIDE or hit.first <= marker.last + REACH:
            tense = marker.label
    if tense in ("now", "behind") and any(
        0 < first - hit.last <= 4 and bisect_right(ends, first) == sentence for first in over
    ):
        tense = "behind"
    return tense


def _longest(hits: Sequence[Hit]) -> list[Hit]:
    """Markers in order of their place; of several at one place the longest, and none inside a longer one."""
    kept: list[Hit] = []
    for hit in sorted(hits, key=lambda h: (h.first, -h.weight)):
        if not kept or hit.first > kept[-1].last:
            kept.append(hit)
    return kept


def fact_weights(fact: Fact) -> Mapping[int, float]:
    """How much a fact of this kind, item, part and speed speaks for each operation, whatever it claims."""
    of = fact.attrs.get("of") if fact.kind == "dimension" else None
    return _fact_weights(fact.kind, fact.item, str(of) if of else None, fact.value if fact.kind == "speed" else None)


@lru_cache(maxsize=4096)
def _fact_weights(kind: str, item: str | None, of: str | None, speed: float | None) -> Mapping[int, float]:
    weights: dict[int, float] = {}
    known = trade().operations
    part = of.split()[-1] if of else None
    named = any(f"{kind}@{part}" in operation.facts for operation in known)
    for operation in known:
        # A part that an operation is known by ("of the tenon") says more than what of it was measured.
        weight = (
            operation.facts.get(f"{kind}@{part}", 0.0)
            if named
            else operation.facts.get(f"{kind}:{item}", operation.facts.get(kind, 0.0))
        )
        if speed is not None and operation.speed:
            weight += 0.3 if operation.speed[0] <= speed <= operation.speed[1] else -0.3
        if weight:
            weights[operation.order] = weight
    return weights


def units_of(
    take: Take,
    said: Sequence[Sequence[Said]],
    known: Trade,
    learned: Sequence[Sequence[float]],
    *,
    after: bool = False,
) -> list[Unit]:
    """The take's units in order, with what speaks for each operation in each of them.

    ``learned`` has for each cue what it was learned to speak for each operation, 0 for the likeliest and less for the
    others. ``after``: see `tells_after`.
    """
    units, places = _cut(take, after)
    for place, phrases in zip(places, said, strict=True):
        if not phrases:
            continue
        best: dict[tuple[int, str], float] = {}
        for phrase in sorted(phrases, key=lambda p: -p.weight):
            key = (phrase.operation, phrase.tense)
            best[key] = best[key] + REPEAT * phrase.weight if key in best else phrase.weight
        for (operation, tense), weight in best.items():
            shares = TOLD_AFTER if tense == "now" and units[place].told_after else TENSE_SHARES[tense]
            _spread(units, place, {operation: weight}, 1.0, shares)
    starts = [units[place].start for place in places]
    seen: set[tuple[int, str, str | None]] = set()
    for kept in take.facts if starts else ():
        fact = kept.fact
        if fact.attrs.get("other_piece") or kept.doubtful:
            continue
        index = max(bisect_right(starts, fact.start + 0.01) - 1, 0)
        after = fact.status == "done" and units[places[index]].told_after
        share = TOLD_AFTER if after else STATUS_SHARES[fact.status]
        if fact.status == "planned" and any(phrase.tense == "far" for phrase in said[index]):
            share = TENSE_SHARES["far"]
        repeat = (index, fact.kind, fact.item)
        scale = REPEAT if repeat in seen else 1.0
        seen.add(repeat)
        _spread(units, places[index], fact_weights(fact), scale, share)
    for place, scores in zip(places, learned, strict=True):
        ruled = units[place].scores
        units[place].scores = {n: RULES * ruled.get(n, 0.0) + score for n, score in enumerate(scores)}
    if any(s.machine for s in take.stretches):
        _hear_machine(units, known)
    return units


def tells_after(takes: Sequence[Take]) -> bool:
    """Whether the maker's habit is to work in silence and to tell of it when it is done."""
    first = list(islice((cue.text for take in takes for cue in take.cues), ENOUGH))
    return sum(map(_is_told_after, first)) > HABITUAL * len(first)


def _is_told_after(text: str) -> bool:
    return bool(_TOLD_AFTER.search(text.lower().replace("’", "'")))


def _cut(take: Take, after: bool) -> tuple[list[Unit], list[int]]:
    """The units without scores, and the place of each cue among them."""
    units: list[Unit] = []
    places: list[int] = []
    bouts = bouts_of(take.stretches)
    at = 0.0
    for index, cue in enumerate(take.cues):
        if at < cue.start:
            units.extend(_between(at, cue.start, bouts))
            at = cue.start
        places.append(len(units))
        end = max(at, cue.end)
        units.append(Unit(at, end, index, cue.over_machine, after and _is_told_after(cue.text)))
        at = end
    end = max(take.recording.duration or 0.0, take.cues[-1].end if take.cues else 0.0)
    units.extend(_between(at, end, bouts))
    return units, places


def _between(at: float, end: float, bouts: Sequence[tuple[float, float]]) -> Iterator[Unit]:
    """The time without words from ``at`` to ``end``, cut where the machine starts or stops."""
    bout = bisect_right(bouts, at + SHORTEST, key=lambda each: each[1])
    while at < end:
        while bout < len(bouts) and bouts[bout][1] <= at + SHORTEST:
            bout += 1
        running = bout < len(bouts) and bouts[bout][0] <= at + SHORTEST
        stop = bouts[bout][1] if running else bouts[bout][0] if bout < len(bouts) else end
        stop = end if stop > end - SHORTEST else stop
        yield Unit(at, stop, machine=running)
        at = stop


def bouts_of(stretches: Sequence[Stretch]) -> list[tuple[float, float]]:
    """When the machine ran, as (start, end) in seconds; pauses shorter than the shortest unit are bridged."""
    bouts: list[tuple[float, float]] = []
    for stretch in stretches:
        if stretch.machine:
            if bouts and stretch.start - bouts[-1][1] <= SHORTEST:
                bouts[-1] = (bouts[-1][0], max(bouts[-1][1], stretch.end))
            else:
                bouts.append((stretch.start, stretch.end))
    return bouts


def _spread(
    units: list[Unit], place: int, weights: Mapping[int, float], scale: float, shares: tuple[float, float, float]
) -> None:
    """Give the weights to the cue at ``place``, to what lies up to the next cue and since the one before."""
    here, after, before = shares
    shared = [(units[place].scores, here)]
    if after and place + 1 < len(units) and units[place + 1].cue is None:
        shared.append((units[place + 1].scores, after))
    if before and place and units[place - 1].cue is None:
        gap = units[place - 1]
        if place > 1 and units[place - 2].cue is None and units[place - 2].machine and not gap.machine:
            gap = units[place - 2]
        shared.append((gap.scores, before * min((gap.end - gap.start) / FULL_TOLD, 1.0)))
    for scores, share in shared:
        for operation, weight in weights.items():
            scores[operation] = scores.get(operation, 0.0) + weight * scale * share


def _hear_machine(units: list[Unit], known: Trade) -> None:
    """What the machine's noise and, where noise was listened for, its silence say of each gap."""
    # Quiet speaks against what needs the lathe; it does not tell the quiet operations apart.
    running = {operation.order: 0.8 * operation.machine for operation in known.operations}
    quiet = {operation.order: -0.3 * operation.machine for operation in known.operations if operation.machine > 0}
    for place, unit in enumerate(units):
        if unit.cue is not None:
            continue
        share = min((unit.end - unit.start) / FULL_NOISE, 1.0)
        for number, weight in (running if unit.machine else quiet).items():
            unit.add(number, share * weight)
        # A remark over a bout that began after the last remark most likely tells what that bout is.
        follows = units[place + 1] if place + 1 < len(units) else None
        began_here = place > 0 and units[place - 1].cue is None
        if unit.machine and began_here and follows is not None and follows.machine:
            for number, score in follows.scores.items():
                if known.operations[number].machine > 0:
                    unit.add(number, 0.25 * score)
