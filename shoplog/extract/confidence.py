"""How sure a fact is: from the pattern, the recogniser's own probabilities, repair and plausibility."""

from __future__ import annotations

from collections.abc import Sequence

from shoplog import trade
from shoplog.extract.reading import Candidate


def judge(
    candidate: Candidate, probabilities: Sequence[float | None], repaired: bool, doubted: bool, bare: bool
) -> float:
    """A number from 0 to 1; the lowest word of the statement counts, since one wrong number word is enough.

    ``bare`` words come without punctuation, where what belongs together is a guess.
    """
    confidence = candidate.score
    heard = [p for p in probabilities if p is not None]
    if heard:
        confidence *= 0.55 + 0.45 * min(heard)
    if bare:
        confidence *= 0.95
    if repaired:
        confidence *= 0.88
    if doubted:
        confidence *= 0.5
    return round(max(0.01, min(confidence, 0.99)), 3)


def doubts_of(candidate: Candidate) -> list[str]:
    """Why the numbers of a claim are hardly those of its kind; nothing where they are plausible."""
    numbers = [v for v in (candidate.value, candidate.low, candidate.high) if v is not None]
    for band in trade.bands().get(candidate.kind, ()):
        if band.unit == candidate.unit and any(not band.low <= v <= band.high for v in numbers):
            return [f"{candidate.kind} outside {band.low:g} to {band.high:g} {band.unit}"]
    return []
