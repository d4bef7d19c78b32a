"""Every command explains itself, and errors are one sentence."""

from __future__ import annotations

import errno
import os
import subprocess
import sys
from contextlib import closing
from importlib import import_module
from pathlib import Path

import pytest
from click.testing import CliRunner

from shoplog.cli import COMMANDS, group, sentence
from shoplog.store import open_database, transaction, writes

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
        "print([m for m in ('spacy', 'faster_whisper', 'av', 'sqlite_utils', 'datasette', 'numpy', "
        "'pint', 'rich') if m in sys.modules])"
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


def test_exit_code_of_a_command_reaches_the_shell(own_home: Path, tmp_path: Path) -> None:
    """A checklist with something missing ends with 1, so that a script can wait for it."""
    talk = tmp_path / "stool.txt"
    talk.write_text("[0:00] This is ash, and the lathe is at 850 rpm.\n")
    assert 0 == run("add", str(talk), SHOPLOG_HOME=str(own_home)).returncode
    result = run("checklist", "stool", SHOPLOG_HOME=str(own_home))
    assert (1, "") == (result.returncode, result.stderr)


@pytest.mark.parametrize(
    ("number", "words"),
    [(errno.ENOSPC, "Free some space"), (errno.EACCES, "Check the rights"), (errno.ENOENT, "Check the name")],
    ids=["full disk", "no rights", "no folder"],
)
def test_error_of_the_system_says_what_to_do(number: int, words: str) -> None:
    """What the system refuses is told with the file and what to do."""
    told = sentence(OSError(number, os.strerror(number), "record.html"))
    assert "record.html" in told
    assert words in told


def test_demo_without_weights_copies_nothing(own_home: Path, tmp_path: Path) -> None:
    """What the demonstration needs is missing: it says so and leaves no folder behind."""
    folder = tmp_path / "demo"
    result = run("demo", str(folder), "--model", "no-such-model", SHOPLOG_HOME=str(own_home))
    assert 1 == result.returncode
    assert "no-such-model" in result.stderr
    assert not folder.exists()


def test_hearing_again_what_is_gone_fails(own_home: Path, tmp_path: Path) -> None:
    """A recording whose file is gone can't be heard again: its name, the reason and exit code 1."""
    database = tmp_path / "log.db"
    with closing(open_database(database)) as conn, transaction(conn):
        number = writes.add_recording(conn, writes.project(conn, "stool"), "gone.mp4", "media", "done")
        writes.add_clip(conn, number, tmp_path / "gone.mp4", "0" * 64, 1, 1)
    result = run("--db", str(database), "rehear", "stool", SHOPLOG_HOME=str(own_home))
    assert 1 == result.returncode
    assert "gone.mp4: failed; there is no such file" in result.stderr


def test_recording_can_be_taken_out(own_home: Path, tmp_path: Path) -> None:
    """``project drop`` forgets a recording with its facts and leaves the file where it is."""
    talk = tmp_path / "talk.txt"
    talk.write_text("[0:00] The lathe is at 850 rpm.\n")
    assert 0 == run("add", str(talk), SHOPLOG_HOME=str(own_home)).returncode
    assert 0 == run("project", "drop", "1", "--yes", SHOPLOG_HOME=str(own_home)).returncode
    assert talk.exists()
    assert "done: 0" in run("status", SHOPLOG_HOME=str(own_home)).stdout


def test_find_wants_what_the_search_can_tell() -> None:
    """The choices stand in the command as well, since its help must not load the search; they are the same."""
    from shoplog.cli.find import find
    from shoplog.search.query import WANTS

    (want,) = [p for p in find.params if p.name == "want"]
    assert WANTS == tuple(want.type.choices)
