"""Small media files made with PyAV, so that tests know what is in them."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path

import av
import numpy as np

#: File name to (codec, rate, picture): the containers that cameras, phones and recorders write.
KINDS = {
    "camera.mp4": ("aac", 48000, True),
    "camera.mov": ("pcm_s16le", 44100, True),
    "camera.mkv": ("libopus", 48000, True),
    "camera.avi": ("libmp3lame", 44100, True),
    "camera.ts": ("aac", 48000, True),
    "phone.m4a": ("aac", 44100, False),
    "phone.3gp": ("aac", 16000, False),
    "recorder.wav": ("pcm_s24le", 96000, False),
    "recorder.flac": ("flac", 44100, False),
    "recorder.mp3": ("libmp3lame", 44100, False),
    "recorder.ogg": ("libopus", 48000, False),
    "screen.webm": ("libopus", 48000, False),
}


def tone(seconds: float, rate: int, hz: float = 440.0) -> np.ndarray:
    return (0.3 * np.sin(2 * np.pi * hz * np.arange(int(seconds * rate)) / rate)).astype(np.float32)


def write(
    path: Path,
    sound: np.ndarray,
    rate: int,
    codec: str,
    *,
    picture: bool = False,
    channels: int = 2,
    hole: tuple[float, float] | None = None,
    tags: Mapping[str, str] | None = None,
) -> Path:
    """Write mono float sound into a container; ``hole`` = (at, seconds) moves all later timestamps."""
    layout = "stereo" if channels == 2 else "mono"
    with av.open(str(path), "w") as container:
        container.metadata.update(tags or {})
        video = None
        if picture:
            video = container.add_stream("mpeg4", rate=10)
            video.width, video.height, video.pix_fmt = 64, 48, "yuv420p"
        audio = container.add_stream(codec, rate=rate, layout=layout)
        if video is not None:
            for number in range(int(len(sound) / rate * 10)):
                frame = av.VideoFrame(64, 48, "yuv420p")
                frame.pts, frame.time_base = number, Fraction(1, 10)
                container.mux(video.encode(frame))
            container.mux(video.encode())
        shape = av.AudioResampler(format=audio.format.name, layout=layout, rate=rate)
        size = audio.codec_context.frame_size or 1024
        for first in range(0, len(sound), size):
            block = np.ascontiguousarray(sound[None, first : first + size])
            frame = av.AudioFrame.from_ndarray(block, "fltp", "mono")
            frame.sample_rate = rate
            moved = int(hole[1] * rate) if hole and first >= hole[0] * rate else 0
            for shaped in shape.resample(frame):
                shaped.pts, shaped.time_base = first + moved, Fraction(1, rate)
                container.mux(audio.encode(shaped))
        container.mux(audio.encode())
    return path


def write_picture_only(path: Path) -> Path:
    with av.open(str(path), "w") as container:
        video = container.add_stream("mpeg4", rate=10)
        video.width, video.height, video.pix_fmt = 64, 48, "yuv420p"
        for number in range(10):
            frame = av.VideoFrame(64, 48, "yuv420p")
            frame.pts, frame.time_base = number, Fraction(1, 10)
            container.mux(video.encode(frame))
        container.mux(video.encode())
    return path
