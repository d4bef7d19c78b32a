"""Recordings are served by number, in ranges, from known files only."""

from __future__ import annotations

import asyncio
import io
from pathlib import Path

import pytest
from weblog import Pages

from shoplog.errors import NotFound
from shoplog.log import Clip
from shoplog.store import open_database, transaction
from shoplog.web.media import Span, open_clip, span_of
from shoplog.web.sound import encode, small_copy

SIZE = 640_044  # bytes of the 40 s WAV file


@pytest.mark.parametrize(
    ("asked", "span"),
    [
        (None, Span(0, 99, False)),
        ("bytes=0-0", Span(0, 0, True)),
        ("bytes=10-19", Span(10, 19, True)),
        ("bytes=90-", Span(90, 99, True)),
        ("bytes=90-500", Span(90, 99, True)),
        ("bytes=-10", Span(90, 99, True)),
        ("bytes=-500", Span(0, 99, True)),
        ("bytes=100-", None),
        ("bytes=99999999999999999999999999-", None),
        ("bytes=-0", None),
        ("bytes=5-4", Span(0, 99, False)),
        ("bytes=-", Span(0, 99, False)),
        ("bytes=0-1,5-6", Span(0, 99, False)),
        ("bytes=a-b", Span(0, 99, False)),
        ("lines=0-1", Span(0, 99, False)),
        ("bytes=١-٢", Span(0, 99, False)),
    ],
)
def test_ranges(asked: str | None, span: Span | None) -> None:
    """One range of bytes is understood (RFC 9110, section 14); what is malformed is answered with the whole."""
    assert span == span_of(asked, 100)


def test_an_empty_file_has_no_range() -> None:
    """Of nothing, no part can be sent."""
    assert span_of("bytes=0-", 0) is None
    assert span_of("bytes=-5", 0) is None


@pytest.mark.parametrize(
    ("asked", "status", "content_range", "length"),
    [
        ("", 200, None, SIZE),
        ("bytes=0-3", 206, f"bytes 0-3/{SIZE}", 4),
        ("bytes=-44", 206, f"bytes {SIZE - 44}-{SIZE - 1}/{SIZE}", 44),
        ("bytes=700000-", 416, f"bytes */{SIZE}", 0),
        ("bytes=0-1,4-5", 200, None, SIZE),
    ],
)
def test_a_file_in_ranges(
    pages: Pages, written: Path, asked: str, status: int, content_range: str | None, length: int
) -> None:
    """The bytes sent are those of the file, for GET and for HEAD."""
    answer = pages.get("/media/1", headers={"range": asked})
    assert (status, content_range) == (answer.status_code, answer.headers.get("content-range"))
    assert length == len(answer.content) == int(answer.headers["content-length"])
    assert answer.headers["accept-ranges"] == "bytes"
    data = (written / "media" / "day 1.wav").read_bytes()
    assert answer.content in (data, data[:4], data[-44:], b"")
    head = pages.ask("HEAD", "/media/1", headers={"range": asked})
    assert (status, b"") == (head.status_code, head.content)


def test_a_range_of_another_state_is_answered_with_the_whole(pages: Pages) -> None:
    """If-Range keeps a listener from joining parts of two different files."""
    etag = pages.get("/media/1").headers["etag"]
    assert pages.get("/media/1", headers={"range": "bytes=0-3", "if-range": etag}).status_code == 206
    assert pages.get("/media/1", headers={"range": "bytes=0-3", "if-range": '"other"'}).status_code == 200


def _clip(path: Path, size: int | None = None) -> Clip:
    return Clip(1, 1, str(path), path.name, None, path.stat().st_size if size is None else size)


def test_what_is_not_served(tmp_path: Path) -> None:
    """Links out of the folder, other kinds of files, folders, files that have changed or gone are refused."""
    secret = tmp_path / "secret"
    secret.write_text("secret words")
    inbox = tmp_path / "inbox"
    inbox.mkdir()
    (inbox / "real.wav").write_bytes(b"RIFF")
    (inbox / "link out.wav").symlink_to(secret)
    (inbox / "link in.wav").symlink_to(inbox / "real.wav")
    (inbox / "words.vtt").write_text("WEBVTT")
    (inbox / "folder.wav").mkdir()
    with open_clip(_clip(inbox / "link in.wav")) as file:
        assert file.read() == b"RIFF"
    for clip in (
        _clip(inbox / "link out.wav"), _clip(inbox / "words.vtt"), _clip(inbox / "folder.wav"),
        _clip(inbox / "real.wav", size=5), _clip(inbox / "gone.wav", size=4), _clip(Path("x\0.wav"), size=4),
        _clip(inbox / ".." / ".." / "nowhere.wav", size=4),
    ):  # fmt: skip
        with pytest.raises(NotFound):
            open_clip(clip)


@pytest.mark.parametrize("path", ["/media/0", "/media/999", "/media/99999999999999999999", "/sound/999.webm"])
def test_only_known_numbers(pages: Pages, path: str) -> None:
    """A number that is none of ours leads nowhere."""
    assert pages.get(path).status_code == 404


def test_captions_are_not_played(pages: Pages) -> None:
    """A file that was read as captions is not served as sound."""
    conn = open_database(pages.database)
    with transaction(conn):
        conn.execute("update recording set kind = 'captions' where id = 1")
    conn.close()
    assert pages.get("/media/1").status_code == 404


@pytest.mark.parametrize("form", ["webm", "m4a"])
def test_small_copy_keeps_the_times(pages: Pages, form: str) -> None:
    """The small copy is smaller, and what sounds at a second of the original sounds at that second of the copy."""
    import av
    import numpy as np

    answer = pages.get(f"/sound/1.{form}", headers={"range": "bytes=0-"})
    assert answer.status_code == 206
    assert len(answer.content) < SIZE / 2
    with av.open(io.BytesIO(answer.content)) as made:
        rate = made.streams.audio[0].rate
        sound = np.concatenate([frame.to_ndarray().mean(axis=0) for frame in made.decode(audio=0)])
    assert abs(40 - len(sound) / rate) < 0.1
    for second in (1, 17, 38):
        part = sound[int((second + 0.3) * rate) : int((second + 0.7) * rate)]
        pitch = np.argmax(np.abs(np.fft.rfft(part * np.hanning(len(part))))) * rate / len(part)
        assert abs(300 + 20 * second - pitch) < 5


def test_sound_of_something_else_is_refused(tmp_path: Path, own_home: Path) -> None:
    """A file that can't be decoded leaves no copy behind."""
    import av

    broken = tmp_path / "broken.wav"
    broken.write_bytes(b"no sound at all")
    with pytest.raises(NotFound):
        asyncio.run(small_copy(_clip(broken), "webm"))
    assert not [p for p in (own_home / "cache" / "sound").iterdir() if "1-15" in p.name or p.name.startswith(".")]
    with pytest.raises(av.error.FFmpegError):
        encode(broken, tmp_path / "out.webm", "webm")
