"""Promises to viewers that are no look at the piece: to show, to tell, to leave a link."""

from __future__ import annotations

import re
from typing import Literal

from shoplog.log import KeptFact, Project, Take
from shoplog.publish.stated import own_takes, spoken
from shoplog.times import stamp
from shoplog.transcript import Cue

_I_WILL = r"\bi(?:'ll| will| shall|'m going to|'m gonna) (?:also )?"
WHEN = re.compile(
    r"\b(?:tomorrow|next (?:week|month|year)|in (?:a|an|one|two|three|four|five|six|a couple of|a few|\d+) "
    r"(?:days?|weeks?|months?|years?))\b"
)
#: What is promised is a look, a measure or a word; "I'll sand it tomorrow" is a plan and no promise.
_LOOK = (
    _I_WILL + r"(?:check|weigh|measure|look|see|test|report|update|show|let you know|tell|put (?:it|this|the meter))\b"
)
_TO_VIEWERS = re.compile(
    "|".join(
        (
            _I_WILL + r"(?:put|leave|post|drop|add|stick|share|upload) (?:\w+ ){0,6}(?:links?|drawing|plans?|list|"
            r"dimensions|measurements|template|photos?|pictures?|recipe|details|description|comments)\b",
            _I_WILL + r"(?:show|tell|explain to|answer|demonstrate)(?: you)?\b.{0,60}\b(?:later|at the end|next time|"
            r"next week|next video|in the next|another day|when it'?s|once it'?s|in a (?:bit|minute|moment|while)|"
            r"before (?:we|i) finish)\b",
            r"\b(?:next time|in the next (?:video|one)|next video),? (?:i'll|i will|we'll|we will|i'm going to)\b",
            r"\bi (?:still )?owe you\b|\bremind me to (?:show|tell|weigh|measure|check|put)\b",
            _LOOK
            + r".{0,60}?\b(?:tomorrow|next (?:week|month|year)|later (?:on|this week)|in (?:a|an|one|two|three|four|"
            r"five|six|a couple of|a few|\d+) (?:days?|weeks?|months?|years?))\b",
            r"\bi(?:'ll| will) (?:come|get) back to (?:that|this|it)\b",
            r"\bi promise(?:d)?(?: you| that)? (?:i'll|i'd|i will|you)\b|\bi promised you\b",
        )
    )
)
_COMMON = frozenset(
    "this that with from have what when will would could just them they then there their your about into "
    "over going gonna show tell explain answer later next time video minute moment while once finish "
    "promise promised come back again after i'll i'm it's that's and the for you how why where which some "
    "been were was let's here end put leave post share link".split()
)


def content(text: str) -> list[str]:
    """The words that say what it is about."""
    return [
        w
        for w in re.findall(r"[^\W\d_]+(?:'[^\W\d_]+)?", text.lower().replace("’", "'"))
        if len(w) > 2 and w not in _COMMON
    ]


def to_viewers(project: Project, facts: tuple[KeptFact, ...]) -> list[tuple[Take, Cue]]:
    """Remarks that promise viewers something and are not promises to look again already."""
    return [
        (take, cue)
        for take, cue in spoken(project)
        if _TO_VIEWERS.search(cue.text.lower().replace("’", "'"))
        and not any(
            k.recording_id == take.recording.id and k.fact.start < cue.end and k.fact.end > cue.start for k in facts
        )
    ]


def shown_later(project: Project, take: Take, promise: Cue) -> tuple[Literal["open", "perhaps"], str]:
    """A later remark about the same things may be what was promised: for the maker to hear."""
    words = {w[:6] for w in content(promise.text)}
    order = {t.recording.id: n for n, t in enumerate(own_takes(project))}
    for other, cue in spoken(project):
        after = (order[other.recording.id], cue.start) > (order[take.recording.id], promise.start)
        shared = words & {w[:6] for w in content(cue.text)}
        if after and len(shared) >= 2:
            return "perhaps", f"“{cue.text}” at {stamp(cue.start)}"
    return "open", ""
