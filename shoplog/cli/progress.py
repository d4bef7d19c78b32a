"""Progress on the error stream: a bar for each recording and one for all; lines where there is no terminal."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import click


@contextmanager
def bar(total: float | None = None, lengths: dict[str, float] | None = None) -> Iterator[Callable[[str, float], None]]:
    """Yield a function (name, share) that shows how much of a recording has been heard.

    ``total`` and ``lengths`` (seconds per recording name) show the whole beside it. Without a terminal a line is
    printed when a recording begins and when it ends.
    """
    if not sys.stderr.isatty():
        begun: set[str] = set()

        def line(name: str, share: float) -> None:
            if name not in begun:
                begun.add(name)
                click.echo(f"hearing {name} ...", err=True)
            if share >= 1.0 and f"{name}\0" not in begun:
                begun.add(f"{name}\0")
                click.echo(
                    f"heard {name} ({len([b for b in begun if b.endswith(chr(0))])} of {len(lengths or {name: 0})})",
                    err=True,
                )

        yield line
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TaskID, TextColumn, TimeRemainingColumn

    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        TextColumn("{task.percentage:>3.0f} %"),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as shown:
        whole = shown.add_task("all recordings", total=total) if total and lengths and len(lengths) > 1 else None
        tasks: dict[str, TaskID] = {}
        shares: dict[str, float] = {}

        def update(name: str, share: float) -> None:
            from rich.markup import escape

            if name not in tasks:
                tasks[name] = shown.add_task(escape(name), total=1.0)
            shares[name] = share
            shown.update(tasks[name], completed=share)
            if whole is not None and lengths:
                shown.update(whole, completed=sum(lengths.get(n, 0.0) * s for n, s in shares.items()))

        yield update
