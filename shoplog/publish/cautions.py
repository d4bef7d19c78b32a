"""Cautions for what was done in a project, in a few words for viewers."""

from __future__ import annotations

from dataclasses import dataclass

from shoplog.log import Project
from shoplog.publish import phrases
from shoplog.publish.stated import own_takes, spoken
from shoplog.timeline.course import Course

#: By the caution's id in ``reckon/cautions.toml``: the same in the words of a video's description.
FOR_VIEWERS = {
    "oily rags": "Rags wet with a drying oil can catch fire by themselves: spread them flat outdoors to dry, or keep "
    "them under water in a closed metal can.",
    "cyanoacrylate": "CA glue bonds skin and eyes at once and its vapour stings: fresh air, eye protection, "
    "no cotton gloves.",
    "epoxy": "Epoxy can make your skin allergic for good: nitrile gloves, fresh air, small pours.",
    "wood dust": "Wood dust harms lungs: collect it where it is made and wear a respirator.",
    "spalted wood": "The dust of spalted wood carries mould: collect it and wear a respirator.",
    "out of balance": "Start an unbalanced piece at the lowest speed and stay out of the line of the rim; your lathe's "
    "manual decides.",
    "cracked work": "Cracked or punky wood can come apart at speed: keep it slow, wear a face shield, stop and look "
    "often.",
    "spindle roughing gouge": "A spindle roughing gouge is for spindles only; on a bowl blank its tang can snap.",
    "chuck limits": "Keep to the speed limits of your chuck's and lathe's manuals.",
    "reverse": "Lock the chuck to the spindle before you run the lathe in reverse.",
    "gloves and rags": "No gloves, loose sleeves or cloth near a running lathe.",
    "solvent vapour": "Finishes with solvents give off vapour that burns and harms: fresh air, no flame, and follow "
    "the label.",
}


@dataclass(frozen=True, slots=True)
class Advice:
    """``id`` as in the reckoning, ``text`` for viewers, ``because`` the places (recording, second) that call for it."""

    id: str
    text: str
    because: tuple[tuple[int, float], ...] = ()


def cautions(project: Project, course: Course) -> tuple[Advice, ...]:
    """The cautions that what was done calls for."""
    from shoplog.reckon.cautions import cautions as reckoned
    from shoplog.reckon.statements import statements

    lines = [cue.text for _, cue in spoken(project)]
    found: list[Advice] = []
    recordings = [take.recording for take in own_takes(project)]
    for c in reckoned(statements(project.facts(), recordings, course), lines):
        because = tuple(
            (i.recording_id, i.at) for i in c.inputs.values() if i.recording_id is not None and i.at is not None
        )
        dust = c.what.startswith("dust of ")
        # One name may stand for several woods of the table ("walnut"): one line tells enough.
        if dust and any(a.id.startswith("dust of ") and a.because == because for a in found):
            continue
        note = c.note.split(". ")[0].split(";")[0].rstrip(".")
        told = f"The {phrases.proper(c.what)} is known to trouble some people ({note})." if dust else f"{note}."
        found.append(Advice(c.what, FOR_VIEWERS.get(c.what) or told, because))
    return tuple(found)
