"""The words of a recording as they should be written: corrections carried over, trade words and fractions put right.

Only words that a statement or the maker's own list speaks for are changed; everything else stays as it was heard.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from fractions import Fraction

from shoplog.facts import Fact
from shoplog.log import KeptFact, Take
from shoplog.transcript import Word
from shoplog.wording import number

#: Words count as those of a statement this far outside its times, seconds.
NEAR = 0.5
#: A change of the text: words heard, words meant, within these seconds.
Change = tuple[float, float, str, str]


def written(take: Take, vocabulary: Sequence[tuple[str, str]] = ()) -> tuple[Word, ...]:
    """The kept words of a take as they should be written, each with its time."""
    words = [w for cue in take.cues if cue.trust != "dropped" for w in cue.timed_words()]
    length = words[-1].end if words else 0.0
    changes = [(0.0, length, heard, meant) for heard, meant in vocabulary]
    for kept in take.facts:
        changes += changes_of(kept)
    for change in changes:
        words = _changed(words, change)
    return tuple(words)


def changes_of(kept: KeptFact) -> list[Change]:
    """What a statement says about how its words are written."""
    fact, heard = kept.fact, kept.heard
    changes: list[Change] = []
    if heard is not None:
        if heard.quote and fact.quote and heard.quote != fact.quote:
            return [(heard.start, heard.end, heard.quote, fact.quote)]
        if heard.item and fact.item and heard.item != fact.item:
            words = _heard_as(heard, heard.item)
            changes.append((heard.start, heard.end, words, fact.item))
        changes += _numbers(heard, fact)
    if not kept.doubtful:
        for repair in fact.attrs.get("repaired") or ():
            if isinstance(repair, Mapping) and repair.get("heard") and repair.get("meant"):
                changes.append((fact.start, fact.end, str(repair["heard"]), str(repair["meant"])))
        changes += _proper_numbers(fact)
    return changes


def _heard_as(heard: Fact, item: str) -> str:
    """The words of the transcript behind an item: what it was repaired from, else the item itself."""
    for repair in heard.attrs.get("repaired") or ():
        if isinstance(repair, Mapping) and repair.get("meant") == item:
            return str(repair.get("heard"))
    return item


def _numbers(heard: Fact, fact: Fact) -> list[Change]:
    """A corrected number, where the heard one stands in figures in the words."""
    changes = []
    for old, new in ((heard.value, fact.value), (heard.low, fact.low), (heard.high, fact.high)):
        if old is not None and new is not None and old != new:
            for text in dict.fromkeys(
                (number(old, heard.unit), number(old), f"{old:,.0f}" if old == int(old) else number(old))
            ):
                changes.append((heard.start, heard.end, text, number(new, fact.unit)))
    return changes


def _proper_numbers(fact: Fact) -> list[Change]:
    """``5-8 inch`` is 5/8 inch where the statement says 0.625; ``2 20`` grit is 220."""
    changes = []
    for value in (fact.value, fact.low, fact.high):
        if value is None:
            continue
        if fact.unit == "in" and value != int(value):
            parts = Fraction(value).limit_denominator(64)
            whole, rest = divmod(parts.numerator, parts.denominator)
            if rest:
                lead = f"{whole} " if whole else ""
                proper = f"{lead}{rest}/{parts.denominator}"
                for join in ("-", " ", " by ", "–", " / "):
                    for glue in {lead, lead.replace(" ", " and "), lead.replace(" ", "-")}:
                        changes.append((fact.start, fact.end, f"{glue}{rest}{join}{parts.denominator}", proper))
        elif fact.unit in ("grit", "rpm") and value == int(value) and 100 <= value < 10000:
            figures = str(int(value))
            changes.append((fact.start, fact.end, f"{figures[:-2]} {figures[-2:]}", figures))
    return changes


def _bare(text: str) -> str:
    return text.lower().strip('.,;:!?"“”()').replace("’", "'")


def _changed(words: list[Word], change: Change) -> list[Word]:
    """The words with every occurrence of the heard ones within the seconds of the change replaced.

    Case and punctuation around them stay; the new words share the time of the old.
    """
    start, end, heard, meant = change
    old, new = heard.split(), meant.split()
    pattern = [_bare(w) for w in old]
    if not old or not new or pattern == [_bare(w) for w in new]:
        return words
    first = bisect_left(words, start - NEAR, key=lambda w: w.start)
    last = bisect_right(words, end + NEAR, key=lambda w: w.start)
    result: list[Word] = []
    n = first
    while n < last:
        part = words[n : n + len(pattern)]
        if part[-1].end <= end + NEAR and [_bare(w.text) for w in part] == pattern:
            result += _spread(part, new)
            n += len(pattern)
        else:
            result.append(words[n])
            n += 1
    return [*words[:first], *result, *words[n:]]


def _spread(old: Sequence[Word], new: Sequence[str]) -> list[Word]:
    first, last = old[0].text, old[-1].text
    lead = first[: len(first) - len(first.lstrip('"“('))]
    tail = re.search(r"[.,;:!?\"”)]*$", last)
    texts = list(new)
    if first.lstrip('"“(')[:1].isupper() and texts[0][:1].islower():
        texts[0] = texts[0][:1].upper() + texts[0][1:]
    texts[0] = lead + texts[0]
    texts[-1] += tail[0] if tail else ""
    start, end = old[0].start, max(old[-1].end, old[0].start)
    step = (end - start) / len(texts)
    lowest = min((w.probability for w in old if w.probability is not None), default=None)
    return [Word(t, start + n * step, start + (n + 1) * step, lowest) for n, t in enumerate(texts)]
