"""What follows from all that was stated in one project."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from shoplog.facts import convert
from shoplog.garbage import uncollected
from shoplog.log import Project
from shoplog.reckon import cautions, seasoning, turning, waits, weighing
from shoplog.reckon.derived import Derived, Result
from shoplog.reckon.statements import Begin, Stated, begins, by_piece, done, statements
from shoplog.trade.woods import find

if TYPE_CHECKING:
    from shoplog.timeline.course import Course


@uncollected()
def reckon(project: Project, course: Course | None = None, stated: Sequence[Stated] | None = None) -> list[Result]:
    """Everything that can be worked out from a project's facts, in the order in which it is read: moisture and
    movement, weights, speeds, grits, walls, waits, then the cautions, each once.

    ``course`` gives the resolved clock and the pieces; without it the cameras' times count. What was said of another
    piece is left out. With several pieces each is reckoned by itself and named. ``stated`` spares making the
    project's statements again where they are at hand.
    """
    recordings = [take.recording for take in project.takes]
    if stated is None:
        stated = statements(project.facts(), recordings, course)
    unbalanced = _unbalanced(project, begins(recordings, course))
    found: list[Result] = []
    for piece, own in by_piece(stated).items():
        results = reckon_piece(own, unbalanced)
        found += results if piece is None else [_named(r, piece) for r in results]
    lines = (cue.text for take in project.takes for cue in take.cues)
    return _once(found) + list(cautions.cautions(stated, lines))


def reckon_piece(stated: Sequence[Stated], unbalanced: Sequence[float] = ()) -> list[Result]:
    """The same for one piece's statements in order, without the cautions."""
    match = find(species(stated))
    settling = seasoning.climates(stated)
    places = [p for p in settling if isinstance(p, Derived)]
    shop = next((p for p in places if p.what.endswith("shop")), None)
    moved = seasoning.movements(stated, match, places)
    measured = [r for r in moved if isinstance(r, Derived)]
    if not any(s.fact.kind in ("moisture", "humidity", "weight") for s in stated):
        settling = []  # nobody asked about moisture: an assumed house says nothing
        moved = []
    return [
        *settling,
        *moved,
        *seasoning.drying_dates(stated, shop),
        *weighing.weighed(stated, match, shop),
        *weighing.weights_from_size(stated, match),
        *turning.speeds(stated, unbalanced),
        *turning.grits(stated),
        *turning.rough_walls(stated, _oval_inches(measured)),
        *waits.waits(stated),
    ]


def species(stated: Sequence[Stated]) -> str | None:
    """The wood of the piece: the one said most often; where that is a plain name, the species of it that was also
    said ("cherry", once "black cherry"). None where none was.
    """
    counted = Counter(s.fact.item for s in done(stated, "species") if s.fact.item)
    if not counted:
        return None
    most = counted.most_common(1)[0][0]
    plain = find(most)
    for item in counted:
        wood = find(item).one
        if plain.how in ("any of", "taken as") and item != most and wood in plain.woods:
            return item
    return most


def _unbalanced(project: Project, places: Mapping[int, Begin]) -> list[float]:
    """The moments at which the work was said to be out of balance, in the project's order."""
    wanted = cautions.listener("out of balance")
    found: list[float] = []
    for take in project.takes:
        if take.recording.id in places and wanted.heard("\n".join(cue.text for cue in take.cues).lower()):
            begin = places[take.recording.id].order
            found += [begin + cue.start for cue in take.cues if wanted.heard(cue.text.lower())]
    return sorted(found)


def _oval_inches(moved: Sequence[Derived]) -> dict[str, float]:
    return {
        m.what: convert(m.high, str(m.unit), "in")
        for m in moved
        if m.what.startswith("out of round, side-grain") and isinstance(m.high, float)
    }


def _named(result: Result, piece: int) -> Result:
    return replace(result, what=f"{result.what} (piece {piece})")


def _once(results: Sequence[Result]) -> list[Result]:
    """Results without repetition: pieces that share a statement would say the same twice."""
    found: list[Result] = []
    seen: set[tuple[object, ...]] = set()
    for result in results:
        key = (type(result), result.what, result.recording_id, result.at, getattr(result, "because", None))
        if key not in seen or result.at is None:
            found.append(result)
        seen.add(key)
    return found
