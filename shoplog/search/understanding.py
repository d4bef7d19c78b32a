"""A question in the maker's words to conditions. Nothing here reads the log."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import cast

from shoplog.facts import SI_UNITS
from shoplog.search import dates, vocabulary
from shoplog.search.amounts import Amount, read, tokens
from shoplog.search.query import Beside, Bounds, Query, Want
from shoplog.search.units import KIND_UNITS, UNIT_KINDS
from shoplog.search.vocabulary import Match, Meaning

#: No question of a person is longer; the rest is cut off.
LONGEST = 400
#: Where a phrase asks for several things, the one that says more comes first.
_WANTS: tuple[Want, ...] = (
    "most coats",
    "fewest coats",
    "time",
    "count",
    "last",
    "first",
    "highest",
    "lowest",
    "when",
    "pieces",
    "did",
)
#: Ways of holding that are parts of the piece, with sizes of their own.
_PARTS = frozenset(("tenon", "mortise"))
_DIMENSIONS = frozenset(("diameter", "width", "length", "height", "depth", "thickness"))
#: Words between two things that are compared.
_BETWEEN = frozenset(("or", "than", "versus", "vs"))
_ASKING = frozenset(("what", "which", "how", "who", "where", "when", "whose", "why"))
_AUXILIARY = frozenset(("did", "do", "does", "have", "has", "had", "is", "are", "am", "was", "were"))
_USED = frozenset(("use", "used", "put", "pour", "poured"))
#: Defects that are filled or glued.
_FILLED = frozenset(("crack", "void", "bark inclusion", "knot", "worm holes", "ring shake", "rot"))
#: What a number of moisture says already.
_WET = frozenset(("wet", "dry", "damp", "green"))


@dataclass
class _Found:
    """What was found so far, in the order of the question."""

    kinds: list[str] = field(default_factory=list)
    dimensions: list[str] = field(default_factory=list)
    items: list[tuple[str, str]] = field(default_factory=list)
    species: list[str] = field(default_factory=list)
    operations: list[str] = field(default_factory=list)
    wants: set[str] = field(default_factory=set)
    superlatives: list[str] = field(default_factory=list)
    statuses: list[str] = field(default_factory=list)
    outcomes: list[str] = field(default_factory=list)
    compared: bool = False
    places: dict[tuple[str, str], int] = field(default_factory=dict)


def understand(question: str, today: date | None = None) -> Query:
    """The conditions that a question states. Never raises: what is not understood becomes words to look for.

    ``today`` is what "last year" rests on (the day of the call without it).
    """
    stream = tokens(" ".join(question.split())[:LONGEST])
    text = list(stream.text)
    taken = [False] * len(text)
    when = dates.find(text, today or date.today())
    if when:
        _take(taken, when.start, when.end)
    amounts = [a for a in read(stream) if not any(taken[a.start : a.end]) and not _is_count(text, a)]
    for amount in amounts:
        _take(taken, amount.start, amount.end)
    words = _phrases(text, taken)
    matches = vocabulary.match(text, taken)
    found = _sorted_out(matches, text)
    for m in matches:
        _take(taken, m.start, m.end)
    words += [
        t for i, t in enumerate(text)
        if not taken[i] and any(c.isalnum() for c in t) and vocabulary.stem(t) not in vocabulary.ignored()
    ]  # fmt: skip
    words = list(dict.fromkeys(words))
    query = _conditions(found, amounts, text)
    parts = cast("tuple[str, ...]", query.pop("parts"))
    if any(a.bounds.unit == "%" for a in amounts):
        words = [w for w in words if w not in _WET]
    words += [p for p in parts if p not in words]
    if found.compared and len(words) + len(found.species) > 1 and words:
        # "The burl or the yew": either of them, whether it is a name or a wood.
        words, query["species"] = ["|".join([*words, *found.species])], ()
    if when and not any(v for k, v in query.items() if k != "want"):
        query["want"] = "pieces"  # "what did I do in January"
    return Query(
        **query,  # type: ignore[arg-type]
        since=when.since if when else None,
        until=when.until if when else None,
        words=tuple(words),
        said=_said(found, words),
    )


def _phrases(text: Sequence[str], taken: list[bool]) -> list[str]:
    """Words that are looked for together ("end grain"), taken out of the question."""
    found = []
    for phrase in vocabulary.tables()["together"]["phrases"]:
        words = phrase.split()
        for i in range(len(text) - len(words) + 1):
            if list(text[i : i + len(words)]) == words and not any(taken[i : i + len(words)]):
                _take(taken, i, i + len(words))
                found.append(phrase)
    return found


def _take(taken: list[bool], start: int, end: int) -> None:
    taken[start:end] = [True] * (end - start)


def _is_count(text: Sequence[str], amount: Amount) -> bool:
    """Numbers that are no measure: "two times", "the first one", "one of the bowls"."""
    if amount.stated:
        return False
    after = text[amount.end] if amount.end < len(text) else ""
    number = amount.bounds.about
    return after in ("times", "time", "of", "more", "jaw", "part", "prong") or (
        number is not None and number <= 1 and text[amount.start] in ("a", "an", "one")
    )


def _sorted_out(matches: Sequence[Match], text: Sequence[str]) -> _Found:
    found = _Found()
    for m in matches:
        for meaning in m.meanings:
            _file(found, meaning, m, text)
    return found


def _file(found: _Found, meaning: Meaning, m: Match, text: Sequence[str]) -> None:
    value = meaning.value
    if meaning.role == "kind":
        found.kinds.append(value)
    elif meaning.role == "dimension":
        found.dimensions.append(value)
    elif meaning.role == "operation":
        found.operations.append(value)
    elif meaning.role == "want":
        found.wants.add(value)
    elif meaning.role == "superlative":
        found.superlatives.append(value)
    elif meaning.role == "status":
        if value != "denied" or m.end < len(text) or text[m.start] not in ("no", "not"):
            found.statuses.append(value)
    elif meaning.role == "comparative":
        if _BETWEEN & set(text):
            want, _, about = value.partition(" ")
            found.compared = True
            found.wants.add(want)
            found.superlatives.append(about)
    elif meaning.role == "outcome":
        found.outcomes.append(value)
    elif meaning.kind == "species":
        found.species.append(value)
    else:
        found.items.append((meaning.kind, value))
        found.places.setdefault((meaning.kind, value), m.start)


def _conditions(found: _Found, amounts: Sequence[Amount], text: Sequence[str]) -> dict[str, object]:
    """The fields of the query: which kind is asked for, and what the rest says about it."""
    kinds = list(dict.fromkeys(found.kinds))
    item_kinds = list(dict.fromkeys(kind for kind, _ in found.items))
    kinds, dimensions = _dimensions(found, kinds, text)
    sized = [(k, i) for k, i in found.items if k in ("tool", "workholding", "defect")]
    parts: list[str] = []
    if sized and (kinds == ["dimension"] or dimensions):
        if all(i in _PARTS for _, i in sized):
            # The size of a tenon is a dimension of a part of the piece; that of a gouge or a crack is its own.
            parts = [i for _, i in sized]
            found.items = [f for f in found.items if f not in sized]
            item_kinds = list(dict.fromkeys(kind for kind, _ in found.items))
        else:
            kinds, dimensions = [], []
    how_long = _follows(text, "how", "long")
    if how_long and not kinds and not dimensions:
        kinds = ["duration"]
    if not kinds and not dimensions and text[:1] in (["who"], ["whose"], ["whom"]):
        kinds = ["credit"]
    if (
        not kinds
        and not dimensions
        and item_kinds == ["defect"]
        and text[:1] in (["what"], ["how"])
        and ("repair" in found.operations or _USED & set(text))
        and all(i in _FILLED for _, i in found.items)
    ):
        kinds = ["adhesive"]  # "how did I fill the crack", "what did I use in the void"
    if "planned" in found.statuses and "again" in text:
        kinds, dimensions = ["followup"], []  # "when will I weigh it again"
    if not kinds and not dimensions and found.superlatives:
        kind, _, item = found.superlatives[0].partition(":")
        if kind != "dimension" or not sized:  # the biggest gouge is a gouge
            kinds, dimensions = [kind], [item] if item else []
    if dimensions:
        kinds = ["dimension"]
    if dimensions == ["width"]:
        dimensions = ["width", "diameter"]  # "how wide" of something round
    unit_kinds = [UNIT_KINDS.get(SI_UNITS.get(a.bounds.unit, ""), "") for a in amounts]
    if not kinds and not item_kinds:
        # A number of a unit that belongs to one kind asks for that kind; a percentage may be of the air.
        named = [k for k in unit_kinds if k]
        kinds = named[-1:]
    wants = _wanted(found.wants, text)
    if text[:1] and text[0] in _AUXILIARY and found.items and not wants:
        wants.add("did")  # "was accelerator used", "did anything warp"
    if found.outcomes:
        wants.discard("did")  # what became of it is no yes or no
    if found.outcomes and not kinds and not dimensions and not item_kinds:
        # How a piece came through is told by what went wrong with it; the pieces that did, by what did not.
        kinds = ["defect"]
        if "pieces" in wants and "whole" in found.outcomes and not found.statuses:
            found.statuses.append("denied")
    if (
        not kinds
        and not item_kinds
        and found.operations
        and not wants & {"time", "when", "count", "did", "last", "first"}
    ):
        kinds = [k for o in found.operations for k in vocabulary.tables()["asks"].get(o, [])][:1]
    asks_wood = kinds == ["species"] and bool(item_kinds or amounts or found.operations)
    if asks_wood:
        # "Which woods cracked": the woods of the pieces of which the rest is true.
        kinds = [] if item_kinds else [k for k in unit_kinds if k][-1:] or ["speed"]
    target = kinds or item_kinds[:1]
    if not kinds and "reported" in found.statuses and any(w.startswith(("say", "said")) for w in text) and found.items:
        target = []  # whatever the label says of it
    items = [i for k, i in found.items if k in target] or ([] if "dimension" not in target else dimensions)
    beside = [Beside(k, tuple(i for kk, i in found.items if kk == k)) for k in item_kinds if k not in target]
    bounds, diameter = None, None
    for amount in amounts:
        bounds, diameter, more = _placed(amount, target, found, bounds, diameter, text)
        beside = _joined(beside, more)
    implied = {o for kind in target for o in vocabulary.tables()["drop"].get(kind, [])}
    operations = [o for o in dict.fromkeys(found.operations) if o not in implied]
    # "Grits inside the bowl": where, not when.
    sides = [w for w in text if w in ("inside", "outside")] if "grit" in target else []
    species = list(dict.fromkeys(found.species))
    if target == ["duration"] and operations and not found.items:
        wants.add("time")
    if not target and not operations:
        wants.discard("did")  # what was asked for was not understood: no yes, no no
    want = "woods" if asks_wood else next((w for w in _WANTS if w in wants), None)
    return {
        "kinds": tuple(target),
        "items": tuple(dict.fromkeys(items)),
        "species": tuple(species),
        "operations": tuple(operations),
        "bounds": bounds,
        "diameter": diameter,
        "beside": tuple(beside),
        "statuses": tuple(dict.fromkeys(found.statuses)),
        "want": want,
        "parts": (*parts, *sides),
    }


def _wanted(wants: set[str], text: Sequence[str]) -> set[str]:
    """Without those that only stood in a side clause: "did I" after "what speed", "when" inside "when it cracked"."""
    at = _where_it_asks(text)
    asks = text[at] if text else ""
    wants = set(wants)
    made = text[at + 1 : at + 2] if asks in ("what", "which") else text[:1]
    if any(
        vocabulary.stem(w) in vocabulary.forms() and (w != vocabulary.stem(w) or asks in ("what", "which"))
        for w in made
    ):
        wants.add("pieces")  # "bowls over 12 inches", "which bowl cracked"
    if asks in _ASKING:
        wants.discard("did")
    if asks != "when" and not any(w in ("day", "date", "month") for w in text):
        wants.discard("when")
    if "pieces" in wants and asks not in ("what", "which") and "pieces" not in text[:1] and not text[0].endswith("s"):
        wants.discard("pieces")
    return wants


def _where_it_asks(text: Sequence[str]) -> int:
    """Where the word stands that asks: "the fruit bowl, how wet was it" asks how; "when hollowing elm" does not ask."""
    for i, word in enumerate(text):
        if word in ("when", "where") and not _AUXILIARY & set(text[i + 1 : i + 2]):
            continue
        if word in _AUXILIARY or word in _ASKING:
            return i
    return 0


def _follows(text: Sequence[str], *words: str) -> bool:
    return any(tuple(text[i : i + len(words)]) == words for i in range(len(text)))


def _dimensions(found: _Found, kinds: list[str], text: Sequence[str]) -> tuple[list[str], list[str]]:
    """A dimension's name asks for it only where no other kind is asked for: "on a 10 inch diameter bowl" does not."""
    if "dimension" in kinds and len(kinds) > 1:
        kinds = [k for k in kinds if k != "dimension"]
    if kinds and kinds != ["dimension"]:
        return kinds, []
    names = list(dict.fromkeys(found.dimensions))
    if "wall thickness" in names:
        names = ["wall thickness"]
    asked = text[:1] == ["how"] or not found.items or bool({"what", "which", *_DIMENSIONS} & set(text))
    return (["dimension"], names) if names and asked else (kinds, [])


def _placed(
    amount: Amount,
    target: Sequence[str],
    found: _Found,
    bounds: Bounds | None,
    diameter: Bounds | None,
    text: Sequence[str],
) -> tuple[Bounds | None, Bounds | None, Beside | None]:
    """Whose number it is: the wanted facts', the piece's diameter, or another fact's beside them."""
    number = amount.bounds
    first = target[0] if target else ""
    owner = next(
        ((k, i) for (k, i), place in sorted(found.places.items(), key=lambda p: p[1])
         if k in ("tool", "workholding") and 0 <= place - amount.end <= 1), None,
    )  # fmt: skip
    if not number.unit:
        number = _with_unit(amount, owner[0] if owner else first)
        if not number.unit:
            return bounds, diameter, None
    if number.unit == "grit" and number.about is not None and amount.order:
        # The grits that come after or before one, without it.
        after = amount.order == "after"
        number = Bounds("grit", number.about + 1 if after else None, None if after else number.about - 1)
    dimension = SI_UNITS[number.unit]
    if dimension == "m":
        if owner and owner[0] in target:
            return number, diameter, None
        if owner:
            return bounds, diameter, Beside(owner[0], (owner[1],), number)
        if first in ("dimension", "defect"):
            return number, diameter, None
        return bounds, number, None
    if dimension == "%" and ("humidity" in found.kinds or "humidity" in target):
        return (number, diameter, None) if first == "humidity" else (bounds, diameter, Beside("humidity", (), number))
    kind = UNIT_KINDS[dimension]
    if kind in target or first == "followup":
        return number, diameter, None
    return bounds, diameter, Beside(kind, (), number)


def _with_unit(amount: Amount, kind: str) -> Bounds:
    """A bare number in the unit that the wanted kind is measured in."""
    b, unit = amount.bounds, KIND_UNITS.get(kind, "")
    if not unit and b.about is None and max(b.low or 0, b.high or 0) >= 200:
        unit = "rpm"
    about = b.about
    if about is not None and unit in ("rpm", "grit") and amount.count is not None:
        about = amount.count
    if about is not None and unit == "in" and amount.size is not None:
        about = amount.size
    return Bounds(unit, b.low, b.high, about)


def _joined(beside: list[Beside], more: Beside | None) -> list[Beside]:
    """``more`` in place of the condition without a number on the same item."""
    if more is None:
        return beside
    return [b for b in beside if not (b.kind == more.kind and set(b.items) <= set(more.items))] + [more]


def _said(found: _Found, words: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    """What to look for in what was said: per condition, the ways of saying it."""
    groups: list[tuple[str, ...]] = [tuple(w.split("|")) for w in words]
    groups += [vocabulary.synonyms(i) for _, i in found.items]
    groups += [(s,) for s in found.species]
    groups += [tuple(vocabulary.tables()["operations"].get(o, [o])) for o in dict.fromkeys(found.operations)]
    return tuple(dict.fromkeys(groups))
