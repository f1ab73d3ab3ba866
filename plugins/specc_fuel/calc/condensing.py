"""Gas that turns liquid on a cold wall: from which pressure on, how much, and what the liquid then does.

With cylinder and accumulator at one temperature the supply cannot stand above saturation. The danger is a warm
cylinder (afternoon sun, a water bath) that feeds a colder accumulator, hose or riser, at dawn above all. Liquid in
an accumulator comes out as liquid: some 270 times the gas in the same space.
"""

from __future__ import annotations

from specc.dims import (
    AbsolutePressure,
    GaugePressure,
    Mass,
    PressureDifference,
    Ratio,
    Temperature,
    TemperatureDifference,
    Volume,
)
from specc.formulas.calculators import calculator
from specc.model.values import CHOICE, PRACTICE, Answer, Citation, Equation, Symbol
from specc_fuel.calc import checks, mixture, propane, state, vessel
from specc_fuel.calc.mixture import BUECKER
from specc_fuel.calc.sources import LEMMON, M_PROPANE, STANDARD_AIR

RAOULT = Citation(
    "coolprop-8", "condensation pressures of propane with n-butane and isobutane, Helmholtz mixture", "computed"
)
COMPARED_SHARE = 0.10  # of butanes, by moles: the most that was compared

_WALL = Symbol("T_w", "temperature", "temperature of the coldest wall")
_AMBIENT = Symbol("p_a", "absolute_pressure", "absolute pressure of the air")
_N = Symbol("y_n", "ratio", "n-butane in the vapor, by moles")
_I = Symbol("y_i", "ratio", "isobutane in the vapor, by moles")
_BLEND = (_WALL, _N, _I)
_VOLUME = Symbol("V", "volume", "volume of the accumulator, with what is open to it")
_DEW = Symbol("p_d", "gauge_pressure", "condensation pressure, gauge")
_LOCK_UP = Symbol("p_l", "gauge_pressure", "lock-up pressure of the regulator, gauge")
_SUPPLY = Symbol("p_v", "gauge_pressure", "vapor pressure of the warmest supply, gauge")
_RHO_L = Symbol("rho_l", "density", "density of the saturated liquid")
_LIQUID = Symbol("m_l", "mass", "liquid")

DEW_PRESSURE = Equation(
    forms=(("", "p_d = 1/((1 - y_n - y_i)/p_p + y_n/p_n + y_i/p_i) - p_a"),),
    symbols=(
        *_BLEND,
        _AMBIENT,
        Symbol("p_p", "absolute_pressure", "vapor pressure of propane at T_w, from the equation of state"),
        Symbol("p_n", "absolute_pressure", "vapor pressure of n-butane at T_w"),
        Symbol("p_i", "absolute_pressure", "vapor pressure of isobutane at T_w"),
        _DEW,
    ),
    citations=(LEMMON, BUECKER, RAOULT),
    validity=(
        "Raoult's law, ideal vapor and liquid, 150 K to 360 K. Against CoolProp's mixtures, absolute, -40 to 130 °F"
        " and up to 10 % of butanes: from 2.7 % low to 0.3 % high; with n-butane alone always low, the safe side."
        " Heavier oils lower it further. Gas from the last of a cylinder holds more butane than from a full one"
    ),
)


@calculator("dew-pressure", DEW_PRESSURE, symbols="T_w y_n y_i p_a")
def dew_pressure(
    wall_temperature: Temperature,
    n_butane: Ratio = 0.0,
    isobutane: Ratio = 0.0,
    ambient: AbsolutePressure = STANDARD_AIR,
) -> Answer:
    """The gauge pressure above which propane vapor begins to condense on a wall.

    p_d = 1/((1 - y_n - y_i)/p_p + y_n/p_n + y_i/p_i) - p_a.

    wall_temperature: K, the coldest. n_butane, isobutane: of the vapor by moles; the rest counts as propane.
    ambient: Pa absolute. Returns Pa gauge; `also` holds p_p, p_n and p_i (Pa absolute).
    Validity: see the equation's record; marked beyond above 10 % of butanes, and where it lies below the air's
    pressure. Errors: ValueError outside 150 to 360 K, and for shares that are none.
    Source: Lemmon et al. 2009; Bücker and Wagner 2006; Raoult's law.

    At 40 °F: pure propane 63.9 psig, with 2.5 % n-butane 57.7 (computed with CoolProp for this tool):

    >>> wall = (40 + 459.67) / 1.8
    >>> round(dew_pressure(wall).value / 6894.757, 1), round(dew_pressure(wall, 0.025).value / 6894.757, 1)
    (63.9, 57.7)
    """
    checks.above_zero("the air's absolute pressure", ambient, "Pa")
    found = mixture.dew(wall_temperature, n_butane, isobutane)
    limits = []
    if n_butane + isobutane > COMPARED_SHARE * (1 + 1e-9):
        limits.append("more than 10 % of butanes: not compared with a real mixture")
    if found.pressure <= ambient:
        limits.append("the wall is so cold that gas condenses even at the air's pressure")
    also = (("p_p", found.propane), ("p_n", found.n_butane), ("p_i", found.isobutane))
    return Answer(found.pressure - ambient, beyond="; ".join(limits), also=also)


MARGIN = Equation(
    forms=(("", "p_m = p_d - min(p_l, p_v)"),),
    symbols=(
        _LOCK_UP,
        _SUPPLY,
        _DEW,
        Symbol("p_m", "pressure_difference", "margin to condensing; below zero it condenses"),
    ),
    citations=(PRACTICE,),
    validity=(
        "at rest: the supply reaches the lock-up pressure or, if that is less, its own vapor pressure. Take the"
        " supply at its hottest, where commercial propane stands above pure, and the wall at its coldest"
    ),
)


@calculator("condensation-margin", MARGIN, symbols="p_l p_v p_d")
def condenses(lock_up: GaugePressure, supply_pressure: GaugePressure, dew: GaugePressure) -> PressureDifference:
    """How far the highest lock-up pressure stays below the condensation pressure; below zero, gas condenses.

    p_m = p_d - min(p_l, p_v).

    lock_up: of the regulator, Pa gauge. supply_pressure: vapor pressure of the warmest supply, Pa gauge. dew: from
    `dew_pressure` at the coldest wall, Pa gauge. Returns Pa, below zero where gas condenses.
    Validity: at rest, regulator sound. Errors: ValueError for a lock-up below zero and for what is no number.
    Source: arithmetic, none needed.
    """
    checks.not_below_zero("the lock-up pressure", lock_up, "Pa")
    # Both may lie below the air's pressure in great cold, but not below a vacuum.
    for what, value in (("the supply's pressure", supply_pressure), ("the condensation pressure", dew)):
        if not abs(value) < float("inf"):
            raise ValueError(f"{what} is a number, not {value:g}")
    return dew - min(lock_up, supply_pressure)


HIGHEST = Equation(
    forms=(("", "p = p_d - p_m - p_r"),),
    symbols=(
        _DEW,
        Symbol("p_m", "pressure_difference", "margin that is kept"),
        Symbol("p_r", "pressure_difference", "how far lock-up stands above the set pressure"),
        Symbol("p", "gauge_pressure", "highest set pressure, gauge"),
    ),
    citations=(CHOICE,),
    validity="for the condensation pressure at the coldest surface of that night; the margin is the reader's choice",
)


@calculator("highest-setting", HIGHEST, symbols="p_d p_m p_r")
def highest_setting(
    dew: GaugePressure, margin: PressureDifference, lock_up_rise: PressureDifference = 0.0
) -> GaugePressure:
    """The highest regulator setting that keeps gas from condensing that night.

    p = p_d - p_m - p_r.

    dew: at the coldest wall, Pa gauge. margin: Pa. lock_up_rise: of lock-up above the setting, Pa. Returns Pa gauge.
    Validity: as right as the wall's temperature. Errors: ValueError for a margin below zero, and where no setting
    above the air's pressure is left. Source: specc default.
    """
    checks.not_below_zero("the margin", margin, "Pa")
    checks.not_below_zero("the rise to lock-up", lock_up_rise, "Pa")
    setting = dew - margin - lock_up_rise
    if not 0 < setting < float("inf"):
        raise ValueError(f"no regulator setting keeps the gas from condensing: {setting:.0f} Pa is left")
    return setting


COOLED = Equation(
    forms=(
        ("", "m_l = M_b/M*(m/V - rho_d)*V*rho_l/(rho_l - rho_d)"),
        ("no liquid", "~ m/V is no more than rho_d, the vapor that the wall allows: nothing condenses"),
    ),
    symbols=(
        Symbol("m", "mass", "gas in it, counted as propane, as in accumulator-content"),
        _VOLUME,
        *_BLEND,
        Symbol("rho_d", "density", "density of propane vapor at T_w and the condensation pressure"),
        _RHO_L,
        Symbol("M_b", "amount_mass", "mean molar mass of the blend"),
        Symbol("M", "amount_mass", "molar mass of propane"),
        _LIQUID,
    ),
    citations=(LEMMON, BUECKER),
    validity=(
        "closed, all vapor when filled, then as cold as the wall. Pure propane: exact. With butanes a bound: what"
        " condenses takes butane along, and the gas left has a higher condensation pressure"
    ),
    constants=(("M", M_PROPANE),),
)


@calculator("cooling-liquid", COOLED, symbols="m V T_w y_n y_i")
def cooling_liquid(
    content: Mass,
    volume: Volume,
    wall_temperature: Temperature,
    n_butane: Ratio = 0.0,
    isobutane: Ratio = 0.0,
) -> Answer:
    """The liquid in a closed vessel that was filled warm and has cooled down.

    m_l = (M_b/M) (m/V - rho_d) V rho_l/(rho_l - rho_d): what the vapor at the condensation pressure cannot hold, with
    the space that the liquid takes from the vapor.

    content: kg, from `accumulator_content` (counted as propane). volume: m3. wall_temperature: K. shares: by moles.
    Returns kg; 0, regime "no liquid", if all stays vapor; `also` holds rho_d, rho_l (kg/m3) and M_b (kg/mol).
    Validity: see the equation's record. Errors: ValueError for impossible inputs, and for more gas than the vessel
    holds as liquid. Source: Lemmon et al. 2009; Bücker and Wagner 2006.
    """
    checks.not_below_zero("the content", content, "kg")
    checks.above_zero("the volume", volume, "m³")
    at_dew = propane.vapor_density_value(wall_temperature, mixture.dew(wall_temperature, n_butane, isobutane).pressure)
    liquid = propane.liquid_density(wall_temperature)
    blend = mixture.molar_mass(n_butane, isobutane)
    if content > volume * liquid:
        raise ValueError(f"{content:g} kg is more than the vessel holds full of liquid, {volume * liquid:g} kg")
    also = (("rho_d", at_dew), ("rho_l", liquid), ("M_b", blend))
    excess = content / volume - at_dew
    if excess <= 0:
        return Answer(0.0, "no liquid", also=also)
    return Answer(blend / M_PROPANE.si * excess * volume * liquid / (liquid - at_dew), also=also)


FED = Equation(
    forms=(
        ("nothing condenses", "~ min(p_l, p_v) is at or below the condensation pressure: nothing condenses"),
        ("the heavier part condenses", "m_l = V*rho_l"),
        ("fills with liquid", "m_l = V*rho_l"),
    ),
    symbols=(
        _VOLUME,
        _LOCK_UP,
        _SUPPLY,
        *_BLEND,
        _AMBIENT,
        _DEW,
        Symbol("p_p", "absolute_pressure", "vapor pressure of propane at T_w"),
        _RHO_L,
        _LIQUID,
    ),
    citations=(LEMMON, BUECKER),
    validity=(
        "a bound: condensing goes on as long as the warmer supply holds the pressure, until the vessel is full of"
        " liquid (counted as propane); how fast depends on heat through the wall, not computed. Full, it rises with"
        " every degree (trapped-liquid)"
    ),
)


@calculator("fed-liquid", FED, symbols="V p_l p_v T_w y_n y_i p_a", result="m_l")
def fed_liquid(
    volume: Volume,
    lock_up: GaugePressure,
    supply_pressure: GaugePressure,
    wall_temperature: Temperature,
    n_butane: Ratio = 0.0,
    isobutane: Ratio = 0.0,
    ambient: AbsolutePressure = STANDARD_AIR,
) -> Answer:
    """The most liquid that collects in a cold vessel kept at pressure by a warmer supply: all of it, or none.

    m_l = V rho_l if min(p_l, p_v) lies above the condensation pressure at the wall, else 0.

    volume: m3. lock_up, supply_pressure: Pa gauge. wall_temperature: K. shares: by moles. ambient: Pa absolute.
    Returns kg; regime in words: nothing, the heavier part (between the blend's condensation pressure and propane's own
    vapor pressure: butane collects from burst to burst), or filling up; `also` holds p_d (Pa gauge), p_p (Pa absolute)
    and rho_l (kg/m3). Validity: an upper bound, see the equation's record. Errors: ValueError as `condenses` and
    `dew_pressure`. Source: Lemmon et al. 2009; Bücker and Wagner 2006.
    """
    checks.above_zero("the volume", volume, "m³")
    dew = dew_pressure(wall_temperature, n_butane, isobutane, ambient)
    highest = dew.value - condenses(lock_up, supply_pressure, dew.value)
    pure = dict(dew.also)["p_p"]
    liquid = propane.liquid_density(wall_temperature)
    also = (("p_d", dew.value), ("p_p", pure), ("rho_l", liquid))
    if highest <= dew.value:
        return Answer(0.0, "nothing condenses", also=also)
    regime = "fills with liquid" if highest + ambient > pure else "the heavier part condenses"
    return Answer(volume * liquid, regime, also=also)


FLASHED = Equation(
    forms=(("", "V_g = V_l*rho_l/rho"),),
    symbols=(
        Symbol("V_l", "volume", "liquid"),
        Symbol("T", "temperature", "temperature of the liquid, and of the vapor once it has warmed up again"),
        _AMBIENT,
        _RHO_L,
        Symbol("rho", "density", "density of the vapor at T and the air's pressure"),
        Symbol("V_g", "volume", "vapor that comes of it"),
    ),
    citations=(LEMMON,),
    validity="pure propane, all of it boiled away and warm again; it takes the heat for that from air and flame",
)


@calculator("liquid-to-vapor", FLASHED, symbols="V_l T p_a", examples={"liquid": "1 gal"})
def liquid_to_vapor(liquid: Volume, temperature: Temperature, ambient: AbsolutePressure = STANDARD_AIR) -> Answer:
    """The vapor that an amount of liquid becomes when it is thrown into the air.

    V_g = V_l rho_l/rho(T, p_a).

    liquid: m3. temperature: K. ambient: Pa absolute. Returns m3; `also` holds rho_l and rho (kg/m3).
    Validity: pure propane that boils in that air. Errors: ValueError for a volume below zero, temperatures outside
    150 to 360 K, and where it is too cold to boil. Source: Lemmon et al. 2009.

    At 60 °F and sea level, about 270 times (handbook figures; 267 by this equation of state):

    >>> round(liquid_to_vapor(1.0, 288.70556).value)
    267
    """
    checks.not_below_zero("the liquid", liquid, "m³")
    checks.above_zero("the air's absolute pressure", ambient, "Pa")
    rho_l = propane.liquid_density(temperature)
    if state.saturation(temperature).pressure <= ambient:
        raise ValueError(f"at {temperature:.1f} K liquid propane does not boil in this air: it stays a pool")
    rho = propane.vapor_density_value(temperature, ambient)
    return Answer(liquid * rho_l / rho, also=(("rho_l", rho_l), ("rho", rho)))


TRAPPED = Equation(
    forms=(("", "P = p_2 - p_s"),),
    symbols=(
        Symbol("T", "temperature", "temperature at which the space is just full of liquid"),
        Symbol("D", "temperature_difference", "by how much it warms up"),
        Symbol("p_s", "absolute_pressure", "vapor pressure at T"),
        Symbol("p_2", "absolute_pressure", "pressure at T + D and the same density, from the equation of state"),
        Symbol("P", "pressure_difference", "rise of pressure"),
    ),
    citations=(LEMMON,),
    validity=(
        "pure propane liquid without any vapor, in a shell that does not give: steel gives a little, a hose more."
        " 150 K to 360 K at the end. Liquid between two closed valves needs hydrostatic relief"
    ),
)


@calculator("trapped-liquid", TRAPPED, symbols="T D")
def trapped_liquid(temperature: Temperature, rise: TemperatureDifference) -> Answer:
    """How far the pressure rises when liquid fills a closed space and warms up. It needs hydrostatic relief.

    P = p(T + D, rho_l(T)) - p_s(T), both from the equation of state.

    temperature: K, where the space is just full. rise: K, above 0. Returns Pa; `also` holds p_s and p_2 (Pa absolute).
    Validity: rigid shell, no vapor; to 360 K. Errors: ValueError outside, and for a rise below zero (a vapor space
    forms). Source: Lemmon et al. 2009.

    From 60 °F, one degree F: about 47 psi.

    >>> round(trapped_liquid(288.70556, 1 / 1.8).value / 6894.757)
    47
    """
    if not rise >= 0:
        raise ValueError(f"liquid that cools leaves room for vapor: a rise is not {rise:g} K")
    state.check_temperature(temperature + rise)
    both = state.saturation(temperature)
    density = both.liquid * state.CRITICAL_DENSITY * state.M
    end = vessel.pressure_of(density, temperature + rise)
    return Answer(end - both.pressure, also=(("p_s", both.pressure), ("p_2", end)))
