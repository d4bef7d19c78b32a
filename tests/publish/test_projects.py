"""The invented projects, whole: what their descriptions must and must not say, and what their checklists must find."""

from __future__ import annotations

from datetime import date

import pytest

from tests.publish.invented import NAMES, invented, made

TODAY = date(2026, 8, 1)


@pytest.mark.parametrize("name", NAMES)
def test_every_stated_thing_is_in_the_description(name: str) -> None:
    """Nine in ten stated things are asked for; in these projects all of them are there."""
    case = invented(name)
    text = case.pack().description.text
    assert [] == [phrase for phrase in case.expect["said"] if phrase not in text]


@pytest.mark.parametrize("name", NAMES)
def test_what_was_not_done_is_never_told(name: str) -> None:
    """Habits, hearsay, wishes, denials and other pieces do not reach the description outside a marked blank."""
    case = invented(name)
    lines = case.pack().description.text.splitlines()
    before_cautions = lines[: next((n for n, x in enumerate(lines) if x.startswith("If you try")), len(lines))]
    told = "\n".join(x for x in before_cautions if "[check" not in x)
    assert [] == [phrase for phrase in case.expect["never"] if phrase in told]


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(
    ("list_name", "state"), [("missing", "missing"), ("good", "good"), ("eyes", "needs your eyes")]
)
def test_the_checklist_finds_what_was_planted(name: str, list_name: str, state: str) -> None:
    """Each planted omission is found, and each kept promise is good."""
    case = invented(name)
    points = {p.key: p.state for p in case.pack().checklist(TODAY)}
    assert dict.fromkeys(case.expect[list_name], state) == {k: points.get(k) for k in case.expect[list_name]}


@pytest.mark.parametrize("name", NAMES)
def test_nothing_else_is_claimed_missing(name: str) -> None:
    """A checklist that cries wolf is not read."""
    case = invented(name)
    missing = {p.key for p in case.pack().checklist(TODAY) if p.state == "missing"}
    assert set(case.expect["missing"]) == missing


@pytest.mark.parametrize("name", NAMES)
def test_no_point_is_good_without_evidence(name: str) -> None:
    assert [] == [p.key for p in invented(name).pack().checklist(TODAY) if p.state == "good" and not p.evidence]


@pytest.mark.parametrize("name", NAMES)
def test_titles_are_true_and_plain(name: str) -> None:
    """The first title names the piece; none shouts."""
    case = invented(name)
    found = case.pack().description.titles
    assert case.expect["title"].lower() == found[0].lower()
    assert len(found) >= 3
    assert not any("!" in t or t.isupper() for t in found)


@pytest.mark.parametrize("name", NAMES)
def test_every_line_has_its_words(name: str) -> None:
    """Each statement of a draft leads to the remark in which it was made."""
    made = invented(name).pack().description
    spoken = {" ".join(c.text.split()) for t in invented(name).project.takes for c in t.cues}
    for section, lines in made.sections.items():
        for line in lines:
            assert line.facts or line.computed or "[" in line.text or section in ("disclosures", "opening"), line
            assert all(made.evidence[number].words in spoken for number in line.facts)


def test_a_look_too_early_answers_no_promise() -> None:
    """A crack looked at on the next day is not the look of six months later."""
    crack = {"kind": "defect", "item": "crack"}
    promise = {"kind": "followup", "item": "crack", "status": "planned", "attrs": {"due": "six months"}}
    lines = [
        {"at": 1, "say": "There's a crack at the rim.", "facts": [crack]},
        {"at": 9, "say": "I'll look at the crack again in six months.", "facts": [promise]},
    ]
    again = [{"at": 1, "say": "The crack is no worse.", "facts": [{**crack, "attrs": {"change": "stable"}}]}]

    def state(day: str) -> str:
        recordings = [
            {"name": "a.mp4", "started": "2026-01-10T09:00:00", "lines": lines},
            {"name": "b.mp4", "started": f"{day}T09:00:00", "lines": again},
        ]
        case = made("x", recordings)
        return case.pack().promises[0].state

    assert "open" == state("2026-01-11")
    assert "answered" == state("2026-07-12")


def test_what_was_heard_with_doubt_is_a_blank() -> None:
    """A remark that the hearing does not trust makes no statement, however sure its reading is."""
    speed = {"kind": "speed", "value": 850, "unit": "rpm"}
    lines = [
        {"at": 1, "say": "It runs at 850 now.", "trust": "doubtful", "facts": [speed]},
        {
            "at": 20,
            "say": "And now at 900.",
            "trust": "doubtful",
            "facts": [{**speed, "value": 900, "verdict": "accept"}],
        },
    ]
    text = made("x", [{"name": "a.mp4", "lines": lines}]).pack().description.text
    assert "[check: 850 rpm" in text
    assert "900 rpm" in text.replace("[check: 900", "")
