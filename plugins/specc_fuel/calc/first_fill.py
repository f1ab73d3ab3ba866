"""The first fill: air is left in the accumulator, and propane added to it makes a mix that can burn inside.

Partial pressures, ideal gas: air at the air's pressure fills the vessel, and every pressure above that is propane.
Mixing is taken as even; a jet of gas into still air is not, so the figures are the least and not a target.
"""

from __future__ import annotations

import math

from specc.dims import AbsolutePressure, Count, GaugePressure, Ratio, Temperature, Volume
from specc.formulas.calculators import calculator
from specc.model.values import PRACTICE, Answer, Citation, Constant, Equation, Symbol
from specc_fuel.calc import checks, vessel
from specc_fuel.calc.propane import vapor_density_value
from specc_fuel.calc.sources import LEMMON, STANDARD_AIR

OSHA = Citation("osha-chemical-data-563", "propane: lower and upper explosive limit", "read")
LOWER_LIMIT = Constant(0.021, "ratio", "2.1 %", OSHA)
UPPER_LIMIT = Constant(0.095, "ratio", "9.5 %", OSHA)
OXYGEN = Constant(
    0.2095, "ratio", "20.95 %", Citation("us-standard-atmosphere-1976", "oxygen in dry air, by volume", "memory")
)
MOST_CYCLES = 100

_AMBIENT = Symbol("p_a", "absolute_pressure", "absolute pressure of the air")
_ADDED = Symbol("p", "gauge_pressure", "gauge pressure to which propane is added")

FRACTION = Equation(
    forms=(("", "y = p/(p + p_a)"),),
    symbols=(_ADDED, _AMBIENT, Symbol("y", "ratio", "propane in the mix, by volume")),
    citations=(PRACTICE,),
    validity="vessel full of air at the air's pressure before; ideal gas, evenly mixed",
)


@calculator("fill-fraction", FRACTION, symbols="p p_a")
def fill_fraction(pressure: GaugePressure, ambient: AbsolutePressure = STANDARD_AIR) -> Ratio:
    """The share of propane, by volume, in a vessel of air to which propane was added.

    y = p/(p + p_a).

    pressure: Pa gauge after adding. ambient: Pa absolute. Returns a ratio. Validity: ideal gas, evenly mixed.
    Errors: ValueError for impossible inputs. Source: partial pressures of ideal gases, none needed.
    """
    checks.above_zero("the air's absolute pressure", ambient, "Pa")
    checks.not_below_zero("the gauge pressure", pressure, "Pa")
    return pressure / (pressure + ambient)


FIRST_FILL = Equation(
    forms=(("", "p_u = p_a*y_u/(1 - y_u)"),),
    symbols=(
        _AMBIENT,
        Symbol("y_u", "ratio", "upper flammable limit, propane in air by volume"),
        Symbol("y_l", "ratio", "lower flammable limit, propane in air by volume"),
        Symbol("p_l", "gauge_pressure", "gauge pressure from which on the mix is flammable: p_a·y_l/(1 - y_l)"),
        Symbol("p_u", "gauge_pressure", "gauge pressure up to which the mix is flammable"),
    ),
    citations=(OSHA,),
    validity=(
        "ideal gas, evenly mixed; limits at room temperature and one atmosphere. The upper limit rises with warmth"
        " and pressure, and corners stay lean while the middle is rich: go well past this pressure"
    ),
    constants=(("y_l", LOWER_LIMIT),),
)


@calculator("first-fill", FIRST_FILL, symbols="y_u p_a")
def first_fill(upper_limit: Ratio = UPPER_LIMIT.si, ambient: AbsolutePressure = STANDARD_AIR) -> Answer:
    """The gauge pressure of propane until which the air left in an accumulator makes a flammable mix.

    p_u = p_a y_u/(1 - y_u); flammable from p_l = p_a y_l/(1 - y_l) on.

    upper_limit: propane in air by volume; the default is OSHA's 9.5 %. ambient: Pa absolute. Returns Pa gauge; `also`
    holds p_l (Pa gauge). Validity: see the equation's record. Errors: ValueError for a limit not between the lower
    limit and 1. Source: OSHA chemical data, propane; partial pressures of ideal gases.

    At sea level 1.54 psig (with a handbook's 9.6 %: 1.56):

    >>> round(first_fill().value / 6894.757, 2), round(first_fill(0.096).value / 6894.757, 2)
    (1.54, 1.56)
    """
    checks.above_zero("the air's absolute pressure", ambient, "Pa")
    if not LOWER_LIMIT.si < upper_limit < 1:
        raise ValueError(
            f"the upper flammable limit lies above the lower ({100 * LOWER_LIMIT.si:g} %) and below 100 %,"
            f" not at {100 * upper_limit:g} %"
        )
    lower = ambient * LOWER_LIMIT.si / (1 - LOWER_LIMIT.si)
    return Answer(ambient * upper_limit / (1 - upper_limit), also=(("p_l", lower),))


PURGE_CYCLES = Equation(
    forms=(("", "~ ln(y_o/o)/ln(p_a/(p + p_a)), taken up to the next whole number"),),
    symbols=(
        _ADDED,
        Symbol("y_o", "ratio", "most oxygen that may be left, by volume"),
        _AMBIENT,
        Symbol("o", "ratio", "oxygen in air, by volume"),
        Symbol("x", "ratio", "air left in the gas after n cycles, by volume: (p_a/(p + p_a))^n"),
        Symbol("y_n", "ratio", "oxygen left after n cycles, by volume"),
        Symbol("n", "count", "cycles"),
    ),
    citations=(PRACTICE, OXYGEN.citation),
    validity=(
        "filling to p with propane and venting to the air's pressure, evenly mixed each time; pipes that end blind"
        " keep their air. What is vented is flammable as soon as it meets the air outside"
    ),
    constants=(("o", OXYGEN),),
)


@calculator("purge-cycles", PURGE_CYCLES, symbols="p y_o p_a", result="n")
def purge_cycles(fill: GaugePressure, oxygen_limit: Ratio, ambient: AbsolutePressure = STANDARD_AIR) -> Answer:
    """How often to fill with propane and vent until no more than some oxygen is left in the gas.

    n = ln(y_o/0.2095)/ln(p_a/(p + p_a)), taken up to a whole number.

    fill: Pa gauge to which each cycle fills. oxygen_limit: by volume. ambient: Pa absolute. Returns a whole number;
    `also` holds x and y_n, air and oxygen left.
    Validity: evenly mixed. Errors: ValueError for a limit not between 0 and air's own oxygen; for a fill so low that
    the first mix vented can still burn (`first_fill`); for more than MOST_CYCLES cycles.
    Source: partial pressures of ideal gases; oxygen in air from memory.

    Filled to 30 psig, down to 1 % oxygen:

    >>> purge_cycles(30 * 6894.757, 0.01).value
    3.0
    """
    checks.above_zero("the air's absolute pressure", ambient, "Pa")
    checks.above_zero("the pressure filled to", fill, "Pa")
    if not 0 < oxygen_limit < OXYGEN.si:
        raise ValueError(
            f"the oxygen to be left lies above 0 and below air's own {100 * OXYGEN.si:g} %, not at"
            f" {100 * oxygen_limit:g} %"
        )
    flammable_to = first_fill(ambient=ambient).value
    if fill <= flammable_to:
        raise ValueError(
            f"filled to {fill:.0f} Pa gauge the mix can still burn: go past {flammable_to:.0f} Pa gauge before venting"
        )
    # log1p keeps its digits at a high fill; the small amount lets an exact number of cycles stay what it is.
    exact = math.log(OXYGEN.si / oxygen_limit) / math.log1p(fill / ambient)
    cycles = float(math.ceil(exact - 1e-9))
    if cycles > MOST_CYCLES:
        raise ValueError(f"it would take {cycles:g} cycles, which nobody does: fill to a higher pressure")
    left = math.exp(-cycles * math.log1p(fill / ambient))
    return Answer(cycles, also=(("x", left), ("y_n", left * OXYGEN.si)))


PURGE_GAS = Equation(
    forms=(("", "m = n*V*(rho_1 - rho_0)"),),
    symbols=(
        Symbol("V", "volume", "volume of the accumulator, with what is open to it"),
        _ADDED,
        Symbol("T", "temperature", "temperature of the gas"),
        Symbol("n", "count", "cycles"),
        _AMBIENT,
        Symbol("rho_1", "density", "density of propane at p and T"),
        Symbol("rho_0", "density", "density of propane at the air's pressure and T"),
        Symbol("m", "mass", "propane used, at most"),
    ),
    citations=(LEMMON,),
    validity="counted as if it were all propane, which takes a little more than a mix with air; nearly all is vented",
)


@calculator("purge-gas", PURGE_GAS, symbols="V p T n p_a")
def purge_gas(
    volume: Volume,
    fill: GaugePressure,
    gas_temperature: Temperature,
    cycles: Count,
    ambient: AbsolutePressure = STANDARD_AIR,
) -> Answer:
    """The propane that purging uses, nearly all of which goes into the open air.

    m = n V (rho(p + p_a, T) - rho(p_a, T)).

    volume: m3. fill: Pa gauge. gas_temperature: K. cycles: number, from `purge_cycles`. ambient: Pa absolute. Returns
    kg; `also` holds rho_1 and rho_0 (kg/m3). Validity: an upper bound. Errors: ValueError for impossible inputs, and
    where the gas would be liquid. Source: Lemmon et al. 2009.
    """
    vessel.check_vessel(volume, fill, ambient)
    checks.not_below_zero("the number of cycles", cycles, "")
    filled, vented = (vapor_density_value(gas_temperature, p) for p in (fill + ambient, ambient))
    return Answer(cycles * volume * (filled - vented), also=(("rho_1", filled), ("rho_0", vented)))
