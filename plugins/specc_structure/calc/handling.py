"""Lifting and carrying: what one person may lift, and what a strap has to hold."""

from __future__ import annotations

from specc.dims import Angle, Force, Length, Mass, Ratio
from specc.formulas.calculators import calculator
from specc.formulas.ranges import check_not_below_zero, check_positive
from specc.measure.units import GRAVITY, INCH, POUND
from specc.model.values import Citation, Constant, Equation, Symbol

NIOSH = Citation("niosh-lifting-reprints", "revised lifting equation, US customary form", "reprint")
TWIST = Citation("niosh-lifting-reprints", "multiplier for twisting 1 - 0.0032 A", "memory")
SECURE = Citation("fmcsa-393-102", "0.8 g forward, 0.5 g back and to the side; down 20 % of the weight", "read")

_LOAD = Constant(51 * POUND, "mass", "51 lb", NIOSH)
_INCH = Constant(INCH, "length", "1 in", NIOSH)
_DEGREE = Constant(0.017453292519943295, "angle", "1°", TWIST)

LIFT = Equation(
    forms=(
        ("", "W = L_c*(10/max(H/i, 10))*(1 - 0.0075*abs(V/i - 30))*(0.82 + 1.8/max(D/i, 10))*(1 - 0.0032*a/j)*f*c"),
    ),
    symbols=(
        Symbol("H", "length", "hands ahead of the ankles"),
        Symbol("V", "length", "hands above the floor at the start"),
        Symbol("D", "length", "how far it is lifted"),
        Symbol("a", "angle", "twist of the body"),
        Symbol("f", "ratio", "multiplier for how often"),
        Symbol("c", "ratio", "multiplier for the grip"),
        Symbol("L_c", "mass", "load constant"),
        Symbol("i", "length", "an inch"),
        Symbol("j", "angle", "a degree"),
        Symbol("W", "mass", "recommended weight limit"),
    ),
    citations=(NIOSH, TWIST),
    validity="two hands, standing, firm footing, no carrying; suits 75 % of women and 90 % of men",
    constants=(("L_c", _LOAD), ("i", _INCH), ("j", _DEGREE)),
)
BETWEEN = Equation(
    forms=(
        (
            "",
            "W = L_c*(10/max(H/i, 10))*min(1 - 0.0075*abs(V/i - 30), 1 - 0.0075*abs(E/i - 30))"
            "*(0.82 + 1.8/max(abs(E - V)/i, 10))*f*c",
        ),
    ),
    symbols=(
        Symbol("H", "length", "hands ahead of the ankles"),
        Symbol("V", "length", "hands above the floor at the start"),
        Symbol("E", "length", "hands above the floor at the end"),
        Symbol("f", "ratio", "multiplier for how often"),
        Symbol("c", "ratio", "multiplier for the grip"),
        Symbol("L_c", "mass", "load constant"),
        Symbol("i", "length", "an inch"),
        Symbol("W", "mass", "recommended weight limit, at start or end, whichever is less"),
    ),
    citations=(NIOSH,),
    validity="as lift-limit, with no twist; lifting down counts as lifting up",
    constants=(("L_c", _LOAD), ("i", _INCH)),
)
MASSES = Equation(
    forms=(("", "m = sum(m_n)"),),
    symbols=(Symbol("m_n", "mass", "each of them"), Symbol("m", "mass", "all together")),
    citations=(SECURE,),
)
CARGO = Equation(
    forms=(("", "F = s*m*g"),),
    symbols=(
        Symbol("m", "mass", "mass of what is tied down"),
        Symbol("s", "ratio", "share of its weight, by direction"),
        Symbol("g", "ratio", "standard gravity, m/s²"),
        Symbol("F", "force", "what all straps together hold in that direction"),
    ),
    citations=(SECURE,),
    validity="breaking strength; the working load limit is about half",
    constants=(("g", Constant(GRAVITY, "ratio", "9.80665", SECURE)),),
)


@calculator("lift-limit", LIFT, symbols="H V D a f c", examples={"height": "30 in"})
def lift_limit(
    ahead: Length, height: Length, travel: Length, twist: Angle = 0.0, frequency: Ratio = 1.0, grip: Ratio = 0.95
) -> Mass:
    """The weight that one person should lift at most.

    W = 51 lb HM VM DM AM FM CM. ahead, height, travel: m. twist: rad. frequency: 1 for one lift in five minutes.
    grip: 1 good, 0.95 fair, 0.9 poor. Returns kg. Errors: ValueError beyond 25 in ahead, 70 in high or of travel, 135
    degrees, or multipliers outside 0 to 1: there the equation gives no weight. Source: NIOSH, from reprints.

    A fair grip, 15 in ahead, from 30 in, 30 in up:

    >>> round(lift_limit(15 * 0.0254, 30 * 0.0254, 30 * 0.0254) / 0.45359237, 1)
    28.4
    """
    check_not_below_zero(ahead=ahead, height=height, travel=travel, twist=twist)
    if ahead > 25 * INCH or height > 70 * INCH or travel > 70 * INCH or twist > 135 * _DEGREE.si:
        raise ValueError(
            "outside what one person lifts: at most 25 in ahead, 70 in high, 70 in up, twisted 135 degrees"
        )
    if not (0 < frequency <= 1 and 0 < grip <= 1):
        raise ValueError("multipliers are above 0 and at most 1")
    h, v, d = ahead / INCH, height / INCH, travel / INCH
    reach, rise, way = 10 / max(h, 10), 1 - 0.0075 * abs(v - 30), 0.82 + 1.8 / max(d, 10)
    return _LOAD.si * reach * rise * way * (1 - 0.0032 * twist / _DEGREE.si) * frequency * grip


@calculator("lift-between", BETWEEN, symbols="H V E f c", examples={"start": "2 in", "end": "40 in"})
def lift_between(ahead: Length, start: Length, end: Length, frequency: Ratio = 1.0, grip: Ratio = 0.95) -> Mass:
    """The weight that one person should lift at most from one height to another.

    As lift-limit, at the start or the end, whichever is less. ahead, start, end: m. Returns kg. Errors: as lift-limit.
    Source: NIOSH, from reprints.
    """
    travel = abs(end - start)
    return min(
        lift_limit.function(ahead, start, travel, 0.0, frequency, grip),
        lift_limit.function(ahead, end, travel, 0.0, frequency, grip),
    )


@calculator("mass-sum", MASSES, symbols="m_n", bench=False)
def mass_sum(masses: tuple[Mass, ...]) -> Mass:
    """Masses together. m = sum(m_n). masses: kg. Returns kg. Errors: none. Source: none needed.

    Used for what a vehicle carries.
    """
    return sum(masses)


@calculator("cargo-force", CARGO, symbols="m s")
def cargo_force(mass: Mass, share: Ratio = 0.8) -> Force:
    """What the straps on a thing hold, all together, in one direction.

    F = s m g. mass: kg. share: 0.8 forward, 0.5 back and to the side, 0.2 down. Returns N.
    Errors: ValueError for a mass or share of 0 or less. Source: 49 CFR 393.102.
    """
    check_positive(mass=mass, share=share)
    return share * mass * GRAVITY
