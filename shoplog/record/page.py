"""The record as one self-contained page: no outside resource, prints on paper, readable at a phone's width."""

from __future__ import annotations

from functools import cache
from importlib import resources
from typing import TYPE_CHECKING

from shoplog.reckon.derived import Derived, amount, figure
from shoplog.record import text
from shoplog.record.pictures import pictures
from shoplog.record.summary import Record
from shoplog.times import span, stamp

if TYPE_CHECKING:
    from jinja2 import Environment


@cache
def _environment() -> Environment:
    from jinja2 import Environment, StrictUndefined

    # Names and words come from recordings: everything is escaped.
    env = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    env.filters.update(stamp=stamp, span=span, amount=amount, figure=figure)
    env.tests["derived"] = lambda item: isinstance(item, Derived)
    return env


def _file(name: str) -> str:
    return (resources.files("shoplog.record") / "templates" / name).read_text(encoding="utf-8")


def render(made: Record) -> str:
    """The whole page as HTML text."""
    from markupsafe import Markup

    return (
        _environment()
        .from_string(_file("record.html"))
        .render(
            made=made,
            style=Markup(_file("record.css")),  # noqa: S704 - our own file
            day_title=text.day_title,
            # Made by us from numbers and escaped words; see pictures.
            pictures=[(title, Markup(svg)) for title, svg in pictures(made)],  # noqa: S704
        )
    )
