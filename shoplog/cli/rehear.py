"""``shoplog rehear`` and ``shoplog reread``: the same recordings with another model, or with newer patterns."""

from __future__ import annotations

import sqlite3
import sys
from collections.abc import Sequence

import click

from shoplog.cli.common import log


def _chosen(conn: sqlite3.Connection, names: Sequence[str], everything: bool) -> list[int]:
    """Recording numbers for project names and numbers of recordings."""
    from shoplog.errors import InputError
    from shoplog.store import queries

    if everything:
        return [r.id for r in queries.recordings(conn)]
    if not names:
        raise InputError("Name projects or numbers of recordings, or say --all.")
    chosen: list[int] = []
    for name in names:
        if name.isdecimal():
            chosen.append(queries.recording(conn, int(name)).id)
        else:
            chosen += [r.id for r in queries.recordings(conn, queries.project_id(conn, name))]
    return list(dict.fromkeys(chosen))


@click.command()
@click.argument("names", nargs=-1)
@click.option("--all", "everything", is_flag=True, help="Every recording in the log.")
@click.option("--model", help="Weights to hear with: a folder, or a name from shoplog models.")
@click.option("--device", type=click.Choice(["cpu", "cuda"]), default="cpu", show_default=True)
@click.option("--keep-all", is_flag=True, help="Keep also what is usually dropped as invented.")
@click.pass_context
def rehear(
    ctx: click.Context, names: Sequence[str], everything: bool, model: str | None, device: str, keep_all: bool
) -> None:
    """Hear stored recordings again (projects by name, recordings by number). Your corrections stay.

    \b
    Example:
      shoplog rehear "elm bowl" --model small
    """
    from shoplog import ingest
    from shoplog.cli.add import report
    from shoplog.cli.progress import bar
    from shoplog.hearing import Hearing
    from shoplog.store import queries

    hearing = Hearing(model=model, device="cuda" if device == "cuda" else "cpu", keep_all=keep_all)
    with log(ctx) as conn:
        recordings = [queries.recording(conn, n) for n in _chosen(conn, names, everything)]
        media = [r for r in recordings if r.kind == "media"]
        lengths = {r.name: r.duration or 0.0 for r in media}
        with bar(sum(lengths.values()), lengths) as progress:
            outcomes = [ingest.rehear(conn, r.id, hearing, progress) for r in media]
    report(outcomes)
    if len(media) < len(recordings):
        click.echo(f"{len(recordings) - len(media)} captions have no sound to hear; use shoplog reread.")
    if any(o.verdict == "failed" for o in outcomes):
        sys.exit(1)


@click.command()
@click.argument("names", nargs=-1)
@click.option("--all", "everything", is_flag=True, help="Every recording in the log.")
@click.pass_context
def reread(ctx: click.Context, names: Sequence[str], everything: bool) -> None:
    """Extract the facts of stored recordings again with the newest patterns. Your corrections stay.

    \b
    Example:
      shoplog reread --all
    """
    from shoplog import ingest

    with log(ctx) as conn:
        for number in _chosen(conn, names, everything):
            click.echo(f"recording {number}: {ingest.reread(conn, number)} facts")
