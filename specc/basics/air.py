"""The air's absolute pressure at an elevation."""

from __future__ import annotations

import math

from specc.dims import AbsolutePressure, Length
from specc.formulas.calculators import calculator
from specc.kinds.weather import AIR_PRESSURE
from specc.model.passes import Cannot, Context, figure
from specc.model.values import Citation, Constant, Equation, Symbol, Worked

# Constants seen in copies of the standard, not on its own pages.
_STANDARD = Citation("us-standard-atmosphere-1976", "lowest layer, up to 11 km", "reprint")
_SEA_LEVEL = Constant(101325.0, "absolute_pressure", "101 325 Pa", _STANDARD)
# 288.15 K over 0.0065 K/m, and 9.80665 m/s² · 28.9644 g/mol over 8.31432 J/(mol·K) · 0.0065 K/m: the standard's
# own constants, worked out here so that the equation stays readable.
_HEIGHT = Constant(288.15 / 0.0065, "length", "44 330.8 m", _STANDARD)
_EXPONENT = Constant(
    9.80665 * 0.0289644 / (8.31432 * 0.0065),
    "ratio",
    "5.25588",
    _STANDARD,
)

_EARTH = Constant(6356766.0, "length", "6 356 766 m", _STANDARD)

LOWEST, HIGHEST = -500.0, 9000.0  # m: dry land

PRESSURE_BY_ELEVATION = Equation(
    forms=(("", "p_a = p_0*(1 - r*h/(r + h)/h_0)**n"),),
    symbols=(
        Symbol("h", "length", "elevation above sea level"),
        Symbol("p_0", "absolute_pressure", "pressure at sea level"),
        Symbol("r", "length", "radius of the earth in the standard: turns height into geopotential height"),
        Symbol("h_0", "length", "temperature at sea level over its fall with height"),
        Symbol("n", "ratio", "gravity times molar mass over gas constant times fall of temperature"),
        Symbol("p_a", "absolute_pressure", "absolute pressure of the air"),
    ),
    citations=(_STANDARD,),
    validity=(
        "the standard day, -500 m to 9,000 m (-1,600 ft to 29,500 ft); outside it nothing is computed."
        " The day's weather is not in it"
    ),
    constants=(("p_0", _SEA_LEVEL), ("r", _EARTH), ("h_0", _HEIGHT), ("n", _EXPONENT)),
)


@calculator("air-pressure", PRESSURE_BY_ELEVATION, symbols="h")
def air_pressure(elevation: Length) -> AbsolutePressure:
    """The air's absolute pressure at an elevation, on the standard day.

    p_a = p_0 (1 - H/h_0)^n with H = r h/(r + h), h_0 = 44,330.8 m, n = 5.2559.

    elevation: m above sea level. Returns Pa absolute. Validity: -500 to 9,000 m.
    Errors: ValueError outside. Source: U.S. Standard Atmosphere 1976, constants read in copies.

    5,000 ft: 12.228 psia in tables of the standard.

    >>> round(air_pressure(1524.0) / 6894.757, 3)
    12.228
    """
    if not LOWEST <= elevation <= HIGHEST:
        raise ValueError(f"the air's pressure is computed from {LOWEST:g} m to {HIGHEST:g} m, not at {elevation:g} m")
    height = _EARTH.si * elevation / (_EARTH.si + elevation)
    return _SEA_LEVEL.si * math.pow(1 - height / _HEIGHT.si, _EXPONENT.si)


@figure(AIR_PRESSURE, title="Air pressure at the site", unit="psia", reads=("event",))
def site_air_pressure(ctx: Context) -> Worked:
    elevation = ctx.spec("event").quantity("elevation")
    if not LOWEST <= elevation.si <= HIGHEST:
        raise Cannot(
            f"no air pressure can be given for {elevation.text}",
            elevation.at,
            "the site's height above sea level",
        )
    return air_pressure.work("air pressure at the site", elevation=elevation)
