"""What follows from stated weights and sizes: moisture from weight, whether it has settled, what a piece weighs."""

from __future__ import annotations

from collections.abc import Sequence

from shoplog.facts import convert
from shoplog.reckon import weight
from shoplog.reckon.derived import CannotCompute, Derived, Input, NotComputed, Result, figure
from shoplog.reckon.moisture import FIBRE_SATURATION
from shoplog.reckon.readings import DAY, Measured, grams_of, known_moisture, measurings, series
from shoplog.reckon.seasoning import span
from shoplog.reckon.statements import Stated, done, of_the_piece
from shoplog.reckon.turning import nearest
from shoplog.trade.woods import Match

#: Two sizes that were said within so many seconds belong together.
_TOGETHER = 120.0
#: How far the measured moisture may be off, points: below fibre saturation, and above it where meters only say "wet".
#: Common practice, no source.
_EITHER_WAY, _EITHER_WAY_WET = 2.0, 10.0


def weighed(stated: Sequence[Stated], match: Match, settles: Derived | None) -> list[Result]:
    """Moisture from the weights, and whether the last two weighings say that the piece has settled."""
    runs = [run for run in series(stated) if len(run) > 1]
    if not runs:
        return []
    run = runs[-1]
    grams = [grams_of(s) for s in run]
    gravity = match.one.sg_green if match.one else None
    reference = known_moisture(stated, run)
    found: list[Result] = []
    steady = _steady(run, grams)
    if steady is not None:
        found.append(steady)
    if reference is not None:
        known, measured = reference
        for index, (each, now) in enumerate(zip(run, grams, strict=True)):
            if index != known:
                found.append(_from_known(each, now, run[known], grams[known], measured, gravity))
    elif steady is not None and steady.value == "settled" and settles is not None:
        found.append(_from_end(run, grams, settles))
    else:
        found.append(
            NotComputed("moisture from weight", "no moisture was measured with a weighing, and it has not settled")
        )
    return found


def _steady(run: Sequence[Stated], grams: Sequence[float]) -> Derived | None:
    first, last = run[-2], run[-1]
    if first.when is None or last.when is None:
        return None
    days = (last.when - first.when).total_seconds() / DAY
    verdict = weight.settled(grams[-2], grams[-1], days)
    lost = 100 * (grams[-2] - grams[-1]) / grams[-2]
    unsure = "too soon to say" if days < weight.SETTLED_DAYS else "weighed too long ago to say"
    words = {True: "settled", False: "still drying" if lost > 0 else "taking up moisture", None: unsure}
    return Derived(
        what="settled by weight",
        value=words[verdict],
        unit=None,
        formula="less than 0.5 % of the weight lost over a week or more",
        source=weight.SOURCE_SETTLED,
        label="rule of thumb",
        inputs={"weight before": first.input(), "weight now": last.input()},
        note=f"{lost:.2g} % lost in {days:.0f} days",
        recording_id=last.recording_id,
        at=last.fact.start,
    )


def _from_known(
    each: Stated, now: float, other: Stated, before: float, measured: Measured, gravity: float | None
) -> Result:
    what = "moisture from weight"
    inputs = {"W": each.input(), "W0": other.input(), "M0": measured.input()}
    off = _EITHER_WAY_WET if measured.percent > FIBRE_SATURATION else _EITHER_WAY
    ends = [max(0.0, measured.percent - off), measured.percent, measured.percent + off]
    try:
        middle = weight.moisture_from_weight(now, before, ends[1], gravity)
    except CannotCompute as reason:
        return NotComputed(what, str(reason), inputs, each.recording_id, each.fact.start)
    low, _, high = (now / before * (100 + m) - 100 for m in ends)
    return Derived(
        what=what,
        value=round(middle, 1),
        low=round(max(0.0, low), 1),
        high=round(high, 1),
        unit="%",
        formula=weight.FORMULA_MOISTURE,
        inputs=inputs,
        source=weight.SOURCE_MOISTURE,
        validity="the same piece with nothing cut away between the weighings, without wax, tape or chuck",
        label="computed",
        note=f"the range is for a measured moisture {off:.0f} points either way, which is the weak link",
        recording_id=each.recording_id,
        at=each.fact.start,
    )


def _from_end(run: Sequence[Stated], grams: Sequence[float], settles: Derived) -> Result:
    low, high = span(settles)
    dry = weight.oven_dry_weight(grams[-1], (low + high) / 2)
    inputs = {"W": run[0].input(), "W1": run[-1].input(), "E": Input(settles.value, "%", "computed", settles.what)}
    try:
        start = weight.moisture_of(grams[0], dry)
    except CannotCompute as reason:
        return NotComputed("moisture when first weighed", str(reason), inputs)
    return Derived(
        what="moisture when first weighed",
        value=round(start, 1),
        unit="%",
        formula=weight.FORMULA_START,
        inputs=inputs,
        source=weight.SOURCE_MOISTURE,
        validity="the same piece with nothing cut away between the weighings",
        label="computed",
        note="the piece has settled, so its last weight is at the moisture of the shop",
        recording_id=run[0].recording_id,
        at=run[0].fact.start,
    )


def weights_from_size(stated: Sequence[Stated], match: Match) -> list[Result]:
    """What the blank and the bowl weigh, from size, species and moisture."""
    found: list[Result] = []
    sizes = [s for s in done(stated, "dimension") if s.ends and s.fact.unit and of_the_piece(s)]
    across = [s for s in sizes if s.fact.item == "diameter"]
    deep = [s for s in sizes if s.fact.item in ("thickness", "height", "depth")]
    pairs = [(a, d) for a in across for d in _near(deep, a) if "blank" in (_of(a), _of(d))]
    if pairs:
        found.append(_blank(stated, match, *pairs[0]))
    walls = [s for s in sizes if s.fact.item == "wall thickness"]
    high = [s for s in sizes if s.fact.item in ("height", "depth") and _of(s) != "blank"]
    bowls = [s for s in across if _of(s) != "blank"]
    if walls and high and bowls:
        found.append(_bowl(stated, match, nearest(bowls, walls[-1].order), nearest(high, walls[-1].order), walls[-1]))
    return found


def _of(stated: Stated) -> str:
    return str(stated.fact.attrs.get("of") or "")


def _near(stated: Sequence[Stated], to: Stated) -> list[Stated]:
    return [s for s in stated if s.recording_id == to.recording_id and abs(s.order - to.order) <= _TOGETHER]


def _metres(stated: Stated) -> float:
    return convert(sum(stated.ends) / len(stated.ends), str(stated.fact.unit), "m")


def _blank(stated: Sequence[Stated], match: Match, across: Stated, deep: Stated) -> Result:
    volume = weight.disc_volume(_metres(across), _metres(deep))
    sizes = {"diameter": across.input(), "thickness": deep.input()}
    return _weight("weight of the blank", stated, match, across, (volume,), sizes)


def _bowl(stated: Sequence[Stated], match: Match, across: Stated, high: Stated, wall: Stated) -> Result:
    sizes = {"diameter": across.input(), "height": high.input(), "wall": wall.input()}
    try:
        volumes = weight.bowl_volume(_metres(across), _metres(high), _metres(wall))
    except CannotCompute as reason:
        return NotComputed("weight of the bowl", str(reason), sizes)
    return _weight("weight of the bowl", stated, match, wall, volumes, sizes)


def _weight(
    what: str, stated: Sequence[Stated], match: Match, at: Stated, volumes: tuple[float, ...], sizes: dict[str, Input]
) -> Result:
    """The weight of volumes of the wood at the moisture measured nearest in time, else green as the table has it."""
    measured = measurings(stated)
    near = min(measured, key=lambda m: abs(m.order - at.order)) if measured else None
    found: list[float] = []
    problems: list[str] = []
    for wood in match.woods:
        green = [m for m in (wood.green_mc_heartwood, wood.green_mc_sapwood) if m is not None]
        for percent in [near.percent] if near else green:
            for volume in volumes if wood.sg_green is not None else ():
                try:
                    assert wood.sg_green is not None  # checked by the loop
                    found.append(weight.weight(wood.sg_green, percent, volume, wood.shrink_volumetric))
                except CannotCompute as reason:
                    problems.append(str(reason))
    inputs = {**sizes, "wood": Input(match.words(), None, "table", match.source_of("sg_green", "green_mc_heartwood"))}
    inputs["moisture"] = near.input() if near else Input("green, of the table", None, "table")
    if not found:
        because = problems[0] if problems else "no moisture was stated and the table has no green moisture for the wood"
        return NotComputed(what, because, inputs)
    unit = "lb" if at.fact.unit in ("in", "ft") else "kg"
    ends = [convert(kg, "kg", unit) for kg in (min(found), max(found))]
    single = len(found) == 1
    return Derived(
        what=what,
        value=ends[0] if single else None,
        low=None if single else ends[0],
        high=None if single else ends[1],
        unit=unit,
        formula=weight.FORMULA_DENSITY,
        inputs=inputs,
        source=weight.SOURCE_DENSITY,
        validity="specific gravity 0.1 to 1.1, moisture up to what the wood can hold",
        label="estimate",
        note=(f"{figure(near.percent)} % moisture" if near else "green, as the table has it")
        + ("" if match.how == "named" else f"; {match.words()}")
        + ("; between a cone and a straight side" if len(volumes) > 1 else ""),
        recording_id=at.recording_id,
        at=at.fact.start,
    )
