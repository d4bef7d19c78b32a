"""The piece itself: its wood, its size, its finish."""

from __future__ import annotations

from collections.abc import Sequence

from shoplog.log import KeptFact, Project
from shoplog.publish.evidence import Point, Witness, done
from shoplog.publish.stated import statements
from shoplog.publish.titles import whole_sizes


def wood(project: Project, see: Witness) -> Point:
    return _stated("wood", "The wood is named", done(project, "species"), see, "Name the wood in the description.")


def size(project: Project, see: Witness) -> Point:
    """The finished size; the size of the blank alone needs a look."""
    raw, finished = whole_sizes(project)
    if not finished and raw:
        return Point(
            "size", "The size is given", "needs your eyes", see.of(*raw[:3]),
            "Only the size before turning was said; measure the finished piece.",
        )  # fmt: skip
    return _stated("size", "The size is given", finished, see, "Measure the piece and give its size.")


def finish(project: Project, see: Witness) -> Point:
    title = "The finish is named, with the product as it was said"
    used = done(project, "finish")
    live = statements(project, "checklist", "finish", uses=("evidence",))
    planned = [k for k in live if k.fact.status == "planned"]
    denied = [k for k in live if k.fact.status == "denied"]
    if not used and planned:
        return Point(
            "finish", title, "needs your eyes", see.of(*planned[:3]), "It was only planned; say whether it was done."
        )
    if not used and denied:
        return Point(
            "finish",
            title,
            "needs your eyes",
            see.of(*denied[:3]),
            "Say in the description that it has no finish, if so.",
        )
    return _stated("finish", title, used, see, "Name the finish, or say that it has none.")


def _stated(key: str, title: str, found: Sequence[KeptFact], see: Witness, absent: str) -> Point:
    """good where something is certain, for the eyes where all of it is doubtful, missing where there is nothing."""
    certain = [k for k in found if not k.doubtful]
    if certain:
        return Point(key, title, "good", see.of(*certain[:3]))
    if found:
        return Point(key, title, "needs your eyes", see.of(*found[:3]), "Listen, and put it right or confirm it.")
    return Point(key, title, "missing", (), absent)
