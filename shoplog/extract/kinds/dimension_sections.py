"""Sizes told together: "seventy by seventy, three hundred long", "nine by seven and a half", "ten against nine"."""

from __future__ import annotations

from collections.abc import Sequence

from shoplog.extract.kinds.dimension_parts import part_of
from shoplog.extract.quantities import LENGTH, Quantity
from shoplog.extract.reading import Reading
from shoplog.extract.stream import SENTENCE
from shoplog.extract.wordset import wordset

_BY = wordset("by times x against")
#: What may stand between two sizes that are told together, beside the word that joins them.
_BESIDE = wordset("by times x against a an about roughly another and bit or so just over under like maybe around")
#: What may stand between a section and the length told after it.
_ONWARDS = wordset(
    "and each about by a an it's the is are they're roughly or so just around its length long cut it i've to another"
)
_OVAL = wordset("oval egg egged moved gone warped round shrunk shrank squashed ovalled ellipse lopsided dried")
#: Parts that are told by their diameter and their length.
_PEGS = frozenset(("tenon", "spigot", "peg", "dowel", "plug", "stub", "pin", "nub"))


def sections(reading: Reading) -> dict[int, str]:
    """What each size that is told together with another measures, by its first token."""
    found: dict[int, str] = {}
    all_ = reading.quantities
    k = 0
    while k < len(all_) - 1:
        group = [all_[k]]
        while k + 1 < len(all_) and _joined(reading, all_[k], all_[k + 1]):
            k += 1
            group.append(all_[k])
        if len(group) > 1:
            follows = all_[k + 1] if k + 1 < len(all_) else None
            for quantity, item in zip(group, _items(reading, group), strict=True):
                found[quantity.start] = item
            if len(group) == 2 and _same(*group) and follows is not None and _length_after(reading, group[1], follows):
                found[follows.start] = "length"
        k += 1
    return found


def _joined(reading: Reading, left: Quantity, right: Quantity) -> bool:
    """Whether two numbers are sides of one thing."""
    gap = reading.text[left.end : right.start]
    if not 0 < len(gap) <= 6 or not _BY.intersection(gap) or not _BESIDE.issuperset(gap):
        return False
    if any(unit not in (None, *LENGTH) for unit in (left.unit, right.unit)):
        return False
    return all(b < SENTENCE for b in reading.border[left.end : right.start + 1])


def _same(left: Quantity, right: Quantity) -> bool:
    return left.read("size") == right.read("size") and (not left.unit or not right.unit or left.unit == right.unit)


def _items(reading: Reading, group: Sequence[Quantity]) -> list[str]:
    """What each of the joined sizes measures, by how they stand to each other."""
    sizes = [max(v for v in q.read("size") if v is not None) for q in group]
    first = group[0]
    if len(group) > 2:
        if _same(group[0], group[1]):
            return ["width", "width", *["length"] * (len(group) - 2)]
        return ["length" if sizes[0] >= sizes[1] else "width", "width" if sizes[0] >= sizes[1] else "length"] + [
            "thickness"
        ] * (len(group) - 2)
    if _same(*group):
        return ["width", "width"]
    if part_of(reading, first, first.end)[0] in _PEGS or _PEGS.intersection(
        reading.words(first.start - 14, first.start)
    ):
        return ["diameter", "length"]
    near = sizes[0] and 0.75 <= sizes[1] / sizes[0] <= 1.34
    around = reading.words(first.start - 20, group[-1].end + 6)
    if near and ("against" in reading.text[first.end : group[1].start] or any(w in _OVAL for w in around)):
        return ["diameter", "diameter"]
    return ["width", "length"] if sizes[1] > sizes[0] else ["diameter", "thickness"]


def _length_after(reading: Reading, last: Quantity, quantity: Quantity) -> bool:
    """Whether a number goes on with the length: "forty by forty, sixty long"."""
    gap = reading.text[last.end : quantity.start]
    if len(gap) > 7 or not _ONWARDS.issuperset(gap) or quantity.unit not in (None, *LENGTH):
        return False
    return all(b < SENTENCE for b in reading.border[last.end : quantity.start + 1]) and quantity.amount.value > 0
