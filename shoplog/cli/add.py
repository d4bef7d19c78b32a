"""``shoplog add``: hear recordings or read captions, and keep what was stated."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from contextlib import AbstractContextManager
from pathlib import Path

import click

from shoplog.cli.common import echo_json, json_option, log, log_path
from shoplog.hearing import Hearing, Progress
from shoplog.register import Outcome, register_all


@click.command()
@click.argument("paths", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option("--project", help="Put all of it into this project.")
@click.option("--join", is_flag=True, help="The files given are parts of one recording, in this order.")
@click.option("--model", help="Weights to hear with: a folder, or a name from shoplog models.")
@click.option("--device", type=click.Choice(["cpu", "cuda"]), default="cpu", show_default=True)
@click.option("--workers", type=click.IntRange(1, 64), default=1, show_default=True, help="Recordings heard at once.")
@click.option("--cluster", metavar="ADDRESS", help="Hear on a Dask cluster, for instance tcp://127.0.0.1:8786.")
@json_option
@click.pass_context
def add(
    ctx: click.Context,
    paths: Sequence[Path],
    project: str | None,
    join: bool,
    model: str | None,
    device: str,
    workers: int,
    cluster: str | None,
    as_json: bool,
) -> None:
    """Hear the recordings (or read the captions) in PATHS and keep what was stated. The files are only read.

    A folder with subfolders is an inbox: each subfolder is a project, and loose files are one each. A folder without
    is one project. What is in the log already is not heard again; what was interrupted goes on where it stopped.

    \b
    Examples:
      shoplog add ~/videos/elm-bowl
      shoplog add day-1.mp4 day-2.mp4 --project "elm bowl"
      shoplog add backlog --workers 4
    """
    from shoplog import backlog, inbox, ingest

    hearing = Hearing(model=model, device="cuda" if device == "cuda" else "cpu")
    found, passed = inbox.sources(paths, project)
    outcomes = [Outcome(p.path, "failed" if p.failed else "passed", reason=p.reason) for p in passed]
    with log(ctx, create=True) as conn:
        registered = register_all(conn, found, join=join)
        outcomes += [o for o in registered if o.verdict != "added"]
        waiting = [o for o in registered if o.verdict == "added"]
        with _shown(waiting) as progress:
            if cluster:
                outcomes += backlog.on_cluster(conn, waiting, cluster, hearing, progress)
            elif workers > 1:
                outcomes += backlog.on_this_machine(log_path(ctx), waiting, workers, hearing, progress)
            else:
                outcomes += [ingest.process(conn, o.recording_id, hearing, progress) for o in waiting if o.recording_id]
        ingest.mark_same_moments(conn)
    if as_json:
        echo_json([o.as_json() for o in outcomes])
    else:
        report(outcomes)
    if any(o.verdict == "failed" for o in outcomes):
        sys.exit(1)


def _shown(waiting: Sequence[Outcome]) -> AbstractContextManager[Progress]:
    from shoplog.cli.progress import bar

    lengths = {o.path.name: o.duration or 0.0 for o in waiting}
    return bar(sum(lengths.values()), lengths)


def report(outcomes: Sequence[Outcome]) -> None:
    """One line for each file, failures on stderr."""
    for o in outcomes:
        if o.verdict == "added":
            click.echo(f'{o.path.name}: {o.facts} facts, in "{o.project}"')
        elif o.verdict == "already":
            click.echo(f'{o.path.name}: already in "{o.project}"')
        elif o.verdict == "passed":
            click.echo(f"{o.path.name}: passed over; {o.reason}")
        else:
            click.echo(f"{o.path}: failed; {o.reason}", err=True)
    if not outcomes:
        click.echo("No recordings or captions were found there.")
