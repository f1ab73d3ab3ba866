"""Properties of pure propane: vapor pressure, densities, latent heat, compressibility, heat capacity.

Sold propane holds some propene, ethane and butane. Ethane raises the pressure (a handbook's commercial
propane stands about 13 to 15 % above this), butane lowers it and makes the gas condense sooner. Nothing here
knows the blend in a given cylinder; the packet has to say so.
"""

from __future__ import annotations

import math

from specc.dims import AbsolutePressure, Density, Temperature
from specc.formulas.calculators import calculator
from specc.model.values import Answer, Equation, Symbol
from specc_fuel.calc import state
from specc_fuel.calc.sources import LEMMON, LEMMON_CP0, M_PROPANE, R_PAPER

_GAS = (("M", M_PROPANE), ("R", R_PAPER))
_M = Symbol("M", "amount_mass", "molar mass of propane")
_R = Symbol("R", "molar_heat", "gas constant of the equation of state")
_T = Symbol("T", "temperature", "temperature")
_SATURATED = (
    "pure propane, 150 K to 360 K (-190 °F to 188 °F); outside it nothing is computed. Commercial propane"
    " differs: handbook pressures stand about 13 to 15 % higher"
)
_VAPOR = (
    "pure propane vapor, 150 K to 450 K, up to the saturation pressure (up to 3.5 MPa above 360 K);"
    " outside it nothing is computed"
)

VAPOR_PRESSURE = Equation(
    forms=(
        (
            "",
            "~ the pressure at which liquid and vapor, by the equation of state, have the same pressure and"
            " the same Gibbs energy",
        ),
    ),
    symbols=(_T, Symbol("p_s", "absolute_pressure", "saturation pressure")),
    citations=(LEMMON,),
    validity=_SATURATED,
)


@calculator("vapor-pressure", VAPOR_PRESSURE, symbols="T", result="p_s")
def vapor_pressure(temperature: Temperature) -> AbsolutePressure:
    """The pressure at which liquid propane and its vapor are in balance.

    Solved from the equation of state (`state.saturation`), no fitted ancillary.

    temperature: of the liquid's surface, K. Returns Pa absolute.
    Validity: pure propane, 150 to 360 K. Errors: ValueError outside.
    Source: Lemmon, McLinden and Wagner 2009 (stated uncertainty 0.02 % above 180 K).

    At the normal boiling point, 231.1 K within 0.2 K in the NIST WebBook, it is one atmosphere:

    >>> round(vapor_pressure(231.1) / 101325, 2)
    1.0
    """
    return state.saturation(temperature).pressure


COMPRESSIBILITY = Equation(
    forms=(("", "Z = p*M/(rho*R*T)"),),
    symbols=(
        _T,
        Symbol("p", "absolute_pressure", "pressure"),
        Symbol("rho", "density", "density of the vapor, solved from the equation of state"),
        _M,
        _R,
        Symbol("Z", "ratio", "compressibility"),
    ),
    citations=(LEMMON,),
    validity=_VAPOR,
    constants=_GAS,
)


@calculator("compressibility", COMPRESSIBILITY, symbols="T p")
def compressibility(temperature: Temperature, pressure: AbsolutePressure) -> Answer:
    """How far propane vapor is from an ideal gas: 1 is ideal, less is denser.

    Z = p M / (rho R T), with rho from the equation of state.

    temperature: K. pressure: Pa absolute. Returns Z, no unit; `also` holds rho in kg/m3.
    Validity: vapor, 150 to 450 K. Errors: ValueError outside, and above the saturation pressure.
    Source: Lemmon, McLinden and Wagner 2009.

    >>> round(compressibility(288.71, 101325.0).value, 3)
    0.982
    """
    rho = vapor_density_value(temperature, pressure)
    z = pressure * M_PROPANE.si / (rho * R_PAPER.si * temperature)
    return Answer(z, also=(("rho", rho),))


VAPOR_DENSITY = Equation(
    forms=(("", "rho = p*M/(Z*R*T)"),),
    symbols=(
        _T,
        Symbol("p", "absolute_pressure", "pressure"),
        Symbol("Z", "ratio", "compressibility, solved from the equation of state"),
        _M,
        _R,
        Symbol("rho", "density", "density of the vapor"),
    ),
    citations=(LEMMON,),
    validity=_VAPOR,
    constants=_GAS,
)


@calculator("vapor-density", VAPOR_DENSITY, symbols="T p")
def vapor_density(temperature: Temperature, pressure: AbsolutePressure) -> Answer:
    """The density of propane vapor at a temperature and an absolute pressure.

    rho = p M / (Z R T); rho is found by Newton steps on the equation of state, and Z follows.

    temperature: K. pressure: Pa absolute. Returns kg/m3; `also` holds Z.
    Validity: vapor, 150 to 450 K. Errors: ValueError outside, and above the saturation pressure;
    ArithmeticError if the steps do not settle.
    Source: Lemmon, McLinden and Wagner 2009 (stated uncertainty 0.01 to 0.03 % below 350 K).
    """
    rho = vapor_density_value(temperature, pressure)
    return Answer(rho, also=(("Z", pressure * M_PROPANE.si / (rho * R_PAPER.si * temperature)),))


LIQUID_DENSITY = Equation(
    forms=(("", "~ the density of the liquid in balance with its vapor, by the equation of state"),),
    symbols=(_T, Symbol("rho_l", "density", "density of the saturated liquid")),
    citations=(LEMMON,),
    validity=_SATURATED,
)


@calculator("liquid-density", LIQUID_DENSITY, symbols="T", result="rho_l")
def liquid_density(temperature: Temperature) -> Density:
    """The density of liquid propane under its own vapor.

    Solved from the equation of state (`state.saturation`).

    temperature: K. Returns kg/m3.
    Validity: pure propane, saturated, 150 to 360 K; liquid under more pressure is slightly denser.
    Errors: ValueError outside. Source: Lemmon, McLinden and Wagner 2009.
    """
    return state.saturation(temperature).liquid * state.CRITICAL_DENSITY * state.M


LATENT_HEAT = Equation(
    forms=(("", "h_fg = R*T/M*(H_v - H_l)"),),
    symbols=(
        _T,
        Symbol("H_v", "ratio", "residual enthalpy of the vapor over R·T, by the equation of state"),
        Symbol("H_l", "ratio", "residual enthalpy of the liquid over R·T, by the equation of state"),
        _M,
        _R,
        Symbol("h_fg", "specific_energy", "heat of vaporization"),
    ),
    citations=(LEMMON,),
    validity=_SATURATED,
    constants=_GAS,
)


@calculator("latent-heat", LATENT_HEAT, symbols="T")
def latent_heat(temperature: Temperature) -> Answer:
    """The heat that boiling liquid propane takes up.

    h_fg = (R T / M) (H_v - H_l): what the two phases hold alike at one temperature cancels.

    temperature: K. Returns J/kg; `also` holds H_v and H_l.
    Validity: pure propane, 150 to 360 K. Errors: ValueError outside.
    Source: Lemmon, McLinden and Wagner 2009.
    """
    both = state.saturation(temperature)
    t = state.CRITICAL_TEMPERATURE / temperature
    fl, fv = state.residual(both.liquid, t), state.residual(both.vapor, t)
    h_l = t * fl.a_t + both.liquid * fl.a_d
    h_v = t * fv.a_t + both.vapor * fv.a_d
    value = R_PAPER.si * temperature / M_PROPANE.si * (h_v - h_l)
    return Answer(value, also=(("H_v", h_v), ("H_l", h_l)))


IDEAL_HEAT_CAPACITY = Equation(
    forms=(("", "c_p = R/M*(4 + E_1 + E_2 + E_3 + E_4)"),),
    symbols=(
        _T,
        *(
            Symbol(f"E_{n}", "ratio", f"{v:g}·x²·exp(x)/(exp(x) - 1)² with x = {u:g}·369.89 K/T")
            for n, (v, u) in enumerate(state.EINSTEIN, 1)
        ),
        _M,
        _R,
        Symbol("c_p", "specific_heat", "specific heat of the ideal gas at constant pressure"),
    ),
    citations=(LEMMON_CP0,),
    validity="propane as an ideal gas, 150 K to 450 K; outside it nothing is computed",
    constants=_GAS,
)


@calculator("ideal-heat-capacity", IDEAL_HEAT_CAPACITY, symbols="T")
def ideal_heat_capacity(temperature: Temperature) -> Answer:
    """The specific heat of propane as an ideal gas, at constant pressure.

    c_p = (R/M) (4 + sum of v x^2 exp(x) / (exp(x) - 1)^2), x = u/T, four terms.

    temperature: K. Returns J/(kg K); `also` holds the four terms.
    Validity: 150 to 450 K. Errors: ValueError outside. Source: Lemmon, McLinden and Wagner 2009.
    """
    state.check_temperature(temperature, state.HOTTEST_GAS)
    terms = []
    for v, u in state.EINSTEIN:
        x = u * state.CRITICAL_TEMPERATURE / temperature
        terms.append(v * x * x * math.exp(x) / math.expm1(x) ** 2)
    one, two, three, four = terms
    value = R_PAPER.si / M_PROPANE.si * (4 + one + two + three + four)
    return Answer(value, also=(("E_1", one), ("E_2", two), ("E_3", three), ("E_4", four)))


HEAT_CAPACITY_RATIO = Equation(
    forms=(("", "k = c_p/(c_p - R/M)"),),
    symbols=(
        _T,
        Symbol("c_p", "specific_heat", "specific heat of the ideal gas at constant pressure"),
        _M,
        _R,
        Symbol("k", "ratio", "ratio of specific heats of the ideal gas"),
    ),
    citations=(LEMMON_CP0,),
    validity=(
        "propane as an ideal gas, 150 K to 450 K. Vapor near saturation has a higher ratio (1.18 to 1.41);"
        " that one does not belong into the ideal-gas flow equations"
    ),
    constants=_GAS,
)


@calculator("heat-capacity-ratio", HEAT_CAPACITY_RATIO, symbols="T")
def heat_capacity_ratio(temperature: Temperature) -> Answer:
    """The ratio of specific heats of propane as an ideal gas.

    k = c_p / (c_p - R/M).

    temperature: K. Returns k, no unit; `also` holds c_p.
    Validity: 150 to 450 K. Errors: ValueError outside. Source: Lemmon, McLinden and Wagner 2009.

    >>> round(heat_capacity_ratio(288.71).value, 3)
    1.132
    """
    cp = ideal_heat_capacity(temperature).value
    return Answer(cp / (cp - R_PAPER.si / M_PROPANE.si), also=(("c_p", cp),))


def vapor_density_value(temperature: float, pressure: float) -> float:
    """Density of the vapor in kg/m3, for other calculators. K and Pa absolute; ValueError as above."""
    return state.vapor_density(temperature, pressure) * state.CRITICAL_DENSITY * state.M


def boiling_point(pressure: float) -> float:
    """The temperature (K) at which propane's vapor pressure is `pressure` (Pa absolute), by halving: it rises
    steadily. Between 200 and 350 K; what lies outside gives the nearer end."""
    low, high = 200.0, 350.0
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if vapor_pressure(middle) < pressure else (low, middle)
    return (low + high) / 2
