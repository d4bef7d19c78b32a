"""`find` answers a question; `before` tells what the log knows before the next piece of a wood."""

from __future__ import annotations

import sys
from datetime import date, datetime
from typing import Any

import click

from shoplog.cli.common import echo_json, json_option, log
from shoplog.facts import KINDS, STATUSES


def _day(_ctx: click.Context, _param: click.Parameter, value: datetime | None) -> date | None:
    return value.date() if value else None


_DATE = click.DateTime(["%Y-%m-%d"])


@click.command(context_settings={"ignore_unknown_options": False})
@click.argument("words", nargs=-1)
@click.option("--kind", "kinds", multiple=True, type=click.Choice(KINDS), help="Kind of fact, again for another.")
@click.option("--item", "items", multiple=True, help='What it is about: "bowl gouge", shellac, crack.')
@click.option("--number", help="Its number: 800rpm, 800rpm.., ..20%, 10in..12in.")
@click.option("--min", "low", help="Its smallest number.")
@click.option("--max", "high", help="Its largest number.")
@click.option("--species", multiple=True, help="The wood of the piece.")
@click.option("--operation", "operations", multiple=True, help="What was being done: sand, hollow, ...")
@click.option("--diameter", help="The piece's diameter then: 12in.., 250mm.")
@click.option("--beside", multiple=True, help='Another fact beside it: "tool:skew chisel", moisture=..20%.')
@click.option("--status", "statuses", multiple=True, type=click.Choice(STATUSES), help="What was claimed of it.")
@click.option("--since", type=_DATE, callback=_day, help="From this day on (YYYY-MM-DD).")
@click.option("--until", type=_DATE, callback=_day, help="Up to this day.")
@click.option("--project", help="Part of the project's name.")
@click.option("--word", "words_only", multiple=True, help="A word said near it.")
@click.option(
    "--want",
    type=click.Choice(
        (
            "last",
            "first",
            "count",
            "when",
            "time",
            "did",
            "pieces",
            "woods",
            "highest",
            "lowest",
            "most coats",
            "fewest coats",
        )
    ),
    help="What is wanted of them.",
)
@click.option("--other-piece", is_flag=True, help="Facts about other pieces too.")
@click.option("--limit", default=10, show_default=True, type=click.IntRange(1, 100_000), help="Facts to print.")
@click.option("--csv", "as_csv", is_flag=True, help="Print the facts as CSV.")
@json_option
@click.pass_context
def find(
    ctx: click.Context, /, words: tuple[str, ...], number: str | None, low: str | None, high: str | None,
    diameter: str | None, beside: tuple[str, ...], words_only: tuple[str, ...], limit: int, as_csv: bool,
    as_json: bool, **given: Any,
) -> None:  # fmt: skip
    """Answer a question in plain words from the log.

    What was understood is printed first, as options: give them to change it.

    \b
    Examples:
      shoplog find what speed did I sand cherry at
      shoplog find cracked below 20 percent
      shoplog find --kind speed --species cherry --min 800
    """
    from shoplog.search import as_line, override, search, told, understand
    from shoplog.search.query import parse_beside, parse_bounds

    query = understand(" ".join(words))
    kind = next(iter(given["kinds"] or query.kinds), None)
    if low or high:
        number = f"{low or ''}..{high or ''}"
    query = override(
        query,
        bounds=parse_bounds(number, kind) if number else None,
        diameter=parse_bounds(diameter, "dimension") if diameter else None,
        beside=tuple(parse_beside(b) for b in beside),
        words=words_only,
        said=tuple((w,) for w in words_only),
        **given,
    )
    if query.empty and not words:
        raise click.UsageError("Ask something, like: shoplog find what speed did I sand cherry at")
    with log(ctx) as conn:
        answer = search(conn, query, limit)
    if as_json:
        from shoplog.search.plain import as_mapping

        echo_json({"understood": as_line(query), **as_mapping(answer)})
    elif as_csv:
        _print_csv(answer.found)
    else:
        for line in told(answer):
            click.echo(line)


def _print_csv(found: Any) -> None:
    import csv

    from shoplog.cells import harmless
    from shoplog.search.telling import table

    writer = csv.writer(sys.stdout, lineterminator="\n")
    writer.writerows([harmless(cell) for cell in row] for row in table(found))


@click.command()
@click.option("--wood", "species", required=True, help="The wood, by any of its names.")
@click.option("--diameter", help="The piece that is planned: 10in, 250mm.")
@json_option
@click.pass_context
def before(ctx: click.Context, species: str, diameter: str | None, as_json: bool) -> None:
    """What the log knows before the next piece of a wood, and the reckoning for it.

    \b
    Example:
      shoplog before --wood cherry --diameter 10in
    """
    from shoplog.errors import InputError, NotFound
    from shoplog.reckon.before import before as reckoned
    from shoplog.search.pages import like_size, wood
    from shoplog.search.query import parse_bounds

    size = parse_bounds(diameter, "dimension") if diameter else None
    if size is not None and (
        size.about is None or not size.about > 0 or size.unit not in ("in", "ft", "mm", "cm", "m")
    ):
        raise InputError(f'"{diameter}" is no diameter; write it like 10in or 250mm.')
    results = reckoned(species, size.about if size else None, size.unit if size else "in")
    page, missing = None, ""
    with log(ctx) as conn:
        try:
            page = wood(conn, species, like_size(size.about, size.unit) if size and size.about else None)
        except NotFound as error:
            missing = str(error)  # the reckoning needs no log
    if as_json:
        from shoplog.search.plain import as_mapping

        echo_json({"known": as_mapping(page), "computed": [{**as_mapping(r), "words": r.sentence()} for r in results]})
        return
    if page is None:
        click.echo(missing)
    else:
        from shoplog.search.page_text import wood_lines

        for line in wood_lines(page):
            click.echo(line)
    click.echo("Computed, not stated:")
    for result in results:
        click.echo(f"  {result.sentence()}")
