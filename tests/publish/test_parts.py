"""Due dates, gifts, limits and waits: tables of cases."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoplog.errors import InputError
from shoplog.publish.due import due_date
from shoplog.publish.gifts import gifts
from shoplog.publish.limits import COMMON, Limits, fit, fit_lines, fit_tags, load_limits
from shoplog.publish.stated import ENTERS, use
from shoplog.publish.waits import waits
from tests.publish.invented import made

HERE = Path(__file__).parent


def _cases(name: str) -> list[list[object]]:
    cases: list[list[object]] = tomllib.loads((HERE / name).read_text(encoding="utf-8"))["cases"]
    return cases


@pytest.mark.parametrize(("words", "said_on", "due"), _cases("due.toml"))
def test_a_due_day_is_reckoned_from_the_words(words: str, said_on: date, due: str) -> None:
    found = due_date(words, said_on)
    assert due == (found.isoformat() if found else "")


@given(st.text(max_size=60), st.dates(date(1990, 1, 1), date(2090, 1, 1)))
def test_no_words_break_the_due_day(words: str, said_on: date) -> None:
    """Any text gives a day that is not before the promise, or none."""
    found = due_date(words, said_on)
    assert found is None or found >= said_on.replace(day=1)


@pytest.mark.parametrize(("say", "expected"), _cases("gifts.toml"))
def test_what_was_received_is_found_in_the_words(say: str, expected: str) -> None:
    case = made("x", [{"name": "a.mp4", "lines": [{"at": 1, "say": say}]}])
    found = gifts(case.project)
    assert expected == (found[0].state if found else "none")


@given(st.text(max_size=300), st.integers(1, 120))
def test_a_cut_text_fits_and_ends_at_a_word(text: str, most: int) -> None:
    """Within the limit always, and never cut within a word."""
    cut = fit(text, most)
    assert len(cut) <= most
    if cut != text.strip():
        whole = text.strip()
        kept = cut.removesuffix("…")
        assert whole.startswith(kept)
        rest = whole[len(kept) :]
        assert not kept or not rest[:1].isalnum()


def test_lines_and_tags_are_left_out_whole() -> None:
    assert (["one two"], 1) == fit_lines(["one two", "three"], 10)
    limits = Limits(tags=12, tag=8)
    assert ["bowl", "elm"] == fit_tags(["bowl", "elm", "elm", "woodturning", "spindle"], limits)


def test_the_makers_limits_stand_over_the_common_ones(tmp_path: Path) -> None:
    assert COMMON == load_limits(tmp_path)
    (tmp_path / "publish.toml").write_text("[limits]\ntitle = 60\ncaption_gap = 0.1\n")
    assert (60, 0.1, COMMON.tags) == (lambda x: (x.title, x.caption_gap, x.tags))(load_limits(tmp_path))


@pytest.mark.parametrize(
    "text", ["[limits]\nwidth = 3\n", "[limits]\ntitle = 0\n", "[limits]\ntitle = true\n", "[limits\n"]
)
def test_a_settings_file_that_makes_no_sense_is_refused(tmp_path: Path, text: str) -> None:
    (tmp_path / "publish.toml").write_text(text)
    with pytest.raises(InputError, match=r"publish\.toml"):
        load_limits(tmp_path)


def test_only_what_was_done_is_told_as_done() -> None:
    """The one table: no part tells a habit, hearsay or a wish, and no description tells a denial."""
    for part, entries in ENTERS.items():
        assert {"done", "planned", "denied", "habit", "reported", "hypothetical"} == set(entries), part
        assert entries["habit"] == entries["hypothetical"] == "never"
        assert entries["reported"] in ("never", "evidence")
        assert "said" not in {v for k, v in entries.items() if k != "done"}


def test_a_doubtful_statement_is_a_blank_until_it_is_confirmed() -> None:
    lines = [
        {"at": 1, "say": "x", "facts": [{"kind": "speed", "value": 800, "unit": "rpm", "confidence": 0.2}]},
        {
            "at": 9,
            "say": "y",
            "facts": [{"kind": "speed", "value": 900, "unit": "rpm", "confidence": 0.2, "verdict": "accept"}],
        },
        {
            "at": 19,
            "say": "z",
            "facts": [{"kind": "speed", "value": 700, "unit": "rpm", "attrs": {"other_piece": True}}],
        },
    ]
    case = made("x", [{"name": "a.mp4", "lines": lines}])
    assert ["blank", "said", "never"] == [use(k, "description") for k in case.project.facts()]


def _wait(said: list[dict[str, object]], next_day: list[dict[str, object]], started: str | None) -> list[str]:
    recordings: list[dict[str, object]] = [{"name": "a.mp4", "started": "2026-05-01T09:00:00", "lines": said}]
    if next_day:
        second: dict[str, object] = {"name": "b.mp4", "lines": next_day}
        recordings.append(second if started is None else {**second, "started": started})
    case = made("x", recordings)
    return [w.verdict for w in waits(case.project, case.course)]


COAT = {
    "at": 1,
    "say": "First coat of lacquer is on.",
    "facts": [{"kind": "finish", "item": "lacquer", "attrs": {"coats": 1}}],
}
LABEL = {
    "at": 6,
    "say": "The can says four hours.",
    "facts": [{"kind": "duration", "value": 4, "unit": "h", "status": "reported"}],
}
AGAIN = {
    "at": 1,
    "say": "Second coat of lacquer.",
    "facts": [{"kind": "finish", "item": "lacquer", "attrs": {"coats": 2}}],
}
GAVE_IT = {"at": 12, "say": "I gave it an hour.", "facts": [{"kind": "duration", "value": 1, "unit": "h"}]}


@pytest.mark.parametrize(
    ("said", "next_day", "started", "expected"),
    [
        ([COAT, LABEL], [AGAIN], "2026-05-01T13:30:00", ["kept"]),
        ([COAT, LABEL], [AGAIN], "2026-05-01T10:30:00", ["short"]),
        ([COAT, LABEL, GAVE_IT], [], None, ["short"]),
        ([COAT, LABEL], [], None, ["unknown"]),
        ([COAT, LABEL, {**AGAIN, "at": 30}], [], None, ["unknown"]),
    ],
)
def test_a_wait_is_held_against_what_tells_of_it(
    said: list[dict[str, object]], next_day: list[dict[str, object]], started: str | None, expected: list[str]
) -> None:
    """The clock of another recording or a stated time decides; within one file nothing proves it."""
    assert expected == _wait(said, next_day, started)


def test_what_a_label_asks_for_was_not_waited() -> None:
    """However the time was read, the tin's wish is a wait that was set; the maker's own time is held against it."""
    asked = {"kind": "duration", "value": 8, "unit": "h", "quote": "eight hours"}
    waited = {"kind": "duration", "value": 2, "unit": "h", "quote": "two hours"}
    said: list[dict[str, object]] = [
        COAT,
        {"at": 8, "say": "The tin wants eight hours, I gave it two hours.", "facts": [asked, waited]},
    ]
    assert ["short"] == _wait(said, [], None)
