"""``credit``: who is thanked or named as the source."""

from __future__ import annotations

from collections.abc import Iterator

from shoplog.extract.reading import Candidate, Reading
from shoplog.extract.stream import COMMA, PAUSE
from shoplog.extract.wordset import wordset

_THANKS = (
    "thanks to",
    "thanks go to",
    "thank you to",
    "shout out to",
    "shoutout to",
    "my thanks to",
    "hat to",
    "hats off to",
    "credit to",
    "grateful to",
    "credit goes to",
    "courtesy of",
    "cheers to",
    "ta to",
    "much to",
    "obliged to",
    "indebted to",
    "merci to",
    "thanks again to",
)
#: Words by one of which somebody named close by is thanked.
_THANKFUL = wordset("thank thanks ta cheers bless obliged merci grateful owe shout shoutout thankful")
_TITLES = wordset("mr mister old pastor reverend father brother sister auntie uncle aunt tannie oom")
#: Capitalised, and nobody.
_DAYS = wordset(
    "monday tuesday wednesday thursday friday saturday sunday january february march april may june july august "
    "september october november december christmas easter thanksgiving labor labour day year diwali mum dad "
    "i'll i'd i'm"
)
_GAVE = {
    "gave": "wood",
    "dropped": "wood",
    "mailed": "wood",
    "sent": "wood",
    "brought": "wood",
    "kept": "wood",
    "saved": "wood",
    "showed": "method",
    "taught": "method",
    "lent": "tool",
    "loaned": "tool",
    "drew": "design",
    "designed": "design",
}
_STOP = wordset(
    "who for at in down across from that which and because so on over by behind i you the a my our who's again "
    "when he she it is was with as up of to if but this they we let to's has had said gave dropped showed taught "
    "lent mailed sent brought kept last around near here now told saved drew about out"
)
_NOT_NAMES = wordset(
    "everyone everybody you all y'all folks viewers guys anyone those people the my a our both each him her them "
    "this that somebody someone watching listening for i it he she they we who god your one every wood some "
    "that's it's i'm and so but there nobody another whoever what then"
)
_ROLES = (
    (
        "wood",
        (
            "trunk",
            "log",
            "tree",
            "wood",
            "blank",
            "piece",
            "grain",
            "board",
            "slab",
            "burl",
            "timber",
            "plank",
            "branch",
            "stack",
        ),
    ),
    (
        "tool",
        ("gauge", "file", "loan", "lent", "pump", "lathe", "tool", "gouge", "chuck", "jig", "borrow", "rest", "jaws"),
    ),
    (
        "method",
        (
            "teaching",
            "talked",
            "told",
            "showed",
            "taught",
            "trick",
            "technique",
            "cut",
            "method",
            "way",
            "idea",
            "tip",
            "learned",
            "how",
        ),
    ),
    ("design", ("pattern", "design", "drawing", "shape", "drew", "sketch")),
)


def candidates(reading: Reading) -> Iterator[Candidate]:
    """Thanks to a name, and a named person who gave or taught something."""
    seen: dict[str, int] = {}
    found = sorted([*_all(reading), *_thanked(reading)], key=lambda c: (c.start, -len(str(c.item))))
    for candidate in found:
        name = str(candidate.item)
        if candidate.start - seen.get(name, -1000) > 40:
            seen[name] = candidate.start
            yield candidate


def _all(reading: Reading) -> Iterator[Candidate]:
    text, n = reading.text, reading.n
    for i in range(n):
        if text[i] in ("to", "of"):
            for phrase in _THANKS:
                words = phrase.split()
                said = text[i - len(words) + 1 : i + 1] == words
                if said and phrase == "hat to":
                    said = "off" in reading.before(i, 4) or "my" in reading.before(i, 3)
                if said and all(reading.border[k] < PAUSE for k in range(i - len(words) + 2, i + 1)):
                    name, end = _name(reading, i + 1, thanked=True)
                    if name:
                        yield _credit(reading, i - len(words) + 1, end, name)
                    break
        elif text[i] in _GAVE and reading.next(i + 1) in wordset("me us this it that our you at off"):
            name, start = _name_before(reading, i)
            if name:
                yield _credit(reading, start, i + 2, name, _GAVE[text[i]])
        elif (
            text[i] == "from"
            and i + 1 < n
            and any(w in wordset("got came comes pattern log log's gift bought") for w in reading.before(i, 6))
        ):
            name, end = _name(
                reading,
                i + 1,
                thanked=reading.says(i + 2, "thank you")
                or any(reading.says(k, "thank you") for k in range(i + 2, min(i + 20, n))),
            )
            if name and (" " in name) and any(w in ("thank", "thanks", "who") for w in text[end : end + 14]):
                yield _credit(reading, i, end, name)
        elif text[i] == "named" and reading.previous(i) in wordset("guy fellow man woman lady friend bloke"):
            name, end = _name(reading, i + 1, thanked=True)
            if name and any(w in wordset("let gave thanks thank showed taught me") for w in text[end : end + 8]):
                yield _credit(reading, i, end, name)


def _thanked(reading: Reading) -> Iterator[Candidate]:
    """A full name in a remark of thanks, wherever it stands: "Thank you, Ada Quill", "from Ada Quill, bless her"."""
    words, owner = reading.stream.words, reading.stream.word
    taken = {k for m in reading.terms for k in range(m.start, m.end)}
    thanks = [k for k, w in enumerate(reading.text) if w in _THANKFUL and reading.next(k + 1) != "god"]
    k = 0
    while k < reading.n and thanks:
        end = k
        while (
            end < reading.n
            and end - k < 5
            and (end == k or reading.border[end] < COMMA)
            and words[owner[end]].text[:1].isupper()
            and reading.text[end] not in _NOT_NAMES | _STOP | _THANKFUL | _TITLES | _DAYS
            and end not in taken
        ):
            end += 1
        named = list(dict.fromkeys(owner[k:end]))
        if len(named) >= 2:
            low, high = reading.clauses.sentence(k)
            near = [t for t in thanks if max(low - 14, k - 30) <= t <= min(high + 8, end + 30)]
            if near:
                spelt = list(dict.fromkeys(_spelt(reading, t) for t in range(k, end)))
                yield _credit(reading, k, end, " ".join(spelt))
        k = max(end, k + 1)


def _credit(reading: Reading, start: int, end: int, name: str, role: str | None = None) -> Candidate:
    low, high = reading.clauses.sentence(start)
    first, last = max(low, start - 14), min(high, end + 16)
    window = reading.text[first:last]
    found = "wood" if any(m.term.kind == "species" for m in reading.mentioned(first, last)) else None
    for candidate, words in _ROLES:
        if found is None and any(w in words for w in window):
            found = candidate
    if role in ("method", "tool", "design"):
        found = role
    # What is not said to be else is the wood: most are thanked for that.
    attrs = {"role": found or role or "wood"}
    return Candidate("credit", start, end, name, status="done", attrs=attrs, score=0.85)


def _spelt(reading: Reading, i: int) -> str:
    """A token of a name as written (double names keep their hyphen), or as the maker put it right."""
    if i in reading.stream.repaired:
        return reading.text[i]
    word = reading.stream.words[reading.stream.word[i]].text.strip(".,;:!?\"'()").lower()
    return word[:-2] if word.endswith("'s") else word


def _name(reading: Reading, i: int, thanked: bool) -> tuple[str | None, int]:
    """A name that opens at token ``i``: up to four words, capitals where capitals are written."""
    words: list[str] = []
    cased = any(reading.stream.upper[i : i + 2])
    k = i
    last_word = -1
    while k < reading.n and len(words) < 4 and (k == i or reading.border[k] < COMMA):
        word = reading.text[k]
        if (
            word in wordset("old mr mrs my friend neighbor neighbour buddy mate uncle aunt sister brother cousin")
            and not words
        ):
            k += 1
            continue
        if word in _STOP or word in _NOT_NAMES or not word[0].isalpha():
            break
        if cased and words and not reading.stream.upper[k]:
            break
        if reading.stream.word[k] != last_word:
            words.append(_spelt(reading, k))
            last_word = reading.stream.word[k]
        k += 1
    if not words or (
        (cased and not reading.stream.upper[i] and reading.text[i] not in ("old", "my", "mister")) and not thanked
    ):
        return None, i
    return " ".join(words), k


def _name_before(reading: Reading, i: int) -> tuple[str | None, int]:
    """A capitalised name right before a verb of giving; in captions without capitals nothing is guessed."""
    k = i
    words: list[str] = []
    last_word = -1
    j = i - 1
    if j >= 0 and reading.text[j] == "who":
        j -= 1
    while j >= 0 and i - j <= 5:
        word = reading.text[j]
        sentence_first = reading.border[j] >= PAUSE
        capital = reading.stream.upper[j] or (
            sentence_first and reading.stream.words[reading.stream.word[j]].text[:1].isupper()
        )
        if not capital or word in _NOT_NAMES or word in _STOP:
            break
        if reading.stream.word[j] != last_word and word not in ("old",):
            words.insert(0, _spelt(reading, j))
            last_word = reading.stream.word[j]
        k = j
        if reading.border[j] >= COMMA:
            break
        j -= 1
    if not words and (plain := _uncased_before(reading, i)) is not None:
        return plain
    if len(words) < 2:
        return None, i
    return " ".join(words), k


def _uncased_before(reading: Reading, i: int) -> tuple[str, int] | None:
    """ "my friend tobiah crell taught me": two words that are no common ones between a friend and a verb of giving."""
    if i < 3 or any(reading.border[k] >= COMMA for k in range(i - 1, i + 1)):
        return None
    leads = wordset("friend buddy mate old mister mr mrs teacher neighbor neighbour uncle aunt")
    names = reading.text[i - 2 : i]
    if reading.text[i - 3] not in leads or any(w in _STOP or w in _NOT_NAMES or not w[0].isalpha() for w in names):
        return None
    return " ".join(dict.fromkeys(_spelt(reading, k) for k in (i - 2, i - 1))), i - 2
