"""Decoded sound that stays on disk, read in pieces, so that memory does not grow with a recording's length."""

from __future__ import annotations

import os
import threading
from dataclasses import dataclass, field
from types import TracebackType
from typing import TYPE_CHECKING, BinaryIO

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

#: Samples a second of all decoded sound.
RATE = 16_000


@dataclass(eq=False)
class Sound:
    """16 kHz mono sound; ``samples`` long, in an open file of signed 16-bit values or in memory.

    ``claimed`` is the length in seconds that the container states (None if it states none), ``gaps`` the seconds of
    silence put in where timestamps left a hole, ``broken`` the packets that could not be decoded.
    """

    samples: int
    file: BinaryIO | None = None
    array: NDArray[np.float32] | None = None
    claimed: float | None = None
    gaps: float = 0.0
    broken: int = 0
    _one_reader: threading.Lock = field(default_factory=threading.Lock, repr=False)

    @classmethod
    def of(cls, array: NDArray[np.float32]) -> Sound:
        """Sound that is in memory already: one dimension, float32, -1 to 1, 16 kHz."""
        return cls(len(array), array=array)

    @property
    def duration(self) -> float:
        """Seconds."""
        return self.samples / RATE

    @property
    def cut_off(self) -> bool:
        """Whether clearly less could be decoded than the file claims to hold (over 1 % and over 2 s)."""
        return self.claimed is not None and self.claimed - self.duration > max(2.0, 0.01 * self.claimed)

    def read(self, start: int, stop: int) -> NDArray[np.float32]:
        """Samples ``start`` to ``stop`` as float32, cut at its ends; safe to call from threads."""
        import numpy as np

        start, stop = max(0, start), min(stop, self.samples)
        if self.array is not None:
            return self.array[start:stop]
        assert self.file is not None, "sound is either in a file or in memory"
        if stop <= start:
            return np.zeros(0, np.float32)
        with self._one_reader:
            self.file.seek(2 * start)
            raw = np.frombuffer(self.file.read(2 * (stop - start)), "<i2")
        return raw.astype(np.float32) / np.float32(32768)

    def between(self, start: float, end: float) -> NDArray[np.float32]:
        """The same by seconds."""
        return self.read(round(start * RATE), round(end * RATE))

    def close(self) -> None:
        """Give the space on disk back."""
        if self.file is not None:
            self.file.close()

    def __enter__(self) -> Sound:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, tb: TracebackType | None) -> None:
        self.close()


def size_of(file: BinaryIO) -> int:
    """How many bytes an open file holds."""
    return os.fstat(file.fileno()).st_size
