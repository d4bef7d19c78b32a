"""People: thanks, what they gave, whether they agreed."""

from __future__ import annotations

import re
from collections.abc import Iterator

from shoplog.log import KeptFact, Project
from shoplog.publish import gifts, phrases
from shoplog.publish.evidence import Evidence, Point, State, Witness, done
from shoplog.publish.stated import remark
from shoplog.publish.viewers import content

_THANKING = re.compile(
    r"\b(?:thank(?:s|ful| you)?|shout ?-?out|tip of the hat|cheers to|grateful|much obliged|owe)\b", re.IGNORECASE
)


def thanks(project: Project, see: Witness) -> Iterator[Point]:
    credited = done(project, "credit")
    by_name: dict[str, list[KeptFact]] = {}
    for kept in credited:
        by_name.setdefault(str(kept.fact.item or "somebody"), []).append(kept)
    for item, group in by_name.items():
        name = phrases.name_in(" ".join(remark(project, k) for k in group), item)
        key = f"thanks-{phrases.slug(item)}"
        spelled = any(k.verdict in ("accept", "change", "add") for k in group)
        said = any(_THANKING.search(remark(project, k)) for k in group)
        if see.programme.is_cut and all(see.cut_out(k) for k in group):
            state: State = "missing"
            do = "The cut leaves these words out: thank them on the screen or in the description."
        elif spelled and said:
            state, do = "good", ""
        else:
            state = "needs your eyes"
            do = " ".join(
                ([] if spelled else [f"Check how {name} is spelled: shoplog correct."])
                + ([] if said else ["Named as a source but not thanked in so many words; the description thanks them."])
            )
        yield Point(key, f"{name} is thanked, and the name is spelled right", state, see.of(*group[:2]), do)


def disclosures(project: Project, see: Witness) -> Iterator[Point]:
    law = "US: 16 CFR Part 255; laws differ by country."
    found = gifts.gifts(project)
    for gift in found:
        evidence: tuple[Evidence, ...] = (see.at(gift.recording_id, gift.start, gift.quote),)
        key = f"disclosure-{phrases.slug(' '.join(content(gift.quote)[:3]))}"
        title = "What was received free, lent or paid for is disclosed"
        shown = gift.told_at is not None and (
            not see.programme.is_cut or see.programme.at(gift.recording_id, gift.told_at) is not None
        )
        if gift.told and shown:
            yield Point(key, title, "good", (*evidence, see.at(gift.recording_id, gift.told_at or 0, gift.told)))
        elif gift.state == "thanks":
            do = f"From a person it is usually a thank-you; disclose it if they sell or you promote them ({law})"
            yield Point(key, title, "needs your eyes", evidence, do)
        else:
            lead = "The cut leaves the telling out: s" if gift.told else "S"
            do = (
                f"{lead}ay clearly, in the video and at the top of the description, that it was given, lent or paid "
                f"for ({law})"
            )
            yield Point(key, title, "missing", evidence, do)
    if not found:
        yield Point(
            "disclosure", "Nothing received free, lent or paid for goes untold", "needs your eyes", (),
            f"Nothing of the kind was said; if wood, tools or finish came free or cheaper, say so ({law})",
        )  # fmt: skip


def people(project: Project, see: Witness) -> Point:
    credited = done(project, "credit")
    return Point(
        "people", "People who are named or seen have agreed", "needs your eyes", see.of(*credited),
        "Ask everybody who is named, seen or heard.",
    )  # fmt: skip
