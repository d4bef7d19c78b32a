"""The record as one self-contained page: no outside resource, prints on paper, readable at a phone's width."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache, lru_cache
from importlib import resources
from typing import TYPE_CHECKING

from markupsafe import Markup, escape

from shoplog.garbage import uncollected
from shoplog.reckon.derived import Derived, amount, figure
from shoplog.record import text
from shoplog.record.pictures import pictures
from shoplog.record.summary import Line, Record
from shoplog.times import span, stamp

if TYPE_CHECKING:
    from jinja2 import Template


@cache
def _template() -> Template:
    from jinja2 import Environment, StrictUndefined

    # Names and words come from recordings: everything is escaped.
    env = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    env.filters.update(stamp=stamp, span=span, amount=amount, figure=figure)
    env.tests["derived"] = lambda item: isinstance(item, Derived)
    return env.from_string(_file("record.html"))


def _file(name: str) -> str:
    return (resources.files("shoplog.record") / "templates" / name).read_text(encoding="utf-8")


@lru_cache(maxsize=4096)
def _safe(words: str) -> str:
    """The words escaped, as plain text. Facts that were stated in one breath have the same words."""
    return str(escape(words))


def _line(line: Line) -> str:
    doubt = ' <strong class="doubt">doubtful</strong>' if line.doubtful else ""
    put_right = " <em>put right</em>" if line.corrected else ""
    words = f"{_safe(line.text)}{doubt}{put_right} <q>{_safe(line.quote)}</q>"
    return f'<span class="at">{stamp(line.start)}</span> {words}'


def _said(line: Line) -> Markup:
    """A stated thing with its time and the words as heard. A large record has many thousands: not a macro."""
    return Markup(_line(line))  # noqa: S704 - what was said is escaped


def _where(line: Line) -> Markup:
    return Markup(f'<span class="at">{_safe(line.recording)} {stamp(line.start)}</span>')  # noqa: S704 - escaped


def _items(lines: Iterable[Line]) -> Markup:
    """The lines of a step as items of a list, marked with what they claim."""
    return Markup("".join([f'<li class="{_safe(line.status)}">{_line(line)}</li>' for line in lines]))  # noqa: S704


@uncollected()
def render(made: Record) -> str:
    """The whole page as HTML text."""
    return _template().render(
        made=made,
        style=Markup(_file("record.css")),  # noqa: S704 - our own file
        day_title=text.day_title,
        said=_said,
        where=_where,
        items=_items,
        # Made by us from numbers and escaped words; see pictures.
        pictures=[(title, Markup(svg)) for title, svg in pictures(made)],  # noqa: S704
    )
