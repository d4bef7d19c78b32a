"""Titles and tags: what the piece is, in the maker's words, without hype."""

from __future__ import annotations

import re
from collections.abc import Sequence

from shoplog.facts import Fact
from shoplog.log import KeptFact, Project
from shoplog.publish import phrases, sections
from shoplog.publish.limits import COMMON, Limits, fit, fit_tags
from shoplog.publish.stated import spoken, statements
from shoplog.timeline.course import Course, Defect

#: What is made on a lathe, the longer names first.
PIECES = (
    "salad bowl", "natural edge bowl", "segmented bowl", "lidded box", "hollow form", "pepper mill", "salt mill",
    "lamp base", "candle holder", "rolling pin", "tool handle", "stool leg", "chair leg", "table leg", "wine stopper",
    "bottle stopper", "bowl", "platter", "plate", "dish", "vase", "goblet", "cup", "mug", "box", "urn", "pot", "pen",
    "finial", "baluster", "spindle", "leg", "handle", "mallet", "top", "knob", "ornament", "ring", "lamp", "stool",
    "candlestick", "egg", "sphere", "spoon", "scoop", "tray", "bangle", "bell", "whistle", "pestle", "mortar", "newel",
    "post", "drum", "rattle", "honey pot", "hook", "peg", "pull",
    "wand", "bracelet", "clock", "tumbler", "beaker", "ladle",
)  # fmt: skip


#: Words of a project's name that are no piece.
_NO_PIECE = frozenset(
    "a an the of in from for with and or my new old small big large little first second last part take day days week "
    "video final cut clip project wood turning turned log blank green dry spalted one two three no".split()
)
#: A piece that only the words name must be named in so many remarks.
SPOKEN_OFTEN = 3


def piece_name(project: Project) -> str:
    """What the piece is called: in the project's name, else as the thing that is measured or spoken of most; or ''."""
    # Box elder is no box.
    woods = [str(k.fact.item) for k in project.facts() if k.fact.kind == "species" and k.fact.item]

    def pieces(text: str) -> list[str]:
        return [m[1] for m in _PIECE.finditer(_without(text, woods))]

    if found := pieces(project.name):
        # Several pieces stay several: "four pens" are pens.
        several = re.search(rf"\b{found[0]}e?s\b", _without(project.name, woods))
        return several[0] if several else found[0]
    if named := _left_of_the_name(project.name, woods):
        return named
    dimensions = statements(project, "description", "dimension")
    measured = [n for k in dimensions for n in pieces(str(k.fact.attrs.get("of") or ""))]
    words = [n for _, cue in spoken(project) for n in dict.fromkeys(pieces(cue.text))]
    for names, least in ((measured, 1), (words, SPOKEN_OFTEN)):
        ranked = sorted(dict.fromkeys(names), key=names.count, reverse=True)
        if (
            ranked
            and names.count(ranked[0]) >= least
            and (len(ranked) == 1 or names.count(ranked[0]) > names.count(ranked[1]))
        ):
            return ranked[0]
    return ""


def _without(text: str, woods: Sequence[str]) -> str:
    text = re.sub(r"[-_]", " ", text.lower())
    for wood in woods:
        text = re.sub(rf"\b{re.escape(wood)}\b", " ", text)
    return text


def _left_of_the_name(name: str, woods: Sequence[str]) -> str:
    """ "drum" of "sycamore-drum": what a name holds besides its wood, where that is one word."""
    rest = _without(name, woods)
    words = [w for w in re.findall(r"[^\W\d_]+", rest) if w not in _NO_PIECE]
    return words[0] if len(words) == 1 and rest != re.sub(r"[-_]", " ", name.lower()) and len(words[0]) > 2 else ""


_PIECE = re.compile(rf"\b({'|'.join(map(re.escape, PIECES))})(?:e?s)?\b")


def titles(project: Project, course: Course, limits: Limits = COMMON) -> list[str]:
    """Several titles to choose from, each true of what was said, none longer than the limit."""
    woods = sections.species(project)[:2]
    wood, piece = phrases.proper(phrases.listed(woods)), piece_name(project)
    subject = _join(wood, piece) or project.name
    finishes = phrases.unique(phrases.product(k.fact) for k in statements(project, "description", "finish"))
    mended = {k.id for k in statements(project, "description", "defect") if k.fact.attrs.get("change") == "repaired"}
    trouble = next((d for d in course.defects if any(e.fact_id in mended for e in d.events)), None)
    held = {k.fact.item for k in statements(project, "description", "workholding")}
    suggestions = [
        _given_title(project.name),
        f"Turning {phrases.with_article(subject)}" if piece else f"Turning {subject}",
        _size(project, _upper(subject)),
        f"{_upper(subject)} finished with {phrases.listed(finishes[:2])}" if finishes else "",
        _mended(subject, trouble) if trouble else "",
        f"{_upper(subject)}, turned twice" if _turned_twice(course) else "",
        f"{_upper(subject)} on the vacuum chuck" if "vacuum chuck" in held else "",
        f"{_upper(subject)} from blank to finish" if finishes and piece else "",
    ]  # fmt: skip
    return phrases.unique(fit(t, limits.title) for t in suggestions if t)


def _turned_twice(course: Course) -> bool:
    """Dried between two turnings."""
    order = [s.operation for s in course.stages]
    return "season" in order and "second turning" in order[order.index("season") :]


def _mended(subject: str, trouble: Defect) -> str:
    return f"{_upper(subject)}, and how I mended {phrases.defect(Fact('defect', trouble.item))}"


def _given_title(name: str) -> str:
    """The project's name where a person gave it: not that of a file or a folder with a date."""
    if not re.fullmatch(r"[^\W\d_]+(?:[ '’,-]+[^\W\d_]+)+", name):
        return ""
    return _upper(name if " " in name else name.replace("-", " "))


#: Parts of a piece, and what is used on it: their sizes are not its own.
_PARTS = frozenset(
    ("tenon", "hole", "depth hole", "recess", "mortise", "jaws", "spigot", "screw", "faceplate", "disc", "foot", "rim",
     "wall", "lid", "ring", "stem", "cup", "neck", "mouth", "base", "bead", "thick part", "thin part")
)  # fmt: skip


def whole_sizes(project: Project) -> tuple[list[KeptFact], list[KeptFact]]:
    """The stated sizes of the whole: (before turning, finished). Nothing of its parts."""
    raw: list[KeptFact] = []
    finished: list[KeptFact] = []
    for kept in project.facts():
        of = str(kept.fact.attrs.get("of") or "")
        whole = kept.fact.item in ("diameter", "width", "height", "length") and of not in _PARTS
        if (
            kept.fact.kind != "dimension"
            or kept.fact.status != "done"
            or kept.fact.attrs.get("other_piece")
            or not whole
        ):
            continue
        early = kept.operation in ("select", "measure", "lay out", "mount")
        (raw if of not in PIECES and (of in sections.RAW or early) else finished).append(kept)
    return raw, finished


def _size(project: Project, subject: str) -> str:
    """The subject with its finished width as it was stated last, else the width of its blank; '' without either."""
    raw, finished = whole_sizes(project)
    for found, lead in ((finished[::-1], f"{subject}, "), (raw, f"{subject} from a ")):
        best = next((k for k in found if k.fact.item in ("diameter", "width") and not k.doubtful), None)
        if best:
            part = "" if found is not raw else f"{best.fact.attrs.get('of') or 'blank'} "
            return f"{lead}{part}{phrases.dimension(best.fact)}"
    return ""


def _join(wood: str, piece: str) -> str:
    return " ".join(p for p in (wood, piece) if p)


def _upper(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def tags(project: Project, limits: Limits = COMMON) -> list[str]:
    """Search words from what is certain: the piece, the wood, tools, finishes and how it was held."""
    piece, woods = piece_name(project), sections.species(project)
    found = ["woodturning", "wood turning", piece, *woods, *(_join(w, piece) for w in woods if piece)]
    for kind in ("finish", "tool", "workholding"):
        found += [str(k.fact.item) for k in statements(project, "description", kind) if k.fact.item]
    return fit_tags(found, limits)
