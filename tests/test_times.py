"""Times for people."""

from __future__ import annotations

import pytest

from shoplog.times import parse_stamp, span, stamp


@pytest.mark.parametrize(
    ("seconds", "text"),
    [(0, "0:00"), (75.9, "1:15"), (3599.99, "59:59"), (3600, "1:00:00"), (-3, "0:00"), (36_061, "10:01:01")],
)
def test_stamp(seconds: float, text: str) -> None:
    """Stamps are rounded down and gain an hour when there is one."""
    assert text == stamp(seconds)
    assert max(int(seconds), 0) == parse_stamp(text)


@pytest.mark.parametrize("text", ["", "5", "1:60", "a:bc", "1:75:00"])
def test_impossible_stamps(text: str) -> None:
    """What is no time is refused."""
    with pytest.raises(ValueError, match="not a time"):
        parse_stamp(text)


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(45, "45 s"), (61, "1 min"), (3600, "1 h"), (4800, "1 h 20 min"), (86_400, "24 h"), (259_200, "3 days")],
)
def test_span(seconds: float, words: str) -> None:
    """Lengths are said as a person would."""
    assert words == span(seconds)
