"""The wall of a twice-turned bowl: a tenth of the diameter, and what is left of it once the bowl is oval."""

from __future__ import annotations

from shoplog.reckon.derived import CannotCompute

SOURCE_WALL = "common practice, no source"
FORMULA_WALL = "wall = D/10"
WALL = 0.10
#: Diameters of side-grain bowls for which the saying is used, in.
DIAMETERS_IN = (4.0, 20.0)


def rough_wall(diameter_in: float) -> float:
    """Wall thickness in inches to leave on a rough-out. Raises CannotCompute outside 4 to 20 in."""
    if not DIAMETERS_IN[0] <= diameter_in <= DIAMETERS_IN[1]:
        raise CannotCompute(f"the ten percent wall is a saying for bowls of 4 to 20 in, not {diameter_in:.3g} in")
    return diameter_in * WALL


def left_after_truing(wall: float, oval: float) -> float:
    """Wall that is left once a piece that went ``oval`` out of round is turned round again; all in one unit.

    Half of the difference of the diameters comes off each side. Below zero: it can't be trued.
    """
    if not (wall > 0 and oval >= 0):
        raise CannotCompute("the wall must be above zero")
    return wall - oval / 2
