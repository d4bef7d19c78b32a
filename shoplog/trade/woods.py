"""The table of woods, and what a spoken name of a wood can mean in it.

``woods.csv`` holds, per species: names, botanical name, specific gravity (oven-dry mass over green volume, and at
12 %), green moisture of heartwood and sapwood (%), shrinkage from green to oven dry (%, radial, tangential,
volumetric), coefficients of change per percent of moisture, a note on its dust, and the source. ``from_memory`` lists
the columns of a row that were written down from memory and not checked against a page; a result that rests on one
says so.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from functools import cache
from typing import Literal

from shoplog.trade import rows

#: Words for figure, colour or condition: they stand before the name of a wood and do not change which wood it is.
_FIGURE = frozenset(
    ("ambrosia", "bird's", "birdseye", "blank", "burl", "burly", "crotch", "curly", "dry", "eye", "fiddleback",
     "figured", "flame", "flamed", "green", "log", "quartersawn", "quilted", "seasoned", "spalted", "tiger", "wet",
     "wood")
)  # fmt: skip
#: Names that end like a wood's but are of another kin.
_FALSE_KIN = frozenset(
    ("autumn olive", "brazilian cherry", "brazilian walnut", "crepe myrtle", "desert ironwood", "horse chestnut",
     "mountain ash", "river red gum", "russian olive", "she oak", "sheoak", "silky oak", "tasmanian myrtle",
     "tasmanian oak")
)  # fmt: skip

How = Literal["named", "taken as", "any of", "similar", "unknown"]


@dataclass(frozen=True, slots=True)
class Wood:
    """One species of the table; figures are None where the table has none. Moisture and shrinkage in percent."""

    common_name: str
    trade_names: tuple[str, ...]
    botanical_name: str
    group: str
    sg_green: float | None
    sg_12: float | None
    green_mc_heartwood: float | None
    green_mc_sapwood: float | None
    shrink_radial: float | None
    shrink_tangential: float | None
    shrink_volumetric: float | None
    coef_radial: float | None
    coef_tangential: float | None
    dust_note: str
    dust_source: str
    source: str
    from_memory: frozenset[str]
    note: str

    def source_of(self, *columns: str) -> str:
        """The source of these figures, saying which of them are from memory."""
        memory = [c for c in columns if c in self.from_memory]
        named = ", ".join(c.replace("_", " ") for c in memory)
        return f"{self.source} ({named} from memory)" if memory else self.source


@dataclass(frozen=True, slots=True)
class Match:
    """What a spoken name can mean. ``how``:

    * named: the one species of that name.
    * taken as: a plain name that only one species of the table goes by.
    * any of: a plain or trade name of several species ("maple").
    * similar: not in the table; the woods of the same name in it ("english walnut").
    * unknown: nothing to go by; the domestic hardwoods.
    """

    said: str | None
    woods: tuple[Wood, ...]
    how: How

    @property
    def one(self) -> Wood | None:
        """The single species, where there is one."""
        return self.woods[0] if len(self.woods) == 1 and self.how in ("named", "taken as") else None

    def source_of(self, *columns: str) -> str:
        """The source of these figures, saying which of them are from memory."""
        if self.one:
            return self.one.source_of(*columns)
        memory = sum(1 for w in self.woods if w.from_memory & set(columns))
        return f"table of woods, {len(self.woods)} species" + (f" ({memory} of them from memory)" if memory else "")

    def words(self) -> str:
        """What the figures are of, in words."""
        names = ", ".join(w.common_name for w in self.woods)
        if self.how == "named":
            return names
        if self.how == "taken as":
            return f"{self.said}, taken as {names}"
        if self.how == "any of":
            return f"{self.said}: any of {names}"
        if self.how == "similar":
            return f"{self.said} is not in the table; range over similar woods: {names}"
        who = f"{self.said} is not in the table" if self.said else "species not stated"
        return f"{who}; range over the {len(self.woods)} domestic hardwoods of the table"


def _split(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(";") if part.strip())


@cache
def woods() -> tuple[Wood, ...]:
    """All species of the table."""
    found = []
    for row in rows("woods.csv"):
        values: dict[str, object] = {}
        for field in fields(Wood):
            text = row[field.name]
            if field.name == "trade_names":
                values[field.name] = _split(text)
            elif field.name == "from_memory":
                values[field.name] = frozenset(_split(text))
            elif field.type == "float | None":
                values[field.name] = float(text) if text else None
            else:
                values[field.name] = text
        found.append(Wood(**values))  # type: ignore[arg-type]
    return tuple(found)


def _plain(name: str) -> str:
    return " ".join(name.lower().replace("-", " ").split())


def _bare_trade_name(name: str) -> str:
    """A trade name without the remark in brackets that says where it is used."""
    return _plain(name.split("(")[0])


@cache
def _by_name() -> dict[str, tuple[Wood, ...]]:
    """Every name in the table to its woods, and every last word of a common name to all woods that end so."""
    found: dict[str, dict[str, Wood]] = {}
    for wood in woods():
        for name in (wood.common_name.rsplit(" ", 1)[-1], *map(_bare_trade_name, wood.trade_names)):
            found.setdefault(_plain(name), {})[wood.common_name] = wood
        for name in wood.trade_names:  # "boxelder" and "box elder" are one
            found.setdefault(_bare_trade_name(name).replace(" ", ""), {})[wood.common_name] = wood
    return {name: tuple(of.values()) for name, of in found.items()}


@cache
def _by_common_name() -> dict[str, Wood]:
    return {_plain(w.common_name): w for w in woods()} | {w.botanical_name.lower(): w for w in woods()}


@cache
def find(said: str | None) -> Match:
    """What the wood ``said`` can be: a common, trade or botanical name, with or without words for its figure."""
    name = _plain(said or "")
    if not name:
        return Match(None, _hardwoods(), "unknown")
    for candidate in (name, " ".join(w for w in name.split() if w not in _FIGURE)):
        if candidate in _by_common_name():
            return Match(said, (_by_common_name()[candidate],), "named")
        if candidate in _by_name():
            found = _by_name()[candidate]
            return Match(said, found, "taken as" if len(found) == 1 else "any of")
    kin = _by_name().get(name.rsplit(" ", 1)[-1], ())
    if kin and name not in _FALSE_KIN and " " in name:
        return Match(said, kin, "similar")
    return Match(said, _hardwoods(), "unknown")


@cache
def _hardwoods() -> tuple[Wood, ...]:
    return tuple(w for w in woods() if w.group == "domestic hardwood")
