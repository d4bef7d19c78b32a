"""How far wood moves between two moisture contents, and how oval a bowl goes (US Wood Handbook, ch. 4 and 13)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from shoplog.reckon.derived import CannotCompute, Derived, Input
from shoplog.reckon.moisture import FIBRE_SATURATION
from shoplog.trade.woods import Match, Wood

SOURCE_RATIO = "US Wood Handbook FPL-GTR-190 (2010) eq. 13-3"
SOURCE_COEFFICIENT = "US Wood Handbook FPL-GTR-190 (2010) eq. 13-2, Table 13-5"
SOURCE_GREEN = "US Wood Handbook FPL-GTR-282 (2021) eq. 4-9"
FORMULA_GREEN = "S = S0 (1 - M/30)"
FORMULA_RATIO = "ΔD = D (MF - MI) / (3000/S0 - 30 + MI)"
FORMULA_COEFFICIENT = "ΔD = D C (MF - MI)"
#: Percent from green to oven dry along the grain, in normal wood.
ALONG_GRAIN = (0.1, 0.2)
#: Both moisture contents must be in this range for the coefficient method, %.
COEFFICIENT_RANGE = (6.0, 14.0)
#: "Actual pieces differ by tens of percent": the spread put on an end-grain piece's one number. Common practice.
SPREAD = 0.3


def from_green(s0: float, moisture: float) -> float:
    """Shrinkage in % from green to ``moisture`` %, of wood that shrinks ``s0`` % to oven dry; 0 from 30 % up."""
    if not moisture >= 0:
        raise CannotCompute(f"a moisture content of {moisture:g} % cannot be")
    return s0 * max(0.0, 1 - moisture / FIBRE_SATURATION)


def change(size: float, start: float, end: float, s0: float) -> float:
    """Change of ``size`` (in its unit; negative shrinks) from moisture ``start`` % to ``end`` %, eq. 13-3.

    Raises CannotCompute where either is below 0 or above fibre saturation, 30 %.
    """
    for moisture in (start, end):
        if not 0 <= moisture <= FIBRE_SATURATION:
            raise CannotCompute(f"{moisture:g} % is outside 0 to 30 % moisture, in which wood moves")
    return 0.0 if s0 == 0 else size * (end - start) / (FIBRE_SATURATION * 100 / s0 - FIBRE_SATURATION + start)


def change_by_coefficient(size: float, start: float, end: float, coefficient: float) -> float:
    """Change of ``size`` between two moisture contents, both within 6 to 14 %, eq. 13-2. Raises CannotCompute."""
    for moisture in (start, end):
        if not COEFFICIENT_RANGE[0] <= moisture <= COEFFICIENT_RANGE[1]:
            raise CannotCompute(f"{moisture:g} % is outside 6 to 14 % moisture, for which the coefficients hold")
    return size * coefficient * (end - start)


def shrinkage_from_green(match: Match, moistures: tuple[float, float]) -> list[Derived]:
    """Radial and tangential shrinkage in % from green to a moisture between (low, high) %, without regard to a size.

    Raises CannotCompute where the table has no shrinkage for any of the woods.
    """
    found = []
    for name in ("radial", "tangential"):
        column = f"shrink_{name}"
        figures = [s0 for wood in match.woods if (s0 := getattr(wood, column)) is not None]
        if not figures:
            raise CannotCompute(f"the table has no shrinkage for {match.said}")
        ends = [from_green(s0, moisture) for s0 in figures for moisture in moistures]
        found.append(
            Derived(
                what=f"shrinkage, {name}",
                low=min(ends),
                high=max(ends),
                unit="%",
                formula=FORMULA_GREEN,
                inputs={
                    "M": Input(None, "%", "computed", "", *moistures),
                    "S0": Input(match.words(), None, "table", match.source_of(column)),
                },
                source=SOURCE_GREEN,
                validity="from green wood, 30 % moisture or more",
                label="estimate",
                note="" if match.how == "named" else match.words(),
            )
        )
    return found


def _across(wood: Wood, size: float, start: float, end: float) -> tuple[float, float, bool] | None:
    """Change (radial, tangential, by coefficient?) of one wood; None where the table has no shrinkage for it."""
    inside = all(COEFFICIENT_RANGE[0] <= m <= COEFFICIENT_RANGE[1] for m in (start, end))
    # Where the table's note warns of the coefficients, the shrinkage is the better figure.
    if inside and wood.coef_radial and wood.coef_tangential and "coefficients low" not in wood.note:
        return (
            change_by_coefficient(size, start, end, wood.coef_radial),
            change_by_coefficient(size, start, end, wood.coef_tangential),
            True,
        )
    if wood.shrink_radial is None or wood.shrink_tangential is None:
        return None
    return change(size, start, end, wood.shrink_radial), change(size, start, end, wood.shrink_tangential), False


def movement(
    match: Match, diameter: float, unit: str, start: float, end: tuple[float, float], inputs: Mapping[str, Input]
) -> list[Derived]:
    """How a piece of ``diameter`` moves from moisture ``start`` % to ``end`` (low, high) %: along the grain, across it,
    and how far out of round a side-grain and an end-grain piece goes.

    ``inputs`` are what the numbers came from. Above fibre saturation wood does not move, so a wetter start counts as
    30 %. Raises CannotCompute where the table has no shrinkage for any of the woods, or a moisture is impossible.
    """
    if not diameter > 0:
        raise CannotCompute("the diameter is not above zero")
    wet = start > FIBRE_SATURATION
    start, ends = min(start, FIBRE_SATURATION), tuple(min(e, FIBRE_SATURATION) for e in end)
    moves = [(w, m) for w in match.woods for e in set(ends) if (m := _across(w, diameter, start, e)) is not None]
    if not moves:
        raise CannotCompute(f"the table has no shrinkage for {match.said}")
    radial, tangential = [m[0] for _, m in moves], [m[1] for _, m in moves]
    along = [change(diameter, start, e, s0) for e in ends for s0 in ALONG_GRAIN]
    by_coefficient = all(m[2] for _, m in moves)
    columns = ("coef_radial", "coef_tangential") if by_coefficient else ("shrink_radial", "shrink_tangential")
    notes = ["starts above 30 %, where wood does not move yet: counted from 30 %"] if wet else []
    if match.how != "named":
        notes.append(match.words())
    template = Derived(
        what="",
        unit=unit,
        formula=FORMULA_COEFFICIENT if by_coefficient else FORMULA_RATIO,
        inputs={**inputs, "wood": Input(match.words(), None, "table", match.source_of(*columns))},
        source=SOURCE_COEFFICIENT if by_coefficient else SOURCE_RATIO,
        validity="6 to 14 % moisture" if by_coefficient else "0 to 30 % moisture",
        label="estimate",
    )

    def ranged(what: str, ends: list[float], *remarks: str, formula: str | None = None) -> Derived:
        note = "; ".join([*notes, *remarks])
        formula = formula or template.formula
        return replace(template, what=what, low=min(ends), high=max(ends), note=note, formula=formula)

    across, flat = [abs(m) for m in radial + tangential], [abs(a) for a in along]
    differences = [abs(t - r) for r, t in zip(radial, tangential, strict=True)]
    return [
        ranged("movement along the grain", along),
        ranged("movement across the grain", radial + tangential),
        ranged(
            "out of round, side-grain bowl",
            [max(0.0, min(across) - max(flat)), max(across) - min(flat)],
            "the way the rings ran decides where in the range",
            formula="across the grain less along it",
        ),
        ranged(
            "out of round, end-grain piece",
            [min(differences) * (1 - SPREAD), max(differences) * (1 + SPREAD)],
            "for a piece with the pith along its axis; pieces differ by tens of percent",
            formula="tangential less radial, 30 % either way",
        ),
    ]
