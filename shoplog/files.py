"""Writing files whole: a reader sees the old content or the new, never half."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path


def write_whole(path: Path, content: str | bytes) -> None:
    """Write beside the target, flush to disk, then put it in place. Raises OSError and leaves the target as it was."""
    path = Path(path)
    data = content.encode("utf-8") if isinstance(content, str) else content
    handle, name = tempfile.mkstemp(prefix=f".{path.name[:40]}.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        mask = os.umask(0)
        os.umask(mask)
        Path(name).chmod(0o666 & ~mask)
        Path(name).replace(path)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise
