"""The parts of a piece whose sizes are told, and what a size of one measures when nothing else says it."""

from __future__ import annotations

from shoplog.extract.lexicon import plain
from shoplog.extract.quantities import LENGTH, Quantity
from shoplog.extract.reading import Reading
from shoplog.extract.wordset import table, wordset

#: The parts that are measured, by the words for them.
PARTS = {w.strip(): r["part"] for r in table("parts.csv") for w in r["words"].split(";")}
#: Parts whose thickness is a diameter.
THIN_ROUND = frozenset(
    ("stem", "tip", "branch", "finial", "spindle", "leg", "neck", "log", "nub", "peg", "dowel", "stalk")
)
#: Parts of which a small size is the thickness.
_THIN_PLACES = wordset("rim edge lip center middle dish floor base bottom")
#: Parts that are round whatever word their size is told with.
ROUND_PARTS = wordset(
    "recess tenon spigot hole mortise bowl platter opening foot rim box belly vase goblet cup knob ring circle "
    "mouth ball"
)


def part_of(reading: Reading, quantity: Quantity, end: int) -> tuple[str | None, int]:
    """The part that is measured and where it is named: right after the number, or the subject before it."""
    # "a 50 mm tenon", "a six inch bowl"
    for k in range(end, min(end + 3, reading.n)):
        word = reading.next(k)
        if not word:
            break
        if word in PARTS:
            follow = reading.next(k + 1)
            if word in ("spindle", "bowl") and follow in wordset("gouge gauge blank saver steady lathe roughing"):
                return ("blank", k) if follow == "blank" else (None, -1)
            if word == "round" and follow in ("nose", "skew", "shank"):
                return None, -1
            return PARTS[word], k
        if word not in wordset(
            "round square deep wide long thick dovetail dovetailed little bark cherry depth salad thin on "
            "diameter tall one"
        ):
            break
        if word == "on":
            break
    if reading.next(end) in ("for", "on", "of") and reading.next(end + 1) in ("a", "the", "this", "my"):
        for k in range(end + 2, min(end + 4, reading.n)):
            word = plain(reading.next(k))
            if word in PARTS and (reading.next(k + 1) not in PARTS):
                return PARTS[word], k
    if reading.next(end) == "one" and quantity.unit in LENGTH:
        for k in range(quantity.start - 1, max(0, quantity.start - 15), -1):
            if (part := PARTS.get(reading.text[k])) in ("bowl", "platter", "box", "blank", "plate"):
                return part, k
    if quantity.unit is None and quantity.amount.size and reading.previous(quantity.start) == "to":
        # "The tip's thin already. I could take it down to a sixteenth."
        for k in range(quantity.start - 1, max(0, quantity.start - 13), -1):
            if PARTS.get(plain(reading.text[k])) in THIN_ROUND:
                return PARTS[plain(reading.text[k])], k
    low = max(reading.clauses.sentence(quantity.start)[0], quantity.start - 18)
    for k in range(quantity.start - 1, low - 1, -1):
        word = plain(reading.text[k])
        if word in PARTS and reading.text[k + 1 : k + 2] not in (["gouge"], ["gauge"], ["saw"], ["with"]):
            if word in wordset(
                "bottom top square round ring piece bead form base box leg shoulder end pin pins"
            ) and reading.text[k - 1 : k] in (["on", "the"], ["the", "way"]):
                continue
            if (
                reading.text[k - 1] == "the"
                and k >= 2
                and reading.text[k - 2] in wordset("on in at off of near from onto over")
                and word not in ("hole", "belly", "rim", "foot")
            ):
                continue
            return PARTS[word], k
        if word == "part" and reading.text[k - 1] in ("thin", "thick", "narrow", "wide"):
            return f"{reading.text[k - 1]} part", k - 1
    return None, -1


def of_part(reading: Reading, part: str, quantity: Quantity) -> str:
    biggest = quantity.read("size")[0] or 0.0
    if part in _THIN_PLACES and (biggest <= 40 if quantity.unit == "mm" else biggest < 1.5):
        return "thickness"
    if part in _THIN_PLACES and quantity.unit is None and reading.metric and biggest <= 20:
        return "thickness"
    if part in ("board", "slab", "plank"):
        return "thickness"
    if part in ("bottom",):
        return "thickness"
    return "diameter"
