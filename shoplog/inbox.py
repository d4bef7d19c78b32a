"""Which files are recordings, and which project their place puts them in."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from shoplog.errors import BadTranscript, InputError

#: Files that are taken from a folder. A file that is named itself is tried whatever its name is.
MEDIA_SUFFIXES = frozenset({
    ".3gp", ".aac", ".aif", ".aiff", ".avi", ".flac", ".m2ts", ".m4a", ".m4v", ".mka", ".mkv", ".mov", ".mp3",
    ".mp4", ".mpg", ".mpeg", ".mts", ".mxf", ".oga", ".ogg", ".ogv", ".opus", ".ts", ".wav", ".webm", ".wma",
    ".wmv",
})  # fmt: skip
CAPTION_SUFFIXES = frozenset({".vtt", ".srt", ".txt"})
#: Names of files that are still being written.
PASSED_SUFFIXES = (".part", ".tmp", ".crdownload", ".download", ".partial")


@dataclass(frozen=True, slots=True)
class Source:
    """A file to take in, and the project that its place puts it in."""

    path: Path
    project: str
    captions: bool = False


@dataclass(frozen=True, slots=True)
class Passed:
    """A file or folder that was not taken, and why; ``failed`` where someone has to do something about it."""

    path: Path
    reason: str
    failed: bool = False


def sources(paths: Sequence[Path], project: str | None = None) -> tuple[list[Source], list[Passed]]:
    """The files under some paths with their projects, and what was passed over.

    A folder that has subfolders with recordings is an inbox: each subfolder is a project, loose files are one each.
    A folder without is a project itself. A file named by itself is a project, unless ``project`` says otherwise.
    """
    found: list[Source] = []
    passed: list[Passed] = []
    for path in paths:
        if not path.exists():
            raise InputError(f"There is no file or folder {path}; check the name.")
        if path.is_dir():
            files = list(_files(path, passed))
            inbox = any(f.parent != path for f in files)
            for file in files:
                found.append(Source(file, project or project_of(file, path, inbox), is_captions(file)))
        else:
            found.append(Source(path, project or path.stem, is_captions(path)))
    return found, passed


def project_of(file: Path, root: Path, inbox: bool = True) -> str:
    """The project that a file's place below ``root`` puts it in."""
    inner = file.relative_to(root).parts
    if len(inner) > 1:
        return inner[0]
    return file.stem if inbox else root.resolve().name


def is_captions(path: Path) -> bool:
    return path.suffix.lower() in CAPTION_SUFFIXES


def _files(folder: Path, passed: list[Passed]) -> Iterator[Path]:
    def refused(error: OSError) -> None:
        where = Path(error.filename or folder)
        passed.append(Passed(where, f"cannot be read ({error.strerror}); check its rights", failed=True))

    for root, folders, names in os.walk(folder, onerror=refused):
        folders[:] = sorted(f for f in folders if not f.startswith("."))
        files = sorted(
            Path(root) / n for n in names if not n.startswith(".") and not n.lower().endswith(PASSED_SUFFIXES)
        )
        media = {f.stem for f in files if f.suffix.lower() in MEDIA_SUFFIXES}
        for file in files:
            if file.suffix.lower() in MEDIA_SUFFIXES:
                yield file
            elif is_captions(file):
                if file.stem in media:
                    passed.append(Passed(file, "captions of the recording beside it, which is heard itself"))
                elif file.suffix.lower() != ".txt" or _is_timed_text(file):
                    yield file


def _is_timed_text(file: Path) -> bool:
    """Whether a .txt file in a folder is a transcript; other notes may lie there."""
    from shoplog.transcript_files import read_transcript

    try:
        read_transcript(file)
    except BadTranscript:
        return False
    return True
