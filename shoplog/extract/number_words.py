"""Number words and their values."""

from __future__ import annotations


def _values(text: str) -> dict[str, int]:
    """ "half 2 halves 2" as a mapping."""
    parts = text.split()
    return {word: int(value) for word, value in zip(parts[::2], parts[1::2], strict=True)}


SMALL = _values(
    "zero 0 oh 0 one 1 two 2 three 3 four 4 five 5 six 6 seven 7 eight 8 nine 9 ten 10 eleven 11 twelve 12 thirteen 13 "
    "fourteen 14 fifteen 15 sixteen 16 seventeen 17 eighteen 18 nineteen 19"
)
TENS = _values("twenty 20 thirty 30 forty 40 fourty 40 fifty 50 sixty 60 seventy 70 eighty 80 ninety 90")
SCALES = _values("hundred 100 hundreds 100 thousand 1000 grand 1000")
#: Denominators as words.
DENOMINATORS = _values(
    "half 2 halves 2 third 3 thirds 3 quarter 4 quarters 4 quattas 4 fourth 4 fourths 4 fifth 5 fifths 5 eighth 8 "
    "eighths 8 eights 8 tenth 10 tenths 10 sixteenth 16 sixteenths 16 sixteens 16 hundredths 100 thousandth 1000 "
    "thousandths 1000 thou 1000"
)
#: Denominators of decimals, which take any numerator: "thirty two thousandths".
DECIMAL = frozenset(("hundredths", "thousandth", "thousandths", "thou"))
#: Denominators that are ordinals unless a numerator stands before them.
ORDINAL_TOO = frozenset(("third", "fourth", "fifth", "tenth"))
#: Denominators of an inch rule: what "5 8", "5-8" and "5.8" may mean.
RULE = frozenset((2, 4, 8, 16, 32, 64))
ORDINALS = _values(
    "first 1 second 2 third 3 fourth 4 fifth 5 sixth 6 seventh 7 eighth 8 ninth 9 tenth 10 eleventh 11 twelfth 12 "
    "thirteenth 13 fourteenth 14 fifteenth 15 sixteenth 16 seventeenth 17 eighteenth 18 nineteenth 19 twentieth 20 "
    "thirtieth 30"
)
MONTHS = _values(
    "january 1 february 2 march 3 april 4 may 5 june 6 july 7 august 8 september 9 october 10 november 11 december 12 "
    "jan 1 feb 2 apr 4 aug 8 sept 9 sep 9 oct 10 nov 11 dec 12"
)
