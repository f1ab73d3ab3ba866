"""Flow of gas through holes: a round orifice, an area of several holes or a slit, any gas, two in a row.

All stand on `nozzle.flux`. Gauge pressures go in; the air's absolute pressure is an input, since the
elevation of the event sets it.
"""

from __future__ import annotations

import math

from specc.dims import AbsolutePressure, Area, GaugePressure, Length, MolarMass, Power, Ratio, Temperature
from specc.formulas.calculators import calculator
from specc.model.values import Answer, Equation, Symbol
from specc_fuel.calc import checks, nozzle
from specc_fuel.calc.heat import COMBUSTION, NIST_COMBUSTION
from specc_fuel.calc.sources import (
    CHOKED,
    LEMMON,
    M_PROPANE,
    NOZZLE,
    R_CODATA,
    R_PAPER,
    REAL_GAS,
    STANDARD_AIR,
)

# The highest pressure for which the ideal-gas form was compared with the real gas.
COMPARED_TO = 1723689.0  # Pa gauge, 250 psi

_UPSTREAM = Symbol("p_1", "gauge_pressure", "upstream pressure, gauge")
_DOWNSTREAM = Symbol("p_2", "gauge_pressure", "downstream pressure, gauge")
_AMBIENT = Symbol("p_a", "absolute_pressure", "absolute pressure of the air")
_TEMPERATURE = Symbol("T", "temperature", "upstream gas temperature")
_DISCHARGE = Symbol("C", "ratio", "discharge coefficient")
_BORE = Symbol("d", "length", "bore")
_AREA = Symbol("A", "area", "area of all the holes together")
_Z = Symbol("Z", "ratio", "upstream compressibility")
_K = Symbol("k", "ratio", "ratio of specific heats of the ideal gas")
_M = Symbol("M", "amount_mass", "molar mass")
_R = Symbol("R", "molar_heat", "gas constant")
_RATIO = Symbol("r", "ratio", "absolute pressure behind the hole over that ahead, (p_2 + p_a)/(p_1 + p_a)")
_DENSITY = Symbol("rho", "density", "upstream density, (p_1 + p_a)·M/(Z·R·T)")
_FLOW = Symbol("w", "mass_flow", "mass flow")

_PROPANE_VALIDITY = (
    "propane vapor, from rest upstream. Above the real gas's largest isentropic flow at every"
    " pressure compared: by 0.4 to 2.7 % from 15 to 100 psig at 70 °F, by at most 6 % up to 250 psig between"
    " -40 and 140 °F. That is the safe side for gas burned, gas used and clearance, not for showing that"
    " enough gas arrives. Liquid, or pressure above saturation at the gas temperature: refused"
)


def _forms(opening: str) -> tuple[tuple[str, str], ...]:
    """The two regimes' texts. `opening` is the effective area, such as ``C*A``."""
    return (
        (
            "choked",
            f"w = {opening}*(p_1 + p_a)*sqrt(k*M/(Z*R*T))*(2/(k + 1))**((k + 1)/(2*(k - 1)))",
        ),
        (
            "subsonic",
            f"w = {opening}*(p_1 + p_a)*sqrt(2*k*M/((k - 1)*Z*R*T)*(r**(2/k) - r**((k + 1)/k)))",
        ),
    )


def _flow(
    area: float, upstream: float, downstream: float, ambient: float, gas: nozzle.GasAhead
) -> tuple[float, str, float]:
    """Flow in kg/s through an effective area in m2, the regime, and the pressure ratio r."""
    pressure, drop = upstream + ambient, upstream - downstream
    flow = area * nozzle.flux(pressure, drop, gas.rho, gas.k)
    choked = nozzle.is_choked(pressure, drop, gas.k)
    return flow, "choked" if choked else "subsonic", (downstream + ambient) / pressure


def _propane_flow(area: float, upstream: float, temperature: float, downstream: float, ambient: float) -> Answer:
    checks.downhill(upstream, downstream, ambient)
    gas = nozzle.propane_at(upstream + ambient, temperature)
    flow, regime, ratio = _flow(area, upstream, downstream, ambient, gas)
    beyond = ""
    if upstream > COMPARED_TO:
        beyond = "above 250 psig this form was not compared with the real gas"
    return Answer(flow, regime, beyond, (("Z", gas.z), ("k", gas.k), ("rho", gas.rho), ("r", ratio)))


_PROPANE_FLOW = (_UPSTREAM, _TEMPERATURE, _DISCHARGE, _DOWNSTREAM, _AMBIENT, _Z, _K, _DENSITY, _RATIO, _M, _R, _FLOW)

ORIFICE_FLOW = Equation(
    forms=_forms("C*pi*d**2/4"),
    symbols=(_BORE, *_PROPANE_FLOW),
    citations=(CHOKED, NOZZLE, LEMMON, REAL_GAS),
    validity=_PROPANE_VALIDITY,
    constants=(("M", M_PROPANE), ("R", R_PAPER)),
)


@calculator("orifice-flow", ORIFICE_FLOW, symbols="d p_1 T C p_2 p_a")
def orifice_flow(
    bore: Length,
    upstream: GaugePressure,
    gas_temperature: Temperature,
    discharge: Ratio,
    downstream: GaugePressure = 0.0,
    ambient: AbsolutePressure = STANDARD_AIR,
) -> Answer:
    """The flow of propane vapor through a round hole.

    Choked:   w = C A p sqrt(k M / (Z R T)) (2/(k+1))^((k+1)/(2(k-1)))
    Subsonic: w = C A p sqrt(2 k/(k-1) M / (Z R T) (r^(2/k) - r^((k+1)/k)))
    with A = pi d^2/4, p and r absolute. Z is the real gas's ahead of the hole, k the ideal gas's.

    bore: m. upstream, downstream: Pa gauge. gas_temperature: K, ahead of the hole. discharge: no unit, above
    0 and up to 1; orifice tables imply 0.79 to 0.93 for one and the same drill, so say which is used.
    ambient: Pa absolute. Returns kg/s; regime "choked" or "subsonic"; `also` holds Z, k, rho (kg/m3) and r.
    Validity: see the equation's record; marked beyond above 250 psig, where it was not compared.
    Errors: ValueError for a size not above zero, a discharge coefficient out of range, a pressure below a
    vacuum or below the one behind the hole, and where the gas would be liquid.
    Source: API 520 Part I (choked), Cengel and Cimbala chapter 12 (both); Z and k from Lemmon et al. 2009.

    A 1/16 in hole at 30 psig, 70 °F and C = 1 passes 13.30 lb/h by the real gas's isentropic flow; this form
    gives 0.8 % more:

    >>> flow = orifice_flow(0.0254 / 16, 30 * 6894.757, 294.261, 1.0)
    >>> round(flow.value / 0.45359237 * 3600, 1), flow.regime
    (13.4, 'choked')
    """
    checks.above_zero("the bore", bore, "m")
    checks.discharge(discharge)
    return _propane_flow(discharge * math.pi * bore**2 / 4, upstream, gas_temperature, downstream, ambient)


_HEAT = Symbol("Q_g", "power", "heat rate, gross")
_HEATING = Symbol("H_c", "molar_energy", "heat of combustion at 25 °C, water condensed")

_OF_HEAT = (_UPSTREAM, _TEMPERATURE, _DISCHARGE, _AMBIENT, _Z, _K, _DENSITY, _RATIO, _HEATING, _M, _R)

ORIFICE_HEAT = Equation(
    forms=tuple((regime, "Q_g = H_c/M*" + text.removeprefix("w = ")) for regime, text in _forms("C*pi*d**2/4")),
    symbols=(_BORE, *_OF_HEAT, _HEAT),
    citations=(CHOKED, NOZZLE, LEMMON, REAL_GAS, NIST_COMBUSTION),
    validity=_PROPANE_VALIDITY,
    constants=(("H_c", COMBUSTION), ("M", M_PROPANE), ("R", R_PAPER)),
)


@calculator("orifice-heat", ORIFICE_HEAT, symbols="d p_1 T C p_a", asked="btu jet drill", examples={"bore": "#60"})
def orifice_heat(
    bore: Length,
    upstream: GaugePressure,
    gas_temperature: Temperature,
    discharge: Ratio,
    ambient: AbsolutePressure = STANDARD_AIR,
) -> Answer:
    """The heat of the propane that a round hole lets into the open air.

    Q_g = w H_c / M, with w as in `orifice_flow`.

    bore: m. upstream: Pa gauge. gas_temperature: K. discharge: no unit, above 0 and up to 1. ambient: Pa absolute.
    Returns W, gross; `also` as `orifice_flow`. Validity and errors: as `orifice_flow`. Source: as `orifice_flow`;
    NIST WebBook, ID C74986, for the heat.
    """
    flow = orifice_flow(bore, upstream, gas_temperature, discharge, 0.0, ambient)
    return flow._replace(value=flow.value * COMBUSTION.si / M_PROPANE.si)


BORE_FOR_HEAT = Equation(
    forms=tuple(
        (regime, "d = sqrt(4*Q_g*M/(pi*H_c*" + text.removeprefix("w = ") + "))") for regime, text in _forms("C")
    ),
    symbols=(_HEAT, *_OF_HEAT, _BORE),
    citations=(CHOKED, NOZZLE, LEMMON, REAL_GAS, NIST_COMBUSTION),
    validity=_PROPANE_VALIDITY + ". Backward: a bore somewhat too small, for a flame no larger than asked",
    constants=(("H_c", COMBUSTION), ("M", M_PROPANE), ("R", R_PAPER)),
)


@calculator("bore-for-heat", BORE_FOR_HEAT, symbols="Q_g p_1 T C p_a", asked="btu orifice drill")
def bore_for_heat(
    heat: Power,
    upstream: GaugePressure,
    gas_temperature: Temperature,
    discharge: Ratio,
    ambient: AbsolutePressure = STANDARD_AIR,
) -> Answer:
    """The bore of a round hole that lets a heat's propane into the open air: `orifice-heat` backward.

    d = sqrt(4 Q_g M / (pi H_c C G)), G the flow per area of `orifice_flow`.

    heat: W, gross. upstream: Pa gauge. gas_temperature: K. discharge: no unit, above 0 and up to 1. ambient: Pa
    absolute. Returns m; regime and `also` as `orifice_flow`. Validity: as `orifice_flow`. Errors: ValueError for a
    heat rate or an upstream pressure not above zero, and as `orifice_flow`. Source: as `orifice_heat`.
    """
    checks.above_zero("the heat rate", heat, "W")
    checks.above_zero("the upstream pressure", upstream, "Pa gauge")
    unit = orifice_heat(1.0, upstream, gas_temperature, discharge, ambient)
    return unit._replace(value=math.sqrt(heat / unit.value))


AREA_FLOW = Equation(
    forms=_forms("C*A"),
    symbols=(_AREA, *_PROPANE_FLOW),
    citations=(CHOKED, NOZZLE, LEMMON, REAL_GAS),
    validity=_PROPANE_VALIDITY + ". All the holes see one pressure",
    constants=(("M", M_PROPANE), ("R", R_PAPER)),
)


@calculator("area-flow", AREA_FLOW, symbols="A p_1 T C p_2 p_a")
def area_flow(
    area: Area,
    upstream: GaugePressure,
    gas_temperature: Temperature,
    discharge: Ratio,
    downstream: GaugePressure = 0.0,
    ambient: AbsolutePressure = STANDARD_AIR,
) -> Answer:
    """The flow of propane vapor through a slit, or through several holes, by their total area.

    As `orifice_flow`, with the area in place of the bore.

    area: m2, all holes together. Other parameters, returns, validity, errors and source as `orifice_flow`.
    """
    checks.above_zero("the area", area, "m²")
    checks.discharge(discharge)
    return _propane_flow(discharge * area, upstream, gas_temperature, downstream, ambient)


GAS_ORIFICE_FLOW = Equation(
    forms=_forms("C*pi*d**2/4"),
    symbols=(
        _BORE,
        _UPSTREAM,
        _TEMPERATURE,
        _DISCHARGE,
        _K,
        _M,
        _Z,
        _DOWNSTREAM,
        _AMBIENT,
        _DENSITY,
        _RATIO,
        _R,
        _FLOW,
    ),
    citations=(CHOKED, NOZZLE),
    validity="a gas that stays a gas, from rest upstream; as right as the given Z and k",
    constants=(("R", R_CODATA),),
)


@calculator("gas-orifice-flow", GAS_ORIFICE_FLOW, symbols="d p_1 T C k M Z p_2 p_a")
def gas_orifice_flow(
    bore: Length,
    upstream: GaugePressure,
    gas_temperature: Temperature,
    discharge: Ratio,
    heat_ratio: Ratio,
    molar_mass: MolarMass,
    compressibility: Ratio = 1.0,
    downstream: GaugePressure = 0.0,
    ambient: AbsolutePressure = STANDARD_AIR,
) -> Answer:
    """The flow of any gas through a round hole, from its molar mass and ratio of specific heats.

    Equations as `orifice_flow`.

    bore: m. upstream, downstream: Pa gauge. gas_temperature: K. discharge, heat_ratio (above 1) and
    compressibility: no unit. molar_mass: kg/mol. ambient: Pa absolute. Returns kg/s; regime "choked" or
    "subsonic"; `also` holds rho (kg/m3) and r.
    Validity: as right as the given Z and k. Errors: ValueError for impossible inputs.
    Source: API 520 Part I; Cengel and Cimbala chapter 12.

    API 520 Part I's example: 24,270 kg/h need 3,699 mm2 at 670 kPa absolute, 348 K, C 0.975, k 1.11, M 51 and
    Z 0.90.

    >>> bore = (4 * 3699.0e-6 / 3.141592653589793) ** 0.5
    >>> flow = gas_orifice_flow(bore, 670e3 - 101325, 348.0, 0.975, 1.11, 0.051, 0.90)
    >>> round(flow.value * 3600, -1)
    24270.0
    """
    checks.above_zero("the bore", bore, "m")
    checks.discharge(discharge)
    checks.heat_ratio(heat_ratio)
    checks.above_zero("the molar mass", molar_mass, "kg/mol")
    checks.above_zero("the compressibility", compressibility, "")
    checks.above_zero("the gas temperature", gas_temperature, "K")
    checks.downhill(upstream, downstream, ambient)
    rho = (upstream + ambient) * molar_mass / (compressibility * R_CODATA.si * gas_temperature)
    gas = nozzle.GasAhead(rho, compressibility, heat_ratio)
    area = discharge * math.pi * bore**2 / 4
    flow, regime, ratio = _flow(area, upstream, downstream, ambient, gas)
    return Answer(flow, regime, also=(("rho", rho), ("r", ratio)))


CRITICAL_RATIO = Equation(
    forms=(("", "r_c = (2/(k + 1))**(k/(k - 1))"),),
    symbols=(_K, Symbol("r_c", "ratio", "absolute pressure in the throat over that ahead, when choked")),
    citations=(CHOKED, NOZZLE),
    validity="ideal gas",
)


@calculator("critical-pressure-ratio", CRITICAL_RATIO, symbols="k")
def critical_pressure_ratio(heat_ratio: Ratio) -> Ratio:
    """The ratio of absolute pressures below which the flow through a hole is choked.

    r_c = (2/(k+1))^(k/(k-1)).

    heat_ratio: k, no unit, above 1. Returns a ratio. Validity: ideal gas. Errors: ValueError for k not above
    1. Source: Cengel and Cimbala, Example 12-4 (1,400 kPa and k 1.289 give 766.81 kPa):

    >>> round(1400 * critical_pressure_ratio(1.289), 1)
    766.8
    """
    checks.heat_ratio(heat_ratio)
    return nozzle.critical_ratio(heat_ratio)


CHOKING_PRESSURE = Equation(
    forms=(("", "p_c = p_a*((2/(k + 1))**(-k/(k - 1)) - 1)"),),
    symbols=(_K, _AMBIENT, Symbol("p_c", "gauge_pressure", "lowest gauge pressure that chokes into the air")),
    citations=(CHOKED, NOZZLE),
    validity="ideal gas, flowing into the open air",
)


@calculator("choking-pressure", CHOKING_PRESSURE, symbols="k p_a")
def choking_pressure(heat_ratio: Ratio, ambient: AbsolutePressure = STANDARD_AIR) -> GaugePressure:
    """The gauge pressure above which the flow from a hole into the open air is choked.

    p_c = p_a (1/r_c - 1), r_c as `critical_pressure_ratio`.

    heat_ratio: k, no unit, above 1. ambient: Pa absolute. Returns Pa gauge. Validity: ideal gas. Errors:
    ValueError for impossible inputs. Source: as `critical_pressure_ratio`.
    """
    checks.heat_ratio(heat_ratio)
    checks.above_zero("the air's absolute pressure", ambient, "Pa")
    return ambient * (1 / nozzle.critical_ratio(heat_ratio) - 1)


PRESSURE_BETWEEN = Equation(
    forms=(
        (
            "",
            "~ the pressure p_b at which the feed lets in, from p_1 to p_b, the flow that the jets let out,"
            " from p_b to the air; both flows as in area-flow",
        ),
    ),
    symbols=(
        _UPSTREAM,
        Symbol("A_f", "area", "area of the feed"),
        Symbol("C_f", "ratio", "discharge coefficient of the feed"),
        Symbol("A_j", "area", "area of all the jets together, as open as assumed"),
        Symbol("C_j", "ratio", "discharge coefficient of the jets"),
        _TEMPERATURE,
        _AMBIENT,
        _FLOW,
        Symbol("e", "ratio", "how far the two flows still differ, over the flow"),
        Symbol("p_b", "gauge_pressure", "pressure between feed and jets"),
    ),
    citations=(CHOKED, NOZZLE, LEMMON, REAL_GAS),
    validity=(
        "steady flow, both holes at one gas temperature, no loss in pipes. Gas cools as it is throttled and a"
        " real gas flows less, so the true pressure between is lower: by 12 % at 110 psig and 17 % at 172"
        " psig in one section computed with CoolProp. Jets blocked more than assumed raise it"
    ),
)


@calculator("pressure-between", PRESSURE_BETWEEN, symbols="p_1 A_f C_f A_j C_j T p_a", result="p_b")
def pressure_between_holes(
    upstream: GaugePressure,
    feed_area: Area,
    feed_discharge: Ratio,
    jet_area: Area,
    jet_discharge: Ratio,
    gas_temperature: Temperature,
    ambient: AbsolutePressure = STANDARD_AIR,
) -> Answer:
    """The pressure in a burner section between its feed orifice and its jets.

    Solved: w(p_1 to p_b, C_f A_f) = w(p_b to air, C_j A_j), both as `area_flow` (`nozzle.pressure_between`).

    upstream: Pa gauge. areas: m2. discharges: no unit. gas_temperature: K, taken alike at both. ambient: Pa
    absolute. Returns Pa gauge; regime in words; `also` holds the flow w (kg/s) and the left-over e, at most
    1e-12. Validity: see the equation's record; marked beyond above 250 psig.
    Errors: ValueError for impossible inputs; ArithmeticError if the flows do not come to agree.
    Source: as `orifice_flow`.
    """
    checks.discharge(feed_discharge, "the feed's discharge coefficient")
    checks.discharge(jet_discharge, "the jets' discharge coefficient")
    checks.above_zero("the feed's area", feed_area, "m²")
    checks.above_zero("the jets' area", jet_area, "m²")
    found = nozzle.pressure_between(
        upstream, feed_discharge * feed_area, jet_discharge * jet_area, gas_temperature, ambient
    )
    regime = (
        f"feed {'choked' if found.feed_choked else 'subsonic'}, jets {'choked' if found.jets_choked else 'subsonic'}"
    )
    beyond = "above 250 psig this form was not compared with the real gas" if upstream > COMPARED_TO else ""
    return Answer(found.pressure, regime, beyond, (("w", found.flow), ("e", found.residual)))
