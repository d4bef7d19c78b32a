"""Everything for publishing one project, made from its values once and rendered to files."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time
from functools import cached_property
from pathlib import Path
from typing import Any

from shoplog.log import Project
from shoplog.publish import answers as answer_list
from shoplog.publish import captions as caption_list
from shoplog.publish import chapters as chapter_list
from shoplog.publish import checklist as point_list
from shoplog.publish import description, phrases, quality
from shoplog.publish.cut import left_out
from shoplog.publish.evidence import Point
from shoplog.publish.followups import FollowUp, follow_ups
from shoplog.publish.limits import Limits, load_limits
from shoplog.publish.points import own as own_points
from shoplog.publish.programme import Programme, end_to_end
from shoplog.publish.stated import doubted, remark
from shoplog.timeline.course import Course
from shoplog.transcript import Cue, Word
from shoplog.transcript_files import to_srt, to_vtt

Settled = Mapping[str, tuple[str, str | None]]


@dataclass(frozen=True)
class Pack:
    """A project ready to be published: what is needed to make any part of it. What is costly is made once."""

    project: Project
    course: Course
    programme: Programme
    promises: tuple[FollowUp, ...]
    limits: Limits = field(default_factory=Limits)
    config: Path | None = None
    settled: Settled = field(default_factory=dict)
    vocabulary: Sequence[tuple[str, str]] = ()
    added: tuple[Word, ...] = ()

    @cached_property
    def chapters(self) -> tuple[chapter_list.Chapter, ...]:
        return chapter_list.chapters(self.project, self.course.stages, self.programme, self.limits)

    @cached_property
    def captions(self) -> tuple[Cue, ...]:
        return caption_list.captions(
            self.project, self.programme, self.course.stages, self.limits, self.vocabulary, self.added
        )

    @cached_property
    def quality(self) -> tuple[quality.Finding, ...]:
        return quality.quality(self.project, self.programme, self.captions, self.limits)

    @cached_property
    def description(self) -> description.Description:
        templates = self.config / "templates" if self.config else None
        return description.describe(self.project, self.course, self.programme, self.promises, self.limits, templates)

    def checklist(self, today: date | None = None) -> tuple[Point, ...]:
        own = own_points.load_own(self.config) if self.config else ()
        return point_list.checklist(
            self.project, self.course, self.programme, self.promises,
            chapters=self.chapters, captions=self.quality, draft=self.description.text,
            settled=self.settled, own=own, limits=self.limits, today=today,
        )  # fmt: skip

    def answers(self) -> tuple[answer_list.Answer, ...]:
        return answer_list.answers(self.project, self.course, self.programme)


def pack(
    project: Project,
    course: Course,
    *,
    programme: Programme | None = None,
    config: Path | None = None,
    answered: Settled | None = None,
    settled: Settled | None = None,
    vocabulary: Sequence[tuple[str, str]] = (),
    added: Sequence[Word] = (),
) -> Pack:
    """The pack of a project. ``config`` is the configuration folder; ``programme`` the final cut, if there is one.

    Raises InputError on a settings file or template that can't be used.
    """
    project = doubted(project)
    return Pack(
        project, course, programme or end_to_end(project), follow_ups(project, course, answered),
        load_limits(config) if config else Limits(), config, settled or {}, vocabulary, tuple(added),
    )  # fmt: skip


def files(made: Pack, today: date | None = None) -> dict[str, str | bytes]:
    """The files of the pack by name: what a person opens first comes first."""
    from shoplog.publish.calendar import to_ics

    draft, chapters, captions = made.description, made.chapters, made.captions
    result: dict[str, str | bytes] = {
        "description.txt": draft.text,
        "titles.txt": "".join(f"{t}\n" for t in draft.titles),
        "tags.txt": ", ".join(draft.tags) + "\n",
        "checklist.txt": checklist_text(made.checklist(today)),
        "chapters.txt": chapter_list.as_text(chapters),
        "chapters.vtt": chapter_list.as_vtt(chapters),
        "chapters.ffmetadata": chapter_list.as_ffmetadata(chapters),
        "captions.vtt": to_vtt(captions),
        "captions.srt": to_srt(captions),
        "captions-report.txt": "".join(f"{line}\n" for line in quality.as_lines(made.quality, places=20)),
        "answers.txt": answer_list.as_text(made.answers()),
    }
    if made.programme.is_cut:
        out = left_out(made.project, made.programme)
        lines = [f"{phrases.plain(k)}: “{remark(made.project, k)}”\n" for k in out]
        result["left-out.txt"] = "".join(lines) or "Everything that was stated is in the cut.\n"
    if made.promises:
        # Stamped with the day of the newest promise, not with now: the same promises make the same file.
        said = max((p.said_on for p in made.promises if p.said_on), default=date(1970, 1, 1))
        result["follow-ups.ics"] = to_ics(made.promises, datetime.combine(said, time(), UTC))
    return result


MARKS: dict[str, str] = {"good": "good           ", "missing": "MISSING        ", "needs your eyes": "needs your eyes"}


def checklist_text(points: Sequence[Point]) -> str:
    """The points for people: what is missing first, then what needs a look, then what is good."""
    order = ("missing", "needs your eyes", "good")
    lines = []
    for p in sorted(points, key=lambda p: order.index(p.state)):
        lines.append(f"{MARKS[p.state]}  {p.title}  [{p.key}]\n")
        lines += [f"{'':17}{e}\n" for e in p.evidence[:6]]
        if len(p.evidence) > 6:
            lines.append(f"{'':17}and {len(p.evidence) - 6} more\n")
        if p.do:
            lines.append(f"{'':17}→ {p.do}\n")
    return "".join(lines)


def as_json(points: Sequence[Point]) -> list[dict[str, Any]]:
    return [p.as_json() for p in points]
