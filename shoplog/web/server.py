"""A Datasette for one log, set up as the pages need it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from shoplog.web.options import Options, bind

#: Arbitrary SQL runs read-only, and no longer than this.
SQL_MILLISECONDS = 1500


def datasette_for(path: Path, options: Options, secret: str | None = None) -> Any:
    """The Datasette that serves the log at ``path``; ``.app()`` is the ASGI application.

    ``secret`` signs the forms' tokens; one that is kept lets open pages outlive a restart.
    """
    from datasette.app import Datasette, DatasetteClient
    from datasette.database import Database

    served = Datasette(
        [],
        secret=secret,
        metadata={"title": "shoplog"},
        settings={
            "sql_time_limit_ms": SQL_MILLISECONDS,
            "default_page_size": 50,
            "allow_download": False,
            "default_cache_ttl": 0,
            "force_https_urls": False,
        },
    )
    served.remove_database("_memory")
    served.add_database(Database(served, str(path), is_mutable=True), name="log")
    bind(served, options)
    # The one that it made for itself was made before the log was there.
    served.client = DatasetteClient(served)
    return served


def take_over_errors() -> None:
    """Let our error pages stand alone in this process.

    Datasette's own handler runs besides ours and prints every local variable of every error, a missing page's too.
    """
    from datasette.plugins import pm

    if pm.has_plugin("datasette.handle_exception"):
        pm.unregister(name="datasette.handle_exception")
