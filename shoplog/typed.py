"""Numbers as people type them into a form or a command."""

from __future__ import annotations

import re

from shoplog.errors import InputError

_VULGAR = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3"}
_MIXED = re.compile(r"(?:(\d+)[ -])?(\d+) ?/ ?(\d+)", re.ASCII)
_THOUSANDS = re.compile(r"[+-]?\d{1,3}(?:,\d{3})+(?:\.\d+)?", re.ASCII)
_DECIMAL = re.compile(r"[+-]?\d+(?:[.,]\d+)?|[+-]?[.,]\d+", re.ASCII)


def typed_number(text: str) -> float | None:
    """850, 1,200, 0.5, 0,5, 3/8, 1 1/2, 1-1/2 or ½ as a number; None for nothing. Raises InputError."""
    plain = text.strip().rstrip('"″').strip()
    for sign, written in _VULGAR.items():
        plain = plain.replace(sign, f" {written}").strip()
    if not plain:
        return None
    if len(plain) > 30:
        raise InputError("That number is too long; type one like 850, 0.5, 3/8 or 1 1/2.")
    if match := _MIXED.fullmatch(" ".join(plain.split())):
        if int(match[3]):
            return int(match[1] or 0) + int(match[2]) / int(match[3])
    elif _THOUSANDS.fullmatch(plain):
        return float(plain.replace(",", ""))
    elif _DECIMAL.fullmatch(plain):
        return float(plain.replace(",", "."))
    raise InputError(f'"{text.strip()}" is not a number; type one like 850, 0.5, 3/8 or 1 1/2.')
