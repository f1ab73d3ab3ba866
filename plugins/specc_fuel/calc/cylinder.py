"""Cylinders: their pressure, how much gas they boil off, how long they last, how many are needed.

Heat for boiling comes through the wetted wall from the air. The trade's rule for that (diameter x length x K)
was made for ASME tanks, and nothing was found published for a 20 lb cylinder. Using the rule for small
cylinders is this tool's assumption, and the answer is marked so.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from specc.dims import (
    AbsolutePressure,
    Count,
    Duration,
    Length,
    Mass,
    MassFlow,
    Power,
    Ratio,
    Temperature,
)
from specc.formulas.calculators import calculator
from specc.model.values import CHOICE, PRACTICE, Answer, Citation, Equation, Symbol
from specc_fuel.calc import checks
from specc_fuel.calc.heat import COMBUSTION, MASS, NIST_COMBUSTION, NIST_MASS, gross_heating_value
from specc_fuel.calc.propane import vapor_pressure
from specc_fuel.calc.sources import LEMMON, STANDARD_AIR

BTU_PER_HOUR = 0.29307107017222  # W, International Table Btu
INCH = 0.0254

_T_L = Symbol("T_l", "temperature", "temperature of the liquid")

CYLINDER_PRESSURE = Equation(
    forms=(("", "p = p_s - p_a"),),
    symbols=(
        _T_L,
        Symbol("p_a", "absolute_pressure", "absolute pressure of the air"),
        Symbol("p_s", "absolute_pressure", "saturation pressure at T_l, solved from the equation of state"),
        Symbol("p", "gauge_pressure", "pressure in the cylinder, gauge"),
    ),
    citations=(LEMMON,),
    validity=(
        "pure propane with liquid present, 150 K to 360 K. Commercial propane may stand about 13 to 15 %"
        " higher (gauge), by handbook. A cylinder being drawn from is colder than the air, one in the sun"
        " warmer"
    ),
)


@calculator("cylinder-pressure", CYLINDER_PRESSURE, symbols="T_l p_a")
def cylinder_pressure(liquid_temperature: Temperature, ambient: AbsolutePressure = STANDARD_AIR) -> Answer:
    """The gauge pressure in a cylinder that holds liquid propane.

    p = p_s(T_l) - p_a.

    liquid_temperature: K. ambient: the air, Pa absolute. Returns Pa gauge; `also` holds p_s (Pa absolute).
    Validity: pure propane, 150 to 360 K; marked beyond where it comes out below the air's pressure, since no
    gas then leaves the cylinder. Errors: ValueError outside the temperatures. Source: Lemmon et al. 2009.
    """
    checks.above_zero("the air's absolute pressure", ambient, "Pa")
    saturation = vapor_pressure(liquid_temperature)
    beyond = "the liquid is too cold to boil: no gas leaves the cylinder" if saturation <= ambient else ""
    return Answer(saturation - ambient, beyond=beyond, also=(("p_s", saturation),))


# The trade's rule, heat in Btu/h with D and L in inches. Widely reprinted; no first source was read.
DLK = Citation("lp-gas-dlk-rule", "vaporization by diameter, length and K; K by percent full", "reprint")
DLK_AIR = Citation("lp-gas-dlk-rule", "multipliers for air temperature", "reprint")
DLK_LENGTH = Citation("lp-gas-dlk-rule", "L is the overall length", "memory")
# K in Btu/h per square inch, by percent of liquid.
_K_ROWS = ((10.0, 45.0), (20.0, 60.0), (30.0, 70.0), (40.0, 80.0), (50.0, 90.0), (60.0, 100.0))
# Multiplier on the figure for 0 °F air, by air temperature in degF.
_AIR_ROWS = ((-20.0, 0.125), (-15.0, 0.25), (-10.0, 0.5), (-5.0, 0.75), (0.0, 1.0), (10.0, 1.5), (20.0, 2.0))
# The smallest container for which a published figure agrees with the rule: an 84 lb tank, 550 square inches.
_SMALLEST = 550.0

VAPORIZATION = Equation(
    forms=(("", "Q = D*L*K*f"),),
    symbols=(
        Symbol("D", "length", "outside diameter"),
        Symbol("L", "length", "overall length"),
        Symbol("v", "ratio", "how full of liquid, by volume"),
        Symbol("T", "temperature", "air temperature"),
        Symbol("K", "heat_flux", "rule's factor for how full it is (trade unit BTU/h per square inch)"),
        Symbol("f", "ratio", "rule's multiplier for the air temperature"),
        Symbol("Q", "power", "gas boiled off, as heat it burns to (the trade counts gross)"),
    ),
    citations=(DLK, DLK_AIR, DLK_LENGTH, CHOICE),
    validity=(
        "trade rule for ASME tanks, the liquid let cool to -20 °F. Linear between the rows. Above 60 % full"
        " and above 20 °F the last row is kept; below 10 % full it falls to nothing at 0 %; below -20 °F it"
        " is nothing. Not published for 20 lb cylinders: using it below 550 square inches of D·L is this"
        " tool's assumption"
    ),
)


@calculator("vaporization", VAPORIZATION, symbols="D L v T", examples={"diameter": "24 in", "length": "68 in"})
def vaporization(diameter: Length, length: Length, filled: Ratio, air_temperature: Temperature) -> Answer:
    """How much gas a tank or cylinder boils off for as long as wanted, by the trade's rule.

    Q = D L K f, K by how full, f by air temperature; linear between the published rows.

    diameter, length: m, outside. filled: liquid by volume, 0 to 1. air_temperature: K. Returns W, as gross
    heat of the gas; `also` holds K (W/m2) and f.
    Validity: K from 10 to 60 % full, f from -20 to 20 °F, tanks of 550 in2 (D times L) and up. Outside, the
    answer is marked beyond and never raised: K and f are kept at the last row above, and fall to zero below.
    Errors: ValueError for sizes not above zero, a fill outside 0 to 1 and no temperature.
    Source: LP-gas trade rule, widely reprinted, no first source read; that L is the overall length: memory.

    A 24 by 68 in tank, 40 % full, in 10 °F air:

    >>> round(vaporization(24 * 0.0254, 68 * 0.0254, 0.40, 260.92777777777775).value / 0.29307107)
    195840
    """
    checks.above_zero("the diameter", diameter, "m")
    checks.above_zero("the length", length, "m")
    checks.fraction("how full it is", filled)
    checks.above_zero("the air temperature", air_temperature, "K")
    # Rounded so that 0 °F, carried through kelvin and back, meets its own row.
    percent = round(100 * filled, 9)
    fahrenheit = round(air_temperature * 1.8 - 459.67, 9)
    limits = []
    if percent > _K_ROWS[-1][0]:
        limits.append("more than 60 % full: K kept at its value for 60 %")
    if percent < _K_ROWS[0][0]:
        limits.append("less than 10 % full: K falls to nothing at 0 %")
    if fahrenheit > _AIR_ROWS[-1][0]:
        limits.append("air above 20 °F: multiplier kept at its value for 20 °F")
    if fahrenheit < _AIR_ROWS[0][0]:
        limits.append("air below -20 °F: nothing is counted on")
    if diameter * length / INCH**2 < _SMALLEST * (1 - 1e-9):
        limits.append("smaller than any tank the rule was checked with: this tool's assumption")
    factor = _between(((0.0, 0.0), *_K_ROWS), percent)
    multiplier = 0.0 if fahrenheit < _AIR_ROWS[0][0] else _between(_AIR_ROWS, fahrenheit)
    k = factor * BTU_PER_HOUR / INCH**2
    return Answer(diameter * length * k * multiplier, beyond="; ".join(limits), also=(("K", k), ("f", multiplier)))


def _between(rows: Sequence[tuple[float, float]], x: float) -> float:
    """Linear between rows that rise in x; the end rows' values outside."""
    if x <= rows[0][0]:
        return rows[0][1]
    for (x0, y0), (x1, y1) in pairwise(rows):
        if x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return rows[-1][1]


RUNTIME = Equation(
    forms=(("", "t = m/w"),),
    symbols=(
        Symbol("m", "mass", "gas that may be used"),
        Symbol("w", "mass_flow", "mean flow"),
        Symbol("t", "duration", "time it lasts"),
    ),
    citations=(PRACTICE,),
    validity="mean flow; says nothing of whether the cylinder boils off that much (see vaporization)",
)


@calculator("cylinder-runtime", RUNTIME, symbols="m w")
def cylinder_runtime(usable: Mass, flow: MassFlow) -> Duration:
    """How long an amount of gas lasts at a mean flow.

    t = m / w.

    usable: kg, after the reserve. flow: kg/s. Returns s. Validity: mean flow; a cylinder too cold to boil
    ends sooner. Errors: ValueError for a mass below zero or a flow not above zero. Source: arithmetic, none
    needed.
    """
    checks.not_below_zero("the usable gas", usable, "kg")
    checks.above_zero("the flow", flow, "kg/s")
    return usable / flow


# Room for the rounding of units: 40 lb out of two cylinders of 20 lb is two, not three.
_ROUNDING = 1e-9

CYLINDERS_NEEDED = Equation(
    forms=(("", "~ m/(m_c·(1 - x)), taken up to the next whole number"),),
    symbols=(
        Symbol("m", "mass", "gas to be used"),
        Symbol("m_c", "mass", "contents of one full cylinder"),
        Symbol("x", "ratio", "share left in each as reserve"),
        Symbol("n", "count", "cylinders"),
    ),
    citations=(PRACTICE,),
    validity="by mass alone; the number by boil-off may be larger",
)


@calculator("cylinders-needed", CYLINDERS_NEEDED, symbols="m m_c x", result="n")
def cylinders_needed(gas: Mass, contents: Mass, reserve: Ratio = 0.0) -> Count:
    """How many cylinders hold the gas to be used, with a reserve left in each.

    n = m / (m_c (1 - x)), taken up to a whole number.

    gas, contents (of one): kg. reserve: 0 up to, not with, 1. Returns a whole number. Validity: by mass
    alone.
    Errors: ValueError for impossible inputs. Source: arithmetic, none needed.

    >>> cylinders_needed(40.0, 20.0), cylinders_needed(40.0, 20.0, 0.2)
    (2.0, 3.0)
    """
    checks.not_below_zero("the gas to be used", gas, "kg")
    checks.above_zero("a cylinder's contents", contents, "kg")
    checks.fraction("the reserve", reserve)
    if reserve == 1:
        raise ValueError("a reserve of 100 % leaves nothing to use")
    return float(math.ceil(gas / (contents * (1 - reserve)) - _ROUNDING))


CYLINDERS_FOR_HEAT = Equation(
    forms=(("", "~ Q/Q_c, taken up to the next whole number"),),
    symbols=(
        Symbol("Q", "power", "heat rate to be supplied, gross"),
        Symbol("Q_c", "power", "what one cylinder boils off, as heat, gross"),
        Symbol("n", "count", "cylinders"),
    ),
    citations=(PRACTICE,),
    validity="cylinders alike and equally warm, drawn from together; the number by mass may be larger",
)


@calculator("cylinders-for-heat", CYLINDERS_FOR_HEAT, symbols="Q Q_c", result="n")
def cylinders_for_heat(heat: Power, each: Power) -> Count:
    """How many cylinders boil off enough gas for a heat rate.

    n = Q / Q_c, taken up to a whole number.

    heat, each: W, both gross. Returns a whole number. Validity: all alike and drawn from together. Errors:
    ValueError for a heat rate below zero or a cylinder that gives nothing. Source: arithmetic, none needed.
    """
    checks.not_below_zero("the heat rate", heat, "W")
    checks.above_zero("what one cylinder gives", each, "W")
    return float(math.ceil(heat / each - _ROUNDING))


CYLINDERS_FOR_SHOW = Equation(
    forms=(("", "~ the larger of Q·t/(H_c/M·m_c·(1 - x)) and Q/Q_c, each taken up to the next whole number"),),
    symbols=(
        Symbol("Q", "power", "heat rate to be supplied, gross"),
        Symbol("t", "duration", "time that it burns"),
        Symbol("m_c", "mass", "contents of one full cylinder"),
        Symbol("Q_c", "power", "what one cylinder boils off, as heat, gross"),
        Symbol("x", "ratio", "share left in each as reserve"),
        Symbol("H_c", "molar_energy", "heat of combustion at 25 °C, water condensed"),
        Symbol("M", "amount_mass", "molar mass of propane"),
        Symbol("n_m", "count", "cylinders by mass"),
        Symbol("n_b", "count", "cylinders by boil-off"),
        Symbol("n", "count", "cylinders"),
    ),
    citations=(PRACTICE, NIST_COMBUSTION, NIST_MASS),
    validity=(
        "cylinders alike and equally warm, drawn from together. What one boils off falls as it empties and cools: take"
        " it at the reserve level, in the coldest air (see vaporization)"
    ),
    constants=(("H_c", COMBUSTION), ("M", MASS)),
)


@calculator(
    "cylinders-for-show",
    CYLINDERS_FOR_SHOW,
    symbols="Q t m_c Q_c x",
    result="n",
    asked="btu hours how many tanks bottles",
    examples={"each": "40 kBTU/h", "time": "3 h"},
)
def cylinders_for_show(heat: Power, time: Duration, contents: Mass, each: Power, reserve: Ratio = 0.2) -> Answer:
    """How many cylinders a heat rate takes for a time, by the gas they hold and by what they boil off.

    The larger of `cylinders_needed` for the gas that burns and `cylinders_for_heat`.

    heat, each: W, gross; each is what one cylinder boils off. time: s. contents: kg of one. reserve: 0 up to, not
    with, 1; a fifth if not given (common practice, no published source). Returns a whole number; `also` holds both.
    Validity: all alike and drawn from together. Errors: ValueError as both. Source: arithmetic; NIST WebBook, ID
    C74986, for the heat.

    >>> cylinders_for_show(20e3, 3 * 3600.0, 9.07, 12e3).value
    2.0
    """
    checks.not_below_zero("the time", time, "s")
    by_mass = cylinders_needed(heat * time / gross_heating_value(), contents, reserve)
    by_heat = cylinders_for_heat(heat, each)
    return Answer(max(by_mass, by_heat), also=(("n_m", by_mass), ("n_b", by_heat)))


GAS_ON_SITE = Equation(
    forms=(("", "m = sum(m_c)"),),
    symbols=(
        Symbol("m_c", "mass", "contents of each cylinder, in use or stored"),
        Symbol("m", "mass", "gas on site"),
    ),
    citations=(PRACTICE,),
    validity="all cylinders on site, taken as full as the spec says",
)


@calculator("gas-on-site", GAS_ON_SITE, symbols="m_c", bench=False)
def gas_on_site(contents: tuple[Mass, ...]) -> Mass:
    """The mass of gas on the site, all cylinders together.

    m = sum of the contents.

    contents: kg each; none gives 0. Returns kg. Validity: as full as given. Errors: ValueError for contents
    below zero. Source: arithmetic, none needed.
    """
    for mass in contents:
        checks.not_below_zero("a cylinder's contents", mass, "kg")
    return float(sum(contents))
