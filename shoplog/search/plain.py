"""Answers and pages as mappings for JSON."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from datetime import date
from typing import Any

from shoplog.facts import Fact


def as_mapping(value: Any) -> Any:
    """Dataclasses as mappings all the way down, facts as ``Fact.as_json`` gives them, dates in ISO form."""
    if isinstance(value, Fact):
        return value.as_json()
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: as_mapping(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, tuple | list):
        return [as_mapping(v) for v in value]
    if isinstance(value, dict):
        return {k: as_mapping(v) for k, v in value.items()}
    return value.isoformat() if isinstance(value, date) else value
