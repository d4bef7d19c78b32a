"""The vocabulary of the trade and its loader."""

from __future__ import annotations

import pytest

from shoplog import trade
from shoplog.extract.mentions import CHECKS
from shoplog.facts import KINDS, UNITS


@pytest.mark.parametrize(
    ("kind", "words", "item"),
    [
        ("tool", "Roughing gouge", "spindle roughing gouge"),
        ("tool", "bull gouge", "bowl gouge"),
        ("finish", "wipe-on poly", "polyurethane"),
        ("defect", "punky", "rot"),
        ("workholding", "tail spot", "tailstock"),
        ("adhesive", "superglue", "CA glue"),
        ("species", "boxelder", "box elder"),
        ("tool", "tailstock", None),
        ("tool", "", None),
    ],
)
def test_canonical(kind, words, item):
    """Any variant or known mishearing names the canonical item of its kind, and of no other kind."""
    assert item == trade.canonical(kind, words)


def test_every_term_can_be_checked():
    """Each condition that a line of the vocabulary names is one that the extractor knows."""
    assert {t.needs for t in trade.terms()} - {""} <= set(CHECKS)
    assert {t.kind for t in trade.terms()} <= set(KINDS)


def test_every_item_is_found_by_its_own_name():
    """The canonical spelling of an item names it."""
    for term in trade.terms():
        if not term.item.startswith("*") and term.item != "between":
            assert term.item == trade.canonical(term.kind, term.item)


def test_bands_are_in_known_units():
    """The plausible numbers are counted in units of the contract, and are ordered."""
    for bands in trade.bands().values():
        for band in bands:
            assert band.unit in (*UNITS, "coat")
            assert band.low < band.high


def test_botanical_names_only_where_one_is_known():
    """A common name with one botanical name gets it; an unknown wood gets none."""
    assert "Acer negundo" == trade.botanical("box elder")
    assert trade.botanical("unobtainium") is None


def test_items_are_listed_once():
    """The items of a kind, without stand-ins."""
    tools = trade.items("tool")
    assert len(set(tools)) == len(tools)
    assert "bowl gouge" in tools
    assert not any(t.startswith("*") for t in tools)
