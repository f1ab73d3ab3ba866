"""How far wind lays a flame over, and how hard it pushes at a jet."""

from __future__ import annotations

import math

from specc.dims import Length, MassFlow, PressureDifference, Speed
from specc.formulas.calculators import calculator
from specc.model.values import Answer, Citation, Constant, Equation, Symbol
from specc_flame.calc import checks
from specc_flame.calc.sources import GRAVITY

AGA = Citation("nureg-1805", "chapter 5, tilt of flames in wind (American Gas Association)", "memory")
VAPOR = Constant(1.85, "density", "1.85 kg/m³", Citation("lemmon-2009", "propane vapor at 20 °C", "memory"))

TILT = Equation(
    forms=(
        ("upright", "~ θ = 0 where u* = u/(g·m″·D/ρ_v)^(1/3) is 1 or less; m″ = 4·w/(π·D²)"),
        ("leaning", "~ cos θ = 1/√u*, u* = u/(g·m″·D/ρ_v)^(1/3); m″ = 4·w/(π·D²)"),
    ),
    symbols=(
        Symbol("u", "speed", "wind"),
        Symbol("w", "mass_flow", "mass flow"),
        Symbol("D", "length", "diameter of the source"),
        Symbol("rho_v", "density", "density of the vapor"),
        Symbol("U", "ratio", "wind over the flame's own draft, u*"),
        Symbol("theta", "angle", "tilt from upright"),
    ),
    citations=(AGA,),
    validity="pool flames of low momentum, u* to about 5; small burners in wind are far outside",
    constants=(("rho_v", VAPOR),),
)


@calculator(
    "flame-tilt",
    TILT,
    symbols={"wind": "u", "flow": "w", "diameter": "D"},
    result="theta",
    dim="angle",
    unit="°",
    examples={"wind": "3 mph", "flow": "40 lb/h"},
)
def flame_tilt(wind: Speed, flow: MassFlow, diameter: Length) -> Answer:
    """How far from upright wind lays a flame of low momentum.

    cos(theta) = 1/sqrt(u*), u* = u/(g m'' D/rho_v)^(1/3), upright where u* <= 1.

    wind: m/s. flow: kg/s. diameter: m of the source. Returns rad. Validity: pool flames, u* to about 5; marked beyond
    above. Never used to shrink a distance. Errors: ValueError for a wind below zero, a flow or diameter not above it.
    Source: American Gas Association, in NUREG-1805 chapter 5 (from memory).

    >>> import math
    >>> round(math.degrees(flame_tilt(2.0, 0.099 * math.pi / 4, 1.0).value), 1)
    50.6
    """
    checks.not_below_zero("a wind", wind, "m/s")
    checks.above_zero("a flow", flow, "kg/s")
    checks.above_zero("a diameter", diameter, "m")
    per_area = 4 * flow / (math.pi * diameter**2)
    ratio = wind / (GRAVITY * per_area * diameter / VAPOR.si) ** (1 / 3)
    if ratio <= 1:
        return Answer(0.0, "upright", "", (("U", ratio),))
    beyond = f"u* is {ratio:.2g}; the flames measured had some 5 and less" if ratio > 5 else ""
    return Answer(math.acos(1 / math.sqrt(ratio)), "leaning", beyond, (("U", ratio),))


PUSH = Equation(
    forms=(("", "p = rho*u**2/2"),),
    symbols=(
        Symbol("u", "speed", "wind"),
        Symbol("rho", "density", "density of the air, 1.2 kg/m³"),
        Symbol("p", "pressure_difference", "pressure of the wind where it is stopped"),
    ),
    citations=(Citation("asce-7", "velocity pressure, q = 0.613·V² (here for air of 1.2 kg/m³)", "reprint"),),
    validity="steady wind; gusts push by the square of their own speed",
    constants=(("rho", Constant(1.2, "density", "1.2 kg/m³", Citation("nist-cor", "chapter on plumes, air", "read"))),),
)


@calculator("wind-stagnation", PUSH, symbols={"wind": "u"}, result="p", unit="Pa")
def wind_pressure(wind: Speed) -> PressureDifference:
    """The pressure of wind where something stops it.

    p = rho u^2 / 2.

    wind: m/s. Returns Pa. Validity: steady wind. Errors: ValueError for a wind below zero.
    Source: ASCE 7, velocity pressure (reprint). By hand: 15 mph, 27.0 Pa.

    >>> round(wind_pressure(6.7056), 1)
    27.0
    """
    checks.not_below_zero("a wind", wind, "m/s")
    return 0.6 * wind**2
