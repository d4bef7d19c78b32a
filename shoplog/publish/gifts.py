"""What was received free, lent or paid for by somebody else, found in the words; and whether that was told.

The yardstick is 16 CFR Part 255 (US): a connection that viewers would not expect, such as free material, is to be
disclosed clearly. Laws differ by country; the maker decides.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from shoplog.log import Project, Take
from shoplog.publish.stated import spoken
from shoplog.transcript import Cue

_THING = (
    r"(?:log|wood|blank|timber|board|burl|slab|tree|branch|limb|stump|crotch|gouge|chisel|skew|scraper|tool|chuck|jaws?|"
    r"lathe|lay|laythe|bandsaw|saw|pump|drill|bit|sander|light|disc|disk|abrasive|paper|sandpaper|grit|finish|oil|wax|"
    r"polish|lacquer|shellac|poly|varnish|sealer|epoxy|resin|glue|dye|stain|mask|respirator|shield|helmet|steady|rig|"
    r"jig|insert|cutter|carbide|kit|sample|tin|can|bottle|block|offcut|faceplate|grinder|wheel|apron|smock|gloves?|"
    r"sponsor|affiliate|commission|code|this|these|it|them|one|stuff)(?:s|ed)?"
)
#: What is given and is no material: "gave me a hand".
_NO_MATERIAL = (
    r"(?! (?:a (?:hand|look|lift|hard time|call|ring|note|letter|message|card|comment|picture|photo|link|fright)|"
    r"(?:some )?advice|an? idea|the (?:idea|finger|look|number|name)|trouble|pause|an email|hope|grief))"
)
#: Words that say it was free, cheaper or paid for.
_FREE = (
    r"(?:free of charge|for free|at no charge|no charge|for nothing|free samples?|complimentary|didn'?t pay (?:for|a)|"
    r"didn'?t (?:charge|cost) me|wouldn'?t take (?:any |a )?(?:money|penny|cent)|affiliate|commission|at a discount|"
    r"half price|gifted|on loan from|lent me|loaned me)"
)
_GIVING = re.compile(
    "|".join(
        (
            r"\b(?:sent|mailed|posted|shipped|gave|given|handed|lent|loaned|supplied|donated|gifted|provided|sponsored)"
            r" (?:to )?(?:me|us|this shop|the shop)\b" + _NO_MATERIAL,
            r"\b(?:dropped|left)\b.{0,30}\b(?:at|by|on|off at) my (?:gate|door|shop|porch|drive|step|bench)",
            r"\blet me (?:have|keep|take|drag|try|borrow)\b|\bkept me\b",
            r"\bloan of\b|\bborrowed\b.{0,40}\bfrom\b|\b(?:gift|present) from\b(?! (?:myself|me)\b)",
            r"\b(?:was|were|been|is|are|got|came) (?:\w+ )?(?:sent|supplied|given|donated|provided|lent|loaned|gifted)"
            r" (?:\w+ ){0,3}by\b",
            r"\basked (?:me|us|if i) (?:to|would|could|wanted to) (?:show|use|try|test|review|mention|feature)\b",
            r"\b(?:friends|folks|people|lads|guys|crew|team) (?:over )?at .{0,40}\b(?:sent|gave|let|lent|supplied)\b",
            r"\b(?:freebie|it cost me nothing|i didn'?t buy (?:this|it|these)|wouldn'?t let me pay)\b",
            r"\b" + _FREE + r"\b",
            r"\bdiscounted\b|\bin exchange for\b|\bin return for a (?:video|review|mention)\b",
            r"\bsponsor(?:ed|s|ing|ship)?\b",
            r"\b(?:promo|discount|coupon) code\b|\b(?:courtesy|compliments) of\b|\breview (?:unit|copy|sample)\b",
            r"\b(?:came|arrived|turned up) (?:in the (?:mail|post)|from)\b.{0,40}\bto (?:try|test|review)\b",
            r"\b(?:sent|gave|lent|given|supplied|provided|loaned)\b.{0,40}\bto (?:try|test|review)\b",
            r"\bpaid (?:me|us) to\b|\bpaying me\b",
        )
    )
)
#: Words that tell viewers about it: said in the video they are a disclosure.
_TELLING = re.compile(
    r"\b(?:" + _FREE + r"|full disclosure|disclosure|disclose|in the interest of (?:honesty|openness)|sponsored|"
    r"sponsor of|this video is paid|paid me|they'?re not paying me|not paid|isn'?t paying me)\b"
)
#: The maker paid: nothing to disclose.
_PAID = re.compile(
    r"\b(?:i|we) (?:bought|paid (?:for|full)|purchased|ordered)\b|\bwith my own money\b|\bout of my own pocket\b|"
    r"\bnobody sent\b|\bnot sponsored\b|\bno ?(?:one|body) (?:paid|sponsors)\b"
)
#: Somebody who sells, or a product: viewers would want to know.
_TRADE = re.compile(
    r"\b(?:they|the (?:folks|people|guys|team|company|crew|makers|shop|store|mill|supplier|manufacturer|good people)|"
    r"company|inc|ltd|tools|abrasives|supply|supplies|industries|sponsor|sponsored|affiliate|commission|code|review|"
    r"to try|to test|try out|test out|on the channel|on camera|in a video|exchange|discount(?:ed)?|half price|"
    r"(?:friends|folks|people|lads|guys|crew|team) (?:over )?at|who (?:make|makes|sell|sells)|asked me to|supplied by|"
    r"provided by|freebie)\b",
    re.IGNORECASE,
)
_SELLER = re.compile(r"\b(?:they|their)\b.{0,40}\b(?:company|sell|make)")
_PRONOUNS = frozenset(("this", "these", "it", "them", "one"))
_LENT = re.compile(r"\b(?:loan|lent|loaned|borrowed|borrow)\b")
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
    lent: bool = False
    person: bool = False

    @property
    def state(self) -> Literal["told", "thanks", "untold"]:
        """``thanks``: wood or a loan from a person, which is usually a thank-you and no endorsement."""
        if self.told:
            return "told"
        private = not self.by_trade and (self.wood or (self.lent and self.person))
        return "thanks" if private else "untold"


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
                by_trade=bool(_TRADE.search(text) or _SELLER.search(near)),
                wood=_is_wood(text, near) or _credited(take, cue) == "wood",
                told=telling.text if telling else None,
                told_at=telling.start if telling else None,
                lent=bool(_LENT.search(text)),
                person=_credited(take, cue) is not None,
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


def _is_wood(text: str, near: str) -> bool:
    """Wood by its own words, or by those around it where it is only called "it"."""
    things = {m[0] for m in re.finditer(rf"\b{_THING}\b", text)}
    return bool(_WOOD.search(text) or (things <= _PRONOUNS and _WOOD.search(near)))


def _is_about_a_thing(text: str) -> bool:
    return re.search(rf"\b{_THING}\b", text) is not None


def _told(take: Take, about: Cue) -> Cue | None:
    """The remark within a minute of the gift that tells the viewers about it."""
    for cue in take.cues:
        if cue.trust == "ok" and abs(cue.start - about.start) <= 60 and _TELLING.search(_plain(cue.text)):
            return cue
    return None


def _plain(text: str) -> str:
    return text.lower().replace("’", "'")
