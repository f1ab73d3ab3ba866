"""How far wind lays a flame over, how hard it pushes at a jet, and how fast a jet may be before it blows itself out."""

from __future__ import annotations

import math

from specc.dims import Length, MassFlow, PressureDifference, Speed
from specc.formulas.calculators import calculator
from specc.model.values import Answer, Citation, Constant, Equation, Symbol
from specc_flame.calc import checks
from specc_flame.calc.height import AIR_CONSTANT, GAS_CONSTANT, STOICHIOMETRIC
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
    "flame-tilt", TILT, symbols="u w D", result="theta", unit="°", examples={"wind": "3 mph", "flow": "40 lb/h"}
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


@calculator("wind-stagnation", PUSH, symbols="u", unit="Pa")
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


KALGHATGI = Citation("kalghatgi-1981", "blow-out of jet flames in still air, its universal curve", "memory")
BURNING = Constant(0.43, "speed", "0.43 m/s", Citation("kalghatgi-1981", "propane's burning velocity", "memory"))
# m2/s, propane vapor at 20 °C.
THICKNESS = Constant(4.5e-6, "ratio", "4.5e-6 m²/s", Citation("lemmon-2009", "propane vapor at 20 °C", "memory"))
_TURNS = 1 / 7e-6  # the Reynolds number at which the fitted parabola turns

BLOW_OUT = Equation(
    forms=(("", "u_b = 0.017*S_L*s**1.5*R*(1 - 3.5e-6*R)"),),
    symbols=(
        Symbol("d", "length", "width of the jet's hole"),
        Symbol("S_L", "speed", "burning velocity of the gas"),
        Symbol("nu", "ratio", "kinematic viscosity of the gas, m²/s"),
        Symbol("s", "ratio", "density of air over that of the gas"),
        Symbol("R", "ratio", "Reynolds number d·(4/√s/0.0603 - 5.8)·S_L/ν, held at 142,857 where the fit turns"),
        Symbol("u_b", "speed", "speed above which a bare jet blows its flame out"),
    ),
    citations=(KALGHATGI,),
    validity=(
        "one round jet slower than sound, in still air, with no pilot at it and no body behind it. Wind lowers it, and "
        "jets that stand close hold one another"
    ),
    constants=(("S_L", BURNING), ("nu", THICKNESS)),
)


@calculator("blow-out-speed", BLOW_OUT, symbols="d", unit="m/s", examples={"width": "1/16 in"})
def blow_out_speed(width: Length) -> Answer:
    """How fast a bare propane jet may leave its hole before its flame blows itself out.

    u_b = 0.017 S_L s^1.5 R (1 - 3.5e-6 R), R = d (4 s^-0.5/0.0603 - 5.8) S_L/nu.

    width: m of the hole. Returns m/s. Validity: one round jet slower than sound, in still air, unpiloted.
    Errors: ValueError for a width not above zero. Source: Kalghatgi (from memory). By hand: 1 mm, 28 m/s.

    >>> round(blow_out_speed(0.001).value)
    28
    """
    checks.above_zero("a hole's width", width, "m")
    lighter = GAS_CONSTANT / AIR_CONSTANT
    number = width * (4 / math.sqrt(lighter) / STOICHIOMETRIC.si - 5.8) * BURNING.si / THICKNESS.si
    beyond = "wider than the holes of the fit" if number > _TURNS else ""
    number = min(number, _TURNS)
    speed = 0.017 * BURNING.si * lighter**1.5 * number * (1 - 3.5e-6 * number)
    return Answer(speed, "", beyond, (("s", lighter), ("R", number)))
