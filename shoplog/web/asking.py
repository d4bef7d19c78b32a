"""Questions and their answers; what the log knows of one wood or tool."""

from __future__ import annotations

from typing import Any
from urllib.parse import quote_plus

from datasette.utils.asgi import Response

from shoplog.store import overview, queries
from shoplog.web.playing import clips_of
from shoplog.web.render import did, freshen, page, read, redirect

#: A question longer than this is none.
LONGEST = 500
MOST = 60


async def find(datasette: Any, request: Any) -> Response:
    """The answer to a question: what was understood, the answer in short, facts and passages to hear."""
    question = " ".join((request.args.get("q") or "").split())[:LONGEST]

    def look(conn: Any) -> dict[str, Any]:
        from shoplog.search import search, understand
        from shoplog.search.telling import groups, sentence, spent_line

        answer = search(conn, understand(question), MOST)
        wanted = {f.kept.recording_id for f in answer.found} | {p.recording_id for p in answer.passages}
        return {
            "answer": answer,
            "short": sentence(answer) if not answer.query.empty else "",
            "groups": list(groups(answer.summary)) if answer.summary and answer.summary.count > 1 else [],
            "spent": [(s, spent_line(s)) for s in answer.spent[:6]],
            **did(conn, request),
            "numbers": {name: n for n, name in overview.project_names(conn).items()},
            "clips": clips_of(queries.recording(conn, r) for r in sorted(wanted)),
        }

    if question:
        await freshen(datasette)
    values = await read(datasette, look) if question else {"answer": None}
    return await page(datasette, request, "find", here="find", question=question, **values)


async def wood(datasette: Any, request: Any) -> Response:
    return redirect("/find?q=" + quote_plus(request.args.get("name") or ""))


async def tool(datasette: Any, request: Any) -> Response:
    return redirect("/find?q=" + quote_plus(request.args.get("name") or ""))
