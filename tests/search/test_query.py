"""Conditions written as options."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoplog.errors import InputError
from shoplog.facts import to_si
from shoplog.search.query import Beside, Bounds, Query, as_line, parse_beside, parse_bounds
from shoplog.search.units import _SCALES, from_si, si

BOUNDS = {
    "800": Bounds("rpm", about=800),
    "800rpm..": Bounds("rpm", 800),
    "..20%": Bounds("%", None, 20),
    "10in..12in": Bounds("in", 10, 12),
    "10..12in": Bounds("in", 10, 12),
    "10-12 in": Bounds("in", 10, 12),
    "1/2in": Bounds("in", about=0.5),
    "1 1/2 in": Bounds("in", about=1.5),
    "250mm": Bounds("mm", about=250),
    "1.5 h": Bounds("h", about=1.5),
    "over 12in": Bounds("in", 12),
    "eight fifty": Bounds("rpm", about=850),
}


@pytest.mark.parametrize(("text", "bounds"), BOUNDS.items())
def test_bounds_are_read(text: str, bounds: Bounds) -> None:
    """Bounds may be written with or without a unit, as one number, a range, or open at one end."""
    assert bounds == parse_bounds(text, "speed")


@pytest.mark.parametrize("text", ["", "..", "abc", "in", "12in..800rpm", "9" * 400, "10 20 30", "1e400"])
def test_what_is_no_number_is_refused_in_one_sentence(text: str) -> None:
    """A number that cannot be read is refused with an example of how to write one."""
    with pytest.raises(InputError, match=r"800rpm|different kinds"):
        parse_bounds(text, "speed")


@given(
    unit=st.sampled_from(["rpm", "grit", "%", "in", "mm", "lb", "kg", "min", "h", "degF"]),
    low=st.none() | st.integers(1, 4000),
    span=st.none() | st.integers(0, 4000),
)
def test_bounds_are_read_back_from_the_line(unit: str, low: int | None, span: int | None) -> None:
    """What is printed can be given again and means the same."""
    if low is None and span is None:
        return
    bounds = Bounds(unit, low, None if span is None else (low or 0) + span)
    if bounds.low == bounds.high:
        bounds = Bounds(unit, about=low)
    assert bounds == parse_bounds(str(bounds))


@pytest.mark.parametrize("unit", sorted(_SCALES))
def test_the_light_factors_are_those_of_the_units_library(unit: str) -> None:
    """Numbers of a question are compared in the same SI as numbers of facts are stored."""
    stored = to_si(7.5, unit)
    assert stored is not None
    assert pytest.approx(stored) == si(7.5, unit)
    assert pytest.approx(7.5) == from_si(si(7.5, unit), unit)


@pytest.mark.parametrize(
    ("text", "beside"),
    [
        ("tool:bowl gouge", Beside("tool", ("bowl gouge",))),
        ("tool:bowl gouge=1/2in", Beside("tool", ("bowl gouge",), Bounds("in", about=0.5))),
        ("moisture=..20%", Beside("moisture", (), Bounds("%", None, 20))),
        ("defect:crack|void", Beside("defect", ("crack", "void"))),
    ],
)
def test_conditions_on_another_fact_are_read(text: str, beside: Beside) -> None:
    """A condition on what stands beside a fact is a kind, with items and a number where wanted."""
    assert beside == parse_beside(text)


def test_a_kind_that_does_not_exist_is_refused() -> None:
    """An unknown kind is answered with those that there are."""
    with pytest.raises(InputError, match="use one of speed, tool"):
        parse_beside("gouge:bowl")


def test_the_line_quotes_for_the_shell() -> None:
    """The line can be pasted into a shell, whatever stands in it."""
    query = Query(kinds=("tool",), items=("bowl gouge",), since=date(2026, 1, 2), project="it's; rm -rf")
    assert """--kind tool --item 'bowl gouge' --since 2026-01-02 --project 'it'"'"'s; rm -rf'""" == as_line(query)


@pytest.mark.parametrize(
    ("asked", "stated", "same"),
    [
        (Bounds("in", about=0.5), (0.012, 0.012), True),  # 12 mm is what others call half an inch
        (Bounds("in", about=0.5), (0.0127, 0.0127), True),
        (Bounds("in", about=0.5), (0.0095, 0.0095), False),  # three eighths
        (Bounds("mm", about=250), (0.254, 0.254), True),
        (Bounds("rpm", about=800), (750.0, 900.0), True),  # a stated range that holds the number
        (Bounds("rpm", about=800), (805.0, 805.0), False),
        (Bounds("rpm", 800), (800.0, 800.0), True),
        (Bounds("%", None, 20), (21.0, 21.0), False),
        (Bounds("%", None, 20), (None, None), False),
    ],
)
def test_inch_and_metric_meet(asked: Bounds, stated: tuple[float | None, float | None], same: bool) -> None:
    """A size asked for in inches finds the same size stated in millimetres; other numbers are exact."""
    assert same is asked.holds(*stated)
