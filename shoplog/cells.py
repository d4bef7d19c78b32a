"""Cells of tables that go into spreadsheets."""

from __future__ import annotations

import re
from typing import Any

#: What a spreadsheet takes for the beginning of a formula (CWE-1236; OWASP's advice on CSV injection).
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
_NUMBER = re.compile(r"[+-]?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?")


def harmless(cell: Any) -> Any:
    """The cell as it may stand in a CSV file: text that begins like a formula gets an apostrophe in front.

    Numbers stay numbers, written as text or not.
    """
    if isinstance(cell, str) and cell.lstrip(" ").startswith(_FORMULA) and not _NUMBER.fullmatch(cell):
        return f"'{cell}"
    return cell
