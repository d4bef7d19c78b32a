"""``followup``: what the speaker promises to look at again, and when."""

from __future__ import annotations

from collections.abc import Iterator

from shoplog.extract.quantities import TIME
from shoplog.extract.reading import Candidate, Reading
from shoplog.extract.wordset import wordset

_LOOK = wordset(
    "check look see measure weigh reweigh recheck test remeasure inspect revisit watch report put squiz peek gander"
)
_WILL = wordset("i'll we'll will gonna going promised promise i'd plan want ask asked told let need must remind")
_AGAIN = wordset("again back once recheck reweigh remeasure")
_ITEMS = {
    "movement": "warp",
    "move": "warp",
    "moved": "warp",
    "warp": "warp",
    "warped": "warp",
    "oval": "warp",
    "meter": "moisture",
    "moisture": "moisture",
    "weigh": "weight",
    "reweigh": "weight",
    "weight": "weight",
    "crack": "crack",
    "cracks": "crack",
    "check-crack": "crack",
    "humidity": "humidity",
    "checks": "crack",
    "inclusion": "bark inclusion",
    "knot": "knot",
}
_DUE_WORDS = wordset(
    "week month spring summer autumn fall winter january february march april may june july august september "
    "october november december christmas easter thanksgiving year weekend monday tuesday wednesday thursday "
    "friday saturday sunday"
)


def candidates(reading: Reading) -> Iterator[Candidate]:
    """A promise to look, with its due time; the time is spoken for, so that it is no duration too."""
    last = -1000
    for i, word in enumerate(reading.text):
        if word not in _LOOK or i - last < 12:
            continue
        low, _ = reading.clauses.clause(i)
        low = max(low, i - 10)
        high = _end(reading, i)
        before = reading.text[low:i]
        window = reading.text[i:high]
        if not any(w in _WILL for w in before):
            continue
        if word == "put" and not ("meter" in window or "scale" in window):
            continue
        if word == "see" and (
            before[-1:] == ["you"]
            or (window[1:2] in (["you"], ["what"]) and "in" not in window[:8])
            or "you" in before[-2:]
        ):
            continue
        if word == "watch" and window[1:2] != ["it"] and window[1:3] != ["for", "it"]:
            continue
        due, due_start, due_end = _due(reading, i, high)
        if due is None:
            # "In January I'll see if the lid still turns": the due time may come first.
            first = max(reading.clauses.sentence(i)[0], i - 16)
            due, due_start, _ = _due(reading, first, low) if first < low else (None, None, 0)
        again = any(w in _AGAIN for w in window)
        if due is None and not again:
            continue
        if due is None and (word in ("put", "see", "look") and "again" not in window):
            continue
        attrs = {"due": due} if due else {}
        yield Candidate(
            "followup",
            low,
            max(high, due_end, i + 1),
            _item(reading, i, high),
            status="planned",
            attrs=attrs,
            score=0.98,
            quantity=due_start,
            anchor=i,
        )
        last = i


def _end(reading: Reading, i: int) -> int:
    """The end of the remark: the sentence, or where the next first-person clause opens."""
    stop = min(reading.clauses.sentence(i)[1], i + 24)
    index = reading.clauses.index(i)
    while index + 1 < len(reading.clauses.starts):
        index += 1
        at = reading.clauses.starts[index]
        if at >= stop:
            break
        opener = reading.text[at] if reading.text[at] != "and" else reading.word(at + 1)
        if opener in wordset("because so but i'm i've that's it's thanks i'll until"):
            return at
    return stop


def _due(reading: Reading, i: int, high: int) -> tuple[str | None, int | None, int]:
    """(words, token of the number, end) of when it is due."""
    for quantity in reading.numbers(i, high):
        if quantity.unit in TIME and reading.previous(quantity.start) in wordset(
            "in after every about another the of within for a"
        ):
            start = quantity.start
            words = reading.text[start : quantity.end]
            if reading.previous(start) == "every":
                words = ["every", *words]
            extra = reading.text[quantity.end : quantity.end + 1]
            if extra == ["or"] and reading.text[quantity.end + 1 : quantity.end + 2] in (["so"], ["two"]):
                return " ".join((*words, *reading.text[quantity.end : quantity.end + 2])), start, quantity.end + 2
            return " ".join(words), start, quantity.end
    for k in range(i, high):
        word = reading.text[k]
        if word in _DUE_WORDS:
            before = reading.text[max(i, k - 4) : k]
            if before[-1:] == ["next"]:
                return f"next {word}", k, k + 1
            if before[-3:] == ["the", "end", "of"]:
                return f"the end of {_spelt(reading, k)}", k, k + 1
            if before[-1:] in (
                ["in"],
                ["by"],
                ["after"],
                ["until"],
                ["on"],
                ["come"],
                ["this"],
                ["the"],
                ["full"],
                ["one"],
            ):
                kept = wordset("the full one come after")
                words = [w for w in reading.text[max(i, k - 2) : k] if w in kept]
                words.append(_spelt(reading, k))
                return " ".join(words), k, k + 1
    return None, None, high


def _item(reading: Reading, i: int, high: int) -> str:
    window = reading.text[i:high]
    for word in window:
        if word in _ITEMS:
            return _ITEMS[word]
    for mention in reading.mentioned(i, high):
        if mention.term.kind in ("defect", "finish"):
            return mention.term.item
    words: list[str] = []
    start = 1
    for word in window[start:]:
        if word in wordset("in again after once at when whether to and every if back before how") and words:
            break
        if word not in wordset(
            "the a at it how for on of my those this that see look what whether if back again in once more these "
            "other two take up first"
        ):
            words.append(word)
        if len(words) == 2:
            break
    return " ".join(words) or "piece"


def _spelt(reading: Reading, k: int) -> str:
    """A token as it is written: months keep their capital."""
    return reading.stream.words[reading.stream.word[k]].text.strip(".,;:!?\"'()")
