"""``defect``: what is wrong with the wood or went wrong in the cut, its size and how it changed."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from shoplog.extract.kinds import defect_change, defect_size
from shoplog.extract.reading import Candidate, Mention, Reading
from shoplog.extract.stream import PAUSE
from shoplog.extract.wordset import wordset
from shoplog.facts import Status

#: A look that is only promised, or a care that is taken against it.
_LATER = re.compile(
    r"(?:\b(?:see|look|ask|asks|know|wonder|tell|check|find out|remind me)\b(?: \S+){0,4}? (?:if|whether|has|how is|"
    r"how's)\b(?: \S+){0,8}|\b(?:check|look|checking|looking|inspect|straightedge)\b(?: \S+){0,5} for(?: any| the|"
    r" more)?|\b(?:keep|stop|keeps|stops|prevent|save)\b(?: \S+){1,4} from|\bso (?:it|that) (?:doesn't|won't))$"
)
#: Words by which a defect is told with a "not": "it won't sit flat", "the bark won't stay on".
_NOT_SO = wordset("flat round true stay hold stick hang lie lay lies holding sticking staying hanging")
#: Looked for and not there.
_UNFOUND = re.compile(
    r"\b(?:can't|cannot|couldn't|can not|don't|didn't|haven't) (?:\S+ )?(?:find|see|feel|spot|found|seen) "
    r"(?:a|any|one|even one)(?: new| single| other)?$"
)
_ASKS = re.compile(
    r"(?:^| )(?:any|is (?:there|it|that)|are (?:there|they)|did (?:it|they|that)|do i see|got any|has it)\b"
)
_ANSWERS = re.compile(r"(?:no|nope|nah|none|not (?:one|a|any|yet|today)|there (?:is not|isn't|ain't|aren't)|never)\b")
#: What it is only taken for: "you'd take it for a knot", "it could pass as a knot".
_LIKENED = re.compile(
    r"\b(?:(?:take|took|mistake|pass)(?: (?:it|that|them|him))? (?:for|as)|(?:think|swear|say) it was|"
    r"you'd (?:think|swear|say) (?:it's|that's|it is)) an?(?: \S+)?$"
)
_PERSONS = wordset("it me you him her us them this that these those")
_THOUGHT = re.compile(r"\b(?:thought|took|reckoned|swore|looked like|figured)\b")
_TURNS = re.compile(
    r"(?:\bit's (?:a|just|only|my|pencil|dirt|dust|glue|not|the)\b|\bit (?:isn't|ain't|wasn't|was only|was just)\b|"
    r"\b(?:nope|nah)\b|\bno (?:that's|it's|it)\b|\bthere's not\b)"
)
#: Tokens within which a defect that is named again is the same fact still.
_BREATH = 12


def candidates(reading: Reading) -> Iterator[Candidate]:
    """Each defect with the size said of it, and what is said of "it" later on: its size, and what became of it."""
    claimed: set[int] = set()
    found = _said_twice(reading, sorted(_named(reading, claimed), key=lambda c: c.at))
    found = defect_size.within(reading, found, claimed)
    yield from found
    places = [(c.at, c.end, str(c.item)) for c in found]
    yield from defect_size.of_it(reading, places, claimed)
    yield from defect_change.of_it(reading, places)


def _said_twice(reading: Reading, found: Sequence[Candidate]) -> list[Candidate]:
    """One claim where a defect is named again at once: "that's borer, dead borer", "did it split? No, no splits"."""
    out: list[Candidate] = []
    for claim in found:
        earlier = next((k for k in range(len(out) - 1, max(-1, len(out) - 4), -1) if out[k].item == claim.item), None)
        if earlier is not None and _same(reading, out[earlier], claim):
            a, b = out[earlier], claim
            kept = b if a.value is None and a.low is None and (b.quantity is not None or b.status == "denied") else a
            attrs = {**a.attrs, **b.attrs}
            status = "denied" if "denied" in (a.status, b.status) else kept.status
            out[earlier] = replace(
                kept, start=min(a.start, b.start), end=max(a.end, b.end), attrs=attrs, status=status, anchor=kept.at
            )
            continue
        out.append(claim)
    return out


def _same(reading: Reading, a: Candidate, b: Candidate) -> bool:
    if not 0 <= b.at - a.end <= _BREATH or reading.paused(a.end, b.at + 1):
        return False
    if b.term is None or (a.quantity is not None and b.quantity is not None):
        return False
    if "change" in b.attrs and (reading.border[b.start] >= PAUSE or b.at - a.end > _BREATH // 2):
        return False
    return not (a.status != b.status and a.status == "denied")


def _named(reading: Reading, claimed: set[int]) -> Iterator[Candidate]:
    named = list(reading.mentions("defect"))
    for n, mention in enumerate(named):
        i, j, item = mention.start, mention.end, mention.term.item
        if _idle(reading, mention):
            continue
        floor = named[n - 1].end if n else 0
        ceiling = named[n + 1].start if n + 1 < len(named) else reading.n
        size = defect_size.beside(reading, i, j, floor, ceiling, claimed)
        status = _status(reading, mention)
        attrs: dict[str, object] = {}
        change = defect_change.beside(reading, i, j, ceiling, item)
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
                defect_size.unit(reading, size),
                size.approx,
                "done",
                quantity=size.start,
                anchor=size.start,
                score=0.94 if defect_size.alone(reading, size) else 0.85,
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
            defect_size.unit(reading, size) if size else None,
            bool(size and size.approx),
            status,
            attrs=attrs,
            score=0.93,
            quantity=size.start if size else None,
            anchor=i,
            term=mention.term,
        )
        yield from defect_size.said_again(reading, mention, item, size, j, ceiling, claimed)
        yield from _none_elsewhere(reading, mention, item, ceiling)


def _idle(reading: Reading, mention: Mention) -> bool:
    """Where the words promise, joke or speak of the defect in general."""
    after = reading.after(mention.end, 2)
    before = reading.before(mention.start, 3)
    seen_later = before[-3:-1] in (["look", "at"], ["check", "on"], ["checking", "on"], ["back", "to"])
    if seen_later and reading.statuses.at(mention.start, mention.end) == "planned":
        return True
    if _LATER.search(" ".join(reading.before(mention.start, 12))) or _other_sense(reading, mention):
        return True
    return (
        after[:1] in (["free"], ["repair"], ["filler"], ["resistant"], ["prone"])
        or before[-2:] in (["prevent", "the"], ["avoid", "a"], ["avoid", "any"])
        or before[-1:] == ["prevent"]
        or before[-2:] in (["out", "for"], ["prone", "to"], ["look", "for"])
        or before[-1:] == ["avoid"]
    )


def _none_elsewhere(reading: Reading, mention: Mention, item: str, ceiling: int) -> Iterator[Candidate]:
    """ "a little tear-out on the maple, and none on the walnut": denied for the rest."""
    for k in range(mention.end, min(mention.end + 14, ceiling, reading.n)):
        if reading.border[k] >= PAUSE:
            break
        if reading.text[k] == "none" and reading.next(k + 1) in ("on", "at", "in", "near", "along"):
            yield Candidate("defect", k, k + 2, item, status="denied", score=0.85)


def _other_sense(reading: Reading, mention: Mention) -> bool:
    """ "Scratch that", "open just a crack", "oil stains on the page": the word is no defect here."""
    i, before = mention.start, reading.before(mention.start, 4)
    word = reading.text[i]
    if _LIKENED.search(" ".join(reading.before(i, 6))):
        return True
    if word == "scratch" and before[-1:] == ["to"]:
        return True
    if word == "scratch":
        return reading.next(mention.end) == "that" and before[-1:] != ["a"]
    if word == "crack":
        if reading.next(mention.end) == "at" and reading.word(mention.end + 1) in _PERSONS:
            return True  # "having a crack at it"
        return before[-1:] == ["a"] and any(w in ("open", "opened", "ajar") for w in before[:-1])
    if word in ("stain", "stains"):
        return before[-1:] in (["oil"], ["coffee"], ["tea"], ["wine"], ["grease"])
    if word in ("woodworm", "sponge"):
        return before[-2:] in (
            ["on", "the"],
            ["onto", "the"],
            ["with", "a"],
            ["the", "wet"],
            ["a", "wet"],
            ["a", "damp"],
        )
    return False


def _status(reading: Reading, mention: Mention) -> Status | None:
    i, j = mention.start, mention.end
    before, after = reading.before(i, 6), reading.after(j, 6)
    last = before[-1:] or [""]
    if last[0] in ("no", "zero", "without", "nothing", "nothing's", "none", "none's", "neither") or before[-2:] in (
        ["no", "more"],
        ["no", "new"],
        ["not", "a"],
        ["isn't", "a"],
        ["no", "visible"],
        ["no", "big"],
        ["without", "any"],
        ["no", "real"],
        ["not", "one"],
    ):
        return "denied"
    if _UNFOUND.search(" ".join(before)):
        return "denied"
    if any(w in wordset("want hope worried afraid risk chance avoid") for w in before[-4:]) or before[-2:] in (
        ["case", "of"],
    ):
        return "hypothetical" if reading.statuses.at(i, j) in ("done", "planned") else None
    if mention.term.needs == "described" and reading.text[i] in _NOT_SO:
        return "done" if reading.statuses.at(i, j) == "denied" else None  # "it won't sit flat"
    if after[:2] == ["if", "i"]:
        return "hypothetical"
    if _answered_no(reading, mention) or _only_thought(reading, mention):
        return "denied"
    if reading.statuses.at(i, j) == "planned" and not _to_come(reading, mention):
        return "done"  # what is to be treated is there already
    return None


def _answered_no(reading: Reading, mention: Mention) -> bool:
    """ "Any cracks in it? No.", "worm holes? Nope, not a one": asked, and answered right after."""
    low, _ = reading.clauses.sentence(mention.start)
    head = " ".join(reading.text[max(low, mention.start - 5) : mention.start])
    asked = not head or _ASKS.search(head) is not None
    for k in range(mention.end, min(mention.end + 7, reading.n)):
        told = " ".join(reading.text[k : k + 4])
        if reading.border[k] >= PAUSE:
            return (asked or reading.stream.words[reading.stream.word[k - 1]].text.strip().endswith("?")) and bool(
                _ANSWERS.match(told)
            )
        if head and asked and _ANSWERS.match(told):
            return True
    return False


def _only_thought(reading: Reading, mention: Mention) -> bool:
    """ "I thought that was a crack, but it's pencil"."""
    if not _THOUGHT.search(" ".join(reading.before(mention.start, 8))):
        return False
    return _TURNS.search(" ".join(reading.words(mention.end, mention.end + 12))) is not None


def _to_come(reading: Reading, mention: Mention) -> bool:
    """ "it'll warp", "it's going to check": the defect itself is what is expected."""
    return any(
        w in wordset("it'll it they'll that'll will wood gonna ends") for w in reading.before(mention.start, 2)
    ) or (
        reading.previous(mention.start) == "to"
        and mention.term.item in ("warp", "crack")
        and mention.term.needs in ("verb", "moved", "")
    )
