"""The errors that a person may read. Each message is one sentence that says what to do.

ShoplogError
├── InputError            something that was given cannot be used
│   ├── UnreadableMedia   a recording that cannot be decoded
│   └── BadTranscript     a transcript file that cannot be read
├── StoreError            the database cannot be used
├── WeightsError          no usable recogniser weights
└── NotFound              nothing of that name in the log
"""

from __future__ import annotations


class ShoplogError(Exception):
    """Base of all errors that are shown as one sentence and never as a traceback."""


class InputError(ShoplogError):
    """Something that was given cannot be used as it is."""


class UnreadableMedia(InputError):
    """A recording that cannot be decoded; `why` is what is stored with the recording."""

    def __init__(self, path: object, why: str) -> None:
        super().__init__(f"{path}: {why}")
        self.path, self.why = path, why

    def __reduce__(self) -> tuple[type[UnreadableMedia], tuple[object, str]]:
        # These errors cross process borders; the default would call __init__ with one argument.
        return type(self), (self.path, self.why)


class BadTranscript(InputError):
    """A transcript file that is not WebVTT, SRT or timed text lines."""


class StoreError(ShoplogError):
    """The database is locked, damaged, newer than this program, or not ours."""


class WeightsError(ShoplogError):
    """No usable recogniser weights were found, or they failed their digest."""


class NotFound(ShoplogError):
    """Nothing of that name is in the log."""
