"""``shoplog facts``: what is stated in one file, stored nowhere."""

from __future__ import annotations

from pathlib import Path

import click

from shoplog.cli.common import echo_json, json_option, log_path


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--model", help="Weights to hear with: a folder, or a name from shoplog models.")
@json_option
@click.pass_context
def facts(ctx: click.Context, file: Path, model: str | None, as_json: bool) -> None:
    """Print the facts stated in FILE: a recording, or a transcript (WebVTT, SRT, or lines "[m:ss] words").

    Your own list of words (shoplog correct --teach) is used if there is a log. Nothing is stored.

    \b
    Example:
      shoplog facts day-1.vtt --json
    """
    from shoplog.errors import InputError
    from shoplog.extract import extract
    from shoplog.inbox import is_captions
    from shoplog.store import open_database, queries

    if not file.exists():
        raise InputError(f"There is no file {file}; check the name.")
    if file.is_dir():
        raise InputError(f"{file} is a folder; give one recording or transcript, or use shoplog add.")
    vocabulary: list[tuple[str, str]] = []
    path = log_path(ctx)
    if path.exists():
        conn = open_database(path, create=False)
        vocabulary = queries.vocabulary(conn)
        conn.close()
    if is_captions(file):
        from datetime import date

        from shoplog.transcript_files import read_transcript

        transcript = read_transcript(file)
        # The day a transcript was written says the year; its hour says nothing of the work.
        recorded: date | None = date.fromtimestamp(file.stat().st_mtime)
    else:
        from shoplog.cli.progress import bar
        from shoplog.ingest import recorded_moment
        from shoplog.media import probe
        from shoplog.speech import hear

        probed = probe(file)
        recorded = recorded_moment(probed.recorded_at, probed.recorded_at_source)
        with bar() as progress:
            transcript = hear(file, model=model, on_progress=lambda share: progress(file.name, share))
    found = extract(transcript.kept, vocabulary, recorded)
    if as_json:
        echo_json([fact.as_json() for fact in found])
        return
    from shoplog.times import stamp
    from shoplog.wording import say

    for fact in found:
        doubt = "  (doubtful)" if fact.attrs.get("doubt") else ""
        click.echo(f"{stamp(fact.start):>8}  {fact.kind:12} {say(fact)}{doubt}\n{'':10}“{fact.quote}”")
    if not found:
        click.echo("No facts were found in what was said.")
