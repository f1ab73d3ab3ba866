"""How a cylinder boils: the liquid's heat capacity and height, the heat its wetted wall takes up, and what follows.

A cylinder that is drawn from cools until the heat through its wetted wall makes up for the gas that boils off.
`specc_fuel.show_run.simulation` follows that over a show; here are the equations it uses, and the two that can be
written in one line.

Where a choice had to be made it is the one that gives less heat, so less gas: still air, the inside of the wall
not perfect, the bottom and the dry wall not counted, a matt wall a little less than black. Wind gives two or
three times as much. Two things make it worse than this and are not in it: a clear night sky, which is colder
than the air, and thick frost, which is a blanket. An emissivity of 0 stands for the first.
"""

from __future__ import annotations

import math
from typing import Annotated, TypeAlias

from specc.dims import (
    AbsolutePressure,
    Area,
    Dim,
    Duration,
    Length,
    Mass,
    MassFlow,
    Ratio,
    SpecificEnergy,
    Temperature,
    Volume,
)
from specc.formulas.calculators import calculator
from specc.model.values import CHOICE, Answer, Citation, Constant, Equation, Symbol
from specc_fuel.calc import checks, state
from specc_fuel.calc.filling import FILLING_DENSITY, WATER_DENSITY
from specc_fuel.calc.propane import ideal_heat_capacity, latent_heat
from specc_fuel.calc.sources import LEMMON, LEMMON_CP0, M_PROPANE, R_PAPER, STANDARD_AIR

HeatFlux: TypeAlias = Annotated[float, Dim("heat_flux")]

CHURCHILL_CHU = Citation("churchill-chu-1975", "vertical plate, laminar and turbulent in one, uniform wall", "reprint")
AIR_TRANSPORT = Citation("us-standard-atmosphere-1976", "viscosity and thermal conductivity of air", "memory")
AIR_HEAT = Citation("us-standard-atmosphere-1976", "specific heat of air: 7/2 R/M", "memory")

EMISSIVITY = Constant(
    0.8,
    "ratio",
    "0.8",
    Citation("epfl-heat-transfer-2008", "lacquer 0.80 to 0.95, white paint to 0.97", "reprint"),
)
STEFAN_BOLTZMANN = Constant(
    5.670374419e-8,
    "heat_flux",
    "5.670374·10⁻⁸ W/m² at 1 K",
    Citation("codata-2018", "Stefan-Boltzmann constant", "memory"),
)
STEEL = Constant(
    490.0, "specific_heat", "0.49 kJ/(kg·K)", Citation("engineering-toolbox-metals", "carbon steel", "read")
)
# Heat from wall to liquid inside. Churchill and Chu for liquid propane 10 in high gives 122 to 133 W/m2 for each
# kelvin at half a kelvin (computed with CoolProp, 240 to 300 K), more with bubbles.
INSIDE = Constant(120.0, "heat_flux", "120 W/m² for each kelvin", CHOICE)
# From bath to liquid through both films, less than half of what Churchill and Chu give for still water.
BATH = Constant(70.0, "heat_flux", "70 W/m² for each kelvin", CHOICE)
BATH_LIMIT = Constant(
    324.81666666666666,
    "temperature",
    "125 °F",
    Citation("cga-p-1", "no part of a cylinder above 125 °F; never a flame", "memory"),
)
FREEZING = 273.15  # K: below it the water that the wall gathers from the air is frost

# Air as an ideal gas: gas constant over molar mass, the standard atmosphere's own.
_R_AIR = 8.31432 / 0.0289644
_CP_AIR = 3.5 * _R_AIR
_GRAVITY = 9.80665
_SIGMA, _INSIDE = STEFAN_BOLTZMANN.si, INSIDE.si  # asked for a hundred thousand times a night
_PRANDTL = 0.71  # of air, 0.70 to 0.72 over this range; it enters by a power of 1/6
_PSI = (1 + (0.492 / _PRANDTL) ** (9 / 16)) ** (8 / 27)
_RAYLEIGH = (1e12, "taller or colder than the correlation was made for")

_T = Symbol("T", "temperature", "temperature of the liquid")
_GAS = (("M", M_PROPANE), ("R", R_PAPER))

LIQUID_HEAT_CAPACITY = Equation(
    forms=(("", "c_l = R/M*(c_0 - 1 - e + g**2/j)"),),
    symbols=(
        _T,
        Symbol("c_0", "ratio", "specific heat of the ideal gas at constant pressure, over R/M"),
        Symbol("e", "ratio", "t²·a_tt of the liquid: second slope of the residual energy by t = T_c/T"),
        Symbol("g", "ratio", "1 + d·a_d - d·t·a_dt of the liquid"),
        Symbol("j", "ratio", "1 + 2·d·a_d + d²·a_dd of the liquid"),
        Symbol("M", "amount_mass", "molar mass of propane"),
        Symbol("R", "molar_heat", "gas constant of the equation of state"),
        Symbol("c_l", "specific_heat", "specific heat of the saturated liquid at constant pressure"),
    ),
    citations=(LEMMON, LEMMON_CP0),
    validity="pure propane, 150 K to 360 K (-190 °F to 188 °F); outside it nothing is computed",
    constants=_GAS,
)


@calculator("liquid-heat-capacity", LIQUID_HEAT_CAPACITY, symbols="T")
def liquid_heat_capacity(temperature: Temperature) -> Answer:
    """The specific heat of liquid propane under its own vapor, at constant pressure.

    c_l = (R/M) (c_0 - 1 - t^2 a_tt + (1 + d a_d - d t a_dt)^2 / (1 + 2 d a_d + d^2 a_dd)).

    temperature: K. Returns J/(kg K); `also` holds c_0 and the three terms.
    Validity: pure propane, 150 to 360 K. Errors: ValueError outside. Source: Lemmon et al. 2009.
    """
    d, t = state.saturation(temperature).liquid, state.CRITICAL_TEMPERATURE / temperature
    f = state.residual(d, t)
    a_tt, a_dt = bends(d, t)
    c_0 = ideal_heat_capacity(temperature).value * M_PROPANE.si / R_PAPER.si
    e = t * t * a_tt
    g = 1 + d * f.a_d - d * t * a_dt
    j = 1 + 2 * d * f.a_d + d * d * f.a_dd
    value = R_PAPER.si / M_PROPANE.si * (c_0 - 1 - e + g * g / j)
    return Answer(value, also=(("c_0", c_0), ("e", e), ("g", g), ("j", j)))


def bends(d: float, t: float) -> tuple[float, float]:
    """The residual energy's second slope by t, and its slope by d and t, at reduced density d and t = T_c/T.

    In each term t stands as t^j, with a bell curve around it in some, so the slope by t is the term times
    (j/t - 2 beta (t - gamma)).
    """
    a_tt = a_dt = 0.0
    for n, i, j, power in state._POWER:
        term = n * d**i * t**j
        slope = float(i)
        if power:
            term *= math.exp(-(d**power))
            slope -= power * d**power
        a_tt += term * j * (j - 1) / (t * t)
        a_dt += term * slope / d * j / t
    for n, i, j, eta, beta, gamma, epsilon in state._GAUSS:
        term = n * d**i * t**j * math.exp(-eta * (d - epsilon) ** 2 - beta * (t - gamma) ** 2)
        slope = i - 2 * eta * d * (d - epsilon)
        by_t = j / t - 2 * beta * (t - gamma)
        a_tt += term * (by_t * by_t - j / (t * t) - 2 * beta)
        a_dt += term * slope / d * by_t
    return a_tt, a_dt


_Z = Symbol("z", "length", "height of the liquid")
_D = Symbol("D", "length", "outside diameter of the cylinder")

LIQUID_HEIGHT = Equation(
    forms=(
        ("", "z = (m - rho_v*V)/(rho_l - rho_v)/(pi*D**2/4)"),
        ("no liquid", "~ the gas does not even fill the space as vapor: no liquid is left"),
    ),
    symbols=(
        Symbol("m", "mass", "propane in the cylinder, liquid and vapor"),
        Symbol("V", "volume", "volume of the cylinder inside"),
        _D,
        _T,
        Symbol("rho_l", "density", "density of the saturated liquid"),
        Symbol("rho_v", "density", "density of the saturated vapor"),
        _Z,
    ),
    citations=(LEMMON, CHOICE),
    validity=(
        "an upright cylinder as a straight pipe of its outside diameter, pure propane, 150 K to 360 K. Dished"
        " ends are ignored: in the lower one the liquid stands higher than this and wets more wall, in the"
        " straight part it stands a little higher too, as the wall's thickness is ignored. So less wall is"
        " counted than is wet"
    ),
)


@calculator("liquid-height", LIQUID_HEIGHT, symbols="m V D T", examples={"volume": "5.7 gal", "contents": "16 lb"})
def liquid_height(contents: Mass, volume: Volume, diameter: Length, temperature: Temperature) -> Answer:
    """How high the liquid stands in an upright cylinder.

    z = (m - rho_v V) / (rho_l - rho_v) / (pi D^2/4).

    contents: kg, liquid and vapor. volume: m3 inside. diameter: m, outside. temperature: K. Returns m; `also`
    holds rho_l and rho_v (kg/m3). Validity: dished ends and the wall's thickness ignored, both of which err to a
    lower liquid and less wetted wall; marked beyond where the liquid fills the cylinder; 0, regime "no liquid",
    where all has boiled. Errors: ValueError for impossible inputs. Source: densities from Lemmon et al. 2009.
    """
    checks.not_below_zero("the contents", contents, "kg")
    checks.above_zero("the volume", volume, "m³")
    checks.above_zero("the diameter", diameter, "m")
    both = state.saturation(temperature)
    per_unit = state.CRITICAL_DENSITY * state.M
    rho_l, rho_v = both.liquid * per_unit, both.vapor * per_unit
    liquid = (contents - rho_v * volume) / (rho_l - rho_v)
    also = (("rho_l", rho_l), ("rho_v", rho_v))
    if liquid <= 0:
        return Answer(0.0, "no liquid", also=also)
    beyond = "the cylinder is full of liquid, which has no room to expand" if liquid > volume else ""
    return Answer(liquid / (math.pi * diameter**2 / 4), beyond=beyond, also=also)


WETTED_AREA = Equation(
    forms=(("", "A = pi*D*z + y*pi*D**2/4"),),
    symbols=(
        _D,
        _Z,
        Symbol("y", "ratio", "share of the bottom that is counted"),
        Symbol("A", "area", "wall that liquid wets inside and air touches outside"),
    ),
    citations=(CHOICE,),
    validity=(
        "an upright cylinder. The bottom is not counted unless asked for: inside its foot ring the air is"
        " shut off from what blows around it. A nearly empty cylinder has little else"
    ),
)


@calculator("wetted-area", WETTED_AREA, symbols="D z y", examples={"height": "9 in"})
def wetted_area(diameter: Length, height: Length, bottom: Ratio = 0.0) -> Area:
    """The wall of an upright cylinder that liquid wets.

    A = pi D z + y pi D^2/4.

    diameter: m, outside. height: m, of the liquid. bottom: share of the bottom to count, 0 to 1. Returns m2.
    Validity: dry wall above the liquid is not counted, though steel leads some heat down. Errors: ValueError for
    impossible inputs. Source: geometry; leaving the bottom out is specc default.
    """
    checks.above_zero("the diameter", diameter, "m")
    checks.not_below_zero("the liquid's height", height, "m")
    checks.fraction("the share of the bottom", bottom)
    return math.pi * diameter * height + bottom * math.pi * diameter**2 / 4


def inside_volume(capacity: float) -> float:
    """The volume inside a cylinder that holds `capacity` kg when full by weight. m3. ValueError unless above 0.

    Water capacity is the propane over 0.42, and water weighs 999 kg/m3.
    """
    checks.above_zero("the capacity", capacity, "kg")
    return capacity / FILLING_DENSITY.si / WATER_DENSITY.si


STILL_AIR_HEAT = Equation(
    forms=(
        (
            "",
            "~ q = U·(T_a - T) with 1/U = 1/((q_c + q_r)/(T_a - T)) + 1/u_i: natural convection by Churchill and"
            " Chu on a plate as high as the liquid, q_c = Nu·k·(T_a - T)/z with"
            " Nu = (0.825 + 0.387·Ra^(1/6)/(1 + (0.492/Pr)^(9/16))^(8/27))² and air at the mean temperature;"
            " radiation q_r = e·s·(T_a⁴ - T⁴) from surroundings as warm as the air; and the inside of the wall",
        ),
    ),
    symbols=(
        Symbol("T", "temperature", "temperature of the liquid, and of the wall it wets"),
        Symbol("T_a", "temperature", "temperature of the air"),
        _Z,
        Symbol("p_a", "absolute_pressure", "absolute pressure of the air"),
        Symbol("e", "ratio", "emissivity of the wall"),
        Symbol("s", "heat_flux", "Stefan-Boltzmann constant"),
        Symbol("u_i", "heat_flux", "heat from wall to liquid, for each kelvin"),
        Symbol("q_c", "heat_flux", "by convection"),
        Symbol("q_r", "heat_flux", "by radiation"),
        Symbol("Ra", "ratio", "Rayleigh number"),
        Symbol("q", "heat_flux", "heat into the wetted wall"),
    ),
    citations=(CHURCHILL_CHU, AIR_TRANSPORT, AIR_HEAT, EMISSIVITY.citation, CHOICE),
    validity=(
        "still air, an upright wall, Rayleigh number up to 10¹². Wind gives two or three times as much. A liquid"
        " lower than a quarter of the diameter is taken as that high where the plate's height counts. No frost"
        " (a thick coat keeps heat out, water freezing on gives some), no clear sky, no sun"
    ),
    constants=(("s", STEFAN_BOLTZMANN), ("u_i", INSIDE)),
)


@calculator("still-air-heat", STILL_AIR_HEAT, symbols="T T_a z p_a e", examples={"wall": "20 °F", "height": "9 in"})
def still_air_heat(
    wall: Temperature,
    air: Temperature,
    height: Length,
    ambient: AbsolutePressure = STANDARD_AIR,
    emissivity: Ratio = EMISSIVITY.si,
) -> Answer:
    """The heat that an upright wall with liquid behind it takes up from still air, by area.

    1/U = 1/(h_c + h_r) + 1/u_i; h_c by Churchill and Chu, h_r from e s (T_a^4 - T^4); q = U (T_a - T).

    wall, air: K, 150 to 400. height: m. ambient: Pa absolute. emissivity: 0 to 1. Returns W/m2, below zero where
    the wall is warmer than the air; `also` holds q_c, q_r (each as if alone, W/m2) and Ra.
    Validity: marked beyond above Ra = 1e12. Errors: ValueError for impossible inputs.
    Source: Churchill and Chu 1975, in a reprint; air's properties from memory of the standard atmosphere.
    """
    for what, kelvin in (("the wall", wall), ("the air", air)):
        if not 150 <= kelvin <= 400:
            raise ValueError(f"heat from still air is computed from 150 K to 400 K, and {what} has {kelvin:g} K")
    checks.above_zero("the height", height, "m")
    checks.above_zero("the air's absolute pressure", ambient, "Pa")
    checks.fraction("the emissivity", emissivity)
    convection, rayleigh = _convection(wall, air, height, ambient)
    side = air_side(wall, air, ambient)
    radiation = emissivity * side[3]
    u = still_air_coefficient(side, height, emissivity)
    difference = air - wall
    beyond = _RAYLEIGH[1] if rayleigh > _RAYLEIGH[0] else ""
    also = (("q_c", convection * difference), ("q_r", radiation * difference), ("Ra", rayleigh))
    return Answer(u * difference, beyond=beyond, also=also)


AirSide: TypeAlias = tuple[float, float, float, float]
"""What still air and radiation do to an upright wall of whatever height, one for all cylinders equally warm: the air's
conductivity, W/(m K); the Rayleigh number over the height cubed, 1/m3; what stands before the square root of the height
in Churchill and Chu, 1/m^0.5; the radiation of a black wall, W/(m2 K). A plain tuple, as it is asked for tens of
thousands of times."""


def air_side(wall: float, air: float, ambient: float) -> AirSide:
    """Air at the mean of two temperatures (K), by the standard atmosphere's transport; ambient in Pa absolute."""
    mean = (wall + air) / 2
    power = mean * math.sqrt(mean)
    conductivity = 2.64638e-3 * power / (mean + 245.4 * 10 ** (-12 / mean))
    viscosity = 1.458e-6 * power / (mean + 110.4)
    density = ambient / (_R_AIR * mean)
    rising = _GRAVITY / mean * abs(air - wall) * density * density * _CP_AIR / (viscosity * conductivity)
    radiation = _SIGMA * (wall * wall + air * air) * (wall + air)
    return conductivity, rising, 0.387 / _PSI * rising ** (1 / 6), radiation


def _convection(wall: float, air: float, height: float, ambient: float) -> tuple[float, float]:
    """W/(m2 K) by Churchill and Chu, and the Rayleigh number."""
    conductivity, rising, before, _ = air_side(wall, air, ambient)
    root = 0.825 + before * math.sqrt(height)
    return root * root * conductivity / height, rising * height**3


def still_air_coefficient(side: AirSide, height: float, emissivity: float) -> float:
    """Heat from still air into the liquid, W/m2 for each kelvin: `still_air_heat` without its checks."""
    conductivity, _, before, radiation = side
    root = 0.825 + before * math.sqrt(height)
    outside = root * root * conductivity / height + emissivity * radiation
    return outside * _INSIDE / (outside + _INSIDE)


BATH_HEAT = Equation(
    forms=(("", "q = u*(T_w - T)"),),
    symbols=(
        Symbol("T", "temperature", "temperature of the liquid propane"),
        Symbol("T_w", "temperature", "temperature of the water"),
        Symbol("u", "heat_flux", "heat from water to liquid, for each kelvin"),
        Symbol("q", "heat_flux", "heat into the wetted wall"),
    ),
    citations=(CHOICE, BATH_LIMIT.citation),
    validity=(
        "still water up to the liquid's level, up to 125 °F, kept at its temperature. Water that is not renewed"
        " cools and may freeze to the wall. Never a flame, never an electric heater not made for it. Gas from a"
        " warmed cylinder condenses in colder hose and accumulators"
    ),
    constants=(("u", BATH),),
)


@calculator("bath-heat", BATH_HEAT, symbols="T T_w", examples={"liquid": "40 °F", "water": "80 °F"})
def bath_heat(liquid: Temperature, water: Temperature) -> HeatFlux:
    """The heat that a cylinder standing in a water bath takes up, by wetted area.

    q = u (T_w - T), u = 70 W/m2 for each kelvin.

    liquid, water: K. Returns W/m2. Validity: water from freezing to 125 °F. Errors: ValueError outside.
    Source: the coefficient is specc default, below half of Churchill and Chu for water and propane;
    the limit is from memory of CGA P-1.
    """
    check_bath(water)
    state.check_temperature(liquid)
    return BATH.si * (water - liquid)


def check_bath(water: float) -> None:
    """ValueError for ice, for water above 125 °F, and for what is no number."""
    if not FREEZING <= water <= BATH_LIMIT.si * (1 + 1e-12):
        raise ValueError(f"a cylinder's water bath is liquid and no warmer than 125 °F (324.8 K), not at {water:g} K")


STEADY_BOIL_OFF = Equation(
    forms=(("", "w = q*A/h_fg"),),
    symbols=(
        Symbol("q", "heat_flux", "heat into the wetted wall"),
        Symbol("A", "area", "wetted wall"),
        Symbol("h_fg", "specific_energy", "heat of vaporization"),
        Symbol("w", "mass_flow", "gas boiled off for as long as the liquid stands at that height"),
    ),
    citations=(CHOICE,),
    validity=(
        "what heat from outside boils off while the liquid stays at one temperature. A cylinder that may cool"
        " gives more for a time: published tables and the trade's rule count that, and air that moves"
    ),
)


@calculator("steady-boil-off", STEADY_BOIL_OFF, symbols="q A h_fg", examples={"area": "2.4 ft²"})
def steady_boil_off(heat_flux: HeatFlux, area: Area, latent: SpecificEnergy) -> MassFlow:
    """The gas that the heat through a cylinder's wetted wall boils off.

    w = q A / h_fg.

    heat_flux: W/m2. area: m2. latent: J/kg. Returns kg/s. Validity: liquid that stays at one temperature.
    Errors: ValueError for values below zero or no latent heat.

    In still air this is a half to two thirds of the trade's table for 100 lb cylinders if the liquid is taken at
    its boiling point, -44 °F, and a quarter of it at 10 lb, where the bottom is most of what is wet; at -20 °F
    it is a sixth to a third of the trade's rule (diameter x length x K). The table's rows rise with the air's
    temperature from nothing near -43 °F, so they let the liquid cool until nothing drives the gas. Beyond that,
    both are met with air that moves at about 3 m/s: such air, liquid that gives its own heat while it cools, and
    the dry wall are what they count and this does not. The tests hold both between still air and 5 m/s.
    Source: heat balance.
    """
    checks.not_below_zero("the heat", heat_flux, "W/m²")
    checks.not_below_zero("the area", area, "m²")
    checks.above_zero("the heat of vaporization", latent, "J/kg")
    return heat_flux * area / latent


CYLINDER_COOLING = Equation(
    forms=(("", "T = T_0 - w*t*h_fg/(m*c_l + m_s*c_s)"),),
    symbols=(
        Symbol("T_0", "temperature", "temperature of the liquid at the start"),
        Symbol("w", "mass_flow", "gas drawn"),
        Symbol("t", "duration", "time"),
        Symbol("m", "mass", "liquid, midway"),
        Symbol("m_s", "mass", "steel that the liquid wets"),
        Symbol("h_fg", "specific_energy", "heat of vaporization, midway between T_0 and T"),
        Symbol("c_l", "specific_heat", "specific heat of the liquid, midway"),
        Symbol("c_s", "specific_heat", "specific heat of steel"),
        Symbol("T", "temperature", "temperature of the liquid at the end"),
    ),
    citations=(LEMMON, STEEL.citation),
    validity=(
        "no heat from outside, so about the coldest it can get; for a short, strong draw. What the vapor space"
        " holds is left out: within 5 % of the fall over 25 K. Over hours see the timeline"
    ),
    constants=(("c_s", STEEL),),
)


@calculator("cylinder-cooling", CYLINDER_COOLING, symbols="T_0 w t m m_s", examples={"start": "50 °F"})
def cylinder_cooling(start: Temperature, flow: MassFlow, time: Duration, liquid: Mass, steel: Mass = 0.0) -> Answer:
    """How cold a cylinder gets by a steady draw, if no heat comes in from outside.

    T = T_0 - w t h_fg / (m c_l + m_s c_s).

    start: K. flow: kg/s. time: s. liquid: kg, as it is midway. steel: kg wetted. Returns K; `also` holds h_fg
    and c_l. Validity: a short draw; left out is what the vapor space holds, 5 % of the fall at most over 25 K.
    A cylinder drawn from slowly stays much warmer. Marked beyond below propane's boiling point in the open,
    231 K. Errors: ValueError for impossible inputs, and for more gas than the liquid's own heat can boil off.
    Source: heat balance; Lemmon et al. 2009.
    """
    checks.not_below_zero("the flow", flow, "kg/s")
    checks.not_below_zero("the time", time, "s")
    checks.above_zero("the liquid", liquid, "kg")
    checks.not_below_zero("the steel", steel, "kg")
    end = start
    latent = heat = 0.0
    for _ in range(3):
        # Heat of vaporization rises and specific heat falls as it cools: taken midway, found by three rounds.
        latent = latent_heat((start + end) / 2).value
        heat = liquid_heat_capacity((start + end) / 2).value
        end = start - flow * time * latent / (liquid * heat + steel * STEEL.si)
        if end < state.COLDEST:
            raise ValueError(
                f"{flow * time:g} kg of gas from {liquid:g} kg of liquid needs more heat than the liquid holds:"
                " it stops boiling first"
            )
    beyond = "colder than propane boils in the open: the flow falls off before" if end < 231.0 else ""
    return Answer(end, beyond=beyond, also=(("h_fg", latent), ("c_l", heat)))
