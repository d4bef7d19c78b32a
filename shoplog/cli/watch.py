"""``shoplog watch`` and ``shoplog status``."""

from __future__ import annotations

from pathlib import Path

import click

from shoplog.cli.common import echo_json, json_option, log, log_path


@click.command()
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--model", help="Weights to hear with: a folder, or a name from shoplog models.")
@click.option("--device", type=click.Choice(["cpu", "cuda"]), default="cpu", show_default=True)
@click.option("--poll", is_flag=True, help="Look by itself instead of waiting to be told; for network folders.")
@click.option("--once", is_flag=True, help="Hear what is there now and end.")
@click.pass_context
def watch(ctx: click.Context, folder: Path, model: str | None, device: str, poll: bool, once: bool) -> None:
    """Watch FOLDER and hear what is put there, one recording at a time. The files are only read.

    A subfolder is a project, loose files are one each. A file is taken when it has stopped growing. Stop with Ctrl-C:
    the part being heard is finished and stored, and the next start goes on from there.

    \b
    Example:
      shoplog watch ~/videos/inbox
    """
    import signal
    import threading

    from shoplog.hearing import Hearing
    from shoplog.watch import watch as run

    stop = threading.Event()
    for name in (signal.SIGINT, signal.SIGTERM):
        signal.signal(name, lambda *_: stop.set())
    click.echo(f"Watching {folder}; stop with Ctrl-C.", err=True)
    run(
        folder,
        log_path(ctx),
        hearing=Hearing(model=model, device="cuda" if device == "cuda" else "cpu"),
        stop=stop,
        tell=lambda line: click.echo(line, err=True),
        poll=poll,
        once=once,
    )
    click.echo("Stopped; everything finished is stored.", err=True)


@click.command()
@json_option
@click.pass_context
def status(ctx: click.Context, as_json: bool) -> None:
    """Show what is waiting, being heard (with progress and time left), done and failed.

    \b
    Example:
      shoplog status
    """
    from shoplog.store import queries
    from shoplog.times import span

    with log(ctx) as conn:
        found = queries.state(conn)
    if as_json:
        echo_json(found)
        return
    for row in found["hearing"]:
        left = f", about {span(row['seconds_left'])} left" if row["seconds_left"] is not None else ""
        click.echo(f"being heard: {row['name']} ({row['share']:.0%}{left})")
    for row in found["waiting"]:
        click.echo(f"waiting: {row['name']}")
    for row in found["failed"]:
        click.echo(f"failed: {row['name']}; {row['reason']}")
    click.echo(f"done: {found['done']}")
