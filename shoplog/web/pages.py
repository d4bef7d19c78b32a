"""The pages that show: home, projects, one project, recordings and their state, one recording."""

from __future__ import annotations

import hashlib
from typing import Any

from datasette.utils.asgi import Response

from shoplog.log import Recording
from shoplog.store import overview, queries
from shoplog.times import span
from shoplog.web.due import due
from shoplog.web.options import log_database, options_of
from shoplog.web.playing import clips_of
from shoplog.web.render import did, number, page, read, unchanged

NEWEST = 6
#: Recordings listed at first.
RECORDINGS = 200


async def home(datasette: Any, request: Any) -> Response:
    def look(conn: Any) -> dict[str, Any]:
        listed = unchanged(datasette, "projects", lambda: _projects(conn))
        known = unchanged(
            datasette, "known", lambda: [overview.items(conn, k)[:12] for k in ("species", "tool", "finish")]
        )
        doubtful = unchanged(datasette, "doubtful", lambda: queries.doubtful_facts(conn, 3))
        return {
            "projects": listed[:NEWEST],
            "more": max(len(listed) - NEWEST, 0),
            "doubtful": doubtful,
            "remarks": overview.remarks(conn, doubtful),
            "woods": known[0],
            "tools": known[1],
            "finishes": known[2],
            "under_way": queries.state(conn)["hearing"],
        }

    values = await read(datasette, look)
    promised = await due(datasette)
    heard = {k.recording_id for k in values["doubtful"]} | {d.promise.recording_id for d in promised}
    clips = await read(datasette, lambda conn: clips_of(queries.recording(conn, r) for r in sorted(heard)))
    return await page(
        datasette, request, "home", here="home", inbox=inbox(datasette), due=promised, clips=clips, **values
    )


def _projects(conn: Any) -> list[dict[str, Any]]:
    """All projects with their numbers, the newest first."""
    numbers = {name: n for n, name in overview.project_names(conn).items()}
    return [{**row, "number": numbers[row["name"]]} for row in queries.project_list(conn)]


def inbox(datasette: Any) -> tuple[str, str] | None:
    """(folder, what its watcher is doing), None where nothing is watched."""
    ask = options_of(datasette).inbox
    return ask() if ask else None


async def projects(datasette: Any, request: Any) -> Response:
    listed = await read(datasette, lambda conn: unchanged(datasette, "projects", lambda: _projects(conn)))
    return await page(datasette, request, "projects", here="projects", projects=listed)


async def project(datasette: Any, request: Any) -> Response:
    """The record of a project, every line to hear and to put right."""
    from shoplog.record import record

    wanted = number(request)

    def look(conn: Any) -> dict[str, Any]:
        loaded = queries.load_project(conn, overview.project_name(conn, wanted))
        made = record(loaded)
        kept = {f.id: f for f in made.facts}
        return {
            "made": made,
            "remarks": overview.remarks(conn, made.facts),
            "kept_of": lambda step: [kept[line.fact_id] for line in step.lines],
            "unheard": [r for r in made.recordings if r.state != "done"],
            "clips": clips_of(made.recordings),
            **did(conn, request),
        }

    return await page(datasette, request, "project", here="projects", **await read(datasette, look))


async def recordings(datasette: Any, request: Any) -> Response:
    def look(conn: Any) -> dict[str, Any]:
        found = sorted(queries.recordings(conn), key=_urgency)
        shown = found if request.args.get("all") else found[:RECORDINGS]
        return {
            "recordings": shown,
            "older": len(found) - len(shown),
            "names": overview.project_names(conn),
            "shares": {u["id"]: u["share"] for u in queries.state(conn)["hearing"]},
        }

    values = await read(datasette, look)
    return await page(datasette, request, "recordings", here="recordings", inbox=inbox(datasette), **values)


def _urgency(recording: Recording) -> tuple[int, int]:
    return ("hearing", "waiting", "failed", "done").index(recording.state), -recording.id


async def recording(datasette: Any, request: Any) -> Response:
    wanted = number(request)

    def look(conn: Any) -> dict[str, Any]:
        found = queries.recording(conn, wanted)
        shares = {u["id"]: u["share"] for u in queries.state(conn)["hearing"]}
        take = queries.load_take(conn, found)
        return {
            "take": take,
            "remarks": overview.remarks(conn, take.facts),
            "dropped": [c for c in take.cues if c.trust == "dropped"],
            "project": overview.project_name(conn, found.project_id),
            "share": shares.get(wanted),
            **did(conn, request),
        }

    values = await read(datasette, look)
    clips = clips_of([values["take"].recording])
    return await page(datasette, request, "recording", here="recordings", clips=clips, **values)


async def state(datasette: Any, request: Any) -> Response:
    """What is going on now, for the script: ``version`` changes when a page that shows it should be read again."""

    def look(conn: Any) -> tuple[Any, Any]:
        counts = unchanged(datasette, "counts", lambda: overview.counts(conn))
        return counts, queries.state(conn)["hearing"]

    counts, going = await read(datasette, look)
    watched = inbox(datasette)
    shown = (counts.waiting, counts.done, counts.failed, counts.doubtful, [u["id"] for u in going], watched)
    return Response.json(
        {
            "version": hashlib.sha256(repr(shown).encode()).hexdigest()[:16],
            "waiting": counts.waiting,
            "hearing": [{**u, "left": span(u["seconds_left"]) if u["seconds_left"] else ""} for u in going],
            "done": counts.done,
            "failed": counts.failed,
            "needs_a_listen": counts.doubtful,
        },
        headers={"cache-control": "no-store"},
    )


async def here(datasette: Any) -> Response:
    """Which log is shown here; a second start asks. It says no more than that, and needs no password."""
    from pathlib import Path

    from shoplog.web.standing import name_of

    return Response.json({"log": name_of(Path(log_database(datasette).path))}, headers={"cache-control": "no-store"})
