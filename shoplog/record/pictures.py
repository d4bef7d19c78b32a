"""Which pictures a record shows, and from which of its facts."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime

from shoplog.facts import convert
from shoplog.reckon import CannotCompute, Derived
from shoplog.reckon.readings import Readings, dated, grams_of, measurings, series
from shoplog.reckon.seasoning import curve, span, target
from shoplog.reckon.statements import Stated, by_piece, statements
from shoplog.reckon.turning import diameters, nearest, passes, runs
from shoplog.record import plots
from shoplog.record.summary import Record

_DAY = 86400.0
#: A plot of one point says no more than the words beside it.
_LEAST = 2


def pictures(made: Record) -> list[tuple[str, str]]:
    """(caption, SVG text) of each picture that the record has enough facts for."""
    stated = statements(made.facts, made.recordings, made.course)
    found: list[tuple[str, str]] = []
    for piece, own in by_piece(stated).items():
        of = f", piece {piece}" if piece else ""
        drawn = (
            ("Moisture and weight over time", _moisture(own, _shop(made, piece))),
            ("Speeds over the work", _speeds(own, made)),
            ("Grit ladder", _grits(own)),
        )
        found += [(f"{caption}{of}", svg) for caption, svg in drawn if svg]
    return found + [(caption, svg) for caption, svg in _time(made) if svg]


def _shop(made: Record, piece: int | None) -> Derived | None:
    """Where wood settles in the shop, as it was computed for the piece."""
    wanted = "moisture at which wood settles in the shop" + (f" (piece {piece})" if piece else "")
    return next((d for d in made.derived if isinstance(d, Derived) and d.what == wanted), None)


def _moisture(stated: Sequence[Stated], shop: Derived | None) -> str | None:
    measured = measurings(stated)
    weighings = series(stated)
    weighed = [s for run in weighings for s in run]
    if max(len(measured), *map(len, weighings), 0) < _LEAST:
        return None
    first = min(s.order for s in [*(m.first for m in measured), *weighed])
    moments = [s.when for s in [*(m.first for m in measured), *weighed]]
    start: datetime | None = min(m for m in moments if m) if all(moments) else None
    readings = dated(stated)
    fitted, by_weight = _fitted(readings, shop, start)
    unit = str(weighed[0].fact.unit) if weighed else "g"
    aimed = target(stated)
    return plots.moisture(
        [plots.Level((m.first.order - first) / _DAY, m.percent) for m in measured],
        by_weight,
        [[plots.Level((s.order - first) / _DAY, convert(grams_of(s), "g", unit)) for s in run] for run in weighings],
        weight_unit=unit,
        curve=fitted,
        settles=span(shop) if shop else None,
        target=max(aimed.ends) if aimed else None,
        start=_date(start),
    )


def _date(moment: datetime | None) -> date | None:
    return moment.date() if moment else None


def _fitted(
    readings: Readings | None, shop: Derived | None, start: datetime | None
) -> tuple[list[plots.Fitted], list[plots.Level]]:
    """The curve through the readings, a third longer than they are, and the moistures that come from weights."""
    if readings is None or start is None:
        return [], []
    shift = (readings.start - start).total_seconds() / _DAY
    by_weight = [
        plots.Level(day + shift, percent)
        for day, percent in zip(readings.days, readings.percents, strict=True)
        if readings.weights
    ]
    try:
        made = curve(readings, shop)
    except CannotCompute:
        return [], by_weight
    end = readings.days[-1] * 4 / 3
    return [plots.Fitted(end * i / 40 + shift, *made.at(end * i / 40)) for i in range(41)], by_weight


def _speeds(stated: Sequence[Stated], made: Record) -> str | None:
    said, sizes = runs(stated), diameters(stated)
    if len(said) < _LEAST:
        return None
    drawn = []
    for each in said:
        size = nearest(sizes, each.order) if sizes else None
        place = made.course.operations.get(each.fact_id) if each.fact_id is not None else None
        drawn.append(
            plots.Run(
                rpm=sum(each.ends) / len(each.ends),
                diameter=size.in_unit("in") if size else None,
                operation=place.operation if place else None,
                planned=each.fact.status == "planned",
            )
        )
    return plots.speeds(drawn)


def _grits(stated: Sequence[Stated]) -> str | None:
    used = [[end for s in one for end in s.ends] for one in passes(stated)]
    planned = [end for s in stated if s.fact.kind == "grit" and s.fact.status == "planned" for end in s.ends]
    if sum(map(len, used)) < _LEAST:
        return None
    return plots.grits(used, sorted(set(planned)))


def _time(made: Record) -> list[tuple[str, str | None]]:
    spent = [plots.Effort(name, s.working, s.machine, s.waiting) for name, s in made.course.spent.items() if s.working]
    days = [plots.Effort(_day(d.number, d.date), d.working, d.machine, d.waiting) for d in made.days if d.working]
    return [
        (
            "Time spent by operation",
            plots.time_spent(spent, "Time spent by operation") if len(spent) >= _LEAST else None,
        ),
        ("Time spent by day", plots.time_spent(days, "Time spent by day") if len(days) >= _LEAST else None),
    ]


def _day(number: int, on: date | None) -> str:
    return f"day {number}" + (f", {on.isoformat()}" if on else "")
