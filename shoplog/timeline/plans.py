"""Plan against deed: what was planned, what was done about it, and what was never heard of again."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence
from datetime import timedelta

from shoplog.facts import Fact, to_si
from shoplog.log import KeptFact, Take
from shoplog.timeline.clock import Calendar, Span
from shoplog.timeline.course import Place, Plan
from shoplog.timeline.spent import length_of
from shoplog.times import span
from shoplog.wording import quantity, say

#: Kinds of which a plan is one statement; of the others (species, credit) nothing is planned.
PLANNABLE = frozenset(
    "grit duration clock speed tool finish adhesive workholding dimension ppe moisture followup weight defect".split()
)
#: Two numbers within this share of each other are the same to a maker.
SAME = 0.1
DAY = 86400.0
#: A wait within this share of the planned one was kept.
WAIT = 0.15
#: How many later statements of the kind are looked at: keeps the time linear; a deed stands near its plan.
LOOK = 40


def plans(takes: Sequence[Take], places: Mapping[int, Place], calendar: Calendar) -> tuple[Plan, ...]:
    """Every planned fact with what became of it, in the order in which they were said."""
    rows = [
        (number, take, kept)
        for number, take in enumerate(takes)
        for kept in sorted(take.facts, key=lambda k: k.fact.start)
    ]
    rows = [row for row in rows if not row[2].fact.attrs.get("other_piece")]
    deeds: dict[tuple[int | None, str], list[tuple[int, KeptFact]]] = {}
    for at, (_, _, kept) in enumerate(rows):
        if kept.fact.status in ("done", "denied"):
            deeds.setdefault((places[kept.id].piece, kept.fact.kind), []).append((at, kept))
    found = []
    for at, (number, _, kept) in enumerate(rows):
        if kept.fact.status != "planned" or kept.fact.kind not in PLANNABLE:
            continue
        kind = kept.fact.kind
        piece = places[kept.id].piece

        def later(kind: str, piece: int | None = piece, at: int = at) -> list[KeptFact]:
            row = deeds.get((piece, kind), [])
            return [deed for _, deed in row[bisect_right(row, at, key=lambda pair: pair[0]) :][:LOOK]]

        if kind == "grit":
            found.append(_grits(kept, later("grit")))
        elif kind in ("duration", "clock"):
            found.append(_wait(kept, number, takes, later("duration"), calendar))
        elif kind == "followup":
            found.append(_follow(kept, later, calendar))
        elif kind in ("speed", "dimension", "moisture", "weight"):
            found.append(_number(kept, later(kind), places))
        else:
            found.append(_thing(kept, later(kind)))
    return tuple(found)


def _ends(fact: Fact) -> tuple[float, float] | None:
    """The stated number or range in SI units."""
    numbers = [n for n in (to_si(v, fact.unit) for v in (fact.value, fact.low, fact.high)) if n is not None]
    return (min(numbers), max(numbers)) if numbers else None


def _missing(kept: KeptFact) -> Plan:
    return Plan(kept.id, None, "not heard of again", f"{say(kept.fact)}; not heard of again")


def _told(kept: KeptFact, deed: KeptFact, kept_to: bool) -> Plan:
    done = say(deed.fact)
    return Plan(
        kept.id,
        deed.id,
        "kept" if kept_to else "changed",
        f"{say(kept.fact)}; {'done' if deed.fact.status == 'done' else 'then'}: {done}",
    )


def _grits(kept: KeptFact, later: Sequence[KeptFact]) -> Plan:
    """Grits planned and grits used: kept where the last grit of that sanding is the planned end."""
    ends = _ends(kept.fact)
    used = [d for d in later if d.fact.status == "done" and _ends(d.fact)]
    if not used or ends is None:
        given_up = [d for d in later if d.fact.status == "denied" and _ends(d.fact) == ends]
        return _told(kept, given_up[0], False) if given_up else _missing(kept)
    low, high = ends
    for deed in used:
        reached = _ends(deed.fact)
        assert reached is not None
        if reached[1] == high and (low == high or reached[0] <= low or len(used) > 1):
            return _told(kept, deed, True)
    finest = max(used, key=lambda d: (_ends(d.fact) or (0.0, 0.0))[1])
    return Plan(kept.id, finest.id, "changed", f"{say(kept.fact)}; used up to {quantity(finest.fact)}")


def _number(kept: KeptFact, later: Sequence[KeptFact], places: Mapping[int, Place]) -> Plan:
    """A planned speed, size or reading against the next one stated of the same thing."""
    fact, ends = kept.fact, _ends(kept.fact)
    if ends is None:
        return _thing(kept, later)
    same = [
        d
        for d in later
        if d.fact.item == fact.item
        and _ends(d.fact)
        and (
            fact.kind != "dimension"
            or not fact.attrs.get("of")
            or not d.fact.attrs.get("of")
            or d.fact.attrs["of"] == fact.attrs["of"]
        )
    ]
    near = [d for d in same if places[d.id].operation == places[kept.id].operation] or same
    for deed in near:
        low, high = _ends(deed.fact) or (0.0, 0.0)
        if deed.fact.status == "done" and low <= ends[1] * (1 + SAME) and high >= ends[0] * (1 - SAME):
            return _told(kept, deed, True)
    return _told(kept, near[0], False) if near else _missing(kept)


def _thing(kept: KeptFact, later: Sequence[KeptFact]) -> Plan:
    """A planned tool, finish, glue or hold against the next statements of its kind."""
    fact = kept.fact
    for deed in later:
        if deed.fact.item == fact.item:
            return _told(kept, deed, deed.fact.status == "done")
    if fact.kind in ("finish", "adhesive"):
        others = [d for d in later if d.fact.status == "done"]
        if others and fact.kind == "finish":
            return _told(kept, others[0], False)
    return _missing(kept)


def _follow(kept: KeptFact, later: Callable[[str], list[KeptFact]], calendar: Calendar) -> Plan:
    """A promised look against the first later word on the same thing, said on another occasion."""
    item = kept.fact.item or ""
    promised = calendar.span(kept.recording_id, kept.fact.start)
    look = [
        (span_.day, deed.recording_id, deed.fact.start, deed)
        for kind in ("moisture", "weight", "defect", "dimension", "followup")
        for deed in later(kind)
        if deed.fact.status == "done"
        and item in (kind, deed.fact.item)
        and (span_ := calendar.span(deed.recording_id, deed.fact.start)) is not promised
    ]
    return _told(kept, min(look, key=lambda row: row[:3])[3], True) if look else _missing(kept)


def _wait(kept: KeptFact, number: int, takes: Sequence[Take], later: Sequence[KeptFact], calendar: Calendar) -> Plan:
    """A planned wait or return against the next stated wait, else against the clock."""
    fact = kept.fact
    recording = takes[number].recording
    planned = to_si(fact.value if fact.value is not None else fact.high, fact.unit)
    said = calendar.moment(recording.id, fact.end)
    target = calendar.spoken_of.get(kept.id)
    if fact.kind == "clock":
        planned = (target - said).total_seconds() if target and said else None
    words = "planned " + (quantity(fact) or say(fact, status=False))
    words += f" {fact.attrs['of']}" if fact.attrs.get("of") else ""
    after = takes[number + 1 : number + 2]
    resumed = _resumed(recording.id, fact.end, after, calendar)
    until = timedelta(seconds=3 * planned + 3 * DAY) if planned else timedelta(days=3)
    for deed in later if fact.kind == "duration" else ():
        kept_for = to_si(deed.fact.value if deed.fact.value is not None else deed.fact.high, deed.fact.unit)
        when = calendar.moment(deed.recording_id, deed.fact.start)
        if said and when and when - said > until:
            break
        if deed.fact.status == "denied" or kept_for is None or not planned:
            continue
        if not _same_wait(fact, deed.fact) or not planned / 8 <= kept_for <= planned * 8:
            continue
        fine = abs(kept_for - planned) <= WAIT * planned or _inside(fact, kept_for)
        return Plan(kept.id, deed.id, "kept" if fine else "changed", f"{words}, kept {quantity(deed.fact)}")
    # A wait that the recording itself runs through ends somewhere in it; the clock does not tell where.
    through = planned is not None and fact.kind == "duration" and _rest(takes[number], fact.end, calendar) >= planned
    real = None
    if resumed and planned and not through:
        real = _passed(recording.id, fact.end, resumed, planned, calendar)
    if planned and real and planned > 0:
        fine = abs(real - planned) <= max(WAIT * planned, 180) or _inside(fact, real)
        return Plan(kept.id, None, "kept" if fine else "changed", f"{words}, by the clock {span(real)}")
    return _missing(kept)


def _inside(fact: Fact, seconds: float) -> bool:
    low, high = to_si(fact.low, fact.unit), to_si(fact.high, fact.unit)
    return low is not None and high is not None and low <= seconds <= high


def _same_wait(planned: Fact, done: Fact) -> bool:
    of, other = planned.attrs.get("of"), done.attrs.get("of")
    if not of or not other:
        return True
    words = re.compile(r"[a-z]{4,}")
    return bool({w[:4] for w in words.findall(str(of))} & {w[:4] for w in words.findall(str(other))})


def _resumed(recording_id: int, at: float, after: Sequence[Take], calendar: Calendar) -> Span | None:
    """Where work went on: the next span of the recording, else the next recording's first."""
    here = next((one for one in calendar.spans[recording_id] if one.start > at), None)
    return here or (calendar.spans[after[0].recording.id][0] if after else None)


def _rest(take: Take, at: float, calendar: Calendar) -> float:
    """Seconds from ``at`` to the end of the recording, or of the part of it in which the clock runs through."""
    later = (one.start for one in calendar.spans[take.recording.id] if one.start > at)
    return next(later, length_of(take)) - at


def _passed(recording_id: int, at: float, resumed: Span, planned: float, calendar: Calendar) -> float | None:
    """Seconds from ``at`` until work went on: by the clock, or for a wait of days by the dates alone. None where
    neither tells, or nothing passed."""
    span_ = calendar.span(recording_id, at)
    said, then = span_.moment(at), resumed.moment(resumed.start)
    if said and then:
        passed = (then - said).total_seconds()
    elif planned >= DAY and span_.island == resumed.island:
        passed = (resumed.day - span_.day) * DAY
    else:
        return None
    return passed if passed > 0 else None
