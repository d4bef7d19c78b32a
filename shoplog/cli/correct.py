"""``shoplog correct``: put a fact right, undo it, teach a word."""

from __future__ import annotations

import sqlite3
from typing import Any

import click

from shoplog.cli.common import echo_json, json_option, log
from shoplog.errors import InputError
from shoplog.facts import KINDS, STATUSES, UNITS


@click.command()
@click.argument("fact", required=False, type=click.IntRange(1, 2**63 - 1))
@click.option("--value", help="The number: 850, 0.5, 3/8 or 1 1/2.")
@click.option("--low", help="The beginning of a range.")
@click.option("--high", help="The end of a range.")
@click.option("--unit", type=click.Choice([*UNITS, "none"]), help="Its unit.")
@click.option("--item", help="What it is about: bowl gouge, crack, shellac.")
@click.option("--kind", type=click.Choice(KINDS), help="What kind of fact it is.")
@click.option("--status", type=click.Choice(STATUSES), help="What is claimed of it.")
@click.option("--accept", is_flag=True, help="It is right as it was heard.")
@click.option("--reject", is_flag=True, help="It was not said or is not so; take it out.")
@click.option("--undo", is_flag=True, help="Take the correction of this fact back.")
@click.option("--teach", nargs=2, metavar="HEARD MEANT", help="Always take the words HEARD for MEANT.")
@click.option("--forget", metavar="HEARD", help="Take a taught word out again.")
@click.option("--yes", is_flag=True, help="Teach without asking.")
@click.option("--list", "list_", is_flag=True, help="List the corrections and the taught words.")
@click.option("--why", help="A note for yourself.")
@json_option
@click.pass_context
def correct(
    ctx: click.Context, /, fact: int | None, teach: tuple[str, str] | None, forget: str | None, yes: bool, list_: bool,
    undo: bool, accept: bool, reject: bool, why: str | None, as_json: bool, **fields: str | None,
) -> None:  # fmt: skip
    """Put the fact number FACT right (find and project --json show the numbers), or teach a word.

    What was heard is kept beside your word, and your word stays when the recording is heard again.

    \b
    Examples:
      shoplog correct 412 --value 850
      shoplog correct 412 --item "bowl gouge" --teach "bull gouge" "bowl gouge"
      shoplog correct 412 --undo
      shoplog correct --list
    """
    changes = _changes(fields)
    deeds = sum((bool(changes), accept, reject, undo))
    if deeds > 1 or (deeds and fact is None) or not (deeds or teach or forget or list_):
        raise click.UsageError(
            "Give one fact's number with a change, --accept, --reject or --undo; or --teach, --forget or --list."
        )
    if fact is not None and not deeds:
        raise click.UsageError("Say what to do with the fact: a change, --accept, --reject or --undo.")
    with log(ctx) as conn:
        if teach and not _sure(conn, *teach, yes=yes or as_json):
            raise click.Abort
        done: dict[str, Any] = {}
        if fact is not None:
            verdict = "reject" if reject else "accept" if accept else "change"
            done |= _undo(conn, fact) if undo else _judge(conn, fact, verdict, changes, why)
        if teach:
            from shoplog import teaching

            done |= {"taught": list(teach), "read_again": list(teaching.teach(conn, *teach, done.get("correction")))}
        if forget:
            from shoplog import teaching

            done |= {"forgotten": forget, "read_again": list(teaching.forget(conn, forget))}
        if list_:
            done |= _listed(conn)
    if as_json:
        echo_json(done)
    else:
        _tell(done)


def _changes(fields: dict[str, str | None]) -> dict[str, Any]:
    from shoplog.typed import typed_number

    changes: dict[str, Any] = {k: v for k, v in fields.items() if v is not None}
    for name in ("value", "low", "high"):
        if name in changes:
            changes[name] = typed_number(changes[name])
            if changes[name] is None:
                raise InputError(f"Give a number with --{name}, like 850, 0.5 or 3/8.")
    if changes.get("unit") == "none":
        changes["unit"] = None
    if "item" in changes:
        changes["item"] = changes["item"].lower()
    return changes


def _judge(
    conn: sqlite3.Connection, fact: int, verdict: Any, changes: dict[str, Any], why: str | None
) -> dict[str, Any]:
    import getpass

    from shoplog.store import corrections, queries, transaction
    from shoplog.wording import say

    before = say(queries.fact(conn, fact).fact)
    with transaction(conn):
        number = corrections.correct(conn, fact, verdict, changes, why, getpass.getuser())
    return {
        "fact": fact,
        "correction": number,
        "verdict": verdict,
        "before": before,
        "now": say(queries.fact(conn, fact).fact),
    }


def _undo(conn: sqlite3.Connection, fact: int) -> dict[str, Any]:
    from shoplog.store import corrections, queries, transaction
    from shoplog.wording import say

    kept = queries.fact(conn, fact)
    if kept.correction_id is None:
        raise InputError(f"Fact {fact} has no correction to take back; see shoplog correct --list.")
    with transaction(conn):
        corrections.undo(conn, kept.correction_id)
    now = None if kept.verdict == "add" else say(queries.fact(conn, fact).fact)
    return {"fact": fact, "verdict": "undo", "before": say(kept.fact), "now": now}


def _sure(conn: sqlite3.Connection, heard: str, meant: str, *, yes: bool) -> bool:
    """Show what else a taught word changes, and ask before it does."""
    from shoplog import teaching
    from shoplog.times import stamp
    from shoplog.wording import say

    if yes:
        return True
    effect = teaching.effect(conn, heard, meant)
    held = len(effect.recordings)
    click.echo(f"“{heard}” was said in {held} recording{'' if held == 1 else 's'}.")
    for d in effect.differences[:20]:
        before, after = ("; ".join(say(f) for f in side) or "nothing" for side in (d.before, d.after))
        click.echo(f"  {d.recording.name} {stamp(d.at)}: {before} becomes {after}")
    if len(effect.differences) > 20:
        click.echo(f"  and {len(effect.differences) - 20} more")
    if effect.unread:
        click.echo(f"  {effect.unread} older recordings were not looked into")
    return click.confirm(f"Always take “{heard}” for “{meant}”?", default=True)


def _listed(conn: sqlite3.Connection) -> dict[str, Any]:
    from shoplog.store import queries

    names = {r.id: r.name for r in queries.recordings(conn)}
    return {
        "corrections": [
            {
                "correction": c.id, "fact": c.fact_id, "recording": names[c.recording_id], "verdict": c.verdict,
                "old": dict(c.old), "new": dict(c.new), "why": c.why, "author": c.author, "written_at": c.written_at,
            }
            for c in queries.corrections(conn)
        ],
        "words": [{"heard": heard, "meant": meant} for heard, meant in queries.vocabulary(conn)],
    }  # fmt: skip


def _tell(done: dict[str, Any]) -> None:
    if done.get("verdict") == "accept":
        click.echo(f"Taken as heard: {done['now']}")
    elif done.get("verdict") == "reject":
        click.echo(f"Taken out: {done['before']}")
    elif done.get("verdict") == "undo":
        click.echo(f"As heard again: {done['now']}" if done["now"] else f"Taken out again: {done['before']}")
    elif done.get("verdict"):
        click.echo(f"Now: {done['now']} (was {done['before']})")
    if "read_again" in done:
        n = len(done["read_again"])
        click.echo(f"{n} recording{'' if n == 1 else 's'} read again with the new list of words.")
    if "corrections" in done:
        _tell_list(done)


def _tell_list(done: dict[str, Any]) -> None:
    from shoplog.store.corrections import corrected
    from shoplog.store.rows import fact_of
    from shoplog.times import stamp
    from shoplog.wording import say

    for c in done["corrections"]:
        at = c["old"] or c["new"]
        now = fact_of(c["new"]) if c["verdict"] == "add" else corrected(fact_of(c["old"]), c["new"])
        was = f", was {say(fact_of(c['old']))}" if c["verdict"] == "change" else ""
        deed = {"reject": "taken out: ", "accept": "taken as heard: ", "add": "put in: "}.get(c["verdict"], "")
        place = f"fact {c['fact']}" if c["fact"] else "NOT PLACED ANY MORE"
        why = f" ({c['why']})" if c["why"] else ""
        click.echo(f"{place}, {c['recording']} {stamp(at['start'])}: {deed}{say(now)}{was}{why}")
    for word in done["words"]:
        click.echo(f"“{word['heard']}” is taken for “{word['meant']}”")
    if not done["corrections"] and not done["words"]:
        click.echo("Nothing has been put right yet.")
