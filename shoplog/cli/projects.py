"""``shoplog projects`` and ``shoplog project``: the list, the record of one, and moving recordings between them."""

from __future__ import annotations

from pathlib import Path

import click

from shoplog.cli.common import echo_json, json_option, log


@click.command()
@json_option
@click.pass_context
def projects(ctx: click.Context, as_json: bool) -> None:
    """List the projects, the newest first.

    \b
    Example:
      shoplog projects
    """
    from shoplog.store import queries

    with log(ctx) as conn:
        listed = queries.project_list(conn)
    if as_json:
        echo_json(listed)
        return
    from shoplog.times import span

    for row in listed:
        parts = [
            (row["last"] or "")[:10],
            f"{row['recordings']} recording{'' if row['recordings'] == 1 else 's'}",
            span(row["seconds"]) if row["seconds"] else "",
            f"{row['facts']} facts",
            f"{row['waiting']} waiting" if row["waiting"] else "",
            f"{row['failed']} failed" if row["failed"] else "",
        ]
        click.echo(f"{row['name']}  ({', '.join(p for p in parts if p)})")
    if not listed:
        click.echo("The log is empty; add a recording: shoplog add FILE")


class NameOrAction(click.Group):
    """``project NAME`` prints a record; ``project assign``, ``merge`` and ``rename`` put things right."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and args[0] not in self.commands:
            return "show", show, args
        return super().resolve_command(ctx, args)


@click.group(cls=NameOrAction, subcommand_metavar="NAME | assign | merge | rename | drop ...")
def project() -> None:
    """Print the record of the project NAME, or put recordings where they belong.

    \b
    Examples:
      shoplog project "elm bowl"
      shoplog project "elm bowl" --html elm-bowl.html
      shoplog project assign 12 "elm bowl"
      shoplog project merge "day 2" "elm bowl"
      shoplog project rename "elm bowl" "elm bowl with lid"
      shoplog project drop 12
    """


@click.command()
@click.argument("name")
@click.option("--html", "html", type=click.Path(dir_okay=False, path_type=Path), help="Write one self-contained page.")
@click.option("--markdown", is_flag=True, help="Print Markdown.")
@click.option("--card", is_flag=True, help="Print only the set-up card.")
@json_option
@click.pass_context
def show(ctx: click.Context, name: str, html: Path | None, markdown: bool, card: bool, as_json: bool) -> None:
    """Print the record of the project NAME."""
    from shoplog import record
    from shoplog.store import queries

    with log(ctx) as conn:
        loaded = queries.load_project(conn, name)
    made = record.record(loaded)
    if html:
        from shoplog.files import write_whole

        write_whole(html, record.to_html(made))
        click.echo(f"Wrote {html}.")
    elif as_json:
        echo_json(record.to_json(made))
    elif markdown:
        click.echo(record.to_markdown(made), nl=False)
    elif card:
        click.echo(record.card_text(made), nl=False)
    else:
        click.echo(record.to_text(made), nl=False)


@project.command()
@click.argument("recording", type=int)
@click.argument("name")
@click.pass_context
def assign(ctx: click.Context, recording: int, name: str) -> None:
    """Put RECORDING (its number) into the project NAME, made if there is none."""
    from shoplog import ingest
    from shoplog.store import transaction, writes

    with log(ctx) as conn:
        with transaction(conn):
            writes.assign_recording(conn, recording, name)
        ingest.recourse(conn)
    click.echo(f'Recording {recording} is now in "{name}".')


@project.command()
@click.argument("recording", type=int)
@click.option("--yes", is_flag=True, help="Do not ask.")
@click.pass_context
def drop(ctx: click.Context, recording: int, yes: bool) -> None:
    """Take RECORDING (its number) out of the log, with all that was found in it. The file is not touched."""
    from shoplog import ingest
    from shoplog.store import queries, transaction, writes

    with log(ctx) as conn:
        found = queries.recording(conn, recording)
        if not yes:
            click.confirm(f"Take {found.name} and everything found in it out of the log?", abort=True)
        with transaction(conn):
            writes.delete_recording(conn, recording)
        ingest.recourse(conn)
    click.echo(f"{found.name} is out of the log; the file is where it was.")


@project.command()
@click.argument("name")
@click.argument("into")
@click.pass_context
def merge(ctx: click.Context, name: str, into: str) -> None:
    """Move everything of the project NAME into the project INTO."""
    from shoplog import ingest
    from shoplog.store import transaction, writes

    with log(ctx) as conn:
        with transaction(conn):
            moved = writes.merge_projects(conn, name, into)
        ingest.recourse(conn, into)
    click.echo(f'Moved {moved} recording{"" if moved == 1 else "s"} into "{into}".')


@project.command()
@click.argument("name")
@click.argument("new")
@click.pass_context
def rename(ctx: click.Context, name: str, new: str) -> None:
    """Give the project NAME the name NEW."""
    from shoplog.store import transaction, writes

    with log(ctx) as conn, transaction(conn):
        writes.rename_project(conn, name, new)
    click.echo(f'"{name}" is now "{new}".')
