"""The sound of a clip as a small file that any browser plays, made once and kept in the cache.

It is made in a child process: recordings are untrusted, and decoding must not hold up or take down the pages.
"""

from __future__ import annotations

import asyncio
import os
import sys
import tempfile
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

from shoplog.errors import NotFound
from shoplog.log import Clip
from shoplog.settings import cache_folder

#: Format: (media type, PyAV container, PyAV encoder). Browsers play at least one of the two.
FORMATS = {"webm": ("audio/webm", "webm", "libopus"), "m4a": ("audio/mp4", "mp4", "aac")}
RATE = 48_000
BITS = 40_000
#: Copies kept, bytes; the longest unused go first.
CACHE_LIMIT = 2 * 1024**3
#: Copies that are made at the same time.
MOST_AT_ONCE = 2
#: The longest recording that is made ready, seconds of work.
PATIENCE = 900.0

_under_way: dict[Path, asyncio.Task[None]] = {}


async def small_copy(clip: Clip, form: str) -> Path:
    """The file with the clip's sound in that format, made now if it is not there. Raises NotFound with a sentence."""
    folder = cache_folder() / "sound"
    target = folder / f"{clip.sha256 or f'{clip.id}-{clip.size}'}.{form}"
    if target.exists():
        os.utime(target)
        return target
    folder.mkdir(parents=True, exist_ok=True)
    while target not in _under_way and len(_under_way) >= MOST_AT_ONCE:
        await asyncio.sleep(0.2)
    if target not in _under_way:
        _under_way[target] = asyncio.ensure_future(_make(clip, target, form))
        _under_way[target].add_done_callback(lambda _: _under_way.pop(target, None))
    # A listener who leaves does not stop it: the next one finds it done.
    await asyncio.shield(_under_way[target])
    return target


async def _make(clip: Clip, target: Path, form: str) -> None:
    await asyncio.to_thread(_prune, target.parent)
    handle, part = tempfile.mkstemp(prefix=".", suffix=f".{form}", dir=target.parent)
    os.close(handle)
    child = await asyncio.create_subprocess_exec(
        sys.executable, "-m", "shoplog.web.sound", os.path.realpath(clip.path), part, form,
        stdin=asyncio.subprocess.DEVNULL, stdout=asyncio.subprocess.DEVNULL, stderr=asyncio.subprocess.DEVNULL,
    )  # fmt: skip
    try:
        if await asyncio.wait_for(child.wait(), PATIENCE) != 0:
            raise NotFound(f"The sound of {clip.name} could not be read.")
        Path(part).replace(target)
    except TimeoutError:
        raise NotFound(f"The sound of {clip.name} took too long to make ready.") from None
    finally:
        if child.returncode is None:
            child.kill()
        Path(part).unlink(missing_ok=True)


def _prune(folder: Path) -> None:
    copies = sorted((p for p in folder.iterdir() if p.suffix[1:] in FORMATS), key=lambda p: -p.stat().st_mtime)
    total = 0
    for copy in copies:
        total += copy.stat().st_size
        if total > CACHE_LIMIT:
            copy.unlink(missing_ok=True)


def encode(source: Path, target: Path, form: str) -> None:
    """Write the sound of one file, mono. Its times are those of the source, gaps included, for seeking by them."""
    import av

    _, container, codec = FORMATS[form]
    options = {"movflags": "faststart"} if container == "mp4" else {}
    with av.open(str(source)) as given, av.open(str(target), "w", format=container, options=options) as made:
        if not given.streams.audio:
            raise ValueError("there is no sound in it")
        stream = made.add_stream(codec, rate=RATE, layout="mono")
        stream.bit_rate = BITS
        resampler = av.AudioResampler(format=stream.format, layout="mono", rate=RATE)
        begin = (given.start_time or 0) / av.time_base
        at = 0
        for frame in _frames(given):
            # Samples are counted; a hole in the source is filled, so that later words stay where they are.
            due = round(((frame.time or 0.0) - begin) * RATE) if frame.pts is not None else at
            if due - at > RATE // 10:
                for packet in stream.encode(_silence(due - at, at, stream.format.name)):
                    made.mux(packet)
                at = due
            for piece in resampler.resample(frame):
                piece.pts, piece.time_base = at, Fraction(1, RATE)
                at += piece.samples
                for packet in stream.encode(piece):
                    made.mux(packet)
        for packet in stream.encode(None):
            made.mux(packet)


def _frames(given: Any) -> Iterator[Any]:
    """The frames that can be decoded; damaged ones are left out."""
    import av

    for packet in given.demux(audio=0):
        try:
            yield from packet.decode()
        except av.error.InvalidDataError:
            continue


def _silence(samples: int, at: int, form: str) -> Any:
    import av

    frame = av.AudioFrame(format=form, layout="mono", samples=min(samples, 600 * RATE))
    for plane in frame.planes:
        plane.update(bytes(plane.buffer_size))
    frame.pts, frame.sample_rate, frame.time_base = at, RATE, Fraction(1, RATE)
    return frame


def _limited() -> None:
    """Let this process take only so much, where the system can say so."""
    try:
        import resource
    except ImportError:  # not on Windows
        return
    resource.setrlimit(resource.RLIMIT_CPU, (int(PATIENCE), int(PATIENCE) + 5))
    resource.setrlimit(resource.RLIMIT_AS, (4 * 1024**3, 4 * 1024**3))


if __name__ == "__main__":
    _limited()
    encode(Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3])
