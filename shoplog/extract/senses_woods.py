"""Whether the name of a wood is meant as one: cherry on the lathe, not in the pie; ash, not Ash."""

from __future__ import annotations

from shoplog.extract.reading import Mention, Reading
from shoplog.extract.stream import COMMA, PAUSE
from shoplog.extract.surroundings import wooden
from shoplog.extract.wordset import wordset

_PEOPLE = wordset(
    "aunt uncle my-aunt cousin sister brother neighbor neighbour friend mrs mr miss named called name's lady's "
    "girl dog cat granny nan"
)
_NAME_VERBS = wordset(
    "says said came comes called went told asked thinks texted phoned waved lives she's he's who's had wants"
)


def wood(reading: Reading, mention: Mention) -> bool:
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
    if _told(reading, i):
        return True
    if after in _WOODEN_AFTER or last in wordset(
        "that these turn turning turned written my one's here's today's of is it's this was in from some that's green "
        "dry wet spalted figured the local fresh air dried called it be nice bit burl english old with curly ripple "
        "isn't not says said timber wood and or are either sawn cut solid lovely scrap seasoned through like"
    ):
        return wooden(reading, i) or after in _WOODEN_AFTER or last in ("is", "it's", "of", "that's", "in")
    return False


_WOODEN_AFTER = wordset(
    "log logs blank blanks board boards burl bowl bowls piece pieces platter slab slabs wood timber one ones ring "
    "rings finial finials crotch branch limb vase form cup box stick plank billet off from stump spindle half "
    "segment segments handle handles offcut offcuts squares goblet lid tree bark sapwood heartwood burr trunk "
    "round rounds stock spindles section chunk legs leg base"
)


def name(reading: Reading, mention: Mention) -> bool:
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
        (after == "from" and not reading.beside("outside", i, 6, 8)) or reading.says(j, "out of", "out the")
    ):
        return False
    if last in ("volcanic", "cigarette", "to", "bone"):
        return False
    if reading.stream.upper[i] and after not in _WOODEN_AFTER and last in ("my", "our", "little", "dear"):
        return False
    if reading.beside("outside", i, 4, 6) and any(w in ("stove", "fire") for w in reading.words(i - 4, j + 6)):
        return False
    return _wood_like(reading, mention)


def food(reading: Reading, mention: Mention) -> bool:
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


#: What a wood on the bench does or has done to it: "the oak was given to me", "the poplar goes off".
_HAPPENS = wordset("came comes was goes gets one is has wants went")


def _told(reading: Reading, i: int) -> bool:
    """Whether the words before say what a piece is of: "this one's", "gave me that", "I'm turning", "it says"."""
    before = [w for w in reading.before(i, 8) if w != "'"]
    last = before[-1] if before else ""
    if before[-2:] in (["gonna", "be"], ["to", "be"], ["will", "be"], ["wood", "is"]):
        return True
    if last == "the" and reading.word(i + 1) in _HAPPENS:
        return True
    if last in ("that", "the", "some", "this"):
        return any(w in wordset("gave thanks thank cheers ta brought give") for w in before)
    if last in wordset(
        "one's here's today's he's she's wood's piece's rest's other's inside's outside's lid's body's base's seat's "
        "pile's bottom's top's ring's handle's insert's ball's stem's middle's wedges legs gatepost"
    ):
        return True
    if last in ("turn", "turning", "says", "said", "written", "wrote", "writes", "label"):
        return bool(before[:-1])
    return last in ("as", "about", "it's", "only") and any(
        w in wordset("down wonder wondered guessed guess thinking thought sold labelled labeled marked") for w in before
    )


def _wood_like(reading: Reading, mention: Mention) -> bool:
    i, j = mention.start, mention.end
    last, after = reading.previous(i), reading.next(j)
    if after in _WOODEN_AFTER or after in ("blackwood",) or _told(reading, i):
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
            and not (_seen_species(reading, mention) or wooden(reading, i))
        )
    return reading.border[i] >= COMMA and (
        wooden(reading, i) or _seen_species(reading, mention) or reading.border[j] >= PAUSE if j < reading.n else True
    )


def _seen_species(reading: Reading, mention: Mention) -> bool:
    wanted = mention.term.item
    return any(
        m.term.kind == "species" and (m.term.item == wanted or m.term.item.endswith(" " + wanted))
        for m in reading.terms[-60:]
    )
