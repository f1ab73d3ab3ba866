"""How long a flame is: the published forms, each with its range.

Heights are mean heights: where the flame stands half of the time. Its tip is seen at 1.3 to 1.5 times that.
Heat goes in net (LHV).
"""

from __future__ import annotations

import math

from specc.dims import AbsolutePressure, GaugePressure, Length, MassFlow, Power, Temperature
from specc.formulas.calculators import calculator
from specc.model.values import PRACTICE, Answer, Citation, Constant, Equation, Symbol
from specc_flame.calc import checks
from specc_flame.calc.sources import (
    DELICHATSIOS,
    GRAVITY,
    HESKESTAD,
    HESKESTAD_RANGE,
    STANDARD_AIR,
    USUAL_AIR,
)

_HEAT = Symbol("Q", "power", "heat rate, net; the equation counts it in kW")
_LENGTH = Symbol("L", "length", "mean flame length")
_KW = Symbol("q_1", "power", "1 kW")
_ONE_KW = Constant(1000.0, "power", "1 kW", Citation("nist-cor", "heat rates are in kW", "read"))

HEIGHT = Equation(
    forms=(("", "L = max(0*L_1, 0.235*L_1*(Q/q_1*max(1, p_0/p_a))**0.4 - 1.02*D)"),),
    symbols=(
        _HEAT,
        Symbol("D", "length", "diameter of the source; 0 counts it as a point"),
        Symbol("p_a", "absolute_pressure", "absolute pressure of the air"),
        Symbol("p_0", "absolute_pressure", "the same at sea level"),
        Symbol("L_1", "length", "1 m"),
        _KW,
        _LENGTH,
    ),
    citations=(HESKESTAD, HESKESTAD_RANGE),
    validity=(
        "flames that rise by their own heat, with 0.1 <= Q* <= 10,000, where Q* = Q/(ρ·c·T·√g·D^2.5) (computed for"
        " a source with a diameter); seven such forms differ by 15 % above Q* = 1, and by 65 % at 0.1. As a"
        " point the source gives the longest flame. Thin air makes a flame longer: by (p_0/p_a)^0.4, as Q* has it"
    ),
    constants=(
        ("p_0", Constant(STANDARD_AIR, "absolute_pressure", "101.325 kPa", HESKESTAD)),
        ("L_1", Constant(1.0, "length", "1 m", HESKESTAD)),
        ("q_1", _ONE_KW),
    ),
)


def heat_number(heat: float, diameter: float) -> float:
    """Q*: heat (W) against what a source of this diameter (m) can burn as a fire of its own draft."""
    return float(heat / (1.2 * 1000.0 * 293.0 * math.sqrt(GRAVITY) * diameter**2.5))


def buoyant(heat: float, diameter: float = 0.0, ambient: float = STANDARD_AIR) -> float:
    """Heskestad's mean height in m, from W, m and Pa absolute: never below zero."""
    thin = max(1.0, STANDARD_AIR / ambient)
    return max(0.0, float(0.235 * (heat / 1e3 * thin) ** 0.4) - 1.02 * diameter)


@calculator("flame-height", HEIGHT, symbols="Q D p_a", unit="ft")
def flame_height(heat: Power, diameter: Length = 0.0, ambient: AbsolutePressure = STANDARD_AIR) -> Answer:
    """The mean height of a flame that rises by its own heat.

    L = 0.235 Q^0.4 - 1.02 D, Q in kW, net.

    heat: W, net. diameter: m of the source; 0 for a jet, or as an upper bound. ambient: Pa absolute.
    Returns m, 0 where the form gives less. Validity: 0.1 <= Q* <= 10,000; an Answer marked beyond outside it.
    Errors: ValueError for a heat not above zero, a diameter below zero.
    Source: Heskestad, read in NIST's Correlation Guide. Its normalized curve (FDS Validation Guide) is a test.

    >>> round(flame_height(100e3, 0.3385).value, 3)
    1.137
    """
    checks.above_zero("a heat rate", heat, "W")
    checks.not_below_zero("a diameter", diameter, "m")
    checks.above_zero("the air's absolute pressure", ambient, "Pa")
    beyond = ""
    if diameter > 0:
        number = heat_number(heat, diameter)
        if not 0.1 <= number <= 1e4:
            beyond = f"Q* is {number:.3g}, and the form was fitted from 0.1 to 10,000"
    return Answer(buoyant(heat, diameter, ambient), "", beyond)


# Propane and air, as HyRAM+ has them: mass of fuel over mass of mixture at stoichiometry, and the rise of the
# adiabatic flame over the air, over the air's temperature.
STOICHIOMETRIC = Constant(0.0603, "ratio", "0.0603", Citation("hyram", "propane and air, a run of version 6.1", "read"))
HOTTEST = Constant(2235.0, "temperature", "2235 K", Citation("hyram", "propane and air, a run of version 6.1", "read"))
HEAT_RATIO = Constant(1.13, "ratio", "1.13", Citation("hyram", "propane at 20 °C", "memory"))
GAS_CONSTANT = 188.55  # J/(kg K), propane: 8.314463/0.0440956
AIR_CONSTANT = 287.05  # J/(kg K)

JET = Equation(
    forms=(
        ("buoyant to momentum", "L = 13.5*F**0.4/(1 + 0.07*F**2)**0.2*d*sqrt(s)/f_s"),
        ("momentum", "L = 23*d*sqrt(s)/f_s"),
    ),
    symbols=(
        Symbol("w", "mass_flow", "mass flow of one jet"),
        Symbol("p", "gauge_pressure", "gauge pressure at the jet"),
        Symbol("p_a", "absolute_pressure", "absolute pressure of the air"),
        Symbol("T", "temperature", "temperature of gas and air"),
        Symbol(
            "F", "ratio", "flame Froude number, u·f_s^1.5/((ρ_e/ρ_a)^0.25·√((T_f - T)/T·g·d)); above 5 momentum rules"
        ),
        Symbol("u", "speed", "speed of the jet, after expansion where it is choked"),
        Symbol("d", "length", "diameter of the jet at that speed and the air's pressure"),
        Symbol("s", "ratio", "density of the gas over that of air"),
        Symbol("f_s", "ratio", "mass fraction of fuel at stoichiometry"),
        Symbol("T_f", "temperature", "adiabatic flame temperature"),
        _LENGTH,
    ),
    citations=(DELICHATSIOS,),
    validity=(
        "round turbulent jets into still air, 15 to 30 °C. A choked jet is counted with the momentum of its own "
        "expansion. The two forms differ by 9 % where they meet (F = 5)"
    ),
    constants=(("f_s", STOICHIOMETRIC), ("T_f", HOTTEST)),
)


def jet_speed(pressure: float, ambient: float = STANDARD_AIR, temperature: float = USUAL_AIR) -> float:
    """How fast propane leaves a hole, m/s: isentropic; a choked jet with the push of its pressure added."""
    k, ahead = HEAT_RATIO.si, pressure + ambient
    critical = (2 / (k + 1)) ** (k / (k - 1))
    ratio = max(ambient / ahead, critical)
    warmth = -math.expm1((k - 1) / k * math.log(ratio)) if ambient / ahead < 1 else 0.0
    speed = math.sqrt(2 * k / (k - 1) * GAS_CONSTANT * temperature * warmth)
    if ambient / ahead >= critical:
        return speed
    throat_pressure, throat_temperature = critical * ahead, temperature * 2 / (k + 1)
    density = throat_pressure / (GAS_CONSTANT * throat_temperature)
    return float(speed + (throat_pressure - ambient) / (density * speed))


@calculator("jet-flame", JET, symbols="w p p_a T", unit="ft")
def jet_flame(
    flow: MassFlow,
    pressure: GaugePressure,
    ambient: AbsolutePressure = STANDARD_AIR,
    temperature: Temperature = USUAL_AIR,
) -> Answer:
    """The mean length of the flame of one round propane jet, from buoyant to momentum.

    L = L* d sqrt(rho_e/rho_a) / f_s, with L* = 13.5 F^0.4 / (1 + 0.07 F^2)^0.2 below F = 5, and 23 above.

    flow: kg/s of one jet. pressure: Pa gauge at the jet. ambient: Pa absolute. temperature: K, gas and air.
    Returns m. Validity: turbulent jets in still air. Errors: ValueError for a flow or pressure not above zero.
    Source: Delichatsios, Combustion and Flame 92 (1993), as coded in Sandia's HyRAM+ 6.1 (read there).
    Computed from that form by hand for a 3 mm hole at 0.4 psig: 0.983 m.

    >>> round(jet_flame(0.000717, 2758.0).value, 2)
    0.98
    """
    checks.above_zero("a flow", flow, "kg/s")
    checks.above_zero("a jet's pressure", pressure, "Pa gauge")
    checks.above_zero("the air's absolute pressure", ambient, "Pa")
    checks.above_zero("a temperature", temperature, "K")
    gas, air = ambient / (GAS_CONSTANT * temperature), ambient / (AIR_CONSTANT * temperature)
    speed = jet_speed(pressure, ambient, temperature)
    bore, share = math.sqrt(4 * flow / (math.pi * gas * speed)), STOICHIOMETRIC.si
    rise = (HOTTEST.si - temperature) / temperature
    froude = speed * share**1.5 / ((gas / air) ** 0.25 * math.sqrt(rise * GRAVITY * bore))
    length = 23.0 if froude >= 5 else 13.5 * froude**0.4 / (1 + 0.07 * froude**2) ** 0.2
    return Answer(
        length * bore * math.sqrt(gas / air) / share,
        "momentum" if froude >= 5 else "buoyant to momentum",
        "",
        (("F", froude), ("u", speed), ("d", bore), ("s", gas / air)),
    )


LINE = Equation(
    forms=(("", "L = 0.035*L_1*(Q*L_1/(l*q_1))**(2/3)"),),
    symbols=(
        _HEAT,
        Symbol("l", "length", "length of the slit, row or ring's circumference"),
        Symbol("L_1", "length", "1 m"),
        _KW,
        _LENGTH,
    ),
    citations=(Citation("yuan-cox-1996", "line fires, mean flame height", "memory"),),
    validity="free line sources at least three flame lengths long; shorter ones burn as one flame",
    constants=(("L_1", Constant(1.0, "length", "1 m", PRACTICE)), ("q_1", _ONE_KW)),
)


def along_a_line(heat: float, length: float) -> float:
    """The line form, m, from W and m."""
    return float(0.035 * (heat / 1e3 / length) ** (2 / 3))


@calculator("line-flame", LINE, symbols="Q l", unit="ft")
def line_flame(heat: Power, length: Length) -> Answer:
    """The mean height of a flame along a line.

    L = 0.035 (Q/l)^(2/3), Q/l in kW/m, net.

    heat: W, net. length: m. Returns m. Validity: a line at least three flame lengths long; an Answer marked beyond
    otherwise. Errors: ValueError for a heat or length not above zero.
    Source: Yuan and Cox, Fire Safety Journal 27 (1996) (coefficient from memory).
    """
    checks.above_zero("a heat rate", heat, "W")
    checks.above_zero("a length", length, "m")
    height = along_a_line(heat, length)
    beyond = ""
    if length < 3 * height:
        beyond = f"the line is {length / height:.2g} flame lengths long, and the form wants three"
    return Answer(height, "", beyond)
