"""Stretches of time that questions name."""

from __future__ import annotations

from datetime import date

import pytest

from shoplog.search.dates import find

TODAY = date(2026, 11, 25)  # a Wednesday

NAMED = {
    "in 2024": ("2024-01-01", "2024-12-31"),
    "since 2023": ("2023-01-01", None),
    "before 2023": (None, "2022-12-31"),
    "after 2023": ("2024-01-01", None),
    "until 2023": (None, "2023-12-31"),
    "last year": ("2025-01-01", "2025-12-31"),
    "this year": ("2026-01-01", "2026-12-31"),
    "last month": ("2026-10-01", "2026-10-31"),
    "this week": ("2026-11-23", "2026-11-29"),
    "last week": ("2026-11-16", "2026-11-22"),
    "in june": ("2026-06-01", "2026-06-30"),
    "in december": ("2025-12-01", "2025-12-31"),
    "in march 2024": ("2024-03-01", "2024-03-31"),
    "last summer": ("2026-06-01", "2026-08-31"),
    "since february": ("2026-02-01", None),
    "yesterday": ("2026-11-24", "2026-11-24"),
    "3 weeks ago": ("2026-11-01", "2026-11-07"),
    "i may use oil": None,
    "2000 grit": None,
    "at 2000": None,
    "march on": None,
}


@pytest.mark.parametrize(("words", "named"), NAMED.items())
def test_stretches_of_time(words: str, named: tuple[str | None, str | None] | None) -> None:
    """Years, months, seasons and "last week" are days; grits, speeds and verbs are not."""
    found = find(words.split(), TODAY)
    got = found and tuple(d.isoformat() if d else None for d in (found.since, found.until))
    assert named == got
