"""The conditions that a question was understood as, as fields of a form that change them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from shoplog.errors import InputError
from shoplog.search import Query
from shoplog.search.query import WANTS, parse_beside, parse_bounds

#: Between several values of one condition, any of which will do.
OR = "|"
LISTS = {
    "kinds": "Kind", "items": "About", "species": "Wood", "operations": "Operation", "statuses": "Claimed as",
    "words": "Said near it",
}  # fmt: skip
SINGLE = {"bounds": "Number", "diameter": "Diameter of the piece", "since": "From the day", "until": "Up to the day",
          "project": "Project", "want": "Wanted"}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Field:
    """One field of the form."""

    name: str
    label: str
    value: str
    hint: str = ""


HINTS = {"bounds": "800rpm.., ..20%, 1/2in", "diameter": "12in..", "since": "2025-03-01", "until": "2025-12-31",
         "kinds": "speed | grit", "want": " ".join(WANTS), "statuses": "done | planned"}  # fmt: skip


def fields(query: Query) -> list[Field]:
    """The conditions of a query, each as text; those that are open are empty."""
    texts = {name: f" {OR} ".join(getattr(query, name)) for name in LISTS}
    texts |= {name: str(getattr(query, name) or "") for name in SINGLE}
    texts["beside"] = f" {OR} ".join(str(b) for b in query.beside)
    labels = {**LISTS, **SINGLE, "beside": "With, beside it"}
    return [Field(name, label, texts[name], HINTS.get(name, "")) for name, label in labels.items()]


def edited(query: Query, form: Mapping[str, str]) -> Query:
    """The query with the conditions of the form in place of its own; an empty one is open. Raises InputError."""
    given = {name: " ".join((form.get(name) or "").split()) for name in (*LISTS, *SINGLE, "beside")}
    made: dict[str, Any] = {name: _several(given[name]) for name in LISTS}
    kind = next(iter(made["kinds"]), None)
    made["bounds"] = parse_bounds(given["bounds"], kind) if given["bounds"] else None
    made["diameter"] = parse_bounds(given["diameter"], "dimension") if given["diameter"] else None
    made["beside"] = tuple(parse_beside(b) for b in _several(given["beside"]))
    made |= {name: _day(given[name]) for name in ("since", "until")}
    made["project"] = given["project"] or None
    if given["want"] and given["want"] not in WANTS:
        raise InputError(f'"{given["want"]}" can\'t be wanted; use one of {", ".join(WANTS)}, or nothing.')
    made["want"] = given["want"] or None
    return replace(query, **made)


def _several(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(OR) if part.strip())


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text) if text else None
    except ValueError:
        raise InputError(f'"{text}" is no day; write it like 2025-03-14.') from None
