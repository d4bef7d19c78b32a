"""What follows from the speeds, diameters, grits and walls stated in a project."""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from itertools import pairwise

from shoplog.facts import convert
from shoplog.reckon import abrasives, roughout, speed
from shoplog.reckon.derived import CannotCompute, Derived, Input, NotComputed, Result, figure
from shoplog.reckon.moisture import FIBRE_SATURATION
from shoplog.reckon.statements import Stated, done, of_the_piece, surely_of_the_piece

#: A remark that the work is out of balance is about the speeds stated within so many seconds of it.
_NEAR_SECONDS = 120.0
#: Defects that call for the low end, and what they make of the piece.
_UNSOUND = {
    "crack": "is cracked",
    "ring shake": "is cracked",
    "rot": "is punky",
    "void": "has a void",
    "bark inclusion": "has a bark inclusion",
    "loose bark": "has loose bark",
}
_UNBALANCED = "is out of balance"
_SQUARE = re.compile(r"\bsquar", re.IGNORECASE)
_SAID_P = re.compile(r"\bP ?-?\d", re.IGNORECASE)


def diameters(stated: Sequence[Stated]) -> list[Stated]:
    """The stated diameters of the piece itself: what was measured, or what is planned where nothing was.

    Where no diameter was said, widths stand for it, but for those of square work: a turned piece is as wide as round.
    """
    sizes = [s for s in stated if s.fact.kind == "dimension" and s.ends and min(s.ends) > 0 and s.fact.unit]
    for item in ("diameter", "width"):
        found = [s for s in sizes if s.fact.item == item and of_the_piece(s)]
        if item == "width":
            found = [s for s in found if not _SQUARE.search(s.fact.quote)]
        for status in ("done", "reported", "planned"):
            some = [s for s in found if s.fact.status == status]
            if some:
                return [s for s in some if surely_of_the_piece(s)] or some
    return []


def nearest(stated: Sequence[Stated], order: float) -> Stated:
    """The one of the ordered statements that was said nearest in time; the earlier of two as near."""
    index = bisect_left(stated, order, key=lambda s: s.order)
    around = stated[max(0, index - 1) : index + 1]
    return min(around, key=lambda s: abs(s.order - order))


def runs(stated: Sequence[Stated]) -> list[Stated]:
    """The speeds that were run or are planned."""
    said = [s for s in stated if s.fact.kind == "speed" and s.fact.status in ("done", "planned")]
    return [s for s in said if s.ends and min(s.ends) > 0]


def speeds(stated: Sequence[Stated], unbalanced: Sequence[float] = ()) -> list[Result]:
    """The rim speed of every speed that was run or is planned, with the diameter stated nearest in time, beside the
    customary band. ``unbalanced`` are the moments (order) at which the work was said to be out of balance.
    """
    said = runs(stated)
    sizes = diameters(stated)
    if not said:
        return []
    if not sizes:
        return [NotComputed("rim speed", "no diameter of the piece was stated")]
    states = _states(stated)
    moments = [order for order, _ in states]
    found: list[Result] = []
    for each in said:
        index = bisect_right(moments, each.order)
        conditions = list(states[index - 1][1]) if index else []
        at = bisect_left(unbalanced, each.order - _NEAR_SECONDS)
        if at < len(unbalanced) and unbalanced[at] <= each.order + _NEAR_SECONDS:
            conditions.append(_UNBALANCED)
        found.append(_rim(each, nearest(sizes, each.order), conditions))
    return found


def _states(stated: Sequence[Stated]) -> list[tuple[float, tuple[str, ...]]]:
    """What calls for the low end of the band (unsound, green), from each moment on at which that changes."""
    flaws: dict[tuple[str, object], str] = {}
    green = False
    found: list[tuple[float, tuple[str, ...]]] = []
    for each in stated:
        fact = each.fact
        if fact.status != "done":
            continue
        if fact.kind == "moisture" and each.ends:
            green = max(each.ends) > FIBRE_SATURATION
        elif fact.kind == "defect" and fact.item in _UNSOUND:
            key = (fact.item, fact.attrs.get("where"))
            if fact.attrs.get("change") not in ("gone", "repaired"):
                flaws[key] = _UNSOUND[fact.item]
            elif key[1] is None:
                flaws = {k: words for k, words in flaws.items() if k[0] != fact.item}
            else:
                flaws.pop(key, None)
        else:
            continue
        found.append((each.order, (*dict.fromkeys(flaws.values()), *(("is green",) if green else ()))))
    return found


def _rim(stated: Stated, size: Stated, conditions: Sequence[str]) -> Derived:
    diameter = convert(max(size.ends), str(size.fact.unit), "m")
    ends = sorted({speed.rim_speed(diameter, rpm) for rpm in stated.ends})
    feet = [speed.feet_per_minute(v) for v in ends]
    products = [round(speed.product(diameter, rpm), 1) for rpm in sorted(stated.ends)]
    single = len(ends) == 1
    notes = [f"{' to '.join(figure(v) for v in ends)} m/s", *_band(diameter, products, conditions)]
    if _UNBALANCED in conditions:
        pull = speed.rim_acceleration(diameter, max(stated.ends))
        notes.append(f"the rim is flung outward at {pull:.0f} times gravity; half the speed is a quarter of that")
    if size.fact.item == "width":
        notes.append("the stated width is taken for the diameter")
    return Derived(
        what="rim speed" if stated.fact.status == "done" else "rim speed, planned",
        value=feet[0] if single else None,
        low=None if single else feet[0],
        high=None if single else feet[-1],
        unit="ft/min",
        formula=f"{speed.FORMULA_RIM}; {speed.FORMULA_BAND}",
        inputs={
            "N": stated.input(),
            "D": size.input(),
            "D × rpm": Input(
                products[0] if single else None,
                "in·rpm",
                "computed",
                "",
                None if single else products[0],
                None if single else products[-1],
            ),
        },
        source=f"{speed.SOURCE_RIM}; band: {speed.SOURCE_BAND}",
        validity="the diameter stated nearest in time; the band is for bowl and faceplate work",
        label="computed",
        note="; ".join(notes),
        recording_id=stated.recording_id,
        at=stated.fact.start,
    )


def _band(diameter_m: float, products: Sequence[float], conditions: Sequence[str]) -> list[str]:
    if convert(diameter_m, "m", "in") < speed.SLENDER_IN:
        return ["no band is customary for work as slender as this"]
    low, high = speed.BAND
    highest = max(products)
    notes = [
        f"diameter × rpm is {' to '.join(f'{p:.0f}' for p in products)}, {speed.place_in_band(highest)} the customary "
        f"{low:.0f} to {high:.0f}"
    ]
    if conditions and highest > low:
        most = speed.customary_speeds(diameter_m)[0]
        notes.append(
            f"the piece {', '.join(conditions)}: the low end is customary, {most:.0f} rpm here; the machine's "
            "manual decides"
        )
    return notes


def passes(stated: Sequence[Stated]) -> list[list[Stated]]:
    """The grits used, in order, parted wherever the work goes back to a coarser one; repeats dropped."""
    found: list[list[Stated]] = []
    for each in done(stated, "grit"):
        if not each.ends:
            continue
        if not found or min(each.ends) < max(found[-1][-1].ends):
            found.append([each])
        elif each.ends not in (found[-1][-1].ends, found[-1][-1].ends[-1:]):  # said again
            found[-1].append(each)
    return found


def grits(stated: Sequence[Stated]) -> list[Result]:
    """The sanding passes of the grits used, in order, with the steps that jump too far or go back."""
    found: list[Result] = []
    before: Stated | None = None
    for one in passes(stated):
        found += _pass(one, before)
        before = one[-1]
    return found


def _pass(grits_used: Sequence[Stated], before: Stated | None) -> list[Result]:
    first = grits_used[0]
    names = [" up to ".join(f"{end:.0f}" for end in s.ends) for s in grits_used]
    known_scale: abrasives.Scale | None = "FEPA P" if all(_SAID_P.search(s.fact.quote) for s in grits_used) else None
    remarks, ratios, missing = [], [], []
    if before is not None:
        remarks.append(f"goes back from {max(before.ends):.0f} to {min(first.ends):.0f}")
    for left, right in pairwise(grits_used):
        start, end = round(max(left.ends)), round(min(right.ends))
        if start == end:
            continue
        try:
            step = abrasives.step(start, end, known_scale)
        except CannotCompute as reason:
            missing.append(str(reason))
            continue
        ratios += [step.low, step.high]
        if step.verdict == "far":
            remarks.append(f"{start} to {end} jumps far: the grain is {figure(step.low)} times finer or more")
        elif step.verdict == "far on one scale":
            remarks.append(f"{start} to {end} jumps far if it is CAMI paper, {figure(step.high)} times finer")
    if ratios and not any("jumps" in r for r in remarks):
        remarks.append("even steps")
    remarks += [f"the grits between {n.replace(' up to ', ' and ')} were not said" for n in names if " up to " in n]
    what = f"sanding {', '.join(names)}"
    if known_scale and not missing:
        try:
            sizes = [abrasives.micrometres(round(end), known_scale) for s in grits_used for end in s.ends]
            remarks.append(f"grain {', '.join(figure(size) for size in sizes)} µm on the P scale")
        except CannotCompute as reason:
            missing.append(str(reason))
    found: list[Result] = [
        NotComputed(what, because, {}, first.recording_id, first.fact.start) for because in dict.fromkeys(missing)
    ]
    if ratios or remarks:
        found.append(
            Derived(
                what=what,
                unit="times finer at a step" if ratios else None,
                formula="ratio of grain sizes, on the P and the CAMI scale unless P was said",
                source=f"{abrasives.SOURCE_SIZES}; steps: {abrasives.SOURCE_STEPS}",
                label="rule of thumb",
                low=min(ratios) if ratios else None,
                high=max(ratios) if ratios else None,
                inputs={n: s.input() for n, s in zip(names, grits_used, strict=True)},
                validity="grades of both tables; a step is called far when the grain is less than half the size",
                note="; ".join(remarks),
                recording_id=first.recording_id,
                at=first.fact.start,
            )
        )
    return found


def rough_walls(stated: Sequence[Stated], ovals: dict[str, float] | None = None) -> list[Result]:
    """The ten percent wall for the largest diameter; ``ovals`` may hold how far out of round it will go, in inches."""
    sizes = diameters(stated)
    if not sizes:
        return []
    size = max(sizes, key=lambda s: convert(max(s.ends), str(s.fact.unit), "in"))
    inches = convert(max(size.ends), str(size.fact.unit), "in")
    metric = size.fact.unit in ("mm", "cm", "m")
    try:
        wall = roughout.rough_wall(inches)
    except CannotCompute as reason:
        return [NotComputed("rough-out wall", str(reason), {"D": size.input()})]
    unit = "mm" if metric else "in"
    notes = ["even in thickness; wild or very large pieces are left up to 15 %"]
    walls = [s for s in done(stated, "dimension") if s.fact.item == "wall thickness" and s.ends and s.fact.unit]
    inputs = {"D": size.input()}
    if ovals:
        left = roughout.left_after_truing(wall, max(ovals.values()))
        notes.append(
            f"about {figure(convert(left, 'in', unit))} {unit} is left once it is trued after drying"
            if left > 0
            else "it may go too far out of round to be trued"
        )
    if walls:
        first = walls[0]
        inputs["stated wall"] = first.input()
        share = 100 * convert(max(first.ends), str(first.fact.unit), "in") / inches
        notes.append(f"the wall first stated is {share:.0f} % of the diameter")
    return [
        Derived(
            what="rough-out wall",
            value=convert(wall, "in", unit),
            unit=unit,
            formula=roughout.FORMULA_WALL,
            source=roughout.SOURCE_WALL,
            label="rule of thumb",
            inputs=inputs,
            validity="side-grain bowls of 4 to 20 in that are turned twice",
            note="; ".join(notes),
        )
    ]
