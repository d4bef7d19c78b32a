"""The command line. Each command lives in its own module and is imported only when it is called."""

from __future__ import annotations

import sys
from importlib import import_module
from typing import Any

import click

from shoplog import __version__
from shoplog.errors import ShoplogError

#: Commands in the order in which a newcomer meets them: name to (module of this package, one line of help).
COMMANDS: dict[str, tuple[str, str]] = {
    "demo": ("demo", "Hear the demonstration recordings and print their record."),
    "add": ("add", "Hear recordings or read captions, and keep what was stated."),
    "watch": ("watch", "Watch a folder and hear what is put there."),
    "status": ("watch", "Show what is waiting, being heard, done and failed."),
    "facts": ("facts", "Print the facts stated in one file; nothing is stored."),
    "find": ("find", "Answer a question from the log."),
    "before": ("find", "What the log knows before the next piece of a wood."),
    "projects": ("projects", "List the projects; assign, merge and rename them."),
    "project": ("projects", "Print the record of one project."),
    "correct": ("correct", "Put a fact right; undo it; teach a word."),
    "describe": ("publish", "Draft the description of a video."),
    "chapters": ("publish", "List the chapters."),
    "captions": ("publish", "Write captions."),
    "checklist": ("publish", "What must be looked at before publishing."),
    "answers": ("publish", "One-line answers to what viewers ask."),
    "due": ("publish", "What was promised, and when it is due."),
    "publish": ("publish", "Write everything for publishing into a folder."),
    "serve": ("serve", "Show the log in a browser."),
    "open": ("serve", "Watch the inbox, serve the pages and open the browser."),
    "rehear": ("rehear", "Hear stored recordings again."),
    "reread": ("rehear", "Extract the facts again with the newest patterns."),
    "models": ("models", "List recogniser weights: installed, known, how to add one."),
    "doctor": ("doctor", "Say what is wrong with the installation, the weights or the database."),
}


class Lazy(click.Group):
    """Imports a command's module when it is called, so that ``--help`` needs none of them."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module = import_module(f"shoplog.cli.{COMMANDS[cmd_name][0]}")
        command: click.Command = getattr(module, cmd_name)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in COMMANDS.items()])

    def resolve_command(self, ctx: click.Context, args: list[str]) -> Any:
        name = args[0] if args else ""
        if name and not name.startswith("-") and name not in COMMANDS:
            import difflib

            near = difflib.get_close_matches(name, COMMANDS, n=2)
            hint = f" Perhaps you mean {' or '.join(near)}." if near else ""
            raise click.UsageError(f"There is no command {name!r}.{hint} See shoplog --help.")
        return super().resolve_command(ctx, args)


@click.command(cls=Lazy, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="shoplog")
@click.option("--db", type=click.Path(dir_okay=False), help="The database (else SHOPLOG_DB, else your data folder).")
@click.option("--debug", is_flag=True, help="Show the traceback of an error.")
@click.pass_context
def group(ctx: click.Context, db: str | None, debug: bool) -> None:
    """Keep what was said at the lathe: hear recordings, find what was stated, draft what is published.

    \b
    Example:
      shoplog add ~/videos/elm-bowl
      shoplog project "elm-bowl"
    """
    ctx.obj = {"db": db, "debug": debug}


def main() -> None:
    """Run the command line: an error that a person can mend is one sentence on stderr and exit code 1."""
    debug = "--debug" in sys.argv
    if debug:
        sys.argv.remove("--debug")  # so that it may stand anywhere
    for stream in (sys.stdout, sys.stderr):
        # Names may be in any script, and a pipe may be in none.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    try:
        # Not standalone, a command's exit code comes back as what it returns.
        code = group(prog_name="shoplog", standalone_mode=False)
    except click.ClickException as error:
        error.show()
        sys.exit(error.exit_code)
    except click.Abort:
        click.echo("Stopped.", err=True)
        sys.exit(130)
    except BrokenPipeError:
        # The reader (head, less) has gone; there is nobody to tell.
        sys.stderr.close()
        sys.exit(0)
    except Exception as error:
        if debug:
            raise
        click.echo(f"Error: {sentence(error)}", err=True)
        sys.exit(1)
    sys.exit(code if isinstance(code, int) else 0)


def sentence(error: Exception) -> str:
    """One line for a person; for an error of our own making, where to look further."""
    if isinstance(error, ShoplogError):
        return str(error)
    if isinstance(error, OSError):
        import errno

        name = f" ({error.filename})" if error.filename else ""
        what_to_do = {
            errno.ENOSPC: " Free some space and repeat.",
            errno.EACCES: " Check the rights of the file and its folder.",
            errno.EPERM: " Check the rights of the file and its folder.",
            errno.EROFS: " Choose a place that can be written.",
            errno.ENOENT: " Check the name, and that its folder is there.",
        }
        return f"{error.strerror or error}{name}.{what_to_do.get(error.errno or 0, '')}"
    import sqlite3

    if isinstance(error, sqlite3.Error):
        from shoplog.store.database import explain

        return str(explain(error, "the log"))
    return f"{type(error).__name__}: {error}. Run the command with --debug and report what it prints."
