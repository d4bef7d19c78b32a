"""The draft of a description: sections of what was stated, through a template that the maker can replace."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, field, replace
from pathlib import Path
from typing import Any

from shoplog.errors import InputError
from shoplog.log import Project
from shoplog.publish import chapters as chapter_list
from shoplog.publish import gifts, phrases, sections, titles
from shoplog.publish.cautions import cautions
from shoplog.publish.chapters import Chapter
from shoplog.publish.cut import left_out
from shoplog.publish.evidence import Evidence, Witness
from shoplog.publish.followups import FollowUp
from shoplog.publish.limits import COMMON, Limits, fit, fit_lines
from shoplog.publish.programme import Programme
from shoplog.publish.sections import Line
from shoplog.publish.stated import remark
from shoplog.timeline.course import Course
from shoplog.times import stamp

TEMPLATE = "description.txt.j2"


@dataclass(frozen=True, slots=True)
class Description:
    """A draft: titles to choose from, the text, tags, the sections behind it, and notes for the maker.

    ``evidence`` has the words and their place for every fact that a section rests on, by the fact's number.
    """

    titles: tuple[str, ...]
    text: str
    tags: tuple[str, ...]
    sections: dict[str, list[Line]] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    evidence: dict[int, Evidence] = field(default_factory=dict)

    def as_json(self) -> dict[str, Any]:
        return {
            "titles": list(self.titles),
            "text": self.text,
            "tags": list(self.tags),
            "sections": {
                name: [{"text": x.text, "facts": list(x.facts), "computed": x.computed} for x in lines]
                for name, lines in self.sections.items()
            },
            "notes": list(self.notes),
            "evidence": {number: asdict(e) for number, e in self.evidence.items()},
        }


def describe(
    project: Project,
    course: Course,
    programme: Programme,
    promises: Sequence[FollowUp] = (),
    limits: Limits = COMMON,
    templates: Path | None = None,
) -> Description:
    """The draft for the video of a project. ``templates`` is a folder whose files replace ours.

    Raises InputError on a template that can't be used.
    """
    found = gather(project, course, programme, promises)
    list_of_chapters = chapter_list.chapters(project, course.stages, programme, limits)
    text = render(found, list_of_chapters, project, programme, templates)
    text, notes = _fitted(text, limits)
    if not programme.is_cut and len(programme.spans) > 1:
        notes = [*notes, "Chapter times are of the recordings one after the other; give the final cut with --video."]
    notes += [f"Not in the cut: {phrases.plain(k)}, “{remark(project, k)}”" for k in left_out(project, programme)]
    see = Witness(project, programme)
    used = {number for lines in found.values() for x in lines for number in x.facts}
    evidence = {k.id: see.of(k)[0] for k in project.facts() if k.id in used}
    suggested = tuple(titles.titles(project, course, limits))
    tags = tuple(titles.tags(project, limits))
    return Description(suggested, text, tags, found, tuple(notes), evidence)


def gather(
    project: Project, course: Course, programme: Programme, promises: Sequence[FollowUp] = ()
) -> dict[str, list[Line]]:
    """Every section by its name, those without statements empty."""
    facts = {k.id: k for k in project.facts()}

    def where(fact_id: int) -> str:
        return programme.place(project, facts[fact_id].recording_id, facts[fact_id].fact.start)

    found = {
        "opening": _opening(project),
        "wood": sections.wood(project),
        "sizes": sections.sizes(project, course),
        "readings": sections.readings(project, course),
        "held": sections.held(project),
        "tools": sections.tools(project),
        "speeds": sections.speeds(project),
        "grits": sections.grits(project, course),
        "glues": sections.glues(project),
        "finishes": sections.finishes(project),
        "waits": sections.waits(project),
        "worn": sections.worn(project),
        "shop": sections.shop(project),
        "troubles": sections.troubles(project, course),
        "thanks": sections.thanks(project),
        "disclosures": disclosures(project, programme),
        "cautions": [Line(c.text, computed=True) for c in cautions(project, course)],
        "promises": [Line(_promise(p, project, course, programme), (p.fact_id,)) for p in promises if not p.answered],
    }
    for name, what in (("wood", "Wood: [fill in: the wood]"), ("sizes", "Size: [fill in: the finished size]")):
        found[name] = found[name] or [Line(what)]
    return {name: [replace(x, text=phrases.placed(x.text, where)) for x in lines] for name, lines in found.items()}


def _opening(project: Project) -> list[Line]:
    """A few plain sentences: what it is, where the wood came from, what is on it. Only what is certain."""
    woods, piece = sections.species(project), titles.piece_name(project)
    wood = phrases.proper(phrases.listed(woods[:3]))
    first = phrases.sentence(f"{phrases.with_article(piece or 'piece')} in {wood}" if wood else project.name)
    sources = [(name, kept) for name, role, kept in sections.names(project) if role == "wood" and not kept.doubtful]
    parts = [Line(first)]
    if sources:
        parts.append(
            Line(f"The wood came from {phrases.listed([n for n, _ in sources])}.", tuple(k.id for _, k in sources))
        )
    done = [k for k in sections.fullest(sections.said(project, "finish")) if not k.doubtful]
    if done:
        finish = phrases.listed(phrases.unique(phrases.finish(k.fact) for k in done))
        it = "them" if piece.endswith("s") else "it"
        parts.append(Line(f"I finished {it} with {finish}.", tuple(k.id for k in done)))
    return parts


def _promise(promise: FollowUp, project: Project, course: Course, programme: Programme) -> str:
    """What is still to come; where its day has passed within the recordings, a blank for what came of it."""
    newest = max((s.moment.date() for s in course.starts.values() if s.moment), default=None)
    if promise.doubtful or not promise.fact_id:
        return f"[check: {promise.public} {programme.place(project, promise.recording_id, promise.start)}]"
    if promise.state == "perhaps" or (promise.due and newest and promise.due <= newest):
        return f"[check: {promise.public}; what came of it?]"
    return phrases.sentence(promise.public)


def disclosures(project: Project, programme: Programme) -> list[Line]:
    """What was received, as the maker told it; where it was not told, a line to check."""
    lines = []
    for gift in gifts.gifts(project):
        quote = " ".join(gift.quote.split())
        if gift.told:
            told = " ".join(gift.told.split())
            lines.append(Line(f"Disclosure: “{quote}”" + (f" “{told}”" if told != quote else "")))
        elif gift.state != "thanks":
            place = programme.place(project, gift.recording_id, gift.start)
            lines.append(Line(f"[check: received free, lent or paid for? “{fit(quote, 160)}” {place}]"))
    return lines


def render(
    found: dict[str, list[Line]],
    list_of_chapters: Sequence[Chapter],
    project: Project,
    programme: Programme,
    templates: Path | None,
) -> str:
    """The text of the template; blank lines are never more than one."""
    import re

    from jinja2 import ChoiceLoader, Environment, FileSystemLoader, PackageLoader, StrictUndefined, TemplateError
    from jinja2.sandbox import SandboxedEnvironment

    loaders = [FileSystemLoader(templates)] if templates else []
    # Plain text is what hosts take: escaping would show &amp;. Pages that hold it escape it themselves.
    environment: Environment = SandboxedEnvironment(
        loader=ChoiceLoader([*loaders, PackageLoader("shoplog.publish", "templates")]),
        autoescape=False,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=StrictUndefined,
    )
    values = {name: [x.text for x in lines] for name, lines in found.items()}
    stamps = [f"{stamp(c.start)} {c.title}" for c in list_of_chapters]
    if stamps and not programme.is_cut and len(programme.spans) > 1:
        stamps.insert(0, "[check: times of the recordings one after the other; give the final cut with --video]")
    try:
        text = environment.get_template(TEMPLATE).render(**values, chapters=stamps, name=project.name)
    except TemplateError as error:
        where = f"{templates / TEMPLATE}" if templates else TEMPLATE
        raise InputError(f"{where}: the template can't be used ({error}); mend it or take it away.") from error
    return re.sub(r"\n{3,}", "\n\n", text).strip() + "\n"


def _fitted(text: str, limits: Limits) -> tuple[str, list[str]]:
    """The text within the host's limit, cut at whole lines, and what to say about it."""
    if len(text) <= limits.description:
        return text, []
    kept, left = fit_lines(text.rstrip("\n").split("\n"), limits.description - 1)
    return "\n".join(kept) + "\n", [
        f"The draft was too long for {limits.description} characters: {left} lines at its end were left out."
    ]
