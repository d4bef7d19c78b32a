"""The parts of a description, each a few lines with the statements they rest on. Only what `stated.ENTERS` lets in."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from shoplog.facts import Fact, convert
from shoplog.log import KeptFact, Project
from shoplog.publish import phrases
from shoplog.publish.phrases import amount, blank, listed, unique
from shoplog.publish.stated import remark, statements, use
from shoplog.publish.waits import by_a_label
from shoplog.publish.work import words_of
from shoplog.timeline.course import Course, Defect

#: Parts of the wood before it is a piece.
RAW = ("blank", "log", "board", "slab", "half log", "billet", "square", "stock", "piece of wood", "limb", "branch")


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the description and the facts it rests on; ``computed`` where shoplog worked it out."""

    text: str
    facts: tuple[int, ...] = ()
    computed: bool = False


def said(project: Project, *kinds: str) -> tuple[KeptFact, ...]:
    """What may be told of these kinds, as stated or as a blank where it is doubtful; no plans."""
    found = statements(project, "description", *kinds, uses=("said", "blank"))
    return tuple(k for k in found if k.fact.status == "done")


def told(kept: KeptFact, words: str) -> str:
    """The words, or a blank to fill where the statement is doubtful."""
    return blank(f"{words}?", kept) if use(kept, "description") == "blank" else words


def line(label: str, found: Sequence[KeptFact], words: Callable[[Fact], str]) -> list[Line]:
    """One line of all different phrases, in order: ``Held: a, b and c``; nothing where nothing was stated."""
    texts = unique(told(k, words(k.fact)) for k in found)
    return [Line(f"{label}: {listed(texts)}", tuple(k.id for k in found))] if texts else []


# ------------------------------------------------------------------------------------------------ wood and size


def wood(project: Project) -> list[Line]:
    found = said(project, "species")
    named = {k.fact.item for k in found if k.fact.attrs.get("form")}
    # "mesquite" after "mesquite log" says nothing new.
    kept = [
        k for k in found if (k.fact.attrs.get("form") or k.fact.item not in named) and not _vaguer(k.fact.item, found)
    ]
    return line("Wood", kept, lambda f: phrases.proper(f"{f.item} {f.attrs.get('form') or ''}".strip()))


def _vaguer(item: str | None, found: Sequence[KeptFact]) -> bool:
    """True for "maple" where "hard maple" is named too."""
    return any(str(k.fact.item).endswith(f" {item}") for k in found)


def species(project: Project) -> list[str]:
    """The woods that are certain, the one spoken of most first; for titles and the opening."""
    found = statements(project, "description", "species")
    names = [k.fact.item for k in found if k.fact.item and not _vaguer(k.fact.item, found)]
    return sorted(dict.fromkeys(names), key=lambda n: -names.count(n))


def sizes(project: Project, course: Course) -> list[Line]:
    """A line for each part: the blank first, each measure in the order it was stated."""
    parts: dict[tuple[int, str], list[KeptFact]] = {}
    for kept in said(project, "dimension"):
        piece = (kept.piece or 1) if course.pieces > 1 else 0
        parts.setdefault((piece, str(kept.fact.attrs.get("of") or "")), []).append(kept)
    lines = []
    for (piece, of), group in sorted(parts.items(), key=lambda p: (p[0][0], p[0][1] not in RAW, p[1][0].id)):
        walls = not of and all(k.fact.item == "wall thickness" for k in group)
        label = "Walls" if walls else of.capitalize() if of else "Size"
        label += f", piece {piece}" if piece else ""
        text = _measures(group).replace("walls ", "") if walls else _measures(group)
        lines.append(Line(f"{label}: {text}", tuple(k.id for k in group)))
    return lines


def _measures(group: Sequence[KeptFact]) -> str:
    """``11 inches across, 4 1/2 inches thick``; a measure stated again with another number: ``x, later y``."""
    by_item: dict[str | None, list[str]] = {}
    for kept in group:
        by_item.setdefault(kept.fact.item, []).append(told(kept, phrases.dimension(kept.fact)))
    return ", ".join(", later ".join(unique(texts)) for texts in by_item.values())


def readings(project: Project, course: Course) -> list[Line]:
    """Moisture and weight in the order they were stated, with the day where there are several."""
    lines = []
    for kind, label in (("moisture", "Moisture"), ("weight", "Weight")):
        found = said(project, kind)
        by_day: dict[int | None, list[str]] = {}
        for kept in found:
            notes = [str(kept.fact.attrs[n]) for n in ("where", "method") if kept.fact.attrs.get(n)]
            note = f" ({', '.join(notes)})" if notes else ""
            by_day.setdefault(course.days_of.get(kept.id), []).append(told(kept, amount(kept.fact)) + note)
        texts = [
            f"{f'day {day}: ' if day and len(by_day) > 1 else ''}{', '.join(unique(texts))}"
            for day, texts in by_day.items()
        ]
        if texts:
            lines.append(Line(f"{label}: {'; '.join(texts)}", tuple(k.id for k in found)))
    return lines


def shop(project: Project) -> list[Line]:
    found = said(project, "temperature", "humidity")
    return line("In the shop", found, lambda f: amount(f) + (" humidity" if f.kind == "humidity" else ""))


# ------------------------------------------------------------------------------------------------ how it was made


def held(project: Project) -> list[Line]:
    return line("Held by", _most_exact(said(project, "workholding")), phrases.holding)


def tools(project: Project) -> list[Line]:
    return line("Tools", _most_exact(said(project, "tool")), phrases.tool)


def _most_exact(found: Sequence[KeptFact]) -> list[KeptFact]:
    """Without a mention that only repeats part of a fuller one of the same thing."""

    def marks(k: KeptFact) -> tuple[object, ...]:
        f = k.fact
        return (f.value, f.low, f.high, f.attrs.get("grind"))

    def fuller(a: KeptFact, b: KeptFact) -> bool:
        pairs = list(zip(marks(a), marks(b), strict=True))
        return a.fact.item == b.fact.item and marks(a) != marks(b) and all(y is None or x == y for x, y in pairs)

    return [k for k in found if not any(fuller(other, k) and not other.doubtful for other in found)]


def speeds(project: Project) -> list[Line]:
    """``Speeds: 500, then 480 rpm truing up; 600 rpm sanding``, in the order of the work; doubtful ones apart."""
    by_operation: dict[str, list[KeptFact]] = {}
    for kept in said(project, "speed"):
        if amount(kept.fact):
            by_operation.setdefault(kept.operation or "", []).append(kept)
    texts, ids = [], []
    for operation, group in by_operation.items():
        words = words_of(operation)
        doing = f" {words.doing}" if words and words.doing else ""
        certain = unique(amount(k.fact).removesuffix(" rpm") for k in group if not k.doubtful)
        texts += [f"{', then '.join(certain)} rpm{doing}"] if certain else []
        texts += unique(blank(f"{amount(k.fact)}{doing}?", k) for k in group if k.doubtful)
        ids += [k.id for k in group]
    return [Line(f"Speeds: {'; '.join(texts)}", tuple(ids))] if texts else []


def grits(project: Project, course: Course) -> list[Line]:
    """Each pass of sanding in its order; a pass ends where the grit goes back."""
    passes: list[list[KeptFact]] = []
    for kept in said(project, "grit"):
        last = passes[-1][-1] if passes else None
        if last and kept.piece == last.piece and _first(kept.fact) >= _last(last.fact):
            passes[-1].append(kept)
        else:
            passes.append([kept])
    texts = unique(_pass(group, course) for group in passes)
    return [Line(f"Sanded: {'; then '.join(texts)}", tuple(k.id for g in passes for k in g))] if texts else []


def _first(fact: Fact) -> float:
    return next((n for n in (fact.value, fact.low, fact.high) if n is not None), 0.0)


def _last(fact: Fact) -> float:
    return next((n for n in (fact.value, fact.high, fact.low) if n is not None), 0.0)


def _pass(group: Sequence[KeptFact], course: Course) -> str:
    figures = unique(told(k, amount(k.fact)) for k in group)
    holders = unique(str(k.fact.attrs.get("holder") or "") for k in group)
    piece = f"piece {group[0].piece}: " if course.pieces > 1 and group[0].piece else ""
    return f"{piece}{', '.join(figures)} grit{f' ({listed(holders)})' if holders else ''}"


def glues(project: Project) -> list[Line]:
    return line("Glue", said(project, "adhesive"), phrases.adhesive)


def finishes(project: Project) -> list[Line]:
    """What was put on; a finish that was only planned is a blank, because nobody said that it was done."""
    done = fullest(said(project, "finish"))
    lines = line("Finish", done, phrases.finish)
    names = {k.fact.item for k in done}
    planned = [
        k for k in statements(project, "description", "finish", uses=("blank",))
        if k.fact.status == "planned" and k.fact.item not in names
    ]  # fmt: skip
    for kept in planned:
        lines.append(Line(f"Finish: {blank(f'{phrases.finish(kept.fact)}, planned; was it done?', kept)}", (kept.id,)))
    return lines


def fullest(found: Sequence[KeptFact]) -> list[KeptFact]:
    """One statement a product: the one with the most coats, since the second coat counts the first."""
    best: dict[tuple[int | None, str | None], KeptFact] = {}
    for kept in found:
        key = (kept.piece, kept.fact.item)
        if key not in best or _coats(kept) > _coats(best[key]):
            best[key] = kept
    return list(best.values())


def _coats(kept: KeptFact) -> float:
    coats = kept.fact.attrs.get("coats")
    return float(coats) if isinstance(coats, int | float) else 0.0


def waits(project: Project) -> list[Line]:
    found = [k for k in said(project, "duration") if amount(k.fact) and not by_a_label(project, k)]

    def words(fact: Fact) -> str:
        of = str(fact.attrs.get("of") or "")
        placed = of.split(" ")[0] in ("in", "on", "at", "between", "under", "to")
        return f"{amount(fact)}{f' {of}' if placed else f' ({of})' if of else ''}"

    return line("Waits and times", found, words)


def worn(project: Project) -> list[Line]:
    return line("Safety gear", said(project, "ppe"), lambda f: str(f.item))


# ------------------------------------------------------------------------------------------------ what went wrong


def troubles(project: Project, course: Course) -> list[Line]:
    """A line for each defect: what it was, how it was mended, how it ended."""
    facts = {k.id: k for k in said(project, "defect")}
    lines = []
    for defect in course.defects:
        known = [facts[e.fact_id] for e in defect.events if e.fact_id in facts]
        if known:
            lines.append(Line(_trouble(project, defect, known, course.pieces > 1), tuple(k.id for k in known)))
    return lines


ENDINGS = {
    "worse": "it got worse", "stable": "it has not moved since", "gone": "gone now", "reopened": "it opened again",
}  # fmt: skip


def _trouble(project: Project, defect: Defect, known: Sequence[KeptFact], pieces: bool) -> str:
    first = known[0]
    sizes = unique(amount(k.fact) for k in known)
    grown = f", {' then '.join(sizes)}" if sizes else ""
    article = phrases.defect(Fact("defect", defect.item))
    if (
        not defect.where
        and article.startswith(("a ", "an "))
        and all(k.fact.quote.lower().count(f"{defect.item}s") for k in known[:1])
    ):
        article = f"{defect.item}s"
    text = f"{article[:1].upper()}{article[1:]}{f' ({defect.where})' if defect.where else ''}{grown}"
    text += _ending(project, defect, known)
    text = f"{text}, piece {defect.piece}" if pieces else text
    return blank(f"{text}?", first) if all(use(k, "description") == "blank" for k in known) else text


#: Glue that is spoken of so near to a defect is taken to be for it, seconds.
NEAR = 60.0


def _ending(project: Project, defect: Defect, known: Sequence[KeptFact]) -> str:
    """How it was mended and how it stands. Where nobody said that it was mended, glue is a blank."""
    mended = any(k.fact.attrs.get("change") == "repaired" for k in known)
    near = {
        phrases.adhesive(g.fact)
        for g in statements(project, "description", "adhesive")
        for k in known
        if g.recording_id == k.recording_id and abs(g.fact.start - k.fact.start) <= NEAR
    }
    glues = listed([g for g in defect.glues if g in near])
    if mended:
        text = f"; mended with {glues}" if glues else "; mended"
    else:
        text = f" [check: mended with {listed(list(defect.glues))}?]" if defect.glues else ""
    last = known[-1].fact.attrs.get("change") if len(known) > 1 else None
    ending = ENDINGS.get(defect.state) or ENDINGS.get(str(last), "")
    return text + (f"; {ending}" if ending else "")


# ------------------------------------------------------------------------------------------------ people


def names(project: Project) -> list[tuple[str, str, KeptFact]]:
    """(name, what for, statement) of everyone thanked or named as a source, each once."""
    found: dict[str, tuple[str, str, KeptFact]] = {}
    for kept in said(project, "credit"):
        item = str(kept.fact.item or "")
        name = phrases.name_in(remark(project, kept), item)
        if item and (item not in found or kept.fact.attrs.get("role")):
            found[item] = (name, str(kept.fact.attrs.get("role") or ""), kept)
    return list(found.values())


#: How a person is thanked for what they gave.
THANKS = {"wood": "the wood", "method": "showing me how", "tool": "the tool", "design": "the design"}


def thanks(project: Project) -> list[Line]:
    lines = []
    for name, role, kept in names(project):
        role_words = f" for {THANKS.get(role, f'the {role}')}" if role else ""
        lines.append(Line(f"Thanks to {told(kept, name)}{role_words}.", (kept.id,)))
    return lines


def in_inches(fact: Fact) -> float | None:
    """A stated length in inches, None where there is none."""
    value = fact.value if fact.value is not None else fact.high
    try:
        return convert(value, fact.unit, "in") if value is not None and fact.unit else None
    except (KeyError, ValueError):
        return None
