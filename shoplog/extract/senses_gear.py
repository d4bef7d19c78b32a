"""Gear and holding by short names: "specs on", "bring the tail up", "a drop of thin"."""

from __future__ import annotations

from shoplog.extract.lexicon import plain
from shoplog.extract.quantities import LENGTH
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
    if after[:2] in (["under", "it"], ["underneath"], ["under", "that"]):
        return True
    if reading.before(i, 3)[:2] in (["under", "it"], ["under", "that"]):
        return True  # "the face shield and under it the glasses"
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
    before = reading.previous(mention.start)
    sized = before in wordset("inch in mm mil") or (
        before in wordset("big small little wee same") and reading.near("holding", mention.start, 8, 8)
    )
    return (before in wordset("the my a prong") or sized) and reading.next(mention.end) not in wordset(
        "of on road line me him"
    )


def tail(reading: Reading, mention: Mention) -> bool:
    """The tailstock for short: "bring the tail up", "tail support", "the tail's wound in", "no tail"; not a dog's."""
    i, j = mention.start, mention.end
    before, after = reading.before(i, 4), reading.after(j, 3)
    if reading.text[i].endswith("'s"):
        after = ["is", *after[:2]]
    if reading.beside("people", i, 8, 8) or after[:1] in (["end"], ["of"], ["side"]):
        return False
    if after[:1] == ["support"]:
        return True
    if before[-1:] not in (["the"], ["no"], ["my"], ["that"]):
        return after[:1] == ["up"] and (reading.border[i] >= COMMA or before[-1:] in (["and"], ["with"]))
    moves = any(
        w in wordset("bring brings brought run wind wound slide slid push pushed back with up keep on") for w in before
    )
    placed = any(
        w in wordset("up in snug tight home locked away back off brought wound run slid on") for w in after[:2]
    )
    return (placed and before[-2:-1] not in (["in"], ["from"])) or (moves and "from" not in before)


def steady(reading: Reading, mention: Mention) -> bool:
    """The steady rest for short: "the steady on it", "running in the steady", "so steady goes on"; no steady hand."""
    i, j = mention.start, mention.end
    before, after = reading.before(i, 3), reading.after(j, 3)
    if any(w in wordset("hands hand hand's hold go going nice rock real good slow keep") for w in before):
        return False
    if before[-1:] and before[-1] in ARTICLES | {"no", "string", "wooden", "wee", "little"}:
        return after[:1] == [] or after[0] not in wordset(
            "hand hands pace rhythm cut cuts job stream rain speed feed pressure breath eye arm as income work"
        )
    return after[:2] in (["goes", "on"], ["went", "on"], ["comes", "on"], ["is", "on"]) or (
        reading.text[i].endswith("'s") and after[:1] in (["on"], ["off"], ["out"])
    )


#: What is done with jaws that hold a piece.
_GRIPS = wordset(
    "open opened opening opens expand expanded expanding expands biting bite gripped grip closed close nipped"
)


def jaws(reading: Reading, mention: Mention) -> bool:
    """The chuck by its jaws, where it is not named itself: "into the jaws", "jaws opened out into the recess"."""
    i, j = mention.start, mention.end
    if any(w.startswith(("chuck", "collet")) for w in reading.text[max(0, i - 12) : j + 5]):
        return False
    if (reading.comma_before(i) and reading.after(i - 1, 1) == []) or reading.previous(i) in wordset(
        "which these those"
    ):
        return False
    before, after = reading.before(i, 4), reading.after(j, 3)
    held = any(w in ("in", "into") for w in before) and not any(
        w in wordset("of moved shifted slipped out") for w in reading.before(i, 5)
    )
    sized = (size := reading.quantity_before(i)) is not None and size.unit in LENGTH
    return held or sized or any(w in _GRIPS for w in (*before[-2:], *after[:1]))


_SAWN_OFF = wordset("it this that them those off away through down to into in from up straight across flush level")


def sawing(reading: Reading, mention: Mention) -> bool:
    """A saw told by its verb: "I sawed them down their length", "so I saw away this end", "gets sawed flush"."""
    i, j = mention.start, mention.end
    word, before, after = reading.text[i], reading.before(i, 2), reading.after(j, 3)
    if any(w.startswith(("saw", "bandsaw", "chainsaw", "band-", "chain", "hacksaw")) for w in reading.after(j, 12)):
        return False  # the saw itself is named
    if word == "saw":
        asked = before[-1:] and before[-1] in wordset("to i'll and then we'll gonna you'll can")
        opened = not before or reading.border[i] >= PAUSE
        if after[:1] in (["through"], ["off"], ["away"]) and (asked or opened or before[-1:] == ["i"]):
            return True
        return bool((asked or opened) and after[:1] and after[0] in wordset("the it that this them") and _cut(after))
    if word == "sawn":
        return after[:1] in (["off"], ["flush"], ["through"], ["away"])
    return bool(after[:1]) and (after[0] in _SAWN_OFF or (after[0] in ("the", "both", "each") and _cut(after)))


def _cut(after: list[str]) -> bool:
    """Whether what is sawn is waste of the piece: "the nubs", "the end off", "it off"."""
    return any(
        w in wordset("off nub nubs pip stub stubs end ends waste last rest flush through away stem peg in")
        for w in after[1:]
    )


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
