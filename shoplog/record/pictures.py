"""Which pictures a record shows, and from which of its facts."""

from __future__ import annotations

from shoplog.record.summary import Record


def pictures(made: Record) -> list[tuple[str, str]]:
    """(caption, SVG text) of each picture that the record has enough facts for."""
    return []
