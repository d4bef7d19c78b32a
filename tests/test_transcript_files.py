"""Transcripts in files are read tolerantly and written strictly."""

from __future__ import annotations

import io
import tomllib
from pathlib import Path

import pysubs2
import pytest
import webvtt
from hypothesis import given
from hypothesis import strategies as st

from shoplog.errors import BadTranscript
from shoplog.transcript import Cue
from shoplog.transcript_files import parse_transcript, read_transcript, to_srt, to_timed_text, to_vtt

CASES = tomllib.loads((Path(__file__).parent / "data" / "transcripts.toml").read_text(encoding="utf-8"))["case"]


@pytest.mark.parametrize("case", CASES, ids=[c["name"] for c in CASES])
def test_what_comes_out(case: dict[str, object]) -> None:
    """Each form of file gives its cues with their times and plain words."""
    cues = parse_transcript(str(case["text"])).cues
    assert case["cues"] == [[c.start, pytest.approx(c.end, abs=0.002), c.text] for c in cues]


def test_inline_times_are_times_of_words() -> None:
    """Words after an inline WebVTT time begin at it."""
    cue = parse_transcript("WEBVTT\n\n00:01.000 --> 00:05.000\nat <00:00:02.500><c>850</c> <00:00:04.000>now\n").cues[0]
    assert [("at", 1.0), ("850", 2.5), ("now", 4.0)] == [(w.text, w.start) for w in cue.words]


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b"   \n", "empty"),
        (b"just words, no times", r"\[1:15\]"),
        (b"WEBVTT\n\n", "no timed words"),
        (b"[1:99] words", "not a time"),
        (b"\x00\x01\x02\x00" * 500, "not text"),
    ],
    ids=["empty", "blank", "no times", "no cues", "impossible time", "binary"],
)
def test_unusable_file_says_what_to_do(tmp_path: Path, data: bytes, words: str) -> None:
    """A file that is no transcript is refused with a sentence."""
    path = tmp_path / "x.vtt"
    path.write_bytes(data)
    with pytest.raises(BadTranscript, match=words):
        read_transcript(path)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_encodings_that_editors_write(tmp_path: Path, encoding: str) -> None:
    """Files in the usual encodings are read as what they say."""
    path = tmp_path / "x.txt"
    path.write_bytes("[0:01] café, 5 °C".encode(encoding))
    assert "café, 5 °C" == read_transcript(path).cues[0].text


texts = st.text(st.characters(blacklist_categories=["Cs", "Cc"]), max_size=60)
cue_lists = st.lists(st.tuples(st.floats(0, 90_000), st.floats(0, 60), texts), max_size=6).map(
    lambda items: [Cue(s, s + d, t) for s, d, t in sorted(items)]
)


@given(cue_lists)
def test_written_webvtt_reads_the_same_everywhere(cues: list[Cue]) -> None:
    """What we write is read back by us and by two other parsers with the same number of cues."""
    written = to_vtt(cues, "a --> title\nof two lines")
    expected = [" ".join(c.text.split()).replace("-->", "→") for c in cues]
    shown = [t for t in expected if t]
    assert len(shown) == len(list(webvtt.from_buffer(io.StringIO(written))))
    assert len(shown) == len(pysubs2.SSAFile.from_string(written, format_="vtt"))
    if shown:
        assert [t.replace("→", "-->") for t in shown] == [
            c.text.replace("→", "-->") for c in parse_transcript(written).cues
        ]


@given(cue_lists)
def test_written_srt_has_every_cue(cues: list[Cue]) -> None:
    """SRT is numbered from 1 and holds every cue with words."""
    shown = [c for c in cues if c.text.strip()]
    written = to_srt(cues)
    assert len(shown) == len(pysubs2.SSAFile.from_string(written, format_="srt"))
    assert len(shown) == len([line for line in written.splitlines() if " --> " in line])


@given(st.text(max_size=400))
def test_any_text_is_cues_or_a_sentence(text: str) -> None:
    """Whatever is in a file, it gives cues or BadTranscript, never another error."""
    for form in (text, "WEBVTT\n\n" + text, "[0:01] " + text, "00:00:01,000 --> 00:00:02,000\n" + text):
        try:
            cues = parse_transcript(form).cues
        except BadTranscript:
            continue
        assert all(c.text.strip() and c.end >= c.start for c in cues)


def test_timed_text_lines() -> None:
    """Timed text is one line a cue."""
    assert "[1:15] the lathe\n[1:00:00] off\n" == to_timed_text([Cue(75.9, 80, "the\nlathe"), Cue(3600, 3601, "off")])
