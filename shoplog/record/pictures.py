"""Which pictures a record shows, and from which of its facts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from shoplog.reckon import readings, turning
from shoplog.reckon.derived import Derived
from shoplog.reckon.statements import Stated, statements
from shoplog.record import plots
from shoplog.record.summary import Record


def pictures(made: Record) -> list[tuple[str, str]]:
    """(caption, SVG text) of each picture that the record has enough facts for."""
    operations = {f.id: place.operation for f in made.facts if (place := made.course.operations.get(f.id))}
    stated = statements(made.facts, made.recordings, made.course)
    drawn = [
        ("Moisture and weight over time", _moisture(made, stated)),
        ("Speeds in the order of the work, with what is customary for the diameter", _speeds(stated, operations)),
        ("Grits", _grits(stated)),
        ("Time spent on each operation", _time(made)),
    ]
    return [(caption, svg) for caption, svg in drawn if svg]


def _day(made: Record, said: Stated, first: datetime | None) -> float:
    """Days after the first moment; whole days of the project where it has no dates."""
    if said.when is not None and first is not None:
        return (said.when - first).total_seconds() / 86_400
    return float(made.course.days_of.get(said.fact_id or 0, 1) - 1)


def _moisture(made: Record, stated: Sequence[Stated]) -> str | None:
    meter = [s for s in stated if s.fact.kind == "moisture" and s.fact.status == "done" and s.ends]
    runs = readings.series(stated)
    if len(meter) + sum(map(len, runs)) < 2:
        return None
    dated = [s.when for s in (*meter, *(s for run in runs for s in run)) if s.when is not None]
    first = min(dated).replace(hour=0, minute=0, second=0, microsecond=0) if dated else None
    metric = any(s.fact.unit in ("g", "kg") for run in runs for s in run)
    unit = "g" if metric else "lb"
    shop = next((d for d in made.derived if isinstance(d, Derived) and d.what.endswith("settles in the shop")), None)
    return plots.moisture(
        [plots.Level(_day(made, s, first), sum(s.ends) / len(s.ends)) for s in meter],
        weights=[[plots.Level(_day(made, s, first), s.in_unit(unit) or 0.0) for s in run] for run in runs],
        weight_unit=unit,
        settles=_ends(shop),
        start=first.date() if first else None,
    )


def _ends(result: Derived | None) -> tuple[float, float] | None:
    numbers = [n for n in (result.value, result.low, result.high) if isinstance(n, float)] if result else []
    return (min(numbers), max(numbers)) if numbers else None


def _speeds(stated: Sequence[Stated], operations: Mapping[int, str | None]) -> str | None:
    said = turning.runs(stated)
    if len(said) < 2:
        return None
    sizes = turning.diameters(stated)
    runs = []
    for each in said:
        size = turning.nearest(sizes, each.order) if sizes else None
        across = size.in_unit("in") if size else None
        runs.append(
            plots.Run(
                sum(each.ends) / len(each.ends),
                across,
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
    return plots.grits(passes, left) if len(used) + len(left) > 1 else None


def _time(made: Record) -> str | None:
    spent = [(name, s) for name, s in made.course.spent.items() if s.working or s.waiting]
    return plots.time_spent([plots.Effort(n, s.working, s.machine, s.waiting) for n, s in spent]) if spent else None
