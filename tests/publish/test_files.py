"""The calendar and the folder: stable, read by others, never over the maker's work."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import icalendar
import pytest
import vobject

from shoplog.errors import InputError
from shoplog.publish.calendar import to_ics
from shoplog.publish.folder import write_pack
from shoplog.publish.pack import files
from tests.publish.invented import invented

TODAY = date(2026, 8, 1)


def test_the_calendar_is_read_by_two_parsers() -> None:
    """icalendar and vobject find the same tasks with a whole-day due, and lines end and fold as RFC 5545 asks."""
    promises = [*invented("elm_bowl").pack().promises, *invented("ash_platter").pack().promises]
    data = to_ics(promises)
    todos = list(icalendar.Calendar.from_ical(data).walk("VTODO"))
    others = vobject.readOne(data.decode()).vtodo_list
    assert len(promises) == len(todos) == len(others)
    assert [p.due for p in promises] == [t["due"].dt for t in todos] == [t.due.value for t in others]
    assert ["NEEDS-ACTION", "COMPLETED"] == [str(t["status"]) for t in todos]
    assert all(len(line) <= 75 and line == line.rstrip(b"\n") for line in data.split(b"\r\n"))
    assert data.count(b"\n") == data.count(b"\r\n")


def test_a_task_keeps_its_uid_over_exports_and_renamings() -> None:
    from dataclasses import replace

    from shoplog.publish.followups import follow_ups

    case = invented("elm_bowl")
    renamed = replace(case.project, name="another name", id=77)
    assert [f.uid for f in follow_ups(case.project, case.course)] == [f.uid for f in follow_ups(renamed, case.course)]


def test_a_promise_is_answered_by_hand() -> None:
    case = invented("elm_bowl")
    made = case.pack(answered={"weight-two-weeks": ("answered", "said in a comment")})
    assert [("answered", "said in a comment")] == [
        (p.state, p.answer) for p in made.promises if p.key == "weight-two-weeks"
    ]


def test_writing_again_changes_only_what_changed(tmp_path: Path) -> None:
    pack = files(invented("elm_bowl").pack(), TODAY)
    assert {"written"} == {w.verdict for w in write_pack(tmp_path, pack)}
    assert {"unchanged"} == {w.verdict for w in write_pack(tmp_path, pack)}
    changed = {**pack, "tags.txt": "elm\n"}
    assert ["tags.txt"] == [w.name for w in write_pack(tmp_path, changed) if w.verdict == "written"]


def test_a_file_that_the_maker_edited_is_kept(tmp_path: Path) -> None:
    """The new one stands beside it; asked again nothing changes; edits of that one are kept too."""
    write_pack(tmp_path, {"description.txt": "draft 1\n"})
    mine = tmp_path / "description.txt"
    mine.write_text("my own words\n")
    (kept,) = write_pack(tmp_path, {"description.txt": "draft 2\n"})
    assert ("kept yours", "description.new.txt") == (kept.verdict, kept.beside)
    assert "my own words\n" == mine.read_text()
    assert "draft 2\n" == (tmp_path / "description.new.txt").read_text()
    write_pack(tmp_path, {"description.txt": "draft 3\n"})
    assert "draft 3\n" == (tmp_path / "description.new.txt").read_text()
    (tmp_path / "description.new.txt").write_text("mine too\n")
    (kept,) = write_pack(tmp_path, {"description.txt": "draft 4\n"})
    assert "description.new-2.txt" == kept.beside
    assert "mine too\n" == (tmp_path / "description.new.txt").read_text()


def test_a_file_that_was_there_before_is_the_makers(tmp_path: Path) -> None:
    (tmp_path / "description.txt").write_text("here first\n")
    (kept,) = write_pack(tmp_path, {"description.txt": "draft\n"})
    assert "kept yours" == kept.verdict
    assert "here first\n" == (tmp_path / "description.txt").read_text()


def test_a_broken_manifest_costs_no_file(tmp_path: Path) -> None:
    write_pack(tmp_path, {"a.txt": "1\n"})
    (tmp_path / ".shoplog-written.json").write_text("{ not json")
    (kept,) = write_pack(tmp_path, {"a.txt": "2\n"})
    assert "kept yours" == kept.verdict


def test_a_folder_that_is_a_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "x").write_text("")
    with pytest.raises(InputError, match="folder"):
        write_pack(tmp_path / "x", {"a.txt": "1"})


def test_the_makers_template_and_points_replace_ours(tmp_path: Path) -> None:
    (tmp_path / "templates").mkdir()
    (tmp_path / "templates" / "description.txt.j2").write_text("{{ name }}: {{ wood | join(', ') }}\n")
    (tmp_path / "checklist.toml").write_text(
        '[[point]]\ntitle = "Say hello to the club"\nwords = ["hello club"]\n'
        '[[point]]\ntitle = "Lamp off in the last shot"\n'
        '[[point]]\ntitle = "Name the wood"\nwords = ["elm"]\n'
    )
    made = invented("elm_bowl").pack(config=tmp_path)
    assert "elm bowl: Wood: elm log\n" == made.description.text
    own = {p.title: p.state for p in made.checklist(TODAY) if p.key.startswith("own-")}
    assert {
        "Say hello to the club": "missing",
        "Lamp off in the last shot": "needs your eyes",
        "Name the wood": "good",
    } == own


@pytest.mark.parametrize("text", ["{{ name", "{{ nothing_of_this_name }}", "{{ ''.__class__.__mro__ }}"])
def test_a_template_that_cannot_be_used_is_named(tmp_path: Path, text: str) -> None:
    (tmp_path / "templates").mkdir()
    (tmp_path / "templates" / "description.txt.j2").write_text(text)
    with pytest.raises(InputError, match=r"description.txt.j2"):
        _ = invented("elm_bowl").pack(config=tmp_path).description


def test_a_settled_point_is_good_with_the_note_as_its_evidence() -> None:
    made = invented("elm_bowl").pack(settled={"gear-sand": ("good", "seen at 3:20")})
    (point,) = [p for p in made.checklist(TODAY) if p.key == "gear-sand"]
    assert "good" == point.state
    assert "seen at 3:20" in str(point.evidence[-1])
