"""What is published with the video: cautions, captions, chapters; what was heard with doubt or fell out of the cut."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from shoplog.log import Project
from shoplog.publish import cautions as advice_list
from shoplog.publish import chapters as chapter_list
from shoplog.publish import cut
from shoplog.publish.chapters import Chapter
from shoplog.publish.cut import TOLD
from shoplog.publish.evidence import Evidence, Point, Witness
from shoplog.publish.limits import Limits
from shoplog.publish.programme import Programme
from shoplog.publish.quality import Finding, as_lines
from shoplog.publish.stated import spoken
from shoplog.timeline.course import Course


def cautions(project: Project, course: Course, draft: str, see: Witness) -> Iterator[Point]:
    """good where the draft carries the caution; what calls for it is the evidence beside it."""
    for advice in advice_list.cautions(project, course):
        key, title = f"caution-{advice.id.replace(' ', '-')}", f"Caution: {advice.id}"
        reasons = tuple(see.at(r, at, _words_at(project, r, at)) for r, at in advice.because[:2])
        if advice.text in draft:
            yield Point(key, title, "good", (Evidence(f"in the draft description: {advice.text}"), *reasons))
        else:
            yield Point(key, title, "missing", reasons, f"Your draft does not say it: {advice.text}")


def _words_at(project: Project, recording_id: int, at: float) -> str:
    return next(
        (c.text for t, c in spoken(project) if t.recording.id == recording_id and c.start <= at + 0.01 and c.end >= at),
        "",
    )


def captions(report: Sequence[Finding]) -> Point:
    return Point(
        "captions", "The captions were looked at", "needs your eyes", tuple(map(Evidence, as_lines(report))),
        "Read them once against the sound, names and numbers first; then: shoplog checklist NAME --settle captions",
    )  # fmt: skip


def chapters(found: Sequence[Chapter], programme: Programme, limits: Limits) -> Point:
    wrong = chapter_list.faults(found, limits)
    evidence = tuple(Evidence(line) for line in chapter_list.as_text(found).splitlines())
    if wrong:
        return Point("chapters", "The chapters are valid", "missing", evidence, f"Put right: {'; '.join(wrong)}.")
    if not programme.is_cut and len(programme.spans) > 1:
        return Point(
            "chapters", "The chapters are valid", "needs your eyes", evidence,
            "The times are of the recordings one after the other; give the final cut with --video.",
        )  # fmt: skip
    return Point("chapters", "The chapters are valid", "good", evidence)


def doubtful_hearings(project: Project, see: Witness) -> Point:
    doubtful = [k for k in project.facts() if k.doubtful and not k.fact.attrs.get("other_piece")]
    title = "Doubtful hearings are settled"
    if doubtful:
        return Point(
            "doubtful",
            title,
            "needs your eyes",
            see.of(*doubtful),
            "Listen to each, then confirm or correct it: shoplog correct.",
        )
    total = len(project.facts())
    if not total:
        return Point(
            "doubtful",
            title,
            "missing",
            (),
            "Nothing was stated in these recordings; listen whether they were heard at all.",
        )
    return Point("doubtful", title, "good", (Evidence(f"{total} statements, none of them doubtful"),))


def left_out(project: Project, see: Witness) -> Iterator[Point]:
    """What was said and is not in the cut; what viewers should hear of counts."""
    out = [k for k in cut.left_out(project, see.programme) if k.fact.kind in TOLD]
    if out:
        do = "Said in the recordings and not in the cut: put it back, show it as text, or let the description tell it."
        yield Point("left-out", "What viewers should hear of is in the cut", "needs your eyes", see.of(*out), do)
