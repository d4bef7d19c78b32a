"""What a reckoning gives: a labelled number with its formula, inputs and source, or why there is none."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from shoplog.errors import InputError

#: computed: follows from what was stated by arithmetic or definition. estimate: rests on averages of a table or on an
#: assumption. rule of thumb: common practice without a source. caution: a safety remark, in ``note``; no number.
Label = Literal["computed", "estimate", "rule of thumb", "caution"]
Origin = Literal["stated", "table", "assumed", "computed"]


class CannotCompute(InputError):
    """The inputs are outside what a formula or table covers, or contradict each other. The message says why."""


@dataclass(frozen=True, slots=True)
class Input:
    """One input of a reckoning: a number or range in ``unit`` or a word, and where it comes from.

    ``fact_id``, ``recording_id`` and ``at`` (seconds in it) are set for what was stated, ``from_where`` says the rest:
    a table's name, an assumption in words.
    """

    value: float | str | None
    unit: str | None = None
    origin: Origin = "stated"
    from_where: str = ""
    low: float | None = None
    high: float | None = None
    recording_id: int | None = None
    at: float | None = None
    fact_id: int | None = None


@dataclass(frozen=True, slots=True)
class Derived:
    """A number that shoplog worked out. ``what`` is its short name.

    One number is ``value``; a range is ``low`` to ``high``, with or without a ``value`` inside it. Dates are ISO text
    with unit ``date``. ``formula`` is text, ``inputs`` by the names it uses, ``validity`` the range in which it holds,
    ``note`` what a reader should bear in mind. ``recording_id`` and ``at`` are the moment it belongs to, if any.
    """

    what: str
    unit: str | None
    formula: str
    source: str
    label: Label
    value: float | str | None = None
    low: float | str | None = None
    high: float | str | None = None
    inputs: Mapping[str, Input] = field(default_factory=dict)
    validity: str = ""
    note: str = ""
    recording_id: int | None = None
    at: float | None = None

    def sentence(self) -> str:
        """The result as one line of text."""
        if self.label == "caution":
            return f"caution, {self.what}: {self.note}"
        text = " ".join(filter(None, (f"{self.what}:", amount(self), f"({self.label})")))
        return text + (f"; {self.note}" if self.note else "")


@dataclass(frozen=True, slots=True)
class NotComputed:
    """Why there is no number for ``what``: a clause that follows "cannot be computed because"."""

    what: str
    because: str
    inputs: Mapping[str, Input] = field(default_factory=dict)
    recording_id: int | None = None
    at: float | None = None

    def sentence(self) -> str:
        """The result as one line of text."""
        return f"{self.what}: cannot be computed because {self.because}"


Result = Derived | NotComputed


def figure(number: float | str | None) -> str:
    """A number as far as a reckoning can be believed: three figures, four from a thousand on; text as it is."""
    if number is None or isinstance(number, str):
        return number or ""
    if number != 0 and abs(number) < 1000:
        return f"{float(f'{number:.3g}'):.4f}".rstrip("0").rstrip(".")
    return f"{number:.0f}"


def amount(result: Derived) -> str:
    """The value or range with its unit: "9.2 %", "0.28 to 0.59 in", "2026-03-01 to 2026-04-10"."""
    ends = [figure(end) for end in (result.low, result.high) if end is not None]
    unit = "" if result.unit in (None, "date", "ratio") else f" {result.unit}"
    if len(ends) == 2:
        text = f"{ends[0]} to {ends[1]}{unit}" if ends[0] != ends[1] else f"{ends[0]}{unit}"
        return f"{figure(result.value)}{unit} ({text})" if result.value is not None else text
    if result.value is not None:
        return f"{figure(result.value)}{unit}"
    if not ends:
        return ""
    return f"{'from' if result.low is not None else 'up to'} {ends[0]}{unit}"
