"""The maker's own points, from a file of theirs."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from shoplog.errors import InputError
from shoplog.log import Project
from shoplog.publish.evidence import Point, Witness
from shoplog.publish.phrases import slug
from shoplog.publish.stated import spoken

OWN_POINTS = "checklist.toml"


@dataclass(frozen=True, slots=True)
class OwnPoint:
    """A point of the maker's own; of ``words`` one must have been said (none where only eyes can tell)."""

    key: str
    title: str
    words: tuple[str, ...] = ()
    do: str = ""


def load_own(folder: Path) -> tuple[OwnPoint, ...]:
    """The points in ``checklist.toml`` of the configuration folder: tables ``[[point]]`` with title, words, do, key.

    Raises InputError on a file that can't be used.
    """
    path = folder / OWN_POINTS
    try:
        rows = tomllib.loads(path.read_text(encoding="utf-8")).get("point", [])
    except FileNotFoundError:
        return ()
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise InputError(f"{path}: cannot be read as TOML ({error}); mend the file or take it away.") from error
    points = []
    for row in rows if isinstance(rows, list) else ():
        title, words = row.get("title"), row.get("words", [])
        words = [words] if isinstance(words, str) else words
        if not isinstance(title, str) or not title.strip() or not all(isinstance(w, str) for w in words):
            raise InputError(f"{path}: each [[point]] needs a title, and words as a list of phrases.")
        key = str(row.get("key") or slug(title))
        points.append(OwnPoint(f"own-{key}", title.strip(), tuple(words), str(row.get("do") or "")))
    return tuple(points)


def own(project: Project, own: Sequence[OwnPoint], see: Witness) -> Iterator[Point]:
    for point in own:
        pattern = "|".join(rf"(?<!\w){re.escape(w.lower())}(?!\w)" for w in point.words)
        said = [
            (t.recording.id, c) for t, c in spoken(project)
            if pattern and re.search(pattern, c.text.lower())
            and (not see.programme.is_cut or see.programme.shows(t.recording.id, c.start, c.end))
        ]  # fmt: skip
        evidence = tuple(see.at(r, c.start, c.text) for r, c in said[:2])
        if said:
            yield Point(point.key, point.title, "good", evidence)
        elif point.words:
            yield Point(point.key, point.title, "missing", (), point.do or f"Say one of: {', '.join(point.words)}.")
        else:
            yield Point(point.key, point.title, "needs your eyes", (), point.do or "Look, and settle it by hand.")
