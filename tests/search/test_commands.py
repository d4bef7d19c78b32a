"""`find` and `before` as commands."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from shoplog.cli import group
from shoplog.facts import Fact
from shoplog.search import as_line, understand
from shoplog.store import open_database, transaction, writes
from shoplog.transcript import Cue, Transcript


def run(log_file: Path, *words: str) -> Result:
    result = CliRunner().invoke(group, ["--db", str(log_file), *words])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def test_the_answer_begins_with_what_was_understood(log_file: Path) -> None:
    """First line the conditions, second the answer, then the facts."""
    lines = run(log_file, "find", "what", "speed", "did", "I", "sand", "the", "cherry", "at").output.splitlines()
    assert "Understood: --kind speed --species cherry --operation sand" == lines[0]
    assert lines[1].startswith("450 to 600 rpm, median 525")


@pytest.mark.parametrize(
    "question",
    ["what speed did I run cherry at for sanding", "cracked below 20 percent", "half inch gouge on end grain",
     "pieces over 12 inches above 900 rpm", "cracks last year", "did I wear a respirator on the cherry"],
)  # fmt: skip
def test_the_line_given_as_options_finds_the_same(log_file: Path, question: str) -> None:
    """What is printed as understood can be given back as options."""
    import shlex

    asked = json.loads(run(log_file, "find", question, "--json").output)
    given = json.loads(run(log_file, "find", *shlex.split(as_line(understand(question))), "--json").output)
    assert asked["understood"] == given["understood"]
    assert [f["kept"]["id"] for f in asked["found"]] == [f["kept"]["id"] for f in given["found"]]


def test_an_option_replaces_what_was_understood(log_file: Path) -> None:
    """The wood of the option is taken, not that of the words; the other conditions stay."""
    found = json.loads(run(log_file, "find", "cherry speeds for sanding", "--species", "elm", "--json").output)
    assert "--kind speed --species elm --operation sand" == found["understood"]
    assert [520.0] == [f["kept"]["fact"]["value"] for f in found["found"]]


def test_smallest_and_largest_number(log_file: Path) -> None:
    """--min and --max need no unit where the kind has one."""
    found = json.loads(run(log_file, "find", "--kind", "speed", "--min", "1000", "--max", "1100", "--json").output)
    assert {1000.0, 1050.0, 1100.0} == {f["kept"]["fact"]["value"] for f in found["found"]}


def test_csv_is_harmless(tmp_path: Path) -> None:
    """Spoken words that begin like a formula do not become one; numbers stay numbers."""
    path = tmp_path / "log.db"
    conn = open_database(path)
    with transaction(conn):
        recording = writes.add_recording(conn, writes.project(conn, "=1+1"), "@cmd.mp4", "media")
        writes.save_transcript(conn, recording, Transcript((Cue(0, 5, "=HYPERLINK"),)))
        writes.save_facts(conn, recording, [Fact("temperature", value=-5, unit="degC", quote="=HYPERLINK(1)")], "test")
    conn.close()
    rows = list(csv.DictReader(io.StringIO(run(path, "find", "temperature", "--csv").output)))
    assert [("'=1+1", "'@cmd.mp4", "'=HYPERLINK(1)", "-5.0")] == [
        (r["project"], r["recording"], r["words"], r["value"]) for r in rows
    ]


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("find",), "Ask something"),
        (("find", "--number", "abc"), "is not one number"),
        (("find", "--kind", "gouge"), "Invalid value"),
        (("find", "--beside", "gouge:bowl"), "is no kind of fact"),
        (("before", "--wood", "cherry", "--diameter", "heavy"), "is not one number"),
        (("before", "--wood", "cherry", "--diameter", "800rpm"), "is no diameter"),
        (("before",), "Missing option"),
    ],
)
def test_mistakes_are_answered_in_one_sentence(log_file: Path, words: tuple[str, ...], message: str) -> None:
    """A wrong option says what is wrong with it."""
    result = CliRunner().invoke(group, ["--db", str(log_file), *words])
    assert result.exit_code != 0
    assert message in (result.output + str(result.exception))


def test_before_tells_what_the_log_knows_and_the_reckoning(log_file: Path) -> None:
    """The wood page for pieces of the size, then what is computed, labelled so."""
    text = run(log_file, "before", "--wood", "cherry", "--diameter", "10in").output
    known, computed = text.split("Computed, not stated:")
    assert "450 to 900 rpm" in known  # the 14 inch platter's speeds are not of this size
    assert "Cracked: crack 1 in, new, Cherry salad bowl, 2025-03-14, moisture then 28 %" in known
    assert "rpm (rule of thumb)" in computed


def test_before_reckons_for_a_wood_that_was_never_turned(log_file: Path) -> None:
    """Without a piece in the log there still is the reckoning."""
    text = run(log_file, "before", "--wood", "hackberry", "--diameter", "250mm").output
    assert text.startswith('The log has no piece of "hackberry"')
    assert "rpm" in text.split("Computed, not stated:")[1]
