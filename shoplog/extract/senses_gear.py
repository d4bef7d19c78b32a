"""Gear and holding by short names: "specs on", "bring the tail up", "a drop of thin"."""

from __future__ import annotations

from shoplog.extract.reading import Mention, Reading
from shoplog.extract.surroundings import ARTICLES, seen
from shoplog.extract.wordset import wordset

_PLACES = (ARTICLES - {"my"}) | wordset("top sale shelf")


def worn(reading: Reading, mention: Mention) -> bool:
    """Gear that is on the head: "muffs on", "shield's down", "with my specs on"; not "the glasses on the shelf"."""
    i, j = mention.start, mention.end
    after = reading.after(j, 3)
    if reading.previous(i) in wordset(
        "reading sun magnifying wine beer drinking pint drugstore two three four spray paint"
    ):
        return False
    if after[:1] == ["are"] or after[:1] == ["is"]:
        after = after[1:]
    if reading.text[i] in ("shield", "shields") and after[:1] == ["down"]:
        return True
    if after[:1] == ["under"] and after[1:2] in (["the"], ["my"]):
        return reading.word(j + 2) in ("shield", "visor", "helmet", "face")
    if reading.text[i] in ("glasses", "spectacles", "ears", "cans", "phones") and reading.before(i, 2)[:1] == ["with"]:
        # "I looked with my glasses on" is for reading.
        return False
    if after[:1] in (["on"], ["in"]):
        return after[1:2] == [] or after[1] not in _PLACES
    return reading.text[i] in ("muffs", "plugs", "defenders") and reading.before(i, 3)[-2:] in (
        ["got", "my"],
        ["wear", "my"],
        ["with", "my"],
        ["wear", "your"],
        ["have", "my"],
    )


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
    if short[-1] != "stuff" and after not in {
        "",
        *wordset("in into on and then yesterday first along down over just to right round around"),
    }:
        return False
    return reading.near("glueish", mention.start, 8, 6) or seen(reading, "CA glue", mention.start)
