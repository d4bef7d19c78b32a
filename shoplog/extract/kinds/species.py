"""``species``: the woods of the pieces in the shop."""

from __future__ import annotations

import re
from collections.abc import Iterator

from shoplog import trade
from shoplog.extract.reading import Candidate, Mention, Reading
from shoplog.extract.stream import PAUSE
from shoplog.extract.wordset import wordset
from shoplog.facts import Status

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
_PLAIN = wordset(
    "cherry maple oak walnut ash cedar pine elm birch beech willow poplar cypress spruce acacia pear plum apple "
    "hickory juniper chestnut holly hazel lime mahogany mulberry locust alder aspen fir larch rosewood laurel"
)


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
        full = earlier.term.item
        if earlier.term.kind == "species" and full.endswith(" " + item) and not full.startswith("spalted "):
            return full
    return item


#: What is made of a wood and is no piece of it.
_PRODUCTS = wordset("oil oils dust powder smell smoke cobbler pie jam nuts leaves seeds pollen syrup honey")
#: Tokens within which a wood that is named again is the same fact still.
_BREATH = 12
_WONDERED = wordset("wonder wondered thought thinking considered reckoned guessed")
_TURNED = wordset("but no isn't nope nah")


#: After "oak's": what is told of the wood of a piece, not of all oak.
_OF_A_PIECE = wordset(
    "reading at down sitting on in gone done been still now about up dry wet green mine next from all"
)
_CALL = re.compile(r"\b(?:call|calls|called) (?:it|this|that|them)$")
_CALLED = re.compile(r"(?:(?:we|they|you|some|people|folks|others|the locals)(?: \S+)? (?:call|say|calls)|if you're)\b")


def _general(reading: Reading, mention: Mention) -> bool:
    """ "Oak's heavy": said of all oak, where nothing points at a piece of it."""
    i, j = mention.start, mention.end
    return (
        reading.text[j - 1].endswith("'s")
        and (not reading.before(i, 1) or reading.border[i] >= PAUSE or reading.previous(i) in ("because", "so", "and"))
        and reading.next(j) not in _OF_A_PIECE
    )


def _also_called(reading: Reading, mention: Mention) -> bool:
    """ "This is linden, some call it lime": another name of the wood just named."""
    return (
        _CALL.search(" ".join(reading.before(mention.start, 5))) is not None
        or _CALLED.match(" ".join(reading.after(mention.end, 5))) is not None
    )


def candidates(reading: Reading) -> Iterator[Candidate]:
    """Each named wood with its form where one is said beside it."""
    named = list(reading.mentions("species"))
    last_of: dict[str, tuple[int, Status]] = {}
    for n, mention in enumerate(named):
        item, i, j = _full(reading, mention), mention.start, mention.end
        after, before = reading.after(j, 5), reading.before(i, 8)
        if (after and after[0] in _PRODUCTS) or before[-2:] == ["dust", "of"]:
            continue
        if _general(reading, mention) or (n and named[n - 1].end > i - _BREATH and _also_called(reading, mention)):
            continue
        following = named[n + 1] if n + 1 < len(named) else None
        if (
            following is not None
            and following.term.item.endswith(" " + item)
            and following.start - j <= _BREATH // 2
            and not reading.paused(j, following.start + 1)
        ):
            continue  # "it's poplar, tulip poplar"
        claimed = reading.statuses.at(i, j)
        earlier, last_of[item] = last_of.get(item), (j, claimed)
        if (
            earlier is not None
            and i - earlier[0] < _BREATH
            and earlier[1] == claimed
            and not reading.paused(earlier[0], i + 1)
        ):
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
        elif last in ("isn't", "not", "ain't", "wasn't") or (last == "no" and not any(w in _TURNED for w in after)):
            status = "denied"
        elif any(w in _WONDERED for w in before[-4:]) and any(w in _TURNED for w in reading.words(j, j + 8)):
            status = "denied"  # "I did wonder about maple, but no"
        elif any(w in ("written", "wrote", "label", "tag") for w in before) and "i" not in before:
            status = "reported"
        elif reading.statuses.at(i, j) == "denied":
            status = "done"
        yield Candidate("species", i, j, item, attrs=attrs, status=status, term=mention.term, score=0.9)  # type: ignore[arg-type]
