"""``finish``: what is put on the wood, and in how many coats."""

from __future__ import annotations

from collections.abc import Iterator

from shoplog import trade
from shoplog.extract.kinds import adhesive
from shoplog.extract.reading import Candidate, Reading
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
_JOINTS = wordset("of a an the thin heavy light more good nice wet full clear quick just only then and")


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
        start, end = i, j
        coats = _coats(reading, i, j, spans[n - 1][1] if n else 0, limit, used)
        if coats:
            attrs["coats"], where = coats
            used.add(where)
            start, end = min(start, where), max(end, where + 1)
        said = " ".join(reading.text[i:j])
        if term is None or not term.misheard:
            plain = trade.canonical("finish", said)
            if (
                said != item.replace("-", " ").lower()
                and plain
                and said not in ("oil", "wax", item.lower())
                and len(said) < 40
            ):
                attrs["product"] = said
        yield Candidate("finish", i, j, item, attrs=attrs, status=_status(reading, i, j), term=term, anchor=i)


def _coats(reading: Reading, i: int, j: int, floor: int, ceiling: int, used: set[int]) -> tuple[int, int] | None:
    """(coats, token) said right before ("two coats of") or after ("oil, two coats") the finish."""
    text = reading.text
    before = [q for q in reading.numbers(max(floor, i - 7), i) if q.unit == "coat" and q.end <= i]
    if (
        before
        and before[-1].start not in used
        and all(
            w in _JOINTS or w in ("of",) or (reading.stream.word[k] >= 0 and k >= i - 3)
            for k, w in enumerate(text[before[-1].end : i], before[-1].end)
        )
    ):
        number = before[-1].amount.value
        return round(number), before[-1].start
    for k in range(max(floor, i - 6), i):
        if text[k] == "coat" and k not in used:
            word = text[k - 1] if k else ""
            if word in _ORDINALS or (word in ("thin", "heavy", "light") and k > 1 and text[k - 2] in _ORDINALS):
                order = _ORDINALS.get(word) or _ORDINALS.get(text[k - 2])
                if order:
                    return order, k
            elif word in wordset("a one thin heavy light single quick wet good nice another 1 of"):
                return 1, k
    stop = min(ceiling, j + 9)
    for k in range(j, stop):
        if k > j and reading.border[k] > COMMA and text[k] not in ("two", "three", "one", "first"):
            break
        if text[k] in ("coats", "coat") and k not in used:
            quantity = next((q for q in reading.numbers(j, k + 1) if q.unit_at == k), None)
            if quantity is not None:
                return round(quantity.amount.value), k
            if k and text[k - 1] in _ORDINALS and (order := _ORDINALS[text[k - 1]]):
                return order, k
            if (
                k > 1
                and text[k - 1] in ("thin", "light", "heavy", "good", "wet")
                and text[k - 2] in ("one", "a", "single", "just")
            ):
                return 1, k
            if text[k - 1] in ("one", "single", "a"):
                return 1, k
    # "usually I put on three": the coats were named with the finish before.
    for quantity in reading.numbers(j, stop):
        if (
            quantity.unit is None
            and quantity.amount.value <= 12
            and quantity.amount.value == int(quantity.amount.value)
            and text[quantity.start - 1] in ("on", "of", "do", "apply")
            and reading.near("coat", quantity.start, 12, 6)
        ):
            return None
    return None


def _status(reading: Reading, i: int, j: int) -> Status | None:
    """A finish that a piece "gets" is still to come; "X is on" is done whatever stands around."""
    before = reading.before(i, 4)
    low, _ = reading.clauses.clause(i)
    clause = reading.text[low:i]
    if reading.statuses.at(i, j) == "done" and any(w in ("gets", "get") for w in clause) and "got" not in before:
        return "planned"
    return None
