"""Filling: the most a cylinder may hold, how full of liquid it is, and its contents in gallons."""

from __future__ import annotations

from specc.dims import Mass, Temperature
from specc.formulas.calculators import calculator
from specc.model.values import Answer, Citation, Constant, Equation, Symbol
from specc_fuel.calc import checks, state
from specc_fuel.calc.propane import liquid_density
from specc_fuel.calc.sources import LEMMON

SIXTY_F = 288.70555555555552  # K, the trade's reference temperature

_WATER_CAPACITY = Symbol("m_w", "mass", "water capacity")

FILLING_DENSITY = Constant(
    0.42,
    "ratio",
    "42 %",
    Citation("wac-296-307", "296-307-41037 Table U-4: SG 0.504 to 0.510, above ground, up to 1,200 gal"),
)

MAX_FILL = Equation(
    forms=(("", "m = q*m_w"),),
    symbols=(
        _WATER_CAPACITY,
        Symbol("q", "ratio", "most gas by weight, over the water capacity"),
        Symbol("m", "mass", "most gas"),
    ),
    citations=(FILLING_DENSITY.citation,),
    validity="propane of specific gravity 0.504 to 0.510, containers above ground up to 1,200 gal",
    constants=(("q", FILLING_DENSITY),),
)


@calculator("max-fill", MAX_FILL, symbols="m_w")
def max_fill(water_capacity: Mass) -> Mass:
    """The most propane a cylinder may be filled with, by weight.

    m = 0.42 m_w.

    water_capacity: kg, as stamped. Returns kg. Validity: propane of SG 0.504 to 0.510, above ground, up to
    1,200 gal of water capacity. Errors: ValueError for a capacity not above zero.
    Source: WAC 296-307-41037, Table U-4.

    A cylinder of 47.6 lb water capacity is the trade's 20 lb cylinder:

    >>> round(max_fill(47.6), 1)
    20.0
    """
    checks.above_zero("the water capacity", water_capacity, "kg")
    return FILLING_DENSITY.si * water_capacity


WATER_DENSITY = Constant(
    999.02, "density", "999.02 kg/m³", Citation("coolprop-8", "water at 60 °F and one atmosphere", "computed")
)

LIQUID_LEVEL = Equation(
    forms=(
        ("", "v = (m*rho_w/m_w - rho_v)/(rho_l - rho_v)"),
        ("no liquid", "~ the gas does not even fill the space as vapor: no liquid is left"),
    ),
    symbols=(
        Symbol("m", "mass", "propane in the cylinder, liquid and vapor"),
        _WATER_CAPACITY,
        Symbol("T_l", "temperature", "temperature of the liquid"),
        Symbol("rho_w", "density", "density of water at 60 °F"),
        Symbol("rho_l", "density", "density of the saturated liquid at T_l"),
        Symbol("rho_v", "density", "density of the saturated vapor at T_l"),
        Symbol("v", "ratio", "liquid, by volume of the cylinder"),
    ),
    citations=(LEMMON, WATER_DENSITY.citation),
    validity="pure propane, rigid shell, 150 K to 360 K. Above 100 % the cylinder is full of liquid",
    constants=(("rho_w", WATER_DENSITY),),
)


@calculator("liquid-level", LIQUID_LEVEL, symbols="m m_w T_l")
def liquid_level(contents: Mass, water_capacity: Mass, liquid_temperature: Temperature) -> Answer:
    """How full of liquid a cylinder is, by volume.

    v = (m/V - rho_v) / (rho_l - rho_v), V = m_w / rho_w.

    contents, water_capacity: kg. liquid_temperature: K. Returns a ratio; `also` holds rho_l and rho_v
    (kg/m3).
    Validity: 150 to 360 K, rigid shell; marked beyond above 1, where the cylinder is full of liquid; 0,
    regime "no liquid", where all has boiled. Errors: ValueError for impossible inputs.
    Source: densities from Lemmon et al. 2009; water computed with CoolProp.
    """
    checks.not_below_zero("the contents", contents, "kg")
    checks.above_zero("the water capacity", water_capacity, "kg")
    both = state.saturation(liquid_temperature)
    per_unit = state.CRITICAL_DENSITY * state.M
    liquid, vapor = both.liquid * per_unit, both.vapor * per_unit
    also = (("rho_l", liquid), ("rho_v", vapor))
    level = (contents * WATER_DENSITY.si / water_capacity - vapor) / (liquid - vapor)
    if level <= 0:
        return Answer(0.0, "no liquid", also=also)
    beyond = "the cylinder is full of liquid, which has no room to expand" if level > 1 else ""
    return Answer(level, beyond=beyond, also=also)


LIQUID_VOLUME = Equation(
    forms=(("", "V = m/rho_l"),),
    symbols=(
        Symbol("m", "mass", "propane"),
        Symbol("rho_l", "density", "density of the saturated liquid at 60 °F, from the equation of state"),
        Symbol("V", "volume", "volume as liquid at 60 °F"),
    ),
    citations=(LEMMON,),
    validity="pure propane, all liquid at 60 °F (the trade's gallon)",
)


@calculator("liquid-volume", LIQUID_VOLUME, symbols="m")
def liquid_volume(gas: Mass) -> Answer:
    """The volume of an amount of propane as liquid at 60 °F, as the trade counts gallons.

    V = m / rho_l(60 °F).

    gas: kg. Returns m3; `also` holds rho_l (kg/m3). Validity: pure propane. Errors: ValueError for a mass
    below zero. Source: Lemmon et al. 2009.

    20 lb are 4.73 gal:

    >>> round(liquid_volume(20 * 0.45359237).value / 0.003785411784, 2)
    4.73
    """
    checks.not_below_zero("the gas", gas, "kg")
    rho = liquid_density(SIXTY_F)
    return Answer(gas / rho, also=(("rho_l", rho),))
