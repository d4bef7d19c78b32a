"""Every command explains itself, and errors are one sentence."""

from __future__ import annotations

import os
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest
from click.testing import CliRunner

from shoplog.cli import COMMANDS, group

ROOT = Path(__file__).resolve().parents[2]


def run(*args: str, **env: str) -> subprocess.CompletedProcess[str]:
    """The program as a user runs it."""
    return subprocess.run(
        [sys.executable, "-m", "shoplog", *args], capture_output=True, text=True, env={**os.environ, **env}, timeout=120
    )


@pytest.mark.parametrize("command", COMMANDS)
def test_help_has_an_example(command: str) -> None:
    """``--help`` of every command shows how to call it."""
    result = CliRunner().invoke(group, [command, "--help"])
    assert 0 == result.exit_code, result.output
    assert "Example" in result.output
    assert f"shoplog {command}" in result.output


@pytest.mark.parametrize("command", COMMANDS)
def test_command_is_in_the_readme(command: str) -> None:
    """The README names every command."""
    assert f"shoplog {command}" in (ROOT / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("command", COMMANDS)
def test_command_is_where_the_table_says(command: str) -> None:
    """The table of commands and the modules agree."""
    module, line = COMMANDS[command]
    assert getattr(import_module(f"shoplog.cli.{module}"), command).name == command
    assert line.endswith(".")


def test_help_imports_nothing_heavy() -> None:
    """The list of commands comes without the recogniser, the patterns, the plots or the database library."""
    code = (
        "import sys; from click.testing import CliRunner; from shoplog.cli import group; "
        "assert CliRunner().invoke(group, ['--help']).exit_code == 0; "
        "print([m for m in ('spacy', 'faster_whisper', 'av', 'matplotlib', 'sqlite_utils', 'datasette', 'numpy', 'pint', "
        "'rich') if m in sys.modules])"
    )
    result = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert "[]" == result.stdout.strip()


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (["project", "elm"], "no database"),
        (["find", "speed"], "no database"),
        (["add", "nowhere.mp4"], "nowhere.mp4"),
        (["facts", "nowhere.vtt"], "nowhere.vtt"),
        (["facts", "."], "folder"),
        (["watch", "nowhere"], "nowhere"),
        (["--db", "/proc/no/such.db", "add", __file__], "cannot be opened"),
        (["fnd"], "find"),
    ],
    ids=lambda v: " ".join(v) if isinstance(v, list) else None,
)
def test_error_is_one_sentence(args: list[str], words: str, own_home: Path) -> None:
    """A mistake gives a sentence on stderr, a non-zero exit code and no traceback."""
    result = run(*args, SHOPLOG_HOME=str(own_home))
    assert 0 != result.returncode
    assert words in result.stderr
    assert "Traceback" not in result.stderr


def test_debug_shows_the_traceback(own_home: Path) -> None:
    """With ``--debug`` the traceback is there for a report."""
    assert "Traceback" in run("--debug", "project", "elm", SHOPLOG_HOME=str(own_home)).stderr
