"""Where the demonstration recordings are: in the checkout, or in the installed package."""

from __future__ import annotations

import sys
from pathlib import Path

from shoplog.errors import InputError


def recordings() -> Path:
    """The folder of the demonstration recordings, one subfolder per project. Raises InputError where they are not."""
    package = Path(__file__).resolve().parent
    places = (package.parent / "fixtures" / "recordings", Path(sys.prefix) / "share" / "shoplog" / "recordings")
    for place in places:
        if place.is_dir():
            return place
    raise InputError("The demonstration recordings are not installed; run shoplog demo from a checkout of the project.")
