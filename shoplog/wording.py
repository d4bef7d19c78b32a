"""A fact in a few plain words, as a person would write it on a card."""

from __future__ import annotations

import re
from fractions import Fraction

from shoplog.facts import Fact

#: Statuses that change what a statement claims, in the words that stand before it.
STATUS_WORDS = {
    "done": "",
    "planned": "planned: ",
    "habit": "usually: ",
    "reported": "reported: ",
    "hypothetical": "maybe: ",
    "denied": "not: ",
}
_PLURALS = ("day", "week", "month", "year")
_SPAN = re.compile(
    r"(about |around |another )?(an?|the next|\d|half|two|three|four|five|six|seven|eight|nine|ten|twelve)\b"
)
UNIT_WORDS = {"%": " %", "degF": " °F", "degC": " °C", "grit": " grit"}


def number(value: float, unit: str | None = None) -> str:
    """A number as the trade writes it: inches in fractions down to 1/64, others with at most three decimals."""
    if unit == "in" and value != int(value) and abs(value) < 1000:
        parts = Fraction(value).limit_denominator(64)
        if parts.denominator in (2, 4, 8, 16, 32, 64) and abs(float(parts) - value) < 1e-6:
            whole, rest = divmod(abs(parts.numerator), parts.denominator)
            sign = "-" if value < 0 else ""
            return f"{sign}{whole} {rest}/{parts.denominator}" if whole else f"{sign}{rest}/{parts.denominator}"
    return f"{value:.3f}".rstrip("0").rstrip(".")


def quantity(fact: Fact) -> str:
    """The stated number or range with its unit and hedge; empty where none was stated."""
    unit = UNIT_WORDS.get(fact.unit or "", f" {fact.unit}" if fact.unit else "")
    if fact.unit in _PLURALS and fact.value not in (1, 1.0):
        unit += "s"
    about = "about " if fact.approx else ""
    if fact.value is not None:
        return f"{about}{number(fact.value, fact.unit)}{unit}"
    ends = [number(n, fact.unit) for n in (fact.low, fact.high) if n is not None]
    if len(ends) == 2:
        return f"{about}{' to '.join(ends)}{unit}"
    if ends:
        return f"{about}{'from' if fact.low is not None else 'up to'} {ends[0]}{unit}"
    return ""


def say(fact: Fact, *, status: bool = True) -> str:
    """The fact in words, with what its status claims in front unless ``status`` is False."""
    attrs = fact.attrs
    amount = quantity(fact)
    item = fact.item or ""
    if fact.kind == "clock":
        jump = attrs.get("days_later")
        days = "next day" if jump == 1 else f"{jump} days later" if jump else ""
        parts = [
            str(attrs["date"]) if attrs.get("date") else "",
            days,
            str(attrs.get("time") or attrs.get("weekday") or ""),
        ]
        text = " ".join(p for p in parts if p)
    elif fact.kind == "dimension":
        of = attrs.get("of")
        text = f"{item} {amount}".strip() + (f" ({of})" if of else "")
    elif fact.kind in ("tool", "workholding", "adhesive"):
        lead = f"{amount} " if amount else ""
        grade = f"{attrs['grade']} " if attrs.get("grade") else ""
        text = f"{lead}{grade}{item}"
        text += f", {attrs['grind']} grind" if attrs.get("grind") else ""
        text += ", freshly sharpened" if attrs.get("sharpened") else ""
    elif fact.kind == "finish":
        coats = attrs.get("coats")
        text = str(attrs.get("product") or item)
        text += f", {number(float(coats))} coat{'' if coats == 1 else 's'}" if isinstance(coats, int | float) else ""
    elif fact.kind == "defect":
        text = f"{item} {amount}".strip()
        text += f", {attrs['change']}" if attrs.get("change") else ""
        text += f" ({attrs['where']})" if attrs.get("where") else ""
    elif fact.kind == "followup":
        text = f"look again at {item or 'it'}"
        if due := str(attrs.get("due") or ""):
            text += f" in {due}" if _SPAN.match(due) else f" ({due})"
    elif fact.kind == "credit":
        text = f"thanks to {item.title()}" + (f" for the {attrs['role']}" if attrs.get("role") else "")
    elif fact.kind == "species":
        text = item + (f" ({attrs['form']})" if attrs.get("form") else "")
    else:
        text = " ".join(p for p in (amount, item) if p)
        notes = [str(attrs[k]) for k in ("direction", "holder", "of", "where", "method") if attrs.get(k)]
        text = text or " ".join(notes[:1])
        text += f" ({', '.join(n for n in notes if n != text)})" if [n for n in notes if n != text] else ""
    text = text.strip() or fact.kind
    return (STATUS_WORDS[fact.status] if status else "") + text
