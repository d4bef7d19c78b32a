"""The project record: what was stated, in the course of the work, and what follows from it.

`record` makes it from a project; `to_text`, `to_markdown`, `to_json` and `to_html` show it.
"""

from shoplog.record.summary import Record, record

__all__ = ["Record", "card_text", "record", "to_html", "to_json", "to_markdown", "to_text"]


def to_text(made: Record) -> str:
    """The record for a terminal."""
    from shoplog.record import text

    return text.render(made)


def card_text(made: Record) -> str:
    """The set-up card alone: what to do again next time."""
    from shoplog.record import text

    return text.card(made)


def to_markdown(made: Record) -> str:
    """The record as Markdown."""
    from shoplog.record import text

    return text.markdown(made)


def to_json(made: Record) -> dict[str, object]:
    """The record as plain JSON values."""
    from shoplog.record import text

    return text.as_json(made)


def to_html(made: Record) -> str:
    """One self-contained page: no outside resource, prints well, readable on a phone."""
    from shoplog.record import page

    return page.render(made)
