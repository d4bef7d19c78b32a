"""Which of the found trade words are meant as such: the conditions that ``needs`` names in the vocabulary.

A word that speaks for itself ("faceplate") is taken wherever it stands. One that also has a common meaning ("check",
"catch", "ash", "not" for knot) is taken only where its neighbours leave no other reading.
"""

from __future__ import annotations

from collections.abc import Callable

from shoplog.extract import repair
from shoplog.extract.described import described
from shoplog.extract.quantities import LENGTH
from shoplog.extract.reading import Mention, Reading
from shoplog.extract.senses_defects import caught, crackish, moved, near_wood, noted, noun, verb
from shoplog.extract.senses_finish import again, coated, dye, oil, paint, sealer, treated, wax
from shoplog.extract.senses_gear import grade, jaws, listed, running, sawing, spur, steady, tail, worn
from shoplog.extract.senses_outcomes import chattering, grabbed, heads, hole, let_go, torn
from shoplog.extract.senses_woods import food, name, wood
from shoplog.extract.stream import COMMA, PAUSE
from shoplog.extract.surroundings import ARTICLES, FIT, determined, wooden
from shoplog.extract.wordset import wordset
from shoplog.trade import Term


def _det(reading: Reading, mention: Mention) -> bool:
    after = reading.next(mention.end)
    if reading.text[mention.start] == "carbide":
        return (after in ("first", "next", "now", "then", "again") and reading.border[mention.start] >= PAUSE) or (
            determined(reading, mention.start)
            and after not in wordset("tip tipped teeth edge steel burr disc tooth bit")
        )
    if reading.border[mention.start] >= PAUSE and _lying(reading, mention):
        return True
    if reading.text[mention.start] == "skew" and after in ("your", "my", "things", "our", "his"):
        return False
    if (
        reading.text[mention.start] in ("skew", "rasp", "steady", "burr", "shield")
        and after in wordset("your my things the a results as on")
        and not determined(reading, mention.start)
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
    if reading.text[mention.start] == "steady":
        return steady(reading, mention)
    if reading.border[mention.start] >= PAUSE and after in {
        "",
        *wordset("for next now first with then has is caught on again light came comes just gets straight it through"),
    }:
        return reading.text[mention.start] != "burr"
    if after in wordset("blade dust handle handles marks mark sharpener rack oak set jig"):
        return False
    return determined(reading, mention.start) or reading.previous(mention.start) in ("with", "using", "or", "by")


def _lying(reading: Reading, mention: Mention) -> bool:
    """A tool that opens a remark by what it is held to: "Skew on its side", "Rasp on the nubs", "Skew to clean up"."""
    after = reading.after(mention.end, 2)
    if reading.text[mention.start] not in ("skew", "rasp", "scraper", "gouge", "chisel"):
        return False
    return after[:1] in (["to"], ["over"], ["across"], ["down"], ["along"]) or (
        after[:1] == ["on"] and after[1:] in (["its"], ["her"], ["his"], ["the"], ["that"], ["those"], ["these"])
    )


def _with(reading: Reading, mention: Mention) -> bool:
    """ "with a saw", "using the little saw"; not "I saw it", not "the saw blade"."""
    before = reading.before(mention.start, 4)
    after = reading.next(mention.end)
    if after in wordset("blade blades dust mill horse it that the a him them marks cut five six horses"):
        return False
    if not before or before[-1] not in ARTICLES | FIT:
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
    if (
        last
        and reading.border[i] >= PAUSE
        and (
            (not reading.stream.upper[i] and reading.comma_before(j))
            or after in wordset("into jaws goes and")
            or reading.near("jaws", j + 6, 5, 6)
        )
    ):
        return after not in ("steak", "says", "said", "come")
    if last in wordset("cousin uncle brother named called mister old") or (
        after in wordset("says said keeps roast steak key it is-my the that came told") and last not in ("the", "my")
    ):
        return False
    if reading.stream.upper[i] and last not in ("the", "my", "a", "jaw"):
        return False
    if after in ("key", "keys", "steak", "roast", "wagon"):
        return False
    return last in wordset(
        "the my a this that same big small little new jaw smaller bigger larger mm inch on old other your our no any"
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
    if after[:1] == ["on"] and after[1:2] in (["each"], ["this"], ["the"], ["both"], ["that"], ["one"]):
        return words[0] != "on" and any(w in wordset("end ends bottom foot base back underside") for w in after[2:4])
    if words in (["on", "it"], ["10", "on"], ["ten", "on"]):
        if words != ["on", "it"]:
            return verb and strong
        size = reading.quantity_before(i)
        return (
            size is not None and size.unit in LENGTH and last not in ("jaws", "jaw") and reading.near("jaws", i, 10, 12)
        )
    if (
        last in ARTICLES | FIT | {"inch", "mm", "mil", "dovetail", "round", "up"}
        or reading.quantity_before(i) is not None
    ):
        placed = any(w in wordset("on at for to across inches is seven long") for w in after[:3])
        return verb and (strong or placed or wooden(reading, i))
    return words[0] in ("tendons", "tenants") and strong


def _mortise(reading: Reading, mention: Mention) -> bool:
    return determined(reading, mention.start) and reading.near("jaws", mention.start, 10, 10)


def _glued(reading: Reading, mention: Mention) -> bool:
    """A block that was glued on to be held by: "I've hot glued a plywood block on the back"."""
    return any(w in ("glue", "glued", "gluing", "superglued") for w in reading.before(mention.start, 5))


def _mask(reading: Reading, mention: Mention) -> bool:
    before, after = reading.previous(mention.start), reading.next(mention.end)
    if listed(reading, mention) or (before == "so" and not after):
        return True
    return (
        before in wordset("my the a no own any good proper big your this our small little same")
        or after in ("on", "off", "is", "goes", "up")
    ) and after not in (
        "the",
        "tape",
        "it",
        "this",
    )


def _glue(reading: Reading, mention: Mention) -> bool:
    return (
        reading.near("glueish", mention.start, 8, 8) and reading.text[mention.start : mention.end] != ["a", "glue"]
    ) or reading.previous(mention.start) in ("see", "sea", "thin", "thick", "medium", "with")


CHECKS: dict[str, Callable[[Reading, Mention], bool]] = {
    "noun": noun,
    "verb": verb,
    "det": _det,
    "with": _with,
    "size": _size,
    "moved": moved,
    "oil": oil,
    "wax": wax,
    "dye": dye,
    "again": again,
    "coated": coated,
    "paint": paint,
    "chuck": _chuck,
    "tenon": _tenon,
    "mortise": _mortise,
    "mask": _mask,
    "glued": _glued,
    "worn": worn,
    "running": running,
    "spur": spur,
    "tail": tail,
    "jaws": jaws,
    "sawing": sawing,
    "grade": grade,
    "sealer": sealer,
    "treated": treated,
    "grabbed": grabbed,
    "let go": let_go,
    "torn": torn,
    "chattering": chattering,
    "hole": hole,
    "heads": heads,
    "noted": noted,
    "crackish": crackish,
    "caught": caught,
    "near": near_wood,
    "glue": _glue,
    "wood": wood,
    "name": name,
    "food": food,
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
            broken = COMMA if entry.misheard else PAUSE  # "just a little band, so it looks on purpose"
            if any(reading.border[k] >= broken for k in range(hit.start + 1, hit.end)):
                continue
            if not entry.needs or CHECKS[entry.needs](reading, mention):
                reading.terms.append(mention)
                taken = hit.end
                break
    taken_tokens = {k for m in reading.terms for k in range(m.start, m.end)}
    extra = [*repair.repaired(reading, taken_tokens), *described(reading, taken_tokens)]
    if extra:
        reading.terms[:] = sorted([*reading.terms, *extra], key=lambda m: m.start)
    return reading.terms
