"""The words of the edited video: heard, or read from a caption file of it."""

from __future__ import annotations

from pathlib import Path

from shoplog.errors import InputError
from shoplog.transcript import Transcript


def hear_final(path: Path) -> Transcript:
    """The transcript of the final cut. Raises InputError, or what hearing raises on a file it can't use."""
    from shoplog.transcript_files import SUFFIXES, read_transcript

    if not path.exists():
        raise InputError(f"There is no file {path}; check the name of the final cut.")
    if path.is_dir():
        raise InputError(f"{path} is a folder; name the edited video or a caption file of it.")
    if path.suffix.lower() in SUFFIXES:
        return read_transcript(path)
    from shoplog.speech import hear

    return hear(path)
