"""``defect``: what is wrong with the wood or went wrong in the cut, its size and how it changed."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator

from shoplog.extract.quantities import LENGTH, Quantity
from shoplog.extract.reading import Candidate, Mention, Reading
from shoplog.extract.stream import PAUSE
from shoplog.extract.wordset import phrases, phrases_by, wordset
from shoplog.facts import Status

_CHANGES = phrases_by("change")
_WORSE_NO = (
    "no longer",
    "not bigger",
    "no bigger",
    "no worse",
    "hasn't grown",
    "not any bigger",
    "any bigger than",
    "not worse",
    "not getting bigger",
    "hasn't got any",
)


def candidates(reading: Reading) -> Iterator[Candidate]:
    """Each defect with the size said of it; sizes said of "it" right after belong to it too."""
    named = list(reading.mentions("defect"))
    claimed: set[int] = set()
    for n, mention in enumerate(named):
        i, j, item = mention.start, mention.end, mention.term.item
        if _idle(reading, mention):
            continue
        floor = named[n - 1].end if n else 0
        ceiling = named[n + 1].start if n + 1 < len(named) else reading.n
        size = _size(reading, i, j, floor, ceiling, claimed)
        status = _status(reading, mention)
        attrs: dict[str, object] = {}
        change = _change(reading, i, j, ceiling)
        if change and status != "denied":
            attrs["change"] = change
            if (
                change in ("gone", "repaired", "stable", "new")
                and status is None
                and reading.statuses.at(i, j) == "denied"
            ):
                status = "done"
        value, low, high = size.read("size") if size else (None, None, None)
        if size:
            claimed.add(size.start)
        if size and size.start > j and reading.paused(j, size.start + 1):
            # Named in one remark and measured in the next: both are stated.
            yield Candidate("defect", i, j, item, status=status, attrs=attrs, anchor=i, term=mention.term, score=0.88)
            yield Candidate(
                "defect",
                size.start,
                size.end,
                item,
                value,
                low,
                high,
                _unit(reading, size),
                size.approx,
                "done",
                quantity=size.start,
                anchor=size.start,
                score=0.85,
            )
            continue
        yield Candidate(
            "defect",
            min(i, size.start) if size else i,
            max(j, size.end) if size else j,
            item,
            value,
            low,
            high,
            _unit(reading, size) if size else None,
            bool(size and size.approx),
            status,
            attrs=attrs,
            score=0.93,
            quantity=size.start if size else None,
            anchor=i,
            term=mention.term,
        )
        yield from _said_again(reading, mention, item, size, j, ceiling, claimed)
        yield from _none_elsewhere(reading, mention, item, ceiling)
    yield from _unchanged(reading, named)


_STILL = phrases("still")


def _unchanged(reading: Reading, named: list[Mention]) -> Iterator[Candidate]:
    """ "it's no worse": said of the defect that was named last."""
    starts = [m.start for m in named]
    for i, word in enumerate(reading.text):
        if word not in ("no", "hasn't", "it's") or not reading.says(i, *_STILL):
            continue
        k = bisect_left(starts, i)
        if not k or not 14 <= i - starts[k - 1] <= 400 or (k < len(starts) and starts[k] - i < 14):
            continue
        yield Candidate(
            "defect", i, i + 2, named[k - 1].term.item, status="done", attrs={"change": "stable"}, score=0.7
        )


def _unit(reading: Reading, size: Quantity) -> str:
    if size.unit in LENGTH:
        return str(size.unit)
    value = size.read("size")[0] or size.read("size")[1] or 0.0
    return "mm" if reading.metric and value >= 1 else "in"


def _idle(reading: Reading, mention: Mention) -> bool:
    """Where the words promise, joke or speak of the defect in general."""
    after = reading.after(mention.end, 2)
    before = reading.before(mention.start, 3)
    seen_later = before[-3:-1] in (["look", "at"], ["check", "on"], ["checking", "on"], ["back", "to"])
    if seen_later and reading.statuses.at(mention.start, mention.end) == "planned":
        return True
    return (
        after[:1] in (["free"], ["repair"], ["filler"], ["resistant"], ["prone"])
        or before[-2:] in (["prevent", "the"], ["avoid", "a"], ["avoid", "any"])
        or before[-1:] == ["prevent"]
        or before[-2:] in (["out", "for"], ["prone", "to"], ["look", "for"])
        or before[-1:] == ["avoid"]
    )


def _size(reading: Reading, i: int, j: int, floor: int, ceiling: int, claimed: set[int]) -> Quantity | None:
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
    after = reading.next(quantity.end)
    head = reading.before(quantity.start, 3)
    if (
        quantity.unit is None
        and quantity.amount.size is not None
        and quantity.upper is None
        and quantity.amount.value < 12
        and quantity.amount.value != int(quantity.amount.value)
        and (head[:1] == ["it's"] or head[-1:] in (["about"], ["maybe"], ["a"]))
    ):
        return True
    if (
        quantity.unit is None
        and quantity.amount.size is not None
        and after in wordset("deep wide long across of wider out")
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


def _said_again(
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
                _unit(reading, quantity),
                quantity.approx,
                "done" if head[0] != "it" else None,
                quantity=quantity.start,
                anchor=quantity.start,
                score=0.8,
            )
        break


def _none_elsewhere(reading: Reading, mention: Mention, item: str, ceiling: int) -> Iterator[Candidate]:
    """ "a little tear-out on the maple, and none on the walnut": denied for the rest."""
    for k in range(mention.end, min(mention.end + 14, ceiling, reading.n)):
        if reading.border[k] >= PAUSE:
            break
        if reading.text[k] == "none" and reading.next(k + 1) in ("on", "at", "in", "near", "along"):
            yield Candidate("defect", k, k + 2, item, status="denied", score=0.85)


def _status(reading: Reading, mention: Mention) -> Status | None:
    i, j = mention.start, mention.end
    before, after = reading.before(i, 6), reading.after(j, 6)
    last = before[-1:] or [""]
    if last[0] in ("no", "zero", "without") or before[-2:] in (
        ["no", "more"],
        ["no", "new"],
        ["not", "a"],
        ["isn't", "a"],
        ["no", "visible"],
        ["no", "big"],
        ["without", "any"],
        ["no", "real"],
    ):
        return "denied"
    if any(w in wordset("want hope worried afraid risk chance avoid") for w in before[-4:]) or before[-2:] in (
        ["case", "of"],
    ):
        return "hypothetical" if reading.statuses.at(i, j) in ("done", "planned") else None
    if after[:2] == ["if", "i"]:
        return "hypothetical"
    if reading.statuses.at(i, j) == "planned" and not _to_come(reading, mention):
        return "done"  # what is to be treated is there already
    return None


def _to_come(reading: Reading, mention: Mention) -> bool:
    """ "it'll warp", "it's going to check": the defect itself is what is expected."""
    return any(
        w in wordset("it'll it they'll that'll will wood gonna ends") for w in reading.before(mention.start, 2)
    ) or (
        reading.previous(mention.start) == "to"
        and mention.term.item in ("warp", "crack")
        and mention.term.needs in ("verb", "moved", "")
    )


def _change(reading: Reading, i: int, j: int, ceiling: int) -> str | None:
    """The latest state that the words around the defect give it."""
    low = max(i - 5, reading.clauses.sentence(i)[0])
    high = min(ceiling, j + 18, reading.n)
    for k in range(j + 1, high):
        if reading.border[k] >= PAUSE and reading.text[k] not in wordset("it's it look that and not but hasn't that's"):
            high = k
            break
    window = " ".join(reading.text[low:high])
    window = window.replace("'s gone", " 's gone")
    best, at = None, -1
    for change, forms in _CHANGES:
        for form in forms:
            found = f" {window} ".rfind(f" {form} ")
            if found < 0:
                continue
            if change == "worse" and any(p in window for p in _WORSE_NO):
                continue
            if (
                form in ("longer", "bigger", "wider", "opened up", "new one", "holding", "just now", "filled", "worse")
                and found < 0
            ):
                continue
            if form == "wider" and "one way" in window:
                continue
            if found > at:
                best, at = change, found
    return best
