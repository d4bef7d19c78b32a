"""Which of the found trade words are meant as such: the conditions that ``needs`` names in the vocabulary.

A word that speaks for itself ("faceplate") is taken wherever it stands. One that also has a common meaning ("check",
"catch", "ash", "not" for knot) is taken only where its neighbours leave no other reading.
"""

from __future__ import annotations

from collections.abc import Callable

from shoplog.extract.lexicon import plain
from shoplog.extract.quantities import LENGTH
from shoplog.extract.reading import Mention, Reading
from shoplog.extract.stream import COMMA, PAUSE
from shoplog.extract.wordset import wordset
from shoplog.trade import Term

_ARTICLES = wordset(
    "a an the my this that these those some any no another each every his her our your one its first second third "
    "new old"
)
_FIT = wordset(
    "ol ole wee small big tiny little large nice nasty bad good great huge long short deep fine hairline tight "
    "loose slight minor major proper serious ugly old new single real wide narrow visible quick light heavy sharp "
    "thin thick dark black faint awful wicked massive slow lovely hefty bit more few couple three-quarter half "
    "quarter inch mm mil sizable noticeable decent fresh second first third other whole same only dull freshly "
    "sharpened trusty round flat clean final fifth shallow swept fingernail carbide wooden metal pull dead solid "
    "large-ish round-ish curved square original hand"
)
_PEOPLE = wordset(
    "aunt uncle my-aunt cousin sister brother neighbor neighbour friend mrs mr miss named called name's lady's "
    "girl dog cat granny nan"
)
_NAME_VERBS = wordset(
    "says said came comes called went told asked thinks texted phoned waved lives she's he's who's had wants"
)
_BODY = wordset(
    "shoulder shoulders back neck stomach strap throat leg's hair rope string lace tie knee muscle cable cord "
    "hose arm wrist hand window door wall ceiling mug cup screen glass floor driveway sidewalk pavement phone "
    "voice windshield egg eggs whip joke fire"
)
_BE = wordset("is was are it's that's isn't aren't wasn't be been being they're there's were of in from with this")


_STATES = wordset(
    "gone stable filled holding opened opening still got longer grown about in not worse bigger closed hardly a "
    "right here back no only just"
)


def _determined(reading: Reading, i: int) -> bool:
    """Whether an article, a size or an adjective stands before token ``i``."""
    word = reading.previous(i)
    if word in _ARTICLES or word in _FIT:
        return True
    return reading.quantity_before(i) is not None


def _noun(reading: Reading, mention: Mention) -> bool:
    """ "a crack", "no checks", "two knots", "got a tiny catch"; not "cracked me up", not "check the fit"."""
    text, i, j = reading.text, mention.start, mention.end
    word, after = plain(text[i]), reading.next(j)
    before = reading.previous(i)
    if word != text[j - 1] and text[j - 1].endswith("'s") and after in _STATES and word not in ("hollow",):
        return _placed_in_wood(reading, mention) and (
            after in ("gone", "opening", "filled", "stable", "grown", "about")
            or before in ("the", "that")
            or _wooden(reading, i)
            or _seen(reading, mention.term.item, i)
        )
    if (
        word in ("shake", "shakes")
        and before != "no"
        and not (
            _seen(reading, "ring shake", i)
            or (
                before in ("a", "little", "some", "of")
                and after in ("in", "running", "here", "there", "round")
                and _wooden(reading, i)
            )
        )
    ):
        return False
    if before in wordset(
        "i'll i to you we they i'd will can would might gonna let double don't didn't should could spot i've body "
        "sound cross rain reality pay gut what's"
    ):
        return False
    if (
        word in ("split", "check", "catch", "crack")
        and after
        in wordset(
            "the my it up on me a an your his her them second in with engine out if how that this off these those"
        )
        and not (
            after in wordset("on in up it with that if out off this")
            and before in _ARTICLES | _FIT
            and (after != "out" or word != "check")
        )
    ):
        return False
    if after in wordset("engine mark book valve up clears list shirt stitch screen ending") or (
        word == "catch" and after in ("phrase", "with", "to")
    ):
        return False
    if (
        word == "catch"
        and before == "the"
        and (reading.word(i - 2) in ("what's", "that's", "is") or after in ("is", "with", "of"))
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
        return after not in ("from", "about", "on") or _wooden(reading, i)
    if word == "check" or word == "checks":
        return (
            (_determined(reading, i) or before in ("crack", "or"))
            and after not in ("in", "for", "from", "of")
            and before not in ("the", "my", "his", "her", "your", "a-ok")
        ) or (
            before == "the"
            and (
                after in wordset("got has is hasn't isn't opened opens that runs in on grew goes went by near")
                and _seen(reading, "crack", i)
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
    return _determined(reading, i) or (before in wordset("or and of any crack with is") and _wooden(reading, i))


def _seen(reading: Reading, item: str, i: int) -> bool:
    """Whether the item was named for certain before."""
    return any(m.term.item == item and m.start < i for m in reading.terms[-40:])


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


def _wooden(reading: Reading, i: int) -> bool:
    """Whether a part of a piece, or wood, is named in the same clause or close by."""
    return reading.in_clause("wood", i) or reading.near("part", i, 6, 8) or reading.near("wood", i, 10, 8)


def _verb(reading: Reading, mention: Mention) -> bool:
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
        return _wooden(reading, i) or reading.before(i, 2)[:1] in (["it"], ["this"], ["that"])
    if word in ("cracks", "checks", "splits"):
        return (
            before in wordset("it wood rim bowl that blank end")
            and (reading.status_word(i, "if") or _wooden(reading, i))
            and after
            in {"", *wordset("i'll i on i'd then when while as along and we'll open badly now again that's so or any")}
        )
    if word == "split":
        return (
            before in wordset("it one blank has bowl log piece ring just")
            and after in {"", *wordset("on right along from in down when while apart overnight clean wide")}
            and _wooden(reading, i)
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
            and _wooden(reading, i)
            and after not in ("twice", "on", "by")
        )
    if word == "checking":
        return before in wordset("ends end from started some no any of") and _wooden(reading, i)
    return subject and _wooden(reading, i)


def _det(reading: Reading, mention: Mention) -> bool:
    after = reading.next(mention.end)
    if reading.text[mention.start] == "carbide":
        return (
            after in ("first", "next", "now", "then", "again")
            and (reading.border[mention.start] >= PAUSE or _determined(reading, mention.start))
        ) or (after == "" and _determined(reading, mention.start))
    if reading.text[mention.start] == "skew" and after in ("your", "my", "things", "our", "his"):
        return False
    if (
        reading.text[mention.start] in ("skew", "rasp", "steady", "burr", "shield")
        and after in wordset("your my things the a results as on")
        and not _determined(reading, mention.start)
    ):
        return False
    if reading.text[mention.start] in ("burr", "burrs") and reading.previous(mention.start) in (
        "fresh",
        "new",
        "good",
        "the",
        "raised",
    ):
        return False
    if reading.border[mention.start] >= PAUSE and after in {"", *wordset("for next now first with then")}:
        return True
    if after in wordset("blade dust handle handles marks mark sharpener rack oak set jig"):
        return False
    return _determined(reading, mention.start) or reading.previous(mention.start) in ("with", "using", "or", "by")


def _with(reading: Reading, mention: Mention) -> bool:
    """ "with a saw", "using the little saw"; not "I saw it", not "the saw blade"."""
    before = reading.before(mention.start, 4)
    after = reading.next(mention.end)
    if after in wordset("blade blades dust mill horse it that the a him them marks cut five six horses"):
        return False
    if not before or before[-1] not in _ARTICLES | _FIT:
        return False
    return any(w in wordset("with using use used by on and grab at take then") for w in before[:-1])


def _size(reading: Reading, mention: Mention) -> bool:
    """A size of a cutter, or "the", stands right before: "half inch skewed"."""
    quantity = reading.quantity_before(mention.start)
    if quantity is not None and quantity.unit in ("in", "mm", None) and (quantity.unit or quantity.amount.size):
        return True
    word = reading.text[mention.start]
    if word in ("skews", "skewed") and mention.end - mention.start == 1:
        return reading.previous(mention.start) in ("the", "my") and reading.next(mention.end) in {
            "",
            *wordset("and on for to with again"),
        }
    return False


def _moved(reading: Reading, mention: Mention) -> bool:
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
    if word in ("move", "moving"):
        return (
            (
                last in wordset("it'll wood will gonna might keep still it's")
                or any(w in ("it'll", "wood") for w in before)
            )
            and any(w in wordset("it'll wood bowl it rim piece blank") for w in before)
            and after not in wordset("the my on it to into in up over out house")
        )
    if after in wordset("the my to into in house here it on over that them up back down her his three away"):
        return False
    if last in wordset("i i've we we've he she they've i'd you they just been"):
        return last == "just" and False
    if last == "hasn't" or "hasn't" in before or "haven't" in before or "not" in before[-2:]:
        return not _recent_defect(reading, i)
    return last in wordset(
        "it's it has have wood bowl rim base that's they've piece blank she's really also already definitely it'd "
        "s actually"
    )


def _recent_defect(reading: Reading, i: int) -> bool:
    return any(i - m.start < 14 for m in reading.terms[-6:] if m.term.kind == "defect")


def _oil(reading: Reading, mention: Mention) -> bool:
    """Oil as a finish: "a little oil", "coat of oil"; not engine oil, not oiling a hinge."""
    before, after = reading.before(mention.start, 6), reading.next(mention.end)
    if after in wordset("change can filter lamp tank drum light painting burner drill leak the stone") or any(
        w
        in wordset(
            "engine motor olive lamp machine lathe bearing bearings truck essential fuel heating cooking the-price"
        )
        for w in before
    ):
        return False
    return bool(before) and (
        before[-1]
        in wordset(
            "an of the some little more with that clear plain just bit finishing finish is first second third "
            "another straight"
        )
        or reading.in_clause("coat", mention.start)
    )


def _wax(reading: Reading, mention: Mention) -> bool:
    before, after = reading.before(mention.start, 4), reading.next(mention.end)
    if after in wordset("paper museum on emulsion seal sealer candle candles") and after != "on":
        return False
    if any(w in ("ear", "candle", "car", "sealing") for w in before[-1:]):
        return False
    return bool(before) and (
        before[-1]
        in wordset(
            "of little some the a and then with just bit more hard clear dab is no or any for gets on soft plain "
            "only but using put rub buff"
        )
        or reading.near("coat", mention.start, 10, 6)
    )


def _coated(reading: Reading, mention: Mention) -> bool:
    """A mishearing of a finish right in talk of coats."""
    i = mention.start
    return reading.near("coat", i, 5, 5) and reading.previous(i) in wordset(
        "of the with some a is spray wipe-on clear oil gloss satin on brown black red blue green brushing"
    )


def _paint(reading: Reading, mention: Mention) -> bool:
    before, after = reading.before(mention.start, 3), reading.next(mention.end)
    if after in wordset("counter store brush shop job dry booth the a it chip peeling splatter can stick"):
        return False
    return (
        bool(before)
        and before[-1] in wordset("of some green black white red blue milk acrylic gold silver with the bit little any")
        and not any(w in ("sells", "sell", "bought", "buy") for w in before)
    )


def _chuck(reading: Reading, mention: Mention) -> bool:
    """The chuck, and what recognisers write for it: "in the check", "the check expands"; not cousin Chuck."""
    i, j = mention.start, mention.end
    before, after = reading.before(i, 3), reading.next(j)
    last = before[-1] if before else ""
    if mention.term.misheard:
        if last not in wordset("the my a this jaw big small same other main"):
            return False
        held = any(w in wordset("in into on onto to off from out") for w in before[:-1])
        grips = after in {
            "",
            *wordset("expands jaws jaw grips holds closes opens key tightens contracts and without with so now for"),
        }
        expands = after in wordset("expands jaws jaw grips tightens contracts key")
        if last == "the" and expands:
            return True
        return (
            held
            and grips
            and last in wordset("the my big small same main other")
            and not reading.beside("people", i, 5, 5)
            and not (
                reading.word(i - 2) in ("in", "off")
                and reading.word(i - 3) in ("mail", "bring", "cash", "cashed", "wrote")
            )
        )
    if last in wordset("cousin uncle brother named called mister old") or (
        after in wordset("says said keeps roast steak key it is-my the that came told") and last not in ("the", "my")
    ):
        return False
    if reading.stream.upper[i] and last not in ("the", "my", "a", "jaw"):
        return False
    if after in ("key", "keys", "steak", "roast", "wagon"):
        return False
    return last in wordset(
        "the my a this that same big small little new jaw smaller bigger larger mm inch on old other your our"
    )


def _tenon(reading: Reading, mention: Mention) -> bool:
    """A mishearing of tenon next to what makes it one: cutting, a size, jaws, a chuck; not the tenant upstairs."""
    i, j = mention.start, mention.end
    words = reading.text[i:j]
    before, after = reading.before(i, 4), reading.after(j, 5)
    last = before[-1] if before else ""
    if any(
        w
        in wordset(
            "upstairs downstairs lease moved pays paid landlord anchor rent elbow knee achilles pulled tore farmer"
        )
        for w in after[:3] + before[-2:]
    ):
        return False
    strong = reading.near("jaws", i, 14, 14) or reading.quantity_before(i) is not None
    verb = any(
        w
        in wordset(
            "cut turn turned trued true cutting turning made make form formed clean sized old round inch mil mm "
            "dovetail dovetailed instead shallow of the"
        )
        for w in before
    )
    if words in (["on", "it"], ["10", "on"], ["ten", "on"]):
        return (
            reading.quantity_before(i) is not None
            and reading.quantity_before(i).unit in LENGTH
            and reading.near("jaws", i, 10, 12)
            if words == ["on", "it"]
            else verb and strong
        )  # type: ignore[union-attr]
    if (
        last in _ARTICLES | _FIT | {"inch", "mm", "mil", "dovetail", "round", "up"}
        or reading.quantity_before(i) is not None
    ):
        placed = any(w in wordset("on at for to across inches is seven long") for w in after[:3])
        return verb and (strong or placed or _wooden(reading, i))
    return words[0] in ("tendons", "tenants") and strong


def _spigot(reading: Reading, mention: Mention) -> bool:
    return True


def _mortise(reading: Reading, mention: Mention) -> bool:
    return _determined(reading, mention.start) and reading.near("jaws", mention.start, 10, 10)


def _mask(reading: Reading, mention: Mention) -> bool:
    before, after = reading.previous(mention.start), reading.next(mention.end)
    return (before in ("my", "the", "a", "no", "own", "any") or after in ("on", "off", "is", "goes")) and after not in (
        "the",
        "tape",
        "it",
        "this",
    )


def _on(reading: Reading, mention: Mention) -> bool:
    """Gear by a short name where it is being worn: "muffs on"."""
    return reading.next(mention.end) in ("on", "in") or reading.before(mention.start, 3)[-2:] in (
        ["got", "my"],
        ["wear", "my"],
        ["with", "my"],
        ["wear", "your"],
        ["have", "my"],
    )


def _noted(reading: Reading, mention: Mention) -> bool:
    """ "not" for knot: after an article or an adjective, before what a knot has: a place, a size, "the size of"."""
    last = reading.previous(mention.start)
    if reading.text[mention.start] not in ("not", "nut", "naught", "nought"):
        return False
    determined = last in wordset("a the small little tiny big tight loose dead that this pin large")
    after = reading.after(mention.end, 3)
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


def _crackish(reading: Reading, mention: Mention) -> bool:
    return _determined(reading, mention.start) and _wooden(reading, mention.start)


def _caught(reading: Reading, mention: Mention) -> bool:
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


def _near_wood(reading: Reading, mention: Mention) -> bool:
    return reading.near("wood", mention.start, 10, 10) and _determined(reading, mention.start)


def _glue(reading: Reading, mention: Mention) -> bool:
    return (
        reading.near("glueish", mention.start, 8, 8) and reading.text[mention.start : mention.end] != ["a", "glue"]
    ) or reading.previous(mention.start) in ("see", "sea", "thin", "thick", "medium", "with")


def _wood(reading: Reading, mention: Mention) -> bool:
    """A wood whose name is also another word: next to "log", "is", "piece of", a figure or a quantity of it."""
    i, j = mention.start, mention.end
    last, after = reading.previous(i), reading.next(j)
    if after in wordset(
        "street road avenue lane drive close court hill way stove furnace trees lawn stairs floor floors door "
        "table desk counter brown color colour dye stain oil cabinet bench shelf tree's"
    ):
        return False
    if not mention.term.misheard and reading.border[i] >= PAUSE and (j >= reading.n or reading.border[j] >= PAUSE):
        return True
    if mention.term.misheard:
        return last in wordset("of is it's a the this some in from african today's") and (
            reading.near("wood", i, 8, 6) or after in ("log", "blank", "burl", "board", "bowl")
        )
    if after in _WOODEN_AFTER or last in wordset(
        "of is it's this was in from some that's green dry wet spalted figured the local fresh air dried called "
        "it be nice bit burl english old with curly ripple isn't not says said timber wood and or are either sawn "
        "cut solid lovely scrap seasoned through like"
    ):
        return _wooden(reading, i) or after in _WOODEN_AFTER or last in ("is", "it's", "of", "that's", "in")
    return False


_WOODEN_AFTER = wordset(
    "log logs blank blanks board boards burl bowl bowls piece pieces platter slab slabs wood timber one ones ring "
    "rings finial finials crotch branch limb vase form cup box stick plank billet off from stump spindle half "
    "segment segments handle handles offcut offcuts squares goblet lid tree bark sapwood heartwood burr trunk "
    "round rounds stock spindles section chunk legs leg base"
)


def _name(reading: Reading, mention: Mention) -> bool:
    """A wood that is also a name ("Ash", "Holly") or a common word: wood, not a neighbour or a bucket."""
    i, j = mention.start, mention.end
    last, after = reading.previous(i), reading.next(j)
    if (
        last in _PEOPLE
        or after in _NAME_VERBS
        or last in wordset("called named sister's neighbour neighbor aunt uncle thanks hi hey")
    ):
        return False
    if after in wordset("bucket tray pan pit heap street road wednesday cloud jolly from out can") and not (
        after == "from" and not reading.beside("outside", i, 6, 8)
    ):
        return False
    if last in ("volcanic", "cigarette", "to", "bone"):
        return False
    if reading.stream.upper[i] and after not in _WOODEN_AFTER and last in ("my", "our", "little", "dear"):
        return False
    if reading.beside("outside", i, 4, 6) and any(w in ("stove", "fire") for w in reading.words(i - 4, j + 6)):
        return False
    return _wood_like(reading, mention)


def _food(reading: Reading, mention: Mention) -> bool:
    """A wood that is also eaten: wood, not a pie, a jar or an oil."""
    i, j = mention.start, mention.end
    last, after = reading.previous(i), reading.next(j)
    if after in wordset(
        "pie tart oil oils juice jam cake picker sauce brown shaped shape syrup dye stain shell shells tree's "
        "crumble red color colour cider tomato tomatoes on bread butter green street road"
    ) and not (after == "on" and last in ("of", "the")):
        return False
    if last in wordset("a eat eating ate jar bowl-of crack cracked an apple") and after not in _WOODEN_AFTER:
        return False
    if any(w in wordset("pie jar eat ate shell drink tea jam") for w in reading.words(i - 4, j + 3)):
        return False
    return _wood_like(reading, mention)


def _wood_like(reading: Reading, mention: Mention) -> bool:
    i, j = mention.start, mention.end
    last, after = reading.previous(i), reading.next(j)
    if after in _WOODEN_AFTER or after in ("blackwood",):
        return True
    if last in wordset(
        "is are of in it's that's isn't this was be green dry wet spalted the local some on a figured solid from "
        "with curly by says said and or hard english called wild plain old just not it quilted than though "
        "straight for between like these that"
    ):
        if last == "a" and after not in _WOODEN_AFTER:
            return False
        if last in ("like", "than"):
            return False
        return not (
            last in ("the", "and", "that", "for", "with")
            and not (_seen_species(reading, mention) or _wooden(reading, i))
        )
    return reading.border[i] >= COMMA and (
        _wooden(reading, i) or _seen_species(reading, mention) or reading.border[j] >= PAUSE if j < reading.n else True
    )


def _seen_species(reading: Reading, mention: Mention) -> bool:
    wanted = mention.term.item
    return any(
        m.term.kind == "species" and (m.term.item == wanted or m.term.item.endswith(" " + wanted))
        for m in reading.terms[-60:]
    )


CHECKS: dict[str, Callable[[Reading, Mention], bool]] = {
    "noun": _noun,
    "verb": _verb,
    "det": _det,
    "with": _with,
    "size": _size,
    "moved": _moved,
    "oil": _oil,
    "wax": _wax,
    "coated": _coated,
    "paint": _paint,
    "chuck": _chuck,
    "tenon": _tenon,
    "spigot": _spigot,
    "mortise": _mortise,
    "mask": _mask,
    "on": _on,
    "noted": _noted,
    "crackish": _crackish,
    "caught": _caught,
    "near": _near_wood,
    "glue": _glue,
    "wood": _wood,
    "name": _name,
    "food": _food,
}


def meant(reading: Reading) -> list[Mention]:
    """The mentions that stand: the longest where several overlap, each with its condition met.

    They are added to ``reading.terms`` as they are found, so that a condition can ask what was named before.
    """
    reading.terms.clear()
    taken = -1
    for hit in reading.hits:
        if hit.start < taken:
            continue
        for entry in hit.entries:
            if not isinstance(entry, Term):
                continue
            # A plain word of the trade goes before a mishearing of another.
            mention = Mention(hit.start, hit.end, entry)
            if any(reading.border[k] >= PAUSE for k in range(hit.start + 1, hit.end)):
                continue
            if not entry.needs or CHECKS[entry.needs](reading, mention):
                reading.terms.append(mention)
                taken = hit.end
                break
    return reading.terms
