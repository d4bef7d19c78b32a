"""``followup``: what the speaker promises to look at again, and when."""

from __future__ import annotations

from collections.abc import Iterator

from shoplog.extract.lexicon import plain
from shoplog.extract.quantities import TIME
from shoplog.extract.reading import Candidate, Reading
from shoplog.extract.stream import COMMA
from shoplog.extract.wordset import wordset

_LOOK = wordset(
    "check checking look looking see measure weigh reweigh recheck test remeasure inspect revisit watch report put "
    "squiz peek gander try run meter scales straightedge"
)
_WILL = wordset(
    "i'll we'll will shall gonna going promised promise i'd plan want ask asked told let need must remind i'm we're"
)
_AGAIN = wordset("again back once recheck reweigh remeasure another")
#: What is looked at, by a word of the remark.
_ITEMS = {
    word: item
    for item, words in (
        ("warp", "movement move moved moving warp warped warping oval bent bend bow crooked straightedge flat"),
        ("moisture", "meter moisture"),
        ("weight", "weigh reweigh weight scales scale"),
        ("crack", "crack cracks cracked check-crack checks split splits opened"),
        ("humidity", "humidity"),
        ("bark inclusion", "inclusion bark"),
        ("knot", "knot knots"),
        ("ring shake", "shake"),
        ("stain", "grey gray stain"),
        ("sanding scratches", "scratches"),
        ("glue joint", "joint joints"),
        ("glue line", "glueline"),
    )
    for word in words.split()
}
_DUE_WORDS = wordset(
    "week month spring summer autumn fall winter january february march april may june july august september "
    "october november december christmas easter thanksgiving year weekend monday tuesday wednesday thursday "
    "friday saturday sunday tomorrow midsummer diwali lent halloween eid ramadan hanukkah harvest shearing fortnight"
)
#: Days of two words, by their last.
_DAYS = {
    "day": wordset("labor labour valentine's boxing memorial mother's father's canada new"),
    "saints": wordset("all"),
}
_LEADS = wordset("in by after until on come this the full one at around round about for before next")
_PARTS_OF = wordset("end middle start beginning first second third fourth fifth last week weekend weekends night")


_SPANS = wordset("day days week weeks month months fortnight year years weekend")
_COUNTS = wordset("a couple few of every another")
#: Months that are words of other meanings, due only after a word of time.
_LOOSE = wordset("may march fall week month year weekend spring")
_BEFORE_TIME = wordset("in after every about another the of within for a like say only by")
#: With what a thing is tried: "put a straightedge on it", "run a nail over that join".
_MEANS = wordset("meter scale scales straightedge nail fingernail again calipers over")
_AFTER_ITEM = wordset(
    "in again after once at when whether to and every if back before how come is are has have look turn turns "
    "comes on with over still for by between from around about next i he she it when"
)
_BEFORE_ITEM = wordset(
    "the a at it how for on of my those this that see look what whether if back again in once more these other "
    "two take up first them him her over an another like and to is i good wee has have out about put run try "
    "check then there nail fingernail"
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
        first = max(reading.clauses.sentence(i)[0], i - 18)
        if not any(w in _WILL for w in before) and not (
            before[-1:] in (["i"], ["we"]) and _due(reading, first, i)[0] is not None
        ):
            continue
        if word in ("put", "try", "run") and not any(w in _MEANS for w in window):
            continue
        if word == "see" and (
            before[-1:] == ["you"]
            or (window[1:2] in (["you"], ["what"]) and "in" not in window[:8])
            or "you" in before[-2:]
        ):
            continue
        if word == "see" and ("you'll" in before[-1:] or any(w in ("never", "nobody", "nobody's") for w in before)):
            continue
        if word == "see" and reading.text[i + 1 : i + 3] == ["it", "when"]:
            continue
        if word == "watch" and window[1:2] != ["it"] and window[1:3] != ["for", "it"]:
            continue
        due, due_start, due_end = _due(reading, i, high)
        if due is None:
            # "In January I'll see if the lid still turns": the due time may come first.
            due, due_start, _ = _due(reading, first, i)
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
            score=0.98 if due else 0.7,
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
        start, end = quantity.start, quantity.end
        previous = reading.previous(start)
        if quantity.unit in TIME and quantity.unit not in ("s", "min", "h") and previous in _BEFORE_TIME:
            words = reading.text[start:end]
            if previous in ("every", "another"):
                words = [previous, *words]
            extra = reading.text[end : end + 2]
            if extra in (["or", "so"], ["or", "two"]):
                return " ".join((*words, *extra)), start, end + 2
            return " ".join(words), start, end
    for k in range(i, high):
        if reading.text[k] in _SPANS and reading.previous(k) in _COUNTS:
            low = k - 1
            while low > i and reading.text[low - 1] in _COUNTS:
                low -= 1
            return " ".join(reading.text[low : k + 1]), None, k + 1
        word = reading.text[k]
        named = word in _DUE_WORDS or (word in _DAYS and reading.previous(k) in _DAYS[word])
        if named and (k == i or reading.word(k - 1) in _LEADS | _PARTS_OF | {"of", "new"} or word not in _LOOSE):
            low = k - 1 if word in _DAYS or reading.previous(k) in ("new", "next", "full") else k
            while low > i and reading.text[low - 1] in _PARTS_OF | {"the", "of", "in", "one", "new", "full"}:
                low -= 1
            while low < k and reading.text[low] in ("in", "of"):
                low += 1
            end = k + 2 if reading.next(k + 1) in ("night", "morning", "evening") else k + 1
            if reading.next(end) in ("of", "in") and reading.word(end + 1) in _DUE_WORDS:
                end += 2
            if reading.previous(low) in ("after", "next") and reading.text[low] != "next":
                low -= 1
            number = next((q.start for q in reading.numbers(low, end)), None)
            said = [_spelt(reading, t) for t in range(low, end)]
            if said[0].lower() in ("next", "tomorrow", "the", "after"):
                said[0] = said[0].lower()
            return " ".join(said), number, end
    for k in range(i + 1, high):
        if reading.text[k] == "when" and reading.word(k + 1) in wordset("we i they it the school she he"):
            end = k + 1
            while end < high and end - k < 8 and reading.border[end] < COMMA:
                end += 1
            return " ".join(reading.text[k:end]), None, end
    return None, None, high


def _item(reading: Reading, i: int, high: int) -> str:
    window = reading.text[i:high]
    for mention in reading.mentioned(i, high):
        if mention.term.kind == "defect":
            return mention.term.item
    for word in window:
        if plain(word) in _ITEMS:
            return _ITEMS[plain(word)]
    for mention in reading.mentioned(i, high):
        if mention.term.kind == "finish":
            return mention.term.item
    words: list[str] = []
    for k in range(i + 1, high):
        word = plain(reading.text[k])
        if word in _AFTER_ITEM and words:
            break
        if word not in _BEFORE_ITEM:
            if words and word.endswith(("ed", "ing")):
                break
            words.append(word)
            if len(words) == 2 or reading.text[k].endswith("'s"):
                break
    if not words:
        return "piece"
    last = words[-1]
    if len(last) > 3 and last.endswith("s") and not last.endswith("ss"):
        words[-1] = last[:-1]
    return " ".join(words)


def _spelt(reading: Reading, k: int) -> str:
    """A token as it is written: months keep their capital."""
    return reading.stream.words[reading.stream.word[k]].text.strip(".,;:!?\"'()")
