"""Safety remarks that apply to what was stated: short, once each, with their source."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from itertools import islice
from typing import Any

from shoplog.reckon.derived import Derived, Input
from shoplog.reckon.statements import Stated
from shoplog.trade.woods import find

#: So many statements are named as the reason of a caution; more would not say more.
_REASONS = 3
_LIVE = ("done", "planned")
#: What was said not to be, or to be gone, calls for no caution.
_ENDED = ("gone", "repaired")


@dataclass(frozen=True, slots=True)
class Matcher:
    """What a statement must be: see the head of ``cautions.toml``."""

    kind: str | None
    items: frozenset[str]
    words: re.Pattern[str] | None
    attrs: Mapping[str, Any]
    said: re.Pattern[str] | None
    hints: tuple[str, ...]

    def heard(self, text: str) -> bool:
        """Whether spoken text says it. The hints are parts of words in lower case, a quick first look at long text."""
        if self.said is not None:
            for hint in self.hints:
                if hint in text:
                    return self.said.search(text) is not None
        return False

    def fits(self, stated: Stated) -> bool:
        """Whether the statement is one that this matcher is about."""
        fact = stated.fact
        return (
            fact.status in _LIVE
            and (not self.items or fact.item in self.items)
            and fact.attrs.get("change") not in _ENDED
            and all(fact.attrs.get(k) == v for k, v in self.attrs.items())
            and (self.words is None or self.words.search(f"{fact.quote} {fact.item or ''}") is not None)
        )


@dataclass(frozen=True, slots=True)
class Rule:
    """One caution of the data file; it applies when each list of ``needs`` has something that fits."""

    id: str
    text: str
    source: str
    needs: tuple[tuple[Matcher, ...], ...]


@cache
def rules() -> tuple[Rule, ...]:
    """The cautions of the data file."""
    table = tomllib.loads((files(__package__) / "cautions.toml").read_text(encoding="utf-8"))
    return tuple(
        Rule(c["id"], c["text"], c["source"], tuple(tuple(map(_matcher, some)) for some in c["needs"]))
        for c in table["caution"]
    )


@cache
def listener(rule_id: str) -> Matcher:
    """What is listened for in spoken words by a caution. Raises StopIteration if it listens for nothing."""
    return next(m for rule in rules() if rule.id == rule_id for some in rule.needs for m in some if m.said)


def _matcher(row: Mapping[str, Any]) -> Matcher:
    def compiled(name: str) -> re.Pattern[str] | None:
        return re.compile(row[name], re.IGNORECASE) if name in row else None

    items = frozenset(row.get("items", ()))
    return Matcher(
        row.get("kind"), items, compiled("words"), row.get("attrs", {}), compiled("said"), tuple(row.get("hints", ()))
    )


def cautions(stated: Sequence[Stated], spoken: Iterable[str] = ()) -> list[Derived]:
    """The cautions that apply to the statements and the ``spoken`` lines around them, once each; dust by wood last."""
    by_kind: dict[str, list[Stated]] = {}
    for statement in stated:
        by_kind.setdefault(statement.fact.kind, []).append(statement)
    lines = "\n".join(spoken).lower()
    found = []
    for rule in rules():
        reasons: list[Stated] = []
        for alternatives in rule.needs:
            fitting = (s for m in alternatives if m.kind for s in by_kind.get(m.kind, ()) if m.fits(s))
            first = list(islice(fitting, _REASONS))
            if not first and not any(m.heard(lines) for m in alternatives):
                break
            reasons += first
        else:
            found.append(_caution(rule.id, rule.text, rule.source, reasons))
    return found + _dust(by_kind.get("species", ()))


def _dust(species: Iterable[Stated]) -> list[Derived]:
    """What the table knows of the dust of each wood stated."""
    found = {}
    for stated in species:
        match = find(stated.fact.item)
        if stated.fact.status not in _LIVE or match.how in ("unknown", "similar"):
            continue
        for wood in match.woods:
            if wood.dust_note and wood.common_name not in found:
                text = f"{wood.dust_note}. About some people, some of the time; no note would not mean safe."
                found[wood.common_name] = _caution(f"dust of {wood.common_name}", text, wood.dust_source, [stated])
    return list(found.values())


def dust_of(species: str) -> list[Derived]:
    """The dust notes of a wood that was named, not stated in a recording."""
    match = find(species)
    return [
        _caution(f"dust of {w.common_name}", f"{w.dust_note}. About some people, some of the time.", w.dust_source, [])
        for w in match.woods
        if w.dust_note and match.how not in ("unknown", "similar")
    ]


def _caution(name: str, text: str, source: str, reasons: Sequence[Stated]) -> Derived:
    inputs: dict[str, Input] = {}
    for stated in reasons:
        fact = stated.fact
        key = " ".join(filter(None, (fact.kind, fact.item)))
        inputs.setdefault(key, stated.input())
    first = reasons[0] if reasons else None
    return Derived(
        what=name,
        unit=None,
        formula="",
        source=source,
        label="caution",
        inputs=inputs,
        note=text,
        recording_id=first.recording_id if first else None,
        at=first.fact.start if first else None,
    )
