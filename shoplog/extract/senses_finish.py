"""Finishes by short names and by verbs: "a little oil", "wax on the end grain", "put dye on that", "I oiled it"."""

from __future__ import annotations

from shoplog.extract.reading import Mention, Reading
from shoplog.extract.senses_defects import noun
from shoplog.extract.stream import PAUSE
from shoplog.extract.surroundings import seen
from shoplog.extract.wordset import wordset


def oil(reading: Reading, mention: Mention) -> bool:
    """Oil as a finish: "a little oil", "coat of oil"; not engine oil, not oiling a hinge."""
    before, after = reading.before(mention.start, 6), reading.next(mention.end)
    if after in wordset("change can filter lamp tank drum light painting burner drill leak the stone") or any(
        w
        in wordset(
            "engine motor olive lamp machine lathe bearing bearings truck essential fuel heating cooking the-price"
        )
        for w in before
    ):
        return False
    if reading.border[mention.start] >= PAUSE and after in wordset("goes next first now on then over and gets"):
        return True
    return bool(before) and (
        before[-1]
        in wordset(
            "put do doing use using wipe about an of the some little more with that clear plain just bit finishing "
            "finish is first second third "
            "another straight no any getting putting"
        )
        or reading.in_clause("coat", mention.start)
    )


def wax(reading: Reading, mention: Mention) -> bool:
    """Wax as a finish: "some wax", "wax on the end grain now", "thinking about wax"; not ear wax, not a candle."""
    before, after = reading.before(mention.start, 4), reading.next(mention.end)
    if after in wordset("paper museum emulsion seal sealer candle candles ring toilet drippings crayon pencil stick"):
        return False
    if any(w in ("ear", "candle", "car", "sealing", "bikini", "sealed", "ski", "surf") for w in before[-1:]):
        return False
    if reading.border[mention.start] >= PAUSE and after in wordset("goes next first now on over i then for and gets"):
        return True
    return bool(before) and (
        before[-1]
        in wordset(
            "of little some the a and then with just bit more hard clear dab is no or any for gets on soft plain "
            "only but using put rub buff getting putting do doing about over apply applied rubbing add thin liquid "
            "runny spread melted want wants maybe use used bit spot"
        )
        or reading.near("coat", mention.start, 10, 6)
    )


def dye(reading: Reading, mention: Mention) -> bool:
    """A dye that goes on the piece: "put dye on that", "dye on the rim"; not to dye, not hair dye, not a dye lot."""
    before, after = reading.before(mention.start, 2), reading.next(mention.end)
    if after in wordset("lot job my your his her it them hair") or before[-1:] in (["hair"], ["food"], ["tie"]):
        return False
    if before[-1:] and before[-1] in wordset("do doing put putting use using some with of and then no any or wipe rub"):
        return True
    return noun(reading, mention) or (reading.border[mention.start] >= PAUSE and after in ("on", "first", "next"))


def again(reading: Reading, mention: Mention) -> bool:
    """A finish by half its name after its whole was said: "three coats of the polish"."""
    return reading.previous(mention.start) in ("the", "that", "more", "same", "of") and seen(
        reading, mention.term.item, mention.start
    )


def coated(reading: Reading, mention: Mention) -> bool:
    """A mishearing of a finish right in talk of coats."""
    i = mention.start
    return reading.near("coat", i, 5, 5) and reading.previous(i) in wordset(
        "of the with some a is spray wipe-on clear oil gloss satin on brown black red blue green brushing"
    )


def paint(reading: Reading, mention: Mention) -> bool:
    before, after = reading.before(mention.start, 3), reading.next(mention.end)
    if after in wordset("counter store brush shop job dry booth the a it chip peeling splatter can stick"):
        return False
    return (
        bool(before)
        and before[-1] in wordset("of some green black white red blue milk acrylic gold silver with the bit little any")
        and not any(w in ("sells", "sell", "bought", "buy") for w in before)
    )


def sealer(reading: Reading, mention: Mention) -> bool:
    """A sealer that is put on the piece; not the sealer on log ends, not one named more closely before."""
    before = reading.before(mention.start, 3)
    return (
        bool(before)
        and before[-1] in wordset("of some spray cellulose brush-on no quick")
        and not any(w in wordset("end log grain wax") for w in (*before, reading.next(mention.end)))
    )


def treated(reading: Reading, mention: Mention) -> bool:
    """A finish told by the verb: "I oiled it last night", "it's been waxed"; not a radish, not the bearings."""
    before, after = reading.before(mention.start, 2), reading.after(mention.end, 3)
    subject = before[-1:] and before[-1] in wordset("i i've we've been already just got and then i'd had have")
    if reading.text[mention.start] in ("oil", "wax"):
        asked = before[-1:] and before[-1] in wordset("won't don't didn't i'll gonna to not i can't wouldn't i'd we'll")
        return bool(asked) and after[:1] in (["it"], ["them"], ["this"], ["these"])
    if subject and after[:1] in (["it"], ["them"], ["her"], ["him"]):
        return after[1:2] not in (["up"], ["down"])
    if (
        subject
        and after[:1] == ["the"]
        and after[1:2]
        and after[1]
        in wordset(
            "bowl outside inside rim foot lid base bottom top whole end ends wood piece blank handle platter box back"
        )
    ):
        return True
    if before[-2:-1] in (["round"], ["sanded"], ["turned"], ["finished"]) and before[-1:] == ["and"]:
        return True
    return before[-1:] in (["it's"], ["they're"]) and after[:1] in ([], ["already"], ["and"], ["twice"])
