"""``shoplog demo``: the whole way, on the demonstration recordings."""

from __future__ import annotations

import shutil
import time
from pathlib import Path

import click


@click.command()
@click.argument("folder", required=False, type=click.Path(path_type=Path))
@click.option("--model", help="Weights to hear with: a folder, or a name from shoplog models.")
@click.pass_context
def demo(ctx: click.Context, folder: Path | None, model: str | None) -> None:
    """Hear the demonstration recordings of an invented maker and print their record.

    They are copied into an inbox in FOLDER (by default shoplog-demo in the folder where you are), with a database of
    their own; nothing else is touched.

    \b
    Example:
      shoplog demo
    """
    from contextlib import closing

    from shoplog import inbox, ingest, record
    from shoplog.cli.add import report
    from shoplog.cli.progress import bar
    from shoplog.demo import recordings
    from shoplog.errors import InputError
    from shoplog.hearing import Hearing
    from shoplog.register import register_all
    from shoplog.speech.weights import find_weights
    from shoplog.store import open_database, queries
    from shoplog.times import span

    source = recordings()
    folder = folder or _free(Path.cwd() / "shoplog-demo")
    if folder.exists() and any(folder.iterdir()):
        raise InputError(f"{folder} is not empty; name a new folder for the demonstration.")
    find_weights(model)  # said before anything is copied
    box = folder / "inbox"
    shutil.copytree(source, box)
    database = folder / "shoplog.db"
    begun = time.monotonic()
    with closing(open_database(database)) as conn:
        found, _ = inbox.sources([box])
        waiting = [o for o in register_all(conn, found) if o.recording_id is not None]
        lengths = {o.path.name: o.duration or 0.0 for o in waiting}
        with bar(sum(lengths.values()), lengths) as progress:
            hearing = Hearing(model=model)
            outcomes = [ingest.process(conn, o.recording_id, hearing, progress) for o in waiting if o.recording_id]
        report(outcomes)
        names = queries.project_names(conn)
        for name in names:
            click.echo()
            click.echo(record.to_text(record.record(queries.load_project(conn, name))), nl=False)
    click.echo(
        f"\nHeard {span(sum(lengths.values()))} of recordings in {span(time.monotonic() - begun)}."
        f"\nThe database is {database}\n\nTry next:"
        f'\n  shoplog --db "{database}" find "what speed for sanding"'
        f'\n  shoplog --db "{database}" describe "{names[0]}"'
        f'\n  shoplog --db "{database}" serve'
    )


def _free(path: Path) -> Path:
    """The path, or the first of path-2, path-3, ... that does not exist."""
    n = 1
    free = path
    while free.exists():
        n += 1
        free = path.with_name(f"{path.name}-{n}")
    return free
