"""What must be looked at before publishing: each point with its evidence, its state and what to do."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from shoplog.errors import InputError
from shoplog.log import KeptFact, Project
from shoplog.publish import chapters as chapter_list
from shoplog.publish import gifts, phrases, sections, waits
from shoplog.publish.captions import captions
from shoplog.publish.cautions import cautions
from shoplog.publish.cut import TOLD, left_out
from shoplog.publish.evidence import Evidence, Point, State, Witness
from shoplog.publish.followups import FollowUp
from shoplog.publish.gear import gear_points
from shoplog.publish.limits import COMMON, Limits
from shoplog.publish.programme import Programme
from shoplog.publish.quality import as_lines, quality
from shoplog.publish.stated import order_of, spoken, statements
from shoplog.timeline.course import Course

TOPIC = "checklist"
OWN_POINTS = "checklist.toml"


def checklist(
    project: Project,
    course: Course,
    programme: Programme,
    promises: Sequence[FollowUp],
    *,
    settled: Mapping[str, tuple[str, str | None]] | None = None,
    own: Sequence[OwnPoint] = (),
    limits: Limits = COMMON,
    today: date | None = None,
) -> tuple[Point, ...]:
    """All points for one project. A point that a person settled is good with their note as its evidence."""
    see = Witness(project, programme)
    points = [
        _wood(project, see),
        _size(project, see),
        _finish(project, see),
        *_waits(project, course, see),
        *_promises(promises, project, course, see, today or date.today()),
        *_plans(project, course, see),
        *_thanks(project, see),
        *_disclosures(project, see),
        _people(project, see),
        *gear_points(project, course, see),
        *_cautions(project, course, see),
        _captions(project, course, programme, limits),
        _chapters(project, course, programme, limits),
        _doubtful(project, see),
        *_defects(project, course, see),
        _last_shot(project, course, see),
        *_left_out(project, see),
        *_own(project, own, see),
    ]
    by_hand = settled or {}
    return tuple(p.settled(by_hand[p.key][1]) if p.key in by_hand else p for p in points)


def missing(points: Sequence[Point]) -> bool:
    """True where the exit code must say so."""
    return any(p.state == "missing" for p in points)


# ------------------------------------------------------------------------------------------------ the piece


def _done(project: Project, *kinds: str) -> tuple[KeptFact, ...]:
    return tuple(k for k in statements(project, "checklist", *kinds, uses=("evidence",)) if k.fact.status == "done")


def _stated(key: str, title: str, found: Sequence[KeptFact], see: Witness, absent: str) -> Point:
    """good where something is certain, for the eyes where all of it is doubtful, missing where there is nothing."""
    certain = [k for k in found if not k.doubtful]
    if certain:
        return Point(key, title, "good", see.of(*certain[:3]))
    if found:
        return Point(key, title, "needs your eyes", see.of(*found[:3]), "Listen, and put it right or confirm it.")
    return Point(key, title, "missing", (), absent)


def _wood(project: Project, see: Witness) -> Point:
    return _stated("wood", "The wood is named", _done(project, "species"), see, "Name the wood in the description.")


def _size(project: Project, see: Witness) -> Point:
    """The finished size; the size of the blank alone needs a look."""
    found = [
        k for k in _done(project, "dimension")
        if k.fact.item in ("diameter", "width", "height", "length") and str(k.fact.attrs.get("of") or "") not in NOT_THE_PIECE
    ]  # fmt: skip
    raw = [
        k
        for k in found
        if k.fact.attrs.get("of") in sections.RAW or k.operation in ("select", "measure", "lay out", "mount")
    ]
    finished = [k for k in found if k not in raw]
    if not finished and raw:
        return Point(
            "size", "The size is given", "needs your eyes", see.of(*raw[:3]),
            "Only the size before turning was said; measure the finished piece.",
        )  # fmt: skip
    return _stated("size", "The size is given", finished, see, "Measure the piece and give its size.")


NOT_THE_PIECE = (
    "tenon",
    "hole",
    "recess",
    "mortise",
    "jaws",
    "spigot",
    "depth hole",
    "screw",
    "faceplate",
    "disc",
    "foot",
    "rim",
    "wall",
)


def _finish(project: Project, see: Witness) -> Point:
    title = "The finish is named, with the product as it was said"
    done = _done(project, "finish")
    live = statements(project, "checklist", "finish", uses=("evidence",))
    planned = [k for k in live if k.fact.status == "planned"]
    denied = [k for k in live if k.fact.status == "denied"]
    if not done and planned:
        return Point(
            "finish", title, "needs your eyes", see.of(*planned[:3]), "It was only planned; say whether it was done."
        )
    if not done and denied:
        return Point(
            "finish",
            title,
            "needs your eyes",
            see.of(*denied[:3]),
            "Say in the description that it has no finish, if so.",
        )
    return _stated("finish", title, done, see, "Name the finish, or say that it has none.")


# ------------------------------------------------------------------------------------------------ waits and promises


def _waits(project: Project, course: Course, see: Witness) -> Iterator[Point]:
    states: dict[str, tuple[State, str]] = {
        "kept": ("good", ""),
        "short": ("missing", "The wait was cut short: say so, or wait and say what came of it."),
        "unknown": ("needs your eyes", "Nothing says how long was really waited; say it if you know."),
    }
    for n, wait in enumerate(waits.waits(project, course), 1):
        state, do = states[wait.verdict]
        who = "The label's wait" if wait.wait.fact.status == "reported" else "The wait"
        title = (
            f"{who} of {phrases.amount(wait.wait.fact)}{f' for the {wait.product}' if wait.product else ''} was kept"
        )
        if wait.wait.doubtful and state != "needs your eyes":
            state, do = "needs your eyes", "The wait itself was heard with doubt; listen."
        evidence = see.of(wait.wait) + ((Evidence(wait.evidence),) if wait.evidence else ())
        yield Point(f"wait-{n}", title, state, evidence, do)


def _promises(
    promises: Sequence[FollowUp], project: Project, course: Course, see: Witness, today: date
) -> Iterator[Point]:
    order = order_of(project)
    newest = max((s.moment.date() for s in course.starts.values() if s.moment), default=None)
    last = max(order, key=lambda r: order[r], default=None)
    for promise in promises:
        evidence: tuple[Evidence, ...] = (see.at(promise.recording_id, promise.start, promise.quote),)
        if promise.answer:
            evidence += (
                Evidence(f"answered by {promise.answer}" if promise.answered else f"perhaps by {promise.answer}"),
            )
        due = (
            f"due {promise.due.isoformat()}" if promise.due else f"due {promise.due_words}" if promise.due_words else ""
        )
        title = f"The promise is answered{f' ({due})' if due else ''}"
        state: State = "missing"
        do = (
            "Answer it in the video or the description, or mark it answered: shoplog due NAME --answered " + promise.key
        )
        if promise.answered:
            state, do = "good", ""
        elif promise.state == "perhaps" or promise.doubtful:
            state, do = "needs your eyes", "Listen whether this answers it, and mark it answered."
        elif promise.due and newest and promise.due > newest:
            state = "needs your eyes"
            do = (
                f"It was due on {promise.due.isoformat()}, after the last recording: look, and tell what came of it."
                if promise.due <= today
                else "Not due yet: the description says that it is still to come."
            )
        elif not promise.due and promise.due_words and promise.recording_id == last:
            state, do = "needs your eyes", "No day can be reckoned from the words: keep it in your own calendar."
        yield Point(f"promise-{promise.key}", title, state, evidence, do)


def _plans(project: Project, course: Course, see: Witness) -> Iterator[Point]:
    by_id = {k.id: k for k in project.facts()}
    open_plans = [
        by_id[p.planned] for p in course.plans
        if p.verdict == "not heard of again" and p.planned in by_id and by_id[p.planned].fact.kind not in ("followup", "duration")
    ]  # fmt: skip
    if open_plans:
        yield Point(
            "plans", "What was planned was done", "needs your eyes", see.of(*open_plans),
            "Planned and not heard of again: keep it out, or say what became of it.",
        )  # fmt: skip


# ------------------------------------------------------------------------------------------------ people


_THANKING = re.compile(
    r"\b(?:thank(?:s|ful| you)?|shout ?-?out|tip of the hat|cheers to|grateful|much obliged|owe)\b", re.IGNORECASE
)


def _thanks(project: Project, see: Witness) -> Iterator[Point]:
    credits = [k for k in _done(project, "credit")]
    by_name: dict[str, list[KeptFact]] = {}
    for kept in credits:
        by_name.setdefault(str(kept.fact.item or "somebody"), []).append(kept)
    for item, group in by_name.items():
        name = phrases.name_in(" ".join(k.fact.quote for k in group), item)
        key = "thanks-" + "-".join(re.findall(r"[^\W_]+", item.lower()))
        spelled = any(k.verdict in ("accept", "change", "add") for k in group)
        said = any(_THANKING.search(_around(project, k)) for k in group)
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


def _around(project: Project, kept: KeptFact) -> str:
    take = next(t for t in project.takes if t.recording.id == kept.recording_id)
    return (
        " ".join(c.text for c in take.cues if c.start <= kept.fact.end + 1 and c.end >= kept.fact.start - 1)
        or kept.fact.quote
    )


def _disclosures(project: Project, see: Witness) -> Iterator[Point]:
    law = "US: 16 CFR Part 255; laws differ by country."
    found = gifts.gifts(project)
    for n, gift in enumerate(found, 1):
        evidence: tuple[Evidence, ...] = (see.at(gift.recording_id, gift.start, gift.quote),)
        title = "What was received free, lent or paid for is disclosed"
        shown = gift.told_at is not None and (
            not see.programme.is_cut or see.programme.at(gift.recording_id, gift.told_at) is not None
        )
        if gift.told and shown:
            yield Point(
                f"disclosure-{n}", title, "good", (*evidence, see.at(gift.recording_id, gift.told_at or 0, gift.told))
            )
        elif gift.wood and not gift.by_trade:
            do = f"Wood from a person is usually a thank-you; disclose it if they sell or you promote them ({law})"
            yield Point(f"disclosure-{n}", title, "needs your eyes", evidence, do)
        else:
            lead = "The cut leaves the telling out: s" if gift.told else "S"
            do = f"{lead}ay clearly, in the video and at the top of the description, that it was given, lent or paid for ({law})"
            yield Point(f"disclosure-{n}", title, "missing", evidence, do)
    if not found:
        yield Point(
            "disclosure", "Nothing received free, lent or paid for goes untold", "needs your eyes", (),
            f"Nothing of the kind was said; if wood, tools or finish came free or cheaper, say so ({law})",
        )  # fmt: skip


def _people(project: Project, see: Witness) -> Point:
    credits = _done(project, "credit")
    return Point(
        "people", "People who are named or seen have agreed", "needs your eyes", see.of(*credits),
        "Ask those named above and anybody who is seen or heard." if credits else "Ask anybody who is seen, heard or named.",
    )  # fmt: skip


# ------------------------------------------------------------------------------------------------ safety and what is published with it


def _cautions(project: Project, course: Course, see: Witness) -> Iterator[Point]:
    """The draft carries the caution; its words and what calls for it are the evidence."""
    for advice in cautions(project, course):
        reasons = tuple(see.at(r, at, _words_at(project, r, at)) for r, at in advice.because[:2])
        yield Point(
            f"caution-{advice.id.replace(' ', '-')}", f"Caution: {advice.id}", "good",
            (Evidence(f"in the draft description: {advice.text}"), *reasons),
        )  # fmt: skip


def _words_at(project: Project, recording_id: int, at: float) -> str:
    return next(
        (c.text for t, c in spoken(project) if t.recording.id == recording_id and c.start <= at + 0.01 and c.end >= at),
        "",
    )


def _captions(project: Project, course: Course, programme: Programme, limits: Limits) -> Point:
    report = quality(project, programme, captions(project, programme, course.stages, limits), limits)
    return Point(
        "captions", "The captions were looked at", "needs your eyes", tuple(map(Evidence, as_lines(report))),
        "Read them once against the sound, names and numbers first; then: shoplog checklist NAME --settle captions",
    )  # fmt: skip


def _chapters(project: Project, course: Course, programme: Programme, limits: Limits) -> Point:
    found = chapter_list.chapters(project, course.stages, programme, limits)
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


def _doubtful(project: Project, see: Witness) -> Point:
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


# ------------------------------------------------------------------------------------------------ defects


def _defects(project: Project, course: Course, see: Witness) -> Iterator[Point]:
    facts = {k.id: k for k in project.facts()}
    for n, defect in enumerate(course.defects, 1):
        events = [facts[e.fact_id] for e in defect.events if e.fact_id in facts]
        if not events:
            continue
        last = events[-1]
        where = f" ({defect.where})" if defect.where else ""
        title = f"How the {defect.item}{where} ended is told honestly"
        evidence = see.of(events[0]) if len(events) == 1 else see.of(events[0], last)
        if any(k.doubtful for k in (events[0], last)):
            state: State = "needs your eyes"
            do = "It was heard with doubt; listen."
        elif defect.state in ("repaired", "gone", "stable"):
            hidden = see.programme.is_cut and see.cut_out(last) and not see.cut_out(events[0])
            origin = see.programme.is_cut and see.cut_out(events[0]) and not see.cut_out(last)
            state = "missing" if hidden or origin else "good"
            do = (
                "The cut shows it and leaves out how it ended: say it." if hidden
                else "The cut shows the mending and never the defect: show or say what it was." if origin else ""
            )  # fmt: skip
        elif defect.item in FEATURES and defect.state == "seen":
            state, do = "needs your eyes", "The last word is that it is there: does the description say that it stays?"
        else:
            state, do = (
                "missing",
                f"The last word is that it is {STANDING[defect.state]}: say how it ended, or that it is still there.",
            )
        yield Point(f"defect-{n}", title, state, evidence, do)
    if not course.defects:
        denied = [
            k for k in statements(project, "checklist", "defect", uses=("evidence",)) if k.fact.status == "denied"
        ]
        if denied and not denied[-1].doubtful:
            yield Point("defects", "Defects at the end are told honestly", "good", see.of(denied[-1]))
        else:
            yield Point(
                "defects",
                "Defects at the end are told honestly",
                "needs your eyes",
                see.of(*denied[-1:]),
                "No defect was spoken of; look at the piece once more.",
            )


#: What many a maker leaves in on purpose.
FEATURES = frozenset(("worm holes", "knot", "void", "bark inclusion", "stain", "loose bark"))
STANDING = {"seen": "there", "worse": "worse", "reopened": "open again"}


def _last_shot(project: Project, course: Course, see: Witness) -> Point:
    """A crack that came after the piece was filmed: the last event of a defect lies after the last finish or picture."""
    title = "The last shot shows the final state"
    order = order_of(project)

    def place(k: KeptFact) -> tuple[int, float]:
        return order.get(k.recording_id, 0), k.fact.start

    facts = {k.id: k for k in project.facts()}
    filmed = [
        k
        for k in project.facts()
        if k.operation in ("finish", "photograph", "sign") and k.fact.kind != "defect" and k.fact.status == "done"
    ]
    after = max(map(place, filmed), default=None)
    late = [
        facts[e.fact_id] for d in course.defects for e in d.events
        if e.fact_id in facts and e.change in ("seen", "worse", "reopened") and after and place(facts[e.fact_id]) > after
    ]  # fmt: skip
    if late and see.programme.is_cut and all(see.cut_out(k) for k in late):
        return Point(
            "last-shot", title, "missing", see.of(*late), "It came after the last shot of the cut: show it or tell it."
        )
    if late:
        return Point(
            "last-shot",
            title,
            "needs your eyes",
            see.of(*late),
            "It came after the finish: does the last shot show it?",
        )
    return Point(
        "last-shot",
        title,
        "needs your eyes",
        see.of(*filmed[-1:]),
        "Nothing was said after this; is the piece still as the last shot shows it?",
    )


def _left_out(project: Project, see: Witness) -> Iterator[Point]:
    """What was said and is not in the cut; what viewers should hear of counts."""
    out = [k for k in left_out(project, see.programme) if k.fact.kind in TOLD]
    if out:
        do = "Said in the recordings and not in the cut: put it back, show it as text, or let the description tell it."
        yield Point("left-out", "What viewers should hear of is in the cut", "needs your eyes", see.of(*out), do)


# ------------------------------------------------------------------------------------------------ the maker's own points


@dataclass(frozen=True, slots=True)
class OwnPoint:
    """A point of the maker's own: ``words`` are phrases of which one must have been said ('' where only eyes can tell)."""

    key: str
    title: str
    words: tuple[str, ...] = ()
    do: str = ""


def load_own(folder: Path) -> tuple[OwnPoint, ...]:
    """The points in ``checklist.toml`` of the configuration folder: tables ``[[point]]`` with title, words, do, key.

    Raises InputError on a file that can't be used.
    """
    path = folder / OWN_POINTS
    try:
        rows = tomllib.loads(path.read_text(encoding="utf-8")).get("point", [])
    except FileNotFoundError:
        return ()
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise InputError(f"{path}: cannot be read as TOML ({error}); mend the file or take it away.") from error
    points = []
    for row in rows if isinstance(rows, list) else ():
        title, words = row.get("title"), row.get("words", [])
        words = [words] if isinstance(words, str) else words
        if not isinstance(title, str) or not title.strip() or not all(isinstance(w, str) for w in words):
            raise InputError(f"{path}: each [[point]] needs a title, and words as a list of phrases.")
        key = str(row.get("key") or "-".join(re.findall(r"[^\W_]+", title.lower())))
        points.append(OwnPoint(f"own-{key}", title.strip(), tuple(words), str(row.get("do") or "")))
    return tuple(points)


def _own(project: Project, own: Sequence[OwnPoint], see: Witness) -> Iterator[Point]:
    for point in own:
        pattern = "|".join(rf"(?<!\w){re.escape(w.lower())}(?!\w)" for w in point.words)
        said = [
            (t.recording.id, c) for t, c in spoken(project)
            if pattern and re.search(pattern, c.text.lower())
            and (not see.programme.is_cut or see.programme.shows(t.recording.id, c.start, c.end))
        ]  # fmt: skip
        evidence = tuple(see.at(r, c.start, c.text) for r, c in said[:2])
        if said:
            yield Point(point.key, point.title, "good", evidence)
        elif point.words:
            yield Point(point.key, point.title, "missing", (), point.do or f"Say one of: {', '.join(point.words)}.")
        else:
            yield Point(point.key, point.title, "needs your eyes", (), point.do or "Look, and settle it by hand.")
