"""The lengths that video hosts and caption readers allow, as settings with common defaults, and cutting at words.

The maker's own numbers stand in ``publish.toml`` in the configuration folder, under ``[limits]``.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, fields
from pathlib import Path

from shoplog.errors import InputError

SETTINGS_FILE = "publish.toml"


@dataclass(frozen=True, slots=True)
class Limits:
    """Characters, seconds and counts. The defaults are common practice of video hosts and caption makers, no source."""

    title: int = 100
    title_shown: int = 70
    description: int = 5000
    tags: int = 500
    tag: int = 30
    chapter_title: int = 50
    chapter_seconds: float = 10.0
    chapters_least: int = 3
    caption_lines: int = 2
    caption_line: int = 42
    caption_least_seconds: float = 1.0
    caption_most_seconds: float = 7.0
    caption_characters_per_second: float = 20.0
    caption_gap: float = 0.08


#: The limits where the maker set none.
COMMON = Limits()


def load_limits(folder: Path) -> Limits:
    """The limits, with the maker's own numbers over the defaults. Raises InputError on a file that can't be used."""
    path = folder / SETTINGS_FILE
    try:
        table = tomllib.loads(path.read_text(encoding="utf-8")).get("limits", {})
    except FileNotFoundError:
        return Limits()
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise InputError(f"{path}: cannot be read as TOML ({error}); mend the file or take it away.") from error
    known = {f.name: type(getattr(COMMON, f.name)) for f in fields(Limits)}
    for name, value in table.items():
        if name not in known:
            raise InputError(f"{path}: there is no limit {name!r}; the limits are {', '.join(known)}.")
        if isinstance(value, bool) or not isinstance(value, int | float) or value <= 0:
            raise InputError(f"{path}: the limit {name} must be a number above 0.")
    return Limits(**{name: known[name](value) for name, value in table.items()})


def fit(text: str, most: int) -> str:
    """``text`` in at most ``most`` characters: cut at a word and never within one, with an ellipsis if it was cut.

    A single word longer than the limit is left out rather than cut.
    """
    text = text.strip()
    if len(text) <= most:
        return text
    kept = text[: max(most - 1, 0)]
    if not text[len(kept) : len(kept) + 1].isspace():
        space = max((m.start() for m in re.finditer(r"\s", kept)), default=0)
        kept = kept[:space]
    kept = kept.rstrip(" ,;:-–—(")
    return f"{kept}…" if kept else ""


def fit_lines(lines: list[str], most: int) -> tuple[list[str], int]:
    """As many whole lines from the top as fit in ``most`` characters, and how many were left out."""
    kept: list[str] = []
    length = 0
    for line in lines:
        length += len(line) + (1 if kept else 0)
        if length > most:
            break
        kept.append(line)
    return kept, len(lines) - len(kept)


def fit_tags(tags: list[str], limits: Limits) -> list[str]:
    """The tags that fit: each short enough and all together with their commas; whole tags only."""
    kept: list[str] = []
    length = 0
    for tag in dict.fromkeys(tags):
        cost = len(tag) + (2 if kept else 0)
        if tag and len(tag) <= limits.tag and length + cost <= limits.tags:
            kept.append(tag)
            length += cost
    return kept
