"""Defects told by what happened: "it grabbed", "the rim let go", "it's torn here", "a hole where the knot was"."""

from __future__ import annotations

from shoplog.extract.reading import Mention, Reading
from shoplog.extract.stream import PAUSE
from shoplog.extract.surroundings import determined, wooden
from shoplog.extract.wordset import wordset

_CUTTERS = wordset("gouge skew tool scraper chisel corner wing heel edge point tip bar hollower it rougher cutter")
_WOOD = wordset("rim wall pith end wood side bottom grain edge lip base foot crotch limb blank log bowl")


def grabbed(reading: Reading, mention: Mention) -> bool:
    """The cutter caught: "it grabbed", "the skew grabbed on me"; not "I grabbed the gouge", not "that's grabbed"."""
    i, j = mention.start, mention.end
    if reading.previous(i) not in _CUTTERS:
        return False
    after = reading.after(j, 2)
    if after[:2] in (["on", "me"], ["on", "the"]) or after[:2] == ["and", "ran"]:
        return True
    return not after or after[0] in wordset("there again right hard and big-time something badly")


def let_go(reading: Reading, mention: Mention) -> bool:
    """Wood that gave way: "the rim let go", "it let go along the pith"; not "let go of it", not a joint or a chuck."""
    before, after = reading.previous(mention.start), reading.after(mention.end, 3)
    if after[:1] in (["of"], ["it"], ["the"]) or reading.in_clause("jaws", mention.start):
        return False
    if before in _WOOD:
        return True
    along = any(w in wordset("along down across through") for w in after[:2])
    return before in ("it", "it's", "it'd", "just") and along


def torn(reading: Reading, mention: Mention) -> bool:
    """Grain that is torn: "it's torn on two bands", "a bit torn"; not "I'm torn", not a torn sleeve."""
    before, after = reading.previous(mention.start), reading.next(mention.end)
    if after in wordset("between shirt sleeve paper page muscle ligament off up open belt cloth"):
        return False
    if before in wordset("it's is bit little all still that's fibres fibers grain are it badly"):
        return wooden(reading, mention.start)
    return False


def chattering(reading: Reading, mention: Mention) -> bool:
    """The tool or the wall chatters; not teeth, birds or people."""
    before, after = reading.before(mention.start, 3), reading.next(mention.end)
    if after in wordset("about away to with teeth"):
        return False
    return not any(
        w in wordset("i'm teeth birds bird squirrel squirrels keep i they're people kids magpie") for w in before
    )


def hole(reading: Reading, mention: Mention) -> bool:
    """A hole that nobody made: "a hole the size of a pea", "a hole where the knot was", "a hole right through"."""
    i, j = mention.start, mention.end
    if not determined(reading, i) or any(
        w in wordset("drill drilled drilling bore bored boring bit cut wear burned burn for")
        for w in reading.before(i, 7)
    ):
        return False
    return reading.says(
        j, "the size of", "where the", "right through", "clean through", "that wasn't", "under the bark", "in the rim"
    )


def heads(reading: Reading, mention: Mention) -> bool:
    """A defect that opens the remark: "knot just under the rim", "yep, catch"."""
    i, j = mention.start, mention.end
    after = reading.next(j)
    word = reading.text[i]
    if word == "catch":
        cry = reading.word(i - 1) in wordset("oh yep bang whoa oops ouch ow damn blast argh och yup aye wow ah hey")
        ends = j >= reading.n or reading.border[j] >= PAUSE or after in ("right", "on", "there")
        return (cry or (i < reading.n and reading.border[i] >= PAUSE and not reading.bare)) and ends
    return reading.border[i] >= PAUSE and after in wordset(
        "just right near here there up under beside dropped fell popped"
    )
