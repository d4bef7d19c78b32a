"""A question in the maker's words to facts and passages; what the log knows of a wood or a tool."""

from shoplog.search.answering import search
from shoplog.search.query import Query, as_line, override
from shoplog.search.telling import told
from shoplog.search.understanding import understand

__all__ = ["Query", "as_line", "override", "search", "told", "understand"]
