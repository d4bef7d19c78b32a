"""Files become recordings of the right project; what can't be used is told, kept and tried again; nothing twice."""

from __future__ import annotations

import os
import sqlite3
from pathlib import Path

import pytest

from shoplog import inbox, ingest
from shoplog.errors import InputError
from shoplog.register import Outcome, register_all
from shoplog.store import queries, transaction, writes

WORDS = "[0:00] This is elm, and the lathe is at 850 rpm.\n[0:06] I sanded it with 120 grit.\n"


def add(conn: sqlite3.Connection, *paths: Path, project: str | None = None) -> list[Outcome]:
    """What ``shoplog add`` does, without hearing."""
    found, _ = inbox.sources(paths, project)
    outcomes = register_all(conn, found)
    return [ingest.process(conn, o.recording_id) if o.verdict == "added" and o.recording_id else o for o in outcomes]


def projects(conn: sqlite3.Connection) -> dict[str, list[str]]:
    return {n: [t.recording.name for t in queries.load_project(conn, n).takes] for n in queries.project_names(conn)}


def test_an_inbox_gives_each_subfolder_a_project(conn: sqlite3.Connection, tmp_path: Path) -> None:
    """A subfolder is a project with all below it, a loose file is one by itself, other files are left alone."""
    for name in (
        "elm bowl/one.txt",
        "elm bowl/more/two.txt",
        "loose.txt",
        ".hidden.txt",
        "half.txt.part",
        "elm bowl/notes.txt",
    ):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text("just notes" if name.endswith("notes.txt") else WORDS + f"[0:20] {name}")
    add(conn, tmp_path)
    assert {"elm bowl": ["two.txt", "one.txt"], "loose": ["loose.txt"]} == {
        k: sorted(v, reverse=True) for k, v in projects(conn).items()
    }


def test_a_folder_without_subfolders_is_one_project(conn: sqlite3.Connection, tmp_path: Path) -> None:
    """A folder of recordings is the piece that it is named for, unless the user says otherwise."""
    folder = tmp_path / "ash ladle"
    folder.mkdir()
    (folder / "a.txt").write_text(WORDS)
    (folder / "b.vtt").write_text("WEBVTT\n\n00:01.000 --> 00:02.000\n220 grit now\n")
    add(conn, folder)
    assert {"ash ladle": ["a.txt", "b.vtt"]} == {k: sorted(v) for k, v in projects(conn).items()}


def test_captions_beside_their_recording_are_not_counted_twice(tmp_path: Path) -> None:
    """A transcript that has the name of a recording beside it is passed over, and that is said."""
    (tmp_path / "day.mp4").write_bytes(b"x")
    (tmp_path / "day.srt").write_text("1\n00:00:01,000 --> 00:00:02,000\nhello\n")
    found, passed = inbox.sources([tmp_path])
    assert ["day.mp4"] == [s.path.name for s in found]
    assert ["day.srt"] == [p.path.name for p in passed]


def test_same_content_is_added_once(conn: sqlite3.Connection, tmp_path: Path) -> None:
    """Again, under another name, or after moving: one recording."""
    first = tmp_path / "a.txt"
    first.write_text(WORDS)
    facts = add(conn, first)[0].facts
    assert facts > 0
    copy = tmp_path / "copy.txt"
    copy.write_text(WORDS)
    assert ["already", "already"] == [o.verdict for o in add(conn, first, copy)]
    first.unlink()
    add(conn, copy)
    clips = [c.path for r in queries.recordings(conn) for c in r.clips]
    assert [str(copy)] == clips
    assert facts == conn.execute("select count(*) from fact").fetchone()[0]


def test_the_same_content_twice_in_one_call_is_one_recording(conn: sqlite3.Connection, tmp_path: Path) -> None:
    """Two copies, in one folder or named one by one, are one recording, and the second starts no project."""
    for name in ("a.txt", "b.txt"):
        (tmp_path / name).write_text(WORDS)
    add(conn, tmp_path / "a.txt", tmp_path / "b.txt")
    assert {"a": ["a.txt"]} == projects(conn)
    add(conn, tmp_path)
    assert 1 == len(queries.recordings(conn))


def test_failed_file_that_becomes_a_copy_is_failed_no_more(conn: sqlite3.Connection, tmp_path: Path) -> None:
    """An unusable file that turns out to be a copy of a known one leaves no failure behind."""
    (tmp_path / "a.txt").write_text(WORDS)
    (tmp_path / "b.txt").write_text("")
    add(conn, tmp_path / "a.txt", tmp_path / "b.txt")
    assert 1 == len(queries.state(conn)["failed"])
    (tmp_path / "b.txt").write_text(WORDS)
    assert ["already"] == [o.verdict for o in add(conn, tmp_path / "b.txt")]
    assert [] == queries.state(conn)["failed"]
    assert {"a": ["a.txt"]} == projects(conn)


def test_captions_are_not_joined(conn: sqlite3.Connection, tmp_path: Path) -> None:
    """Of joined captions only the first could be placed in time: they are refused before anything is stored."""
    for name in ("a.txt", "b.txt"):
        (tmp_path / name).write_text(WORDS + f"[0:20] {name}")
    found, _ = inbox.sources([tmp_path / "a.txt", tmp_path / "b.txt"])
    with pytest.raises(InputError, match="one by one"):
        register_all(conn, found, join=True)
    assert () == queries.recordings(conn)


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("empty.mp4", b"", "0 bytes"),
        ("empty.vtt", b"", "0 bytes"),
        ("letter.mp4", b"Dear viewer, this is no video. " * 50, ""),
        ("zeros.wav", bytes(5000), ""),
        ("half.vtt", b"WEBVTT\n\n", "no timed words"),
    ],
)
def test_unusable_file_is_kept_as_failed_and_tried_again(
    conn: sqlite3.Connection, tmp_path: Path, name: str, content: bytes, words: str
) -> None:
    """The reason is stored and told, the others go on, and a changed file is tried again in its place."""
    bad, good = tmp_path / name, tmp_path / "good.txt"
    bad.write_bytes(content)
    good.write_text(WORDS)
    outcomes = {o.path.name: o for o in add(conn, bad, good)}
    assert "failed" == outcomes[name].verdict
    assert outcomes[name].reason
    assert words in outcomes[name].reason
    assert "added" == outcomes["good.txt"].verdict
    assert [outcomes[name].reason] == [r.reason for r in queries.recordings(conn) if r.state == "failed"]
    again = add(conn, bad)[0]
    assert "failed" == again.verdict
    assert 1 == len([r for r in queries.recordings(conn) if r.state == "failed"])
    repaired = tmp_path / (bad.stem + ".txt")
    repaired.write_text(WORDS + "[0:30] repaired")
    assert "added" == add(conn, repaired)[0].verdict


def test_missing_file_says_so(tmp_path: Path) -> None:
    """A name that is not there stops before anything is written."""
    with pytest.raises(InputError, match="no file or folder"):
        inbox.sources([tmp_path / "nothing.mp4"])


def test_file_that_grows_while_it_is_looked_at_is_left_for_later(
    conn: sqlite3.Connection, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A copy under way is passed over, not stored half."""
    from shoplog import media

    path = tmp_path / "a.txt"
    path.write_text(WORDS)
    real = media.fingerprint

    def growing(p: Path) -> str:
        digest = real(p)
        with Path(p).open("a") as file:
            file.write("[0:40] more words\n")
        return digest

    monkeypatch.setattr(media, "fingerprint", growing)
    outcome = add(conn, path)[0]
    assert "passed" == outcome.verdict
    assert "still being written" in str(outcome.reason)
    assert () == queries.recordings(conn)


def test_folder_without_rights_is_told_and_the_others_go_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder that can't be listed is named as a failure."""
    (tmp_path / "good.txt").write_text(WORDS)
    closed = tmp_path / "closed"
    closed.mkdir()
    real = os.scandir

    def refused(path: object = ".") -> object:
        if Path(str(path)) == closed:
            raise PermissionError(13, "Permission denied", str(closed))
        return real(path)  # type: ignore[call-overload]

    monkeypatch.setattr(os, "scandir", refused)
    found, passed = inbox.sources([tmp_path])
    assert ["good.txt"] == [s.path.name for s in found]
    assert [(closed, True)] == [(p.path, p.failed) for p in passed]


@pytest.mark.parametrize(
    "name", ["椀を挽く.txt", "чаша №1.txt", 'bowl \'n "box"; drop.txt', "🪵.txt", os.fsdecode(b"b\xfcrl.txt")]
)
def test_names_in_any_script(conn: sqlite3.Connection, tmp_path: Path, name: str) -> None:
    """A file may be named in any script, even in no valid one."""
    path = tmp_path / name
    path.write_text(WORDS)
    assert "added" == add(conn, path)[0].verdict


def test_reading_again_gives_the_same_facts(conn: sqlite3.Connection, tmp_path: Path) -> None:
    """``reread`` replaces the facts in place; with the same patterns they are the same."""
    path = tmp_path / "a.txt"
    path.write_text(WORDS)
    number = add(conn, path)[0].recording_id
    assert number is not None
    before = [k.fact for k in queries.facts(conn, number)]
    assert ingest.reread(conn, number) == len(before) > 0
    assert before == [k.fact for k in queries.facts(conn, number)]


def test_reading_again_uses_taught_words(conn: sqlite3.Connection, tmp_path: Path) -> None:
    """A word that the maker taught is taken for what was meant at the next reading."""
    path = tmp_path / "a.txt"
    path.write_text("[0:00] I cut the outside with the zorble, half inch.\n")
    number = add(conn, path)[0].recording_id
    assert number is not None
    assert "bowl gouge" not in [k.fact.item for k in queries.facts(conn, number)]
    with transaction(conn):
        writes.teach(conn, "zorble", "bowl gouge")
    ingest.reread(conn, number)
    assert "bowl gouge" in [k.fact.item for k in queries.facts(conn, number)]


def test_error_while_storing_leaves_what_was_there(
    conn: sqlite3.Connection, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """If storing fails half way, the facts from before are all still there."""
    path = tmp_path / "a.txt"
    path.write_text(WORDS)
    number = add(conn, path)[0].recording_id
    assert number is not None
    before = queries.facts(conn, number)

    def broken(*args: object) -> None:
        raise sqlite3.OperationalError("database or disk is full")

    monkeypatch.setattr(writes, "save_course", broken)
    with pytest.raises(sqlite3.OperationalError):
        ingest.reread(conn, number)
    assert before == queries.facts(conn, number)


def test_a_taught_name_is_spelled_as_the_maker_spells_it(conn: sqlite3.Connection, tmp_path: Path) -> None:
    """Teaching how a person is called mends the thanks, in this recording and the next."""
    path = tmp_path / "a.txt"
    path.write_text("[0:00] Thanks to Marlo Tibet for the log.\n")
    with transaction(conn):
        writes.teach(conn, "marlo tibet", "Marlo Tibbett")
    number = add(conn, path)[0].recording_id
    assert number is not None
    assert ["marlo tibbett"] == [k.fact.item for k in queries.facts(conn, number) if k.fact.kind == "credit"]
