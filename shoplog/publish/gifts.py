"""What was received free, lent or paid for by somebody else, found in the words; and whether that was told.

The yardstick is 16 CFR Part 255 (US): a connection that viewers would not expect, such as free material, is to be
disclosed clearly. Laws differ by country; the maker decides.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from shoplog.log import Project, Take
from shoplog.publish.stated import spoken
from shoplog.transcript import Cue

_THING = (
    r"(?:(?:piece|bit|bar|tin|can|bottle|jar|pack|box|set|sheet|roll|load|chunk|slab|few)s? of )?"
    r"(?:\w+[ -]){0,4}?(?:log|wood|blank|timber|board|burl|slab|tree|branch|limb|gouge|chisel|skew|scraper|tool|chuck|jaws|"
    r"lathe|lay|laythe|bandsaw|saw|pump|drill|bit|sander|light|disc|disk|abrasive|paper|sandpaper|grit|finish|oil|wax|"
    r"polish|lacquer|shellac|poly|varnish|sealer|epoxy|resin|glue|dye|stain|mask|respirator|shield|helmet|steady|rig|"
    r"jig|insert|cutter|carbide|kit|sample|tin|can|bottle|block|offcut|faceplate|grinder|wheel|apron|smock|gloves)s?"
)
_GIVING = re.compile(
    rf"\b(?:sent|mailed|posted|shipped|gave|given|handed|lent|loaned|supplied|donated|gifted|provided|sponsored)"
    rf" (?:to )?(?:me|us|this shop|the shop)\b(?! (?:a hand|a look|some advice|advice|the idea|a lift|a hard time|an? idea|"
    rf"the finger|trouble|pause|a note|a letter|a message|an email|a card|a comment|a picture|a photo|a link))"
    rf"|\b(?:dropped|left)\b.{{0,30}}\b(?:at|by|on|off at) my (?:gate|door|shop|porch|drive|step|bench)"
    rf"|\blet me (?:have|keep|take|drag|try|borrow)\b|\bloan of\b|\bon loan\b|\bborrowed\b.{{0,40}}\bfrom\b"
    rf"|\b(?:free of charge|for free|at no charge|no charge|for nothing|free sample|complimentary|on the house|"
    rf"didn'?t (?:charge|cost) me|wouldn'?t take (?:any |a )?(?:money|penny|cent)|didn'?t pay (?:for|a)|"
    rf"at a discount|discounted|half price|"
    rf"in exchange for|in return for a (?:video|review|mention)|affiliate|commission|sponsor(?:ed|s|ing|ship)?|promo code|"
    rf"discount code|coupon code|courtesy of|compliments of|review (?:unit|copy|sample)|to (?:review|test|try out) (?:for them|on (?:the|my) channel|in a video|on camera))\b"
    rf"|\b(?:came|arrived|turned up) (?:in the (?:mail|post)|from)\b.{{0,40}}\bto (?:try|test|review)\b"
    rf"|\b(?:sent|gave|lent|given|supplied|provided|loaned)\b.{{0,40}}\bto (?:try|test|review)\b"
    rf"|\bkept me {_THING}|\bgift from\b|\bpaid (?:me|us) to\b|\bpaying me\b"
)
#: Words that tell viewers about it: said in the video they are a disclosure.
_TELLING = re.compile(
    r"\b(?:free of charge|for free|at no charge|no charge|for nothing|free sample|complimentary|didn'?t pay (?:for|a)|"
    r"full disclosure|disclosure|disclose|in the interest of (?:honesty|openness)|"
    r"sponsored|sponsor of|this video is paid|paid me|they'?re not paying me|not paid|isn'?t paying me|"
    r"wouldn'?t take (?:any |a )?(?:money|penny|cent)|gifted|on loan|lent me|loaned me|"
    r"affiliate|commission|didn'?t (?:charge|cost) me|at a discount|half price)\b"
)
#: The maker paid: nothing to disclose.
_PAID = re.compile(
    r"\b(?:i|we) (?:bought|paid (?:for|full)|purchased|ordered)\b|\bwith my own money\b|\bout of my own pocket\b|\bnobody sent\b|"
    r"\bnot sponsored\b|\bno (?:one|body) (?:paid|sponsors)\b"
)
#: Somebody who sells, or a product: viewers would want to know.
_TRADE = re.compile(
    r"\b(?:they|the (?:folks|people|guys|team|company|crew|makers|shop|store|mill|supplier|manufacturer|good people)|company|"
    r"inc|ltd|tools|abrasives|supply|supplies|woodcraft|industries|sponsor|sponsored|affiliate|commission|code|review|"
    r"to try|to test|try out|test out|on the channel|in a video|exchange|discount(?:ed)?|half price)\b",
    re.IGNORECASE,
)
_WOOD = re.compile(r"\b(?:log|wood|timber|tree|blank|board|burl|slab|branch|limb|piece|crotch|stump)\b")


@dataclass(frozen=True, slots=True)
class Gift:
    """Words about something received. ``by_trade``: from somebody who sells, or a product; ``wood`` given by a person
    is usually only a thank-you. ``told``: the words themselves, or words close by, tell the viewers."""

    recording_id: int
    start: float
    end: float
    quote: str
    by_trade: bool
    wood: bool
    told: str | None
    told_at: float | None = None


def gifts(project: Project) -> tuple[Gift, ...]:
    """Everything that the words say was received, with whether the viewers were told that it was."""
    remarks = list(spoken(project))
    found: list[Gift] = []
    for n, (take, cue) in enumerate(remarks):
        text = _plain(cue.text)
        if not _GIVING.search(text) or _PAID.search(text) or not _is_about_a_thing(text):
            continue
        near = " ".join(_plain(c.text) for t, c in remarks[max(n - 1, 0) : n + 3] if t is take)
        telling = _told(take, cue)
        found.append(
            Gift(
                take.recording.id, cue.start, cue.end, cue.text,
                by_trade=bool(_TRADE.search(text) or re.search(r"\b(?:they|their)\b.{0,40}\b(?:company|sell|make)", near)),
                wood=bool(_WOOD.search(text)) or _credited(take, cue) == "wood",
                told=telling.text if telling else None,
                told_at=telling.start if telling else None,
            )
        )  # fmt: skip
    return tuple(found)


def _credited(take: Take, cue: Cue) -> str | None:
    """What a person named in the remark gave, if a statement says so."""
    return next(
        (
            str(k.fact.attrs.get("role"))
            for k in take.facts
            if k.fact.kind == "credit" and cue.start <= k.fact.start <= cue.end
        ),
        None,
    )


def _is_about_a_thing(text: str) -> bool:
    return bool(
        re.search(rf"\b{_THING}\b", text)
        or re.search(r"\b(?:sponsor|affiliate|commission|paid me|code)", text)
        or re.search(r"\b(?:this|these|it|them|one|stuff)\b", text)
    )


def _told(take: Take, about: Cue) -> Cue | None:
    """The remark within a minute of the gift that tells the viewers about it."""
    for cue in take.cues:
        if cue.trust == "ok" and abs(cue.start - about.start) <= 60 and _TELLING.search(_plain(cue.text)):
            return cue
    return None


def _plain(text: str) -> str:
    return text.lower().replace("’", "'")
