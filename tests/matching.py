"""Comparing found facts with gold ones: one to one, by what was stated and where."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from shoplog.facts import SI_UNITS, to_si

#: Kinds on which the job stands.
CORE = ("speed", "tool", "grit", "duration", "clock", "moisture", "defect")
#: Free text, judged by reading and not by matching.
FREE = ("credit", "followup")
#: Seconds that a fact may lie away from its line.
SLACK = 6.0

Stated = Mapping[str, Any]


def counted(fact: Stated) -> bool:
    """Facts of another piece, free text, and clocks without a time, date or jump are not compared."""
    attrs = fact.get("attrs") or {}
    if fact["kind"] in FREE or attrs.get("other_piece"):
        return False
    return fact["kind"] != "clock" or any(attrs.get(k) is not None for k in ("time", "date", "days_later"))


def numbers(fact: Stated) -> tuple[float | None, ...]:
    unit = fact.get("unit")
    if unit not in SI_UNITS:
        return (None, None, None)
    return tuple(to_si(fact.get(k), unit) for k in ("value", "low", "high"))


def same(gold: Stated, got: Stated) -> bool:
    """The same kind, item and numbers (within 0.2 percent); a clock says at least what the gold says."""
    if (gold["kind"], gold.get("item")) != (got["kind"], got.get("item")):
        return False
    if gold["kind"] == "clock":
        attrs = got.get("attrs") or {}
        return all(attrs.get(k) == v for k, v in gold["attrs"].items() if k in ("time", "date", "days_later"))
    return all(
        (a is None) == (b is None) and (a is None or b is None or abs(a - b) <= 0.002 * max(abs(a), abs(b), 1e-9))
        for a, b in zip(numbers(gold), numbers(got), strict=True)
    )


def paired(gold: Sequence[Stated], got: Sequence[Stated]) -> list[tuple[int, int]]:
    """Pairs (gold, got), the right status and the nearest first. Gold facts have the times of their line."""
    options = []
    for i, g in enumerate(gold):
        for j, h in enumerate(got):
            gap = max(0.0, g["start"] - h["end"], h["start"] - g["end"])
            if gap <= SLACK and same(g, h):
                options.append((g["status"] != h["status"], gap, i, j))
    pairs: list[tuple[int, int]] = []
    for _, _, i, j in sorted(options):
        if all(i != a and j != b for a, b in pairs):
            pairs.append((i, j))
    return pairs
