"""Whether a word for a defect is meant as one: "a check" in the rim, not a check in the mail."""

from __future__ import annotations

from shoplog.extract.lexicon import plain
from shoplog.extract.reading import Mention, Reading
from shoplog.extract.stream import PAUSE
from shoplog.extract.surroundings import ARTICLES, FIT, determined, seen, wooden
from shoplog.extract.wordset import wordset

_BODY = wordset(
    "shoulder shoulders back neck stomach strap throat leg's hair rope string lace tie knee muscle cable cord "
    "hose arm wrist hand window door wall ceiling mug cup screen glass floor driveway sidewalk pavement phone "
    "voice windshield egg eggs whip joke fire"
)
#: The sorts of cracks: "the star crack", "a grey check".
_SORTS = wordset(
    "star grey gray pith heart end drying seasoning radial surface face rim glued main original sapwood heartwood old "
    "hairline black brown spider frost growth side middle center centre"
)
#: What follows a check that is made, or a split that is how the wood was made.
_NO_DEFECTS = wordset(
    "i'm i'll we'll before list every billet billets blank blanks rail rails shingle shingles log logs"
)
_STATES = wordset(
    "gone stable filled holding opened opening still got longer grown about in not worse bigger closed hardly a "
    "right here back no only just"
)


def noun(reading: Reading, mention: Mention) -> bool:
    """ "a crack", "no checks", "two knots", "got a tiny catch"; not "cracked me up", not "check the fit"."""
    text, i, j = reading.text, mention.start, mention.end
    word, after = plain(text[i]), reading.next(j)
    before = reading.previous(i if reading.previous(i) != "'" else i - 1)
    if word != text[j - 1] and text[j - 1].endswith("'s") and after in _STATES and word not in ("hollow",):
        return _placed_in_wood(reading, mention) and (
            after in ("gone", "opening", "filled", "stable", "grown", "about")
            or before in ("the", "that")
            or wooden(reading, i)
            or seen(reading, mention.term.item, i)
        )
    if (
        word in ("shake", "shakes")
        and before != "no"
        and not (
            seen(reading, "ring shake", i)
            or (
                before in ("a", "little", "some", "of")
                and after in ("in", "running", "here", "there", "round")
                and wooden(reading, i)
            )
        )
    ):
        return False
    if word in ("check", "split") and after in _NO_DEFECTS:
        return False
    if word == "check" and before == "and" and not reading.says(i - 2, "crack and", "split and"):
        return False
    if any(w in wordset("visor windshield windscreen mug phone screen") for w in reading.before(i, 5)):
        return False
    if word in ("crack", "check", "split") and before in _SORTS and reading.word(i - 2) in ARTICLES:
        return True
    if before in wordset(
        "i'll i to you we they i'd will can would might gonna let double don't didn't should could spot i've body "
        "sound cross rain reality pay gut what's"
    ):
        return False
    if (
        word in ("split", "check", "catch", "crack")
        and not (reading.comma_before(j) and before in ARTICLES | FIT)
        and not (after == "a" and before in wordset("a an another big small little nasty wee tiny bad proper"))
        and after
        in wordset(
            "the my it up on me a an your his her them second in with engine out if how that this off these those"
        )
        and not (
            after in wordset("on in up it with that if out off this")
            and before in ARTICLES | FIT
            and (after != "out" or word != "check")
        )
    ):
        return False
    if (after in wordset("engine mark book valve up clears list shirt stitch screen ending") and word != "chatter") or (
        word == "catch" and after in ("phrase", "with", "to")
    ):
        return False
    if (
        word == "catch"
        and before == "the"
        and (reading.word(i - 2) in ("what's", "that's", "is") or after in ("is", "with", "of"))
        and not (after == "is" and reading.word(j + 1) in _STATES)
    ):
        return False
    if word in ("stain", "stains", "dye") and after in ("grade", "remover", "trick", "job", "pot"):
        return False
    if word in ("checks", "splits", "cracks", "knots") and (
        before in wordset("the then he she it and who") and after in ("it", "the", "my", "me", "in")
    ):
        return False
    if word in ("checks", "splits", "stains", "knots", "cracks", "voids") and before in (
        "it",
        "he",
        "she",
        "who",
        "that",
    ):
        return False
    if not _placed_in_wood(reading, mention):
        return False
    if word == "hollow" and (
        before not in ("a", "little", "the", "that", "big", "small")
        or after in wordset("form forms vessel out it the inside one bit shape sound")
    ):
        return False
    if word in wordset("cracks checks knots voids splits stains catches cavities") and before not in (
        "birthday",
        "price",
        "spot",
    ):
        return True
    if word == "chatter":
        return after not in ("from", "about", "on") or wooden(reading, i)
    if word == "check" or word == "checks":
        if _cracked_wood(reading, i, before, after):
            return True
        if after == "in" and before in ("a", "another", "one", "little", "small", "wee", "tiny", "big"):
            return reading.word(j + 1) in wordset("the this that one every each it both here there") and not any(
                w in wordset("mail post bank amount box") for w in reading.words(j, j + 4)
            )
        return (
            (determined(reading, i) or before in ("crack", "or"))
            and after not in ("in", "for", "from", "of")
            and before not in ("the", "my", "his", "her", "your", "a-ok")
        ) or (
            before == "the"
            and (
                after in wordset("got has is hasn't isn't opened opens that runs in on grew goes went by near")
                and seen(reading, "crack", i)
            )
        )
    if (
        word == "catch"
        and (reading.border[i] >= PAUSE or before in ("right", "oops", "whoa"))
        and after in ("on", "there", "right", "took", "at", "in")
    ):
        return True
    if word in ("crack", "split") and before in ("the", "that", "this", "old"):
        return not (word == "crack" and after == "of")
    return determined(reading, i) or (before in wordset("or and of any crack with is") and wooden(reading, i))


def _placed_in_wood(reading: Reading, mention: Mention) -> bool:
    """Not where the defect sits in something that is no wood: "a knot in my shoulder", "a crack in the window"."""
    text, j = reading.text, mention.end
    if reading.next(j) in ("in", "on", "across", "from") and reading.next(j + 1) in wordset(
        "my the his her your a me this next"
    ):
        place = reading.next(j + 2)
        if place in _BODY and not (
            place in ("back", "wall", "cup", "neck", "shoulder", "hand") and text[j + 1] in ("the", "this")
        ):
            return False
        if text[j + 1] in ("his", "her", "your", "me", "next"):
            return False
        if text[j + 1] == "my" and place in _BODY:
            return False
    return True


def verb(reading: Reading, mention: Mention) -> bool:
    """ "it cracked", "the rim checked", "it's cracking"; not "cracked me up", not "I checked the phone"."""
    i, j = mention.start, mention.end
    word, before, after = reading.text[i], reading.previous(i), reading.next(j)
    if after in wordset(
        "me you the my up it his her them out in your a egg eggs open twice that this with for every each both "
        "all if how wood hairs"
    ):
        return False
    if word in ("crack", "split", "check") and before in wordset(
        "might could would will gonna may didn't it'll it'd won't can"
    ):
        return wooden(reading, i) or reading.before(i, 2)[:1] in (["it"], ["this"], ["that"])
    if word in ("cracks", "checks", "splits"):
        return (
            before in wordset("it wood rim bowl that blank end")
            and (reading.status_word(i, "if") or wooden(reading, i))
            and after
            in {"", *wordset("i'll i on i'd then when while as along and we'll open badly now again that's so or any")}
        )
    if word == "split":
        return (
            plain(before)
            in wordset("it it's one blank has bowl log piece ring just hasn't rim wall half lid end ends have")
            and after
            in {
                "",
                *wordset("on right along from in down when while apart overnight clean wide through across anywhere"),
            }
            and wooden(reading, i)
        )
    if before in wordset("i i've we he she you they i'd we've who just double window's voice"):
        return (
            before == "just"
            and word in ("cracked", "splitting")
            and reading.word(i - 2) in ("it", "it's", "it's", "wood")
            and after not in ("open",)
        )
    subject = before in wordset(
        "it it's rim wood blank bowl has have end ends that's piece one log is started already isn't hasn't not "
        "and edge base from bottom wall was it'll be"
    )
    if word in ("checked",):
        return (
            before in wordset("has ends end rim it's have wood blank log")
            and wooden(reading, i)
            and after not in ("twice", "on", "by")
        )
    if word in ("cracking", "splitting") and before in wordset("any no some"):
        return after not in ("sound", "noise", "wood", "firewood")
    if word == "checking":
        return before in wordset("ends end from started some no any of") and wooden(reading, i)
    return subject and wooden(reading, i)


_MOVED_SO = frozenset(("", *wordset("any much at a some more again i so that and when as yet or either")))


def moved(reading: Reading, mention: Mention) -> bool:
    """Wood moves: "it's moved", "the base has moved about 3 mil", "a little movement"."""
    i = mention.start
    word, before = reading.text[i], reading.before(i, 5)
    last = before[-1] if before else ""
    after = reading.next(mention.end)
    if word == "movement":
        return (
            last in wordset("any no some of for more much little wood the slight")
            and (reading.in_clause("wood", i) or last in wordset("no any some little much wood slight for"))
        ) and after not in ("of",)
    if word == "move" and reading.says(mention.end, "on me", "on us", "on you"):
        return True
    if word == "move" and (before[-2:] == ["going", "to"] or before[-2:] == ["did", "it"]) and after in _MOVED_SO:
        return any(w in wordset("it it's wood bowl that that's she's this") for w in before)
    if word in ("move", "moving"):
        return (
            (
                last in wordset("it'll wood will gonna might keep still it's")
                or any(w in ("it'll", "wood") for w in before)
            )
            and any(w in wordset("it'll wood bowl it rim piece blank") for w in before)
            and after not in wordset("the my on it to into in up over out house")
        )
    still = last in ("hasn't", "not", "haven't") or before[-2:-1] in (["not"], ["hasn't"], ["no"])
    if still and reading.says(mention.end, "to speak", "that i", "either", "at all", "a hair", "an inch", "any"):
        return not _recent_defect(reading, i)
    if after in wordset("the my to into in house here it on over that them up back down her his three away"):
        return False
    if last in wordset("i i've we we've he she they've i'd you they just been"):
        return False
    if last == "hasn't" or "hasn't" in before or "haven't" in before or "not" in before[-2:]:
        return not _recent_defect(reading, i)
    return last in wordset(
        "it's it has have wood bowl rim base that's they've piece blank she's really also already definitely it'd "
        "s actually"
    )


def _recent_defect(reading: Reading, i: int) -> bool:
    """Whether a defect that is there was just named: it is the defect then that has not moved."""
    if any(w in _OPENINGS for w in (*reading.before(i, 6), *reading.after(i + 1, 4))):
        return True
    return any(
        i - m.start < 14 and reading.previous(m.start) not in ("no", "any", "zero")
        for m in reading.terms[-6:]
        if m.term.kind == "defect"
    )


#: What a crack is called that was named before: "that line in the head hasn't moved".
_OPENINGS = wordset("line gap crack check split seam hairline repair joint")


def noted(reading: Reading, mention: Mention) -> bool:
    """ "not" for knot: after an article or an adjective, before what a knot has: a place, a size, "the size of"."""
    last = reading.previous(mention.start)
    if reading.text[mention.start] not in ("not", "nut", "naught", "nought"):
        return False
    determined = last in wordset("a the small little tiny big tight loose dead that this pin large")
    after = reading.after(mention.end, 3)
    if reading.comma_before(mention.start):
        return False
    if last in ("that", "this") and (not after or after[0] not in ("is", "in", "on", "here")):
        return False
    if last in ("the",) and after[:1] not in (["is"], ["on"], ["here"], ["near"]):
        return False
    return (
        determined
        and bool(after)
        and after[0] in wordset("the in on near right about here there at and that up by with of is")
        and reading.text[mention.start] != "nut"
        and after[:2] not in (["that", "i"], ["about", "to"])
    )


def crackish(reading: Reading, mention: Mention) -> bool:
    """A mishearing of a crack in wood; "the creek" and "the crook" only where a crack was named before."""
    i = mention.start
    if reading.word(i - 2) in ("of", "to", "by", "into", "over", "along", "from"):
        return False
    named = reading.previous(i) not in ("the", "that", "our", "my") or seen(reading, "crack", i)
    return named and determined(reading, i) and wooden(reading, i)


def caught(reading: Reading, mention: Mention) -> bool:
    """A mishearing of a catch: "got a coach", "that was a big pinch"."""
    before = reading.before(mention.start, 5)
    got = any(w in wordset("got had was that's that there's oops whoa") for w in before[:-1])
    after = reading.next(mention.end)
    return (
        bool(before)
        and before[-1] in wordset("a tiny big small little nasty bad")
        and got
        and after in {"", *wordset("right at there on and in that")}
        and (reading.text[mention.start] == "coach" or after != "in")
    )


def near_wood(reading: Reading, mention: Mention) -> bool:
    return reading.near("wood", mention.start, 10, 10) and determined(reading, mention.start)


def _cracked_wood(reading: Reading, i: int, before: str, after: str) -> bool:
    """A check that lies or grows in wood: "in the check", "that check's", "a check in the crotch", "the check grew"."""
    if before not in ("the", "that", "this", "a", "another", "one"):
        return False
    if after == "in":
        return reading.word(i + 2) in ("the", "this", "that", "one", "it") and reading.word(i + 3) not in wordset(
            "mail post bank amount box"
        )
    if before in ("a", "another", "one"):
        return False
    placed = reading.word(i - 2) in wordset("in into over along across down round around near past at fill filled")
    grows = after in wordset(
        "grew grow opened opens closed runs ran went goes stayed stopped didn't hasn't hadn't won't's"
    )
    # "It sits in the check" is a chuck that was heard wrong, unless a crack was spoken of.
    return seen(reading, "crack", i) and (grows or (placed and after not in ("engine", "out", "in", "for", "of")))
