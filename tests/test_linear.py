"""The linear classifier gives the probabilities of its weights, and comes back from a file as it was."""

from __future__ import annotations

from math import exp
from pathlib import Path

import numpy as np
import pytest

from shoplog import linear
from shoplog.linear import Linear

#: Two features and the row that always counts, for three classes.
MODEL = Linear(("a", "b", "c"), {"x": 0, "y": 1}, np.array([[1, 0, 0], [0, 2, 0], [0, 0, 0.5]], np.float32))


@pytest.mark.parametrize(
    ("features", "sums"),
    [([], (0, 0, 0.5)), (["x"], (1, 0, 0.5)), (["x", "y"], (1, 2, 0.5)), (["never seen", "y"], (0, 2, 0.5))],
)
def test_probabilities_are_the_softmax_of_the_sums(features: list[str], sums: tuple[float, ...]) -> None:
    """Each class has the share of exp(its sum) in the whole; a feature that was never learned adds nothing."""
    whole = sum(exp(s) for s in sums)
    (found,) = MODEL.probabilities([features])
    assert pytest.approx([exp(s) / whole for s in sums], rel=1e-5) == found.tolist()


def test_rows_do_not_touch_each_other() -> None:
    """Many lists at once give what each gives alone, empty ones too."""
    rows = [["x"], [], ["x", "y"], []]
    together = MODEL.probabilities(rows)
    for row, found in zip(rows, together, strict=True):
        assert pytest.approx(MODEL.probabilities([row])[0].tolist()) == found.tolist()
    assert (0, 3) == MODEL.probabilities([]).shape


def test_comes_back_from_its_file(tmp_path: Path) -> None:
    """What is saved is loaded again, names with spaces and signs included."""
    odd = Linear(("no", "yes"), {"p1=%": 0, "two=half inch": 1, "w=ü": 2}, np.ones((4, 2), np.float32) / 4)
    linear.save(tmp_path / "some.npz", {"odd": odd})
    found = linear.load(tmp_path / "some.npz", "odd")
    assert (odd.classes, odd.index) == (found.classes, found.index)
    assert odd.weights.tolist() == found.weights.tolist()
