"""What the commands share: the database, JSON out, times for people."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import click

from shoplog.settings import database_path


def log_path(ctx: click.Context) -> Path:
    """The database that this call works on."""
    return database_path((ctx.find_root().obj or {}).get("db"))


@contextmanager
def log(ctx: click.Context, *, create: bool = False) -> Iterator[sqlite3.Connection]:
    """The open database; made only where the command puts something into it."""
    from shoplog.store import open_database

    with closing(open_database(log_path(ctx), create=create)) as conn:
        yield conn


def echo_json(value: Any) -> None:
    """JSON for programs, readable for people, any script as it is."""
    click.echo(json.dumps(value, ensure_ascii=False, indent=2, default=str))


json_option = click.option("--json", "as_json", is_flag=True, help="Print JSON, for programs.")
