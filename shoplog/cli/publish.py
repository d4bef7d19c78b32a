"""The commands that draft what is published: describe, chapters, captions, checklist, answers, due, publish."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from shoplog.cli.common import echo_json, json_option, log

if TYPE_CHECKING:
    import sqlite3

    from shoplog.publish.followups import FollowUp
    from shoplog.publish.pack import Pack

video_option = click.option(
    "--video", type=click.Path(path_type=Path), metavar="FINAL",
    help="The edited video, or a caption file of it: all times are then its own.",
)  # fmt: skip


def _pack(conn: sqlite3.Connection, name: str, video: Path | None = None) -> Pack:
    """Load a project and all that its pack needs; hear and align the final cut if there is one."""
    from shoplog import settings
    from shoplog.publish import checklist, followups, pack
    from shoplog.store import queries
    from shoplog.timeline import course

    project = queries.load_project(conn, name)
    _refuse_empty(project)
    more: dict[str, Any] = {}
    if video:
        from shoplog.publish.cut import align
        from shoplog.publish.final import by_sound, hear_final

        found = align(project, hear_final(video), by_sound(video, project))
        more = {"programme": found.programme, "added": found.added}
    return pack.pack(
        project,
        course(project),
        config=settings.config_folder(),
        answered=queries.settled(conn, project.id, followups.TOPIC),
        settled=queries.settled(conn, project.id, checklist.TOPIC),
        vocabulary=queries.vocabulary(conn),
        **more,
    )


def _refuse_empty(project: Any) -> None:
    from shoplog.errors import InputError
    from shoplog.publish.stated import own_takes

    if not any(take.cues for take in own_takes(project)):
        raise InputError(f'Nothing was heard in "{project.name}" yet; see shoplog status.')


@click.command()
@click.argument("name")
@video_option
@json_option
@click.pass_context
def describe(ctx: click.Context, name: str, video: Path | None, as_json: bool) -> None:
    """Draft titles, description and tags for the video of the project NAME.

    Only what was stated, confirmed or computed is told; [check: ...] and [fill in: ...] are for you. Your own
    templates/description.txt.j2 in the configuration folder replaces ours.

    \b
    Example:
      shoplog describe "elm bowl" --video elm-bowl-final.mp4
    """
    with log(ctx) as conn:
        draft = _pack(conn, name, video).description
    if as_json:
        echo_json(draft.as_json())
        return
    click.echo("Titles to choose from:")
    for title in draft.titles:
        click.echo(f"  {title}")
    click.echo(f"\n{draft.text}\nTags: {', '.join(draft.tags)}")
    for note in draft.notes:
        click.echo(note, err=True)


@click.command()
@click.argument("name")
@click.option(
    "--format", "form", type=click.Choice(["text", "vtt", "ffmetadata"]), default="text", help="Default: text."
)
@video_option
@click.pass_context
def chapters(ctx: click.Context, name: str, form: str, video: Path | None) -> None:
    """List the chapters of the video of the project NAME: lines for a description, WebVTT, or FFMETADATA.

    \b
    Example:
      shoplog chapters "elm bowl" --format vtt > chapters.vtt
    """
    from shoplog.publish import chapters as made

    with log(ctx) as conn:
        pack = _pack(conn, name, video)
    found = pack.chapters
    written = {"text": made.as_text, "vtt": made.as_vtt, "ffmetadata": made.as_ffmetadata}[form](found)
    click.echo(written, nl=False)
    for fault in made.faults(found, pack.limits):
        click.echo(f"Note: {fault}.", err=True)


@click.command()
@click.argument("name")
@click.option("--format", "form", type=click.Choice(["vtt", "srt"]), help="Default: by the name of FILE, else vtt.")
@video_option
@click.option("--to", "to", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE", help="Write here.")
@click.pass_context
def captions(ctx: click.Context, name: str, form: str | None, video: Path | None, to: Path | None) -> None:
    """Write captions of the video of the project NAME, corrections carried over; what to look at goes to stderr.

    \b
    Example:
      shoplog captions "elm bowl" --video final.mp4 --to final.srt
    """
    from shoplog.publish.quality import as_lines
    from shoplog.transcript_files import to_srt, to_vtt

    with log(ctx) as conn:
        made = _pack(conn, name, video)
    form = form or ("srt" if to and to.suffix.lower() == ".srt" else "vtt")
    text = (to_srt if form == "srt" else to_vtt)(made.captions)
    if to:
        from shoplog.files import write_whole

        write_whole(to, text)
        click.echo(f"Wrote {to}.")
    else:
        click.echo(text, nl=False)
    for line in as_lines(made.quality):
        click.echo(line, err=True)


@click.command()
@click.argument("name")
@video_option
@click.option("--settle", metavar="KEY", help="You have looked at this point: it is good.")
@click.option("--note", help="What you found, with --settle.")
@json_option
@click.pass_context
def checklist(
    ctx: click.Context, name: str, video: Path | None, settle: str | None, note: str | None, as_json: bool
) -> None:
    """What must be looked at before publishing the project NAME: each point with its evidence and what to do.

    The exit code is 1 while anything is missing. Your own points stand in checklist.toml of the configuration folder.

    \b
    Examples:
      shoplog checklist "elm bowl"
      shoplog checklist "elm bowl" --settle captions --note "read them on Sunday"
    """
    from shoplog.errors import NotFound
    from shoplog.publish import checklist as rules
    from shoplog.publish import pack
    from shoplog.store import transaction, writes

    with log(ctx) as conn:
        made = _pack(conn, name, video)
        points = made.checklist()
        if settle:
            keys = [p.key for p in points]
            if settle not in keys:
                raise NotFound(f"There is no point {settle!r}; the points are {', '.join(keys)}.")
            with transaction(conn):
                writes.settle(conn, made.project.id, rules.TOPIC, settle, "good", note)
            click.echo(f"{settle} is settled.", err=True)
            points = _pack(conn, name, video).checklist() if not video else tuple(
                p.settled(note) if p.key == settle else p for p in points
            )  # fmt: skip
    if as_json:
        echo_json(pack.as_json(points))
    else:
        click.echo(pack.checklist_text(points), nl=False)
    ctx.exit(1 if rules.missing(points) else 0)


@click.command()
@click.argument("name")
@video_option
@json_option
@click.pass_context
def answers(ctx: click.Context, name: str, video: Path | None, as_json: bool) -> None:
    """One-line answers to what viewers of the project NAME always ask.

    \b
    Example:
      shoplog answers "elm bowl"
    """
    from shoplog.publish.answers import as_text

    with log(ctx) as conn:
        found = _pack(conn, name, video).answers()
    if as_json:
        echo_json([a.as_json() for a in found])
    else:
        click.echo(as_text(found), nl=False)


@click.command()
@click.argument("name", required=False)
@click.option("--ics", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE", help="Write a calendar file.")
@click.option("--answered", metavar="KEY", help="Mark a promise as answered.")
@click.option("--note", help="How it was answered, with --answered.")
@json_option
@click.pass_context
def due(
    ctx: click.Context, name: str | None, ics: Path | None, answered: str | None, note: str | None, as_json: bool
) -> None:
    """What was promised in the project NAME (in all without it), when it is due, and whether it was answered.

    \b
    Examples:
      shoplog due
      shoplog due "elm bowl" --ics elm-bowl.ics
      shoplog due "elm bowl" --answered weight-a-fortnight --note "weighed on camera"
    """
    from shoplog.store import queries

    with log(ctx) as conn:
        if answered:
            _mark_answered(conn, name, answered, note)
        found = [p for n in ([name] if name else queries.project_names(conn)) for p in _promises(conn, n)]
    found.sort(key=lambda p: (p.answered, p.due is None, p.due or p.said_on or p.key, p.project))
    if ics:
        from shoplog.files import write_whole
        from shoplog.publish.calendar import to_ics

        write_whole(ics, to_ics(found))
        click.echo(f"Wrote {ics}: {len(found)} to do.")
    elif as_json:
        echo_json([p.as_json() for p in found])
    else:
        _list_promises(found)


def _promises(conn: sqlite3.Connection, name: str) -> tuple[FollowUp, ...]:
    from shoplog.publish import followups
    from shoplog.store import queries
    from shoplog.timeline import course

    project = queries.load_project(conn, name)
    return followups.follow_ups(project, course(project), queries.settled(conn, project.id, followups.TOPIC))


def _mark_answered(conn: sqlite3.Connection, name: str | None, key: str, note: str | None) -> None:
    from shoplog.errors import InputError, NotFound
    from shoplog.publish import followups
    from shoplog.store import queries, transaction, writes

    names = [name] if name else queries.project_names(conn)
    known = {n: [p.key for p in _promises(conn, n)] for n in names}
    owners = [n for n, keys in known.items() if key in keys]
    if not owners:
        every = ", ".join(k for keys in known.values() for k in keys)
        raise NotFound(f"There is no promise {key!r}; the promises are {every or 'none'}.")
    if len(owners) > 1:
        raise InputError(f"{key!r} is promised in {', '.join(owners)}; name the project.")
    with transaction(conn):
        writes.settle(conn, queries.project_id(conn, owners[0]), followups.TOPIC, key, "answered", note)


def _list_promises(found: list[FollowUp]) -> None:
    from datetime import date

    from shoplog.times import stamp

    for p in found:
        when = p.due.isoformat() if p.due else p.due_words or "no day named"
        late = " (overdue)" if p.due and p.due < date.today() and not p.answered else ""
        state = "answered" if p.answered else "perhaps answered" if p.state == "perhaps" else "open"
        click.echo(f"{when}{late}  {p.project}: {p.public}  [{p.key}]")
        click.echo(f"    {state}{f' by {p.answer}' if p.answer else ''}; said at {stamp(p.start)}: “{p.quote}”")
    if not found:
        click.echo("Nothing was promised.")


@click.command()
@click.argument("name")
@click.option("--to", "to", type=click.Path(file_okay=False, path_type=Path), required=True, metavar="FOLDER")
@video_option
@json_option
@click.pass_context
def publish(ctx: click.Context, name: str, to: Path, video: Path | None, as_json: bool) -> None:
    """Write all that publishing the project NAME needs into FOLDER.

    Description, titles, tags, chapters, captions, checklist, answers and follow-ups.

    Repeating it changes only what changed. A file that you edited is kept: the new one is written beside it.

    \b
    Example:
      shoplog publish "elm bowl" --to ~/videos/elm-bowl/publish
    """
    from dataclasses import asdict

    from shoplog.publish import pack
    from shoplog.publish.folder import write_pack

    with log(ctx) as conn:
        made = _pack(conn, name, video)
    written = write_pack(to, pack.files(made))
    if as_json:
        echo_json([asdict(w) for w in written])
        return
    for w in written:
        beside = f": you edited it; the new one is {w.beside}" if w.beside else ""
        click.echo(f"{w.verdict:10}  {to / w.name}{beside}")
