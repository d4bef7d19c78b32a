"""``finish``: what is put on the wood, and in how many coats."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator

from shoplog import trade
from shoplog.extract.kinds import adhesive
from shoplog.extract.lexicon import plain
from shoplog.extract.numbers import is_number_word
from shoplog.extract.reading import Candidate, Reading
from shoplog.extract.senses_gear import ahead, given
from shoplog.extract.stream import COMMA
from shoplog.extract.wordset import wordset
from shoplog.facts import Status
from shoplog.trade import Term

_ORDINALS = {
    "first": 1,
    "second": 2,
    "third": 3,
    "fourth": 4,
    "fifth": 5,
    "sixth": 6,
    "seventh": 7,
    "eighth": 8,
    "final": None,
    "last": None,
}
#: What may stand between the number and the "coat".
_KINDS_OF_COAT = wordset(
    "thin heavy light more good nice wet full clear quick final flood wash even very real thick single generous mist "
    "spit fresh extra further big lovely proper final of last"
)
#: What no coat is told of: "four hours between coats", "every coat I left".
_NO_COAT = wordset("between every each if per last my your coat")

#: What is said of a piece that gets its coats, told by their number alone.
_GIVES = wordset("get gets getting have having doing")


def candidates(reading: Reading) -> Iterator[Candidate]:
    """Each named finish with its coats, each claimed by the finish that stands nearest."""
    spans: list[tuple[int, int, str, Term | None]] = [
        (m.start, m.end, m.term.item, m.term) for m in reading.mentions("finish")
    ]
    spans += [(i, j, "CA finish", None) for i, j in adhesive.finish_mentions(reading)]
    spans.sort(key=lambda s: s[0])
    used: set[int] = set()
    for n, (i, j, item, term) in enumerate(spans):
        limit = spans[n + 1][0] if n + 1 < len(spans) else reading.n
        attrs: dict[str, object] = {}
        if item == "oil" and reading.near("coat", i, 5, 5) and reading.previous(i) in ("the", "that", "same"):
            # "First coat of the oil is on": the oil that was named more closely before.
            item = next((s[2] for s in reversed(spans[:n]) if s[2].endswith("oil") and s[2] != "oil"), item)
        coats = _coats(reading, i, j, spans[n - 1][1] if n else 0, limit, used)
        if coats:
            attrs["coats"], where = coats
            used.add(where)
        said = " ".join(reading.text[i:j])
        if term is None or not (term.misheard or term.needs in ("treated", "again")):
            known = trade.canonical("finish", said)
            if (
                said != item.replace("-", " ").lower()
                and known
                and said not in ("oil", "wax", item.lower())
                and len(said) < 40
            ):
                attrs["product"] = said
        number = _number(reading, coats[1]) if coats else None
        yield Candidate(
            "finish", i, j, item, attrs=attrs, status=_status(reading, i, j), term=term, anchor=i, quantity=number
        )
    yield from _again(reading, spans, used)


def _coats(reading: Reading, i: int, j: int, floor: int, ceiling: int, used: set[int]) -> tuple[int, int] | None:
    """(coats, token) said right before ("two coats of") or after ("oil, two coats") the finish."""
    text = reading.text
    for k in range(i - 1, max(floor, i - 8) - 1, -1):
        if text[k] in ("coat", "coats") and k not in used:
            count = _count(reading, k, floor)
            if count is not None and (k >= i - 5 or "of" in text[k:i]):
                return count, k
            break
    crossed = 0
    for k in range(j, min(ceiling, j + 13)):
        crossed += reading.border[k] > COMMA and k > j
        if crossed > 1 or (crossed and not _counts(reading, k, j)) or k >= j + (13 if crossed else 10):
            break
        if text[k] in ("coats", "coat", "goes", "dips") and k not in used:
            if crossed and not (k + 1 >= reading.n or reading.border[k + 1] >= COMMA):
                return None  # "Three coats of that I'm giving": told anew
            return (count, k) if (count := _count(reading, k, j)) is not None else None
    return None


def _counts(reading: Reading, k: int, j: int) -> bool:
    """Whether the remark that holds token ``k`` opens with a number of coats: "CA finish on all three. Six coats"."""
    at = max(reading.clauses.sentence(k)[0], j)
    first = reading.text[at]
    return first in ("a", "couple") or is_number_word(first) or first[0].isdecimal()


def _count(reading: Reading, k: int, floor: int) -> int | None:
    """How many coats are said at the "coat" of token ``k``; an ordinal counts up to that one."""
    text = reading.text
    for quantity in reading.numbers(max(floor, k - 5), k + 1):
        between = text[quantity.end : k] if quantity.unit != "coat" else []
        if quantity.start <= k and quantity.unit in (None, "coat", "s") and all(w in _KINDS_OF_COAT for w in between):
            number = quantity.amount.value
            if quantity.unit == "s" and text[k - 1] == "second":
                continue
            if number == int(number) and 0 < number <= 30:
                return int(number)
    low = k
    while low > max(floor, k - 5) and text[low - 1] in _KINDS_OF_COAT:
        low -= 1
    word = text[low - 1] if low > floor else ""
    if word in _ORDINALS:
        return _ORDINALS[word]
    if text[k] == "coat":
        if word in ("a", "one", "another", "single", "1") or (low < k and text[low] == "single"):
            return 1
        if reading.next(k + 1) == "number":
            return next((round(q.amount.value) for q in reading.numbers(k + 1, k + 4)), None)
    if word == "of" and text[low - 3 : low - 1] == ["a", "couple"]:
        return 2
    return None


def _number(reading: Reading, k: int) -> int | None:
    """The token at which the number of the "coat" of token ``k`` starts, so that it is nobody else's."""
    near = [q.start for q in reading.numbers(k - 5, k + 1) if q.unit in (None, "coat") and k - q.end <= 2]
    return near[-1] if near else None


def _again(reading: Reading, spans: list[tuple[int, int, str, Term | None]], used: set[int]) -> Iterator[Candidate]:
    """Coats told without their finish, the one in use last: "first coat's on", "I've put on the second coat"."""
    named = {s[0] for s in spans}
    spans = [s for s in spans if reading.statuses.at(s[0], s[1]) in ("done", "planned") and s[2] != "oil"] or spans
    starts = [s[0] for s in spans]
    for k, word in enumerate(reading.text):
        if (
            plain(word) not in ("coat", "coats")
            or k in used
            or reading.previous(k) in ("between", "ca", "epoxy", "top")
        ):
            continue
        before, n = reading.before(k, 4), bisect_left(starts, k)
        if not n or any(w in _NO_COAT for w in before) or reading.next(k + 1) in ("hanger", "hook", "hooks"):
            continue
        low, _ = reading.clauses.sentence(k)
        count = _count(reading, k, max(low, spans[n - 1][1]))
        if count is None or (reading.next(k + 1) == "of" and not named.isdisjoint(range(k, k + 5))):
            continue
        item, number = spans[n - 1][2], _number(reading, k)
        yield Candidate("finish", k, k + 1, item, attrs={"coats": count}, anchor=k, score=0.7, quantity=number)
    yield from _bare(reading, spans, starts)


def _bare(reading: Reading, spans: list[tuple[int, int, str, Term | None]], starts: list[int]) -> Iterator[Candidate]:
    """Coats told by their number alone, soon after talk of coats: "it'll get three", "and two more tomorrow"."""
    for q in reading.quantities:
        n = bisect_left(starts, q.start)
        if not n or q.unit is not None or q.upper is not None or not 0 < q.amount.value <= 8:
            continue
        if q.start - starts[n - 1] > 150 or reading.gap("coat", q.start) > 150:
            continue
        word, more = reading.previous(q.start), reading.next(q.end) == "more"
        end = q.end + more
        closed = end >= reading.n or reading.border[end] >= COMMA or reading.text[end] in ("tomorrow", "wi", "with")
        given_it = word in _GIVES or (word == "the" and reading.word(q.start - 2) in _GIVES)
        if closed and q.amount.value == int(q.amount.value) and (given_it or more):
            attrs: dict[str, object] = {"coats": int(q.amount.value)}
            item = spans[n - 1][2]
            status: Status = "planned" if more or word in ("get", "have") else "done"
            yield Candidate(
                "finish", q.start, end, item, attrs=attrs, status=status, anchor=q.start, score=0.6, quantity=q.start
            )


def _status(reading: Reading, i: int, j: int) -> Status | None:
    """A finish that a piece "gets", or that is to follow, is still to come."""
    if reading.text[i] == "no":
        return "denied"  # "No stain."
    if reading.statuses.at(i, j) == "done" and (given(reading, i, under_way=True) or ahead(reading, j)):
        return "planned"
    return None
