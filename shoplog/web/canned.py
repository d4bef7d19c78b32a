"""Questions that Datasette's tables are asked most, ready made."""

# ruff: noqa: S608 - joined from the constants of this file only
from __future__ import annotations

_SHOWN = "coalesce(fact.verdict, '') != 'reject' and fact.other_piece = 0"
_JOIN = "join recording on recording.id = fact.recording_id join project on project.id = recording.project_id"
#: A species belongs to its project: the one stated most often.
_WOOD = (
    "(select wood.item from fact wood join recording at on at.id = wood.recording_id where at.project_id = project.id "
    "and wood.kind = 'species' and wood.status != 'denied' and wood.other_piece = 0 "
    "and coalesce(wood.verdict, '') != 'reject' group by wood.item order by count(*) desc limit 1)"
)


def _query(title: str, sql: str) -> dict[str, str]:
    return {"title": title, "sql": sql}


QUERIES: dict[str, dict[str, str]] = {
    "speeds_by_wood": _query(
        "Speeds by wood and operation",
        f"select {_WOOD} as wood, fact.operation, count(*) as times, min(fact.si_low) as slowest_rpm, "
        f"round(avg((fact.si_low + fact.si_high) / 2)) as mean_rpm, max(fact.si_high) as fastest_rpm from fact {_JOIN} "
        f"where fact.kind = 'speed' and fact.status = 'done' and fact.si_low is not null and {_SHOWN} "
        "group by wood, fact.operation order by wood, fact.operation",
    ),
    "moisture_readings": _query(
        "Moisture readings in order of time",
        f"select project.name as project, {_WOOD} as wood, recording.started, fact.start as second, "
        f"fact.si_low as percent, fact.quote from fact {_JOIN} where fact.kind = 'moisture' and fact.status = 'done' "
        f"and {_SHOWN} order by project.name, recording.started, fact.start",
    ),
    "cracks": _query(
        "Cracks, with the last moisture reading before them",
        f"select project.name as project, {_WOOD} as wood, recording.started, fact.start as second, "
        "json_extract(fact.attrs, '$.change') as change, (select wet.si_low from fact wet join recording earlier "
        "on earlier.id = wet.recording_id where earlier.project_id = project.id and wet.kind = 'moisture' "
        "and wet.status = 'done' and (earlier.started, wet.start) <= (recording.started, fact.start) "
        "order by earlier.started desc, wet.start desc limit 1) as percent_before, fact.quote "
        f"from fact {_JOIN} where fact.kind = 'defect' and fact.item = 'crack' and fact.status = 'done' and {_SHOWN} "
        "order by project.name, recording.started, fact.start",
    ),
    "grits_by_project": _query(
        "Abrasives by project",
        "select project.name as project, recording.started, fact.start as second, fact.si_low as from_grit, "
        f"fact.si_high as to_grit, json_extract(fact.attrs, '$.holder') as holder, fact.quote from fact {_JOIN} "
        f"where fact.kind = 'grit' and fact.status = 'done' and {_SHOWN} "
        "order by project.name, recording.started, fact.start",
    ),
    "tools_by_operation": _query(
        "Tools by operation",
        f"select fact.item as tool, fact.operation, count(*) as times, count(distinct project.id) as projects "
        f"from fact {_JOIN} where fact.kind = 'tool' and fact.status = 'done' and {_SHOWN} "
        "group by tool, fact.operation order by tool, times desc",
    ),
    "finishes_by_wood": _query(
        "Finishes by wood",
        f"select {_WOOD} as wood, fact.item as finish, count(distinct project.id) as projects from fact {_JOIN} "
        f"where fact.kind = 'finish' and fact.status = 'done' and {_SHOWN} group by wood, finish order by wood, finish",
    ),
    "time_by_project": _query(
        "Recorded time by project",
        "select project.name as project, count(*) as recordings, round(sum(duration) / 60) as minutes, "
        "round(sum(machine_seconds) / 60) as machine_minutes from recording join project "
        "on project.id = recording.project_id where same_as is null group by project.id order by minutes desc",
    ),
    "sayings": _query(
        "Words said, found by their text",
        "select project.name as project, recording.name as recording, cue.start as second, cue.text from cue "
        "join recording on recording.id = cue.recording_id join project on project.id = recording.project_id "
        "where cue.trust != 'dropped' and instr(lower(cue.text), lower(:words)) > 0 "
        "order by recording.started, cue.start",
    ),
}
