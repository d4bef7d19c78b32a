"""The pages that show: home, projects, one project, recordings and their state, one recording."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from datasette.utils.asgi import Response

from shoplog.log import KeptFact, Project, Recording, Take
from shoplog.store import overview, queries
from shoplog.web.options import options_of
from shoplog.web.playing import clips_of
from shoplog.web.render import number, page, read
from shoplog.web.words import day

NEWEST = 6


@dataclass(frozen=True, slots=True)
class Step:
    """Facts stated one after another in one operation."""

    operation: str
    facts: tuple[KeptFact, ...]


@dataclass(frozen=True, slots=True)
class Day:
    """One day of a project with its recordings."""

    label: str
    takes: tuple[tuple[Take, tuple[Step, ...]], ...]


def days(project: Project) -> tuple[Day, ...]:
    """The takes by day in order, the facts of each by operation in the order in which they were said."""
    grouped: dict[str, list[tuple[Take, tuple[Step, ...]]]] = {}
    for take in project.takes:
        grouped.setdefault(day(take.recording.started) or "Undated", []).append((take, tuple(steps(take.facts))))
    return tuple(Day(label, tuple(takes)) for label, takes in grouped.items())


def steps(facts: Iterable[KeptFact]) -> Iterable[Step]:
    """Runs of facts of the same operation; a fact without one belongs to the run it stands in."""
    run: list[KeptFact] = []
    operation = ""
    for kept in facts:
        if kept.operation and operation and kept.operation != operation:
            yield Step(operation, tuple(run))
            run = []
        operation = kept.operation or operation
        run.append(kept)
    if run:
        yield Step(operation, tuple(run))


async def home(datasette: Any, request: Any) -> Response:
    def look(conn: Any) -> dict[str, Any]:
        numbers = {name: n for n, name in overview.project_names(conn).items()}
        listed = queries.project_list(conn)
        return {
            "projects": [{**row, "number": numbers[row["name"]]} for row in listed[:NEWEST]],
            "more": max(len(listed) - NEWEST, 0),
            "doubtful": queries.doubtful_facts(conn, 3),
            "woods": overview.items(conn, "species")[:12],
            "tools": overview.items(conn, "tool")[:12],
            "under_way": overview.under_way(conn),
            "recordings": {r.id: r for r in queries.recordings(conn)},
            "names": overview.project_names(conn),
        }

    values = await read(datasette, look)
    recordings = values["recordings"]
    values["clips"] = clips_of({recordings[k.recording_id].id: recordings[k.recording_id] for k in values["doubtful"]}.values())
    return await page(datasette, request, "home", here="home", inbox=inbox(datasette), **values)


def inbox(datasette: Any) -> tuple[str, str] | None:
    """(folder, what its watcher is doing), None where nothing is watched."""
    ask = options_of(datasette).inbox
    return ask() if ask else None


async def projects(datasette: Any, request: Any) -> Response:
    def look(conn: Any) -> list[dict[str, Any]]:
        numbers = {name: n for n, name in overview.project_names(conn).items()}
        return [{**row, "number": numbers[row["name"]]} for row in queries.project_list(conn)]

    return await page(datasette, request, "projects", here="projects", projects=await read(datasette, look))


async def project(datasette: Any, request: Any) -> Response:
    wanted = number(request)
    loaded = await read(datasette, lambda conn: queries.load_project(conn, overview.project_name(conn, wanted)))
    return await page(
        datasette,
        request,
        "project",
        here="projects",
        project=loaded,
        days=days(loaded),
        clips=clips_of(t.recording for t in loaded.takes),
    )


async def recordings(datasette: Any, request: Any) -> Response:
    def look(conn: Any) -> dict[str, Any]:
        return {
            "recordings": sorted(queries.recordings(conn), key=_urgency),
            "names": overview.project_names(conn),
            "shares": {u.recording_id: u.share for u in overview.under_way(conn)},
        }

    values = await read(datasette, look)
    return await page(datasette, request, "recordings", here="recordings", inbox=inbox(datasette), **values)


def _urgency(recording: Recording) -> tuple[int, int]:
    return ("hearing", "waiting", "failed", "done").index(recording.state), -recording.id


async def recording(datasette: Any, request: Any) -> Response:
    wanted = number(request)

    def look(conn: Any) -> dict[str, Any]:
        found = queries.recording(conn, wanted)
        shares = {u.recording_id: u.share for u in overview.under_way(conn)}
        return {
            "take": queries.load_take(conn, found),
            "project": overview.project_name(conn, found.project_id),
            "share": shares.get(wanted),
        }

    values = await read(datasette, look)
    clips = clips_of([values["take"].recording])
    return await page(datasette, request, "recording", here="recordings", clips=clips, **values)


async def state(datasette: Any, request: Any) -> Response:
    """What is going on now, for the script: ``version`` changes when a page that shows it should be read again."""

    def look(conn: Any) -> tuple[Any, Any]:
        return overview.counts(conn), overview.under_way(conn)

    counts, going = await read(datasette, look)
    watched = inbox(datasette)
    shown = (counts.waiting, counts.done, counts.failed, counts.doubtful, [u.recording_id for u in going], watched)
    return Response.json(
        {
            "version": hashlib.sha256(repr(shown).encode()).hexdigest()[:16],
            "waiting": counts.waiting,
            "hearing": [{"recording": u.recording_id, "name": u.name, "share": u.share} for u in going],
            "done": counts.done,
            "failed": counts.failed,
            "needs_a_listen": counts.doubtful,
        },
        headers={"cache-control": "no-store"},
    )
