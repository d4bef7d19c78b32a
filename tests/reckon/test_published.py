"""The formulas reproduce what others published, within the rounding of what was printed."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest

from shoplog.facts import convert
from shoplog.reckon import abrasives, moisture, roughout, shrinkage, speed, weight

REFERENCE = Path(__file__).parents[1] / "reference"


def _cases(name: str, **only: str) -> list[dict[str, str]]:
    with (REFERENCE / name).open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if all(row[k] == v for k, v in only.items())]
    assert rows
    return rows


def _near(row: dict[str, str], column: str = "expected") -> object:
    return pytest.approx(float(row[column]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", _cases("emc.csv"), ids=lambda r: f"{r['temperature_f']}F-{r['humidity']}%")
def test_equilibrium_moisture_of_the_table(row: dict[str, str]) -> None:
    """Every cell of the handbook's table, to its last digit (its rounding and the equation's)."""
    temperature = convert(float(row["temperature_f"]), "degF", "degC")
    assert _near(row, "emc") == moisture.emc(temperature, float(row["humidity"]))


@pytest.mark.parametrize("temperature", [0, 10, 21.1, 30, 45])
@pytest.mark.parametrize("humidity", [12, 30, 50, 65, 80])
def test_equilibrium_moisture_beside_other_equations(temperature: float, humidity: float) -> None:
    """Two equations of other authors for the same thing agree: within two points, and within 0.8.

    Glass, Zelinka and Johnson 2014 (FPL-GTR-229, Wood Handbook 2021 eq. 4-6), and Simard's regression as printed with
    the US fire danger rating system (degF).
    """
    ours = moisture.emc(temperature, humidity)
    kelvin = temperature + 273.15
    inner = -0.000612 * kelvin * (1 - kelvin / 647.1) ** 2.43 * math.log(1 - humidity / 100)
    assert 100 * inner ** (0.0577 * kelvin**0.430) == pytest.approx(ours, abs=2.0)
    f = temperature * 1.8 + 32
    if humidity < 50:
        simard = 2.22749 + 0.160107 * humidity - 0.014784 * f
    else:
        simard = 21.0606 + 0.005565 * humidity**2 - 0.00035 * humidity * f - 0.483199 * humidity
    assert simard == pytest.approx(ours, abs=0.8)


def test_equilibrium_moisture_beside_another_transcription() -> None:
    """20 °C and 50 %, the example of an open R package for conservators (Simpson 1998): 9.27."""
    assert moisture.emc(20, 50) == pytest.approx(9.27, abs=0.005)


@pytest.mark.parametrize("row", _cases("shrinkage.csv"), ids=lambda r: f"{r['method']}: {r['source'][:40]}")
def test_shrinkage(row: dict[str, str]) -> None:
    """Worked examples of both methods."""
    size, start, end, figure = (float(row[c]) for c in ("size", "start", "end", "shrinkage"))
    found = {
        "coefficient": lambda: shrinkage.change_by_coefficient(size, start, end, figure),
        "ratio": lambda: shrinkage.change(size, start, end, figure),
        "green": lambda: shrinkage.from_green(figure, end),
    }[row["method"]]()
    assert _near(row) == found


@pytest.mark.parametrize("row", _cases("gravity.csv"), ids=lambda r: f"{r['quantity']}-{r['basic']}-{r['moisture']}")
def test_gravity_and_density(row: dict[str, str]) -> None:
    """Specific gravity, density and the most water that wood holds."""
    basic = float(row["basic"])
    at = float(row["moisture"] or 0)
    volumetric = float(row["volumetric"]) if row["volumetric"] else None
    found = {
        "density": lambda: weight.density(basic, at),
        "gravity": lambda: weight.gravity_at(basic, at, volumetric),
        "max": lambda: weight.max_moisture(basic),
    }[row["quantity"]]()
    assert _near(row) == found


@pytest.mark.parametrize("row", _cases("weights.csv"), ids=lambda r: r["source"])
def test_moisture_from_weight(row: dict[str, str]) -> None:
    """Moisture from two weights, from a steady weight, and the loss to expect."""
    now, before, at = float(row["now"]), float(row["before"]), float(row["moisture"] or 0)
    found = {
        "moisture": lambda: weight.moisture_from_weight(now, before, at),
        "start": lambda: weight.moisture_of(before, weight.oven_dry_weight(now, at)),
        "loss": lambda: weight.expected_loss(before, now),
    }[row["quantity"]]()
    assert _near(row) == found


@pytest.mark.parametrize("row", _cases("speeds.csv"), ids=lambda r: f"{r['quantity']}-{r['diameter']}-{r['rpm']}")
def test_speeds(row: dict[str, str]) -> None:
    """Rim speed in both units, the pull at the rim, and diameter times speed."""
    diameter, rpm = convert(float(row["diameter"]), row["unit"], "m"), float(row["rpm"])
    found = {
        "ft/min": lambda: speed.feet_per_minute(speed.rim_speed(diameter, rpm)),
        "m/s": lambda: speed.rim_speed(diameter, rpm),
        "g": lambda: speed.rim_acceleration(diameter, rpm),
        "product": lambda: speed.product(diameter, rpm),
    }[row["quantity"]]()
    assert _near(row) == found


@pytest.mark.parametrize("row", _cases("grits.csv"), ids=lambda r: f"{r['scale']} {r['grade']}")
def test_grain_sizes(row: dict[str, str]) -> None:
    """The sizes from memory lie within a tenth of a printed chart's, which is rounded."""
    found = abrasives.micrometres(int(row["grade"]), row["scale"])  # type: ignore[arg-type]
    assert float(row["chart_micrometre"]) == pytest.approx(found, rel=0.12)


@pytest.mark.parametrize("row", _cases("walls.csv"), ids=lambda r: f"{r['diameter']} in")
def test_rough_walls(row: dict[str, str]) -> None:
    """A tenth of the diameter, and what is left of it after truing."""
    wall = roughout.rough_wall(float(row["diameter"]))
    assert float(row["wall"]) == pytest.approx(wall)
    if row["left"]:
        assert _near(row, "left") == roughout.left_after_truing(wall, float(row["oval"]))
