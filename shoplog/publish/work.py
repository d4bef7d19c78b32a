"""Operations of the work in words for viewers, and what each asks of the maker's safety."""

from __future__ import annotations

from typing import NamedTuple


class Words(NamedTuple):
    """``title`` for a chapter, ``doing`` after a number ("600 rpm sanding"), ``machine`` if the lathe or a saw runs."""

    title: str
    doing: str
    machine: bool


#: By the operation's name in the timeline. Common practice of the trade, no source.
OPERATIONS: dict[str, Words] = {
    "select": Words("The wood", "", False),
    "measure": Words("Measuring and weighing", "", False),
    "lay out": Words("Cutting the blank round", "cutting the blank round", True),
    "mount": Words("Mounting the blank", "mounting", False),
    "true up": Words("Truing up", "truing up", True),
    "shape the outside": Words("Shaping the outside", "shaping the outside", True),
    "cut the tenon": Words("Cutting the tenon", "cutting the tenon", True),
    "sand": Words("Sanding", "sanding", True),
    "finish": Words("Finish", "putting on the finish", False),
    "reverse": Words("Turning it around", "after turning it around", False),
    "hollow": Words("Hollowing", "hollowing", True),
    "season": Words("Drying", "", False),
    "second turning": Words("Turning it again", "turning it again", True),
    "repair": Words("Repair", "repairing", False),
    "part off": Words("Finishing the foot", "finishing the foot", True),
    "sign": Words("Signing", "", False),
    "photograph": Words("The finished piece", "", False),
    "follow up": Words("Looking at it again", "", False),
}


def words_of(operation: str | None) -> Words | None:
    """The words for an operation, None for none or an unknown one."""
    return OPERATIONS.get(operation or "")


def title_of(operation: str | None) -> str:
    """The chapter title of an operation, '' where there is nothing to say."""
    if words := words_of(operation):
        return words.title
    return (operation or "").replace("_", " ").capitalize()
