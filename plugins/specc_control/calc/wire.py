"""Wire: its area by gauge, its resistance warm, the voltage that is lost in it, and whether a fuse opens at its end.

Lengths are one way; `ways` is 2 for a pair that goes out and comes back. Handbooks differ in this, and half of the
mistakes with their formulas come from it.
"""

from __future__ import annotations

import math

from specc.dims import Area, Count, Current, Length, Ratio, Resistance, Temperature, Voltage
from specc.formulas.calculators import calculator
from specc.formulas.ranges import check_positive
from specc.model.values import Answer, Citation, Constant, Equation, Symbol
from specc_control.calc.sources import (
    AWG,
    COPPER,
    COPPER_CONSTANTS,
    COPPER_HEAT,
    OHM,
    RESISTIVITY,
    TWENTY,
    ZERO_POINT,
    check_temperature,
)

FREE_AIR = Citation("churchill-chu-cylinder", "level cylinder in still air, Ra up to 10^12", "reprint")
_SHINE = Constant(0.9, "ratio", "0.9, of plastic", Citation(basis="choice"))
_SIGMA = Constant(
    5.670374419e-8,
    "heat_flux",
    "5.670374419e-8 W/(m²·K⁴)",
    Citation("codata-2018", "Stefan-Boltzmann constant", "memory"),
)
_PRANDTL = 0.71  # of air
_SEA_LEVEL = 101325.0
UL_FUSE = Citation("ul-248-14-guide", "opens at 135 % in an hour, at 200 % in two minutes, up to 30 A", "reprint")
_FIRST = Constant(0.005 * 0.0254, "length", "0.005 in", AWG)

_CURRENT = Symbol("I", "current", "current")
_LENGTH = Symbol("L", "length", "length of the run, one way")
_AREA = Symbol("A", "area", "copper area of one conductor")
_WAYS = Symbol("n", "count", "conductors in the path: 2 out and back, 1 for one wire")
_WARM = Symbol("T", "temperature", "temperature of the copper")
_SPARE = Symbol("a", "ratio", "allowance over solid copper, for stranding and short measure")
_Z = Symbol("T_z", "temperature", "where copper's resistance would be zero")
_20 = Symbol("T_20", "temperature", "temperature that the resistivity holds at")
_RHO = Symbol("rho", "resistivity", "resistivity of copper at 20 °C")
_COPPER = (("rho", RESISTIVITY), *COPPER_CONSTANTS)
_VALID = "copper, direct current, -50 °C to 250 °C; joints, contacts and fuses add to it"

GAUGE = Equation(
    forms=(("", "A = pi/4*(d_36*92**((36 - g)/39))**2"),),
    symbols=(Symbol("g", "count", "gauge number, AWG"), Symbol("d_36", "length", "diameter of gauge 36"), _AREA),
    citations=(AWG,),
    validity="AWG 40 to 0000 (written -3); marine charts use SAE areas, up to 11 % less",
    constants=(("d_36", _FIRST),),
)
RESISTANCE = Equation(
    forms=(("", "R = a*rho*n*L/A*(T - T_z)/(T_20 - T_z)"),),
    symbols=(_LENGTH, _AREA, _WARM, _WAYS, _SPARE, _RHO, _Z, _20, Symbol("R", "resistance", "resistance of the run")),
    citations=(COPPER, COPPER_HEAT),
    validity=_VALID,
    constants=_COPPER,
)
DROP = Equation(
    forms=(("", "V = I*a*rho*n*L/A*(T - T_z)/(T_20 - T_z)"),),
    symbols=(_CURRENT, *RESISTANCE.symbols[:-1], Symbol("V", "voltage", "voltage lost in the run")),
    citations=(COPPER, COPPER_HEAT, OHM),
    validity=_VALID,
    constants=_COPPER,
)
SIZE = Equation(
    forms=(("", "A = I*a*rho*n*L/V*(T - T_z)/(T_20 - T_z)"),),
    symbols=(*(s for s in DROP.symbols if s.name != "A"), _AREA),
    citations=(COPPER, COPPER_HEAT, OHM),
    validity=_VALID + "; says nothing of how warm the wire gets, which may ask for a larger one",
    constants=_COPPER,
)
LOOP = Equation(
    forms=(("", "R = sum(R_n)"),),
    symbols=(
        Symbol("R_n", "resistance", "resistance of each run"),
        Symbol("R", "resistance", "resistance of the loop"),
    ),
    citations=(OHM,),
    validity="runs one after another; contacts and the supply's own resistance add to it",
)
CLEARS = Equation(
    forms=(("", "m = V/(R*F)"),),
    symbols=(
        Symbol("V", "voltage", "voltage of the supply"),
        Symbol("R", "resistance", "resistance of the whole loop to the far end and back, source included"),
        Symbol("F", "current", "rating of the fuse"),
        Symbol("m", "ratio", "current of a dead short at the far end, over the fuse's rating"),
    ),
    citations=(OHM, UL_FUSE),
    validity="a dead short; an arc or a bad short passes less, so a high ratio is no promise",
)
AMPACITY = Equation(
    forms=(
        (
            "",
            "I = b*sqrt(2*sqrt(pi*A)*(h*(T - T_a) + e*s*(T**4 - T_a**4))*A/(a*rho)*(T_20 - T_z)/(T - T_z))",
        ),
    ),
    symbols=(
        _AREA,
        Symbol("T", "temperature", "temperature that the insulation stands"),
        Symbol("T_a", "temperature", "air where it lies"),
        Symbol("b", "ratio", "share of it that a wire among others carries"),
        _SPARE,
        Symbol("e", "ratio", "emissivity of the surface"),
        Symbol("s", "heat_flux", "Stefan-Boltzmann constant, W/m² for each kelvin to the fourth"),
        Symbol(
            "h", "heat_flux", "what still air takes, W/m² for each kelvin, by Churchill and Chu for a level cylinder"
        ),
        *(_RHO, _Z, _20),
        Symbol("I", "current", "current that brings the copper to that temperature"),
    ),
    citations=(FREE_AIR, COPPER, COPPER_HEAT),
    validity="copper in still air at sea level, thinner air up to 3 % less. The larger surface of insulation is not "
    "counted, on the safe side; a wire under a rug, in foam or in the sun gets warmer",
    constants=(("e", _SHINE), ("s", _SIGMA), *_COPPER),
)


@calculator("wire-area", GAUGE, symbols="g")
def wire_area(gauge: Count) -> Area:
    """The copper area of a wire by its American gauge number.

    d = 0.005 in x 92^((36 - g)/39); A = pi d^2/4. gauge: the AWG number, -3 for 0000. Returns m2.
    Validity: -3 to 40. Errors: ValueError outside. Source: ASTM B258, from reprints.

    >>> round(wire_area(18) * 1e6, 3)
    0.823
    """
    if not -3 <= gauge <= 40:
        raise ValueError("AWG runs from 0000 (-3) to 40")
    diameter: float = _FIRST.si * 92.0 ** ((36.0 - gauge) / 39.0)
    return 3.141592653589793 / 4 * diameter**2


def _warmth(temperature: float) -> float:
    check_temperature(temperature)
    return (temperature - ZERO_POINT.si) / (TWENTY.si - ZERO_POINT.si)


@calculator("wire-resistance", RESISTANCE, symbols="L A T n a", examples={"length": "50 ft", "area": "0.00128 in²"})
def wire_resistance(
    length: Length, area: Area, temperature: Temperature = 293.15, ways: Count = 2.0, allowance: Ratio = 1.0
) -> Resistance:
    """The resistance of a run of copper wire, warm.

    R = a rho n L/A (T + 234.5)/(254.5), T in °C. length: m, one way. area: m2. temperature: K. ways: 2 out and back.
    allowance: 1 for solid copper. Returns ohm. Errors: ValueError for a length or area of 0 or less.
    Source: IEC 60028, from reprints.

    A thousand feet of 18 AWG at 20 °C have 6.385 ohm (a published wire table):

    >>> round(wire_resistance(304.8, wire_area(18), ways=1), 2)
    6.38
    """
    check_positive(length=length, wire_area=area, number_of_ways=ways, allowance=allowance)
    return allowance * RESISTIVITY.si * ways * length / area * _warmth(temperature)


@calculator("voltage-drop", DROP, symbols="I L A T n a", examples={"length": "50 ft", "area": "0.00128 in²"})
def voltage_drop(
    current: Current,
    length: Length,
    area: Area,
    temperature: Temperature = 293.15,
    ways: Count = 2.0,
    allowance: Ratio = 1.0,
) -> Voltage:
    """The voltage lost in a run of copper wire.

    V = I R, with R as in wire-resistance. current: A. length: m, one way. area: m2. temperature: K. Returns V.
    Errors: ValueError for a current below 0, a length or area of 0 or less. Source: Ohm's law; IEC 60028 reprints.

    1.5 A over 50 ft of 18 AWG and back:

    >>> round(voltage_drop(1.5, 15.24, wire_area(18)), 2)
    0.96
    """
    if current < 0:
        raise ValueError("a current cannot be below 0")
    return current * wire_resistance(length, area, temperature, ways, allowance)


@calculator("wire-size", SIZE, symbols="I L V T n a", examples={"length": "50 ft"})
def wire_size(
    current: Current,
    length: Length,
    drop: Voltage,
    temperature: Temperature = 293.15,
    ways: Count = 2.0,
    allowance: Ratio = 1.0,
) -> Area:
    """The least copper area for a voltage drop.

    A = I a rho n L/V (T + 234.5)/254.5. current: A. length: m, one way. drop: V. Returns m2.
    Errors: ValueError for values of 0 or less. Source: Ohm's law; IEC 60028 reprints.
    """
    check_positive(current=current, length=length, voltage_drop=drop, number_of_ways=ways, allowance=allowance)
    return current * allowance * RESISTIVITY.si * ways * length / drop * _warmth(temperature)


@calculator(
    "wire-ampacity",
    AMPACITY,
    symbols="A T T_a b a",
    unit="A",
    examples={"area": "0.00128 in²", "insulation": "221 °F", "air": "86 °F"},
)
def wire_ampacity(
    area: Area, insulation: Temperature, air: Temperature, bundled: Ratio = 1.0, allowance: Ratio = 1.0
) -> Answer:
    """The current that heats a copper wire to what its insulation stands.

    I = b sqrt(pi d (h (T - T_a) + e s (T^4 - T_a^4))/r), r = a rho/A (T + 234.5)/254.5 with T in °C, and
    h = k/d (0.60 + 0.387 Ra^(1/6)/(1 + (0.559/Pr)^(9/16))^(8/27))^2. area: m2 of copper. insulation, air: K.
    bundled: share that a wire among others carries; 1 alone. allowance: 1 for solid copper. Returns A. The surface is
    the copper's: what insulation adds to it is left out, which gives less. Errors: ValueError for an area or share of 0
    or less, or air as warm as the insulation stands. Source: Churchill and Chu, from a reprint; air by the standard
    atmosphere, from memory.

    A wire maker gives 25 A for 16 AWG alone, with insulation for 105 °C in air of 30 °C:

    >>> round(wire_ampacity(wire_area(16), 378.15, 303.15).value, 1)
    24.1
    """
    check_positive(wire_area=area, share=bundled, allowance=allowance)
    check_temperature(insulation, air)
    if air >= insulation:
        raise ValueError("the air is as warm as the insulation stands: no current is left for it")
    d = math.sqrt(4 * area / math.pi)
    mean = (insulation + air) / 2
    conductivity = 2.64638e-3 * mean**1.5 / (mean + 245.4 * 10 ** (-12 / mean))
    kinematic = 1.458e-6 * mean**1.5 / (mean + 110.4) * 287.05 * mean / _SEA_LEVEL
    rayleigh = 9.80665 / mean * (insulation - air) * d**3 / kinematic**2 * _PRANDTL
    nusselt = (0.60 + 0.387 * rayleigh ** (1 / 6) / (1 + (0.559 / _PRANDTL) ** (9 / 16)) ** (8 / 27)) ** 2
    taken = nusselt * conductivity / d
    flux = taken * (insulation - air) + _SHINE.si * _SIGMA.si * (insulation**4 - air**4)
    resistance = allowance * RESISTIVITY.si / area * _warmth(insulation)
    return Answer(bundled * math.sqrt(math.pi * d * flux / resistance), also=(("h", taken),))


@calculator("resistance-sum", LOOP, symbols="R_n", bench=False)
def resistance_sum(resistances: tuple[Resistance, ...]) -> Resistance:
    """The resistance of runs one after another.

    R = sum of the resistances. resistances: ohm. Returns ohm. Errors: ValueError for one below 0. Source: Ohm's law.
    """
    if any(r < 0 for r in resistances):
        raise ValueError("a resistance cannot be below 0")
    return sum(resistances)


@calculator("fuse-clears", CLEARS, symbols="V R F", examples={"resistance": "0.64 ohm"})
def fuse_clears(voltage: Voltage, resistance: Resistance, rating: Current) -> Ratio:
    """How many times a fuse's rating a short at the far end of its run passes.

    m = V/(R F). voltage: V. resistance: ohm, of the whole loop. rating: A. Returns the ratio: under 1.35 the fuse need
    not open at all, under 2 it may take longer than two minutes (UL 248-14, from a guide). Errors: ValueError for
    values of 0 or less.

    50 ft of 18 AWG pair on 12 V against a 15 A fuse:

    >>> round(fuse_clears(12.0, wire_resistance(15.24, wire_area(18)), 15.0), 2)
    1.25
    """
    check_positive(voltage=voltage, resistance=resistance, fuse_rating=rating)
    return voltage / (resistance * rating)
