"""What the words of a question mean: the trade's own words, those that ask, and those heard or spelled wrong."""

from __future__ import annotations

import tomllib
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources

from rapidfuzz import fuzz, process

from shoplog import trade

#: A word that is no known one is taken for a known one that is at least this much alike (0 to 100, indel ratio).
ALIKE = 86.0
#: Shorter words are alike by chance.
SHORTEST = 4


@dataclass(frozen=True, slots=True)
class Meaning:
    """``role`` is item, kind, dimension, operation, want, superlative, comparative, status or outcome.

    ``kind`` is that of an item.
    """

    role: str
    value: str
    kind: str = ""


@dataclass(frozen=True, slots=True)
class Match:
    """Tokens ``start`` to ``end`` of a question with what they may mean; ``guessed`` from a like word."""

    start: int
    end: int
    meanings: tuple[Meaning, ...]
    guessed: bool = False


def stem(word: str) -> str:
    """The word without a plural's ending, so that both numbers meet; no other form is touched."""
    if word.endswith(("'s", "s'")):
        word = word[:-2]
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    if len(word) > 4 and word.endswith(("shes", "ches", "xes", "sses", "zes")):
        return word[:-2]
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us")) else word


def key(phrase: str) -> tuple[str, ...]:
    """The phrase as it is looked up: lower case, hyphens as spaces, plurals cut."""
    return tuple(stem(w) for w in phrase.lower().replace("-", " ").split())


@cache
def tables() -> dict[str, dict[str, list[str]]]:
    """``words.toml``."""
    return tomllib.loads(resources.files("shoplog.search").joinpath("words.toml").read_text(encoding="utf-8"))


#: "Between centers" is held at both.
_BOTH = {"between": ("drive center", "live center")}


@cache
def phrases() -> dict[tuple[str, ...], tuple[Meaning, ...]]:
    """Every known phrase by its key, with all that it may mean."""
    found: dict[tuple[str, ...], dict[Meaning, None]] = defaultdict(dict)
    ordinary = ignored()
    for term in trade.terms():
        way = key(term.words)
        # One ordinary word heard for another is no evidence in a question that was written, nor is an ordinary word
        # that is a thing of the trade beside others ("cans").
        if (term.misheard and (len(way) == 1 or way in found)) or (len(way) == 1 and way[0] in ordinary):
            continue
        for item in _BOTH.get(term.item, (term.item.lstrip("*"),)):
            found[way][Meaning("item", item, term.kind)] = None
    for group in tables()["same"]["groups"]:
        for name in group:
            if key(name) not in found:
                found[key(name)][Meaning("item", group[0], "species")] = None
    roles = {"kinds": "kind", "dimensions": "dimension", "operations": "operation", "wants": "want",
             "superlatives": "superlative", "statuses": "status", "outcomes": "outcome",
             "comparatives": "comparative"}  # fmt: skip
    for table, role in roles.items():
        for value, words in tables()[table].items():
            for phrase in words:
                found[key(phrase)][Meaning(role, value)] = None
    # In a question "hollow" is what was done; a hollow in the wood is asked for as a void.
    found[("hollow",)].pop(Meaning("item", "void", "defect"), None)
    return {k: tuple(v) for k, v in found.items()}


@cache
def _by_string() -> dict[str, tuple[str, ...]]:
    """Item phrases as strings, for likeness; question words are too ordinary to guess at."""
    return {" ".join(k): k for k, v in phrases().items() if any(m.role in ("item", "kind") for m in v)}


@cache
def ignored() -> frozenset[str]:
    """Words that carry no condition."""
    return frozenset(stem(w) for w in tables()["ignored"]["words"]) | frozenset(tables()["ignored"]["words"])


@cache
def forms() -> frozenset[str]:
    """Words for what was made."""
    return frozenset(stem(w) for phrase in tables()["forms"]["words"] for w in phrase.split())


@cache
def _known() -> frozenset[str]:
    right = (t.words for t in trade.terms() if not t.misheard)
    asking = (p for n, t in tables().items() if n not in ("same", "forms", "ignored") for ps in t.values() for p in ps)
    return frozenset(w for p in (*asking, *right) for w in key(p)) | ignored() | forms()


_LONGEST = 6


def match(tokens: Sequence[str], taken: Sequence[bool]) -> list[Match]:
    """The phrases of a question, longest first at each place, like words where none is known."""
    stems = [stem(t) for t in tokens]
    found: list[Match] = []
    i, table = 0, phrases()
    while i < len(stems):
        for length in range(min(_LONGEST, len(stems) - i), 0, -1):
            if any(taken[i : i + length]):
                continue
            meanings = table.get(tuple(stems[i : i + length]))
            if meanings:
                found.append(Match(i, i + length, meanings))
                i += length
                break
        else:
            guess = None if taken[i] or stems[i] in _known() else _guess(stems, i, taken)
            if guess:
                found.append(guess)
                i = guess.end
            else:
                i += 1
    return found


def _guess(stems: Sequence[str], i: int, taken: Sequence[bool]) -> Match | None:
    """The known phrase that is most like the unknown word at ``i``, with up to two words after it."""
    best: tuple[float, int, tuple[str, ...]] | None = None
    for length in (3, 2, 1):
        words = stems[i : i + length]
        text = " ".join(words)
        if (
            len(words) < length
            or any(taken[i : i + length])
            or len(text) < SHORTEST
            or not text.replace(" ", "").isalpha()
        ):
            continue
        hit = process.extractOne(text, list(_by_string()), scorer=fuzz.ratio, score_cutoff=ALIKE)
        if hit and (best is None or hit[1] > best[0]):
            best = (hit[1], length, _by_string()[hit[0]])
    return Match(i, i + best[1], phrases()[best[2]], guessed=True) if best else None


@cache
def _groups() -> dict[str, frozenset[str]]:
    found: dict[str, set[str]] = defaultdict(set)
    for group in tables()["same"]["groups"]:
        for name in group:
            found[name] |= set(group)
    return {k: frozenset(v) for k, v in found.items()}


def covers(asked: str, item: str | None) -> bool:
    """Whether a stored item answers for the one asked: the same, another name of it, or a sort of it.

    "oak" covers "red oak", "camphor" covers "camphor laurel", "scraper" covers "round-nose scraper"; not the other way
    round.
    """
    if item is None:
        return False
    asked, item = asked.lower(), item.lower()
    if item == asked or item.endswith((f" {asked}", f"-{asked}")) or item.startswith(f"{asked} "):
        return True
    if item in tables()["sorts"].get(asked, ()):
        return True
    names = _groups().get(asked)
    return names is not None and (item in names or bool(_groups().get(item, frozenset()) & names))


#: Ways of saying of more words are not looked for.
_SHORT = 2


@cache
def synonyms(item: str) -> tuple[str, ...]:
    """The ways in which a thing is said, for looking through what was said; the item itself first.

    One that holds another is left out: who looks for "crack" finds "hairline crack". So are long ones, which are rarely
    said in just these words and take the longest to look for.
    """
    ways = sorted({key(item), *(k for k, v in phrases().items() for m in v if m.role == "item" and m.value == item)})
    kept: list[tuple[str, ...]] = []
    for way in sorted(ways, key=len):
        if not any(way[i : i + len(k)] == k for k in kept for i in range(len(way) - len(k) + 1)):
            kept.append(way)
    return tuple(dict.fromkeys((item, *(" ".join(k) for k in kept if len(k) <= _SHORT))))
