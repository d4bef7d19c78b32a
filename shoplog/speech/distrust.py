"""What of the written words is not to be believed: dropped, or kept as doubtful, each with its reason.

The recogniser's own safety nets do not run in batched decoding, so these come after it. Figures of "real" and
"invented" segments are of the base model, synthetic and human voices, in lathe noise at 20 to 0 dB.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Sequence
from dataclasses import dataclass

from shoplog.transcript import Trust, Word


@dataclass(frozen=True, slots=True)
class Distrust:
    """The bounds of distrust, with what chose each."""

    #: Mean probability of a remark's words under which it is dropped. With the two rules on text it caught 63 of 66
    #: segments invented in noise and none of 270 real ones.
    dropped_below: float = 0.4
    #: Text that compresses more than this is a loop; Whisper's own bound.
    compression: float = 2.4
    #: A word or phrase said this often in a row is a loop: lists of numbers and "no, no, no" stay below.
    repeats: int = 5
    #: Mean probability of the words of a stock phrase under which it counts as invented: such phrases are what the
    #: recogniser writes into sound without words, but people do thank each other.
    stock_below: float = 0.75
    #: Highest voice probability under a remark's words; below it nobody spoke.
    voice: float = 0.5
    #: Mean probability under which a remark is doubtful. Of single words under 0.5, 37 % of the wrong ones and 5 % of
    #: the right ones are caught; the mean of a remark is steadier.
    doubtful_below: float = 0.6
    #: Voice over floor in dB under which every remark is doubtful: at 0 dB fewer than half of the numbers were right.
    doubtful_ratio: float = 3.0


@dataclass(frozen=True, slots=True)
class Judgement:
    """Whether a remark can be used, and why not."""

    trust: Trust = "ok"
    reason: str | None = None


#: Whole remarks that recognisers write where nothing was said.
STOCK = frozenset({
    "thank you", "thanks", "thank you very much", "thank you so much", "thanks for watching",
    "thank you for watching", "thanks for listening", "please subscribe", "like and subscribe",
    "dont forget to subscribe", "subscribe to my channel", "see you next time", "see you in the next video",
    "bye", "bye bye", "you", "oh", "okay", "so", "the end", "subtitles by", "i dont know", "music", "applause",
    "ill see you next time", "we ll be right back", "well be right back", "good night", "silence",
})  # fmt: skip


def loops(words: Sequence[Word], repeats: int) -> list[bool]:
    """For each word whether it belongs to a phrase said over and over, from the second time on."""
    plain = [_plain(w.text) for w in words]
    marked = [False] * len(words)
    for size in range(1, 13):
        at = 0
        while at + size * repeats <= len(plain):
            phrase = plain[at : at + size]
            end = at + size
            while plain[end : end + size] == phrase:
                end += size
            if (end - at) // size >= repeats and any(phrase):
                marked[at + size : end] = [True] * (end - at - size)
                at = end
            else:
                at += 1
    return marked


def judge(words: Sequence[Word], looped: bool, voice: float, ratio: float | None, bounds: Distrust) -> Judgement:
    """Judge one remark by its words and its sound.

    ``voice`` is the highest voice probability under it, ``ratio`` that of voice to floor in dB (None: no machine ran).
    """
    text = " ".join(w.text for w in words)
    plain = _plain(text)
    known = [w.probability for w in words if w.probability is not None]
    mean = sum(known) / len(known) if known else 1.0
    reasons = (
        (looped, "the same words over and over"),
        (not plain, "no words in it"),
        (compression(text) > bounds.compression, "the same words over and over"),
        (mean < bounds.dropped_below, "the recogniser itself doubts it"),
        (voice < bounds.voice, "no voice under it"),
        (plain in STOCK and mean < bounds.stock_below, "a phrase that recognisers invent"),
    )
    for holds, reason in reasons:
        if holds:
            return Judgement("dropped", reason)
    if mean < bounds.doubtful_below:
        return Judgement("doubtful", "the words are unsure")
    if ratio is not None and ratio < bounds.doubtful_ratio:
        return Judgement("doubtful", "the machine is as loud as the voice")
    return Judgement()


def compression(text: str) -> float:
    """How much the text repeats itself: its length over its compressed length."""
    data = text.encode()
    return len(data) / len(zlib.compress(data)) if data else 0.0


def _plain(text: str) -> str:
    """Lower case letters and digits, single spaces."""
    return re.sub(r"\s+", " ", re.sub(r"[^\w\s]|_", "", text.lower())).strip()
