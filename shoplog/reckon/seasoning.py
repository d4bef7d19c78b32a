"""What follows from the stated moistures and climate: where the piece settles, how it moves, when it is dry."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from shoplog.facts import convert
from shoplog.reckon import drying, moisture, shrinkage
from shoplog.reckon.derived import CannotCompute, Derived, Input, NotComputed, Result
from shoplog.reckon.readings import Readings, dated, measurings
from shoplog.reckon.statements import Stated, done
from shoplog.reckon.turning import diameters, nearest
from shoplog.trade.woods import Match

_HOUSE = frozenset(("house", "home", "kitchen", "room", "living", "indoors", "inside", "bedroom", "office"))
#: A climate for a curve where none was stated: 50 % at 20 °C, and how far off that may be (points).
_SOME_MOISTURE, _SOME_SPREAD = 9.3, 2.0


def climates(stated: Sequence[Stated]) -> list[Result]:
    """Where wood settles in the shop and in the house, from the latest stated temperature and humidity of each."""
    found: list[Result] = []
    for place in ("shop", "house"):
        what = f"moisture at which wood settles in the {place}"
        humidities = [s for s in done(stated, "humidity") if _in(place, s) and s.ends]
        temperatures = [s for s in done(stated, "temperature") if _in(place, s) and s.ends]
        try:
            if humidities:
                found.append(
                    moisture.settles(place, _temperature(temperatures, humidities[-1]), humidities[-1].input())
                )
            elif place == "house":
                found.append(moisture.settles(place, *moisture.house()))
            elif temperatures:
                raise CannotCompute("the temperature was stated but not the humidity")
        except CannotCompute as reason:
            found.append(NotComputed(what, str(reason)))
    return found


def _in(place: str, stated: Stated) -> bool:
    words = frozenset(str(stated.fact.attrs.get("where") or "").lower().replace("-", " ").split())
    return bool(words & _HOUSE) == (place == "house")


def _temperature(stated: Sequence[Stated], humidity: Stated) -> Input:
    """The temperature stated nearest to the humidity in °C; where none was, what a shop may have."""
    if not stated:
        return Input(None, "degC", "assumed", "not stated: 10 to 30 °C", 10.0, 30.0)
    near = nearest(stated, humidity.order)
    ends = [convert(end, str(near.fact.unit), "degC") for end in near.ends]
    said = near.input()
    if len(ends) == 1:
        return replace(said, value=ends[0], unit="degC")
    return replace(said, value=None, unit="degC", low=min(ends), high=max(ends))


def movements(stated: Sequence[Stated], match: Match, settled: Sequence[Derived]) -> list[Result]:
    """How the piece moves from the moisture last measured to each place where it may settle."""
    sizes, measured = diameters(stated), measurings(stated)
    if not (sizes and measured):
        missing = "diameter" if not sizes else "moisture"
        both = bool(sizes or measured)
        return [NotComputed("movement", f"no {missing} of the piece was stated")] if both else []
    last = measured[-1]
    size = nearest(sizes, last.order)
    unit = {"ft": "in", "m": "mm"}.get(str(size.fact.unit), str(size.fact.unit))
    found: list[Result] = []
    for place in settled:
        where = place.what.rsplit(" ", 1)[-1]
        low, high = span(place)
        origin = Input(place.value, "%", "computed", place.what, low, high)
        inputs = {"D": size.input(), "MI": last.input(), "MF": origin}
        try:
            diameter = convert(max(size.ends), str(size.fact.unit), unit)
            moved = shrinkage.movement(match, diameter, unit, last.percent, (low, high), inputs)
        except CannotCompute as reason:
            found.append(NotComputed(f"movement, in the {where}", str(reason), inputs))
            continue
        found += [replace(m, what=f"{m.what}, in the {where}") for m in moved]
    return found


def span(place: Derived) -> tuple[float, float]:
    """The lowest and the highest number of a result."""
    numbers = [float(n) for n in (place.value, place.low, place.high) if n is not None]
    return min(numbers), max(numbers)


def curve(readings: Readings, settles: Derived | None) -> drying.Curve:
    """The curve through the readings towards where wood settles. Raises CannotCompute."""
    level, spread = _SOME_MOISTURE, _SOME_SPREAD
    if settles is not None:
        low, high = span(settles)
        level, spread = (low + high) / 2, drying.SETTLED_POINTS + (high - low) / 2
    if readings.weights:
        known = readings.known
        return drying.fit_weights(readings.days, readings.weights, readings.percents[known], level, spread, known)
    return drying.fit_moistures(readings.days, readings.percents, level, spread)


def drying_dates(stated: Sequence[Stated], settles: Derived | None) -> list[Result]:
    """When the piece reaches the stated target, or comes near to where it settles: a range of dates."""
    readings = dated(stated)
    if readings is None:
        undated = len(measurings(stated)) > 1
        return [NotComputed("drying", "the days of the readings are not known")] if undated else []
    aimed = target(stated)
    inputs = {"E": Input(_SOME_MOISTURE, "%", "assumed", "50 % at 20 °C: the climate was not stated")}
    if settles is not None:
        low, high = span(settles)
        single = low == high
        inputs["E"] = Input(low if single else None, "%", "computed", settles.what, low, high)
    if aimed is not None:
        inputs["target"] = aimed.input()
    goal = max(aimed.ends) if aimed is not None else None
    what = f"dry to {goal:g} %" if goal is not None else "within a point of where it settles"
    try:
        if goal is not None and readings.percents[-1] <= goal:
            raise CannotCompute("the last reading is there already")
        if len(readings.days) == 2:
            level = _SOME_MOISTURE if settles is None else max(span(settles))
            return [_line(what, readings, goal if goal is not None else level + drying.NEAR_POINTS, inputs)]
        early, likely, late = curve(readings, settles).days_to(goal)
        if likely == float("inf"):
            raise CannotCompute("where the piece settles is not below the target")
    except CannotCompute as reason:
        return [NotComputed(what, str(reason), inputs)]
    kind = "weighings" if readings.weights else "meter readings"
    open_end = "" if _date(readings.start, late) else "; it may not get there in this climate"
    return [
        Derived(
            what=what,
            value=_date(readings.start, likely),
            low=_date(readings.start, early),
            high=_date(readings.start, late),
            unit="date",
            formula=drying.FORMULA,
            inputs=inputs,
            source=drying.SOURCE,
            validity="three readings or more on different days, of one piece in one place",
            label="estimate",
            note=f"from {len(readings.days)} {kind}; four in five of the curves they allow lie in the range{open_end}",
        )
    ]


def _line(what: str, readings: Readings, goal: float, inputs: dict[str, Input]) -> Derived:
    days = drying.line_to(readings.days, readings.percents, goal)
    if days <= readings.days[-1]:
        raise CannotCompute("the last reading is there already")
    if _date(readings.start, days) is None:
        raise CannotCompute("the two readings hardly fall")
    return Derived(
        what=what,
        low=_date(readings.start, days),
        unit="date",
        formula="a straight line through two readings",
        inputs=inputs,
        source="arithmetic",
        label="estimate",
        note="only two readings: a line, not a promise. Wood dries slower and slower, so it will be later; a third "
        "reading makes a curve",
    )


def _date(start: datetime, days: float) -> str | None:
    """ISO date, None for never: beyond a lifetime of waiting counts as that."""
    return (start + timedelta(days=days)).date().isoformat() if abs(days) < 36500 else None


def target(stated: Sequence[Stated]) -> Stated | None:
    """The moisture that is aimed at, as last said."""
    planned = [s for s in stated if s.fact.kind == "moisture" and s.fact.status == "planned" and s.ends]
    return planned[-1] if planned else None
