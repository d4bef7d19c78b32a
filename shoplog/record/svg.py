"""Small SVG drawings for a page: in its colour and fonts, without styles or clashing ids, read in black and white.

Places are points from the top left corner; a ``Panel`` leads from numbers to places and draws the axes.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from html import escape
from typing import Literal

#: Points, as wide as a printed column.
WIDTH = 374.0
#: A letter is about so wide, of its size.
LETTER = 0.52
#: From the edge to the letters of the labels.
_EDGE = 8.0
_RADIUS = 2.6
Shape = Literal["dot", "square", "diamond", "triangle"]
Anchor = Literal["start", "middle", "end"]
Point = tuple[float, float]


class Drawing:
    """An SVG element being written, ``height`` points high, with a title and a description for those who do not see
    it. Lines and words are of the page's text colour.
    """

    def __init__(self, height: float, title: str, description: str) -> None:
        self.height, self.title, self.description = height, title, description
        # Several drawings stand in one page: each has ids of its own, the same every time.
        self._key = f"plot-{hashlib.sha256(f'{title}|{description}'.encode()).hexdigest()[:10]}"
        self._parts: list[str] = []

    def line(self, points: Iterable[Point], width: float = 0.8, dash: str = "") -> None:
        """A line through the points; a point that is not a number parts it."""
        steps, pen = [], "M"
        for x, y in points:
            if math.isnan(x) or math.isnan(y):
                pen = "M"
                continue
            steps.append(f"{pen}{x:.1f} {y:.1f}")
            pen = "L"
        dashes = f' stroke-dasharray="{dash}"' if dash else ""
        self._parts.append(
            f'<path d="{"".join(steps)}" fill="none" stroke="currentColor" stroke-width="{width}"{dashes}/>'
        )

    def area(self, points: Sequence[Point]) -> None:
        """A pale area within the points."""
        steps = "L".join(f"{x:.1f} {y:.1f}" for x, y in points)
        self._parts.append(f'<path d="M{steps}Z" fill="currentColor" fill-opacity="0.14"/>')

    def bar(self, left: float, top: float, width: float, height: float, *, hatched: bool = False) -> None:
        """A box with an edge, empty or hatched."""
        fill = f"url(#{self._key}-hatch)" if hatched else "none"
        self._parts.append(
            f'<rect x="{left:.1f}" y="{top:.1f}" width="{width:.1f}" height="{height:.1f}" fill="{fill}" '
            'stroke="currentColor" stroke-width="0.8"/>'
        )

    def marks(self, points: Iterable[Point], shape: Shape, *, filled: bool) -> None:
        """The same mark at every point."""
        steps = "".join(_mark(x, y, shape) for x, y in points)
        fill = "currentColor" if filled else "none"
        self._parts.append(f'<path d="{steps}" fill="{fill}" stroke="currentColor" stroke-width="0.8"/>')

    def words(
        self, x: float, y: float, text: str, *, size: float = 8, anchor: Anchor = "start", italic: bool = False,
        turn: float = 0,
    ) -> None:  # fmt: skip
        """Words on the line ``y``, turned by so many degrees around their anchor."""
        more = ' font-style="italic"' if italic else ""
        more += f' transform="rotate({turn:g} {x:.1f} {y:.1f})"' if turn else ""
        words = escape(text, quote=False)
        self._parts.append(
            f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size:g}" text-anchor="{anchor}"{more}>{words}</text>'
        )

    def svg(self) -> str:
        """The drawing as an ``<svg>`` element."""
        key = self._key
        return "\n".join(
            (
                f'<svg class="plot" xmlns="http://www.w3.org/2000/svg" role="img" '
                f'aria-labelledby="{key}-title {key}-desc" viewBox="0 0 {WIDTH:g} {self.height:g}" '
                f'width="{WIDTH * 4 / 3:.0f}" height="{self.height * 4 / 3:.0f}" font-family="inherit" '
                'fill="currentColor">',
                f'<title id="{key}-title">{escape(self.title, quote=False)}</title>',
                f'<desc id="{key}-desc">{escape(self.description, quote=False)}</desc>',
                f'<defs><pattern id="{key}-hatch" width="5" height="5" patternUnits="userSpaceOnUse" '
                'patternTransform="rotate(45)"><path d="M2 0V5" stroke="currentColor" stroke-width="0.8"/></pattern>'
                "</defs>",
                *self._parts,
                "</svg>",
            )
        )


def _mark(x: float, y: float, shape: Shape) -> str:
    r = _RADIUS
    if shape == "dot":
        return f"M{x - r:.1f} {y:.1f}a{r} {r} 0 1 0 {2 * r} 0a{r} {r} 0 1 0 {-2 * r} 0"
    if shape == "square":
        return f"M{x - r:.1f} {y - r:.1f}h{2 * r}v{2 * r}h{-2 * r}z"
    if shape == "diamond":
        return f"M{x:.1f} {y - r:.1f}l{r} {r}l{-r} {r}l{-r} {-r}z"
    return f"M{x:.1f} {y - r:.1f}l{r} {2 * r}h{-2 * r}z"


def ticks(low: float, high: float, most: int, *, whole: bool = False) -> list[float]:
    """Round numbers from ``low`` to ``high``, at most so many; ``whole`` leaves out fractions."""
    least = max((high - low) / max(most - 1, 1), 1e-9, 1.0 if whole else 0.0)
    power = 10.0 ** math.floor(math.log10(least))
    step = next(power * times for times in (1, 2, 5, 10) if power * times >= least * (1 - 1e-9))
    return [step * n for n in range(math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9) + 1)]


@dataclass(frozen=True, slots=True)
class Panel:
    """The part of a drawing with the axes: numbers ``x`` and ``y`` (low, high) lie between left and right, bottom and
    top; ``log`` makes the distances of y ratios."""

    drawing: Drawing
    left: float
    top: float
    right: float
    bottom: float
    x: tuple[float, float]
    y: tuple[float, float]
    log: bool = False

    def at(self, x: float, y: float) -> Point:
        """The place of two numbers."""
        low, high, y = (math.log(v) if self.log else v for v in (*self.y, y))
        across = (x - self.x[0]) / ((self.x[1] - self.x[0]) or 1.0)
        up = (y - low) / ((high - low) or 1.0)
        return self.left + across * (self.right - self.left), self.bottom - up * (self.bottom - self.top)

    def places(self, points: Iterable[Point]) -> Iterator[Point]:
        """The places of many."""
        return (self.at(x, y) for x, y in points)

    def frame(self, caption: str, labels: Iterable[tuple[float, str]]) -> None:
        """The axes, with ``labels`` of y at the left and the caption above."""
        corner = (self.left, self.bottom)
        self.drawing.line([(self.left, self.top), corner, (self.right, self.bottom)])
        for value, label in labels:
            _, y = self.at(self.x[0], value)
            self.drawing.line([(self.left - 3, y), (self.left, y)])
            self.drawing.words(self.left - 5, y + 3, label, anchor="end")
        self.drawing.words(_EDGE, self.top - 6, caption, italic=True)

    def below(self, labels: Iterable[tuple[float, str]], *, turned: bool = False) -> None:
        """Labels of x below the axis."""
        for value, label in labels:
            x, _ = self.at(value, self.y[1])
            self.drawing.line([(x, self.bottom), (x, self.bottom + 3)])
            if turned:
                self.drawing.words(x + 2, self.bottom + 10, label, anchor="end", turn=-35)
            else:
                self.drawing.words(x, self.bottom + 12, label, anchor="middle")


def room_for(labels: Iterable[str], size: float = 8) -> float:
    """How wide the longest label is, with the tick beside it and the edge."""
    return _EDGE + 5 + max(map(len, labels), default=0) * size * LETTER
