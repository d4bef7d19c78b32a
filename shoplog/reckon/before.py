"""The reckoning for a piece that is yet to be made: from the wood and the diameter alone."""

from __future__ import annotations

from dataclasses import replace

from shoplog.facts import convert
from shoplog.reckon import moisture, roughout, shrinkage, speed, weight
from shoplog.reckon.cautions import dust_of
from shoplog.reckon.derived import CannotCompute, Derived, Input, NotComputed, Result
from shoplog.reckon.seasoning import span
from shoplog.trade.woods import Match, find

_ASKED = "asked for"
_MOST_M = 10.0


def before(wood: str | None, diameter: float | None = None, unit: str = "in") -> list[Result]:
    """What a maker would reckon before starting: moisture and weight when green, where it will settle in a house, how
    it will move and go out of round, the wall of a rough-out, the customary speeds, and the dust of the wood.

    ``wood`` is a name as spoken, None if not known; ``diameter`` in ``unit`` (in, mm, cm, ft or m), None if open.
    Raises CannotCompute for a diameter that is not above zero or that no lathe swings.
    """
    if diameter is not None and not 0 < convert(diameter, unit, "m") < _MOST_M:
        raise CannotCompute("the diameter must be above zero and below 10 m: give one like 10in or 250mm")
    match = find(wood)
    home = moisture.settles("house", *moisture.house())
    green = _green(match)
    found: list[Result] = [green, home]
    if isinstance(green, Derived):
        found.append(_loss(green, home))
    found += _shrinks(match, home)
    if diameter is not None:
        size = Input(diameter, unit, "stated", _ASKED)
        found += _moves(match, diameter, unit, size, home)
        found += [_blank(match, diameter, unit, size), _wall(diameter, unit, size), _speeds(diameter, unit, size)]
    return found + list(dust_of(wood) if wood else ())


def _green(match: Match) -> Result:
    what = "moisture when green"
    columns = ("green_mc_heartwood", "green_mc_sapwood")
    numbers = [m for w in match.woods for m in (w.green_mc_heartwood, w.green_mc_sapwood) if m is not None]
    inputs = {"wood": Input(match.words(), None, "table", match.source_of(*columns))}
    if not numbers:
        return NotComputed(what, f"the table has no green moisture for {match.words()}", inputs)
    return Derived(
        what=what,
        low=min(numbers),
        high=max(numbers),
        unit="%",
        formula="average of heartwood and of sapwood",
        inputs=inputs,
        source="US Wood Handbook FPL-GTR-190 (2010), Table 4-1",
        label="estimate",
        note="; ".join(filter(None, ("varies within a tree", "" if match.how == "named" else match.words()))),
    )


def _loss(green: Derived, home: Derived) -> Derived:
    """How much of its weight a piece loses between the two."""
    (wet_low, wet_high), (dry_low, dry_high) = span(green), span(home)
    return Derived(
        what="weight lost in drying, green to the house",
        low=weight.expected_loss(wet_low, dry_high),
        high=weight.expected_loss(wet_high, dry_low),
        unit="%",
        formula="100 (M0 - M1) / (100 + M0)",
        inputs={
            "M0": Input(None, "%", "table", green.what, wet_low, wet_high),
            "M1": Input(None, "%", "computed", home.what, dry_low, dry_high),
        },
        source=weight.SOURCE_MOISTURE,
        label="estimate",
        note="for a piece with nothing cut away between the weighings",
    )


def _shrinks(match: Match, home: Derived) -> list[Result]:
    try:
        found = shrinkage.shrinkage_from_green(match, span(home))
    except CannotCompute as reason:
        return [NotComputed("shrinkage", str(reason))]
    return [replace(s, what=f"{s.what}, green to the house") for s in found]


def _moves(match: Match, diameter: float, unit: str, size: Input, home: Derived) -> list[Result]:
    low, high = span(home)
    inputs = {
        "D": size,
        "MI": Input(moisture.FIBRE_SATURATION, "%", "assumed", "turned green"),
        "MF": Input(None, "%", "computed", home.what, low, high),
    }
    try:
        moved = shrinkage.movement(match, diameter, unit, moisture.FIBRE_SATURATION, (low, high), inputs)
    except CannotCompute as reason:
        return [NotComputed("movement", str(reason), inputs)]
    return [replace(m, what=f"{m.what}, green to the house") for m in moved]


def _blank(match: Match, diameter: float, unit: str, size: Input) -> Result:
    """The weight of a green blank for each inch (25 mm for metric makers) of its thickness."""
    metric = unit in ("mm", "cm", "m")
    depth, depth_unit = (25, "mm") if metric else (1, "in")
    volume = weight.disc_volume(convert(diameter, unit, "m"), convert(depth, depth_unit, "m"))
    found = []
    for wood in match.woods:
        for percent in (wood.green_mc_heartwood, wood.green_mc_sapwood):
            if wood.sg_green is not None and percent is not None:
                try:
                    found.append(weight.weight(wood.sg_green, percent, volume, wood.shrink_volumetric))
                except CannotCompute:  # an average of a table above what the average wood can hold: no weight from it
                    continue
    what = f"weight of a green blank, for each {depth} {depth_unit} of thickness"
    source = match.source_of("sg_green", "green_mc_heartwood", "green_mc_sapwood")
    inputs = {
        "D": size,
        "thickness": Input(depth, depth_unit, "assumed", "for each"),
        "wood": Input(match.words(), None, "table", source),
    }
    if not found:
        return NotComputed(what, f"the table has no green moisture or no specific gravity for {match.words()}", inputs)
    to = "kg" if metric else "lb"
    return Derived(
        what=what,
        low=convert(min(found), "kg", to),
        high=convert(max(found), "kg", to),
        unit=to,
        formula=weight.FORMULA_DENSITY,
        inputs=inputs,
        source=weight.SOURCE_DENSITY,
        label="estimate",
        note="" if match.how == "named" else match.words(),
    )


def _wall(diameter: float, unit: str, size: Input) -> Result:
    try:
        wall = roughout.rough_wall(convert(diameter, unit, "in"))
    except CannotCompute as reason:
        return NotComputed("rough-out wall", str(reason), {"D": size})
    to = "mm" if unit in ("mm", "cm", "m") else "in"
    return Derived(
        what="rough-out wall",
        value=convert(wall, "in", to),
        unit=to,
        formula=roughout.FORMULA_WALL,
        inputs={"D": size},
        source=roughout.SOURCE_WALL,
        validity="side-grain bowls of 4 to 20 in that are turned twice",
        label="rule of thumb",
    )


def _speeds(diameter: float, unit: str, size: Input) -> Derived:
    low, high = speed.customary_speeds(convert(diameter, unit, "m"))
    return Derived(
        what="customary speeds",
        low=low,
        high=high,
        unit="rpm",
        formula=f"{speed.BAND[0]:.0f} to {speed.BAND[1]:.0f} over the diameter in inches",
        inputs={"D": size},
        source=speed.SOURCE_BAND,
        validity="bowl and faceplate work",
        label="rule of thumb",
        note="the low end for anything rough, wet, cracked or unbalanced, the high end a ceiling for sound work; the "
        "machine's manual decides",
    )
