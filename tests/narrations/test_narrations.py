"""The invented narrations and their gold keep to the shape of a stated fact.

`held/` is kept from whoever writes the extractor's rules: nothing but this check and the score may read it.
"""

import json
import re
from pathlib import Path

import pytest

from shoplog.facts import KINDS, STATUSES, UNITS
from shoplog.timeline import OPERATIONS

HERE = Path(__file__).parent
FILES = sorted([*HERE.glob("n*.json"), *HERE.glob("held/h*.json")])

UNITS_OF = {
    "speed": {"rpm"},
    "tool": {"in", "mm"},
    "grit": {"grit"},
    "moisture": {"%"},
    "duration": {"s", "min", "h", "day", "week", "month", "year"},
    "clock": set(),
    "species": set(),
    "defect": {"in", "ft", "mm", "cm", "m"},
    "dimension": {"in", "ft", "mm", "cm", "m"},
    "finish": set(),
    "adhesive": set(),
    "workholding": {"in", "mm", "cm"},
    "ppe": set(),
    "weight": {"g", "kg", "oz", "lb"},
    "temperature": {"degF", "degC"},
    "humidity": {"%"},
    "followup": set(),
    "credit": set(),
}
ATTRS_OF = {
    "speed": {"direction"},
    "tool": {"grind", "sharpened"},
    "grit": {"holder"},
    "moisture": {"where", "method"},
    "duration": {"of"},
    "clock": {"time", "date", "days_later", "weekday"},
    "species": {"form"},
    "defect": {"change"},
    "dimension": {"of"},
    "finish": {"product", "coats"},
    "adhesive": {"grade"},
    "workholding": set(),
    "ppe": set(),
    "weight": set(),
    "temperature": {"where"},
    "humidity": {"where"},
    "followup": {"due"},
    "credit": {"role"},
}
ITEMS_OF = {
    "tool": """bowl gouge, spindle gouge, spindle roughing gouge, detail gouge, skew chisel, parting tool, scraper,
        round-nose scraper, square scraper, negative-rake scraper, shear scraper, hollowing tool, carbide tool,
        point tool, chisel, saw, chainsaw, bandsaw, drill bit, forstner bit, spade bit, hole saw, texturing tool, rasp,
        carving gouge, burr""",
    "defect": """crack, bark inclusion, knot, void, worm holes, rot, tear-out, catch, warp, ring shake, stain,
        sanding scratches, chatter, blowout, glue spill, loose bark""",
    "finish": """oil, wax, oil-and-wax, shellac, lacquer, polyurethane, varnish, tung oil, linseed oil, walnut oil,
        mineral oil, danish oil, friction polish, CA finish, sanding sealer, paint, dye, epoxy finish, hardwax oil,
        beeswax""",
    "adhesive": "CA glue, epoxy, wood glue, hot glue, accelerator, double-sided tape",
    "workholding": """scroll chuck, screw chuck, faceplate, jam chuck, vacuum chuck, tenon, mortise, tailstock,
        live center, drive center, steady rest, cole jaws, pin jaws, friction drive, glue block, donut chuck,
        collet chuck""",
    "ppe": """face shield, dust mask, respirator, safety glasses, ear protection, dust collection, air filter, gloves,
        apron""",
    "dimension": "diameter, width, length, height, thickness, depth, wall thickness",
}
ITEMS = {kind: {item.strip() for item in words.split(",")} for kind, words in ITEMS_OF.items()}
FREE_ITEM = {"species", "followup", "credit"}
NEEDS_NUMBER = {"grit", "moisture", "duration", "dimension", "weight", "temperature", "humidity"}
CHANGES = {"new", "worse", "stable", "gone", "repaired"}


def faults(fact):
    """What is wrong with one gold fact, in words."""
    kind, attrs, item = fact.get("kind"), fact.get("attrs", {}), fact.get("item")
    if kind not in KINDS:
        return [f"unknown kind {kind!r}"]
    found = []
    allowed = {"kind", "item", "value", "low", "high", "unit", "approx", "status", "attrs"}
    found += [f"unknown field {name!r}" for name in fact.keys() - allowed]
    if fact.get("status") not in STATUSES:
        found.append(f"status {fact.get('status')!r}")
    if kind in ITEMS and item not in ITEMS[kind]:
        found.append(f"item {item!r} is not a canonical {kind}")
    if kind in FREE_ITEM and not (isinstance(item, str) and item == item.lower().strip() and item):
        found.append(f"item {item!r} must be lower case words")
    if kind not in ITEMS and kind not in FREE_ITEM and item is not None:
        found.append(f"{kind} has no item")
    found += number_faults(fact)
    found += [f"attribute {name!r} of {kind}" for name in attrs.keys() - ATTRS_OF[kind] - {"other_piece"}]
    if kind == "defect" and attrs.get("change", "new") not in CHANGES:
        found.append(f"change {attrs['change']!r}")
    if kind == "speed" and attrs.get("direction", "forward") not in {"forward", "reverse"}:
        found.append(f"direction {attrs['direction']!r}")
    if kind == "clock" and not attrs.keys() & {"time", "date", "days_later"}:
        found.append("a clock fact states a time, a date or a distance")
    if not re.fullmatch(r"\d\d:\d\d", attrs.get("time", "00:00")):
        found.append(f"time {attrs['time']!r}")
    if not re.fullmatch(r"\d{4}(-\d\d(-\d\d)?)?", attrs.get("date", "2026")):
        found.append(f"date {attrs['date']!r}")
    return found


def number_faults(fact):
    kind, unit = fact["kind"], fact.get("unit")
    value, low, high = fact.get("value"), fact.get("low"), fact.get("high")
    numbered = value is not None or low is not None
    found = []
    if unit is not None and (unit not in UNITS or unit not in UNITS_OF[kind]):
        found.append(f"unit {unit!r} of {kind}")
    if numbered != (unit is not None):
        found.append("a number has a unit and a unit has a number")
    if (low is None) != (high is None) or (value is not None and low is not None):
        found.append("either a value or both ends of a range")
    if low is not None and high is not None and not low < high:
        found.append("low is below high")
    if kind in NEEDS_NUMBER and not numbered:
        found.append(f"{kind} without its number is no fact")
    if kind == "speed" and not numbered and "direction" not in fact.get("attrs", {}):
        found.append("speed has a number or a direction")
    return found


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_gold_keeps_to_the_contract(path):
    """Every narration has its four fields, and every gold fact has the kinds, items, units and statuses agreed."""
    narration = json.loads(path.read_text(encoding="utf-8"))
    assert {"id", "title", "started", "lines"} == narration.keys()
    assert path.stem == narration["id"]
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d", narration["started"])
    found = []
    # Some narrations also tell, line by line, which operation is under way.
    labelled = {"operation"} & narration["lines"][0].keys()
    for line in narration["lines"]:
        assert {"say", "facts"} | labelled == line.keys()
        assert line.get("operation", OPERATIONS[0]) in OPERATIONS
        assert line["say"].strip() == line["say"] != ""
        found += [(line["say"], fact, fault) for fact in line["facts"] for fault in faults(fact)]
    assert [] == found


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_enough_is_said_that_is_no_fact(path):
    """A third of the lines at least state nothing, or false facts would go unseen."""
    lines = json.loads(path.read_text(encoding="utf-8"))["lines"]
    assert len(lines) >= 35
    silent = sum(not line["facts"] for line in lines)
    assert len(lines) / 3 <= silent <= len(lines) * 2 / 3


def test_there_are_narrations_in_both_halves():
    """The open half and the held half both exist; an empty folder would pass every other check."""
    assert {"n", "h"} == {path.stem[0] for path in FILES}
