"""The numbers in a question: read by the extractor's own reader of spoken numbers, so that both mean the same."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal, cast

from shoplog.errors import InputError
from shoplog.extract.quantities import Quantity, Reading, quantities
from shoplog.extract.stream import Stream, build
from shoplog.facts import SI_UNITS
from shoplog.search.query import Bounds
from shoplog.transcript import Cue, Transcript

_SIGNS = {">=": " at least ", "<=": " at most ", "≥": " at least ", "≤": " at most ", ">": " over ", "<": " under "}
_LAST_IN = re.compile(
    r"(\d)\s+in\b(?=\s*(?:[?.,!]|$))", re.I
)  # "over 12 in", where nothing follows that it could lead to
_UNIT_AFTER = re.compile(r"(?<=\d)(rpm|grit|degf|degc|mm|cm|kg|lbs?|oz|min|h|in|ft|day|week|month|year|[msg%])\b", re.I)
_UNITS = {unit.lower(): unit for unit in SI_UNITS}
_PLAIN = re.compile(rf"(-?\d{{1,9}}(?:\.\d{{1,9}})?)\s*({'|'.join(map(re.escape, SI_UNITS))})?", re.I)
_ALONE = re.compile(r"(\d )(in|ft|m|h|s|g|degf|degc)$", re.I)
_ENDLESS = re.compile(r"\d{10,}")  # digits that are no number of the trade, and could overflow one
#: Our own unit names to words that the reader of spoken numbers takes for units.
_SPELLED = {"in": "inch", "ft": "feet", "m": "metres", "h": "hours", "s": "seconds", "g": "grams", "degf": "degrees f",
            "degc": "degrees c"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Amount:
    """A number of a question with what it bounds; tokens ``start`` to ``end``, the comparing words included."""

    start: int
    end: int
    bounds: Bounds
    stated: bool  # whether a unit was said
    size: float | None = None  # the reading as a length on an inch rule
    count: float | None = None  # the reading as a speed or a grit
    order: str = ""  # "after" or "before" where it names a step of a sequence


def tokens(text: str) -> Stream:
    """The question as the extractor's tokens."""
    text = _ENDLESS.sub(" ", text)
    for sign, words in _SIGNS.items():
        text = text.replace(sign, words)
    text = re.sub(r"(?<=\d)\s*['′]{2}|(?<=\d)\s*”", " inch", text)
    text = _LAST_IN.sub(r"\1 inch", text)
    text = _UNIT_AFTER.sub(lambda m: " " + _SPELLED.get(m[1].lower(), m[1]), text)
    return build(Transcript((Cue(0.0, 0.0, text),)))


#: Words before a number, by the end of the range that it then is.
_BEFORE_WORDS = {
    "low": (
        "at least, no less than, not less than, minimum of, upwards of, upward of, starting at, over, above, "
        "more than, greater than, bigger than, larger than, faster than, higher than, thicker than, "
        "wider than, longer than, heavier than, wetter than, finer than, deeper than, taller than, "
        "exceed, exceeds, exceeded, exceeding, past, beyond"
    ),
    "high": (
        "at most, no more than, not more than, up to, maximum of, within, under, below, less than, smaller than, "
        "slower than, lower than, thinner than, narrower than, shorter than, lighter than, fewer than, drier than, "
        "dryer than, coarser than, short of"
    ),
}
#: Words after it.
_AFTER_WORDS = {
    "low": (
        "or more, and up, or over, or up, plus, or higher, and above, or above, and over, or faster, or bigger, "
        "or larger, or wider, or thicker, or longer, or heavier, or finer"
    ),
    "high": (
        "or less, or under, or below, or lower, or slower, or smaller, and under, and below, and smaller, and slower, "
        "or thinner, or shorter, or lighter, or coarser"
    ),
}
_Side = Literal["low", "high"]


def _listed(words: dict[str, str]) -> list[tuple[tuple[str, ...], _Side]]:
    return [(tuple(p.split()), cast(_Side, side)) for side, group in words.items() for p in group.split(", ")]


_BEFORE, _AFTER = _listed(_BEFORE_WORDS), _listed(_AFTER_WORDS)


def read(stream: Stream) -> list[Amount]:
    """Every number of the question, with its comparing words."""
    found = [(q, _amount(stream, q)) for q in quantities(stream)]
    # "an hour" in a question is a number only where something is compared with it.
    return [a for q, a in found if not q.implied or q.unit == "in" or a.bounds.about is None]


def _amount(stream: Stream, q: Quantity) -> Amount:
    unit = q.unit if q.unit in SI_UNITS else "degF" if q.unit == "deg" else ""
    reading: Reading = "size" if unit in ("in", "ft") else "count" if unit in ("rpm", "grit") else "value"
    value, low, high = q.read(reading)
    start, end = q.start, q.end
    order = stream.text[start - 1] if start and stream.text[start - 1] in ("after", "before") else ""
    bounds = Bounds(unit, about=value) if value is not None else Bounds(unit, low, high)
    if value is not None:
        for words, side in _BEFORE:
            k = start
            # "over about 12 inches", "above a thousand"
            while k and stream.text[k - 1] in ("a", "an", "the", "about", "around", "roughly", "of"):
                k -= 1
            if tuple(stream.text[max(0, k - len(words)) : k]) == words:
                bounds, start = _open(unit, side, value), k - len(words)
                break
        else:
            for words, side in _AFTER:
                if tuple(stream.text[end : end + len(words)]) == words:
                    bounds, end = _open(unit, side, value), end + len(words)
                    break
    start -= bool(order)
    return Amount(start, end, bounds, bool(unit), q.amount.size, q.amount.count, order)


def _open(unit: str, side: _Side, value: float) -> Bounds:
    return Bounds(unit, value, None) if side == "low" else Bounds(unit, None, value)


def one(text: str, kind: str | None = None) -> Bounds:
    """The single number or range of an option; its unit is empty where none was written. Raises InputError."""
    if plain := _PLAIN.fullmatch(text.strip()):
        # Written digits are what they are; only spoken ones may be a fraction run together ("58" for five eighths).
        return Bounds(_UNITS.get((plain[2] or "").lower(), ""), about=float(plain[1]))
    stream = tokens(_ALONE.sub(lambda m: m[1] + _SPELLED.get(m[2].lower(), m[2]), text.strip()))
    found = quantities(stream)
    amount = _amount(stream, found[0]) if len(found) == 1 else None
    if amount is None or not -1e12 < (amount.bounds.about or 0.0) < 1e12:
        raise InputError(f'"{text.strip()}" is not one number; write it like 800rpm, 1/2in or 20%.')
    if not amount.stated and kind in ("speed", "grit") and amount.count is not None and amount.bounds.about is not None:
        return Bounds("", about=amount.count)
    return amount.bounds
