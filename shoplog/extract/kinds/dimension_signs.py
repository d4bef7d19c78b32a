"""Signs of what a size measures that stand further off than the word beside it."""

from __future__ import annotations

from shoplog.extract.kinds.dimension_parts import PARTS
from shoplog.extract.numbers import is_number_word
from shoplog.extract.quantities import Quantity
from shoplog.extract.reading import Reading
from shoplog.extract.stream import COMMA
from shoplog.extract.units import UNIT_WORDS
from shoplog.extract.wordset import wordset

#: What is said right after a size, to what it measures.
AFTER = {
    "across": "diameter",
    "diameter": "diameter",
    "wide": "width",
    "width": "width",
    "tall": "height",
    "high": "height",
    "height": "height",
    "long": "length",
    "length": "length",
    "thick": "thickness",
    "thickness": "thickness",
    "deep": "depth",
    "depth": "depth",
    "square": "width",
    "squared": "width",
    "squarish": "width",
    "through": "diameter",
    "round": "diameter",
    "thin": "thickness",
    "wider": "width",
    "breadth": "width",
    "broad": "width",
}
BORING = wordset("hole holes drill drilled drilling drill's bit forstner fosner bore bored boring spade hole's")
NOT_SIZED = wordset("away apart from off ahead behind short taller wider thinner thicker longer")
FLOOR = wordset("bottom base floor middle center centre")
#: What was torn or dug out, whose size is the defect's.
FLAWS = wordset("catch scar splinter chip spiral dug scratch dent bruise flake torn")
_HEDGES = wordset("about around a uh um er like just roughly maybe another")
_SAWN = wordset("saw sawed sawn docked crosscut trimmed cut")
_LONG_WAYS = (("long", "way"), ("short", "way"), ("wide", "way"), ("narrow", "way"), ("one", "way"), ("other", "way"))
_ADJECTIVES = wordset("tall high deep wide thick long broad")
_LED = wordset("it's is it are they this well say that's um uh so now he's she's okay being at by")


def by_signs(reading: Reading, quantity: Quantity, before: list[str]) -> tuple[str, float] | None:
    """(item, score) where the words before or after tell what is measured, None where none does."""
    end = quantity.end
    ways = zip(before[-5:], before[-4:], strict=False)
    if any(pair in _LONG_WAYS for pair in ways) and "way" not in reading.after(end, 2):
        return "diameter", 0.7
    if (asked := _asked(reading, quantity, before)) is not None:
        return asked, 0.8
    if _bored(reading, quantity, before):
        return "depth", 0.78
    if _hollowed(reading, quantity, before):
        return "depth", 0.75
    if _left(reading, quantity):
        return "thickness", 0.75
    if reading.next(end) in ("at", "in") and reading.next(end + 1) == "the" and reading.next(end + 2) in FLOOR:
        size = quantity.read("size")[0] or 0.0
        thin = 30 if quantity.unit == "mm" or (quantity.unit is None and reading.metric) else 1
        if 0 < size <= thin:
            return "thickness", 0.78
    return ("length", 0.72) if _runs(reading, quantity, before) else None


def _asked(reading: Reading, quantity: Quantity, before: list[str]) -> str | None:
    """What was asked or announced before the number: "how tall, about eight", "and thick, it's five"."""
    said = [w for w in before if w not in _HEDGES and w not in _LED]
    if not said or said[-1] not in _ADJECTIVES:
        return None
    if said[-2:-1] == ["how"]:
        return AFTER[said[-1]]
    announced = reading.border[quantity.start] >= COMMA or before[-1] in _LED
    counted = len(said) > 1 and (is_number_word(said[-2]) or said[-2] in UNIT_WORDS or said[-2] in _NO_SUBJECT)
    return AFTER[said[-1]] if announced and not counted else None


_NO_SUBJECT = wordset("too that as very real pretty nice so this not all")


def _hollowed(reading: Reading, quantity: Quantity, before: list[str]) -> bool:
    """How deep a foot was dished, or how far down the inside is: "dish the foot two mil", "I'm down eight"."""
    if quantity.unit not in (None, "in", "mm", "cm"):
        return False
    if before[-2:] in (["i'm", "down"], ["be", "down"], ["am", "down"], ["we're", "down"]):
        return quantity.unit is not None or not reading.near("lathe", quantity.start, 10, 6)
    dished = any(w in ("dish", "dished", "dishing", "hollow", "undercut") for w in before)
    small = 0 < (quantity.read("size")[0] or quantity.read("size")[2] or 0.0) <= (5 if quantity.unit == "mm" else 0.5)
    return dished and small and any(w in ("foot", "bottom", "base", "under") for w in before)


def _runs(reading: Reading, quantity: Quantity, before: list[str]) -> bool:
    """How long something is, by what is done to it: "it runs one ninety", "I sawed it to one twenty"."""
    said = [w for w in before if w not in _HEDGES]
    if said[-1:] in (["runs"], ["ran"]):
        big = quantity.unit is not None or quantity.amount.size is not None or reading.metric
        return big and not reading.near("lathe", quantity.start, 6, 4)
    if quantity.unit is None and reading.near("sand", quantity.start, 8, 4):
        return False
    sawn = any(w in _SAWN for w in said[-6:])
    return sawn and (said[-1:] in (["to"], ["at"]) or reading.next(quantity.end) == "each")


def _bored(reading: Reading, quantity: Quantity, before: list[str]) -> bool:
    """How far a drill went: "gone in a hundred and twenty", "the hole goes down eight", "drill till nine inches"."""
    said = [w for w in before if w not in _HEDGES]
    if not any(w in BORING for w in reading.words(quantity.start - 22, quantity.start)):
        return False
    if quantity.unit not in (None, "in", "mm", "cm") or reading.next(quantity.end) in NOT_SIZED | PARTS.keys():
        return False
    went = any(w in wordset("goes go going gone went drill drilled drilling bore bored run ran") for w in said[-4:])
    return (said[-1:] in (["in"], ["down"], ["till"]) and went) or said[-2:] in (["down", "to"], ["in", "to"])


def _left(reading: Reading, quantity: Quantity) -> bool:
    """What is left under the tool: "seven mil left in the bottom", "five eighths of wood below that"."""
    value = quantity.read("size")[0] or 0.0
    if not 0 < value < (40 if quantity.unit == "mm" else 2 if quantity.unit or quantity.amount.size else 40):
        return False
    if reading.says(quantity.end, "left in the", "left under", "left at the", "left below", "left for the"):
        return True
    floored = any(w in ("bottom", "floor", "base") for w in reading.before(quantity.start, 16))
    if floored and reading.next(quantity.end) == "left" and reading.next(quantity.end + 1) != "to":
        return True
    before = reading.before(quantity.start, 4)
    if before[-2:-1] in (["floor"], ["base"], ["bottom"]) and before[-1:] == ["of"]:
        return True  # "that leaves a floor of eight"
    return reading.says(
        quantity.end, "of wood below", "of wood under", "of wood left", "of timber", "under that", "below that",
        "under it", "under there", "underneath", "below it",
    )  # fmt: skip
