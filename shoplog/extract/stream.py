"""The transcript as one stream of small tokens, each with the word and the moment it came from.

Captions are cut anywhere and mostly without punctuation, so cue borders mean nothing here: a border before a token is
either written (a comma, the end of a sentence) or heard (a pause), and both are only hints.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from shoplog.extract import pauses
from shoplog.extract.number_words import SMALL, TENS
from shoplog.extract.wordset import wordset
from shoplog.transcript import Transcript, Word

#: Strengths of the border before a token.
NONE, COMMA, PAUSE, SENTENCE = 0, 1, 2, 3
#: Silence in seconds from which a border is a pause.
PAUSE_SECONDS = 0.7

_NUMBER = r"\d{1,3}(?:,\d{3})+(?:\.\d+)?|\d+-\d+/\d+|\d+(?:[./:'-]\d+)*|\.\d+"
_TOKEN = re.compile(rf"(?:{_NUMBER})|[^\W\d_]+(?:'[^\W\d_]+)*|[%\"″°$£€½¼¾⅛⅜⅝⅞#&]|'")
_STRONG = re.compile(r"[.!?;…]+[\"')\]]*$")
_WEAK = re.compile(r"(?:[,:]|--?|[–—])[\"')\]]*$")
_SIMPLE = re.compile(r"[a-z]+\Z")
_QUOTES = str.maketrans({"’": "'", "‘": "'", "ʼ": "'", "`": "'", "“": '"', "”": '"', "−": "-", "‐": "-", "‑": "-"})
_ABBREVIATIONS = wordset(
    "in. ft. mm. cm. kg. lb. lbs. oz. min. mins. sec. hr. hrs. approx. mr. mrs. ms. dr. a.m. p.m. r.p.m. u.k. c.a. st."
)
_DOTTED = {"a.m": "am", "p.m": "pm", "r.p.m": "rpm", "c.a": "ca", "p.v.a": "pva", "r.h": "rh", "m.c": "mc"}
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_SPELT = frozenset((*SMALL, *TENS, "hundred", "thousand")) - {"one", "oh", "zero"}
#: "fourteenish", "fiveish", "twelvish".
_ISH = {w.removesuffix("e") + "ish": w for w in _SPELT} | {w + "ish": w for w in _SPELT}
#: A pause after one of these is a breath inside a sentence.
_DANGLING = wordset(
    "a an the at to of with for from by about around roughly maybe nearly almost least it's that's says said "
    "reads and or my i'm i've we're than into between another"
)
#: A pause before one of these is a breath inside a sentence.
_CLINGING = wordset(
    "inch inches mm mil mils millimetre millimetres millimeter millimeters percent % degrees rpm grit hours hour "
    "minutes minute seconds days weeks months years pounds kilos grams ounces across wide thick tall long deep "
    "coats of"
)


@dataclass(frozen=True, slots=True)
class Stream:
    """Parallel lists over the tokens: ``text`` (lower case), ``word`` (index into ``words``), ``border`` (strength of
    the border before it) and ``upper`` (written with a capital that is not a sentence's first).
    """

    text: list[str]
    word: list[int]
    border: list[int]
    upper: list[bool]
    words: Sequence[Word]
    repaired: dict[int, tuple[str, str]] = field(default_factory=dict)

    def __len__(self) -> int:
        return len(self.text)

    def quote(self, start: int, end: int) -> str:
        """The words as transcribed that hold the tokens ``start`` to ``end`` (exclusive)."""
        return " ".join(w.text.strip() for w in self.words[self.word[start] : self.word[end - 1] + 1])


def pieces(text: str) -> list[str]:
    """One written word as tokens: "half-inch" is two, "12mm" is two, "3-8ths" is two, "5/8" is one."""
    text = text.translate(_QUOTES)
    for sign, plain in _VULGAR.items():
        if sign in text:
            text = text.replace(sign, " " + plain + " ")
    low = text.lower()
    bare = low.strip(".,;:!?")
    if bare in _DOTTED:
        return [_DOTTED[bare]]
    found = [piece.strip("'") or piece for piece in _TOKEN.findall(low)]
    if found and found[-1] in _ISH:
        found[-1:] = [_ISH[found[-1]], "ish"]
    elif found and found[-1].endswith("'s") and found[-1][:-2] in _SPELT:
        found[-1:] = [found[-1][:-2], "is"]  # "nine hundred's plenty"
    return found


def _border(before: str) -> int:
    """The border that the written end of the word ``before`` makes."""
    if before[-1:].isalnum():
        return NONE
    if before.lower() in _ABBREVIATIONS:
        return NONE
    if _STRONG.search(before):
        return SENTENCE
    return COMMA if _WEAK.search(before) else NONE


def build(transcript: Transcript, vocabulary: Sequence[tuple[str, str]] = ()) -> Stream:
    """The kept words of a transcript as tokens; ``vocabulary`` holds (heard, meant) pairs, put right first."""
    cues = transcript.kept.cues
    breaths = pauses.inside(cues)
    words: list[Word] = []
    rests: set[int] = set()
    for number, cue in enumerate(cues):
        rests.update(len(words) + k for k in breaths.get(number, ()))
        words.extend(cue.timed_words())
    texts: list[str] = []
    owners: list[int] = []
    borders: list[int] = []
    uppers: list[bool] = []
    border, last_end, last_token = SENTENCE, 0.0, ""
    for index, word in enumerate(words):
        written = word.text.strip()
        if not written:
            continue
        if border < PAUSE and (word.start - last_end >= PAUSE_SECONDS or index in rests):
            border = PAUSE
        low = written.lower()
        parts = [written] if _SIMPLE.match(written) and not written.endswith("ish") else pieces(written)
        if not parts:
            # A dash or a lone sign stands between words: it is a border and no token.
            border = max(border, _border(written) or (COMMA if written in "-–—" else NONE))
            last_end = word.end
            continue
        if border == PAUSE and (last_token in _DANGLING or parts[0] in _CLINGING):
            border = NONE
        capital = written[:1].isupper() and border < SENTENCE and low not in ("i", "i'm", "i've", "i'll", "i'd")
        for n, piece in enumerate(parts):
            texts.append(piece)
            owners.append(index)
            borders.append(border if n == 0 else NONE)
            uppers.append(capital)
        last_token, last_end = parts[-1], word.end
        border = NONE if written[-1].isalnum() else _border(written)
    stream = Stream(texts, owners, borders, uppers, words)
    return _put_right(stream, vocabulary) if vocabulary else stream


def _put_right(stream: Stream, vocabulary: Sequence[tuple[str, str]]) -> Stream:
    """The stream with the maker's own corrections applied, longest first; what was heard stays in ``repaired``."""
    rules: dict[str, list[tuple[list[str], list[str]]]] = {}
    for heard, meant in vocabulary:
        old, new = ([p for w in side.split() for p in pieces(w)] for side in (heard, meant))
        if old and new and old != new:
            rules.setdefault(old[0], []).append((old, new))
    for options in rules.values():
        options.sort(key=lambda rule: -len(rule[0]))
    out = Stream([], [], [], [], stream.words)
    i, n = 0, len(stream)
    while i < n:
        for old, new in rules.get(stream.text[i], ()):
            if stream.text[i : i + len(old)] == old:
                for k, piece in enumerate(new):
                    out.repaired[len(out.text)] = (" ".join(old), " ".join(new))
                    out.text.append(piece)
                    # The new tokens share the old ones' words, the last one the last word.
                    at = i + min(k, len(old) - 1) if k < len(new) - 1 else i + len(old) - 1
                    out.word.append(stream.word[at])
                    out.border.append(stream.border[i] if k == 0 else NONE)
                    out.upper.append(stream.upper[i])
                i += len(old)
                break
        else:
            out.text.append(stream.text[i])
            out.word.append(stream.word[i])
            out.border.append(stream.border[i])
            out.upper.append(stream.upper[i])
            i += 1
    return out
