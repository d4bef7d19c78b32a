"""Questions and their answers; what the log knows of one wood or tool."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from datasette.utils.asgi import Response

from shoplog.errors import InputError, NotFound
from shoplog.store import overview, queries
from shoplog.web.playing import clips_of
from shoplog.web.render import did, freshen, page, read

#: A question longer than this is none.
LONGEST = 500
MOST = 60
#: Lines of one part of a wood's page.
SHORT = 20


async def find(datasette: Any, request: Any) -> Response:
    """The answer to a question: what was understood, the answer in short, facts and passages to hear."""
    question = _asked(request, "q")

    def look(conn: Any) -> dict[str, Any]:
        from shoplog.search import search, understand
        from shoplog.search.telling import groups, sentence, spent_line
        from shoplog.web.conditions import edited, fields

        query = understand(question)
        if request.args.get("edited"):
            query = edited(query, {name: request.args.get(name) or "" for name in request.args})
        answer = search(conn, query, MOST)
        wanted = {f.kept.recording_id for f in answer.found} | {p.recording_id for p in answer.passages}
        return {
            "answer": answer,
            "remarks": overview.remarks(conn, (f.kept for f in answer.found)),
            "conditions": fields(answer.query),
            "short": "" if answer.query.empty else sentence(answer),
            "groups": list(groups(answer.summary)) if answer.summary and answer.summary.count > 1 else [],
            "spent": [(s, spent_line(s)) for s in answer.spent[:6]],
            **did(conn, request),
            "numbers": {name: n for n, name in overview.project_names(conn).items()},
            "clips": clips_of(queries.recording(conn, r) for r in sorted(wanted)),
        }

    asked = question or request.args.get("edited")
    if asked:
        await freshen(datasette)
    values = await read(datasette, look) if asked else {"answer": None}
    return await page(datasette, request, "find", here="find", question=question, **values)


async def wood(datasette: Any, request: Any) -> Response:
    """What the log knows of a wood, and the reckoning before the next piece of it."""
    from shoplog.reckon.before import before
    from shoplog.search import pages
    from shoplog.search.query import parse_bounds

    name, size = _asked(request, "name"), _asked(request, "diameter")
    if not name:
        raise NotFound("Name a wood; the first page lists those that the log knows.")
    wanted = parse_bounds(size, "dimension") if size else None
    if wanted and not (wanted.about and wanted.about > 0 and wanted.unit in ("in", "ft", "mm", "cm", "m")):
        raise InputError(f'"{size}" is no diameter; write it like 10in or 250mm.')
    near = pages.like_size(wanted.about, wanted.unit) if wanted and wanted.about else None

    def look(conn: Any) -> dict[str, Any]:
        try:
            found, missing = pages.wood(conn, name, near), ""
        except NotFound as error:
            found, missing = None, str(error)  # the reckoning needs no log
        facts = _shown(found) if found else ()
        return {"wood": found, "missing": missing, **_heard(conn, facts)}

    await freshen(datasette)
    values = await read(datasette, look)
    results = before(name, wanted.about if wanted else None, wanted.unit if wanted else "in")
    title = values["wood"].species if values["wood"] else name
    return await page(
        datasette, request, "wood", here="wood", name=title, size=size, results=results, most=SHORT, **values
    )


async def tool(datasette: Any, request: Any) -> Response:
    """What the log knows of a tool, a finish, a glue or a way of holding."""
    from shoplog.search import pages

    name = _asked(request, "name")

    def look(conn: Any) -> dict[str, Any]:
        found = pages.tool(conn, name)
        return {"tool": found, **_heard(conn, (*found.uses.found[:MOST], *found.waits[:MOST]))}

    await freshen(datasette)
    return await page(datasette, request, "tool", here="tool", most=MOST, **await read(datasette, look))


def _shown(found: Any) -> list[Any]:
    """The facts that a wood's page plays."""
    readings = [c.moisture for c in found.cracks[:SHORT] if c.moisture]
    return [*found.speeds.found[:SHORT], *found.moisture[:SHORT], *(c.found for c in found.cracks[:SHORT]), *readings]


def _asked(request: Any, name: str) -> str:
    return " ".join((request.args.get(name) or "").split())[:LONGEST]


def _heard(conn: Any, facts: Iterable[Any]) -> dict[str, Any]:
    """The clips and remarks of facts, and the numbers of all projects by name."""
    kept = [f.kept for f in facts]
    wanted = sorted({k.recording_id for k in kept})
    return {
        "remarks": overview.remarks(conn, kept),
        "clips": clips_of(queries.recording(conn, r) for r in wanted),
        "numbers": {name: n for n, name in overview.project_names(conn).items()},
    }
