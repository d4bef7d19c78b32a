"""What learned weights change in the rules' reading, with weights made for each test."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from shoplog.extract import extract, weighing
from shoplog.linear import Linear
from shoplog.transcript import Cue, Transcript

Weights = Callable[..., None]


def model(classes: str, **weights: dict[str, float]) -> Linear:
    """A model in which ``class={"feature": weight}`` are the only weights."""
    names = tuple(classes.split())
    index = {f: k for k, f in enumerate(sorted({f for w in weights.values() for f in w}))}
    rows = np.zeros((len(index) + 1, len(names)), np.float32)
    for name, found in weights.items():
        for feature, weight in found.items():
            rows[index[feature], names.index(name)] = weight
    return Linear(names, index, rows)


@pytest.fixture
def weights(monkeypatch: pytest.MonkeyPatch) -> Weights:
    """Sets the models; those not named follow the rules."""

    def use(**models: Linear) -> None:
        kinds = "none speed grit dimension tool clock duration"
        follow = {
            "number": model(kinds, **{k: {f"rule={k}": 9.0} for k in kinds.split()}),
            "measure": model("diameter depth", diameter={"u=in": 9.0}),
            "status": model("done planned", done={"status=done": 9.0}, planned={"status=planned": 9.0}),
            "meant": model("no yes", yes={"status=done": 9.0, "status=planned": 9.0}),
        }
        monkeypatch.setattr(weighing, "load", lambda name: {**follow, **models}[name])

    return use


def told(said: str) -> list[tuple[object, ...]]:
    return [(f.kind, f.item, f.value, f.unit, f.status) for f in extract(Transcript((Cue(0.0, 5.0, said),)))]


def test_a_number_no_rule_knows_gets_the_likeliest_kind(weights: Weights) -> None:
    """A number that the rules leave alone states what its surroundings make likely."""
    weights()
    assert [] == told("I nudged the slider to eleven.")
    weights(number=model("none speed", speed={"w=slider": 5.0}))
    assert [("speed", None, 1100.0, "rpm", "done")] == told("I nudged the slider to eleven.")


def test_a_kind_that_its_unit_excludes_is_not_told(weights: Weights) -> None:
    """A number with the unit of something else stays what it is, however likely another kind."""
    weights(number=model("none speed", speed={"w=slider": 9.0}))
    assert [] == told("The slider is on for forty percent of the film.")


def test_a_number_that_is_none_is_let_go(weights: Weights) -> None:
    """What the rules take for a speed is let go where the words make that unlikely."""
    said = "The lathe is at 850 rpm."
    weights()
    assert [("speed", None, 850.0, "rpm", "done")] == told(said)
    weights(number=model("none speed", none={"w=lathe": 9.0}))
    assert [] == told(said)


def test_a_tool_lives_on_without_a_size_that_is_not_its(weights: Weights) -> None:
    """A size that goes to something else leaves the tool without a number."""
    said = "The half inch bowl gouge."
    weights()
    assert [("tool", "bowl gouge", 0.5, "in", "done")] == told(said)
    weights(number=model("none dimension", dimension={"n0=bowl": 9.0}))
    assert [("dimension", "diameter", 0.5, "in", "done"), ("tool", "bowl gouge", None, None, "done")] == sorted(
        told(said)
    )


def test_a_number_of_coats_is_no_size(weights: Weights) -> None:
    """A number that goes to a finish counts its coats."""
    transcript = Transcript((Cue(0.0, 5.0, "The wax is on, and there are three now."),))
    weights(number=model("none finish", finish={"w=wax": 9.0}))
    (fact,) = extract(transcript)
    assert ("finish", "wax", None, 3) == (fact.kind, fact.item, fact.value, fact.attrs["coats"])


def test_a_number_that_hardly_can_be_is_doubted(weights: Weights) -> None:
    """Weights let go a likely number, and never one that is said with its unit and is hardly possible."""
    never = model("none grit", none={"w=sanding": 9.0})
    weights(number=never)
    assert [] == told("Sanding with 180 grit.")
    assert [("grit", None, 7.0, "grit", "done")] == told("Sanding with 7 grit.")


def test_the_likeliest_status_is_taken_only_where_it_is_likely(weights: Weights) -> None:
    """A status changes where the words say so, and not where they hardly say anything."""
    said = "The lathe is at 850 rpm."
    plain = {"status=done": 1.0}
    weights(status=model("done planned denied", done=plain, planned={"before=lathe": 3.0}))
    assert ["planned"] == [s for *_, s in told(said)]
    weights(status=model("done planned denied", done=plain, planned={"before=lathe": 1.2}))
    assert ["done"] == [s for *_, s in told(said)]


def test_gear_that_was_not_worn_stays_so(weights: Weights) -> None:
    """However likely it seems that gear was worn, it is not told where the words deny it."""
    weights(status=model("done denied", done={"kind=ppe": 9.0, "kind=tool": 9.0}))
    assert ["denied"] == [s for *_, s in told("I'm not wearing a dust mask.")]
    assert ["done"] == [s for *_, s in told("I'm not using the skew chisel.")]


def test_a_term_that_is_not_meant_is_let_go(weights: Weights) -> None:
    """A trade word that is hardly meant as such gives no fact; one that may be stays."""
    said = "We have a nasty crack in the rim."
    weights()
    assert [("defect", "crack")] == [t[:2] for t in told(said)]
    weights(meant=model("no yes", no={"item=crack": 3.0}))
    assert [] == told(said)
    weights(meant=model("no yes", no={"item=crack": 0.5}))
    assert [("defect", "crack")] == [t[:2] for t in told(said)]


def test_confidence_follows_the_chance(weights: Weights) -> None:
    """A number that is less likely what it is taken for has less confidence."""
    cue = Transcript((Cue(0.0, 5.0, "The lathe is at 850 rpm."),))
    found = []
    for weight in (0.2, 2.0, 6.0):
        weights(number=model("none speed", speed={"w=lathe": weight}))
        found += [f.confidence for f in extract(cue)]
    assert 3 == len(found)
    assert found == sorted(found)
    assert found[0] < found[-1] - 0.2
