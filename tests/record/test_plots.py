"""Plots are small SVG elements that a page, a screen reader and a printer can use, whatever words they are given."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest

from shoplog.facts import Fact
from shoplog.log import KeptFact, Project, Recording, Take
from shoplog.record import plots, record
from shoplog.record.pictures import pictures
from shoplog.record.plots import Effort, Fitted, Level, Run

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = '</svg><script>alert(1)</script> $x_1$ "quoted" & id="x"'


def _moisture(label: str = "") -> str:
    meter = [Level(0, 65), Level(45, 27.4), Level(80, 18)]
    curve = [Fitted(d, 60 - d / 2, 62 - d / 2, 65 - d / 2) for d in range(0, 100, 10)]
    weights = [[Level(0, 2400), Level(80, 1720)], [Level(90, 900)]]
    return plots.moisture(meter, meter[:2], weights, curve=curve, settles=(9, 9), target=12, start=date(2026, 3, 2))


def _speeds(label: str = "hollow") -> str:
    return plots.speeds([Run(600, 12, "true up"), Run(1100, 12, label), Run(700, None, label, planned=True)])


def _grits(label: str = "") -> str:
    return plots.grits([[80, 120, 180], [120, 240]], [400, 600])


def _time(label: str = "hollow") -> str:
    return plots.time_spent([Effort("sand", 900), Effort(label, 5800, 5000, 86400 * 3)])


ALL = pytest.mark.parametrize("draw", [_moisture, _speeds, _grits, _time])


def _texts(svg: str) -> list[str]:
    return ["".join(t.itertext()) for t in ET.fromstring(svg).iter(f"{SVG}text")]


@ALL
def test_text_alternative(draw: Callable[[], str]) -> None:
    """Each is an image with a title and a description that holds the numbers."""
    root = ET.fromstring(draw())
    names = {e.get("id"): e for e in root.iter()}
    title, description = (names[i] for i in root.get("aria-labelledby", "").split())
    assert "img" == root.get("role")
    assert title.text
    assert any(c.isdigit() for c in description.text or "")


@ALL
def test_same_input_same_drawing(draw: Callable[[], str]) -> None:
    """Nothing of the moment or the machine is in it."""
    assert draw() == draw()


@ALL
def test_only_the_page_s_colour(draw: Callable[[], str]) -> None:
    """No colour of its own: the text colour of the page or nothing, so it reads in black and white and at night."""
    for element in ET.fromstring(draw()).iter():
        for name in ("fill", "stroke"):
            assert element.get(name) in (None, "none", "currentColor") or element.get(name, "").startswith("url(#")


@ALL
def test_no_styles_scripts_or_outside_resources(draw: Callable[[], str]) -> None:
    """It works under a policy that forbids styles, scripts and other hosts."""
    svg = draw()
    tags = {e.tag.removeprefix(SVG) for e in ET.fromstring(svg).iter()}
    assert not tags & {"script", "style", "image", "foreignObject", "metadata"}
    assert not any(e.get("style") for e in ET.fromstring(svg).iter())
    for element in ET.fromstring(svg).iter():
        assert (element.get("href") or "#").startswith("#")


def test_ids_do_not_clash_in_one_page() -> None:
    """Several drawings stand in one page without sharing an id, and each finds its own parts."""
    drawings = [_moisture(), _speeds(), _grits(), _time(), _speeds("sand")]
    seen: set[str] = set()
    for svg in drawings:
        ids = {e.get("id") for e in ET.fromstring(svg).iter() if e.get("id")}
        used = {e.get("href", "")[1:] for e in ET.fromstring(svg).iter() if e.get("href")}
        assert used <= ids
        assert not ids & seen
        seen |= ids


@pytest.mark.parametrize("draw", [_speeds, _time])
def test_words_are_only_words(draw: Callable[[str], str]) -> None:
    """Whatever was said stands as text: no markup, no formula."""
    svg = draw(HOSTILE)
    assert "<script" not in svg
    assert HOSTILE in _texts(svg)


def test_labels_of_speeds() -> None:
    """Every speed carries its number, every stretch its operation, and the plan its shape."""
    texts = _texts(_speeds())
    assert {"600", "1100", "700", "true up", "hollow"} <= set(texts)
    assert any("planned" in t for t in texts)


@pytest.mark.parametrize(
    "draw",
    [
        lambda: plots.moisture([Level(0, 19)]),
        lambda: plots.moisture([]),
        lambda: plots.moisture([], weights=[[Level(0, 900)]], weight_unit="lb"),
        lambda: plots.speeds([]),
        lambda: plots.speeds([Run(r, 10, "sand") for r in range(100, 1100, 10)]),
        lambda: plots.grits([]),
        lambda: plots.grits([[120]]),
        lambda: plots.time_spent([]),
        lambda: plots.time_spent([Effort("sand", 0)]),
    ],
)
def test_little_or_much_still_draws(draw: Callable[[], str]) -> None:
    """Nothing, one thing or a hundred give a whole drawing."""
    assert "svg" in ET.fromstring(draw()).tag


def test_pictures_of_a_record() -> None:
    """A project with readings, speeds, grits and days gets its pictures; one that says little gets none."""
    first = datetime(2026, 3, 2, 9)

    def said(kind: str, value: float, unit: str, at: float) -> Fact:
        return Fact(kind, value=value, unit=unit, start=at, end=at + 1)  # type: ignore[arg-type]

    days = [
        (0, [said("moisture", 40, "%", 5), said("speed", 600, "rpm", 9)]),
        (20, [said("moisture", 25, "%", 5), said("speed", 700, "rpm", 9)]),
        (50, [said("moisture", 17, "%", 5), said("grit", 120, "grit", 9), said("grit", 180, "grit", 19)]),
    ]
    takes = []
    for number, (day, facts) in enumerate(days, 1):
        recording = Recording(number, 1, "r", "media", "done", duration=600.0, started=first + timedelta(days=day))
        kept = tuple(KeptFact(number * 10 + i, number, f) for i, f in enumerate(facts))
        takes.append(Take(recording, (), kept))
    drawn = dict(pictures(record(Project(1, "test", tuple(takes)))))
    assert {"Moisture and weight over time", "Grits"} <= set(drawn)
    assert any(caption.startswith("Speeds") for caption in drawn)
    assert "fitted curve" in drawn["Moisture and weight over time"]
    assert [] == pictures(record(Project(1, "test", (Take(takes[0].recording),))))


@pytest.mark.parametrize(
    "draw",
    [
        lambda: plots.moisture([Level(n, 10 + n % 7) for n in range(3000)]),
        lambda: plots.moisture([], weights=[[Level(n, 900 + n % 7) for n in range(3000)]]),
        lambda: plots.speeds([Run(400 + n % 7, 10, "sand") for n in range(3000)]),
    ],
)
def test_very_many_marks_are_thinned_and_counted(draw: Callable[[], str]) -> None:
    """Of thousands the extremes are drawn, and the words say how many there are and what is drawn of them."""
    root = ET.fromstring(draw())
    marks = max((e.get("d", "") for e in root.iter(f"{SVG}path")), key=lambda d: d.count("z") + d.count("a"))
    assert 60 <= marks.count("M") <= 240
    words = "".join(t for e in root.iter() for t in e.itertext())
    assert "3000" in words
    assert "the lowest and the highest" in words
