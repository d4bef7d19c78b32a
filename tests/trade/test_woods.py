"""The table of woods is sound, and a spoken name finds what it can mean."""

from __future__ import annotations

import pytest

from shoplog.trade.woods import Wood, find, woods

FIGURES = (
    "sg_green", "sg_12", "green_mc_heartwood", "green_mc_sapwood", "shrink_radial", "shrink_tangential",
    "shrink_volumetric", "coef_radial", "coef_tangential",
)  # fmt: skip


@pytest.mark.parametrize(
    ("said", "how", "expected"),
    [
        ("black cherry", "named", {"black cherry"}),
        ("Black-Cherry", "named", {"black cherry"}),
        ("prunus serotina", "named", {"black cherry"}),
        ("cherry", "taken as", {"black cherry"}),
        ("boxelder", "taken as", {"box elder"}),
        ("madrona", "taken as", {"madrone"}),
        ("mahogany", "named", {"mahogany"}),
        ("maple", "any of", {"bigleaf maple", "black maple", "red maple", "silver maple", "sugar maple"}),
        ("curly maple", "any of", {"bigleaf maple", "black maple", "red maple", "silver maple", "sugar maple"}),
        ("spalted sugar maple", "named", {"sugar maple"}),
        ("soft maple", "any of", {"red maple", "silver maple"}),
        ("walnut", "any of", {"black walnut", "claro walnut"}),
        ("english walnut", "similar", {"black walnut", "claro walnut"}),
    ],
)
def test_names(said: str, how: str, expected: set[str]) -> None:
    """Common, trade, botanical and figured names find their species; plain names all they can be."""
    found = find(said)
    assert (how, expected) == (found.how, {w.common_name for w in found.woods})


@pytest.mark.parametrize("said", [None, "", "koa", "silky oak", "wood", "gum"])
def test_unknown_wood_is_a_range_and_says_so(said: str | None) -> None:
    """A wood that the table does not know stands for the domestic hardwoods and never for one species."""
    found = find(said)
    assert "unknown" == found.how
    assert found.one is None
    assert len(found.woods) > 50
    assert "range over" in found.words()


@pytest.mark.parametrize("wood", woods(), ids=lambda w: w.common_name)
def test_rows(wood: Wood) -> None:
    """Tangential shrinkage exceeds radial, gravities are possible, and what is from memory is a column with a value."""
    if wood.shrink_radial is not None and wood.shrink_tangential is not None:
        assert wood.shrink_radial < wood.shrink_tangential
    if wood.coef_radial is not None and wood.coef_tangential is not None:
        assert wood.coef_radial < wood.coef_tangential
    for gravity in (wood.sg_green, wood.sg_12):
        assert gravity is None or 0.1 <= gravity <= 1.1
    assert wood.source
    assert bool(wood.dust_note) == bool(wood.dust_source)
    for column in wood.from_memory:
        assert column in FIGURES
        assert getattr(wood, column) is not None


def test_memory_is_told() -> None:
    """The source of a figure from memory says so; of one that was read it does not."""
    beech = find("american beech").woods[0]
    assert "sg green from memory" in beech.source_of("sg_green", "sg_12")
    assert "memory" not in beech.source_of("sg_12")
    assert "from memory" in find("maple").source_of("sg_green")


def test_names_are_unique() -> None:
    """No species stands twice."""
    names = [w.common_name for w in woods()]
    assert len(names) == len(set(names)) == 118
