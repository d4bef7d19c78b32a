"""Which of several pieces is on the lathe: "the second bowl", "on to the next blank", "back to the first one"."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from shoplog.log import Take
from shoplog.timeline.batch import PURPOSE, Batch, batch_of, named_by_size, named_in_batch
from shoplog.timeline.evidence import Unit
from shoplog.timeline.piece_words import (
    ASIDE,
    BACK,
    COUNT,
    COUNTED,
    DRY,
    GLUED,
    HEAD,
    LATER,
    LEGS,
    MOUNTED,
    NEW_WOOD,
    NEXT,
    NOT_HERE,
    NOW_THE,
    NTH,
    NUMBERED,
    ORDINALS,
    PROMISED,
    THING,
    TRAIT,
    WHOLE,
    WITH_TRAIT,
)

#: So many seconds are a recording's first words.
OPENING = 40.0


@dataclass(slots=True)
class _Bench:
    """What is known, up to a remark, of the pieces that are made; ``before`` of them are none of the numbered ones."""

    batch: Batch | None
    current: int = 1
    count: int = 1
    before: int = 0
    seat: bool = False
    worked: bool = False
    things: dict[str, int] = field(default_factory=dict)
    sizes: dict[bool, int] = field(default_factory=dict)
    traits: dict[str | None, int] = field(default_factory=dict)
    glued: int = 1

    @property
    def most(self) -> int:
        return max(self.count, self.batch.size + self.before if self.batch and self.batch.size else 0)


def pieces_of(takes: Sequence[Take], units: Sequence[Sequence[Unit]]) -> tuple[list[list[int]], int]:
    """The piece (from 1) of each unit of each take, and how many pieces there are.

    A piece stays on until another is named as being worked on; a new recording goes on with the last one.
    """
    bench = _Bench(batch_of(takes))
    found: list[list[int]] = []
    for t, (take, row) in enumerate(zip(takes, units, strict=True)):
        numbers = []
        for unit in row:
            if unit.cue is not None:
                _hear(
                    take.cues[unit.cue].text.lower().replace("’", "'"),
                    bench,
                    inspecting=t == 0 and unit.start <= PURPOSE,
                )
            numbers.append(bench.current)
        found.append(_from_the_opening(row, numbers))
    return found, bench.most


def _hear(text: str, bench: _Bench, *, inspecting: bool) -> None:
    """Go on to the piece that the remark, in small letters, names.

    While the wood of a batch is shown, "number two has a knot" names a piece that is not worked on yet.
    """
    thing = _thing(text, bench, inspecting=inspecting)
    bench.seat = bench.seat or "seat" in text
    if inspecting and bench.batch and not bench.worked and not MOUNTED.search(text):
        return
    if bench.seat and bench.worked and bench.batch is None and LEGS.search(text):
        bench.before, bench.batch = bench.count, Batch(0)
        named: int | None = bench.count + 1
    else:
        named = _named(text, bench) or thing or _by_trait(text, bench) or _by_glue(text, bench)
    bench.worked = bench.worked or MOUNTED.search(text) is not None
    # A second piece must be announced before a third can be, unless the batch is known to have it.
    if named is not None and named <= max(bench.count + 1, bench.most):
        bench.current, bench.count = named, max(bench.count, named)
    for trait in TRAIT.finditer(text) if bench.batch else ():
        bench.traits.setdefault(trait.lastgroup, bench.current)
    if GLUED.search(text):
        bench.glued = bench.current


def _named(text: str, bench: _Bench) -> int | None:
    """The piece that the remark says by number or order is worked on; None if it names none."""
    batch, current, most = bench.batch, bench.current, bench.most
    for match in _matches(text):
        if NOT_HERE.search(text[: match.start()]) or ASIDE.match(text, match.end()):
            continue
        groups = match.groupdict()
        number = groups.get("nth") or groups.get("nr") or groups.get("count")
        word = groups.get("what") or groups.get("name") or groups.get("other") or "one"
        if not (match.re is BACK or word in WHOLE or batch or MOUNTED.search(text)):
            continue
        if number:
            return ORDINALS[number] + bench.before
        if match.re is NEXT and "next" not in match.group():
            return 3 - current if bench.count <= 2 and current <= 2 else None
        return current + 1 if match.re is NEXT else 1 if "first" in match.group() else max(current - 1, 1)
    if batch is None:
        return None
    named = named_in_batch(text, current, most, batch, bench.before)
    return named_by_size(text, current, bench.sizes) if named is None and most == 2 else named


def _thing(text: str, bench: _Bench, *, inspecting: bool) -> int | None:
    """The piece that is of its own kind, "now the pestle": one that was promised, or whose wood is told of now."""
    things = bench.things
    if inspecting:
        for promised in PROMISED.finditer(text):
            things.setdefault(promised["thing"], len(things) + 1)
    new = NOW_THE.search(text) if "the " in text and bench.worked else None
    if new and not THING.search(new[0]) and MOUNTED.search(new[0]) and NEW_WOOD.search(new[0]):
        return bench.count + 1
    match = THING.search(text)
    if match is None and not any(thing in text for thing in things):
        return None
    head = HEAD.match(text)
    if head is None:
        if match and not things and not LATER.search(text):
            things[match["thing"]] = bench.current
        return None
    thing = head["thing"]
    if thing not in things and THING.match(text, head.start("thing")):
        if NEW_WOOD.search(text) and bench.worked:
            things[thing] = bench.count + 1
        elif 1 not in things.values() and not LATER.search(text):
            things[thing] = 1
    return things.get(thing) if len(things) > 1 or bench.count < things.get(thing, 0) else None


def _by_trait(text: str, bench: _Bench) -> int | None:
    """The piece of several that was first said to have what "the cracked one" is told by."""
    match = WITH_TRAIT.search(text) if bench.count > 1 else None
    trait = TRAIT.match(match["trait"]) if match and not NOT_HERE.search(text[: match.start()]) else None
    return bench.traits.get(trait.lastgroup) if trait else None


def _by_glue(text: str, bench: _Bench) -> int | None:
    """The piece that was last glued, once its glue is dry."""
    return bench.glued if bench.count > 1 and DRY.search(text) else None


def _matches(text: str) -> Iterator[re.Match[str]]:
    """Where a piece may be named. Few remarks have the words for it; only they are put to the patterns."""
    if "back to the " in text:
        yield from BACK.finditer(text)
    if any(word in text for word in NTH) or any(
        text.endswith(COUNTED, 0, match.start()) for match in COUNT.finditer(text)
    ):
        yield from NUMBERED.finditer(text)
    if " next " in text or " other " in text:
        yield from NEXT.finditer(text)


def _from_the_opening(row: Sequence[Unit], numbers: list[int]) -> list[int]:
    """A piece that is named in a recording's first words is on the lathe from its beginning."""
    for u, unit in enumerate(row):
        if unit.start > OPENING:
            break
        if numbers[u] != numbers[0]:
            return [numbers[u]] * u + numbers[u:]
    return numbers
