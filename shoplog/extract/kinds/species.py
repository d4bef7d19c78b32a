"""``species``: the woods of the pieces in the shop."""

from __future__ import annotations

from collections.abc import Iterator

from shoplog import trade
from shoplog.extract.reading import Candidate, Mention, Reading
from shoplog.extract.wordset import wordset

_FORMS = {
    "log": "log",
    "logs": "log",
    "blank": "blank",
    "blanks": "blank",
    "board": "board",
    "boards": "board",
    "burl": "burl",
    "burls": "burl",
    "burr": "burl",
    "crotch": "crotch",
    "slab": "slab",
    "slabs": "slab",
    "plank": "board",
    "planks": "board",
    "billet": "blank",
    "branch": "log",
}


#: Common names that stay as they are said, whatever full name was said before.
_PLAIN = wordset("cherry maple oak walnut ash cedar pine elm birch beech willow poplar cypress spruce acacia")


_ORIGINS = wordset(
    "european english american african australian japanese french scottish irish welsh canadian tasmanian "
    "norwegian russian hungarian turkish himalayan chinese siberian brazilian honduran"
)


def _full(reading: Reading, mention: Mention) -> str:
    """The full name where the short one was said for it: "blackwood" after "African blackwood"."""
    item = mention.term.item
    origin = reading.previous(mention.start)
    if origin in _ORIGINS and " " not in item:
        return f"{origin} {item}"
    if item in _PLAIN:
        return item
    for earlier in reversed(reading.mentioned(max(0, mention.start - 2000), mention.start)):
        if earlier.term.kind == "species" and earlier.term.item.endswith(" " + item):
            return earlier.term.item
    return item


def candidates(reading: Reading) -> Iterator[Candidate]:
    """Each named wood with its form where one is said beside it."""
    for mention in reading.mentions("species"):
        item, i, j = _full(reading, mention), mention.start, mention.end
        after, before = reading.after(j, 5), reading.before(i, 8)
        if after[:1] in (["oil"], ["oils"]):
            continue
        attrs: dict[str, object] = {}
        near = [_FORMS[w] for w in after[:4] if w in _FORMS] or [_FORMS[w] for w in reversed(before) if w in _FORMS]
        if near:
            attrs["form"] = near[0]
        if (name := trade.botanical(item)) is not None:
            attrs["botanical"] = name
        last = before[-1] if before else ""
        status = None
        if (
            before[-3:-1] == ["might", "be"]
            or before[-3:] == ["could", "be", "a"]
            or before[-2:] in (["might", "be"], ["could", "be"], ["may", "be"])
        ):
            status = "hypothetical"
        elif last in ("isn't", "not"):
            status = "denied"
        elif reading.statuses.at(i, j) == "denied":
            status = "done"
        yield Candidate("species", i, j, item, attrs=attrs, status=status, term=mention.term, score=0.9)  # type: ignore[arg-type]
