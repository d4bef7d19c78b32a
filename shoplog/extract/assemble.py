"""From candidates to facts: one claim per number, corrections, repeats, confidence."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import replace

from shoplog.extract import weighing
from shoplog.extract.confidence import doubts_of, judge
from shoplog.extract.reading import Candidate, Reading
from shoplog.extract.stream import PAUSE, SENTENCE
from shoplog.extract.wordset import phrases
from shoplog.facts import Fact

#: Words between two numbers by which the second puts the first right.
_CORRECTIONS = phrases("correction")
#: Tokens within which the same thing said again is one fact.
_BREATH = 16
_WEIGHT = {"reported": 0, "habit": 1, "denied": 2, "hypothetical": 3, "planned": 4, "done": 5}


def assemble(reading: Reading, candidates: Iterable[Candidate]) -> list[Fact]:
    """The facts of a transcript in order of their start."""
    kept = [c for c in weighing.numbers(reading, by_rules(reading, candidates)) if not _of_it(c)]
    kept = weighing.claims(reading, with_status(reading, kept))
    kept = _once(reading, kept)
    return [fact(reading, c) for c in sorted(kept, key=lambda c: (reading.stream.word[c.start], c.start))]


def _of_it(claim: Candidate) -> bool:
    """Whether a claim was a size said of "it" and has lost its number: nothing is left that it states."""
    return (
        claim.kind == "defect"
        and claim.term is None
        and claim.quantity is None
        and not claim.attrs
        and claim.status != "denied"
    )


def by_rules(reading: Reading, candidates: Iterable[Candidate]) -> list[Candidate]:
    """The candidates that the rules let stand, one to a number, before anything is weighed."""
    return _numbers([c for c in candidates if not reading.statuses.elsewhere(c.at) or c.kind in ("clock", "credit")])


def with_status(reading: Reading, candidates: list[Candidate]) -> list[Candidate]:
    """The candidates that were not taken back at once, each with the rules' status."""
    return [replace(c, status=reading.status(c)) for c in _corrected(reading, candidates)]


class _Spans:
    """Stretches of tokens, asked whether one of them holds a token."""

    def __init__(self, spans: Iterable[tuple[int, int]]) -> None:
        self._spans = sorted(spans)
        self._starts = [a for a, _ in self._spans]

    def hold(self, i: int) -> bool:
        k = bisect_right(self._starts, i)
        return any(i < b for _, b in self._spans[max(0, k - 3) : k])


def _numbers(candidates: list[Candidate]) -> list[Candidate]:
    """Each number goes to the candidate that is surest of it; a candidate with an item may live on without."""
    best: dict[int, Candidate] = {}
    for candidate in candidates:
        if candidate.quantity is not None and (
            (held := best.get(candidate.quantity)) is None or candidate.score > held.score
        ):
            best[candidate.quantity] = candidate
    promises = _Spans((c.start, c.end) for c in candidates if c.kind == "followup")
    candidates = [
        c
        for c in candidates
        if c.kind in ("followup", "credit", "tool", "ppe")
        or not promises.hold(c.at)
        or (c.kind == "clock" and not promises.hold(c.start - 3))
    ]
    kept = []
    spans = _Spans(
        (c.start, c.end)
        for c in candidates
        if c.kind in ("clock", "followup") and c.quantity is not None and best.get(c.quantity) is c
    )
    for candidate in candidates:
        q = candidate.quantity
        if q is None or best[q] is candidate:
            if (
                q is not None
                and candidate.kind not in ("clock", "followup")
                and not (candidate.kind != "duration" and candidate.score > 0.9)
                and spans.hold(q)
                and candidate.kind in ("duration", "speed", "grit", "moisture", "temperature", "humidity")
            ):
                continue
            kept.append(candidate)
        elif candidate.item is not None and candidate.kind in weighing.ITEMS:
            less = weighing.without_number(candidate)
            kept += [] if _of_it(less) else [less]
    return kept


def _corrected(reading: Reading, candidates: list[Candidate]) -> list[Candidate]:
    """Without the values that the speaker took back at once."""
    ordered = sorted(candidates, key=lambda c: c.start)
    dropped: set[int] = set()
    for k, first in enumerate(ordered):
        for second in ordered[k + 1 : k + 4]:
            if second.kind != first.kind or second.start - first.end > 9 or second.start < first.end:
                continue
            if first.quantity is None and not (
                first.kind in ("tool", "species", "finish") and first.item != second.item
            ):
                continue
            between = reading.text[first.end : second.start]
            if between == ["no"] and first.quantity is None:
                continue  # "mineral oil, no wax"
            if _takes_back(reading, between, first.end, second.start):
                dropped.add(id(first))
    return [c for c in candidates if id(c) not in dropped]


def _takes_back(reading: Reading, between: list[str], start: int, end: int) -> bool:
    if not between:
        return False
    joined = " ".join(between)
    if (
        between[0] == "no"
        and (len(between) <= 3 or (reading.border[start] > 0 and len(between) <= 4))
        and between[1:2] not in (["more"], ["less"], ["cracks"], ["problem"], ["idea"])
    ):
        return True
    return (
        any(
            joined == p or joined.startswith(p + " ") or joined.endswith(" " + p) or f" {p} " in joined
            for p in _CORRECTIONS
        )
        and "but" not in between
    )


def _once(reading: Reading, candidates: list[Candidate]) -> list[Candidate]:
    """One fact for what is said twice in one breath; the fuller one stays, and takes over what the other adds."""
    out: list[Candidate] = []
    last: dict[tuple[object, ...], int] = {}
    for candidate in sorted(candidates, key=lambda c: (c.start, c.end)):
        key = (
            (candidate.kind, candidate.item)
            if candidate.kind in weighing.ITEMS
            else (
                candidate.kind,
                candidate.item,
                candidate.value,
                candidate.low,
                candidate.high,
                candidate.unit,
                str(candidate.attrs.get("time")),
                str(candidate.attrs.get("date")),
                str(candidate.attrs.get("direction")),
            )
        )
        at = last.get(key)
        if at is not None:
            earlier = out[at]
            if candidate.kind in weighing.ITEMS:
                same = _same_item(reading, earlier, candidate)
            else:
                same = _same_number(reading, earlier, candidate)
            if same:
                out[at] = _merged(earlier, candidate)
                continue
        last[key] = len(out)
        out.append(candidate)
    return out


def _same_item(reading: Reading, a: Candidate, b: Candidate) -> bool:
    if b.start - a.end > _BREATH or a.status != b.status:
        return False
    one_measured = (a.value is None and a.low is None) != (b.value is None and b.low is None)
    crossing = [k for k in range(a.end, b.start + 1) if k < reading.n and reading.border[k] >= PAUSE]
    if (
        a.kind == "defect"
        and one_measured
        and b.start - a.end <= 9
        and len(crossing) <= 1
        and not reading.paused(a.end, b.start + 1)
        and (not crossing or reading.text[crossing[0]] in ("it's", "i'd", "that's", "about", "maybe"))
    ):
        return True
    if any(reading.border[k] >= SENTENCE for k in crossing):
        return a.kind == "workholding" and b.start - a.end <= 6 and a.value == b.value
    if a.kind == "tool" and a.value is not None and b.value is not None and a.value != b.value:
        return False
    if a.kind == "defect" and a.value is not None and b.value is not None and a.value != b.value:
        return False
    if a.kind == "defect" and any(reading.border[k] >= PAUSE for k in range(a.end, b.start + 1) if k < reading.n):
        return False
    if a.kind == "species" and b.start - a.end > 9:
        return False
    return not (
        a.kind == "finish" and a.attrs.get("coats") and b.attrs.get("coats") and a.attrs["coats"] != b.attrs["coats"]
    )


def _same_number(reading: Reading, a: Candidate, b: Candidate) -> bool:
    if a.kind in ("moisture", "dimension", "duration") and (
        a.attrs.get("where") != b.attrs.get("where") or a.attrs.get("of") != b.attrs.get("of")
    ):
        return False
    if a.kind in ("followup", "credit", "moisture"):
        return False
    if (
        a.kind == "speed"
        and a.status != b.status
        and b.start - a.end <= _BREATH
        and {a.status, b.status} <= {"reported", "habit", "denied"}
    ):
        return True
    return b.start - a.end <= 10 and a.status == b.status and a.kind != "grit"


def _merged(a: Candidate, b: Candidate) -> Candidate:
    full, other = (a, b) if a.value is not None or a.low is not None or (b.value is None and b.low is None) else (b, a)
    attrs = {**other.attrs, **full.attrs}
    if a.kind == "defect" and "change" in b.attrs:
        attrs["change"] = b.attrs["change"]
    status = min((a.status, b.status), key=lambda s: _WEIGHT[s or "done"])
    return replace(
        full, start=min(a.start, b.start), end=max(a.end, b.end), attrs=attrs, approx=full.approx, status=status
    )


def fact(reading: Reading, candidate: Candidate) -> Fact:
    """A candidate as the fact that it states."""
    stream = reading.stream
    words = stream.words[stream.word[candidate.start] : stream.word[candidate.end - 1] + 1]
    attrs = dict(candidate.attrs)
    if reading.statuses.other_piece(candidate.at):
        attrs["other_piece"] = True
    guessed = candidate.term is not None and candidate.term.misheard
    repairs = [{"heard": candidate.term.words, "meant": candidate.term.item}] if candidate.term and guessed else []
    repairs += [
        {"heard": h, "meant": m}
        for h, m in dict.fromkeys(
            stream.repaired[k] for k in range(candidate.start, candidate.end) if k in stream.repaired
        )
    ]
    if repairs:
        attrs["repaired"] = repairs
    doubts = doubts_of(candidate)
    if doubts:
        attrs["doubt"] = doubts
    return Fact(
        kind=candidate.kind,
        item=candidate.item,
        value=candidate.value,
        low=candidate.low,
        high=candidate.high,
        unit=candidate.unit,
        approx=candidate.approx,
        status=candidate.status or "done",
        start=round(words[0].start, 3),
        end=round(words[-1].end, 3),
        quote=stream.quote(candidate.start, candidate.end),
        attrs=attrs,
        confidence=judge(candidate, [w.probability for w in words], guessed, bool(doubts), reading.bare),
    )
