"""Units of measure: how they are written or said, and how numbers of them are added up."""

from __future__ import annotations

from shoplog.extract.wordset import wordset

#: How a unit is written or said, to our name of it and the factor that goes with it ("a fortnight" is 2 weeks).
UNIT_WORDS: dict[str, tuple[str, float]] = {
    **dict.fromkeys(("inch", "inches", '"', "″", "inchs", "inched"), ("in", 1.0)),
    **dict.fromkeys(("foot", "feet", "ft"), ("ft", 1.0)),
    **dict.fromkeys(
        ("mm", "mil", "mils", "mill", "mills", "millimetre", "millimetres", "millimeter", "millimeters", "ml"),
        ("mm", 1.0),
    ),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters", "cms"), ("cm", 1.0)),
    **dict.fromkeys(("metre", "metres", "meters"), ("m", 1.0)),
    **dict.fromkeys(("second", "seconds", "sec", "secs"), ("s", 1.0)),
    **dict.fromkeys(("minute", "minutes", "min", "mins"), ("min", 1.0)),
    **dict.fromkeys(("hour", "hours", "hr", "hrs"), ("h", 1.0)),
    **dict.fromkeys(("day", "days"), ("day", 1.0)),
    **dict.fromkeys(("week", "weeks"), ("week", 1.0)),
    **dict.fromkeys(("fortnight", "fortnights"), ("week", 2.0)),
    **dict.fromkeys(("month", "months"), ("month", 1.0)),
    **dict.fromkeys(("year", "years"), ("year", 1.0)),
    **dict.fromkeys(("gram", "grams", "gramme", "grammes", "gms"), ("g", 1.0)),
    **dict.fromkeys(("kilo", "kilos", "kilogram", "kilograms", "kg", "kgs"), ("kg", 1.0)),
    **dict.fromkeys(("ounce", "ounces", "oz"), ("oz", 1.0)),
    **dict.fromkeys(("pound", "pounds", "lb", "lbs"), ("lb", 1.0)),
    **dict.fromkeys(("percent", "%", "percents"), ("%", 1.0)),
    **dict.fromkeys(("degree", "degrees", "°"), ("deg", 1.0)),
    **dict.fromkeys(("rpm", "revs", "revolutions", "rpms", "rp"), ("rpm", 1.0)),
    **dict.fromkeys(("grit", "grits", "great", "gritt", "grid", "grade"), ("grit", 1.0)),
    **dict.fromkeys(("coat", "coats"), ("coat", 1.0)),
}
#: Units that count only when written together with their number ("12in", "400g").
GLUED = {
    "in": ("in", 1.0),
    "m": ("m", 1.0),
    "g": ("g", 1.0),
    "s": ("s", 1.0),
    "h": ("h", 1.0),
    "c": ("degC", 1.0),
    "f": ("degF", 1.0),
    "rt": ("rpm", 1.0),
}
#: Units of two words.
TWO_WORDS = {
    ("per", "cent"): ("%", 1.0),
    ("m", "m"): ("mm", 1.0),
    ("c", "m"): ("cm", 1.0),
    ("r", "p"): ("rpm", 1.0),
    ("are", "pm"): ("rpm", 1.0),
    ("k", "g"): ("kg", 1.0),
    ("in", "diameter"): ("", 1.0),
}
#: Units that may stand without a number for one of it: "an inch and a half", "a week".
ALONE = wordset("inch foot hour minute day week fortnight month year pound ounce kilo second mil millimetre gram")
#: What may stand between a number and its unit.
FULLER = wordset("full more whole solid good long extra further odd straight real clear square round")
#: The smaller unit that is added to one, and how many of it make one: "8 pounds 4 ounces".
SMALLER = {
    "lb": ("oz", 16.0),
    "h": ("min", 60.0),
    "min": ("s", 60.0),
    "ft": ("in", 12.0),
    "day": ("h", 24.0),
    "kg": ("g", 1000.0),
    "year": ("month", 12.0),
    "week": ("day", 7.0),
    "month": ("week", 4.348),
}

#: What a smaller number right after a unit counts, and from how much on: "five pound two", "eight kilos two hundred".
LOOSE = {"lb": (16, 1), "kg": (1000, 50), "m": (100, 5), "h": (60, 5), "min": (60, 10)}
