"""The pictures of a project's record. They take a moment to draw, so they are asked for by themselves, and kept."""

from __future__ import annotations

from typing import Any

from datasette.utils.asgi import Response

from shoplog.errors import NotFound
from shoplog.store import overview, queries
from shoplog.web.render import number, page, read, unchanged

Drawn = list[tuple[str, str]]


async def pictures(datasette: Any, request: Any) -> Response:
    """All pictures of a project on a page; the project's own page takes them over."""
    wanted = number(request)
    drawn = await _drawn(datasette, wanted)
    name = await read(datasette, lambda conn: overview.project_name(conn, wanted))
    titles = [title for title, _ in drawn]
    return await page(datasette, request, "pictures", here="projects", number=wanted, name=name, titles=titles)


async def picture(datasette: Any, request: Any) -> Response:
    """One picture, as SVG."""
    drawn, place = await _drawn(datasette, number(request)), number(request, "place")
    if place >= len(drawn):
        raise NotFound("There is no picture under that number.")
    return Response(
        drawn[place][1],
        content_type="image/svg+xml; charset=utf-8",
        headers={"content-security-policy": "default-src 'none'; style-src 'unsafe-inline'; sandbox"},
    )


async def _drawn(datasette: Any, project: int) -> Drawn:
    def look(conn: Any) -> Drawn:
        from shoplog.record import record
        from shoplog.record.pictures import pictures as draw

        def make() -> Drawn:
            return draw(record(queries.load_project(conn, overview.project_name(conn, project))))

        return unchanged(datasette, ("pictures", project), make)

    return await read(datasette, look)
