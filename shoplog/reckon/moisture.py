"""Equilibrium moisture content: where wood settles in a climate.

Hailwood and Horrobin's form with Simpson's coefficients (US Wood Handbook, FPL-GTR-190, eq. 4-5; FPL-RN-0268).
"""

from __future__ import annotations

from shoplog.reckon.derived import CannotCompute, Derived, Input

SOURCE = "US Wood Handbook FPL-GTR-190 (2010) eq. 4-5; Simpson 1998, FPL-RN-0268"
FORMULA = "EMC = 1800/W [Kh/(1-Kh) + (K1 Kh + 2 K1 K2 K²h²)/(1 + K1 Kh + K1 K2 K²h²)], W, K, K1, K2 of temperature"
#: Moisture content at which the cell walls are full; below it wood shrinks. An average: species differ by points.
FIBRE_SATURATION = 30.0
#: The handbook tabulates 30 to 270 °F and 5 to 95 % relative humidity.
TABLE_C = (-1.2, 132.3)
SHOP_C = (0.0, 50.0)
HUMIDITY = (5.0, 95.0)
#: A heated house over the year. Assumed where nothing was stated of the house.
HOUSE_C, HOUSE_HUMIDITY = 21.0, (30.0, 50.0)


def emc(temperature_c: float, humidity: float) -> float:
    """Equilibrium moisture content, % of oven-dry weight, at ``temperature_c`` °C and relative ``humidity`` in %.

    Raises CannotCompute outside the handbook's table.
    """
    # Written so that a NaN fails too.
    if not TABLE_C[0] <= temperature_c <= TABLE_C[1]:
        raise CannotCompute(f"{temperature_c:.0f} °C is outside the table's -1 to 132 °C")
    if not HUMIDITY[0] <= humidity <= HUMIDITY[1]:
        raise CannotCompute(f"{humidity:g} % relative humidity is outside the table's 5 to 95 %")
    t = temperature_c
    w = 349 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    x = k * humidity / 100
    return 1800 / w * (x / (1 - x) + (k1 * x + 2 * k1 * k2 * x**2) / (1 + k1 * x + k1 * k2 * x**2))


def settles(place: str, temperature: Input, humidity: Input) -> Derived:
    """Where wood settles in the climate of ``place``: temperature in °C and relative humidity in %, each with a value
    or a range. Raises CannotCompute outside the table or outside a room's 0 to 50 °C.
    """
    temperatures, humidities = _ends(temperature), _ends(humidity)
    for t in temperatures:
        if not SHOP_C[0] <= t <= SHOP_C[1]:
            raise CannotCompute(f"{t:.0f} °C is outside the 0 to 50 °C of a room in which a piece can settle")
    # Warmer air of the same relative humidity is a little drier for wood: hot and dry is the low end.
    low = min(emc(t, humidities[0]) for t in temperatures)
    high = max(emc(t, humidities[-1]) for t in temperatures)
    single = len(temperatures) == len(humidities) == 1
    return Derived(
        what=f"moisture at which wood settles in the {place}",
        value=round(low, 1) if single else None,
        low=None if single else round(low, 1),
        high=None if single else round(high, 1),
        unit="%",
        formula=FORMULA,
        inputs={"temperature": temperature, "relative humidity": humidity},
        source=SOURCE,
        validity="0 to 50 °C, 5 to 95 % relative humidity",
        label="estimate",
        note="it takes weeks to months to get there; wood that dries stops a point or two above wood that takes up "
        "moisture, and oily woods run lower",
    )


def _ends(given: Input) -> tuple[float, ...]:
    if isinstance(given.value, int | float):
        return (float(given.value),)
    if given.low is None or given.high is None:
        raise CannotCompute("the climate was not stated")
    return (given.low, given.high) if given.low < given.high else (given.low,)


def house() -> tuple[Input, Input]:
    """The assumed climate of a heated house, for a piece whose future home was not described."""
    why = "a heated house over the year: common practice, no source"
    return (
        Input(HOUSE_C, "degC", "assumed", why),
        Input(None, "%", "assumed", why, low=HOUSE_HUMIDITY[0], high=HOUSE_HUMIDITY[1]),
    )
