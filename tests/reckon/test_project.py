"""What follows from a project's facts: each result where it belongs, labelled, and none from what was not claimed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

import pytest

from shoplog.facts import Fact
from shoplog.log import KeptFact, Project, Recording, Take
from shoplog.reckon import Derived, NotComputed
from shoplog.reckon.before import before
from shoplog.reckon.derived import CannotCompute
from shoplog.reckon.project import reckon
from shoplog.transcript import Cue

FIRST = datetime(2026, 3, 2, 9, 0)


def said(kind: str, value: float | None = None, unit: str | None = None, at: float = 0, **more: Any) -> Fact:
    """A fact with only what a test is about."""
    fields = {k: more.pop(k) for k in ("item", "low", "high", "status", "quote", "approx") if k in more}
    return Fact(kind, value=value, unit=unit, start=at, end=at + 2, attrs=more, **fields)  # type: ignore[arg-type]


def project(
    *days: tuple[float | None, Sequence[Fact]], spoken: Sequence[str] = (), piece: int | None = None
) -> Project:
    """A project of one recording for each (days after the first, None for undated; facts)."""
    takes, number = [], 0
    for index, (day, facts) in enumerate(days, 1):
        started = None if day is None else FIRST + timedelta(days=day)
        recording = Recording(index, 1, f"day {index}", "media", "done", duration=1800.0, started=started)
        kept = []
        for fact in facts:
            number += 1
            kept.append(KeptFact(number, index, fact, piece=piece))
        cues = tuple(Cue(i * 5.0, i * 5.0 + 4, text) for i, text in enumerate(spoken))
        takes.append(Take(recording, cues, tuple(kept)))
    return Project(1, "test", tuple(takes))


def results(made: Project, what: str) -> list[Any]:
    return [r for r in reckon(made) if r.what.startswith(what)]


def one(made: Project, what: str) -> Any:
    found = results(made, what)
    assert len(found) == 1, [r.what for r in reckon(made)]
    return found[0]


BLANK = said("dimension", 12, "in", 5, item="diameter", of="blank")


def test_speed_meets_the_diameter_nearest_in_time() -> None:
    """Each speed is reckoned with the diameter said nearest to it, and placed against the band."""
    made = project(
        (0, [BLANK, said("speed", 600, "rpm", 10)]),
        (1, [said("dimension", 250, "mm", 5, item="diameter"), said("speed", 1000, "rpm", 10)]),
    )
    first, second = results(made, "rim speed")
    assert 1885 == pytest.approx(first.value, abs=0.1)
    assert (7200, "within" in first.note) == (first.inputs["D × rpm"].value, True)
    assert 250 == second.inputs["D"].value
    assert "above the customary 6000 to 9000" in second.note
    assert (2, 10) == (second.recording_id, second.at)


@pytest.mark.parametrize("of", ["tenon", "hole", "jaws", "drive center hole", "foot", "faceplate", "log", "end"])
def test_diameter_of_a_part_is_not_the_piece(of: str) -> None:
    """A tenon's or a hole's diameter never stands for the rim."""
    made = project((0, [said("dimension", 2, "in", 1, item="diameter", of=of), said("speed", 900, "rpm", 2)]))
    assert "no diameter" in one(made, "rim speed").because


@pytest.mark.parametrize("status", ["denied", "habit", "hypothetical", "reported"])
def test_speed_that_was_not_run_is_not_reckoned(status: str) -> None:
    """Only what was run or is planned has a rim speed."""
    assert [] == results(project((0, [BLANK, said("speed", 900, "rpm", 9, status=status)])), "rim speed")


def test_other_pieces_are_left_out() -> None:
    """Facts of another piece have no part in this one's reckoning."""
    made = project((0, [BLANK, said("speed", 900, "rpm", 9, other_piece=True)]))
    assert [] == results(made, "rim speed")


@pytest.mark.parametrize(
    ("facts", "spoken", "word"),
    [
        ([said("defect", item="crack", at=6)], (), "cracked"),
        ([said("moisture", 45, "%", 6)], (), "green"),
        ([], ("hold on", "that's really vibrating now"), "out of balance"),
    ],
)
def test_condition_calls_for_the_low_end(facts: list[Fact], spoken: tuple[str, ...], word: str) -> None:
    """Cracked, green or unbalanced work above the low end gets the remark, deferring to the manual."""
    made = project((0, [BLANK, *facts, said("speed", 700, "rpm", 20)]), spoken=spoken)
    note = one(made, "rim speed").note
    assert word in note
    assert "500 rpm" in note
    assert "manual" in note


def test_repaired_crack_needs_no_remark() -> None:
    """A crack that was repaired before the speed was run is not held against it."""
    crack, glued = said("defect", item="crack", at=6), said("defect", item="crack", at=8, change="repaired")
    made = project((0, [BLANK, crack, glued, said("speed", 700, "rpm", 20)]))
    assert "cracked" not in one(made, "rim speed").note


def test_range_of_speeds_is_a_range() -> None:
    """A stated range gives both ends."""
    made = project((0, [BLANK, said("speed", None, "rpm", 9, low=500, high=600)]))
    found = one(made, "rim speed")
    assert (1571, 1885) == pytest.approx((found.low, found.high), abs=1)
    assert found.value is None


def test_movement_from_measured_to_settled() -> None:
    """Climate and moisture give where it settles and how it moves; cherry 10 in at 20 % as the worked example."""
    made = project((0, [
        said("species", item="black cherry"), said("dimension", 10, "in", 2, item="diameter"),
        said("moisture", 20, "%", 3), said("temperature", 70, "degF", 4), said("humidity", 50, "%", 5),
    ]))  # fmt: skip
    assert 9.2 == one(made, "moisture at which wood settles in the shop").value
    across = one(made, "movement across the grain, in the shop")
    expected = 10 * (9.2 - 20) / (3000 / 7.1 - 30 + 20)
    assert expected == pytest.approx(across.low, abs=1e-6)
    assert "estimate" == across.label
    assert "assumed" == one(made, "moisture at which wood settles in the house").inputs["temperature"].origin


def test_climate_of_the_house_is_kept_apart() -> None:
    """Humidity said of the kitchen is the house's, not the shop's."""
    kitchen = said("humidity", 35, "%", 9, where="kitchen")
    made = project((0, [said("temperature", 21, "degC", 1), said("humidity", 60, "%", 2), kitchen]))
    shop, house = (one(made, f"moisture at which wood settles in the {p}").inputs for p in ("shop", "house"))
    assert (60, 35) == (shop["relative humidity"].value, house["relative humidity"].value)


def test_temperature_alone_settles_nothing() -> None:
    """Without the humidity there is no number, and it says why."""
    made = project((0, [said("temperature", 84, "degF", 1), said("moisture", 20, "%", 2)]))
    assert "humidity" in one(made, "moisture at which wood settles in the shop").because


@pytest.mark.parametrize("humidity", [3, 99])
def test_climate_outside_the_table(humidity: float) -> None:
    """Out of the table there is no number."""
    made = project((0, [said("temperature", 20, "degC", 1), said("humidity", humidity, "%", 2)]))
    assert isinstance(one(made, "moisture at which wood settles in the shop"), NotComputed)


def test_unknown_species_is_a_labelled_range() -> None:
    """No species: the range over the hardwoods of the table, saying so."""
    made = project((0, [said("dimension", 10, "in", 2, item="diameter"), said("moisture", 20, "%", 3)]))
    found = one(made, "movement across the grain, in the house")
    assert "species not stated" in found.note
    assert "from memory" in found.inputs["wood"].from_where


def test_plain_name_is_settled_by_the_full_one() -> None:
    """A wood called maple all day and once sugar maple is sugar maple."""
    facts = [said("species", item="maple", at=i) for i in range(3)] + [said("species", item="sugar maple", at=4)]
    made = project((0, [*facts, said("dimension", 10, "in", 5, item="diameter"), said("moisture", 20, "%", 6)]))
    assert "sugar maple" == one(made, "movement across the grain, in the house").inputs["wood"].value


def test_readings_of_several_places_are_one_measuring() -> None:
    """Rim, middle and bottom read together are meant; two numbers in a breath are not averaged."""
    together = [
        said("moisture", v, "%", i, where=w) for i, (v, w) in enumerate([(19, "rim"), (23, "middle"), (22, "foot")])
    ]
    size = said("dimension", 10, "in", 9, item="diameter")
    made = project((0, [*together, size]))
    assert 21.3 == one(made, "movement across the grain, in the house").inputs["MI"].value
    fell = [said("moisture", 52, "%", 1), said("moisture", 16, "%", 2)]
    assert 16 == one(project((0, [*fell, size])), "movement across the grain, in the house").inputs["MI"].value


WEIGHED = [(0, 2400), (20, 2050), (45, 1850), (80, 1720)]


def test_moisture_from_weight_with_its_spread() -> None:
    """2400 g at 65 %, later 1636 g, is 12.5 % plus or minus 6.8."""
    made = project(
        (0, [said("weight", 2400, "g", 1), said("moisture", 65, "%", 2)]), (60, [said("weight", 1636, "g", 1)])
    )
    found = one(made, "moisture from weight")
    assert (12.5, 5.7, 19.3) == (found.value, found.low, found.high)


def test_moisture_measured_last_tells_the_moistures_before() -> None:
    """3.4 kg that is 2.1 kg at 13 % was at 83 %: the meter is believed where it is dry."""
    made = project(
        (0, [said("weight", 3.4, "kg", 1)]), (126, [said("weight", 2.1, "kg", 1), said("moisture", 13, "%", 2)])
    )
    found = one(made, "moisture from weight")
    assert 83.0 == found.value
    assert (1, 1) == (found.recording_id, found.at)
    assert found.low == pytest.approx(79.7, abs=0.1)
    assert "weighed too long ago to say" == one(made, "settled by weight").value


def test_weight_that_grew_moisture_below_zero_is_a_contradiction() -> None:
    """Weights that contradict the meter give the contradiction and no number."""
    made = project(
        (0, [said("weight", 2400, "g", 1), said("moisture", 12, "%", 2)]), (60, [said("weight", 1200, "g", 1)])
    )
    assert "contradict" in one(made, "moisture from weight").because


def test_turning_between_weighings_parts_them() -> None:
    """After wood was cut away the weights are not of the same piece."""
    made = project(
        (0, [said("weight", 2400, "g", 1), said("moisture", 65, "%", 2), said("tool", item="bowl gouge", at=9)]),
        (60, [said("weight", 1636, "g", 1)]),
    )
    assert [] == results(made, "moisture from weight")


def test_settled_weight_gives_the_starting_moisture() -> None:
    """Steady at 1590 g where wood settles at 9.2 %: 2400 g was 64.8 %."""
    made = project(
        (0, [said("weight", 2400, "g", 1), said("temperature", 70, "degF", 2), said("humidity", 50, "%", 3)]),
        (90, [said("weight", 1592, "g", 1)]),
        (104, [said("weight", 1590, "g", 1)]),
    )
    assert "settled" == one(made, "settled by weight").value
    assert 64.8 == one(made, "moisture when first weighed").value


def test_curve_gives_a_range_of_dates() -> None:
    """Four weighings and a target give a likely date inside a range, after the last weighing."""
    first = [said("moisture", 65, "%", 2), said("moisture", 14, "%", 3, status="planned")]
    made = project(*((d, [said("weight", w, "g", 1), *(first if d == 0 else [])]) for d, w in WEIGHED))
    found = one(made, "dry to 14 %")
    assert found.low <= found.value <= found.high
    assert (FIRST + timedelta(days=60)).date().isoformat() < found.value
    assert ("date", "estimate") == (found.unit, found.label)


def test_two_readings_are_a_line_and_a_warning() -> None:
    """Two readings give the earliest date and no latest."""
    made = project(
        (0, [said("moisture", 30, "%", 1), said("moisture", 12, "%", 2, status="planned")]),
        (10, [said("moisture", 24, "%", 1)]),
    )
    found = one(made, "dry to 12 %")
    assert ("2026-04-01", None, None) == (found.low, found.high, found.value)
    assert "not a promise" in found.note


def test_undated_readings_have_no_curve() -> None:
    """Without days there is no date."""
    made = project((None, [said("moisture", 30, "%", 1)]), (None, [said("moisture", 24, "%", 1)]))
    assert "not known" in one(made, "drying").because


def test_target_below_the_settled_moisture_is_refused() -> None:
    """What the climate does not allow has no date."""
    target = said("moisture", 5, "%", 2, status="planned")
    made = project(*((d, [said("moisture", m, "%", 1), target]) for d, m in [(0, 28), (20, 21), (45, 17)]))
    assert isinstance(one(made, "dry to 5 %"), NotComputed)


def grits(*numbers: float, **more: Any) -> list[Fact]:
    return [said("grit", n, "grit", i, **more) for i, n in enumerate(numbers, 1)]


@pytest.mark.parametrize(
    ("numbers", "words"),
    [
        ((80, 120, 180, 240, 320, 400), "even steps"),
        ((80, 180, 400), "80 to 180 jumps far"),
        ((320, 600), "jumps far if it is CAMI paper"),
    ],
)
def test_sanding_pass(numbers: tuple[float, ...], words: str) -> None:
    """A pass is judged step by step on both scales."""
    found = one(project((0, grits(*numbers))), "sanding")
    assert words in found.note
    assert "rule of thumb" == found.label


def test_going_back_starts_a_pass() -> None:
    """A coarser grit begins another pass and says from what it goes back."""
    first, second = results(project((0, grits(120, 180, 120, 180))), "sanding")
    assert "goes back" not in first.note
    assert "goes back from 180 to 120" in second.note


def test_grit_outside_the_tables() -> None:
    """A grade that no table has is not interpolated."""
    assert "no table" in one(project((0, grits(600, 12000))), "sanding").because


def test_reached_target_has_no_date() -> None:
    """What the last reading is already below has no date ahead."""
    target = said("moisture", 15, "%", 2, status="planned")
    made = project(*((d, [said("moisture", m, "%", 1), target]) for d, m in [(0, 28), (20, 18), (45, 13)]))
    assert "already" in one(made, "dry to 15 %").because


def test_micrometres_only_where_the_scale_was_said() -> None:
    """P220 has a size; a bare 220 has not."""
    assert "grain 68, 46.2 µm" in one(project((0, grits(220, 320, quote="with P220"))), "sanding").note
    assert "no grade 4000" in one(project((0, grits(4000, quote="P4000"))), "sanding").because
    assert "µm" not in one(project((0, grits(220, 320, quote="with 220"))), "sanding").note


def test_ends_of_a_run_are_not_a_step() -> None:
    """ "From 120 up through 400" says nothing of the steps between."""
    found = one(project((0, [said("grit", None, "grit", 1, low=120, high=400)])), "sanding")
    assert "not said" in found.note
    assert "jumps" not in found.note


def test_rough_wall() -> None:
    """Ten percent of the largest diameter, in the maker's unit; none for a size the saying is not for."""
    assert 1.2 == pytest.approx(one(project((0, [BLANK])), "rough-out wall").value)
    metric = said("dimension", 300, "mm", 1, item="diameter")
    found = one(project((0, [metric])), "rough-out wall")
    assert (pytest.approx(30), "mm") == (found.value, found.unit)
    assert isinstance(
        one(project((0, [said("dimension", 2, "in", 1, item="diameter")])), "rough-out wall"), NotComputed
    )


GLUE = said("adhesive", item="wood glue", at=1)


def test_wait_said_and_kept() -> None:
    """A planned clamp time beside the one said to be over: kept or cut short."""
    wait = said("duration", 24, "h", 5, status="planned", of="clamp")
    made = project((0, [GLUE, wait]), (1, [said("duration", 20, "h", 1, of="clamp")]))
    assert "shorter than as planned" in one(made, "glue wait").note
    made = project((0, [GLUE, wait]), (1, [said("duration", 24, "h", 1, of="clamp")]))
    assert "at least as planned" in one(made, "glue wait").note


def test_wait_of_another_length_is_another_wait() -> None:
    """Ten minutes for the next glue do not end a day under clamps; words without "of what" of a like length do."""
    wait = said("duration", 24, "h", 5, status="planned", of="clamp")
    other, own = said("duration", 10, "min", 1, of="set"), said("duration", 19, "h", 9)
    found = one(project((0, [GLUE, wait]), (1, [other, own])), "glue wait")
    assert 19 == pytest.approx(found.value)
    assert isinstance(one(project((0, [GLUE, wait, other])), "glue wait"), NotComputed)


def test_named_piece_is_believed_before_other_things() -> None:
    """A diameter of the rim is taken, and not one of a thing that nobody calls a piece."""
    odd, rim = (
        said("dimension", 3, "in", 9, item="diameter", of="moon"),
        said("dimension", 12, "in", 1, item="diameter", of="rim"),
    )
    assert 12 == one(project((0, [rim, odd, said("speed", 600, "rpm", 10)])), "rim speed").inputs["D"].value


def test_width_stands_for_a_diameter_that_was_not_said() -> None:
    """A turned piece's width is its diameter where none was said, and the result says so; square work's is not."""
    width = said("dimension", 12, "in", 5, item="width", quote="twelve inches wide")
    found = one(project((0, [width, said("speed", 600, "rpm", 10)])), "rim speed")
    assert 1885 == pytest.approx(found.value, abs=0.1)
    assert "width" in found.note
    square = said("dimension", 12, "in", 5, item="width", quote="twelve inches square")
    assert isinstance(one(project((0, [square, said("speed", 600, "rpm", 10)])), "rim speed"), NotComputed)


def test_wait_kept_by_the_clock() -> None:
    """Without words for its end, the next recorded work tells how long the label's wait was kept."""
    wait = said("duration", 2, "h", 5, status="reported", of="between coats")
    made = project((0, [said("finish", item="oil", at=4), wait]), (1, [said("finish", item="oil", at=60)]))
    found = one(made, "finish wait")
    assert 24 == pytest.approx(found.value, abs=0.1)
    assert "by the clock" in found.note


def test_drying_wood_is_no_finish_wait() -> None:
    """Six months on the shelf is not a wait for glue or finish."""
    assert [] == results(project((0, [said("duration", 6, "month", 5, status="planned", of="shelf")])), "finish wait")


@pytest.mark.parametrize(
    ("facts", "caution"),
    [
        ([said("finish", item="danish oil")], "oily rags"),
        ([said("adhesive", item="CA glue", grade="thin")], "cyanoacrylate"),
        ([said("adhesive", item="epoxy", status="planned")], "epoxy"),
        (grits(120), "wood dust"),
        (
            [BLANK, said("workholding", item="faceplate"), said("tool", item="spindle roughing gouge")],
            "spindle roughing gouge",
        ),
        ([said("speed", 400, "rpm"), said("workholding", item="cole jaws")], "chuck limits"),
        ([said("speed", None, None, direction="reverse")], "reverse"),
        ([said("ppe", item="gloves")], "gloves and rags"),
        ([said("finish", item="wax", quote="a coat of wax on a soft cloth")], "gloves and rags"),
        ([said("speed", 500, "rpm"), said("defect", item="crack")], "cracked work"),
        ([said("finish", item="lacquer")], "solvent vapour"),
        ([said("species", item="cocobolo")], "dust of cocobolo"),
    ],
)
def test_caution_applies_once(facts: list[Fact], caution: str) -> None:
    """Each caution stands once however often its cause was said, with a source and no number."""
    found = one(project((0, facts), (1, facts)), caution)
    assert ("caution", None) == (found.label, found.value)
    assert found.source
    assert found.note


@pytest.mark.parametrize(
    ("facts", "caution"),
    [
        ([said("finish", item="mineral oil")], "oily rags"),
        ([said("finish", item="danish oil", status="denied")], "oily rags"),
        ([said("adhesive", item="CA glue", status="hypothetical")], "cyanoacrylate"),
        ([said("tool", item="spindle roughing gouge")], "spindle roughing gouge"),
        ([said("speed", 500, "rpm"), said("defect", item="crack", status="denied")], "cracked work"),
        ([said("species", item="walnut", other_piece=True)], "dust of black walnut"),
        ([said("speed", 500, "rpm")], "out of balance"),
    ],
)
def test_caution_does_not_apply(facts: list[Fact], caution: str) -> None:
    """Nothing is cautioned that was denied, only thought of, or is not the hazard."""
    assert [] == results(project((0, facts)), caution)


def test_weight_of_a_blank() -> None:
    """A cherry blank 10 by 3 in at 58 %: basic gravity times water, in pounds."""
    facts = [
        said("species", item="black cherry"), said("dimension", 10, "in", 2, item="diameter", of="blank"),
        said("dimension", 3, "in", 3, item="thickness", of="blank"), said("moisture", 58, "%", 4),
    ]  # fmt: skip
    volume = math.pi / 4 * (10 * 0.0254) ** 2 * 3 * 0.0254
    assert 470 * 1.58 * volume / 0.45359237 == pytest.approx(
        one(project((0, facts)), "weight of the blank").value, rel=1e-6
    )


def test_every_result_is_labelled_and_sourced() -> None:
    """Formula, source, label and inputs stand with every number, and stated inputs know their moment."""
    made = project((0, [
        said("species", item="maple"), BLANK, said("dimension", 4, "in", 6, item="thickness", of="blank"),
        said("moisture", 40, "%", 7), said("temperature", 65, "degF", 8), said("humidity", 55, "%", 9),
        said("speed", 600, "rpm", 20), *grits(120, 180),
    ]))  # fmt: skip
    found = [r for r in reckon(made) if isinstance(r, Derived) and r.label != "caution"]
    assert len(found) > 10
    for result in found:
        assert result.formula
        assert result.source
        assert result.inputs
        for given in result.inputs.values():
            assert given.origin != "stated" or given.recording_id is not None


def test_empty_project() -> None:
    """Nothing stated, nothing reckoned."""
    assert [] == reckon(project())
    assert [] == reckon(project((0, [])))


def test_before_a_piece() -> None:
    """10 in cherry: 600 to 900 rpm, a 1 in wall, and how oval it will go."""
    found = {r.what: r for r in before("cherry", 10, "in")}
    assert (600, 900) == pytest.approx((found["customary speeds"].low, found["customary speeds"].high))
    assert 1 == pytest.approx(found["rough-out wall"].value)
    assert 0.55 == pytest.approx(found["out of round, side-grain bowl, green to the house"].high, abs=0.02)
    shrinks = found["shrinkage, tangential, green to the house"]
    assert 7.1 * (1 - 6.2 / 30) == pytest.approx(shrinks.high, abs=0.02)
    lost = found["weight lost in drying, green to the house"]
    assert 100 * (58 - 6.2) / 158 == pytest.approx(lost.high, abs=0.05)
    assert any(r.what.startswith("moisture when green") for r in before(None))


def test_before_refuses_no_size() -> None:
    """A diameter must be above zero."""
    with pytest.raises(CannotCompute, match="above zero"):
        before("cherry", 0, "in")
