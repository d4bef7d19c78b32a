"""``workholding``: how the piece is held; the size of jaws and faceplates."""

from __future__ import annotations

from collections.abc import Iterator

from shoplog.extract.quantities import Quantity
from shoplog.extract.reading import Candidate, Mention, Reading
from shoplog.extract.senses_gear import ahead
from shoplog.extract.stream import COMMA, PAUSE
from shoplog.extract.wordset import wordset
from shoplog.facts import Status

_SIZED = frozenset(
    ("faceplate", "scroll chuck", "screw chuck", "pin jaws", "cole jaws", "jam chuck", "vacuum chuck", "collet chuck")
)

#: Verbs that call for a spigot where no lid or joint is in the talk.
_CALLED_FOR = wordset("leave left leaving need needs gets get want wants make making so")
_UNDERNEATH = wordset("bottom base foot back underside underneath")


def candidates(reading: Reading) -> Iterator[Candidate]:
    """Each way of holding; both centers for "between centers"; a tenon only where it holds the piece."""
    for mention in reading.mentions("workholding"):
        i, j, item = mention.start, mention.end, mention.term.item
        status = _status(reading, mention)
        if item == "between":
            for center in ("drive center", "live center"):
                yield Candidate("workholding", i, j, center, status=status, term=mention.term)
            continue
        if item in ("tenon", "mortise") and _joinery(reading, mention):
            continue
        size = _size(reading, mention) if item in _SIZED else None
        value = size.read("size")[0] if size else None
        yield Candidate(
            "workholding",
            min(i, size.start) if size else i,
            max(j, size.end) if size else j,
            item,
            value=value,
            unit=(size.unit or ("mm" if reading.metric else "in")) if size else None,
            status=status,
            anchor=i,
            term=mention.term,
            quantity=size.start if size else None,
            approx=bool(size and size.approx),
            score=0.92,
        )


def _joinery(reading: Reading, mention: Mention) -> bool:
    """A tenon that goes into a hole of another part, or a lid's spigot."""
    i, j = mention.start, mention.end
    word = reading.text[i]
    if word in ("spigot", "spigots"):
        around = reading.text[max(0, i - 7) : j + 7]
        held = any(w in _UNDERNEATH or w in ("end", "ends") for w in around) and "lid" not in around
        return not (
            held
            or reading.near("jaws", i, 12, 12)
            or (not reading.near("joinery", i, 60, 12) and any(w in _CALLED_FOR for w in around))
            or any(
                w in wordset("cut cutting turned turn form chucking holding true trued truing")
                for w in reading.before(i, 5)
            )
            or any(w in wordset("truing trueing gripped gripping") for w in reading.after(j, 5))
        )
    if mention.term.item == "mortise":
        if word == "recess" and reading.word(j + 2) in _UNDERNEATH:
            return False
        return reading.next(j) in ("and", "in") and reading.next(j + 1) in ("tenon", "tenons", "the")
    if reading.near("jaws", i, 16, 22):
        return False
    after = reading.after(j, 24)
    if "hole" in after or "socket" in after or "mortise" in after or "seat" in after:
        return True
    plural = word in ("tenons", "tenants", "tendons")
    return plural and reading.gap("joinery", i) < 400 and not any(w in ("cut", "turned") for w in reading.before(i, 4))


def _size(reading: Reading, mention: Mention) -> Quantity | None:
    """ "a four inch faceplate", "the chuck with the three inch jaws", "50 mm jaws"."""
    i, j, item = mention.start, mention.end, mention.term.item
    if item == "scroll chuck":
        for k in range(max(0, i - 5), i):
            if (
                reading.text[k] == "jaws"
                and (found := reading.quantity_before(k, 1)) is not None
                and found.unit in ("in", "mm")
            ):
                return found
    before = reading.quantity_before(i, 1)
    if (
        before is not None
        and before.upper is None
        and (before.unit in ("in", "mm") or (before.unit is None and before.amount.size))
    ):
        return before
    if item in ("faceplate", "pin jaws", "cole jaws", "collet chuck"):
        for found in reading.numbers(j, j + 7):
            if found.unit is None and found.upper is None and reading.metric and reading.comma_before(found.start):
                # "faceplate ring, hundred and fifty, on the top"
                if 10 <= found.amount.value <= 300 and reading.comma_before(found.end) and found.start - j <= 3:
                    return found
                break
            if (
                found.unit in ("in", "mm")
                and all(
                    w in wordset("the that's a it's is my one those are little big behind that on there this back here")
                    for w in reading.text[j : found.start]
                )
                and (
                    reading.comma_before(found.end)
                    or reading.next(found.end) in wordset("one ones and with so now four six three screws") | {""}
                )
            ):
                return found
    if item == "scroll chuck":
        for k in range(i, min(j + 8, reading.n)):
            if reading.text[k] == "jaws":
                found = reading.quantity_before(k, 1)
                if found is not None and found.unit in ("in", "mm") and found.start >= j:
                    return found
                # "with the big jaws, the three inch ones", "jaws of one inch", "the little jaws, the twenty fives"
                for found in reading.numbers(k + 1, k + 6):
                    if _of_jaws(reading, k, found):
                        return found
    return None


def _of_jaws(reading: Reading, k: int, size: Quantity) -> bool:
    """Whether a number after the "jaws" of token ``k`` is their size."""
    gap, end = reading.text[k + 1 : size.start], size.end
    if not all(w in wordset("the of they're it's those are my that's on that's set big little small") for w in gap):
        return False
    closed = end >= reading.n or reading.border[end] >= COMMA or reading.text[end] in ("ones", "one", "set", "nominal")
    if size.unit is None and size.upper is None and reading.metric:
        return closed and gap[-1:] in (["of"], ["the"]) and 20 <= size.amount.value <= 150
    return closed and size.unit in ("in", "mm")


def _status(reading: Reading, mention: Mention) -> Status | None:
    i, j = mention.start, mention.end
    after = reading.after(j, 5)
    if reading.text[j - 1].endswith("'s"):
        after = ["is", *after[:4]]
    if (
        after[:2] in (["is", "gone"], ["is", "off"])
        or after[:3]
        in (
            ["is", "long", "gone"],
            ["is", "turned", "off"],
            ["is", "turned", "away"],
        )
        or after[:4] in (["out", "of", "the", "way"], ["out", "of", "the", "road"])
    ):
        return "denied"
    if after == ["off"] and reading.border[i] >= PAUSE:
        return "denied"  # "Faceplate off."
    if "until" in after and after[:1] in (["stays"], ["stay"]):
        return "planned"
    if reading.statuses.at(i, j) == "done" and ahead(reading, j):
        return "planned"
    return None
