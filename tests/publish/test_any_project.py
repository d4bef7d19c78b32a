"""Whatever was stated: everything is written, and nothing is told that was not done."""

from __future__ import annotations

from datetime import date
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shoplog.facts import KINDS, STATUSES, UNITS
from shoplog.publish.chapters import faults
from shoplog.publish.limits import COMMON
from shoplog.publish.pack import files
from tests.publish.invented import made

#: Items in words that stand nowhere in our own texts, so that finding one proves that it was told.
ITEMS = ("zelkova", "wrenthorn", "quillspar", "brackle")
NUMBERS = st.one_of(st.none(), st.sampled_from([0.0, 0.125, 1.0, 7.0, 24.0, 180.0, 850.0, 1e6]))
ATTRS = st.fixed_dictionaries(
    {},
    optional={
        "of": st.sampled_from(["bowl", "blank", "between coats", "tenon"]),
        "where": st.sampled_from(["rim", "foot"]),
        "coats": st.sampled_from([1, 2, 2.5]),
        "change": st.sampled_from(["new", "worse", "stable", "gone", "repaired"]),
        "due": st.sampled_from(["two weeks", "one full summer", "the end of August", ""]),
        "days_later": st.sampled_from([1, 3, 14]),
        "time": st.sampled_from(["09:15", "23:59"]),
        "role": st.sampled_from(["wood", "method"]),
        "other_piece": st.just(True),
    },
)
FACTS = st.fixed_dictionaries(
    {
        "kind": st.sampled_from(KINDS),
        "item": st.one_of(st.none(), st.sampled_from(ITEMS)),
        "value": NUMBERS,
        "unit": st.one_of(st.none(), st.sampled_from(UNITS)),
        "status": st.sampled_from(STATUSES),
        "approx": st.booleans(),
        "attrs": ATTRS,
        "confidence": st.sampled_from([0.1, 0.95]),
    }
)
SAID = st.sampled_from(
    [
        "Well now.",
        "They sent me this gouge.",
        "I'll show you next week.",
        "No <b>&</b> --> {{ x }}",
        "Thank you all.",
        "…",
    ]
)
LINES = st.lists(st.tuples(SAID, st.lists(FACTS, max_size=4)), min_size=1, max_size=6)


@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(LINES, min_size=1, max_size=3), st.booleans())
def test_any_statements_are_published_honestly(
    recordings: list[list[tuple[str, list[dict[str, Any]]]]], dated: bool
) -> None:
    """No crash, valid chapters where there is room, limits kept, and no wish, habit, hearsay or denial told."""
    table: list[dict[str, Any]] = [
        {
            "name": f"r{n}.mp4",
            "duration": 120.0,
            "lines": [{"at": 15 * i + 1, "say": say, "facts": facts} for i, (say, facts) in enumerate(lines)],
            **({"started": f"2026-03-0{n + 1}T10:00:00"} if dated else {}),
        }
        for n, lines in enumerate(recordings)
    ]
    pack = made("spindle", table).pack()
    written = files(pack, date(2026, 5, 1))
    text = str(written["description.txt"])
    assert len(text) <= COMMON.description
    assert all(len(t) <= COMMON.title for t in pack.description.titles)
    assert [] == [f for f in faults(pack.chapters) if "hosts show" not in f]
    every = [f for lines in recordings for _, facts in lines for f in facts]
    for item in ITEMS:
        mine = [f for f in every if f["item"] == item]
        tellable = [f for f in mine if f["status"] in ("done", "planned") and not f["attrs"].get("other_piece")]
        if not tellable:
            assert item not in text.lower()
        elif not any(f["status"] == "done" and f["confidence"] > 0.5 for f in tellable if f["kind"] != "followup"):
            lines_with = [x for x in text.lower().splitlines() if item in x]
            assert all("[check" in x or x.startswith("- i said") for x in lines_with), lines_with
