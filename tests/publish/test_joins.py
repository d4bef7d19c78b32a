"""The joins of a cut, from computed sound."""

from __future__ import annotations

import numpy as np
import pytest

from shoplog.media import RATE, Sound
from shoplog.publish.final import holes
from shoplog.publish.joins import sharpened
from shoplog.publish.programme import Span


def _shop(seed: int, seconds: float) -> np.ndarray[tuple[int], np.dtype[np.float32]]:
    """Noise that swells and fades, differently for every seed."""
    chance = np.random.default_rng(seed)
    size = round(seconds * RATE)
    swell = np.interp(
        np.arange(size), np.linspace(0, size, round(seconds * 2)), chance.uniform(0.01, 0.2, round(seconds * 2))
    )
    return (chance.standard_normal(size) * swell).astype(np.float32)


@pytest.mark.parametrize("guess", [17.0, 20.0, 24.5])
def test_a_join_is_found_where_the_sound_changes(guess: float) -> None:
    """Recording 1 plays up to second 20 of the cut, recording 2 from its second 12 on; words left the join open."""
    one, two = _shop(1, 40), _shop(2, 60)
    cut = Sound.of(np.concatenate([one[5 * RATE : 25 * RATE], two[12 * RATE : 42 * RATE]]) * np.float32(0.7))
    spans = [Span(1, 5.0, 5.0 + guess, 0.0), Span(2, guess - 8.0, 42.0, guess)]
    a, b = sharpened(spans, cut, {1: [(0.0, Sound.of(one))], 2: [(0.0, Sound.of(two))]})
    assert pytest.approx(25.0, abs=0.3) == a.end
    assert pytest.approx(12.0, abs=0.3) == b.start
    assert pytest.approx(20.0, abs=0.3) == b.at


def test_a_join_without_sound_stays() -> None:
    spans = [Span(1, 5.0, 22.0, 0.0), Span(2, 9.0, 42.0, 17.0)]
    assert spans == sharpened(spans, Sound.of(_shop(3, 50)), {1: [(0.0, Sound.of(_shop(1, 40)))]})


def test_only_long_open_parts_are_compared_by_sound() -> None:
    spans = [Span(1, 0.0, 10.0, 5.0), Span(1, 30.0, 40.0, 50.0)]
    assert [(15.0, 50.0), (60.0, 90.0)] == holes(spans, 90.0)
    assert [(0.0, 25.0)] == holes([], 25.0)
