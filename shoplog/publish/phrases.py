"""Statements in the words of a description: as the maker would type them for viewers."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence

from shoplog.facts import Fact
from shoplog.log import KeptFact
from shoplog.wording import number

#: Words for units after a number; those that take an s are plain words.
UNIT_WORDS = {
    "in": "inch", "ft": "foot", "s": "second", "min": "minute", "h": "hour", "day": "day", "week": "week",
    "month": "month", "year": "year",
}  # fmt: skip
SIGNS = {"%": "%", "degF": "°F", "degC": "°C"}
PLURALS = {"inch": "inches", "foot": "feet"}


def amount(fact: Fact, *, adjective: bool = False) -> str:
    """The number or range with unit and hedge: ``about 4 1/2 inches``; ``5/8 inch`` before a noun; '' without one."""
    ends = [fact.value] if fact.value is not None else [n for n in (fact.low, fact.high) if n is not None]
    if not ends:
        return ""
    unit = fact.unit
    if unit == "h" and max(ends) < 1:
        # A quarter of an hour is told as fifteen minutes.
        ends, unit = [n * 60 for n in ends], "min"
    figures = " to ".join(number(n, "in" if unit in ("h", "day", "week", "month", "year") else unit) for n in ends)
    if len(ends) == 1 and fact.value is None:
        figures = f"{'from' if fact.low is not None else 'up to'} {figures}"
    about = "about " if fact.approx else ""
    return f"{about}{figures}{_unit(unit, ends[-1], adjective)}"


def _unit(unit: str | None, last: float, adjective: bool) -> str:
    if unit is None or unit == "grit":
        return ""
    if unit in SIGNS:
        return f" {SIGNS[unit]}"
    word = UNIT_WORDS.get(unit)
    if word is None:
        return f" {unit}"
    plural = not adjective and last > 1
    return f" {PLURALS.get(word, word + 's') if plural else word}"


def tool(fact: Fact) -> str:
    """``5/8 inch bowl gouge (swept-back grind)``."""
    size = amount(fact, adjective=True)
    grind = f" ({fact.attrs['grind']} grind)" if fact.attrs.get("grind") else ""
    return f"{size} {fact.item}{grind}".strip()


def holding(fact: Fact) -> str:
    """``4 inch faceplate``; for chucks the size is that of the jaws."""
    size = amount(fact, adjective=True)
    if size and fact.item in ("scroll chuck", "cole jaws", "pin jaws"):
        return f"{fact.item} with {size} jaws" if "jaws" not in (fact.item or "") else f"{size} {fact.item}"
    return f"{size} {fact.item}".strip()


def product(fact: Fact) -> str:
    """A finish by the words that were used for it."""
    return proper(str(fact.attrs.get("product") or fact.item or ""))


def finish(fact: Fact) -> str:
    """``two coats of wipe-on poly``, the product as it was said."""
    name = product(fact)
    coats = fact.attrs.get("coats")
    if not isinstance(coats, int | float):
        return name
    return f"{count(coats)} coat{'' if coats == 1 else 's'} of {name}"


def count(n: float) -> str:
    """Small whole numbers in words."""
    words = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
    return words[int(n)] if n == int(n) and 0 <= n <= 10 else number(n)


def dimension(fact: Fact) -> str:
    """``11 inches across``, ``4 1/2 inches thick``; the part it belongs to is told by the caller."""
    size = amount(fact)
    after = {
        "diameter": "across", "width": "wide", "length": "long", "height": "high", "thickness": "thick",
        "depth": "deep",
    }.get(fact.item or "")  # fmt: skip
    if fact.item == "wall thickness":
        return f"walls {size}"
    return f"{size} {after}" if after else f"{fact.item} {size}".strip()


def adhesive(fact: Fact) -> str:
    """``thin CA glue``."""
    return f"{fact.attrs.get('grade') or ''} {fact.item}".strip()


def defect(fact: Fact) -> str:
    """``a crack, 1 1/4 inches``."""
    size = amount(fact)
    item = fact.item or ""
    article = "" if item in MASS or item.endswith("s") else "an " if item[:1] in "aeiou" else "a "
    return f"{article}{item}{f', {size}' if size else ''}"


#: Defects that are spoken of without an article.
MASS = frozenset(("rot", "tear-out", "chatter", "warp", "loose bark", "stain"))


def plain(kept: KeptFact) -> str:
    """A statement in a few words, whatever its kind: what stands in a blank or in a list of evidence."""
    fact = kept.fact
    special = {
        "tool": tool, "workholding": holding, "finish": finish, "dimension": dimension, "adhesive": adhesive,
        "defect": defect,
    }.get(fact.kind)  # fmt: skip
    if special:
        return special(fact)
    from shoplog.wording import say

    return say(fact, status=False)


def blank(what: str, kept: KeptFact) -> str:
    """A marked place for the maker to fill or take out: ``[check: 850 rpm? at 12:04]``.

    When it is said is only known with the video: until `placed` is called the fact's number stands for it.
    """
    return f"[check: {what} {PLACE}{kept.id}{PLACE}]"


#: Stands around the number of a fact whose place in the video is not written yet; no text of a person holds it.
PLACE = "\x00"


def placed(text: str, where: Callable[[int], str]) -> str:
    """The text with every place written; ``where`` gives it for the number of a fact."""
    return re.sub(rf"{PLACE}(\d+){PLACE}", lambda m: where(int(m[1])), text)


def listed(parts: Sequence[str], last: str = "and") -> str:
    """``a, b and c``."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {last} {parts[-1]}"


def unique(parts: Iterable[str]) -> list[str]:
    """Without repeats and empty ones, in order."""
    return [p for p in dict.fromkeys(parts) if p]


def name_in(words: str, item: str) -> str:
    """A name with the capitals it has in the words, else with capitals on each part."""
    found = re.search(re.escape(item), words, re.IGNORECASE)
    if found and found[0] != found[0].lower():
        return found[0]
    return re.sub(
        r"[^\W\d_]+", lambda m: m[0] if m[0] in ("de", "van", "von", "der", "of", "the") else m[0].title(), item
    )


def with_article(noun: str) -> str:
    """``a bowl``, ``an urn``; several things (``pens``) have none."""
    if noun.endswith("s") and not noun.endswith("ss"):
        return noun
    return f"{'an' if noun[:1].lower() in 'aeio' or noun.lower().startswith('ur') else 'a'} {noun}"


def sentence(text: str) -> str:
    """With a capital first letter and a full stop."""
    text = text.strip()
    return f"{text[:1].upper()}{text[1:]}{'' if text.endswith(('.', '!', '?', ']')) else '.'}" if text else ""


_PROPER = re.compile(
    r"\b(?:african|american|english|european|brazilian|indian|japanese|norway|pacific|oregon|spanish|honduran|"
    r"australian|tasmanian|siberian|chinese|asian|osage|danish)\b"
)


def proper(text: str) -> str:
    """``African blackwood``, ``Danish oil``: names of places keep their capital."""
    return _PROPER.sub(lambda m: m[0].title(), text)


def slug(*words: str) -> str:
    """A key that a person can type, from words: ``weight-two-weeks``."""
    return "-".join(re.findall(r"[^\W_]+", " ".join(words).lower()))
