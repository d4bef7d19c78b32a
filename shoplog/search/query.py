"""A question as conditions, and the one line in which they are shown and edited."""

from __future__ import annotations

import shlex
from dataclasses import dataclass, fields, replace
from datetime import date
from typing import Any, Literal, get_args

from shoplog.errors import InputError
from shoplog.facts import SI_UNITS
from shoplog.search.units import KIND_UNITS, from_si, same_dimension, si
from shoplog.store import conditions as on
from shoplog.store.conditions import Condition
from shoplog.wording import number as in_words

#: What is asked about the facts: all of them (None), the newest or first one, how many, when, how long a kind of work
#: took, whether it was done, which pieces or woods, the largest or smallest number, the finish of most or fewest coats.
Want = Literal[
    "last",
    "first",
    "count",
    "when",
    "time",
    "did",
    "pieces",
    "woods",
    "highest",
    "lowest",
    "most coats",
    "fewest coats",
]
WANTS: tuple[str, ...] = get_args(Want)
#: Those that ask for the first of an order by number.
BY_NUMBER = ("highest", "lowest", "most coats", "fewest coats")

#: A number that was said "about" or in another system of measures is the same within this part of itself: half an
#: inch is what others call 12 or 13 mm.
NEAR = 0.06


@dataclass(frozen=True, slots=True)
class Bounds:
    """Numbers from ``low`` to ``high`` in ``unit``, both ends included; None where there is no end.

    ``about`` is one number as it was asked for; then ``low`` and ``high`` are None.
    """

    unit: str
    low: float | None = None
    high: float | None = None
    about: float | None = None

    def si(self) -> tuple[float, float]:
        """The ends in SI; a number asked for alone reaches a little to both sides."""
        if self.about is not None:
            middle = si(self.about, self.unit)
            reach = abs(middle) * NEAR if SI_UNITS.get(self.unit) in ("m", "kg", "s") else abs(middle) * 1e-6
            return middle - reach, middle + reach
        low = float("-inf") if self.low is None else si(self.low, self.unit)
        high = float("inf") if self.high is None else si(self.high, self.unit)
        return low, high

    def holds(self, low: float | None, high: float | None) -> bool:
        """Whether a stated number (both ends alike) or range, in SI, lies in or touches these bounds."""
        if low is None or high is None:
            return False
        start, end = self.si()
        return high >= start - 1e-9 and low <= end + 1e-9

    def condition(self, name: str = "") -> Condition:
        """On the number of a fact."""
        return on.number_within(*self.si(), SI_UNITS.get(self.unit), name)

    def __str__(self) -> str:
        """``12in..``, ``..20%``, ``800rpm..1200rpm`` or ``0.5in``: what `parse_bounds` reads."""
        if self.about is not None:
            return f"{in_words(self.about)}{self.unit}"
        return "..".join("" if n is None else f"{in_words(n)}{self.unit}" for n in (self.low, self.high))


@dataclass(frozen=True, slots=True)
class Beside:
    """Another fact that must stand beside the wanted one: of this kind, of one of these items, with this number."""

    kind: str
    items: tuple[str, ...] = ()
    bounds: Bounds | None = None

    def __str__(self) -> str:
        items = "|".join(self.items)
        name = f"{self.kind}:{items}" if items else self.kind
        return f"{name}={self.bounds}" if self.bounds else name


@dataclass(frozen=True, slots=True)
class Query:
    """Conditions on facts, all of which must hold; in one condition, any of its values.

    ``bounds`` is on the number of the wanted facts, ``diameter`` on that of the piece when they were stated.
    ``words`` were not understood and are looked for in what was said. ``said`` are the words for the passages.
    """

    kinds: tuple[str, ...] = ()
    items: tuple[str, ...] = ()
    species: tuple[str, ...] = ()
    operations: tuple[str, ...] = ()
    bounds: Bounds | None = None
    diameter: Bounds | None = None
    beside: tuple[Beside, ...] = ()
    statuses: tuple[str, ...] = ()
    since: date | None = None
    until: date | None = None
    project: str | None = None
    other_piece: bool = False
    words: tuple[str, ...] = ()
    want: Want | None = None
    said: tuple[tuple[str, ...], ...] = ()

    @property
    def empty(self) -> bool:
        """True where no condition at all was understood and no word is left to look for."""
        return not any(getattr(self, f.name) for f in fields(self) if f.name not in ("want", "other_piece"))


#: Conditions in the order in which they are shown, with the option that sets each.
OPTIONS = {
    "kinds": "--kind",
    "items": "--item",
    "bounds": "--number",
    "species": "--species",
    "operations": "--operation",
    "diameter": "--diameter",
    "beside": "--beside",
    "statuses": "--status",
    "since": "--since",
    "until": "--until",
    "project": "--project",
    "words": "--word",
    "want": "--want",
}


def as_line(query: Query) -> str:
    """The conditions as the options that set them, ready to be edited and given again."""
    parts: list[str] = []
    for name, option in OPTIONS.items():
        value = getattr(query, name)
        for one in value if isinstance(value, tuple) else (value,):
            if one is not None:
                parts += [option, shlex.quote(str(one))]
    if query.other_piece:
        parts.append("--other-piece")
    return " ".join(parts)


def parse_bounds(text: str, kind: str | None = None) -> Bounds:
    """Bounds from ``800``, ``800rpm..``, ``..20%``, ``10in..12in``, ``1/2in`` or ``10-12 in``. Raises InputError.

    A number without a unit is in the unit of the ``kind``.
    """
    from shoplog.search.amounts import one

    low, dots, high = text.partition("..")
    ends = [one(part, kind) if part.strip() else None for part in ((low, high) if dots else (text,))]
    given = [e for e in ends if e is not None]
    unit = next((e.unit for e in reversed(given) if e.unit), KIND_UNITS.get(kind or "", ""))
    if not given or not unit:
        raise InputError(f'Write "{text}" as a number with its unit, like 800rpm, 12in.., ..20% or 10in..12in.')
    if not all(same_dimension(e.unit or unit, unit) for e in given):
        raise InputError(f'The two ends of "{text}" are in different kinds of units.')
    if not dots:
        return replace(given[0], unit=unit)
    return Bounds(unit, *(_end(e, unit) for e in ends))


def _end(end: Bounds | None, unit: str) -> float | None:
    if end is None or end.about is None or end.unit in ("", unit):
        return end.about if end else None
    return from_si(si(end.about, end.unit), unit)


def parse_beside(text: str) -> Beside:
    """A condition on another fact: ``tool:bowl gouge``, ``moisture=..20%``, ``defect:crack``. Raises InputError."""
    from shoplog.facts import KINDS

    name, _, bounds = text.partition("=")
    kind, _, items = name.partition(":")
    kind = kind.strip().lower()
    if kind not in KINDS:
        raise InputError(f'"{kind}" is no kind of fact; use one of {", ".join(KINDS)}.')
    chosen = tuple(i.strip() for i in items.split("|") if i.strip())
    return Beside(kind, chosen, parse_bounds(bounds, kind) if bounds else None)


def override(query: Query, **conditions: Any) -> Query:
    """The query with the given conditions in place of those understood; None and () leave what was understood."""
    return replace(query, **{k: v for k, v in conditions.items() if v not in (None, (), False)})
