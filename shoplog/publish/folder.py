"""Writing the pack into a folder: only what changed, and never over a file that the maker edited."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from shoplog.errors import InputError
from shoplog.files import write_whole

#: Digests of what was written last, so that an edit is known as one.
MANIFEST = ".shoplog-written.json"
Verdict = Literal["written", "unchanged", "kept yours"]


@dataclass(frozen=True, slots=True)
class Written:
    """What became of one file; ``beside`` is the new one where the maker's edit was kept."""

    name: str
    verdict: Verdict
    beside: str | None = None


def write_pack(folder: Path, files: Mapping[str, str | bytes]) -> tuple[Written, ...]:
    """Write the files. Raises InputError where the folder can't be used; files already written stay whole."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(f"{folder}: can't be used as a folder ({error.strerror}); name another.") from error
    manifest = _read(folder / MANIFEST)
    done = []
    try:
        for name, content in files.items():
            data = content.encode("utf-8") if isinstance(content, str) else content
            done.append(_write(folder, name, data, manifest))
    except OSError as error:
        raise InputError(f"{folder}: {error.strerror or error}; free some space or mend its rights.") from error
    finally:
        # Even after a failure: what was written must not be taken for the maker's edit next time.
        if folder.is_dir():
            write_whole(folder / MANIFEST, json.dumps(manifest, indent=1, sort_keys=True) + "\n")
    return tuple(done)


def _write(folder: Path, name: str, data: bytes, manifest: dict[str, str]) -> Written:
    path = folder / name
    new = _digest(data)
    there = _digest(path.read_bytes()) if path.is_file() else None
    if there == new:
        manifest[name] = new
        return Written(name, "unchanged")
    if there is None or manifest.get(name) == there:
        write_whole(path, data)
        manifest[name] = new
        return Written(name, "written")
    return _beside(folder, name, data, manifest)


def _beside(folder: Path, name: str, data: bytes, manifest: dict[str, str]) -> Written:
    """The maker's file stays; the new one stands beside it under a name that is free or our own."""
    stem, suffix = Path(name).stem, Path(name).suffix
    n = 1
    while True:
        other = f"{stem}.new{'' if n == 1 else f'-{n}'}{suffix}"
        path = folder / other
        there = _digest(path.read_bytes()) if path.is_file() else None
        if there == _digest(data):
            manifest[other] = _digest(data)
            return Written(name, "kept yours", other)
        if there is None or manifest.get(other) == there:
            write_whole(path, data)
            manifest[other] = _digest(data)
            return Written(name, "kept yours", other)
        n += 1


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _read(path: Path) -> dict[str, str]:
    try:
        table = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return {str(k): str(v) for k, v in table.items()} if isinstance(table, dict) else {}
