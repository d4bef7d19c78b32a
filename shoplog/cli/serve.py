"""``shoplog serve`` and ``shoplog open``: the log in a browser."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import click

from shoplog.cli.common import log_path

PORT = 8001


def _shared(command: Callable[..., Any]) -> Callable[..., Any]:
    """The options of both commands."""
    for option in reversed(
        [
            click.option("--port", type=click.IntRange(0, 65535), help=f"The port [default: {PORT}]."),
            click.option(
                "--host", default="127.0.0.1", show_default=True, help="Serve other machines at this address."
            ),
            click.option("--name", "names", multiple=True, help="A further host name under which it is reached."),
            click.option("--password", envvar="SHOPLOG_PASSWORD", help="Ask for it; needed with --host."),
            click.option("--read-only", is_flag=True, help="Show, change nothing."),
            click.option("--no-browser", is_flag=True, help="Do not open a browser."),
        ]
    ):
        command = option(command)
    return command


@click.command()
@_shared
@click.pass_context
def serve(ctx: click.Context, /, **given: Any) -> None:
    """Show the log in a browser, on this machine only unless you say otherwise.

    \b
    Examples:
      shoplog serve
      shoplog serve --host 0.0.0.0 --password "a long one"
    """
    from shoplog.store import open_database

    path = log_path(ctx)
    open_database(path, create=False).close()
    _run(path, None, **given)


@click.command("open")
@click.argument("folder", required=False, type=click.Path(path_type=Path))
@_shared
@click.pass_context
def open_(ctx: click.Context, /, folder: Path | None, **given: Any) -> None:
    """Watch the inbox FOLDER, serve the pages and open the browser.

    FOLDER is remembered; without one it is the last one, at first "shoplog inbox" among your videos. A second start
    finds the first one and shows it.

    \b
    Example:
      shoplog open ~/videos/inbox
    """
    from shoplog.store import open_database

    path = log_path(ctx)
    inbox = _inbox(folder)
    open_database(path).close()
    _run(path, inbox, **given)


def _inbox(folder: Path | None) -> Path:
    """The folder to watch: the given one, the last one, or the one that is made among the videos."""
    from shoplog.errors import InputError
    from shoplog.files import write_whole
    from shoplog.settings import config_folder

    remembered = config_folder() / "inbox"
    if folder is None and remembered.is_file():
        folder = Path(remembered.read_text(encoding="utf-8").strip())
        if not folder.is_dir():
            raise InputError(f"The inbox {folder} is not there; bring it back, or name another: shoplog open FOLDER")
    elif folder is None:
        import platformdirs

        folder = Path(platformdirs.user_videos_dir()) / "shoplog inbox"
        folder.mkdir(parents=True, exist_ok=True)
    elif not folder.is_dir():
        raise InputError(f"There is no folder {folder}; make it, or name another.")
    folder = folder.resolve()
    remembered.parent.mkdir(parents=True, exist_ok=True)
    write_whole(remembered, f"{folder}\n")
    return folder


def _run(
    path: Path, inbox: Path | None, *, port: int | None, host: str, names: tuple[str, ...], password: str | None,
    read_only: bool, no_browser: bool,
) -> None:  # fmt: skip
    from shoplog.web import standing

    if address := standing.running(path):
        click.echo(f"This log is shown already: {address}")
        if not no_browser:
            _browse(address)
        return
    password = _password(host, password)
    listener = standing.bound(host, PORT if port is None else port, others=inbox is not None and port is None)
    address = f"http://{_shown(host)}:{listener.getsockname()[1]}"
    standing.note(path, address)
    from shoplog.web.inbox import Inbox

    watcher = Inbox(inbox, path) if inbox else None
    try:
        _serve(path, address, listener, host, names, password, read_only, watcher, None if no_browser else _browse)
    finally:
        standing.clear(path)
        if watcher:
            click.echo("Finishing the part being heard ...", err=True)
            watcher.close()


def _shown(host: str) -> str:
    """The host as it stands in an address that works on this machine."""
    everywhere = {"0.0.0.0": "127.0.0.1", "": "127.0.0.1", "::": "::1"}  # noqa: S104 - what to show for it
    host = everywhere.get(host, host)
    return f"[{host}]" if ":" in host else host


def _password(host: str, password: str | None) -> str | None:
    """The password to ask visitors for; one must be there where other machines may come."""
    import sys

    from shoplog.errors import InputError
    from shoplog.web.options import is_loopback

    if is_loopback(host) or password:
        return password or None
    if not sys.stdin.isatty():
        raise InputError("Other machines may only come with a password; give one with --password or SHOPLOG_PASSWORD.")
    return str(
        click.prompt("A password for those who come from other machines", hide_input=True, confirmation_prompt=True)
    )


def _serve(
    path: Path, address: str, listener: Any, host: str, names: tuple[str, ...], password: str | None, read_only: bool,
    watcher: Any, browse: Callable[[str], None] | None,
) -> None:  # fmt: skip
    import getpass
    import threading
    import time

    import uvicorn

    from shoplog.web import standing
    from shoplog.web.options import Options
    from shoplog.web.server import datasette_for, take_over_errors

    options = Options(
        host=host, names=frozenset(n.lower() for n in names), password=password, read_only=read_only,
        author=getpass.getuser(), inbox=watcher.tell if watcher else None,
    )  # fmt: skip
    take_over_errors()
    app = datasette_for(path, options, standing.secret()).app()
    server = uvicorn.Server(uvicorn.Config(app, log_level="warning", server_header=False, lifespan="on"))

    def when_ready() -> None:
        while not server.started:
            if server.should_exit:
                return
            time.sleep(0.05)
        click.echo(f"The log is at {address} (stop with Ctrl-C)")
        if watcher:
            click.echo(f"The inbox is {watcher.folder}")
        if browse:
            browse(address)

    threading.Thread(target=when_ready, daemon=True).start()
    server.run(sockets=[listener])


def _browse(address: str) -> None:
    """Open the person's browser; where there is no desktop, the printed address must do."""
    import os
    import sys
    import webbrowser

    if sys.platform.startswith("linux") and not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")):
        return
    webbrowser.open(address)


#: The command line finds a command by its name.
open = open_  # noqa: A001
