"""Fireballs: gas let out at once burns as a ball that rises, not as a flame over its nozzle."""

from __future__ import annotations

from specc.dims import Mass, SpecificEnergy
from specc.formulas.calculators import calculator
from specc.model.values import PRACTICE, Answer, Citation, Constant, Equation, Symbol
from specc_flame.calc import checks

CCPS = Citation("ccps-fireball", "diameter and duration, masses below 30 t, in a worked example", "reprint")
_MASS = Symbol("m", "mass", "mass of gas that burns in the ball")
_ONE_KG = Symbol("m_1", "mass", "1 kg")
_KG = ("m_1", Constant(1.0, "mass", "1 kg", PRACTICE))
_SMALL = "fitted to fireballs of a kilogram and more; a smaller one is an extrapolation"

# Over the net heat of what burns: below the relief valve's pressure 0.3, above it 0.4 (shown, not used).
FIREBALL_SHARE = Constant(
    0.3, "ratio", "0.3", Citation("ccps-fireball", "radiant share below relief pressure (Hymes)", "reprint")
)
CENTER = Constant(0.75, "ratio", "0.75", Citation("ccps-fireball", "height of the center, over diameter", "memory"))


def diameter(mass: float) -> float:
    """CCPS, m from kg."""
    return float(5.8 * mass ** (1 / 3))


def duration(mass: float) -> float:
    """CCPS, s from kg."""
    return float(0.45 * mass ** (1 / 3))


SIZE = Equation(
    forms=(("", "D = 5.8*D_1*(m/m_1)**(1/3)"),),
    symbols=(_MASS, _ONE_KG, Symbol("D_1", "length", "1 m"), Symbol("D", "length", "largest diameter")),
    citations=(CCPS,),
    validity=_SMALL,
    constants=(_KG, ("D_1", Constant(1.0, "length", "1 m", PRACTICE))),
)


@calculator("fireball", SIZE, symbols="m", unit="ft", examples={"mass": "3 lb"})
def fireball(mass: Mass) -> Answer:
    """The largest diameter of the fireball of a mass of propane.

    D = 5.8 m^(1/3).

    mass: kg. Returns m. Validity: fitted above 1 kg; marked beyond below. Errors: ValueError for a mass not above 0.
    Source: CCPS (Roberts), read in a worked example: 11,957.7 kg of propane, 132.6 m.

    >>> round(fireball(11957.7).value, 1)
    132.6
    """
    checks.above_zero("a mass", mass, "kg")
    return Answer(diameter(mass), "", _SMALL if mass < 1 else "")


TIME = Equation(
    forms=(
        ("below 30 t", "t = 0.45*t_1*(m/m_1)**(1/3)"),
        ("above", "t = 2.6*t_1*(m/m_1)**(1/6)"),
    ),
    symbols=(_MASS, _ONE_KG, Symbol("t_1", "duration", "1 s"), Symbol("t", "duration", "how long it burns")),
    citations=(CCPS,),
    validity=_SMALL + "; above 30 t the exponent is from memory",
    constants=(_KG, ("t_1", Constant(1.0, "duration", "1 s", PRACTICE))),
)


@calculator("fireball-duration", TIME, symbols="m", unit="s", examples={"mass": "3 lb"})
def fireball_duration(mass: Mass) -> Answer:
    """How long the fireball of a mass of propane burns.

    t = 0.45 m^(1/3) below 30,000 kg, 2.6 m^(1/6) above.

    mass: kg. Returns s. Validity: fitted above 1 kg; marked beyond below. Errors: ValueError for a mass not above 0.
    Source: CCPS (Roberts), read in a worked example: 11,957.7 kg, 10.3 s.

    >>> round(fireball_duration(11957.7).value, 1)
    10.3
    """
    checks.above_zero("a mass", mass, "kg")
    if mass < 30000:
        return Answer(duration(mass), "below 30 t", _SMALL if mass < 1 else "")
    return Answer(2.6 * mass ** (1 / 6), "above", "")


POWER = Equation(
    forms=(("", "P = X*m*h/t"),),
    symbols=(
        _MASS,
        Symbol("h", "specific_energy", "net heating value"),
        Symbol("X", "ratio", "share of the heat that is radiated"),
        Symbol("t", "duration", "how long it burns"),
        Symbol("P", "power", "radiated power"),
    ),
    citations=(CCPS,),
    validity=_SMALL + ". The share is 0.3, and 0.4 where gas comes from above its relief valve's pressure",
    constants=(("X", FIREBALL_SHARE),),
)


@calculator("fireball-power", POWER, symbols="m h", examples={"mass": "3 lb"})
def fireball_power(mass: Mass, heating_value: SpecificEnergy) -> Answer:
    """The radiated power of a fireball while it burns.

    P = X m h / t.

    mass: kg. heating_value: J/kg, net. Returns W. Validity: as `fireball`. Errors: ValueError for a mass or heating
    value not above 0. Source: CCPS (Roberts; radiant share of Hymes), read in a reprint.
    """
    checks.above_zero("a mass", mass, "kg")
    checks.above_zero("a heating value", heating_value, "J/kg")
    time = fireball_duration(mass)
    return Answer(FIREBALL_SHARE.si * mass * heating_value / time.value, "", time.beyond, (("t", time.value),))


def view(distance: float, width: float) -> float:
    """View factor of an upright target on the ground to a ball that touches it: `distance` on the level, m."""
    radius = width / 2
    return float(distance * radius**2 / (distance**2 + radius**2) ** 1.5)
