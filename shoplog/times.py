"""Seconds to the times that people read, and back."""

from __future__ import annotations

import re

_STAMP = re.compile(r"(?:(\d+):)?(\d{1,3}):(\d{2})(?:[.,](\d{1,3}))?")


def stamp(seconds: float) -> str:
    """``m:ss``, from an hour on ``h:mm:ss``: 75.4 is 1:15. Rounded down, so that a jump never lands late."""
    whole = max(int(seconds), 0)
    minutes, second = divmod(whole, 60)
    hours, minute = divmod(minutes, 60)
    return f"{hours}:{minute:02d}:{second:02d}" if hours else f"{minute}:{second:02d}"


def parse_stamp(text: str) -> float:
    """Seconds of ``m:ss``, ``h:mm:ss`` or either with a fraction. Raises ValueError."""
    match = _STAMP.fullmatch(text.strip())
    if not match or int(match[3]) > 59 or (match[1] and int(match[2]) > 59):
        raise ValueError(f"{text!r} is not a time like 1:15 or 1:02:15")
    fraction = float(f"0.{match[4]}") if match[4] else 0.0
    return int(match[1] or 0) * 3600 + int(match[2]) * 60 + int(match[3]) + fraction


def span(seconds: float) -> str:
    """A length of time in words: 45 s, 12 min, 1 h 20 min, 3 days."""
    if seconds < 60:
        return f"{seconds:.0f} s"
    minutes = round(seconds / 60)
    if minutes < 60:
        return f"{minutes} min"
    hours, minutes = divmod(minutes, 60)
    if hours < 48:
        return f"{hours} h {minutes} min" if minutes else f"{hours} h"
    return f"{round(hours / 24)} days"
