"""Safety gear at each machine operation: said, not said, or for the eyes."""

from __future__ import annotations

import re
from collections.abc import Iterator

from shoplog.log import KeptFact, Project
from shoplog.publish.evidence import Point, Witness
from shoplog.publish.stated import order_of, spoken, statements
from shoplog.publish.work import words_of
from shoplog.timeline.course import Course

#: What guards the lungs, and what guards face and eyes.
LUNGS = frozenset(("dust mask", "respirator", "dust collection", "air filter"))
WORN_LUNGS = frozenset(("dust mask", "respirator"))
FACE = frozenset(("face shield", "safety glasses"))


def gear_points(project: Project, course: Course, see: Witness) -> Iterator[Point]:
    """A point for each machine operation: dust gear where it is sanded, face or eyes elsewhere."""
    order = order_of(project)
    places: dict[str, list[tuple[int, float, float]]] = {}
    for stage in course.stages:
        words = words_of(stage.operation)
        shown = see.programme.following(stage.recording_id, stage.start, stage.end) is not None
        if words and words.machine and shown and stage.recording_id in order:
            places.setdefault(stage.operation, []).append((stage.recording_id, stage.start, stage.end))
    if "sand" in places:
        places["sand"] = _sanded(project, places["sand"])
    gear = tuple(k for k in statements(project, "checklist", "ppe", uses=("evidence",)) if not see.cut_out(k))
    for operation, stretches in places.items():
        if not stretches:
            continue
        dusty = operation == "sand"
        wanted = LUNGS if dusty else FACE
        unsaid = [s for s in stretches if not _guarded(gear, wanted, s)]
        words = words_of(operation)
        assert words  # only known operations were taken
        kind = "a mask, a respirator or dust collection" if dusty else "a face shield or safety glasses"
        title = f"{words.title}: {kind} is seen or said"
        key = f"gear-{operation.replace(' ', '-')}"
        heard = list({k.id: k for s in stretches for k in _guarded(gear, wanted, s)}.values())
        certain = [k for k in heard if not k.doubtful]
        if not unsaid and certain:
            worn = not dusty or any(k.fact.item in WORN_LUNGS for k in certain)
            yield (
                Point(key, title, "good", see.of(*certain))
                if worn
                else Point(
                    key,
                    title,
                    "needs your eyes",
                    see.of(*certain),
                    "Collection was said, nothing worn: is a mask seen?",
                )
            )
            continue
        if not unsaid:
            yield Point(key, title, "needs your eyes", see.of(*heard), "It was heard with doubt; listen.")
            continue
        where = tuple(see.at(r, start, "nothing said of it", spoken=False) for r, start, _ in unsaid[:3])
        against = tuple(see.of(*[k for k in gear if k.fact.item in wanted and k.fact.status == "denied"][:2]))
        if dusty:
            do = "Nothing was said of it while sanding: if it is not seen on you, say it in the description."
            yield Point(key, title, "missing", where + against, do)
        else:
            yield Point(key, title, "needs your eyes", where + against, "Nothing was said of it; is it seen?")


_SANDING = re.compile(r"\bsand(?:ing|ed)?\b", re.IGNORECASE)


def _sanded(project: Project, stretches: list[tuple[int, float, float]]) -> list[tuple[int, float, float]]:
    """The stretches in which a grit was used or sanding was spoken of: the rest is only taken for sanding."""
    marks = [
        (k.recording_id, k.fact.start)
        for k in statements(project, "checklist", "grit", uses=("evidence",)) if k.fact.status == "done"
    ]  # fmt: skip
    marks += [(take.recording.id, cue.start) for take, cue in spoken(project) if _SANDING.search(cue.text)]
    return [(r, a, b) for r, a, b in stretches if any(m == r and a <= at <= b for m, at in marks)]


def _guarded(gear: tuple[KeptFact, ...], wanted: frozenset[str], stretch: tuple[int, float, float]) -> list[KeptFact]:
    """The gear said to be on by the end of a stretch, in the same recording, and not said to be off since."""
    recording_id, _, end = stretch
    on: dict[str, KeptFact] = {}
    for kept in gear:
        if kept.recording_id != recording_id or kept.fact.start > end or kept.fact.item not in wanted:
            continue
        if kept.fact.status == "done":
            on[str(kept.fact.item)] = kept
        elif kept.fact.status == "denied":
            on.pop(str(kept.fact.item), None)
    return list(on.values())
