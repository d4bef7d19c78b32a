"""The sizes of defects: said with the name, right after it, or a remark later of "it"."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import replace

from shoplog.extract.quantities import LENGTH, Quantity
from shoplog.extract.reading import Candidate, Mention, Reading, numbered
from shoplog.extract.stream import PAUSE
from shoplog.extract.wordset import wordset


def unit(reading: Reading, size: Quantity) -> str:
    if size.unit in LENGTH:
        return str(size.unit)
    value = size.read("size")[0] or size.read("size")[1] or 0.0
    return "mm" if reading.metric and value >= 1 else "in"


def beside(reading: Reading, i: int, j: int, floor: int, ceiling: int, claimed: set[int]) -> Quantity | None:
    """The length said of a defect: before it as an attribute, or after it in the same breath."""
    before = reading.quantity_before(i, 2)
    if (
        before is not None
        and before.start >= floor
        and before.start not in claimed
        and reading.text[i:j] == ["out", "of", "round"]
        and before.unit is None
        and before.amount.size
        and before.amount.size < 2
    ):
        return before
    if before is not None and before.start >= floor and before.start not in claimed and before.unit in LENGTH:
        gap = reading.text[before.end : i]
        if all(w in wordset("long wide of deep hairline little big end drying nasty tiny") for w in gap):
            return before
    for quantity in reading.numbers(j, min(j + 16, ceiling)):
        if quantity.start in claimed or not _length(reading, quantity):
            continue
        if any(m.term.kind in ("tool", "workholding") for m in reading.mentioned(j, quantity.start)):
            return None
        if not _reaches(reading, j, quantity):
            continue
        if _where(reading, quantity):
            continue
        nxt = reading.next(quantity.end)
        if nxt in wordset(
            "tenon recess faceplate jaws blank bowl hole gouge disc scraper parting skew spindle bit detail"
        ):
            return None
        return quantity
    return None


def _length(reading: Reading, quantity: Quantity) -> bool:
    if quantity.unit in LENGTH:
        return True
    if reading.text[quantity.start : quantity.end] == ["one"]:
        return False  # "a deep one"
    after = reading.next(quantity.end)
    head = reading.before(quantity.start, 3)
    if (
        quantity.unit is None
        and quantity.amount.size is not None
        and quantity.upper is None
        and quantity.amount.value < 12
        and quantity.amount.value != int(quantity.amount.value)
        and (head[:1] == ["it's"] or head[-1:] in (["about"], ["maybe"], ["a"], ["by"]))
    ):
        return True
    if (
        quantity.unit is None
        and quantity.amount.size is not None
        and (after in wordset("deep wide long across wider out") or reading.says(quantity.end, "of an inch", "of a"))
    ):
        return True
    return (quantity.unit is None and after in ("deep", "wide", "long", "across")) or (
        quantity.unit is None
        and reading.text[quantity.start - 1 : quantity.start] == ["to"]
        and reading.text[quantity.start - 2 : quantity.start - 1] == ["closer"]
    )


def _reaches(reading: Reading, j: int, quantity: Quantity) -> bool:
    """Whether the number is said of the defect: same sentence, or "it's", "about" right at the head of the next."""
    q = quantity.start
    borders = [k for k in range(j, q + 1) if k < reading.n and reading.border[k] >= PAUSE]
    between = reading.text[j:q]
    if borders:
        head = reading.text[borders[-1] : q]
        brief = (
            not head
            and len(borders) == 1
            and (reading.next(quantity.end) in ("now", "or", "long", "") or reading.comma_before(quantity.end))
        )
        if (
            len(borders) > 1
            or (
                not brief
                and not (head and head[0] in wordset("it's that's it about maybe around roughly only they're"))
            )
            or any(w in ("and", "so") for w in head)
            or len(head) > 6
        ):
            return False
        return not any(w in ("i", "i'm", "i've", "bowl", "wall", "rim's") for w in between)
    return not any(
        w in wordset("i'm i've i'll i'd wall walls tenon cut chuck screws blank thick drill drilled i lathe")
        for w in between
    )


def _where(reading: Reading, quantity: Quantity) -> bool:
    """ "an inch up from the end": where it lies, not how long it is."""
    after = reading.after(quantity.end, 3)
    return bool(after) and (
        (
            after[0] in wordset("up in down back below above away off")
            and (
                after[1:2] in (["from"], ["off"], [""])
                or (after[0] != "down" and after[1:2] == ["the"] and "goes" not in reading.before(quantity.start, 4))
            )
        )
        or (after[0] == "from" and after[1:2] in (["the"], ["where"]))
    )


def said_again(
    reading: Reading, mention: Mention, item: str, size: Quantity | None, j: int, ceiling: int, claimed: set[int]
) -> Iterator[Candidate]:
    """ "The note said a two inch crack. It's five and a half inches": a second size of the same defect."""
    if size is None:
        return
    for quantity in reading.numbers(max(j, size.end), min(max(j, size.end) + 8, ceiling)):
        head = reading.text[max(j, size.end) : quantity.start]
        if (
            quantity.unit in LENGTH
            and head
            and head[0] in ("it's", "but", "that's", "it")
            and len(head) <= 4
            and not any(w in ("wall", "thick", "i", "bowl") for w in head)
            and not _where(reading, quantity)
        ):
            claimed.add(quantity.start)
            value, low, high = quantity.read("size")
            yield Candidate(
                "defect",
                size.end,
                quantity.end,
                item,
                value,
                low,
                high,
                unit(reading, quantity),
                quantity.approx,
                "done" if head[0] != "it" else None,
                quantity=quantity.start,
                anchor=quantity.start,
                score=0.8,
            )
        break


#: What else is measured: a remark that names one of these is of that.
_OTHERS = wordset(
    "wall walls thick thickness tenon recess blank bowl foot neck bead beads cove diameter gouge skew scraper disc "
    "jaws forstner drill spigot opening mouth base lid middle i'm i've i'll want taking take cut leave leaving "
    "left down bring tall high proud bigger square round chuck faceplate screws stem spindle length shank rod hole "
    "dowel board plank log piece over under box mortise socket between centres centers apart strip handle way tape "
    "ways through and-a grit coats passes pass shaving we're we've running"
)
#: What is only said of the length or depth of a defect.
_PLAIN = wordset("deep long goes runs longest worst")
_TELLS = wordset("deep long wide across in of goes runs went ran longest worst oval out off at")
_OPENS = wordset(
    "it's it that's they're about maybe only what how goes runs going running just roughly around nearly it'd i'd "
    "near perhaps say call oh well must took takes by could in"
)
#: Tokens within which a length may be said of a defect with no word for what it measures, and with one.
_NEAR, _FAR = 16, 45
#: How far on in its own remark a defect is measured, in tokens, and what may stand before a number without its unit.
_REMARK = 26
_HEDGES = wordset(
    "good maybe it's that's about just nearly say around almost roughly solid full only barely in for runs goes went"
)


def within(reading: Reading, claims: Sequence[Candidate], claimed: set[int]) -> list[Candidate]:
    """The claims with the lengths said later in their own remark: "a catch, felt that one. Left a mark an eighth deep".

    ``claims`` stand in order; ``claimed`` are the quantities that are sizes already.
    """
    out: list[Candidate] = []
    for k, claim in enumerate(claims):
        out.append(claim)
        if claim.quantity is not None or claim.status == "denied":
            continue
        ceiling = claims[k + 1].at if k + 1 < len(claims) else reading.n
        for quantity in reading.numbers(claim.end, min(claim.end + _REMARK, ceiling)):
            q = quantity.start
            if reading.paused(claim.end, q + 1):
                break
            if q in claimed or not _measure(reading, quantity) or _where(reading, quantity):
                continue
            low = max(claim.end, reading.clauses.clause(q)[0])
            words = (*reading.text[low:q], *reading.after(quantity.end, 3))
            if any(w in _OTHERS for w in words) or any(
                m.term.kind in ("tool", "workholding") for m in reading.mentioned(claim.end, quantity.end + 4)
            ):
                break
            claimed.add(q)
            value, from_, to = quantity.read("size")
            out[-1] = replace(
                claim,
                end=quantity.end,
                value=value,
                low=from_,
                high=to,
                unit=unit(reading, quantity),
                approx=quantity.approx,
                quantity=q,
                anchor=claim.at,
                score=0.94 if any(w in _PLAIN for w in words) else 0.8,
            )
            break
    return out


def _measure(reading: Reading, quantity: Quantity) -> bool:
    """Whether the number may be a length: with its unit, or a fraction or a few after "about", "goes in"."""
    if reading.previous(quantity.start) == "by" and reading.quantity_before(quantity.start - 1) is not None:
        return False  # "nine by seven and a half"
    if _length(reading, quantity):
        return True
    return (
        quantity.unit is None
        and quantity.amount.value < 12
        and reading.previous(quantity.start) in _HEDGES
        and reading.text[quantity.start : quantity.end] != ["half"]  # "split in half"
        and (quantity.amount.size is not None or reading.metric)
        and reading.next(quantity.end) in {"", *wordset("deep long wide or on and i so but at in there right")}
    )


def alone(reading: Reading, quantity: Quantity) -> bool:
    """Whether a remark on a length names nothing else that it could be the length of."""
    words = (*reading.before(quantity.start, 9), *reading.after(quantity.end, 3))
    return not any(w in _OTHERS for w in words)


def of_it(reading: Reading, places: Sequence[tuple[int, int, str]], claimed: set[int]) -> Iterator[Candidate]:
    """ "It's only three quarters long", "goes in a good inch": a length said of the defect that was named last.

    ``places`` are (start, end, item) of the defects; ``claimed`` are the quantities that are sizes already.
    """
    starts = [start for start, _, _ in places]
    for quantity in reading.quantities:
        q = quantity.start
        k = bisect_left(starts, q) - 1
        if k < 0 or q in claimed or not 0 <= q - places[k][1] <= _FAR:
            continue
        head, tail = reading.before(q, 9), reading.after(quantity.end, 4)
        bare = quantity.unit is None and quantity.amount.size is not None and q - places[k][1] <= _NEAR // 2
        if not (_length(reading, quantity) or (bare and not head and quantity.amount.value < 1)):
            continue
        if _where(reading, quantity) or not alone(reading, quantity):
            continue
        plain = any(w in _PLAIN for w in (*head, *tail[:1]))
        if head and head[0] not in _OPENS and not (plain or any(w in _TELLS for w in head[-3:])):
            continue
        if not plain and q - places[k][1] > _NEAR:
            continue
        claimed.add(q)
        claim = numbered(
            "defect",
            quantity,
            quantity.read("size"),
            unit(reading, quantity),
            score=0.7 if not plain else 0.94 if q - places[k][1] <= _NEAR else 0.87,
        )
        yield replace(claim, item=places[k][2])
