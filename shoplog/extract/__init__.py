"""What was stated: facts of the contract from a transcript, and nothing else.

`extract` is the whole of it. The order of the work is `stream` (tokens), `numbers` and `quantities` (amounts, units,
ranges, hedges), `lexicon` and `mentions` (trade words that are meant as such), `clauses` and `status` (what is
claimed), `kinds` (one family of facts each), `assemble` (one claim per number, corrections, repeats, confidence).
"""

from __future__ import annotations

import datetime as dt
import hashlib
from collections.abc import Sequence
from importlib.resources import files
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from shoplog.facts import Fact
    from shoplog.transcript import Transcript


def _patterns_version() -> str:
    digest = hashlib.sha256()
    for package in ("shoplog.extract", "shoplog.extract.kinds", "shoplog.trade"):
        for part in sorted(files(package).iterdir(), key=lambda p: p.name):
            if part.name.endswith((".py", ".csv", ".npz")):
                digest.update(part.name.encode() + b"\0" + part.read_bytes())
    return digest.hexdigest()[:12]


def __getattr__(name: str) -> str:
    if name == "PATTERNS_VERSION":
        # Worked out when first asked for: recordings are read again when it differs from the one they were read with.
        version = globals()["PATTERNS_VERSION"] = _patterns_version()
        return version
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def extract(
    transcript: Transcript,
    vocabulary: Sequence[tuple[str, str]] = (),
    recorded: dt.date | dt.datetime | None = None,
) -> list[Fact]:
    """The facts stated in a transcript, in order of their start.

    ``vocabulary`` holds the maker's own (heard, meant) pairs, applied first. ``recorded`` gives the year for dates
    spoken without one and helps to tell morning from afternoon: a moment is when the recording began, a day alone one
    by which all of it had been said (the date of a caption file); without it today's date is taken.
    """
    from shoplog.extract import mentions, stream
    from shoplog.extract.assemble import assemble
    from shoplog.extract.kinds import candidates
    from shoplog.extract.reading import Reading

    tokens = stream.build(transcript, vocabulary)
    if not len(tokens):
        return []
    reading = Reading(tokens, recorded)
    mentions.meant(reading)
    return assemble(reading, candidates(reading))
