"""Wind: the gust in a mean, what a gust presses, and how hard it pushes a shape.

A load is counted from the 3-second gust. A forecast's wind is a mean: its gust is half as much again, and presses more
than twice as hard.
"""

from __future__ import annotations

from specc.dims import Area, Force, Length, PressureDifference, Ratio, Speed
from specc.formulas.calculators import calculator
from specc.formulas.ranges import check_not_below_zero, check_positive
from specc.measure.units import FOOT, MILE, POUND_FORCE
from specc.model.values import Citation, Constant, Equation, Symbol

ASCE = Citation("asce-7-sheets", "velocity pressure q = 0.00256 Kz Kzt Kd V², and F = q G Cf A", "reprint")
EXPOSURE = Citation("asce-7-sheets", "Kz = 2.01 (z/zg)^(2/alpha), z at least 15 ft", "reprint")

_COEFFICIENT = Constant(
    0.00256 * POUND_FORCE / FOOT**2 / (MILE / 3600) ** 2, "density", "0.00256 lbf/ft² per mph²", ASCE
)
_LEAST = Constant(15 * FOOT, "length", "15 ft", EXPOSURE)

_SPEED = Symbol("V", "speed", "3-second gust")
_Q = Symbol("q", "pressure_difference", "pressure of the wind")

HEIGHT = Equation(
    forms=(("", "K = 2.01*(max(z, z_0)/z_g)**(2/alpha)"),),
    symbols=(
        Symbol("z", "length", "height above ground"),
        Symbol("z_0", "length", "least height that is told apart"),
        Symbol("z_g", "length", "height of the ground's influence"),
        Symbol("alpha", "ratio", "exponent of the terrain"),
        Symbol("K", "ratio", "factor for height and terrain"),
    ),
    citations=(EXPOSURE,),
    validity="terrain B 1,200 ft and 7; C 900 ft and 9.5; D 700 ft and 11.5; up to z_g. ASCE 7-22 differs slightly",
    constants=(("z_0", _LEAST),),
)
RISE = Equation(
    forms=(("", "K = max(z/h, 1)**(2/alpha)"),),
    symbols=(
        Symbol("z", "length", "height of the highest point above ground"),
        Symbol("h", "length", "height at which the wind is measured"),
        Symbol("alpha", "ratio", "exponent of the terrain"),
        Symbol("K", "ratio", "what the wind presses up there, over what it presses where it is measured"),
    ),
    citations=(EXPOSURE,),
    validity="open terrain, by the power of the factor for height; nothing is taken off below the measuring height",
)
PRESSURE = Equation(
    forms=(("", "q = c*K*K_t*K_d*V**2"),),
    symbols=(
        _SPEED,
        Symbol("K", "ratio", "factor for height and terrain"),
        Symbol("K_t", "ratio", "factor for hills"),
        Symbol("K_d", "ratio", "factor for direction"),
        Symbol("c", "density", "half the density of standard air"),
        _Q,
    ),
    citations=(ASCE,),
    validity="air at sea level; thinner air presses less",
    constants=(("c", _COEFFICIENT),),
)
FORCE = Equation(
    forms=(("", "F = q*G*C*A"),),
    symbols=(
        _Q,
        Symbol("G", "ratio", "gust effect factor"),
        Symbol("C", "ratio", "force coefficient of the shape"),
        Symbol("A", "area", "area that faces the wind"),
        Symbol("F", "force", "push of the wind"),
    ),
    citations=(ASCE,),
    validity="a stiff thing that does not sway with the gusts, of a plain shape, standing free",
)


@calculator("wind-height", HEIGHT, symbols="z z_g alpha")
def wind_height(height: Length, gradient: Length = 274.32, exponent: Ratio = 9.5) -> Ratio:
    """The factor for height above ground and terrain; open country (C) by default.

    K = 2.01 (max(z, 15 ft)/z_g)^(2/alpha). height, gradient: m. Returns the factor. Errors: ValueError for a height
    below 0 or above `gradient`. Source: ASCE 7, from design sheets.

    >>> round(wind_height(4.572), 3)
    0.849
    """
    check_not_below_zero(height=height)
    check_positive(gradient_height=gradient, exponent=exponent)
    if height > gradient:
        raise ValueError("the height is above the range of the formula")
    factor: float = 2.01 * (max(height, _LEAST.si) / gradient) ** (2 / exponent)
    return factor


@calculator("wind-rise", RISE, symbols="z h alpha")
def wind_rise(top: Length, measured: Length, exponent: Ratio = 9.5) -> Ratio:
    """How much harder the wind presses at the top of a thing than where it is measured.

    K = max(z/h, 1)^(2/alpha). top, measured: m above ground. Returns the factor, 1 or more. Errors: ValueError for
    a height of 0 or less. Source: the power law of ASCE 7's height factor, from design sheets.
    """
    check_positive(top=top, measuring_height=measured, exponent=exponent)
    factor: float = max(top / measured, 1.0) ** (2 / exponent)
    return factor


@calculator("wind-pressure", PRESSURE, symbols="V K K_t K_d", unit="lbf/ft²")
def wind_pressure(gust: Speed, height: Ratio = 1.0, hill: Ratio = 1.0, direction: Ratio = 1.0) -> PressureDifference:
    """What a gust presses on what stops it.

    q = 0.00256 K K_t K_d V^2 in lbf/ft2 and mph. gust: m/s. Returns Pa. Errors: ValueError for values below 0.
    Source: ASCE 7, from design sheets.

    40 mph press 4.10 lbf/ft2:

    >>> round(wind_pressure(40 * 0.44704) / 47.88026, 2)
    4.1
    """
    check_not_below_zero(wind=gust, height_factor=height, hill_factor=hill, direction_factor=direction)
    return _COEFFICIENT.si * height * hill * direction * gust**2


@calculator("wind-force", FORCE, symbols="q C A G", examples={"pressure": "4.1 lbf/ft²", "area": "6 ft²"})
def wind_force(pressure: PressureDifference, coefficient: Ratio, area: Area, gust_effect: Ratio = 0.85) -> Force:
    """The push of the wind on a shape.

    F = q G C A. pressure: Pa. coefficient: of the shape. area: m2. Returns N. Errors: ValueError for values below 0.
    Source: ASCE 7, from design sheets; 0.85 is its gust effect factor for stiff structures.
    """
    check_not_below_zero(pressure=pressure, coefficient=coefficient, area=area, gust_effect=gust_effect)
    return pressure * gust_effect * coefficient * area
