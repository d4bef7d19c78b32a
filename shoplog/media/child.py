"""Reads one media file; runs in a process of its own, with limits, because media is untrusted.

    python child.py probe FILE
    python child.py decode FILE MAX_SECONDS > SOUND

Nothing but PyAV and the standard library is imported. FILE is opened here and handed to the demuxer as a byte source,
so that no format can reach for another file or an address. ``decode`` writes 16 kHz mono signed 16-bit samples to
standard output. What happened goes to standard error, one JSON object a line; the last one is the result, or has a
``why``. A parent that dies breaks that pipe and so ends this process.
"""

from __future__ import annotations

import json
import os
import sys
from typing import Any, BinaryIO

RATE = 16_000
#: Containers that hold recordings. No playlists, no lists of files, no raw or picture formats.
FORMATS = "mov,mp4,m4a,3gp,3g2,mj2,matroska,webm,wav,w64,aiff,flac,ogg,mp3,aac,avi,mpegts,mpeg,mxf,asf,caf,amr,flv,au"
#: Below this no speech can be understood; a header with 1 Hz would make hours out of a few bytes.
LOWEST_RATE = 4_000
#: Timestamps this much off the samples written so far are a gap in the recording, not jitter. Seconds.
GAP = 0.05
#: A longer jump is a clock that was set anew, not a gap. Seconds.
LONGEST_GAP = 3_600.0
#: Address space. FFmpeg maps its libraries and looks at a few 4K pictures when it opens a video.
MEMORY_BYTES = 3 * 1024**3
PROGRESS_SECONDS = 20


class Refused(Exception):
    """The file can't be used; the text is for the person who owns it."""


def say(**what: object) -> None:
    sys.stderr.write(json.dumps(what) + "\n")
    sys.stderr.flush()


def limit(cpu_seconds: int, file_bytes: int) -> None:
    """Bound memory, processor time and what is written, where the system can."""
    try:
        import resource
    except ImportError:  # Windows: the parent's wall limit is all there is
        return
    for which, most in (
        (resource.RLIMIT_AS, MEMORY_BYTES),
        (resource.RLIMIT_CPU, cpu_seconds),
        (resource.RLIMIT_FSIZE, file_bytes),
        (resource.RLIMIT_CORE, 0),
    ):
        hard = resource.getrlimit(which)[1]
        most = most if hard == resource.RLIM_INFINITY else min(most, hard)
        try:
            resource.setrlimit(which, (most, most))
        except (ValueError, OSError):  # macOS refuses some of them
            continue


def opened(av: Any, file: BinaryIO) -> Any:
    options = {"format_whitelist": FORMATS, "protocol_whitelist": "none"}
    # Tags in no known encoding must not make a recording unreadable; from PyAV 19 on they never do.
    lenient = {} if int(av.__version__.split(".")[0]) >= 19 else {"metadata_errors": "ignore"}
    try:
        return av.open(file, options=options, buffer_size=1 << 18, **lenient)
    except (av.error.FFmpegError, ValueError, IndexError) as error:
        if "moov" in str(error).lower() or b"ftyp" in head(file):
            raise Refused("it was cut off before its index was written, so nothing of it can be read") from None
        raise Refused("this is not a recording in a format that can be read") from None


def head(file: BinaryIO) -> bytes:
    file.seek(0)
    return file.read(64)


def sound_of(container: Any) -> Any:
    """The audio stream that a player would choose."""
    stream = container.streams.best("audio") if container.streams.audio else None
    if stream is None:
        raise Refused("it has no sound in it")
    rate = stream.codec_context.sample_rate if stream.codec_context else None
    if not rate:
        raise Refused("its sound is in a format that can't be decoded")
    if rate < LOWEST_RATE:
        raise Refused(f"its sound has {rate} samples a second, too few for speech; the file may be damaged")
    return stream


def seconds(stream: Any, container: Any) -> float | None:
    """The length that the file claims, in seconds."""
    if container.duration and container.duration > 0:
        return float(container.duration / 1_000_000)
    if stream.duration and stream.duration > 0:
        return float(stream.duration * stream.time_base)
    return None


def probe(av: Any, file: BinaryIO) -> dict[str, object]:
    with opened(av, file) as container:
        stream = sound_of(container)
        pictures = [s for s in container.streams.video if not s.disposition & av.stream.Disposition.attached_pic]
        tags: dict[str, str] = {}
        for source in (*container.streams, container):
            tags.update({k.lower(): v for k, v in source.metadata.items()})
        return {
            "container": container.format.name,
            "duration": seconds(stream, container),
            "codec": stream.codec_context.name,
            "rate": stream.codec_context.sample_rate,
            "channels": stream.codec_context.channels,
            "has_video": bool(pictures),
            "tags": {k: v for k, v in tags.items() if "date" in k or "time" in k},
        }


class Writer:
    """Puts decoded frames at their own times: silence where the timestamps leave a gap."""

    def __init__(self, av: Any, out: BinaryIO, zero: float, max_seconds: float) -> None:
        self.av, self.out, self.zero = av, out, zero
        self.most = int(max_seconds * RATE)
        self.written = 0
        self.gaps = 0.0
        self.resampler: Any = None
        self.shape: Any = None

    def frame(self, frame: Any) -> None:
        shape = (frame.format.name, frame.layout.name, frame.sample_rate)
        if shape != self.shape:  # some streams change their layout midway
            self.flush()
            self.shape = shape
            self.resampler = self.av.AudioResampler(format="s16", layout="mono", rate=RATE)
        if frame.pts is not None and frame.time_base:
            self._place(float(frame.pts * frame.time_base))
        frame.pts = None
        for done in self.resampler.resample(frame):
            self._write(done.to_ndarray().tobytes())

    def _place(self, at: float) -> None:
        gap = at - self.zero - self.written / RATE
        if GAP < gap <= LONGEST_GAP:
            self.flush()
            gap = at - self.zero - self.written / RATE
            for _ in range(int(gap)):
                self._write(bytes(2 * RATE))
            self._write(bytes(2 * int(gap % 1 * RATE)))
            self.gaps += gap
        elif gap > LONGEST_GAP or gap < -10 * GAP:
            self.zero += gap

    def flush(self) -> None:
        if self.resampler is not None:
            for done in self.resampler.resample(None):
                self._write(done.to_ndarray().tobytes())
            self.resampler = self.av.AudioResampler(format="s16", layout="mono", rate=RATE)

    def _write(self, data: bytes) -> None:
        self.written += len(data) // 2
        if self.written > self.most:
            raise Refused(f"it holds more than {self.most / RATE / 3600:.0f} hours of sound; cut it, or it is damaged")
        self.out.write(data)


def decode(av: Any, file: BinaryIO, max_seconds: float, out: BinaryIO) -> dict[str, object]:
    with opened(av, file) as container:
        stream = sound_of(container)
        claimed = seconds(stream, container)
        if claimed and claimed > max_seconds:
            raise Refused(f"it claims to be {claimed / 3600:.0f} hours long, which no recording is; it may be damaged")
        start = container.start_time / 1_000_000 if container.start_time is not None else 0.0
        writer = Writer(av, out, start, max_seconds)
        broken, next_word = 0, PROGRESS_SECONDS * RATE
        packets = container.demux(stream)
        while True:
            try:
                packet = next(packets, None)
            except (av.error.FFmpegError, ValueError):
                broken += 1
                break
            if packet is None:
                break
            try:
                frames = packet.decode()
            except (av.error.FFmpegError, ValueError):
                broken += 1
                continue
            for frame in frames:
                writer.frame(frame)
            if writer.written >= next_word:
                say(at=writer.written / RATE)
                next_word = writer.written + PROGRESS_SECONDS * RATE
        writer.flush()
        out.flush()
        if not writer.written:
            raise Refused("none of its sound could be decoded; the file may have been cut off")
    return {"samples": writer.written, "claimed": claimed, "gaps": round(writer.gaps, 3), "broken": broken}


def main(args: list[str]) -> int:
    task, name = args[0], args[1]
    max_seconds = float(args[2]) if task == "decode" else 0.0
    size = os.stat(name).st_size  # noqa: PTH116 - a name that pathlib can't take stays a name
    limit(cpu_seconds=600 + size // 1_000_000, file_bytes=int(max_seconds * RATE * 2) + (1 << 20))
    try:
        import av
        import av.error

        with open(name, "rb") as file:  # noqa: PTH123
            result = probe(av, file) if task == "probe" else decode(av, file, max_seconds, sys.stdout.buffer)
    except Refused as refused:
        say(why=str(refused))
        return 1
    except MemoryError:
        say(why="reading it takes more memory than a recording should; the file may be damaged")
        return 1
    except OSError as error:
        say(why=f"it could not be read to its end ({error.strerror or error})")
        return 1
    say(result=result)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
