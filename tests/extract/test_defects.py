"""What the rules offer as a defect, before anything learned weighs it: a table in ``cases/rules/defects.csv``.

``expected`` lists ``item value unit change/status``, parts that were not said or are done left out; ``-`` none. Each
line is read as written and as automatic captions write it. What is said some remarks later of "it" follows below.
"""

from __future__ import annotations

import pytest

from shoplog.extract.reading import Candidate
from shoplog.transcript import Cue
from tests.extract.by_rules import bare, claims, rows


def offered(*said: str) -> list[str]:
    """The defects that the rules offer in remarks with three seconds of silence after each."""
    found = claims(Cue(8.0 * k, 8.0 * k + 5, s) for k, s in enumerate(said))
    return [shown(c) for c in found if c.kind == "defect"]


def shown(claim: Candidate) -> str:
    number = "" if claim.value is None else f"{claim.value:g}"
    parts = (claim.item, number, claim.unit, claim.attrs.get("change"))
    return " ".join(str(p) for p in parts if p) + ("" if claim.status == "done" else f"/{claim.status}")


@pytest.mark.parametrize("written", [str, bare], ids=["written", "captions"])
@pytest.mark.parametrize(("said", "expected"), rows("defects.csv"))
def test_offered(said, expected, written):
    """The defects offered are the listed ones and no others."""
    assert expected == offered(written(said))


TALK = "I was at the market this morning and they had the last of the plums, so that is breakfast for a week."


@pytest.mark.parametrize(
    ("named", "later", "expected"),
    [
        ("There's a nasty catch by the neck.", "There, it's gone.", ["catch", "catch gone"]),
        ("Some tear-out on this side.", "Okay, all gone.", ["tear-out", "tear-out gone"]),
        ("There's a void in the side.", "It's filled now.", ["void", "void repaired"]),
        ("A crack runs in from the rim.", "It hasn't grown.", ["crack", "crack stable"]),
        ("A crack runs in from the rim.", "Yeah, that got worse.", ["crack", "crack worse"]),
        ("A crack runs in from the rim.", "It's gone four o'clock.", ["crack"]),
        ("A crack runs in from the rim.", "It's out of balance.", ["crack"]),
        ("There's some chatter by the rim.", "That took care of it.", ["chatter", "chatter gone"]),
        ("A crack runs in from the rim.", "It's closed up now.", ["crack", "crack repaired"]),
        ("A crack runs in from the rim.", "It's gone and dug a hole in the yard.", ["crack"]),
    ],
)
def test_told_later_of_it(named, later, expected):
    """What became of a defect is a fact of its own when it is told some remarks later, of "it" alone."""
    assert expected == offered(named, TALK, later)


@pytest.mark.parametrize(
    ("named", "later", "expected"),
    [
        ("There's a crack in the end.", "It's only half an inch long.", ["crack", "crack 0.5 in"]),
        ("Oh, that was a big catch.", "About two millimetres deep.", ["catch", "catch 2 mm"]),
        ("There's a crack in the end.", "The wall is half an inch thick.", ["crack"]),
        ("There's a crack in the end.", "I want the foot about two inches across.", ["crack"]),
    ],
)
def test_measured_later(named, later, expected):
    """A length in the next remark is the defect's where nothing else is named for it."""
    assert expected == offered(named, later)
