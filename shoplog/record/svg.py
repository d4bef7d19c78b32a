"""Drawings of matplotlib as small SVG elements of a page: in its colours and fonts, without styles or clashing ids."""

from __future__ import annotations

import hashlib
import io
import re
from typing import TYPE_CHECKING
from xml.sax.saxutils import escape

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

#: Drawn in this colour and written as the text colour of the page, so that a plot is right on dark pages and on paper.
INK = "#010101"
WIDTH_IN = 5.2
_SETTINGS = {
    "svg.fonttype": "none",
    # Spoken words may hold a dollar sign; none of them is a formula.
    "text.parse_math": False,
    "font.size": 9,
    "hatch.linewidth": 0.6,
    "hatch.color": INK,
    "text.color": INK,
    "axes.edgecolor": INK,
    "axes.labelcolor": INK,
    "xtick.color": INK,
    "ytick.color": INK,
    "lines.color": INK,
    "patch.edgecolor": INK,
    "axes.spines.top": False,
    "axes.spines.right": False,
}
#: Numbers in SVG paths carry six decimals; a hundredth of a point is finer than any screen.
_LONG_NUMBER = re.compile(r"(\d+\.\d{2})\d+")


class Drawing:
    """A figure with ``rows`` axes below each other, ``heights`` in inches, that is turned into SVG text.

    Used as a context manager: matplotlib's settings hold inside it and are put back after.
    """

    def __init__(self, name: str, heights: tuple[float, ...]) -> None:
        import matplotlib as mpl

        self.name = name
        self._settings = mpl.rc_context({**_SETTINGS, "svg.hashsalt": name})
        self._heights = heights
        self.figure: Figure
        self.axes: list[Axes]

    def __enter__(self) -> Drawing:
        from matplotlib.figure import Figure

        self._settings.__enter__()
        self.figure = Figure(figsize=(WIDTH_IN, sum(self._heights)), layout="constrained")
        grid = self.figure.subplots(len(self._heights), 1, squeeze=False, sharex=True, height_ratios=self._heights)
        self.axes = [row[0] for row in grid]
        return self

    def __exit__(self, *exception: object) -> None:
        self._settings.__exit__(None, None, None)

    def svg(self, title: str, description: str) -> str:
        """The drawing as an ``<svg>`` element with a title and a description for those who do not see it."""
        out = io.StringIO()
        nothing = dict.fromkeys(("Date", "Creator", "Format", "Type"))
        self.figure.savefig(out, format="svg", transparent=True, metadata=nothing)
        return _inline(out.getvalue(), self.name, title, description)


def _inline(svg: str, name: str, title: str, description: str) -> str:
    """matplotlib's document as an element of a page."""
    body = svg[svg.index(">", svg.index("<svg")) + 1 : svg.rindex("</svg>")]
    box = re.search(r'viewBox="0 0 ([\d.]+) ([\d.]+)"', svg)
    assert box is not None  # matplotlib always writes one
    width, height = float(box[1]), float(box[2])
    body = re.sub(r"<defs>\s*<style.*?</style>\s*</defs>", "", body, flags=re.DOTALL)
    body = re.sub(r"\s*<!--.*?-->", "", body, flags=re.DOTALL)
    body = re.sub(r' style="([^"]*)"', _attributes, body)
    body = _LONG_NUMBER.sub(r"\1", body)
    body = body.replace(INK, "currentColor").replace("xlink:href", "href")
    key = f"{name}-{hashlib.sha256(f'{title}{description}{body}'.encode()).hexdigest()[:8]}"
    # Ids are made the drawing's own: several stand in one page. Only inside tags, which hold no spoken words.
    body = re.sub(r'(<[^<>]*?\s)id="', rf'\1id="{key}-', body)
    body = re.sub(r'(href="#|url\(#)', rf"\1{key}-", body)
    body = re.sub(r"\n\s*", "\n", body).strip()
    return (
        f'<svg class="plot" xmlns="http://www.w3.org/2000/svg" role="img" aria-labelledby="{key}-title {key}-desc" '
        f'viewBox="0 0 {width:g} {height:g}" width="{width * 4 / 3:.0f}" height="{height * 4 / 3:.0f}" '
        f'stroke-linejoin="round" stroke-linecap="butt">\n'
        f'<title id="{key}-title">{escape(title)}</title>\n<desc id="{key}-desc">{escape(description)}</desc>\n'
        f"{body}\n</svg>"
    )


def _attributes(style: re.Match[str]) -> str:
    """A style as attributes: a page whose policy forbids styles in elements still shows the drawing as it is."""
    found = []
    for part in style[1].split(";"):
        name, _, value = (p.strip() for p in part.partition(":"))
        if name == "font-family":  # the page's own, so that a drawing looks like the text around it
            found.append('font-family="inherit"')
        elif name:
            found.append(f'{name}="{value}"')
    return " " + " ".join(found) if found else ""
