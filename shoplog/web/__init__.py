"""The pages: a Datasette plugin, on only where one of the attached databases is a log.

The hooks of Datasette's stable line stand here and nowhere else.
"""

from __future__ import annotations

from typing import Any

from datasette import hookimpl


@hookimpl
def register_routes(datasette: Any) -> list[tuple[str, Any]]:
    from shoplog.web.options import log_name

    if log_name(datasette) is None:
        return []
    from shoplog.web.routes import ROUTES

    return ROUTES


@hookimpl
def asgi_wrapper(datasette: Any) -> Any:
    from shoplog.web.options import log_name, options_of

    if log_name(datasette) is None:
        return lambda app: app
    from shoplog.web.guard import guard

    return lambda app: guard(app, options_of(datasette))


@hookimpl
def prepare_jinja2_environment(env: Any, datasette: Any) -> None:
    from shoplog.web.options import log_name

    if log_name(datasette) is not None:
        from shoplog.web.words import FILTERS

        env.filters.update(FILTERS)


@hookimpl
def canned_queries(datasette: Any, database: str) -> dict[str, dict[str, str]]:
    from shoplog.web.options import log_name

    if database != log_name(datasette):
        return {}
    from shoplog.web.canned import QUERIES

    return QUERIES


@hookimpl
def menu_links(datasette: Any) -> list[dict[str, str]]:
    from shoplog.web.options import log_name

    return [] if log_name(datasette) is None else [{"href": "/", "label": "The log's own pages"}]


@hookimpl
def handle_exception(datasette: Any, request: Any, exception: Exception) -> Any:
    from shoplog.web.options import log_name

    if log_name(datasette) is None:
        return None
    from shoplog.web.render import sorry

    return lambda: sorry(datasette, request, exception)
