"""Gear and holding by short names: "specs on", "bring the tail up", "a drop of thin"."""

from __future__ import annotations

from shoplog.extract.lexicon import plain
from shoplog.extract.reading import Mention, Reading
from shoplog.extract.stream import COMMA, PAUSE
from shoplog.extract.surroundings import ARTICLES, seen
from shoplog.extract.wordset import wordset

_PLACES = (ARTICLES - {"my"}) | wordset("top sale shelf")
_HEAD = wordset("nose face head ears eyes")
#: What gear is told of its short name for another use: "reading glasses", "a beer can".
_OTHER_USES = wordset(
    "reading sun magnifying wine beer drinking pint drugstore two three four spray paint wrong other new rose tin oil "
    "spark heat"
)


def worn(reading: Reading, mention: Mention) -> bool:
    """Gear that is on the head: "muffs on", "shield's down", "with my specs on"; not "the glasses on the shelf"."""
    i, j = mention.start, mention.end
    word, after = plain(reading.text[i]), reading.after(j, 3)
    if reading.previous(i) in _OTHER_USES:
        return False
    if after[:1] == ["are"] or after[:1] == ["is"]:
        after = after[1:]
    if word in ("shield", "shields") and after[:1] == ["down"]:
        return True
    if after[:1] == ["under"] and after[1:2] in (["the"], ["my"]):
        return reading.word(j + 2) in ("shield", "visor", "helmet", "face")
    if word in ("glasses", "spectacles", "ears", "cans", "phones") and reading.before(i, 2)[:1] == ["with"]:
        # "I looked with my glasses on" is for reading.
        return False
    if after[:1] in (["on"], ["in"]):
        closed = j + 1 >= reading.n or reading.comma_before(j + 1)
        return closed or after[1:2] == [] or after[1] not in _PLACES or reading.word(j + 2) in _HEAD
    if after[:1] in (["over"], ["instead"]) or listed(reading, mention):
        return True
    return word in ("muffs", "plugs", "defenders") and reading.before(i, 3)[-2:] in (
        ["got", "my"],
        ["wear", "my"],
        ["with", "my"],
        ["wear", "your"],
        ["have", "my"],
    )


def listed(reading: Reading, mention: Mention) -> bool:
    """Gear by its name alone, told off as it is put on: "Glasses. Muffs.", "shield, yep", "specs, muffs"."""
    i, j, text = mention.start, mention.end, reading.text
    opened = reading.border[i] >= COMMA
    closed = j >= reading.n or reading.border[j] >= COMMA
    if not opened or not (closed or text[j] in ("yep", "yes", "check", "and", "too")):
        return False
    if text[i] in ("ears", "cans", "plugs", "phones") and reading.border[i] < PAUSE:
        return False
    low, high = reading.clauses.sentence(i)
    return high - low <= 4 or reading.near("gear", i, 12, 12)


def ahead(reading: Reading, j: int) -> bool:
    """Whether what follows a name, from ``j`` on, says that it is to come: "the skew's next", "a recess going in"."""
    after = reading.after(j, 5)
    if reading.text[j - 1].endswith("'s") or after[:1] in (["is"], ["are"]):
        after = after if reading.text[j - 1].endswith("'s") else after[1:]
        if after[:1] in (["next"], ["due"]) or after[:2] in (
            ["going", "to"],
            ["going", "on"],
            ["going", "in"],
            ["going", "back"],
            ["coming", "on"],
            ["coming", "up"],
            ["coming", "in"],
            ["coming", "out"],
            ["coming", "off"],
        ):
            return True
    if after[:1] == ["gonna"] or after[:2] in (["going", "in"], ["going", "on"], ["for", "later"], ["for", "tomorrow"]):
        return True
    return (
        after[:1] in (["goes"], ["go"], ["comes"], ["come"])
        and after[1:2] in (["on"], ["in"], ["back"], ["out"], ["off"], ["up"], ["over"])
        and any(w in wordset("next first then once when before after later tomorrow tonight last") for w in after[2:4])
    )


def given(reading: Reading, i: int, *, under_way: bool = False) -> bool:
    """Whether the piece is to get what stands at ``i``: "it gets wax"; "it's getting wax" may be ``under_way``."""
    low, _ = reading.clauses.clause(i)
    before = reading.text[max(low, i - 16) : i]
    for k, word in enumerate(before):
        if word in ("gets", "get", "having", "" if under_way else "getting") and not any(
            w in wordset("i'm i i've we we're got to you you're") for w in before[max(0, k - 2) : k]
        ):
            return True
    return False


def running(reading: Reading, mention: Mention) -> bool:
    """What draws the dust off, where it runs or does not: "shop vac's going", "the suction is on"."""
    after = reading.after(mention.end, 3)
    if after[:1] in (["on"],) and after[1:2] and after[1] in ARTICLES - {"the"}:
        return False
    return any(w in wordset("on running going hooked roaring off isn't humming connected pulling") for w in after) or (
        reading.previous(mention.start) in ("the", "my")
        and reading.word(mention.start - 2) in ("on", "run", "running", "start", "started")
    )


def spur(reading: Reading, mention: Mention) -> bool:
    """The spur that drives; not the spur of the moment, not a spur on a branch."""
    return reading.previous(mention.start) in wordset("the my a prong") and reading.next(mention.end) not in wordset(
        "of on road line me him"
    )


def tail(reading: Reading, mention: Mention) -> bool:
    """The tailstock for short: "bring the tail up", "with the tail up", "the tail's wound in"; not a dog's."""
    before, after = reading.before(mention.start, 4), reading.after(mention.end, 3)
    if before[-1:] != ["the"] or reading.beside("people", mention.start, 8, 8):
        return False
    moves = any(
        w in wordset("bring brings brought run wind wound slide slid push pushed back with up keep") for w in before
    )
    placed = any(w in wordset("up in snug tight home locked away back off") for w in after[:2])
    return moves and (placed or "up" in before)


def grade(reading: Reading, mention: Mention) -> bool:
    """CA glue by its grade alone: "a drop of thin", "soaked it with the thin stuff"."""
    after = reading.next(mention.end)
    short = reading.text[mention.start : mention.end]
    if len(short) == 1:
        # "thin, one drop", "thin all along it": told by how it is dosed.
        dose = reading.after(mention.end, 5)
        return reading.border[mention.start] >= PAUSE and any(w in ("drop", "drops", "squirt", "dribble") for w in dose)
    if short[-1] != "stuff" and after not in {
        "",
        *wordset("in into on and then yesterday first along down over just to right round around"),
    }:
        return False
    return reading.near("glueish", mention.start, 8, 6) or seen(reading, "CA glue", mention.start)
