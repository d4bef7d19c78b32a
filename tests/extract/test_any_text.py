"""Any text, however strange, gives facts or none and never an exception.

Ten thousand examples by hand: ``SHOPLOG_EXAMPLES=10000 pytest tests/extract/test_any_text.py``.
"""

from __future__ import annotations

import os

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shoplog import trade
from shoplog.extract import extract
from shoplog.facts import UNITS
from shoplog.transcript import Cue, Transcript, Word

EXAMPLES = int(os.environ.get("SHOPLOG_EXAMPLES", "150"))
LOOSE = settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck))
#: Pieces that the grammar looks at, in any order.
PIECES = st.sampled_from(
    (
        "half quarter past to o'clock inch and a the of 3/8 5-8 3.16 1,200 8.58 20-2 12:30 :: 1/0 0 00 -1 "
        "99999999999999999999 1e9 percent % grit great rpm degrees minus coats two eighths thirty second "
        "seconds hundred thousand point no not isn't if says he normally i'll i'd it's instead between from "
        "through up maybe or so about next day later may march first 31 february since 2019 sand lathe meter "
        "humidity thanks named check crack it gone chuck slash far ' '' \" ½ ¾ ° $ № ٣ ² 五 é \u200b "
    ).split()
)
WORDS = st.one_of(PIECES, st.sampled_from([t.words for t in trade.terms()]), st.text(max_size=12))


def facts_are_sound(transcript: Transcript) -> None:
    for fact in extract(transcript):
        assert fact.unit is None or fact.unit in UNITS
        assert fact.start <= fact.end
        assert fact.low is None or fact.high is None or fact.low <= fact.high
        assert fact.quote


@LOOSE
@given(st.text())
def test_any_text(text):
    """Text of any script and any signs is read without an exception."""
    facts_are_sound(Transcript((Cue(0.0, 3.0, text),)))


@LOOSE
@given(st.lists(st.lists(WORDS, max_size=14), max_size=6))
def test_any_order_of_the_trades_words(lines):
    """Numbers, units and trade words in any order are read without an exception."""
    facts_are_sound(Transcript(tuple(Cue(5.0 * k, 5.0 * k + 3, " ".join(line)) for k, line in enumerate(lines))))


@LOOSE
@given(st.lists(st.tuples(st.one_of(PIECES, st.text(max_size=8)), st.floats(0, 1), st.floats(0, 100)), max_size=20))
def test_any_times_and_probabilities(words):
    """Words with times out of order and any probability are read without an exception."""
    said = tuple(Word(text, at, at, sure) for text, sure, at in words)
    facts_like = extract(Transcript((Cue(0.0, 100.0, "", said),), source="heard"))
    assert all(0 < f.confidence <= 1 for f in facts_like)
