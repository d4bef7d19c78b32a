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
    "on 20 june": ("2026-06-20", "2026-06-20"),
    "on the 20 th of december": ("2025-12-20", "2025-12-20"),
    "june 3 rd 2024": ("2024-06-03", "2024-06-03"),
    "the twenty third of may": ("2026-05-23", "2026-05-23"),
    "since the third of march": ("2026-03-03", None),
    "on 2026-06-20": ("2026-06-20", "2026-06-20"),
    "on saturday": ("2026-11-21", "2026-11-21"),
    "last wednesday": ("2026-11-18", "2026-11-18"),
    "on the 31 st of june": ("2026-06-01", "2026-06-30"),
    "2026-99-20": None,
    "over 20 may crack": None,
    "the first bowl": None,
    "20 grit in": None,
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
