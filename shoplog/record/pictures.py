"""Which pictures a record shows, and from which of its facts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, time

from shoplog.reckon import CannotCompute, Derived, readings, seasoning, turning
from shoplog.reckon.statements import Stated, by_piece
from shoplog.record import plots
from shoplog.record.summary import Record

_DAY = 86_400.0
#: A picture of one point says no more than the words beside it.
_LEAST = 2
#: The curve is drawn at so many points, and on for a third of the time that the readings span.
_CURVE_POINTS, _CURVE_ON = 40, 4 / 3


def pictures(made: Record) -> list[tuple[str, str]]:
    """(caption, SVG text) of each picture that the record has enough facts for, of each piece and then of the time."""
    operations = {f.id: place.operation for f in made.facts if (place := made.course.operations.get(f.id))}
    drawn: list[tuple[str, str | None]] = []
    for piece, own in by_piece(made.stated).items():
        of = f", piece {piece}" if piece is not None else ""
        drawn += [
            (f"Moisture and weight over time{of}", _moisture(made, own, piece)),
            (f"Speeds in the order of the work, with what is customary for the diameter{of}", _speeds(own, operations)),
            (f"Grits{of}", _grits(own)),
        ]
    drawn.append(("Time spent on each operation", _time(made)))
    return [(caption, svg) for caption, svg in drawn if svg]


def _day(made: Record, said: Stated, first: datetime | None) -> float:
    """Days after the first moment; whole days of the project where it has no dates."""
    if said.when is not None and first is not None:
        return (said.when - first).total_seconds() / _DAY
    return float(made.course.days_of.get(said.fact_id or 0, 1) - 1)


def _moisture(made: Record, stated: Sequence[Stated], piece: int | None) -> str | None:
    meter = [s for s in stated if s.fact.kind == "moisture" and s.fact.status == "done" and s.ends]
    runs = readings.series(stated)
    if max(len(meter), *map(len, runs), 0) < _LEAST:
        return None
    dated = [s.when for s in (*meter, *(s for run in runs for s in run)) if s.when is not None]
    first = datetime.combine(min(dated), time()) if dated else None
    unit = "g" if any(s.fact.unit in ("g", "kg") for run in runs for s in run) else "lb"
    shop = _shop(made, piece)
    fitted, by_weight = _curve(readings.dated(stated), shop, first)
    target = seasoning.target(stated)
    return plots.moisture(
        [plots.Level(_day(made, s, first), sum(s.ends) / len(s.ends)) for s in meter],
        by_weight,
        [[plots.Level(_day(made, s, first), s.in_unit(unit) or 0.0) for s in run] for run in runs],
        weight_unit=unit,
        curve=fitted,
        settles=seasoning.span(shop) if shop else None,
        target=max(target.ends) if target else None,
        start=first.date() if first else None,
    )


def _shop(made: Record, piece: int | None) -> Derived | None:
    """Where wood settles in the shop, as it was computed for the piece."""
    wanted = "moisture at which wood settles in the shop" + (f" (piece {piece})" if piece is not None else "")
    return next((d for d in made.derived if isinstance(d, Derived) and d.what == wanted), None)


def _curve(
    dated: readings.Readings | None, shop: Derived | None, first: datetime | None
) -> tuple[list[plots.Fitted], list[plots.Level]]:
    """The curve through the readings, where there are enough, and the moistures that follow from weights."""
    if dated is None or first is None:
        return [], []
    shift = (dated.start - first).total_seconds() / _DAY
    levels = (
        [plots.Level(d + shift, m) for d, m in zip(dated.days, dated.percents, strict=True)] if dated.weights else []
    )
    try:
        curve = seasoning.curve(dated, shop)
    except CannotCompute:
        return [], levels
    step = dated.days[-1] * _CURVE_ON / _CURVE_POINTS
    return [plots.Fitted(step * i + shift, *curve.at(step * i)) for i in range(_CURVE_POINTS + 1)], levels


def _speeds(stated: Sequence[Stated], operations: Mapping[int, str | None]) -> str | None:
    said = turning.runs(stated)
    if len(said) < _LEAST:
        return None
    sizes = turning.diameters(stated)
    runs = []
    for each in said:
        size = turning.nearest(sizes, each.order) if sizes else None
        runs.append(
            plots.Run(
                sum(each.ends) / len(each.ends),
                size.in_unit("in") if size else None,
                operations.get(each.fact_id or 0),
                planned=each.fact.status == "planned",
            )
        )
    return plots.speeds(runs)


def _grits(stated: Sequence[Stated]) -> str | None:
    passes = [[g for s in one for g in s.ends] for one in turning.passes(stated)]
    used = {g for one in passes for g in one}
    planned = [g for s in stated if s.fact.kind == "grit" and s.fact.status == "planned" for g in s.ends]
    left = list(dict.fromkeys(g for g in planned if g not in used))
    return plots.grits(passes, left) if len(used) + len(left) >= _LEAST else None


def _time(made: Record) -> str | None:
    spent = [(name, s) for name, s in made.course.spent.items() if s.working or s.waiting]
    return plots.time_spent([plots.Effort(n, s.working, s.machine, s.waiting) for n, s in spent]) if spent else None
