"""``adhesive``: glues, accelerator, tape; the grade of a CA glue."""

from __future__ import annotations

from collections.abc import Iterator

from shoplog.extract.reading import Candidate, Reading
from shoplog.extract.senses_gear import ahead, given
from shoplog.extract.wordset import wordset
from shoplog.facts import Status

_GRADES = {
    "thin": "thin",
    "medium": "medium",
    "thick": "thick",
    "gel": "thick",
    "runny": "thin",
    "thins": "thin",
    "thinn": "thin",
    "sick": "thick",
    "fin": "thin",
    "median": "medium",
}


def candidates(reading: Reading) -> Iterator[Candidate]:
    """Each named glue, but not where it is part of a finish."""
    for mention in reading.mentions("adhesive"):
        i, j, item = mention.start, mention.end, mention.term.item
        after = reading.next(j)
        if item == "epoxy" and after in wordset("finish coat top topcoat table river pour coating"):
            continue
        if reading.text[i:j] == ["ca"] and _is_finish(reading, i, j):
            continue
        attrs = {}
        if item == "CA glue":
            said = [_GRADES[w] for w in (*reading.text[i:j], *reading.before(i, 1)) if w in _GRADES]
            if said:
                attrs["grade"] = said[0]
        coming = reading.statuses.at(i, j) == "done" and (ahead(reading, mention.end) or given(reading, i))
        status: Status | None = "planned" if coming else None
        yield Candidate("adhesive", i, j, item, attrs=attrs, status=status, term=mention.term)


def _is_finish(reading: Reading, i: int, j: int) -> bool:
    """ "the finish is CA", "eight coats of CA"."""
    before = reading.before(i, 8)
    return any(w in ("finish", "coats") for w in before) or reading.after(j, 4)[:1] == ["finish"]


def finish_mentions(reading: Reading) -> Iterator[tuple[int, int]]:
    """Where CA is named as a finish."""
    for mention in reading.mentions("adhesive"):
        if reading.text[mention.start : mention.end] == ["ca"] and _is_finish(reading, mention.start, mention.end):
            yield mention.start, mention.end
