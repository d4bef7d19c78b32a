"""Facts, their units and their words."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoplog.facts import PINT_UNITS, SI_UNITS, UNITS, Fact, convert, to_si
from shoplog.wording import say

OWN_LIST = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
CASES = tomllib.loads((Path(__file__).parent / "data" / "wording.toml").read_text(encoding="utf-8"))["case"]


@pytest.mark.parametrize("case", CASES, ids=[c["words"] for c in CASES])
def test_words_for_a_fact(case: dict[str, object]) -> None:
    """A fact is said as a person would write it on a card."""
    assert case["words"] == say(Fact(**case["fact"]))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("number", "unit", "si"),
    [
        # NIST Special Publication 811 (2008), appendix B.8: exact factors, except where the table rounds.
        (1, "in", 0.0254),
        (1, "ft", 0.3048),
        (1, "lb", 0.45359237),
        (1, "oz", 0.028349523125),
        (32, "degF", 273.15),
        (212, "degF", 373.15),
        (0, "degC", 273.15),
        (1.5, "h", 5400),
        (2, "week", 1_209_600),
        (850, "rpm", 850),
    ],
)
def test_si(number: float, unit: str, si: float) -> None:
    """Stated units become SI by the published factors."""
    assert si == pytest.approx(to_si(number, unit), rel=1e-9)


@pytest.mark.parametrize("unit", [u for u in UNITS if SI_UNITS[u] != u])
def test_units_are_those_of_pint(unit: str) -> None:
    """The few units that are defined mean what pint's own list says."""
    for number in (0.0, 37.5):
        expected = OWN_LIST.Quantity(number, PINT_UNITS[unit]).to(SI_UNITS[unit]).magnitude
        assert expected == pytest.approx(to_si(number, unit), rel=1e-12)


@given(st.floats(-1e6, 1e6), st.sampled_from(UNITS), st.sampled_from(UNITS))
def test_conversion_there_and_back(number: float, unit: str, to: str) -> None:
    """Within a dimension nothing is lost; across dimensions it is refused."""
    if SI_UNITS[unit] == SI_UNITS[to]:
        assert number == pytest.approx(convert(convert(number, unit, to), to, unit), rel=1e-6, abs=1e-6)
    else:
        with pytest.raises(ValueError, match="cannot convert"):
            convert(number, unit, to)


def test_json_has_every_field_in_order() -> None:
    """Programs get all fields of the contract, null where nothing was stated."""
    assert [
        "kind",
        "item",
        "value",
        "low",
        "high",
        "unit",
        "approx",
        "status",
        "start",
        "end",
        "quote",
        "attrs",
        "confidence",
    ] == list(Fact("speed").as_json())
