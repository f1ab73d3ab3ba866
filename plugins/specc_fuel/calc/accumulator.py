"""An accumulator at rest and in a burst: what it holds, what comes out, and what comes out if it sticks open.

Areas here are effective ones: discharge coefficient times area. A burst is counted twice: gas kept at the
walls' temperature (isothermal) gives the most; gas that takes no heat from the walls (adiabatic) gives less.
"""

from __future__ import annotations

import math

from specc.dims import AbsolutePressure, Area, Duration, GaugePressure, Mass, MassFlow, Temperature, Volume
from specc.formulas.calculators import calculator
from specc.model.values import PRACTICE, Answer, Citation, Equation, Symbol
from specc_fuel.calc import checks, nozzle, vessel
from specc_fuel.calc.orifice import COMPARED_TO
from specc_fuel.calc.propane import compressibility, heat_capacity_ratio
from specc_fuel.calc.sources import CHOKED, LEMMON, M_PROPANE, NOZZLE, R_PAPER, REAL_GAS, STANDARD_AIR

BLOWDOWN = Citation("aefarrell-blowdown", "blowdown of an ideal gas: choked, adiabatic and isothermal", "read")
FURTHER = "above 250 psig this form was not compared with the real gas"

_VOLUME = Symbol("V", "volume", "volume of the accumulator, with what is open to it")
_PRESSURE = Symbol("p", "gauge_pressure", "pressure in it, gauge")
_TEMPERATURE = Symbol("T", "temperature", "temperature of the gas in it")
_AREA = Symbol("A", "area", "effective outlet area: discharge coefficient times area")
_AMBIENT = Symbol("p_a", "absolute_pressure", "absolute pressure of the air")
_OPEN = Symbol("t", "duration", "time it is open")
_OPENED = (_VOLUME, _PRESSURE, _TEMPERATURE, _AREA, _OPEN, _AMBIENT)
_Z = Symbol("Z", "ratio", "compressibility at p and T")
_K = Symbol("k", "ratio", "ratio of specific heats of the ideal gas")
_M = Symbol("M", "amount_mass", "molar mass of propane")
_R = Symbol("R", "molar_heat", "gas constant")
_GAS = (("M", M_PROPANE), ("R", R_PAPER))
_CONTENT = Symbol("m_0", "mass", "gas in it at the start")
_TAU = Symbol("tau", "duration", "m_0 over the flow at the start, as in blowdown-time")

CONTENT = Equation(
    forms=(("", "m = V*(p + p_a)*M/(Z*R*T)"),),
    symbols=(_VOLUME, _PRESSURE, _TEMPERATURE, _AMBIENT, _Z, _M, _R, Symbol("m", "mass", "gas in it")),
    citations=(LEMMON,),
    validity=(
        "pure propane, all vapor, 150 K to 450 K, up to the saturation pressure; above that it holds liquid and"
        " is refused. Counts all gas, also what stays behind at the air's pressure"
    ),
    constants=_GAS,
)


@calculator("accumulator-content", CONTENT, symbols="V p T p_a", examples={"pressure": "60 psi"})
def accumulator_content(
    volume: Volume,
    pressure: GaugePressure,
    gas_temperature: Temperature,
    ambient: AbsolutePressure = STANDARD_AIR,
) -> Answer:
    """The propane vapor that a vessel holds.

    m = V (p + p_a) M / (Z R T), Z from the equation of state.

    volume: m3. pressure: Pa gauge. gas_temperature: K. ambient: Pa absolute. Returns kg; `also` holds Z.
    Validity: vapor, 150 to 450 K. Errors: ValueError for impossible inputs and above the saturation pressure.
    Source: Lemmon et al. 2009.

    5 gal at 60 psig and 70 °F hold 0.427 lb (computed with CoolProp for this tool):

    >>> held = accumulator_content(5 * 0.003785411784, 60 * 6894.757, 294.261).value
    >>> round(held / 0.45359237, 3)
    0.427
    """
    vessel.check_vessel(volume, pressure, ambient)
    absolute = pressure + ambient
    z = compressibility(gas_temperature, absolute).value
    mass = volume * absolute * M_PROPANE.si / (z * R_PAPER.si * gas_temperature)
    return Answer(mass, also=(("Z", z),))


IN_SERIES = Equation(
    forms=(
        (
            "",
            "~ the area A whose flow from p to the air is that of all the holes in a row, at rest between them; the"
            " pressures are counted back from the air, each flow as in area-flow with one Z for all",
        ),
    ),
    symbols=(
        Symbol("A_i", "area", "effective area of each hole, in the order of flow"),
        _PRESSURE,
        _TEMPERATURE,
        _AMBIENT,
        _K,
        _AREA,
    ),
    citations=(CHOKED, NOZZLE),
    validity=(
        "ideal gas at rest again between the holes: a smooth passage that keeps its speed passes more, up to the"
        " smallest hole alone. Falls as the pressure falls, so the area at the highest pressure gives the most gas"
    ),
)


@calculator("holes-in-series", IN_SERIES, symbols="A_i p T p_a", result="A", examples={"pressure": "60 psi"})
def holes_in_series(
    areas: tuple[Area, ...],
    pressure: GaugePressure,
    gas_temperature: Temperature,
    ambient: AbsolutePressure = STANDARD_AIR,
) -> Answer:
    """The one effective area that stands for a valve, a riser and a nozzle in a row.

    Solved: the flow whose pressures, counted back from the air hole by hole, come to p ahead of the first
    (`vessel.effective_area`). Never more than the smallest hole; 1/sqrt(sum(1/A_i^2)) at low pressure.

    areas: effective areas in the order of flow, m2. pressure: Pa gauge ahead of the first. gas_temperature: K,
    for k alone. ambient: Pa absolute. Returns m2; `also` holds k.
    Validity: see the equation's record. Errors: ValueError for no holes, and sizes or a pressure not above zero.
    Source: as `orifice_flow`.
    """
    k = heat_capacity_ratio(gas_temperature).value
    return Answer(vessel.effective_area(areas, pressure, k, ambient), also=(("k", k),))


TIME_CONSTANT = Equation(
    forms=(("", "tau = V/(A*sqrt(k*Z*R*T/M)*(2/(k + 1))**((k + 1)/(2*(k - 1))))"),),
    symbols=(_VOLUME, _PRESSURE, _TEMPERATURE, _AREA, _AMBIENT, _Z, _K, _M, _R, _TAU),
    citations=(BLOWDOWN, CHOKED),
    validity="choked flow at the start; below the choking pressure nothing is computed",
    constants=_GAS,
)


@calculator("blowdown-time", TIME_CONSTANT, symbols="V p T A p_a", unit="s", examples={"pressure": "60 psi"})
def blowdown_time(
    volume: Volume,
    pressure: GaugePressure,
    gas_temperature: Temperature,
    outlet_area: Area,
    ambient: AbsolutePressure = STANDARD_AIR,
) -> Answer:
    """How long the flow at the start would take to carry off all the gas: the time constant of a blowdown.

    tau = m_0/w_0 = V / (A sqrt(k Z R T / M) (2/(k+1))^((k+1)/(2(k-1)))).

    volume: m3. pressure: Pa gauge. gas_temperature: K. outlet_area: effective, m2. ambient: Pa absolute.
    Returns s; `also` holds Z and k. Validity: choked at the start.
    Errors: ValueError for impossible inputs, liquid, and a pressure too low to choke.
    Source: aefarrell.github.io, blowdown of ideal gases (its algebra); the choked flow from API 520 Part I.
    """
    vessel.check_vessel(volume, pressure, ambient)
    checks.above_zero("the outlet's effective area", outlet_area, "m²")
    gas = nozzle.propane_at(pressure + ambient, gas_temperature)
    if not nozzle.is_choked(pressure + ambient, pressure, gas.k):
        raise ValueError(
            f"at {pressure:.0f} Pa gauge the flow into the air is not choked: accumulator-burst covers that, this not"
        )
    content = volume * gas.rho
    flow = outlet_area * nozzle.flux(pressure + ambient, pressure, gas.rho, gas.k)
    return Answer(content / flow, also=(("Z", gas.z), ("k", gas.k)))


def _still_choked(left: float, ambient: float, k: float) -> None:
    if not nozzle.is_choked(left, left - ambient, k):
        raise ValueError(
            "the flow is no longer choked when it closes, and the closed form holds only while it is:"
            " accumulator-burst covers that"
        )


_BLOWDOWN_SYMBOLS = (
    *_OPENED,
    _CONTENT,
    _TAU,
    _K,
    Symbol("p_e", "gauge_pressure", "pressure left, gauge"),
    Symbol("m", "mass", "gas that comes out"),
)
_WHILE_CHOKED = (
    "ideal gas with the real density at the start, nothing flowing in, and only while the flow stays choked; past"
    " that nothing is computed. A check of accumulator-burst that can be followed by hand"
)

ISOTHERMAL = Equation(
    forms=(("", "m = m_0*(1 - exp(-t/tau))"),),
    symbols=_BLOWDOWN_SYMBOLS,
    citations=(BLOWDOWN,),
    validity=_WHILE_CHOKED,
)


@calculator("isothermal-blowdown", ISOTHERMAL, symbols="V p T A t p_a", examples={"pressure": "60 psi"})
def isothermal_blowdown(
    volume: Volume,
    pressure: GaugePressure,
    gas_temperature: Temperature,
    outlet_area: Area,
    open_time: Duration,
    ambient: AbsolutePressure = STANDARD_AIR,
) -> Answer:
    """The gas of a burst that stays choked, kept at the temperature of the walls: the closed form.

    m = m_0 (1 - exp(-t/tau)); p falls alike: p/p_0 = exp(-t/tau), absolute.

    Inputs as `blowdown_time`; open_time: s. Returns kg; `also` holds m_0 (kg), tau (s), k and p_e (Pa gauge).
    Validity: ideal gas, choked to the end. Errors: ValueError as `blowdown_time`, and if it does not stay choked.
    Source: aefarrell.github.io, blowdown of ideal gases.
    """
    checks.not_below_zero("the open time", open_time, "s")
    constant = blowdown_time(volume, pressure, gas_temperature, outlet_area, ambient)
    tau, k = constant.value, dict(constant.also)["k"]
    content = accumulator_content(volume, pressure, gas_temperature, ambient).value
    left = (pressure + ambient) * math.exp(-open_time / tau)
    _still_choked(left, ambient, k)
    mass = content * -math.expm1(-open_time / tau)
    return Answer(mass, also=(("m_0", content), ("tau", tau), ("k", k), ("p_e", left - ambient)))


ADIABATIC = Equation(
    forms=(("", "m = m_0*(1 - (1 + (k - 1)/2*t/tau)**(-2/(k - 1)))"),),
    symbols=_BLOWDOWN_SYMBOLS,
    citations=(BLOWDOWN,),
    validity=_WHILE_CHOKED,
)


@calculator("adiabatic-blowdown", ADIABATIC, symbols="V p T A t p_a", examples={"pressure": "60 psi"})
def adiabatic_blowdown(
    volume: Volume,
    pressure: GaugePressure,
    gas_temperature: Temperature,
    outlet_area: Area,
    open_time: Duration,
    ambient: AbsolutePressure = STANDARD_AIR,
) -> Answer:
    """The gas of a burst that stays choked and takes no heat from the walls: the closed form.

    m = m_0 (1 - (1 + (k-1)/2 t/tau)^(-2/(k-1))); p/p_0 = (1 + (k-1)/2 t/tau)^(-2k/(k-1)), absolute.

    Inputs, returns, validity, errors and source as `isothermal_blowdown`.
    """
    checks.not_below_zero("the open time", open_time, "s")
    constant = blowdown_time(volume, pressure, gas_temperature, outlet_area, ambient)
    tau, k = constant.value, dict(constant.also)["k"]
    content = accumulator_content(volume, pressure, gas_temperature, ambient).value
    log = math.log1p((k - 1) / 2 * open_time / tau)
    left = (pressure + ambient) * math.exp(-2 * k / (k - 1) * log)
    _still_choked(left, ambient, k)
    mass = content * -math.expm1(-2 / (k - 1) * log)
    return Answer(mass, also=(("m_0", content), ("tau", tau), ("k", k), ("p_e", left - ambient)))


BURST = Equation(
    forms=(
        (
            "",
            "~ V·drho/dt = -w(p, rho) from the start until it closes, w as in area-flow with C·A = A, choked then"
            " subsonic; the larger of p = p(rho, T) (isothermal, real gas) and p/rho^k constant (adiabatic, ideal gas)",
        ),
    ),
    symbols=(
        *_OPENED,
        Symbol("m_iso", "mass", "gas that comes out, isothermal"),
        Symbol("m_ad", "mass", "gas that comes out, adiabatic"),
        Symbol("w_0", "mass_flow", "flow at the start, the largest"),
        Symbol("w_m", "mass_flow", "mean flow while it is open: m over t"),
        Symbol("p_e", "gauge_pressure", "pressure left, isothermal, gauge"),
        Symbol("p_ad", "gauge_pressure", "pressure left at the moment of closing, adiabatic, gauge"),
        Symbol("m", "mass", "gas of the burst, the larger of the two"),
    ),
    citations=(BLOWDOWN, CHOKED, NOZZLE, LEMMON, REAL_GAS),
    validity=(
        "propane vapor in a rigid vessel, nothing flowing in (fed-burst counts that), open and shut at once. At the"
        " end the air's pressure is left. Against CoolProp's real gas, 30 to 200 psig: isothermal at most 4 % more and"
        " never less; adiabatic 1 % less to 3.3 % more. Liquid in the vessel is not covered: it gives far more gas"
    ),
)


@calculator("accumulator-burst", BURST, symbols="V p T A t p_a", result="m", examples={"pressure": "60 psi"})
def accumulator_burst(
    volume: Volume,
    pressure: GaugePressure,
    gas_temperature: Temperature,
    outlet_area: Area,
    open_time: Duration,
    ambient: AbsolutePressure = STANDARD_AIR,
) -> Answer:
    """The gas that a burst lets out of an accumulator: an upper bound while it is not refilled.

    V drho/dt = -A G, G as in `area_flow`; isothermal with the real gas's density at every pressure, and adiabatic
    as an ideal gas; the larger (always the isothermal one, as far as was found) is the value.

    volume: m3. pressure: Pa gauge at the start. gas_temperature: K. outlet_area: effective, m2; of several holes
    in a row, `holes_in_series`. open_time: s. ambient: Pa absolute. Returns kg; `also` holds m_iso, m_ad (kg), w_0
    and w_m (kg/s), p_e and p_ad (Pa gauge).
    Validity: see the equation's record; marked beyond above 250 psig. Less than 1 Pa gauge counts as empty.
    Errors: ValueError for impossible inputs, and where the gas would be liquid.
    Source: aefarrell.github.io, blowdown of ideal gases; flows and density as `orifice_flow`.
    """
    checks.not_below_zero("the open time", open_time, "s")
    most = vessel.emptying_isothermal(volume, pressure, gas_temperature, outlet_area, ambient)
    least = vessel.emptying_adiabatic(volume, pressure, gas_temperature, outlet_area, ambient)
    gas = nozzle.propane_at(pressure + ambient, gas_temperature)
    first = outlet_area * nozzle.flux(pressure + ambient, pressure, gas.rho, gas.k)
    warm, cold = most.gas(open_time), least.gas(open_time)
    value = max(warm, cold)
    also = (
        ("m_iso", warm),
        ("m_ad", cold),
        ("w_0", first),
        ("w_m", value / open_time if open_time > 0 else first),
        ("p_e", most.pressure_after(open_time, ambient)),
        ("p_ad", least.pressure_after(open_time, ambient)),
    )
    return Answer(value, beyond=FURTHER if pressure > COMPARED_TO else "", also=also)


STUCK_FLOW = Equation(
    forms=(("", "~ the flow that the feed lets in and the outlet lets out, both as in pressure-between"),),
    symbols=(
        Symbol("p_1", "gauge_pressure", "pressure upstream of the feed, gauge"),
        Symbol("A_f", "area", "effective area of the feed"),
        Symbol("A", "area", "effective outlet area that sticks open"),
        _TEMPERATURE,
        _AMBIENT,
        Symbol("p_b", "gauge_pressure", "pressure that stays in the accumulator"),
        Symbol("w", "mass_flow", "steady flow"),
    ),
    citations=(CHOKED, NOZZLE, LEMMON, REAL_GAS),
    validity="steady flow after the content is gone, for as long as the supply is open and holds its pressure",
)


@calculator("stuck-open-flow", STUCK_FLOW, symbols="p_1 A_f A T p_a", result="w")
def stuck_open_flow(
    supply: GaugePressure,
    feed_area: Area,
    outlet_area: Area,
    gas_temperature: Temperature,
    ambient: AbsolutePressure = STANDARD_AIR,
) -> Answer:
    """The steady flow from an accumulator whose outlet stays open, fed through its regulator or feed.

    Solved: w(p_1 to p_b, A_f) = w(p_b to the air, A) (`nozzle.pressure_between`).

    supply: Pa gauge. areas: effective, m2. gas_temperature: K. ambient: Pa absolute. Returns kg/s; `also` holds
    p_b (Pa gauge). Validity: steady; marked beyond above 250 psig. Errors: ValueError for impossible inputs;
    ArithmeticError if the flows do not come to agree. Source: as `orifice_flow`.
    """
    found = nozzle.pressure_between(supply, feed_area, outlet_area, gas_temperature, ambient)
    return Answer(found.flow, beyond=FURTHER if supply > COMPARED_TO else "", also=(("p_b", found.pressure),))


STUCK_GAS = Equation(
    forms=(("", "m = m_0 + w_f*t_r"),),
    symbols=(
        _CONTENT,
        Symbol("w_f", "mass_flow", "most the feed can bring: regulator wide open, into the open air"),
        Symbol("t_r", "duration", "time until somebody has closed the supply"),
        Symbol("m", "mass", "most gas that comes out"),
    ),
    citations=(PRACTICE,),
    validity="a bound: the whole content counts, also what would stay behind at the air's pressure",
)


@calculator("stuck-open-gas", STUCK_GAS, symbols="m_0 w_f t_r", examples={"content": "0.4 lb"})
def stuck_open_gas(content: Mass, feed_flow: MassFlow, reaction_time: Duration) -> Mass:
    """The most gas that comes out when an outlet sticks open until the supply is closed.

    m = m_0 + w_f t_r: the whole content, and what the feed brings meanwhile.

    content: kg, from `accumulator_content`. feed_flow: kg/s, from `area_flow` of the feed at the highest supply
    pressure into the air. reaction_time: s. Returns kg.
    Validity: an upper bound; gas in the line ahead of the valve that is closed comes on top.
    Errors: ValueError for inputs below zero. Source: arithmetic, none needed.
    """
    checks.not_below_zero("the content", content, "kg")
    checks.not_below_zero("the feed's flow", feed_flow, "kg/s")
    checks.not_below_zero("the reaction time", reaction_time, "s")
    return content + feed_flow * reaction_time


RELEASED = Equation(
    forms=(("", "m = sum(m_0) + min(w_f*t_r, sum(m_c))"),),
    symbols=(
        _CONTENT,
        Symbol("w_f", "mass_flow", "gas that goes on as long as nobody acts"),
        Symbol("t_r", "duration", "time until somebody has closed it"),
        Symbol("m_c", "mass", "propane in each cylinder that feeds it, when full"),
        Symbol("m", "mass", "most gas that comes out"),
    ),
    citations=(PRACTICE,),
    validity="a bound: the flow does not fall as a store empties or a cylinder cools. Gas in the lines is not counted",
)


@calculator(
    "released-gas",
    RELEASED,
    symbols="m_0 w_f t_r m_c",
    bench=False,
    examples={"contents": "0.4 lb", "flow": "40 lb/h", "time": "5 min", "cylinders": "20 lb"},
)
def released_gas(contents: tuple[Mass, ...], flow: MassFlow, time: Duration, cylinders: tuple[Mass, ...]) -> Mass:
    """The most gas that a fault lets out: what accumulators hold, and what cylinders feed, never more than is in them.

    m = sum(m_0) + min(w_f t_r, sum(m_c)).

    contents: kg each, from `accumulator_content`. flow: kg/s. time: s. cylinders: kg each, full. Returns kg.
    Validity: an upper bound; the gas in the lines is left out. Errors: ValueError for inputs below zero. Source:
    arithmetic, none needed.

    A hose that parts lets out 270 lb/h: in five minutes 22.5 lb, but no more than the 20 lb that are there.

    >>> round(released_gas((), 270 * 0.45359237 / 3600, 300.0, (20 * 0.45359237,)) / 0.45359237, 2)
    20.0
    """
    for mass in (*contents, *cylinders):
        checks.not_below_zero("what is held", mass, "kg")
    checks.not_below_zero("the flow", flow, "kg/s")
    checks.not_below_zero("the time", time, "s")
    return sum(contents) + min(flow * time, sum(cylinders))
