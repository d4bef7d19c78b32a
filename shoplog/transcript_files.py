"""Transcripts in files: WebVTT, SRT and timed text lines (``[m:ss] words``), read tolerantly and written strictly."""

from __future__ import annotations

import html
import re
from collections.abc import Iterable
from pathlib import Path

from shoplog.errors import BadTranscript
from shoplog.times import parse_stamp, stamp
from shoplog.transcript import Cue, Transcript, Word

#: File names that are read as transcripts rather than as recordings.
SUFFIXES = (".vtt", ".srt", ".txt")
#: A three-hour transcript is under a megabyte; more than this is not a transcript.
MAX_BYTES = 32 * 1024 * 1024
#: Speech runs at about this pace; it ends a line of timed text that is followed by a long silence.
WORDS_PER_SECOND = 1.8

_LINE = re.compile(r"\s*\[(\d+(?::\d{2}){1,2}(?:[.,]\d{1,3})?)\]\s*(.*)")
_TAG = re.compile(r"</?[A-Za-z][^<>]*>|<(?:\d+:)?\d{2}:\d{2}\.\d{3}>|\{\\[^{}]*\}")
_MASKED = re.compile("\ue000([0-9.\ue001]+)\ue002")
_MOMENT = re.compile(r"<((?:\d+:)?\d{2}:\d{2}\.\d{3})>")


def read_transcript(path: Path) -> Transcript:
    """The transcript in a file, whatever of the three forms it is in. Raises BadTranscript with what to do."""
    try:
        size = path.stat().st_size
        data = path.read_bytes() if size <= MAX_BYTES else b""
    except OSError as error:
        raise BadTranscript(f"{path}: cannot be read ({error.strerror}); check its name and rights.") from error
    if size > MAX_BYTES:
        raise BadTranscript(f"{path}: {size // 1_000_000} MB is too much for a transcript; is it a recording?")
    if not data.strip():
        raise BadTranscript(f"{path}: the file is empty.")
    if data.count(0) > len(data) // 8 and data[:2] not in (b"\xff\xfe", b"\xfe\xff"):
        raise BadTranscript(f"{path}: this is not text; add it as a recording, or give a WebVTT or SRT file.")
    return parse_transcript(_decoded(data), str(path))


def parse_transcript(text: str, name: str = "the transcript") -> Transcript:
    """The transcript in a text: WebVTT if it says so, SRT if it has arrows, else timed text lines."""
    text = text.lstrip("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
    if text.startswith("WEBVTT"):
        cues = _subtitles(text, "vtt")
    elif "-->" in text:
        cues = _subtitles(text, "srt")
    else:
        cues = _timed_lines(text, name)
    if not cues:
        raise BadTranscript(f"{name}: no timed words found; give WebVTT, SRT, or lines like [1:15] words.")
    return Transcript(tuple(cues), source="captions", duration=max(c.end for c in cues))


def _decoded(data: bytes) -> str:
    encodings = ("utf-16",) if data[:2] in (b"\xff\xfe", b"\xfe\xff") else ("utf-8-sig", "cp1252", "latin-1")
    for encoding in encodings:
        try:
            return data.decode(encoding)
        except UnicodeDecodeError:
            continue
    return data.decode("utf-8", errors="replace")


def _subtitles(text: str, form: str) -> list[Cue]:
    import pysubs2

    # Inline times stand aside while the library reads: it takes a line with two of them for a cue's own times.
    text = _MOMENT.sub(lambda m: f"\ue000{m[1].replace(':', chr(0xE001))}\ue002", text)
    try:
        # Tags are kept so that we strip them ourselves: the library would also strip what only looks like one.
        keep = {"keep_html_tags": True, "keep_unknown_html_tags": True} if form == "srt" else {}
        events = pysubs2.SSAFile.from_string(text, format_=form, **keep)
    except Exception as error:
        raise BadTranscript(f"the {form.upper()} file cannot be read: {error}.") from error
    cues: list[Cue] = []
    before: list[str] = []
    for event in sorted(events, key=lambda e: e.start):
        shown = _MASKED.sub(lambda m: f"<{m[1].replace(chr(0xE001), ':')}>", event.text)
        lines = [line for line in shown.replace("\\N", "\n").replace("\\n", "\n").split("\n") if _plain(line)]
        fresh = _not_rolled(before, [_plain(line) for line in lines])
        before = [_plain(line) for line in lines] or before
        body = "\n".join(lines[len(lines) - fresh :])
        words = _words(body, event.start / 1000, max(event.end, event.start) / 1000)
        if words:
            times = words if _MOMENT.search(body) else ()
            cues.append(Cue(words[0].start, words[-1].end, " ".join(_plain(body).split()), times))
    return cues


def _not_rolled(before: list[str], lines: list[str]) -> int:
    """How many of the lines are new: automatic captions roll, repeating the last lines above the new one."""
    for kept in range(min(len(before), len(lines)), 0, -1):
        if before[-kept:] == lines[:kept]:
            # The very same whole text again may be said twice; only a line that scrolled up is a repeat.
            return len(lines) - kept if kept < len(lines) or len(before) > kept else len(lines)
    return len(lines)


def _plain(text: str) -> str:
    return html.unescape(_TAG.sub("", text)).strip()


def _words(body: str, start: float, end: float) -> tuple[Word, ...]:
    """Words of a cue; those after an inline time begin at it."""
    pieces = _MOMENT.split(body)
    words: list[Word] = []
    marks = [start, *(min(max(parse_stamp(p), start), end) for p in pieces[1::2]), end]
    for i, piece in enumerate(pieces[::2]):
        words += Cue(marks[i], max(marks[i + 1], marks[i]), _plain(piece)).timed_words()
    return tuple(words)


def _timed_lines(text: str, name: str) -> list[Cue]:
    found: list[tuple[float, list[str]]] = []
    for line in text.split("\n"):
        match = _LINE.match(line)
        if match:
            try:
                found.append((parse_stamp(match[1]), [match[2]]))
            except ValueError as error:
                raise BadTranscript(f"{name}: {error}.") from error
        elif found and line.strip():
            found[-1][1].append(line.strip())
    found.sort(key=lambda item: item[0])
    cues: list[Cue] = []
    for i, (start, parts) in enumerate(found):
        words = " ".join(" ".join(parts).split())
        if not words:
            continue
        end = start + max(1.0, len(words.split()) / WORDS_PER_SECOND)
        if i + 1 < len(found) and found[i + 1][0] > start:
            end = min(end, found[i + 1][0])
        cues.append(Cue(start, round(end, 3), words))
    return cues


def to_vtt(cues: Iterable[Cue], header: str = "") -> str:
    """WebVTT (W3C): payloads escaped, without blank lines or arrows, every cue at least a millisecond long."""
    blocks = [f"WEBVTT{' - ' + _one_line(header) if header else ''}"]
    for cue in cues:
        lines = "\n".join(_escaped(line) for line in cue.text.splitlines() if line.strip())
        if lines:
            blocks.append(f"{_clock(cue.start, '.')} --> {_clock(_after(cue), '.')}\n{lines}")
    return "\n\n".join(blocks) + "\n"


def to_srt(cues: Iterable[Cue]) -> str:
    """SRT, numbered from 1, with a comma before the milliseconds (common practice, no standard)."""
    blocks: list[str] = []
    for cue in cues:
        lines = "\n".join(line.replace("-->", "→") for line in cue.text.splitlines() if line.strip())
        if lines:
            blocks.append(f"{len(blocks) + 1}\n{_clock(cue.start, ',')} --> {_clock(_after(cue), ',')}\n{lines}")
    return "\n\n".join(blocks) + "\n" if blocks else ""


def to_timed_text(cues: Iterable[Cue]) -> str:
    """Lines ``[m:ss] words``."""
    return "".join(f"[{stamp(cue.start)}] {_one_line(cue.text)}\n" for cue in cues if cue.text.strip())


def _one_line(text: str) -> str:
    return " ".join(text.split()).replace("-->", "→")


def _escaped(line: str) -> str:
    return line.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;").strip()


def _after(cue: Cue) -> float:
    return max(cue.end, cue.start + 0.001)


def _clock(seconds: float, point: str) -> str:
    whole, milli = divmod(round(max(seconds, 0.0) * 1000), 1000)
    return f"{whole // 3600:02d}:{whole // 60 % 60:02d}:{whole % 60:02d}{point}{milli:03d}"
