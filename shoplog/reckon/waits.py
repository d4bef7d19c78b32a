"""Waits for glue and finish: what was stated or planned, beside what was kept."""

from __future__ import annotations

import math
import re
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from itertools import islice

from shoplog.facts import convert
from shoplog.reckon.derived import Derived, Input, NotComputed, Result
from shoplog.reckon.statements import Stated
from shoplog.times import span

SOURCE = "what was stated; the label decides"
_GLUE = re.compile(r"\b(clamp|glu|epox|ca\b|set|cure|harden|squeeze)", re.IGNORECASE)
_FINISH = re.compile(r"\b(coat|finish|dry|cure|oil|wax|lacquer|shellac|varnish|poly|buff|sealer|polish)", re.IGNORECASE)
#: A wait without words for what it is of belongs to the glue or finish named within so many seconds before it.
_NEAR_SECONDS = 120.0
#: A deed is taken for the end of a wait only within this many times the wait; later it is something else.
_MOST_TIMES = 60.0
#: A wait that was over is looked for among so many that were.
_LOOKED_AT = 20
_MOST_OFF = math.log(10)
_WORK = frozenset(("finish", "adhesive", "tool", "speed", "grit", "workholding"))


def waits(stated: Sequence[Stated]) -> list[Result]:
    """Every wait for glue or finish that was planned or read from a label, with the wait that was kept.

    Kept is a wait of the same sort said to be over, else the time until the next recording in which work goes on.
    """
    durations = [s for s in stated if s.fact.kind == "duration" and s.ends and s.fact.unit]
    said = [(s, sort) for s in durations if s.fact.status in ("planned", "reported") and (sort := _sort(s, stated))]
    over = [(s, _sort(s, stated)) for s in durations if s.fact.status == "done"]
    orders = [s.order for s, _ in over]
    following: dict[str, float] = {}
    found: list[Result] = []
    for wait, sort in reversed(said):
        # Up to the next wait of the sort: what is over after that one is that one.
        until = following.get(sort, float("inf"))
        between = over[bisect_right(orders, wait.order) : bisect_right(orders, until)]
        ended = _best(wait, [s for s, other in between[:_LOOKED_AT] if other in (sort, "")])
        found.append(_kept(wait, sort, ended) if ended else _by_the_clock(wait, sort, stated))
        following[sort] = wait.order
    return found[::-1]


def _best(wait: Stated, over: Sequence[Stated]) -> Stated | None:
    """The wait said to be over that is nearest in length; one ten times as long or short is of something else."""
    least = min(_seconds(wait))
    near = [(abs(math.log(max(_seconds(s)) / least)), s) for s in over if max(_seconds(s)) > 0 and least > 0]
    off, ended = min(near, key=lambda pair: pair[0], default=(math.inf, None))
    return ended if off <= _MOST_OFF else None


def _sort(wait: Stated, stated: Sequence[Stated]) -> str:
    """What the wait is for, glue or finish; empty where it is for neither, as wood that dries."""
    words = str(wait.fact.attrs.get("of") or "")
    near = [
        s
        for s in _before(stated, wait)
        if s.fact.kind in ("adhesive", "finish") and s.fact.status in ("done", "planned", "reported")
    ]
    named = {"adhesive": "glue", "finish": "finish"}[near[-1].fact.kind] if near else ""
    glue, finish = bool(_GLUE.search(words)), bool(_FINISH.search(words))
    if glue and finish:  # "cure" fits both: what was named last decides
        return named
    return "glue" if glue else "finish" if finish else "" if words else named


def _before(stated: Sequence[Stated], wait: Stated) -> list[Stated]:
    first = bisect_left(stated, wait.order - _NEAR_SECONDS, key=lambda s: s.order)
    last = bisect_right(stated, wait.order, key=lambda s: s.order)
    return [s for s in stated[first:last] if s.recording_id == wait.recording_id]


def _seconds(stated: Stated) -> tuple[float, ...]:
    return tuple(convert(end, str(stated.fact.unit), "s") for end in stated.ends)


def _kept(wait: Stated, sort: str, ended: Stated) -> Derived:
    return _compare(wait, sort, max(_seconds(ended)), ended.input(), "said")


def _by_the_clock(wait: Stated, sort: str, stated: Sequence[Stated]) -> Result:
    what = f"{sort} wait of {span(min(_seconds(wait)))}"
    inputs = {"wait": wait.input()}
    if wait.when is None:
        return NotComputed(what, "it was not said to be over, and the time of day is not known", inputs)
    longest = max(_seconds(wait)) * _MOST_TIMES
    later = bisect_right(stated, wait.order, key=lambda s: s.order)
    for each in islice(stated, later, None):
        if each.recording_id == wait.recording_id or each.fact.kind not in _WORK:
            continue
        if each.fact.status == "done" and each.when is not None:
            kept = (each.when - wait.when).total_seconds()
            if kept <= longest:
                return _compare(wait, sort, kept, each.input(), "by the clock, to the next work recorded")
            break
    return NotComputed(what, "nothing that was recorded tells when it was over", inputs)


def _compare(wait: Stated, sort: str, kept: float, ended: Input, how: str) -> Derived:
    least, unit = min(_seconds(wait)), str(wait.fact.unit)
    short = kept < least * 0.999  # a wait said in other units may differ by rounding
    source = {"reported": "the label or another said so", "planned": "as planned"}[wait.fact.status]
    return Derived(
        what=f"{sort} wait of {span(least)}",
        value=convert(kept, "s", unit),
        unit=unit,
        formula="time from the statement to its end",
        inputs={"wait": wait.input(), "kept": ended},
        source=SOURCE,
        label="computed",
        note=f"kept {span(kept)}, {'shorter than' if short else 'at least'} {source} ({how})",
        recording_id=wait.recording_id,
        at=wait.fact.start,
    )
