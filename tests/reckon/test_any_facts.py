"""Whatever was heard, corrected or made up: the reckoning gives results or reasons and never breaks."""

from __future__ import annotations

import math
from datetime import datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from shoplog.facts import KINDS, STATUSES, UNITS, Fact
from shoplog.log import KeptFact, Project, Recording, Take
from shoplog.reckon import Derived
from shoplog.reckon.project import reckon

ITEMS = (
    None, "diameter", "width", "height", "thickness", "wall thickness", "crack", "bowl gouge", "oil", "CA glue",
    "cherry", "maple", "koa", "", "spindle roughing gouge", "scroll chuck",
)  # fmt: skip
numbers = st.none() | st.sampled_from((0, -1, 1e-9, 1e12, 10, 12.5, 60, 250, 600, 3000)) | st.floats(-1e6, 1e6)
words = st.sampled_from((None, "blank", "clamp", "kitchen", "between coats", "dry", "rim", ""))


@st.composite
def facts(draw: st.DrawFn) -> Fact:
    """A fact of any kind with numbers and units that need not make sense."""
    start = draw(st.floats(0, 3600))
    attrs = {k: v for k in ("of", "where", "change", "direction") if (v := draw(words)) is not None}
    return Fact(
        kind=draw(st.sampled_from(KINDS)),  # type: ignore[arg-type]
        item=draw(st.sampled_from(ITEMS)),
        value=draw(numbers),
        low=draw(numbers),
        high=draw(numbers),
        unit=draw(st.none() | st.sampled_from(UNITS)),
        status=draw(st.sampled_from(STATUSES)),  # type: ignore[arg-type]
        start=start,
        end=start + 1,
        quote=draw(st.sampled_from(("", "P120", "the number", "twelve square"))),
        attrs=attrs,
    )


@settings(max_examples=50, deadline=None)
@given(st.lists(st.tuples(st.none() | st.integers(0, 400), st.lists(facts(), max_size=12)), max_size=5))
def test_any_facts(days: list[tuple[int | None, list[Fact]]]) -> None:
    """Every number that comes out is finite, and every result says what it is in words."""
    takes = []
    for number, (day, said) in enumerate(days):
        started = None if day is None else datetime(2026, 1, 1) + timedelta(days=day)
        kept = tuple(KeptFact(number * 100 + i, number, f) for i, f in enumerate(said))
        takes.append(Take(Recording(number, 1, "r", "media", "done", started=started), (), kept))
    for result in reckon(Project(1, "any", tuple(takes))):
        assert result.sentence()
        if isinstance(result, Derived):
            for end in (result.value, result.low, result.high):
                assert end is None or isinstance(end, str) or math.isfinite(end)
