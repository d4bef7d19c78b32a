"""Questions that nobody means."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shoplog.search import Query, as_line, search, told, understand
from shoplog.store import open_database

SYNTAX = ['"', '""', "AND", "cherry AND", "NOT", "NEAR(a b)", "a:b", "item:crack", "*", "spal*", "^cherry", "(", ")",
          "foo-bar", "3/8", "it's", "{a b}", "+", "-", "\x00", "‘curly’ “quotes”", "; drop table fact", "%", "--kind",
          "..", "a" * 5000, "9" * 1000, "1/0 inch", "𝟙𝟚 inches", "٣ inches", "½", "<script>",
          "\n\t", "ſ", "ß" * 50]  # fmt: skip


@pytest.mark.parametrize("question", SYNTAX)
def test_full_text_syntax_is_only_words(log_file: Path, question: str) -> None:
    """Nothing that is syntax to the index, the shell or the page raises."""
    conn = open_database(log_file)
    assert list(told(search(conn, understand(question))))
    assert list(told(search(conn, Query(words=(question,), said=((question,),)))))
    conn.close()


WORDS = (
    'what speed cherry over 12 inch 3/8 gouge last year no crack below % half how long did i AND OR NOT ( ) " * when '
    "sand who , . ½ to"
).split()


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(question=st.text(max_size=80) | st.lists(st.sampled_from(WORDS), max_size=12).map(" ".join))
def test_any_text_is_answered(log_file: Path, question: str) -> None:
    """Whatever is typed, there is an answer and no error."""
    conn = open_database(log_file)
    query = understand(question)
    assert isinstance(as_line(query), str)
    assert list(told(search(conn, query)))
    conn.close()
