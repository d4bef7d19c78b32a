"""The publishing commands, from transcript files to files and exit codes."""

from __future__ import annotations

import json
import os
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from shoplog.cli import group

DAYS = [
    ("2026-03-02T09:10:00", """[0:02] Morning. The wood is elm, and the blank is 12 inches across.
[0:15] Face shield is down, and it's on a four inch faceplate.
[0:30] Running at 450 rpm with the half inch bowl gouge, roughing it round.
[0:50] I'll weigh it again in two weeks.
"""),
    ("2026-07-10T10:00:00", """[0:01] Sanding at 300 rpm with 120, 180 and 240 grit.
[0:30] Two coats of walnut oil are on.
[0:45] The bowl is 11 inches across.
"""),
]  # fmt: skip


@pytest.fixture
def log(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A log of one project, "elm", of two days."""
    monkeypatch.setenv("SHOPLOG_HOME", str(tmp_path / "home"))
    monkeypatch.delenv("SHOPLOG_DB", raising=False)
    folder = tmp_path / "elm"
    folder.mkdir()
    for n, (started, text) in enumerate(DAYS, 1):
        file = folder / f"day-{n}.txt"
        file.write_text(text)
        at = datetime.fromisoformat(started).timestamp()
        os.utime(file, (at, at))
    assert 0 == run("add", str(folder)).exit_code
    return tmp_path


def run(*arguments: str) -> Result:
    return CliRunner().invoke(group, list(arguments))


def test_describe_prints_the_draft(log: Path) -> None:
    made = run("describe", "elm")
    assert 0 == made.exit_code
    for words in ("elm", "4 inch faceplate", "450 rpm", "two coats of walnut oil", "0:00 "):
        assert words in made.output
    table = json.loads(run("describe", "elm", "--json").stdout)
    assert table["titles"]
    assert any("walnut oil" in x["text"] for x in table["sections"]["finishes"])
    assert all(x["facts"] for x in table["sections"]["tools"])


@pytest.mark.parametrize(("form", "start"), [("text", "0:00 "), ("vtt", "WEBVTT"), ("ffmetadata", ";FFMETADATA1")])
def test_chapters_come_in_three_formats(log: Path, form: str, start: str) -> None:
    assert run("chapters", "elm", "--format", form).stdout.startswith(start)


def test_captions_go_to_a_file_by_its_name(log: Path) -> None:
    to = log / "elm.srt"
    assert 0 == run("captions", "elm", "--to", str(to)).exit_code
    assert to.read_text().startswith("1\n00:00:0")
    assert run("captions", "elm").stdout.startswith("WEBVTT")


def test_the_exit_code_says_whether_anything_is_missing(log: Path) -> None:
    """1 while something is missing; settling each missing point by hand makes it 0."""
    made = run("checklist", "elm", "--json")
    assert 1 == made.exit_code
    points: list[dict[str, Any]] = json.loads(made.stdout)
    missing = [p["key"] for p in points if p["state"] == "missing"]
    assert {"gear-sand", "promise-weight-two-weeks"} <= set(missing)
    for key in missing:
        last = run("checklist", "elm", "--settle", key, "--note", "seen")
    assert 0 == last.exit_code
    assert "MISSING" not in last.output


def test_an_unknown_point_or_promise_is_named(log: Path) -> None:
    assert "There is no point" in str(run("checklist", "elm", "--settle", "nonsense").exception)
    assert "There is no promise" in str(run("due", "elm", "--answered", "nonsense").exception)


def test_due_lists_answers_and_exports(log: Path) -> None:
    assert "2026-03-16 (overdue)" in run("due").output
    to = log / "due.ics"
    assert 0 == run("due", "--ics", str(to)).exit_code
    assert b"DUE;VALUE=DATE:20260316" in to.read_bytes()
    assert "answered by on the radio" in run("due", "--answered", "weight-two-weeks", "--note", "on the radio").output


def test_answers_say_what_was_not_stated(log: Path) -> None:
    made = run("answers", "elm").output
    assert "450 rpm" in made
    assert "not stated" in made


def test_publish_writes_a_folder_and_keeps_edits(log: Path) -> None:
    to = log / "out"
    assert 0 == run("publish", "elm", "--to", str(to)).exit_code
    (to / "description.txt").write_text("mine\n")
    run("due", "elm", "--answered", "weight-two-weeks")
    again = run("publish", "elm", "--to", str(to))
    assert "you edited it" in again.output
    assert "mine\n" == (to / "description.txt").read_text()


def test_a_caption_file_of_the_cut_gives_its_times(log: Path) -> None:
    """The cut begins with the second day and leaves out the first remark of it."""
    final = log / "final.txt"
    final.write_text(
        "[0:02] Two coats of walnut oil are on.\n[0:17] The bowl is 11 inches across.\n"
        "[0:30] Running at 450 rpm with the half inch bowl gouge, roughing it round.\n"
    )
    made = run("describe", "elm", "--video", str(final), "--json")
    notes = json.loads(made.stdout)["notes"]
    assert any("Not in the cut" in n and "120" in n for n in notes)
    assert "The cut" not in made.stderr


def test_what_cannot_be_used_is_one_sentence(log: Path) -> None:
    assert "There is no file" in str(run("describe", "elm", "--video", str(log / "none.mp4")).exception)
    assert "another project" in str(run("describe", "elm", "--video", str(_other(log))).exception)


def _other(folder: Path) -> Path:
    other = folder / "other.txt"
    other.write_text("[0:01] This is about something else entirely, with no word in common.\n")
    return other
