"""What may be said in public: which status of a statement enters which part, and the statements of one piece.

Every part of publishing takes its statements from here, so that a plan, a habit or hearsay is never told as done.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Literal

from shoplog.log import KeptFact, Project, Take
from shoplog.transcript import Cue

#: ``said``: told as it is. ``blank``: a marked blank for the maker to fill. ``no``: told as not so. ``promise``: told
#: as what is still to come. ``evidence``: looked at, never told. ``never``: kept out.
Use = Literal["said", "blank", "no", "promise", "evidence", "never"]
Part = Literal["description", "answers", "followups", "checklist", "chapters"]

#: The one table. A doubtful statement is a ``blank`` wherever this says ``said``, ``no`` or ``promise``.
ENTERS: dict[Part, dict[str, Use]] = {
    "description": {
        "done": "said", "planned": "blank", "denied": "never",
        "habit": "never", "reported": "never", "hypothetical": "never",
    },
    "answers": {
        "done": "said", "planned": "blank", "denied": "no",
        "habit": "never", "reported": "never", "hypothetical": "never",
    },
    "followups": {
        "done": "promise", "planned": "promise", "denied": "never",
        "habit": "never", "reported": "never", "hypothetical": "never",
    },
    "checklist": {
        "done": "evidence", "planned": "evidence", "denied": "evidence",
        "habit": "never", "reported": "evidence", "hypothetical": "never",
    },
    "chapters": {
        "done": "said", "planned": "never", "denied": "never",
        "habit": "never", "reported": "never", "hypothetical": "never",
    },
}  # fmt: skip


def use(kept: KeptFact, part: Part) -> Use:
    """How a statement enters a part; another piece's never does."""
    if kept.fact.attrs.get("other_piece"):
        return "never"
    entry = ENTERS[part][kept.fact.status]
    return "blank" if kept.doubtful and entry in ("said", "no", "promise") else entry


def statements(project: Project, part: Part, *kinds: str, uses: Iterable[Use] = ("said",)) -> tuple[KeptFact, ...]:
    """The statements of these kinds that enter a part in one of these ways, in order of time."""
    wanted = tuple(uses)
    return tuple(k for k in project.facts() if (not kinds or k.fact.kind in kinds) and use(k, part) in wanted)


def own_takes(project: Project) -> tuple[Take, ...]:
    """The takes that count: a second camera's view of the same moment is left out."""
    return tuple(take for take in project.takes if take.recording.same_as is None)


def spoken(project: Project) -> Iterator[tuple[Take, Cue]]:
    """Every kept remark with its take, in order of time."""
    for take in own_takes(project):
        for cue in take.cues:
            if cue.trust != "dropped":
                yield take, cue


def order_of(project: Project) -> dict[int, int]:
    """The place of each recording in the order of time."""
    return {take.recording.id: n for n, take in enumerate(own_takes(project))}


def remark(project: Project, kept: KeptFact) -> str:
    """The whole remark in which something was stated: its own words may be as short as a number."""
    take = next((t for t in project.takes if t.recording.id == kept.recording_id), None)
    around = [
        " ".join(c.text.split())
        for c in (take.cues if take else ())
        if c.trust != "dropped" and c.start < max(kept.fact.end, kept.fact.start + 0.01) and c.end > kept.fact.start
    ]
    return " ".join(around) or " ".join(kept.fact.quote.split())


def doubted(project: Project) -> Project:
    """The same with what was stated in doubtful remarks marked as doubtful, unless it is confirmed."""
    takes = []
    for take in project.takes:
        shaky = [(c.start, c.end) for c in take.cues if c.trust == "doubtful"]
        takes.append(replace(take, facts=tuple(_marked(k, shaky) for k in take.facts)) if shaky else take)
    return replace(project, takes=tuple(takes))


def _marked(kept: KeptFact, shaky: list[tuple[float, float]]) -> KeptFact:
    at = kept.fact.start
    if kept.doubtful or kept.verdict or not any(start <= at < end for start, end in shaky):
        return kept
    attrs = {**kept.fact.attrs, "doubt": ["the remark was heard with doubt"]}
    return replace(kept, fact=replace(kept.fact, attrs=attrs))
