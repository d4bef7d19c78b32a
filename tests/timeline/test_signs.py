"""What stands in and around a remark, and what it speaks for by weights made for each test."""

from __future__ import annotations

from types import ModuleType

import numpy as np
import pytest

from shoplog.linear import Linear
from shoplog.timeline import OPERATIONS
from shoplog.timeline.evidence import heard_phrases
from shoplog.timeline.operations import tokens_of, trade
from shoplog.timeline.signs import WORST, Weights, learned, signs, standings, weights_of
from tests.scripts import script
from tests.timeline.spoken import project_of

HOLLOW, SAND = OPERATIONS.index("hollow"), OPERATIONS.index("sand")


@pytest.fixture(scope="module")
def learn() -> ModuleType:
    return script("models/learn_operations.py")


def weights(**rows: dict[str, float]) -> Weights:
    """Weights by sign (its spaces as ``_``) and operation; going anywhere costs one."""
    index = {name.replace("_", " "): k for k, name in enumerate(rows)}
    table = np.zeros((len(rows) + 1, len(OPERATIONS)), np.float32)
    for row, found in zip(table, rows.values(), strict=False):
        for operation, weight in found.items():
            row[OPERATIONS.index(operation)] = weight
    costs = np.eye(len(OPERATIONS), dtype=np.float32) - 1
    going = Linear(OPERATIONS, {name: k for k, name in enumerate(OPERATIONS)}, np.vstack([costs, costs[:1]]))
    return weights_of(Linear(OPERATIONS, index, table), going)


def test_signs_of_a_remark() -> None:
    """A remark has the signs of its words, its facts, the phrases of the rules, its place and the machine."""
    project = project_of(
        [
            {
                "duration": 300,
                "machine": [[100, 280]],
                "lines": [[5, "Right then."], [90, "I'm hollowing the inside at 900 rpm."], [290, "There."]],
            }
        ]
    )
    take = project.takes[0]
    tokens = [tokens_of(cue.text) for cue in take.cues]
    found = signs(take, tokens, [heard_phrases(remark, trade()) for remark in tokens], "only same day")
    assert {"word hollowing", "two the inside", "says hollow now", "fact speed done", "speed 3"} <= {*found[1]}
    assert {"machine before 0", "machine after 3", "silence 4", "left 1", "begun 1", "part only"} <= {*found[1]}
    assert {"word right", "left 2"} <= {*found[0]}
    assert "word 900" not in found[1]


@pytest.mark.parametrize(
    ("days", "expected"),
    [
        ([4], ["only same day"]),
        ([1, 1, 2], ["first same day", "middle same day", "last soon"]),
        ([1, 60, 60, 61], ["first same day", "middle later", "middle rested", "last rested"]),
        ([], []),
    ],
)
def test_standings(days: list[int], expected: list[str]) -> None:
    """A recording is first, last, the only one or between; on the day of the one before, soon, or after a rest."""
    assert expected == standings(days)


def test_a_sign_speaks_for_its_remark_and_those_around() -> None:
    """Each remark has the weights of its own signs and of its neighbours', 0 for the likeliest operation."""
    given = weights(**{"word_wall": {"hollow": 2.0}, "+1_word_wall": {"hollow": 0.5}, "-2_word_wall": {"sand": 1.0}})
    found = given.scores([[], [], ["word wall", "word never seen"], [], []])
    assert [0.0, 0.0, 0.0, 0.0, 0.0] == found.max(axis=1).tolist()
    assert pytest.approx([-1.0, 0.0, 0.0, 0.0, 0.0]) == found[:, HOLLOW].tolist()
    assert pytest.approx([0.0, 0.0, -2.0, -0.5, 0.0]) == found[:, SAND].tolist()
    assert (0, len(OPERATIONS)) == given.scores([]).shape


def test_one_odd_remark_decides_nothing() -> None:
    """However much the signs speak for one operation, the others are only so much less likely."""
    found = weights(word_wall={"hollow": 50.0}).scores([["word wall"]])
    assert pytest.approx([WORST] * (len(OPERATIONS) - 1)) == sorted(found[0].tolist())[:-1]


def test_what_comes_with_the_package() -> None:
    """Every operation is known from words, staying costs nothing and going somewhere does."""
    found = learned()
    assert {"word sanding", "fact grit done", "machine after 3"} <= found.rows.keys()
    assert 0.0 == abs(found.costs.diagonal()).max()
    assert found.costs.min() == 0.0 < found.costs.max()


def test_neighbours_are_learned_by_the_names_they_are_read_by(learn: ModuleType) -> None:
    """What is learned as a neighbour's sign is added to that neighbour when it is read."""
    rows = learn.with_neighbours([["word wall", "two thin wall"], ["word dust"], ["word rim"]])
    assert ["+1 word wall", "-1 word rim", "word dust"] == sorted(rows[1])
    given = weights(**{"+1_word_wall": {"hollow": 1.0}})
    assert [-1.0, 0.0, -1.0] == (given.scores([["word wall"], ["word dust"], []])[:, HOLLOW] - [1, 0, 1]).tolist()


def test_going_is_counted(learn: ModuleType) -> None:
    """What often follows costs less than what was never seen, and nothing more than the dearest."""
    order = ["hollow", "hollow", "sand", "hollow", "sand", "finish"] * 40
    found = learn.going([learn.Recording([], order, 1.0)])
    costs = -found.weights[HOLLOW]
    assert 0.0 == costs[HOLLOW] <= costs[SAND] < costs[OPERATIONS.index("select")] <= learn.DEAREST
