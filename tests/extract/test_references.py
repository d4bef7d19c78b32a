"""Our spoken numbers beside general-purpose readers of numbers, on cases where theirs fit speech.

Each library is asked on the same words; where we differ on purpose, the row says why.
"""

from __future__ import annotations

import datetime as dt

import pytest

from shoplog.extract import extract
from shoplog.extract.numbers import read
from shoplog.extract.quantities import quantities
from shoplog.extract.stream import build
from shoplog.transcript import Cue, Transcript


def ours(text: str) -> list[float]:
    return [a.value for a in read(text)]


def stated(text: str) -> list[tuple[float | None, str | None]]:
    found = quantities(build(Transcript((Cue(0.0, 3.0, text),))))
    return [(q.read("size" if q.unit == "in" else "value")[0], q.unit) for q in found]


#: From the number cases of Whisper's English text normaliser (openai/whisper, tests/test_normalizer.py, MIT), and like.
WRITTEN = [
    "two thousand and ten",
    "twenty one",
    "thirty two point five",
    "three hundred and fifty",
    "one hundred and one",
    "twelve hundred",
    "nine thousand",
    "fifteen",
    "eighteen hundred",
]


@pytest.mark.parametrize("text", WRITTEN)
def test_as_whisper_normalizer(text):
    """Plain spoken numbers are read as Whisper's own normaliser writes them."""
    normalizer = pytest.importorskip("whisper_normalizer.english").EnglishTextNormalizer()
    assert [float(normalizer(text))] == ours(text)


@pytest.mark.parametrize("text", ["two hundred and eighty", "nineteen", "four thousand five hundred"])
def test_as_number_parser(text):
    """And as number-parser reads them."""
    parse = pytest.importorskip("number_parser").parse
    digits = parse(text).replace(",", "")
    assert [float(digits)] == ours(text)


@pytest.mark.parametrize(
    ("text", "value", "unit"),
    [
        ("twelve hundred rpm", 1200, "rpm"),
        ("three eighths inch", 0.375, "in"),
        ("fourteen and a half percent", 14.5, "%"),
        ("five kilograms", 5, "kg"),
        ("twenty minutes", 20, "min"),
    ],
)
def test_as_quantulum(text, value, unit):
    """Quantities in plain words have the value that quantulum3 finds."""
    parser = pytest.importorskip("quantulum3.parser")
    (theirs,) = parser.parse(text)
    assert pytest.approx(theirs.value, rel=1e-6) == value
    assert [(value, unit)] == stated(text)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # quantulum3 averages a range; a record keeps both ends.
        ("eight hundred to a thousand rpm", [(None, "rpm")]),
        # It reads minutes of arc.
        ("two and a half minutes", [(2.5, "min")]),
        # It drops the whole number.
        ("one and one eighth inches", [(1.125, "in")]),
        # It makes two quantities.
        ("an hour and a half", [(1.5, "h")]),
    ],
)
def test_where_we_differ_from_quantulum(text, expected):
    """What a turner says and a general reader of quantities misreads."""
    assert expected == stated(text)


@pytest.mark.parametrize(
    ("said", "date"),
    [
        ("it's the 14th of June today", "14 June 2026"),
        ("it's March 3rd", "March 3 2026"),
        ("it's april the ninth now", "April 9 2026"),
    ],
)
def test_as_dateparser(said, date):
    """A spoken date of the recording is the day that dateparser reads from it written out."""
    dateparser = pytest.importorskip("dateparser")
    expected = dateparser.parse(date).date().isoformat()
    facts = extract(Transcript((Cue(0.0, 3.0, said),)), recorded=dt.datetime(2026, 6, 20, 10, 0))
    assert [expected] == [f.attrs["date"] for f in facts if f.kind == "clock"]


@pytest.mark.parametrize(
    ("said", "hour", "minute"),
    [
        ("it's half past nine", 9, 30),
        ("it's quarter to four", 3, 45),
    ],
)
def test_as_ctparse(said, hour, minute):
    """Spoken times of day are those that ctparse finds, morning or afternoon apart; it misreads "ten past five"."""
    ctparse = pytest.importorskip("ctparse")
    theirs = ctparse.ctparse(said, ts=dt.datetime(2026, 3, 3, 8, 0), timeout=5)
    if theirs is None or theirs.resolution is None:
        pytest.skip("ctparse finds nothing here")
    (fact,) = extract(Transcript((Cue(0.0, 3.0, said),)), recorded=dt.datetime(2026, 3, 3, 8, 0))
    assert (theirs.resolution.hour % 12, theirs.resolution.minute) == (hour, minute)
    assert (hour, minute) == (int(fact.attrs["time"][:2]) % 12, int(fact.attrs["time"][3:]))
