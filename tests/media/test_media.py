"""Recordings of many makes are read with their true times; what is none is refused in one sentence."""

from __future__ import annotations

import hashlib
import os
import pickle
import random
import struct
from contextlib import suppress
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import numpy as np
import pytest

from shoplog import media
from shoplog.errors import UnreadableMedia

from .making import KINDS, tone, write, write_picture_only


def power(sound: media.Sound, start: float, end: float) -> float:
    return float(np.sqrt(np.mean(sound.between(start, end) ** 2)))


@pytest.mark.parametrize("name", KINDS)
def test_containers_are_probed_and_decoded(tmp_path: Path, name: str) -> None:
    """Whatever container and codec, the length, the pitch and the picture come out as they went in."""
    codec, rate, picture = KINDS[name]
    path = write(tmp_path / name, tone(3.0, rate), rate, codec, picture=picture)
    probe = media.probe(path)
    assert (3.0, picture, rate) == (pytest.approx(probe.duration, abs=0.15), probe.has_video, probe.sample_rate)
    with media.decode(path) as sound:
        assert 3.0 == pytest.approx(sound.duration, abs=0.1)
        assert not sound.cut_off
        heard = sound.between(0.5, 2.5)
    spectrum = np.abs(np.fft.rfft(heard))
    assert 440 == pytest.approx(np.argmax(spectrum) * media.RATE / len(heard), abs=2)
    assert 0.12 < float(np.sqrt(np.mean(heard**2))) < 0.25  # a mono tone of 0.21 loses up to 3 dB on its way to stereo


@pytest.mark.parametrize(("name", "codec"), [("hole.mkv", "pcm_s16le"), ("hole.mp4", "aac")])
def test_a_hole_in_the_timestamps_is_silence(tmp_path: Path, name: str, codec: str) -> None:
    """What was said after a hole keeps its time."""
    path = write(tmp_path / name, tone(3.0, 44100), 44100, codec, hole=(1.0, 4.0))
    with media.decode(path) as sound:
        assert 7.0 == pytest.approx(sound.duration, abs=0.1)
        assert 4.0 == pytest.approx(sound.gaps, abs=0.1)
        assert power(sound, 0.2, 0.8) > 0.1
        assert power(sound, 1.5, 4.5) < 0.001
        assert power(sound, 5.2, 6.8) > 0.1


def test_a_cut_off_file_gives_what_is_there(tmp_path: Path) -> None:
    """A recording cut in half is decoded to where it ends, and says that it was cut."""
    path = write(tmp_path / "take.mkv", tone(20.0, 48000), 48000, "libopus")
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) // 2])
    with media.decode(path) as sound:
        assert 10.0 == pytest.approx(sound.duration, abs=1.0)
        assert sound.cut_off


def one_hertz() -> bytes:
    """A WAV file whose header claims one sample a second: an hour out of a few kilobytes."""
    body = b"fmt " + struct.pack("<IHHIIHH", 16, 1, 1, 1, 2, 2, 16) + b"data" + struct.pack("<I", 7200) + bytes(7200)
    return b"RIFF" + struct.pack("<I", 4 + len(body)) + b"WAVE" + body


def long_claim() -> bytes:
    """A WAV file of an honest rate with days of silence in its header, and none of it in the file."""
    size = 0x7FFFFFF0
    body = b"fmt " + struct.pack("<IHHIIHH", 16, 1, 1, 4000, 4000, 1, 8) + b"data" + struct.pack("<I", size)
    return b"RIFF" + struct.pack("<I", 0xFFFFFFF0) + b"WAVE" + body + bytes(64)


NOT_MEDIA = {
    "empty.mp4": (b"", "empty"),
    "notes.mp4": (b"Bring more sandpaper.\n" * 50, "not a recording"),
    "zeros.wav": (bytes(5000), "not a recording"),
    "one-hertz.wav": (one_hertz(), "too few for speech"),
    "playlist.m3u8": (b"#EXTM3U\n#EXT-X-TARGETDURATION:9\n#EXTINF:9,\nsecret.ts\n#EXT-X-ENDLIST\n", "not a recording"),
    "list.ffconcat": (b"ffconcat version 1.0\nfile secret.wav\n", "not a recording"),
    "page.html.mp4": (b"<html><body>404</body></html>", "not a recording"),
    "photo.mp4": (b"\x89PNG\r\n\x1a\n" + bytes(100), "not a recording"),
}


@pytest.mark.parametrize("name", NOT_MEDIA)
def test_what_is_no_recording_is_refused(tmp_path: Path, name: str) -> None:
    """Each is refused with its reason, by probe and by decode alike, and nothing else is opened for it."""
    content, reason = NOT_MEDIA[name]
    path = tmp_path / name
    path.write_bytes(content)
    write(tmp_path / "secret.wav", tone(1.0, 16000), 16000, "pcm_s16le")
    write(tmp_path / "secret.ts", tone(1.0, 48000), 48000, "aac")
    for look in (media.probe, media.decode):
        with pytest.raises(UnreadableMedia) as refused:
            look(path)
        assert reason in refused.value.why


def test_a_file_without_sound_is_refused(tmp_path: Path) -> None:
    """A video without an audio stream has nothing to hear, and says so."""
    with pytest.raises(UnreadableMedia, match="no sound"):
        media.probe(write_picture_only(tmp_path / "mute.mp4"))


def test_a_file_cut_before_its_index_says_so(tmp_path: Path) -> None:
    """The commonest broken file: a camera that lost power before it wrote the index."""
    path = write(tmp_path / "take.mp4", tone(3.0, 48000), 48000, "aac", picture=True)
    whole = path.read_bytes()
    path.write_bytes(whole[: whole.index(b"moov") - 4])
    with pytest.raises(UnreadableMedia, match="cut off before its index"):
        media.decode(path)


def test_too_long_is_refused(tmp_path: Path) -> None:
    """Neither a claim nor real sound beyond the limit is decoded."""
    path = write(tmp_path / "take.wav", tone(8.0, 16000), 16000, "pcm_s16le")
    with pytest.raises(UnreadableMedia, match="hours"):
        media.decode(path, max_hours=5 / 3600)


def test_a_false_claim_of_length_costs_nothing(tmp_path: Path) -> None:
    """A header that claims days over a few bytes gives those bytes, not days of silence."""
    path = tmp_path / "claim.wav"
    path.write_bytes(long_claim())
    with media.decode(path) as sound:
        assert sound.duration < 1


def test_places_that_are_no_files_are_refused(tmp_path: Path) -> None:
    """A folder, a pipe, a missing file: one sentence each."""
    os.mkfifo(tmp_path / "pipe.wav")
    for name, reason in (("", "not a file"), ("pipe.wav", "not a file"), ("gone.wav", "no such file")):
        with pytest.raises(UnreadableMedia, match=reason):
            media.probe(tmp_path / name)
    with pytest.raises(UnreadableMedia, match="no such file"):
        media.fingerprint(tmp_path / "gone.wav")


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may read everything")
def test_a_file_without_rights_is_refused(tmp_path: Path) -> None:
    """The sentence says what to do."""
    path = write(tmp_path / "mine.wav", tone(1.0, 16000), 16000, "pcm_s16le")
    path.chmod(0)
    with pytest.raises(UnreadableMedia, match="check its rights"):
        media.probe(path)


@pytest.mark.parametrize(
    "name", ["dreh bank ü.wav", "旋盤.wav", "-dash.wav", "http:x.wav", "a'b\"c;d.wav", "new\nline.wav"]
)
def test_any_name_is_a_name(tmp_path: Path, name: str) -> None:
    """A name is never taken for an option, an address or a command."""
    path = write(tmp_path / "plain.wav", tone(1.0, 16000), 16000, "pcm_s16le").rename(tmp_path / name)
    with media.decode(path) as sound:
        assert 1.0 == pytest.approx(sound.duration, abs=0.05)


@pytest.mark.parametrize("kind", ["recorder.wav", "phone.m4a", "screen.webm"])
def test_mutated_files_never_break_us(tmp_path: Path, kind: str) -> None:
    """A damaged file gives sound or a refusal: no crash, no hang, no other error."""
    codec, rate, picture = KINDS[kind]
    whole = write(tmp_path / kind, tone(1.0, rate), rate, codec, picture=picture).read_bytes()
    chance = random.Random(kind)
    path = tmp_path / ("mutant" + Path(kind).suffix)
    for _ in range(6):
        mutant = bytearray(whole)
        for _ in range(chance.randint(1, 30)):
            mutant[chance.randrange(min(len(mutant), 600))] = chance.randrange(256)
        path.write_bytes(mutant[: chance.randint(len(mutant) // 2, len(mutant))])
        with suppress(UnreadableMedia), media.decode(path) as sound:
            assert sound.samples > 0


def test_fingerprint_is_of_the_content(tmp_path: Path) -> None:
    """The same content has the same fingerprint under every name."""
    (tmp_path / "a").write_bytes(b"turning" * 1000)
    (tmp_path / "b").write_bytes(b"turning" * 1000)
    assert hashlib.sha256(b"turning" * 1000).hexdigest() == media.fingerprint(tmp_path / "a")
    assert media.fingerprint(tmp_path / "a") == media.fingerprint(tmp_path / "b")


MOMENTS = [
    ({"creation_time": "2026-05-03T10:11:12Z"}, datetime(2026, 5, 3, 10, 11, 12, tzinfo=UTC), "container"),
    ({"creation_time": "1904-01-01T00:00:00Z"}, None, "file"),
    ({"creation_time": "2093-01-01T00:00:00Z"}, None, "file"),
    ({}, None, "file"),
]


@pytest.mark.parametrize(("tags", "moment", "source"), MOMENTS)
def test_the_moment_of_recording(tmp_path: Path, tags: dict[str, str], moment: datetime | None, source: str) -> None:
    """The container's moment is taken if it can be one; else the file's, and it is said which."""
    path = write(tmp_path / "take.mkv", tone(1.0, 48000), 48000, "libopus", tags=tags)
    os.utime(path, (1_700_000_000, 1_700_000_000))
    probe = media.probe(path)
    assert (moment or datetime.fromtimestamp(1_700_000_000, UTC), source) == (
        probe.recorded_at,
        probe.recorded_at_source,
    )


def test_a_moment_with_its_own_zone() -> None:
    """The tag that carries the camera's zone is believed before the one in universal time."""
    tags = {"com.apple.quicktime.creationdate": "2026-05-03T12:11:12+0200", "creation_time": "2026-05-03T09:00:00Z"}
    zone = timezone(timedelta(hours=2))
    assert datetime(2026, 5, 3, 12, 11, 12, tzinfo=zone) == media._recorded(tags)


def test_the_error_survives_a_border_between_processes() -> None:
    """Workers hand errors over; path and reason arrive."""
    error = pickle.loads(pickle.dumps(UnreadableMedia("x.mp4", "it has no sound in it")))
    assert ("x.mp4", "it has no sound in it") == (error.path, error.why)


def test_sound_is_read_in_pieces(tmp_path: Path) -> None:
    """Pieces read by themselves are those of the whole, and reading beyond the ends gives less."""
    path = write(tmp_path / "take.wav", tone(2.0, 16000, 100), 16000, "pcm_s16le", channels=1)
    with media.decode(path) as sound:
        whole = sound.read(0, sound.samples)
        assert np.array_equal(whole[1000:3000], sound.read(1000, 3000))
        assert len(whole) == len(sound.read(-5, 10**9))
        assert 0 == len(sound.read(10**8, 10**9))


def test_progress_is_told(tmp_path: Path) -> None:
    """A long file says how far it is."""
    path = write(tmp_path / "take.flac", np.zeros(16000 * 70, np.float32), 16000, "flac", channels=1)
    told: list[float] = []
    with media.decode(path, on_progress=told.append) as sound:
        assert 70 == pytest.approx(sound.duration, abs=0.1)
    assert [20, 40, 60] == pytest.approx(told, abs=1)
