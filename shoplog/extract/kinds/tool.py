"""``tool``: what cuts, its size, its grind, and whether it was just sharpened."""

from __future__ import annotations

from collections.abc import Iterator

from shoplog.extract.lexicon import plain
from shoplog.extract.quantities import Quantity
from shoplog.extract.reading import Candidate, Mention, Reading
from shoplog.extract.senses_gear import ahead
from shoplog.extract.stream import COMMA, PAUSE, SENTENCE
from shoplog.extract.wordset import phrases_by, wordset

_GRINDS = phrases_by("grind")
_SHARP = wordset("sharpened honed sharpen resharpened sharp touched")
_ADJECTIVES = wordset(
    "big small little old new long short trusty thin thick heavy light good nice same large wide narrow oval "
    "rolled round square sharp sharpened freshly deep fluted shallow bowl spindle hss steel diamond carbide "
    "regular plain wooden my flat swept back forty 40/40 fingernail standard ground cheap fancy favourite "
    "favorite diameter wider smaller bigger larger sized size ish"
)
_UNITLESS = (0.02, 3.0)
#: What is told without a size; a number beside it is of its blade, or of what it cuts.
_SIZELESS = frozenset(("saw", "bandsaw", "chainsaw"))
#: By what word a gouge or a scraper is told closer after it.
_GOUGES = {
    "bowl": "bowl gouge",
    "bowls": "bowl gouge",
    "spindle": "spindle gouge",
    "spindles": "spindle roughing gouge",
    "roughing": "spindle roughing gouge",
    "detail": "detail gouge",
    "details": "detail gouge",
    "carving": "carving gouge",
}
_ENDS = {
    "round": "round-nose scraper",
    "rounded": "round-nose scraper",
    "round-nose": "round-nose scraper",
    "round-nosed": "round-nose scraper",
    "square": "square scraper",
    "straight": "square scraper",
    "negative": "negative-rake scraper",
    "shear": "shear scraper",
}
#: What may stand between a tool and the size said of it afterwards: "the big one, it's", "and today I'm using the".
_BETWEEN = wordset(
    "the a an one it's its mine mine's is my that's that those which big small little heavy old wee girl boy lad lass "
    "honed in of on bar for well i think long short narrow fat ordinary just here about maybe say only proper good "
    "want thin thick using i'm today and then uh um handy trusty middle"
)
#: What leads to a size that is the tool's, and what says on the way that it is of something else.
_LEADS = wordset("it's the that's its is has an a of he's she's")
_MEASURED = wordset(
    "to at down tenon spigot hole recess bead beads cove wall walls rim deep wide long thick across leave left leaving "
    "depth diameter opening neck stem foot lid every between about off split crack check from by jaws faceplate chuck "
    "fit fits ring collar band line groove step shoulder mark dovetail into taper tapers finish base bottom bowl tall"
)
_OTHER_SIZES = wordset("deep long thick across tall hole tenon square diameter up down from off at in of or to by")


def candidates(reading: Reading) -> Iterator[Candidate]:
    """Each cutting tool with the size that stands before it, or right after."""
    named = list(reading.mentions("tool"))
    last: dict[str, str] = {}
    claimed: set[int] = set()
    told = False
    for n, mention in enumerate(named):
        i, j, item = mention.start, mention.end, mention.term.item
        if told:
            told = False
            continue
        family = "scraper" if item.endswith("scraper") else "gouge"
        if item in ("*gouge", "scraper"):
            told = n + 1 < len(named) and _same(reading, mention, named[n + 1])
            if told:
                item, j = named[n + 1].term.item, named[n + 1].end
        if item in ("*gouge", "scraper"):
            item = _closer(reading, mention) or _last(reading, mention, last) or item.replace("*", "bowl ")
        if item != "scraper" and item.endswith(family):
            last[family] = item
        if _not_in_use(reading, mention):
            continue
        n += told
        ceiling = named[n + 1].start if n + 1 < len(named) else reading.n
        size = None if item in _SIZELESS else _size(reading, i, j, ceiling, claimed)
        if size is not None:
            claimed.add(size.start)
        attrs = _attrs(reading, i, j, ceiling, max((m.end for m in named[max(0, n - 2) : n] if m.end <= i), default=0))
        value, low, high = size.read("size") if size else (None, None, None)
        unit = None
        if size:
            unit = (
                size.unit
                if size.unit in ("in", "mm", "cm")
                else ("mm" if reading.metric and (value or 0) >= 3 else "in")
            )
        yield Candidate(
            "tool",
            min(i, size.start) if size else i,
            max(j, size.end) if size else j,
            item,
            value,
            low,
            high,
            unit,
            bool(size and size.approx),
            attrs=attrs,
            status="planned" if reading.statuses.at(i, j) == "done" and ahead(reading, j) else None,
            quantity=size.start if size else None,
            anchor=i,
            term=mention.term,
            score=0.95,
        )


def _same(reading: Reading, mention: Mention, after: Mention) -> bool:
    """Whether the next tool named is this one told closer: "a half inch gouge, a bowl gouge", "the gouge, the srg"."""
    between = reading.text[mention.end : after.start]
    return (
        after.term.item.endswith(mention.term.item.strip("*"))
        and after.term.item != mention.term.item
        and between in (["a"], ["the"], ["my"], ["that's", "a"], ["that's", "the"], ["it's", "the"], ["it's", "a"])
        and reading.comma_before(mention.end)
        and reading.quantity_before(after.start) is None
    )


def _closer(reading: Reading, mention: Mention) -> str | None:
    """Which gouge or scraper it is by what is told after it: "the gouge, the roughing one", "a scraper, round end"."""
    j = mention.end
    # The words of one more remark, as far as the tool is still what is spoken of.
    after = reading.text[j : min(j + 8, reading.n)]
    pauses = 0
    for k, word in enumerate(after):
        pauses += reading.border[j + k] >= PAUSE
        if pauses > 1 or word in ("and", "then", "but"):
            break
        follows = after[k + 1] if k + 1 < len(after) else ""
        if mention.term.item == "scraper":
            if word in _ENDS and (follows in ("one", "nose", "nosed", "end", "edge", "rake", "angle") or "-" in word):
                return _ENDS[word]
        elif word in _GOUGES and (follows == "one" or (k and after[k - 1] == "for")):
            return _GOUGES[word]
    return None


def _last(reading: Reading, mention: Mention, last: dict[str, str]) -> str | None:
    """The gouge named last, or the scraper that is pointed back at: "the same scraper", "that scraper"."""
    if mention.term.item == "*gouge":
        return last.get("gouge")
    before = reading.previous(mention.start)
    pointed = before in ("the", "that", "this", "same", "my") or reading.border[mention.start] >= PAUSE
    return last.get("scraper") if pointed else None


def _not_in_use(reading: Reading, mention: Mention) -> bool:
    """Owned, bought, broken or a name for something else."""
    i, j = mention.start, mention.end
    after = reading.after(j, 3)
    if after[:1] in (
        ["guy"],
        ["jig"],
        ["jigs"],
        ["rack"],
        ["set"],
        ["handle"],
        ["sharpener"],
        ["blade"],
        ["company"],
        ["mark"],
        ["marks"],
        ["video"],
        ["demo"],
        ["blades"],
        ["tip"],
        ["dust"],
        ["table"],
        ["bar's"],
        ["rest"],
    ):
        return True
    before = reading.before(i, 6)
    low, high = reading.clauses.clause(i)
    clause = reading.text[low:high]
    if any(w in wordset("bought buy buying sells sold birthday own owned ordered") for w in before):
        return "if" not in clause
    return before[-2:] in (["called", "the"], ["calls", "me"])


def _fits(quantity: Quantity) -> bool:
    """A number that can be the size of a cutter: a length, or a fraction of an inch without unit."""
    if quantity.upper is not None and quantity.link != "-":
        return False
    if quantity.unit in ("in", "mm", "cm"):
        return True
    return (quantity.unit is None and quantity.amount.size is not None and quantity.amount.size < _UNITLESS[1]) or (
        quantity.unit == "s" and quantity.amount.size is not None and quantity.amount.size < 1
    )


def _size(reading: Reading, i: int, j: int, ceiling: int, claimed: set[int]) -> Quantity | None:
    k = i
    # Back over adjectives to the number: "half inch freshly sharpened bowl gouge".
    while k > 0 and i - k < 5 and reading.border[k] < SENTENCE and reading.text[k - 1] in _ADJECTIVES:
        before = reading.quantity_before(k, 0)
        if before is not None:
            break
        k -= 1
    before = reading.quantity_before(k, 0) or reading.quantity_before(i, 1)
    if (
        before is not None
        and before.start not in claimed
        and _fits(before)
        and (before.unit_at >= 0 or before.unit is None)
    ):
        return before
    if (
        before is not None
        and before.start not in claimed
        and before.unit is None
        and before.upper is None
        and reading.metric
        and before.end == i
        and 3 <= before.amount.value <= 60
        and not plain(reading.text[j - 1]).endswith("s")
    ):
        return before  # "a twenty two forstner bit", of one who measures in millimetres
    # After it: "roughing gouge, the inch and a quarter one", "hollowing tool is a three quarter inch bar".
    for quantity in reading.numbers(j, min(j + 9, ceiling)):
        if quantity.start not in claimed and _apposed(reading, j, quantity):
            return quantity
    for quantity in reading.numbers(j, min(j + 7, ceiling)):
        if reading.next(quantity.end) in ("square", "diameter"):
            break
        gap = reading.text[j : quantity.start]
        apart = gap[-2:] in (["it's", "the"], ["it's", "a"], ["it's", "my"]) and len(gap) <= 6
        other = wordset("deep long thick across tall hole tenon wide gouge skew scraper tool")
        if apart and quantity.unit in ("in", "mm") and reading.next(quantity.end) not in other:
            return quantity
        end = quantity.end
        alone = (
            not gap
            and (end >= reading.n or reading.border[end] >= COMMA or reading.text[end] == "wide")
            and quantity.unit
        )
        if any(reading.border[b] >= PAUSE for b in range(j, quantity.start + 1) if b < reading.n):
            # "Then the skew. One inch, honed."
            if alone or gap in (
                ["the", "heavy", "one"],
                ["the", "big", "one"],
                ["the", "small", "one"],
                ["it's", "the"],
            ):
                return quantity
            break
        if quantity.start in claimed or not _fits(quantity) or (quantity.unit is None and not quantity.amount.size):
            break
        follows = reading.next(quantity.end)
        if all(w in wordset("the is a an first here it's my that's one which this at in uh um") for w in gap):
            if gap and gap[-1] == "at":
                break
            if not gap and reading.border[quantity.start] < COMMA and quantity.unit is None:
                break
            if follows in {
                "",
                *wordset("one bar version wide size shaft tool bit diameter so and to for with now gouge model"),
            } and follows not in ("deep",):
                return quantity
            ground = follows == "long" and reading.next(quantity.end + 1) == "grind"
            stray = follows in wordset("deep long from up off in of thick across tall hole tenon at or") and not ground
            if (not gap or gap[-1] == "the") and not stray:
                return quantity
        break
    return next(
        (q for q in reading.numbers(j, min(j + 14, ceiling)) if q.start not in claimed and _loose(reading, j, q)), None
    )


def _loose(reading: Reading, j: int, quantity: Quantity) -> bool:
    """A size told by itself later in the remark: "a scraper to get the bumps out, the one inch", "It has 14 mm"."""
    start, end = quantity.start, quantity.end
    gap, size = reading.text[j:start], quantity.amount.value
    likely = size <= 2 if quantity.unit == "in" else quantity.unit == "mm" and 3 <= size <= 40
    if quantity.upper is not None or not likely or reading.text[j - 1].startswith(("saw", "band", "chain")):
        return False
    closed = end >= reading.n or reading.border[end] >= COMMA or reading.text[end] in ("one", "and")
    led = reading.comma_before(start) or (gap and gap[-1] in _LEADS)
    crossed = sum(reading.border[b] >= PAUSE for b in range(j, min(start + 1, reading.n)))
    if gap[-1:] == ["the"] and not (gap[-2:-1] and gap[-2] in _MEASURED - {"up"}):
        # "a scraper to clean it up, the one inch": what stands between tells what it is for
        gap = [w for w in gap if w not in wordset("to at up from into by about off down between")]
    return bool(closed and led) and crossed <= 1 and not any(w in _MEASURED for w in gap)


def _apposed(reading: Reading, j: int, quantity: Quantity) -> bool:
    """A size said of the tool after it, by itself: "the skew, the big one, three quarters", "a forstner of 35"."""
    gap, end = reading.text[j : quantity.start], quantity.end
    pauses = sum(reading.border[b] >= PAUSE for b in range(j, min(quantity.start + 1, reading.n)))
    if len(gap) > 7 or pauses > 1 or not all(w in _BETWEEN for w in gap) or (gap and gap[-1] in ("and", "in")):
        return gap == ["in"] and _fits(quantity) and reading.comma_before(end)
    follows = reading.next(end)
    closed = end >= reading.n or reading.border[end] >= COMMA
    if quantity.unit is None and quantity.upper is None and reading.metric and 4 <= quantity.amount.value <= 60:
        if not gap:
            # "with a spindle gouge, twelve, because it gets in there"
            return closed and pauses == 0 and reading.comma_before(quantity.start)
        closed = closed or (gap == ["of"] and follows in ("and", "for", "in", "because", "to"))
        return gap[-1:] in (["the"], ["of"]) and len(gap) <= 2 and (closed or follows == "one")
    if not _fits(quantity) or (follows in _OTHER_SIZES and not closed):
        return False
    if quantity.unit is None and not gap and not (pauses or reading.comma_before(quantity.start)):
        return False
    return closed or follows in wordset("one wide freshly honed swept light with so round square")


def _attrs(reading: Reading, i: int, j: int, ceiling: int, floor: int) -> dict[str, object]:
    attrs: dict[str, object] = {}
    low, high = max(floor, i - 9), min(ceiling, j + 14)
    around = " ".join(reading.text[low:high])
    for grind, forms in _GRINDS:
        if any(f in around for f in forms):
            attrs["grind"] = grind
            break
    clause_low = max(floor, reading.clauses.clause(i)[0])
    window = reading.text[clause_low : min(ceiling, j + 16)]
    for k, word in enumerate(window):
        if word in _SHARP:
            before = window[max(0, k - 3) : k]
            if word == "sharp" and before[-1:] not in (["freshly"], ["nice"]):
                continue
            if word == "touched" and window[k + 1 : k + 3] not in (["it", "up"], ["up", "on"], ["up"]):
                continue
            if any(w in wordset("needs to not never let haven't hasn't be don't should") for w in before):
                continue
            attrs["sharpened"] = True
    joined = " ".join(window)
    if any(
        p in joined
        for p in (
            "off the grinder",
            "off the wheel",
            "fresh edge",
            "fresh off",
            "fresh from the grinder",
            "touched it up",
            "straight off the grinder",
        )
    ):
        attrs["sharpened"] = True
    return attrs
