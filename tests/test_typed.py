"""Numbers as people type them."""

from __future__ import annotations

import pytest

from shoplog.errors import InputError
from shoplog.typed import typed_number


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("850", 850), (" 850 ", 850), ("1,200", 1200), ("12,345.5", 12345.5), ("0.5", 0.5), ("0,5", 0.5), (".5", 0.5),
        ("3/8", 0.375), ("1 1/2", 1.5), ("1-1/2", 1.5), ("½", 0.5), ("2½", 2.5), ('3/8"', 0.375), ("-3", -3),
        ("", None), ("  ", None), ("0", 0),
    ],
)  # fmt: skip
def test_typed_numbers(text: str, number: float | None) -> None:
    """The forms in use in a shop are understood."""
    assert number == typed_number(text)


@pytest.mark.parametrize(
    "text", ["fast", "1/0", "1e400", "nan", "inf", "850 rpm", "1 2 3", "٣", "1" * 40, "--5", "1,2,3"]
)
def test_what_is_no_number(text: str) -> None:
    """Anything else is refused with an example."""
    with pytest.raises(InputError):
        typed_number(text)
