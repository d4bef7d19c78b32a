"""What a form says about a fact."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Any

from shoplog.facts import Fact
from shoplog.log import KeptFact
from shoplog.typed import typed_number


def mark(kept: KeptFact) -> str:
    """Tells whether a fact under a number is still the one that was shown."""
    fact = kept.heard or kept.fact
    shown = (kept.recording_id, fact.kind, fact.item, round(fact.start, 2), fact.quote, kept.correction_id)
    return hashlib.sha256(repr(shown).encode()).hexdigest()[:16]


def changes_of(form: Mapping[str, str], heard: Fact) -> dict[str, Any]:
    """The fields that the form gives otherwise than they were heard. A field that is not in the form stays.

    ``number`` alone is the value; with ``upto`` the two are the ends of a range. Raises InputError.
    """
    wanted: dict[str, Any] = {}
    if "number" in form or "upto" in form:
        first, last = typed_number(form.get("number", "")), typed_number(form.get("upto", ""))
        # "From 180" was heard without an end: the one number is its beginning still.
        open_ended = last is None and heard.value is None and heard.low is not None and heard.high is None
        wanted |= (
            {"value": None, "low": first, "high": last}
            if last is not None or open_ended
            else {"value": first, "low": None, "high": None}
        )
    for name in ("kind", "status"):
        if form.get(name):
            wanted[name] = form[name]
    for name in ("unit", "item"):
        if name in form:
            wanted[name] = " ".join(form[name].lower().split() if name == "item" else form[name].split()) or None
    return {name: value for name, value in wanted.items() if value != getattr(heard, name)}
