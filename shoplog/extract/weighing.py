"""The rules' reading weighed against what was learned: what a number is, whether a claim is meant, its status.

The rules find what can be stated and are right where the talk is plain. What they say of a place is one feature among
the words around it in four linear models (`features`, `linear`), learned from narrations with gold facts; these decide
where the talk is not plain. ``models/learn.py`` learns them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from typing import cast

from shoplog import linear
from shoplog.extract import features
from shoplog.extract.confidence import doubts_of
from shoplog.extract.kinds.stated import stated
from shoplog.extract.quantities import Quantity
from shoplog.extract.reading import Candidate, Reading
from shoplog.facts import Kind, Status
from shoplog.linear import Linear

LEARNED = Path(str(files("shoplog.extract") / "learned.npz"))
#: Kinds whose claims rest on a term; a number is their size and may be missing.
ITEMS = frozenset(("tool", "defect", "finish", "adhesive", "workholding", "ppe", "species"))
#: A number states the likeliest of its kinds from this chance on, else nothing. What is right more often than half of
#: the F1 that is reached raises it; such facts are few, and their doubt is told.
LIKELY = 0.33
#: A status is changed where another one is at least this likely; below it the rules are right as often.
SURE = 0.6
#: The same for what a size measures, which is mostly named.
NAMED = 0.9
#: A claim is let go when it is less likely than this to be meant.
MEANT = 0.35


def load(name: str) -> Linear:
    """One of the four models."""
    return linear.load(LEARNED, name)


def by_quantity(reading: Reading, claims: Sequence[Candidate]) -> list[list[Candidate]]:
    """The claims on each quantity of the reading; several where the rules took it for more numbers than one."""
    owner = {k: n for n, q in enumerate(reading.quantities) for k in range(q.start, q.end)}
    found: list[list[Candidate]] = [[] for _ in reading.quantities]
    for claim in claims:
        if claim.quantity is not None and (n := owner.get(claim.quantity)) is not None:
            found[n].append(claim)
    return found


def number_rows(reading: Reading, claims: Sequence[Sequence[Candidate]]) -> list[list[str]]:
    """The features of each quantity, given the rules' claims on it."""
    rows: list[list[str]] = []
    before: list[str] = []
    for quantity, held in zip(reading.quantities, claims, strict=True):
        claim = held[0] if held else None
        rows.append(features.of_number(reading, quantity, claim, before))
        before.append(claim.kind if claim else "none")
    return rows


def numbers(reading: Reading, claims: list[Candidate]) -> list[Candidate]:
    """The claims, each number with the kind that is likeliest for it, those that are none let go."""
    held = by_quantity(reading, claims)
    rows = number_rows(reading, held)
    kinds = _kinds(rows)
    sizes = {
        n: mine[0].item if mine and mine[0].kind == "dimension" else None
        for n, (mine, (kind, _)) in enumerate(zip(held, kinds, strict=True))
        if kind == "dimension"
    }
    measures = _measures(reading, rows, sizes)
    gone: set[int] = set()
    found: list[Candidate] = []
    for n, (quantity, mine, (kind, chance)) in enumerate(zip(reading.quantities, held, kinds, strict=True)):
        rule = mine[0].kind if mine else "none"
        if len(mine) > 1 or (not mine and reading.statuses.elsewhere(quantity.start)):
            continue
        item, sure = measures.get(n, (None, 1.0))
        if kind == rule:
            if mine:
                gone.add(id(mine[0]))
                found.append(replace(mine[0], item=item or mine[0].item, score=chance))
            continue
        if mine and quantity.unit is not None and doubts_of(mine[0]):
            # Weights are of numbers that occur; what is said with its unit and hardly can be is doubted, not dropped.
            continue
        if chance * sure < LIKELY:
            kind = "none"
        new = list(_told(reading, quantity, kind, chance * sure, item, claims))
        if kind != "none" and not new:
            continue
        if mine:
            gone.add(id(mine[0]))
            if rule == "followup":
                found.append(mine[0])
            elif mine[0].item is not None and rule in ITEMS:
                found.append(without_number(mine[0]))
        for claim in new:
            if claim.item is not None and claim.kind in ITEMS:
                gone.update(id(c) for c in claims if c.anchor == claim.anchor and c.kind == claim.kind)
            found.append(claim)
    return [c for c in claims if id(c) not in gone] + found


def _kinds(rows: Sequence[Sequence[str]]) -> list[tuple[str, float]]:
    """For each number the likeliest kind with its chance, or ``none`` where no kind is likely enough."""
    model = load("number")
    kinds = [c != "none" for c in model.classes]
    found = []
    for chances in model.probabilities(rows):
        k = int((chances * kinds).argmax())
        found.append((model.classes[k], float(chances[k])) if chances[k] >= LIKELY else ("none", 1.0))
    return found


def _measures(
    reading: Reading, rows: Sequence[Sequence[str]], sizes: Mapping[int, str | None]
) -> dict[int, tuple[str, float]]:
    """What the dimensions among the numbers measure, each with its chance.

    ``sizes`` has the places of the dimensions and what the rules say that they measure; this stands unless something
    else is as likely as `NAMED`.
    """
    model = load("measure")
    found: dict[int, tuple[str, float]] = {}
    before: list[tuple[Quantity, str]] = []
    for n, ruled in sizes.items():
        quantity = reading.quantities[n]
        (chances,) = model.probabilities([[*rows[n], *features.of_measure(quantity, before)]])
        sure = float(chances.max())
        item = ruled if ruled and sure < NAMED else model.classes[int(chances.argmax())]
        found[n] = item, sure
        before.append((quantity, item))
    return found


def _told(
    reading: Reading, quantity: Quantity, kind: str, chance: float, measure: str | None, claims: Sequence[Candidate]
) -> Iterator[Candidate]:
    """What the number states if it is of ``kind``; nothing where that can't be told."""
    if kind in ITEMS:
        near = [c for c in claims if c.kind == kind and c.quantity is None and abs(c.at - quantity.start) <= 10]
        claim = min(near, key=lambda c: abs(c.at - quantity.start), default=None)
        if claim is None:
            return
        if kind == "finish":
            coats = quantity.amount.value
            if coats == int(coats):
                yield replace(
                    claim, attrs={**claim.attrs, "coats": int(coats)}, quantity=quantity.start, anchor=claim.at
                )
        elif quantity.unit not in ("coat", "%", "deg"):
            value, low, high = quantity.read("size")
            unit = quantity.unit or ("mm" if reading.metric and quantity.amount.size is None else "in")
            yield replace(
                claim,
                start=min(claim.start, quantity.start),
                end=max(claim.end, quantity.end),
                value=value,
                low=low,
                high=high,
                unit=unit,
                approx=quantity.approx,
                quantity=quantity.start,
                anchor=claim.at,
            )
    elif kind != "none":
        yield from stated(reading, quantity, cast("Kind", kind), chance, measure, claims)


def without_number(claim: Candidate) -> Candidate:
    """A claim on a term without the number that is not its."""
    at = claim.at
    q = claim.quantity if claim.quantity is not None else at
    end = max(claim.end if claim.end < q else 0, at + 1)
    attrs = {name: value for name, value in claim.attrs.items() if name != "coats"}
    return replace(claim, value=None, low=None, high=None, unit=None, quantity=None, attrs=attrs, start=at, end=end)


def claim_rows(reading: Reading, claims: Sequence[Candidate]) -> list[list[str]]:
    """The features of each claim; claims have the rules' status and stand in order of their start."""
    cues = features.cues(reading)
    rows: list[list[str]] = []
    before: Candidate | None = None
    for claim in claims:
        rows.append(features.of_claim(reading, claim, cues, before))
        before = claim
    return rows


def claims(reading: Reading, found: list[Candidate]) -> list[Candidate]:
    """The claims that are meant, in order of their start, with the likeliest status of each."""
    found = sorted(found, key=lambda c: (c.start, c.end))
    rows = claim_rows(reading, found)
    meant = iter(_meant([row for row, claim in zip(rows, found, strict=True) if claim.kind in ITEMS]))
    status = load("status")
    kept = []
    for claim, chances in zip(found, status.probabilities(rows), strict=True):
        if claim.kind in ITEMS:
            chance = next(meant)
            if chance < MEANT:
                continue
            claim = replace(claim, score=chance if claim.quantity is None else min(chance, claim.score))
        k = int(chances.argmax())
        # That gear was worn is not said where the rules hear that it was not: the one mistake that can hurt.
        bare = claim.kind == "ppe" and claim.status == "denied"
        if claim.kind not in ("credit", "followup") and not bare and chances[k] >= SURE:
            claim = replace(claim, status=cast("Status", status.classes[k]))
        kept.append(claim)
    return kept


def _meant(rows: Sequence[Sequence[str]]) -> list[float]:
    """How likely each claim on a trade word is meant."""
    model = load("meant")
    return [float(p) for p in model.probabilities(rows)[:, model.classes.index("yes")]]
