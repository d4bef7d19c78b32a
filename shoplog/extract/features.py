"""What stands around a number or a claim, as named features: what the learned weights are of.

A feature is a name that is there or not. Words count by their place ("p1=at" is the word right before), and once more
as words of the sentence wherever they stand; what the rules say of the place is a feature among the others.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

from shoplog.extract.lexicon import Cue
from shoplog.extract.quantities import Quantity
from shoplog.extract.reading import Candidate, Reading

#: Borders between sizes of numbers, close where kinds meet.
_BANDS = (
    0.05, 0.2, 0.5, 0.76, 1.01, 2, 3, 4, 6, 8, 10, 13, 16, 20, 25, 32, 40, 50, 60, 70, 79, 100, 150, 200, 260, 300, 400,
    500, 700, 1000, 1500, 2000, 3000, 4000,
)  # fmt: skip
#: Borders between distances in words, and between ratios of one size to another.
_GAPS = (2, 6, 12, 25, 50)
_RATIOS = (0.1, 0.3, 0.5, 0.75, 0.95, 1.05, 1.3, 2, 3, 10)
#: The numbers that abrasives are sold by, common practice.
_GRITS = frozenset(
    (60, 80, 100, 120, 150, 180, 220, 240, 280, 320, 360, 400, 500, 600, 800, 1000, 1200, 1500, 2000, 3000)
)


def _band(value: float) -> str:
    return str(bisect_left(_BANDS, value))


def of_number(reading: Reading, quantity: Quantity, claim: Candidate | None, before: Sequence[str]) -> list[str]:
    """What stands around a stated number.

    ``claim`` is what the rules take it for; ``before`` are the kinds of the numbers before it, nearest last.
    """
    text, n = reading.text, reading.n
    start, end = quantity.start, quantity.end
    low, high = reading.clauses.sentence(start)
    low, high = max(low, start - 30), min(high, end + 20, n)
    amount, unit = quantity.amount, quantity.unit or "-"
    bare = quantity.unit is None
    band = _band(amount.value)
    found = [f"u={unit}", f"m={unit} {band}", f"link={quantity.link}"]
    if amount.size is not None:
        found.append("size")
        if amount.size != amount.value:
            found.append("size=" + _band(amount.size))
    if amount.count is not None:
        found += [
            "count=" + _band(amount.count),
            "grit" if amount.count in _GRITS else "no grit",
            "round" if amount.count % 50 == 0 else "not round",
        ]
    if amount.time is not None:
        found.append("time" if amount.time[1] % 15 else "time, a quarter")
    if amount.value != int(amount.value):
        found.append("broken")
    if quantity.approx:
        found.append("approx")
    if reading.bare:
        found.append("bare")
    shape = " ".join("0" if w[0].isdecimal() else w for w in text[start : min(amount.end, start + 4)])
    found += ["shape=" + shape, "digits" if text[start][0].isdecimal() else "spelt"]
    for d in range(1, 5):
        found.append(f"p{d}=" + (text[start - d] if start - d >= low else "<"))
    for d in range(4):
        found.append(f"n{d}=" + (text[end + d] if end + d < high else ">"))
    last, following = text[start - 1] if start else "<", text[end] if end < n else ">"
    found.append(f"around={last} {following}")
    if start > 1:
        found.append(f"p={text[start - 2]} {last}")
    if end + 1 < n:
        found.append(f"n={following} {text[end + 1]}")
    found += ["w=" + w for w in {*text[max(low, start - 12) : start], *text[end:high]}]
    for topic, places in reading.topics.items():
        k = bisect_left(places, start - 30)
        if k < len(places) and places[k] < start:
            found.append("topic before=" + topic)
        k = bisect_left(places, start - 8, k)
        if k < len(places) and places[k] <= end + 6:
            found.append("topic=" + topic)
    for mention in reading.mentioned(max(0, start - 12), end + 8):
        kind = mention.term.kind
        near = "near" if abs(mention.start - start) <= 3 else "off"
        side = "before" if mention.start < start else "after"
        found += [f"term {side}={kind}", f"term {side}={kind} {near}"]
    rule = claim.kind if claim is not None else "none"
    found += [f"rule={rule}", f"rule={rule} {int((claim.score if claim else 0) * 10)}", f"rule={rule} {unit}"]
    if claim is not None and claim.item:
        found.append("rule item=" + claim.item)
    if claim is None and bare:
        found.append("no rule " + band)
    for d, kind in enumerate(reversed(before[-2:])):
        found += [f"last {d}={kind}", f"last {d}={kind} {unit}"]
    return found


def of_measure(quantity: Quantity, before: Sequence[tuple[Quantity, str]]) -> list[str]:
    """How a size stands to the sizes before it, nearest last, of each what it measures: a speaker who says numbers
    alike one after the other mostly measures one thing ("eighty seven, eighty six, there's your eighty five")."""
    found: list[str] = []
    for d, (other, measure) in enumerate(reversed(before[-2:])):
        gap = bisect_left(_GAPS, quantity.start - other.end)
        same_unit = quantity.unit == other.unit or not (quantity.unit and other.unit)
        ratio = quantity.amount.value / other.amount.value if same_unit and other.amount.value else 0.0
        size = str(bisect_left(_RATIOS, ratio)) if ratio > 0 else "-"
        close = "close" if gap < 3 else "far"
        found += [f"size {d}={measure}", f"size {d}={measure} {gap}", f"size {d}={measure} x{size}"]
        found.append(f"size {d}={measure} x{size} {close}")
    return found or ["first size"]


def cues(reading: Reading) -> list[tuple[int, Cue]]:
    """The words that set a status, with their places in order."""
    return [(h.start, e) for h in reading.hits for e in h.entries if isinstance(e, Cue)]


def of_claim(
    reading: Reading, claim: Candidate, cues: Sequence[tuple[int, Cue]], before: Candidate | None
) -> list[str]:
    """What stands around a claim; ``claim`` has the rules' status, ``before`` is the claim before it."""
    text, n = reading.text, reading.n
    at = claim.at
    end = max(claim.end, at + 1)
    low, high = reading.clauses.sentence(at)
    clause_low, clause_high = reading.clauses.clause(at)
    low, high = max(low, at - 40), min(high, at + 30, n)
    clause_low, clause_high = max(clause_low, at - 25), min(clause_high, at + 20, n)
    status = claim.status or "done"
    found = [
        f"status={status}",
        f"kind={claim.kind}",
        f"status={status} {claim.kind}",
        f"item={claim.item}",
        f"score={int(claim.score * 10)} {claim.kind}",
        f"words={' '.join(text[at : min(claim.end, at + 3)])}",
    ]
    if claim.approx:
        found.append("approx")
    if claim.quantity is not None:
        found.append("number")
    if reading.bare:
        found += ["bare", "bare " + status]
    for d in range(1, 6):
        found.append(f"p{d}=" + (text[at - d] if at - d >= low else "<"))
    for d in range(4):
        found.append(f"n{d}=" + (text[end + d] if end + d < high else ">"))
    found += ["clause before=" + w for w in {*text[clause_low:at]}]
    found += ["clause after=" + w for w in {*text[end:clause_high]}]
    found += ["before=" + w for w in {*text[low:at]}]
    found += ["after=" + w for w in {*text[end:high]}]
    found += [f"clause {d}={w}" for d, w in enumerate(text[clause_low : min(clause_high, clause_low + 3)])]
    found += [f"sentence {d}={w}" for d, w in enumerate(text[low : min(high, low + 3)])]
    for k in range(max(low, at - 10), min(high - 1, end + 6)):
        found.append(f"two={text[k]} {text[k + 1]}")
    for k in range(bisect_left(cues, low - 2, key=lambda c: c[0]), len(cues)):
        place, cue = cues[k]
        if place >= high:
            break
        side = "before" if place < at else "after"
        where = "clause" if clause_low <= place < clause_high else "sentence"
        near = "near" if abs(at - place) < 6 else "far"
        found += [f"cue={cue.status} {cue.scope} {side} {where}", f"cue={cue.status} {side} {where} {near}"]
    if before is not None:
        found.append(f"last={before.status}")
        if before.kind == claim.kind:
            found.append(f"last alike={before.status}")
    return found
