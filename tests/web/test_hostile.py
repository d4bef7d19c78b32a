"""Names, transcripts and requests are hostile: nothing of them becomes code, nothing raises."""

from __future__ import annotations

import csv
import io
import re
from html.parser import HTMLParser

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from weblog import HOSTILE, Pages

from shoplog.cells import harmless

SHOWN = (
    "/", "/projects", "/project/1", "/project/2", "/listen", "/recordings", "/recording/1", "/recording/5",
    "/project/2/pictures", "/wood?name=cherry", "/tool?name=gouge",
    "/corrections", "/fact/12", "/fact/31", "/find", "/log", "/log/fact", "/log/recording", "/log/cue",
)  # fmt: skip


class Seen(HTMLParser):
    """What a browser would run: scripts, handlers, addresses of links."""

    def __init__(self) -> None:
        super().__init__()
        self.scripts: list[str | None] = []
        self.handlers: list[str] = []
        self.links: list[str] = []
        self.tags: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        if tag == "script":
            self.scripts.append(dict(attrs).get("src"))
        for name, value in attrs:
            if name.startswith("on") or name == "style":
                self.handlers.append(name)
            if name in ("href", "src", "action", "formaction"):
                self.links.append(value or "")


@pytest.mark.parametrize("path", SHOWN)
def test_nothing_said_becomes_code(pages: Pages, path: str) -> None:
    """Every page holds the hostile names as text: no script, handler or address comes from them."""
    answer = pages.get(path)
    assert answer.status_code == 200
    seen = Seen()
    seen.feed(answer.text)
    elsewhere = [
        link
        for link in seen.links
        if not re.match(r"/(?!/)|#|\?|http://localhost/|https://datasette\.io", link) and link
    ]
    assert not [link for link in elsewhere if not re.fullmatch(r"[\w.~-]+(\?.*)?", link)]
    assert "837221" not in answer.text  # what the template in a name would come to
    if not path.startswith("/log"):
        assert ["/-/static-plugins/shoplog/shoplog.js"] == seen.scripts
        assert not seen.handlers
        pictures = {"img"} if path.endswith("pictures") else set()  # their addresses were looked at above
        assert not (seen.tags - pictures) & {"img", "svg", "textarea", "iframe", "object"}


QUERIES = (
    *HOSTILE,
    "",
    '"',
    "'",
    "*",
    "-",
    "NEAR(",
    "a AND",
    "col:x",
    "^",
    "\x00",
    "%",
    "3/8",
    "½",
    "a" * 5000,
    "\ud83d",
)


@pytest.mark.parametrize("question", QUERIES)
def test_questions_never_raise(pages: Pages, question: str) -> None:
    """Whatever is asked is answered with a page, and shown as text."""
    text = question.encode("utf-8", "surrogatepass")
    from urllib.parse import quote

    answer = pages.get("/find?q=" + quote(text))
    assert answer.status_code in (200, 400)
    assert "<script>window" not in answer.text


@given(question=st.text(max_size=60))
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_question_is_answered(pages: Pages, question: str) -> None:
    """No text makes the question page fail."""
    assert pages.get("/find", params={"q": question}).status_code == 200


PATHS = (
    "/project/999999999999999999999", "/project/-1", "/project/1e3", "/project/%31", "/recording/0",
    "/recording/1?at=x",
    "/recording/1?at=1e999", "/fact/0", "/fact/4?back=//x", "/fact/4?did=%F0", "/listen?did=99999999999999999999",
    "/listen?did=²", "/find?q=%ff%fe", "/wood", "/wood?name=%00", "/tool?name=" + "x" * 3000,
    "/wood?name=%22%3E%3Cscript%3E",
    "/..%2f..%2fetc/passwd", "/%00", "/media/..%2f1", "/sound/1.exe", "/-/static-plugins/shoplog/../../guard.py",
    "/-/static-plugins/shoplog/%2e%2e/guard.py", "/log/fact?_search=%22", "/log/fact?item=%00",
    "/log/fact?_sort=nothing",
    "/log/fact?_next=x%00", "/log/fact/abc", "/log/fact/4", "/log/cue?_search=AND+%22", "/log/sayings?words=%25%27",
    "/log.json?sql=select+*+from+nothing", "/log?sql=select+%27%3Cscript%3E%27", "/project/1.csv?x=" + "y" * 2000,
    "/project/1/picture/99.svg", "/log/fact.csv?_stream=on", "/-/metadata.json", "/-/plugins.json", "/-/settings.json",
)  # fmt: skip


@pytest.mark.parametrize("path", PATHS)
def test_no_request_raises(pages: Pages, path: str) -> None:
    """No address gives an error of the server's, and none says where files lie or shows a traceback."""
    answer = pages.get("http://localhost" + path)
    assert answer.status_code < 500
    assert "Traceback" not in answer.text
    if not path.startswith("/log"):
        assert str(pages.database.parent) not in answer.text


@pytest.mark.parametrize(
    ("cell", "made"),
    [
        ("=1+1", "'=1+1"), ("+x", "'+x"), ("-x", "'-x"), ("@x", "'@x"), ("\tx", "'\tx"), ("\rx", "'\rx"),
        (" =1", "' =1"), ("＝1", "'＝1"), ("x=1", "x=1"), ("-5", "-5"), ("+1.5e3", "+1.5e3"), (-5, -5),
        (None, None), ("", ""),
    ],
)  # fmt: skip
def test_formulas_become_text(cell: object, made: object) -> None:
    """A cell that begins like a formula is text for a spreadsheet; numbers stay numbers."""
    assert made == harmless(cell)


@pytest.mark.parametrize(
    "path",
    ["/project/2.csv", "/log/recording.csv", "/log/recording.csv?_dl=1",
     "/log/recording.csv?_stream=on", "/log.csv?sql=select+name+from+recording+limit+20"],
)  # fmt: skip
def test_no_csv_holds_a_formula(pages: Pages, path: str) -> None:
    """Our own tables and Datasette's: what was called like a formula comes as text."""
    answer = pages.get(path)
    rows = list(csv.reader(io.StringIO(answer.text)))
    cells = [cell for row in rows for cell in row]
    assert any("HYPERLINK" in cell for cell in cells)
    assert not [cell for cell in cells if cell.startswith(("=", "@"))]
    assert len({len(row) for row in rows}) == 1
