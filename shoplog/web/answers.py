"""Tables to take away."""

from __future__ import annotations

import csv
import io
from typing import Any

from datasette.utils.asgi import Response

from shoplog.cells import harmless
from shoplog.store import overview, queries
from shoplog.times import stamp
from shoplog.web.render import number, read
from shoplog.wording import say

COLUMNS = (
    "fact", "recording", "started", "at", "operation", "kind", "item", "value", "low", "high", "unit", "about",
    "status", "says", "quote", "corrected",
)  # fmt: skip


async def project_csv(datasette: Any, request: Any) -> Response:
    """The facts of one project, one a row, for a spreadsheet."""
    wanted = number(request)
    loaded = await read(datasette, lambda conn: queries.load_project(conn, overview.project_name(conn, wanted)))
    out = io.StringIO()
    rows = csv.writer(out)
    rows.writerow(COLUMNS)
    for take in loaded.takes:
        for kept in take.facts:
            f, r = kept.fact, take.recording
            rows.writerow(
                harmless(cell)
                for cell in (
                    kept.id, r.name, r.started.isoformat() if r.started else None, stamp(f.start), kept.operation,
                    f.kind, f.item, f.value, f.low, f.high, f.unit, "yes" if f.approx else "", f.status, say(f),
                    f.quote, kept.verdict,
                )
            )  # fmt: skip
    return Response(
        out.getvalue(),
        content_type="text/csv; charset=utf-8",
        headers={"content-disposition": f'attachment; filename="project-{wanted}.csv"'},
    )
