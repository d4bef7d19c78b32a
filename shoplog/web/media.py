"""The recordings as sound and picture for the player: by clip number, from known files only, in byte ranges."""

from __future__ import annotations

import asyncio
import os
import re
import stat
from collections.abc import Mapping
from dataclasses import dataclass
from email.utils import formatdate
from http import HTTPStatus
from pathlib import Path
from typing import IO, Any

from shoplog.errors import NotFound
from shoplog.log import Clip

#: What a clip's suffix is served as. Nothing else is served.
TYPES = {
    ".3gp": "video/3gpp", ".aac": "audio/aac", ".aif": "audio/aiff", ".aiff": "audio/aiff", ".avi": "video/x-msvideo",
    ".flac": "audio/flac", ".m2ts": "video/mp2t", ".m4a": "audio/mp4", ".m4v": "video/mp4", ".mka": "audio/x-matroska",
    ".mkv": "video/x-matroska", ".mov": "video/quicktime", ".mp3": "audio/mpeg", ".mp4": "video/mp4",
    ".mpeg": "video/mpeg", ".mpg": "video/mpeg", ".mts": "video/mp2t", ".mxf": "application/mxf", ".oga": "audio/ogg",
    ".ogg": "audio/ogg", ".ogv": "video/ogg", ".opus": "audio/ogg", ".ts": "video/mp2t", ".wav": "audio/wav",
    ".webm": "video/webm", ".wma": "audio/x-ms-wma", ".wmv": "video/x-ms-wmv",
}  # fmt: skip
CHUNK = 128 * 1024
_RANGE = re.compile(r"bytes=(\d*)-(\d*)", re.ASCII)


def media_type(name: str) -> str:
    """The type that a clip of that name is served as, empty for one that is not served."""
    return TYPES.get(Path(name).suffix.lower(), "")


def open_clip(clip: Clip) -> IO[bytes]:
    """The clip's file, opened. Raises NotFound with a sentence where it may not or can't be served.

    A link is followed only to a file inside the folder in which the clip was found, and the file must be as long as the
    one that was heard: what has been put in its place since is not served.
    """
    if not media_type(clip.name):
        raise NotFound("This file is not a sound or video file.")
    path = Path(clip.path)
    try:
        folder, real = path.parent.resolve(strict=True), path.resolve(strict=True)
        if not real.is_relative_to(folder):
            raise NotFound("This recording is a link that leads out of its folder; it is not served.")
        handle = os.open(real, os.O_RDONLY | getattr(os, "O_BINARY", 0) | getattr(os, "O_NOFOLLOW", 0))
    except (OSError, ValueError) as error:
        raise NotFound(f"The file {clip.name} is not where it was heard; put it back to play it.") from error
    status = os.fstat(handle)
    if not stat.S_ISREG(status.st_mode) or status.st_size != clip.size:
        os.close(handle)
        raise NotFound(f"The file {clip.name} has changed since it was heard; add it again to play it.")
    return os.fdopen(handle, "rb")


@dataclass(frozen=True, slots=True)
class Span:
    """The bytes to send: from ``first`` to ``last``, both included. ``partial`` where a range was asked for."""

    first: int
    last: int
    partial: bool


def span_of(header: str | None, size: int) -> Span | None:
    """The bytes that a Range header asks for; None where no byte of it is there (status 416).

    One range of bytes is understood (RFC 9110, 14.2); anything else is answered with the whole file, as the RFC allows.
    """
    whole = Span(0, size - 1, False)
    match = _RANGE.fullmatch((header or "").strip())
    if not match or not (match[1] or match[2]):
        return whole
    # More digits than any file has bytes: past the end all the same.
    first, last = (int(digits[:20]) if digits else None for digits in match.groups())
    if first is None:
        assert last is not None  # one of both is there
        return Span(max(size - last, 0), size - 1, True) if last and size else None
    if last is not None and last < first:
        return whole
    return Span(first, min(size - 1 if last is None else last, size - 1), True) if first < size else None


async def send_file(file: IO[bytes], content_type: str, scope: Mapping[str, Any], receive: Any, send: Any) -> None:
    """Answer with the file or the range of it that was asked for. Closes the file."""
    with file:
        status = os.fstat(file.fileno())
        headers = {k.decode("latin-1").lower(): v.decode("latin-1") for k, v in scope["headers"]}
        etag = f'"{status.st_size:x}-{status.st_mtime_ns:x}"'
        conditional = headers.get("if-range")
        wanted = headers.get("range") if conditional is None or conditional == etag else None
        span = span_of(wanted, status.st_size)
        answer = [
            ("accept-ranges", "bytes"),
            ("content-type", content_type),
            ("etag", etag),
            ("last-modified", formatdate(status.st_mtime, usegmt=True)),
            ("cache-control", "private, max-age=3600"),
            ("content-security-policy", "default-src 'none'; sandbox"),
            ("x-content-type-options", "nosniff"),
        ]
        if headers.get("if-none-match") == etag:
            code, length = HTTPStatus.NOT_MODIFIED, 0
        elif span is None:
            code, length = HTTPStatus.REQUESTED_RANGE_NOT_SATISFIABLE, 0
            answer += [("content-range", f"bytes */{status.st_size}"), ("content-length", "0")]
        else:
            code, length = (HTTPStatus.PARTIAL_CONTENT if span.partial else HTTPStatus.OK), span.last - span.first + 1
            answer.append(("content-length", str(length)))
            if span.partial:
                answer.append(("content-range", f"bytes {span.first}-{span.last}/{status.st_size}"))
        raw = [(k.encode(), v.encode("latin-1")) for k, v in answer]
        await send({"type": "http.response.start", "status": int(code), "headers": raw})
        if scope["method"] == "HEAD" or not length or span is None:
            await send({"type": "http.response.body", "body": b""})
            return
        gone = asyncio.ensure_future(_gone(receive))
        try:
            file.seek(span.first)
            while length and not gone.done():
                chunk = await asyncio.to_thread(file.read, min(CHUNK, length))
                if not chunk:
                    break
                length -= len(chunk)
                await send({"type": "http.response.body", "body": chunk, "more_body": bool(length)})
        finally:
            gone.cancel()


async def _gone(receive: Any) -> None:
    """Return when the listener has gone."""
    while (await receive())["type"] != "http.disconnect":
        pass
