"""Where weight and push act: distances inside the edges of a base, moments, guys in plan, and a fall's reach."""

from __future__ import annotations

import math

from specc.dims import Angle, Force, Length, Mass, Moment, Ratio
from specc.formulas.calculators import calculator
from specc.formulas.ranges import check_not_below_zero, check_positive
from specc.measure.units import GRAVITY
from specc.model.values import Answer, Constant, Equation, Symbol
from specc_structure.calc.sources import STATICS

_X, _Y = Symbol("x", "length", "point, x"), Symbol("y", "length", "point, y")
_D = Symbol("d", "length", "distance inside the edge; below 0 it is outside")
_F = Symbol("F", "force", "push or weight")
_M = Symbol("M", "moment", "moment about the edge")
_ANGLE = Symbol("a", "angle", "slope of the ground")

EDGE = Equation(
    forms=(("", "d = ((x_2 - x_1)*(y - y_1) - (y_2 - y_1)*(x - x_1))/sqrt((x_2 - x_1)**2 + (y_2 - y_1)**2)"),),
    symbols=(
        Symbol("x_1", "length", "one foot, x"),
        Symbol("y_1", "length", "one foot, y"),
        Symbol("x_2", "length", "next foot counter-clockwise, x"),
        Symbol("y_2", "length", "next foot counter-clockwise, y"),
        _X,
        _Y,
        _D,
    ),
    citations=(STATICS,),
    validity="it tips about the straight line between two feet",
)
CORNER = Equation(
    forms=(("", "c = n*b/2"),),
    symbols=(
        Symbol("b", "length", "width of the base"),
        Symbol("n", "ratio", "1 or -1, for the side"),
        Symbol("c", "length", "corner, from the middle"),
    ),
    citations=(STATICS,),
)
BASE = Equation(
    forms=(("", "d = b/2 - t"),),
    symbols=(
        Symbol("b", "length", "diameter of the base"),
        Symbol("t", "length", "how far the point is off the center"),
        _D,
    ),
    citations=(STATICS,),
    validity="a round base that is stiff and rests on its rim; each weight off the center counts as toward the edge",
)
OFFSET = Equation(
    forms=(("", "t = sqrt(x**2 + y**2)"),),
    symbols=(_X, _Y, Symbol("t", "length", "distance off the center")),
    citations=(STATICS,),
)
MOMENT = Equation(
    forms=(("", "M = F*d"),),
    symbols=(_F, Symbol("d", "length", "arm: height of a push, or distance inside the edge of a weight"), _M),
    citations=(STATICS,),
    validity="weight straight down, push along the ground",
)
WEIGHT = Equation(
    forms=(("", "W = m*g"),),
    symbols=(
        Symbol("m", "mass", "mass"),
        Symbol("g", "ratio", "standard gravity, m/s²"),
        Symbol("W", "force", "weight"),
    ),
    citations=(STATICS,),
    constants=(("g", Constant(GRAVITY, "ratio", "9.80665", STATICS)),),
)
SLOPE = Equation(
    forms=(("", "F_s = F*tan_a"),),
    symbols=(
        _F,
        _ANGLE,
        Symbol("tan_a", "ratio", "tangent of the slope"),
        Symbol("F_s", "force", "push down the slope, or lift off it"),
    ),
    citations=(STATICS,),
    validity="the slope falls toward the edge it tips about, which is the worst way; up to 10 degrees",
)
SUM = Equation(
    forms=(("", "F = sum(F_n)"),),
    symbols=(Symbol("F_n", "force", "each of them"), Symbol("F", "force", "all together")),
    citations=(STATICS,),
)
MOMENTS = Equation(
    forms=(("", "M = sum(M_n)"),),
    symbols=(Symbol("M_n", "moment", "each of them"), Symbol("M", "moment", "all together")),
    citations=(STATICS,),
)
SPREAD = Equation(
    forms=(("apart", "s = abs(x_1*y_2 - x_2*y_1)/sqrt((x_1**2 + y_1**2)*(x_2**2 + y_2**2))"), ("close", "s = 1")),
    symbols=(
        Symbol("x_1", "length", "one anchor from the foot of the mast, x"),
        Symbol("y_1", "length", "one anchor, y"),
        Symbol("x_2", "length", "next anchor counter-clockwise, x"),
        Symbol("y_2", "length", "next anchor, y"),
        Symbol("s", "ratio", "sine of the angle between two guys, where that is more than a right angle"),
    ),
    citations=(STATICS,),
    validity="wind from the worst side of the pair, less than 180 degrees apart",
)
GUY_PUSH = Equation(
    forms=(("", "H = M/(z*s)"),),
    symbols=(
        Symbol("M", "moment", "moments of all pushes about the foot of the mast"),
        Symbol("z", "length", "height at which the guy is tied"),
        Symbol("s", "ratio", "sine of the angle to the next guy, 1 up to a right angle"),
        Symbol("H", "force", "push that the guy takes, along the ground"),
    ),
    citations=(STATICS,),
    validity="the mast as if on a hinge: its base helps nothing",
)
GUY_PULL = Equation(
    forms=(("", "T = H*sqrt(r**2 + z**2)/r"),),
    symbols=(
        Symbol("H", "force", "push that the guy takes, along the ground"),
        Symbol("z", "length", "height at which the guy is tied"),
        Symbol("r", "length", "distance of the anchor from the foot of the mast"),
        Symbol("L", "force", "lift at the anchor"),
        Symbol("T", "force", "pull in the guy"),
    ),
    citations=(STATICS,),
    validity="a straight guy; tightening it beforehand adds to the pull",
)
FALL = Equation(
    forms=(("", "R = c + sqrt(c**2 + h**2)"),),
    symbols=(
        Symbol("c", "length", "greatest distance from the center to where it tips"),
        Symbol("h", "length", "height of the top"),
        Symbol("R", "length", "how far from the center its top can reach"),
    ),
    citations=(STATICS,),
    validity="in one piece; what breaks off or is thrown goes farther",
)


@calculator("edge-distance", EDGE, symbols="x_1 y_1 x_2 y_2 x y", bench=False)
def edge_distance(x1: Length, y1: Length, x2: Length, y2: Length, x: Length, y: Length) -> Length:
    """How far a point is inside the line between two feet.

    All in m from any one origin, feet counter-clockwise. Returns m, below 0 outside. Errors: ValueError for two feet
    at one point. Source: plane geometry.

    Three legs on a radius of 1: the edge is half a radius from the center.

    >>> round(edge_distance(1.0, 0.0, -0.5, 3**0.5 / 2, 0.0, 0.0), 3)
    0.5
    """
    long = math.hypot(x2 - x1, y2 - y1)
    if not 0 < long < math.inf:
        raise ValueError("two feet stand at one point")
    return ((x2 - x1) * (y - y1) - (y2 - y1) * (x - x1)) / long


@calculator("base-corner", CORNER, symbols="b n", bench=False)
def base_corner(width: Length, side: Ratio = 1.0) -> Length:
    """Where a corner of a plate is, along one axis from its middle.

    c = n b/2. width: m. side: 1 or -1. Returns m. Errors: ValueError for a width of 0 or less. Source: plane geometry.
    """
    check_positive(width=width)
    return side * width / 2


@calculator("base-distance", BASE, symbols="b t", bench=False)
def base_distance(width: Length, toward: Length = 0.0) -> Length:
    """How far a point is inside the rim of a round base.

    d = b/2 - t. width: m across. toward: m off the center. Returns m. Errors: ValueError for a width of 0 or less, or
    a point outside the rim. Source: plane geometry.
    """
    check_positive(width=width)
    if toward > width / 2:
        raise ValueError("its center is outside the round base: give the base by its feet")
    return width / 2 - toward


@calculator("offset", OFFSET, bench=False)
def offset(x: Length, y: Length) -> Length:
    """How far a point is off the center. x, y: m. Returns m.

    t = sqrt(x^2 + y^2). Errors: none. Source: plane geometry.
    """
    return math.hypot(x, y)


@calculator("moment", MOMENT, symbols="F d")
def moment(force: Force, arm: Length) -> Moment:
    """The moment of a push or weight about an edge.

    M = F d. force: N. arm: m. Returns N m. Errors: ValueError for values below 0. Source: statics.
    """
    check_not_below_zero(force=force, arm=arm)
    return force * arm


@calculator("weight", WEIGHT, symbols="m")
def weight(mass: Mass) -> Force:
    """The weight of a mass. W = m g. mass: kg. Returns N.

    Errors: ValueError for a mass of 0 or less. Source: statics.
    """
    check_positive(mass=mass)
    return mass * GRAVITY


@calculator("slope-push", SLOPE, symbols="F a", bench=False)
def slope_push(force: Force, slope: Angle) -> Answer:
    """What a slope makes of a weight: a push downhill; and of a push along the level: a lift.

    F_s = F tan a. force: N. slope: rad. Returns N. Errors: ValueError for a force below 0, or a slope outside 0 to 10
    degrees. Source: statics.
    """
    check_not_below_zero(force=force)
    if not 0 <= slope <= math.radians(10) + 1e-9:
        raise ValueError("ground that slopes more than 10 degrees is not covered: level it first")
    tangent = math.tan(slope)
    return Answer(force * tangent, also=(("tan_a", tangent),))


@calculator("force-sum", SUM, symbols="F_n", bench=False)
def force_sum(forces: tuple[Force, ...]) -> Force:
    """Forces together. F = sum(F_n). forces: N. Returns N. Errors: none. Source: statics.

    All are taken to act the same way.
    """
    return sum(forces)


@calculator("moment-sum", MOMENTS, symbols="M_n", bench=False)
def moment_sum(moments: tuple[Moment, ...]) -> Moment:
    """Moments together. M = sum(M_n). moments: N m. Returns N m. Errors: none. Source: statics.

    All are taken to turn the same way.
    """
    return sum(moments)


@calculator(
    "guy-spread",
    SPREAD,
    symbols="x_1 y_1 x_2 y_2",
    bench=False,
    examples={"x1": "6 ft", "y1": "0 ft", "x2": "0 ft", "y2": "6 ft"},
)
def guy_spread(x1: Length, y1: Length, x2: Length, y2: Length) -> Answer:
    """What the angle between two guys leaves of their hold against wind from between them.

    s = sin of the angle for more than 90 degrees, else 1. Anchors in m from the foot of the mast, counter-clockwise.
    Errors: ValueError for an anchor at the foot, or 180 degrees and more: nothing holds between such two.
    Source: statics of two forces.

    Three guys, 120 degrees apart:

    >>> round(guy_spread(1.0, 0.0, -0.5, 3**0.5 / 2).value, 3)
    0.866
    """
    far = math.hypot(x1, y1) * math.hypot(x2, y2)
    if not 0 < far < math.inf:
        raise ValueError("an anchor stands at the foot of the mast")
    sine, cosine = (x1 * y2 - x2 * y1) / far, (x1 * x2 + y1 * y2) / far
    if sine < 0.1 and not (cosine > 0 and sine > 0):
        raise ValueError("two neighboring guys are 180 degrees apart or more: nothing holds the mast between them")
    return Answer(sine, "apart") if cosine < 0 else Answer(1.0, "close")


@calculator("guy-push", GUY_PUSH, symbols="M z s", bench=False)
def guy_push(moment: Moment, height: Length, spread: Ratio = 1.0) -> Force:
    """What one guy takes, along the ground, of what pushes a mast over.

    H = M/(z s). moment: N m about the foot. height: m, where it is tied. spread: from guy-spread. Returns N.
    Errors: ValueError for a moment below 0, a height of 0 or less, or a spread outside 0 to 1. Source: statics.
    """
    check_not_below_zero(moment=moment)
    check_positive(height=height, spread=spread)
    if spread > 1:
        raise ValueError("the spread is at most 1")
    return moment / (height * spread)


@calculator("guy-pull", GUY_PULL, symbols="H z r")
def guy_pull(push: Force, height: Length, out: Length) -> Answer:
    """The pull in a guy by where it is tied, and the lift at its anchor.

    T = H sqrt(r^2 + z^2)/r; L = H z/r. push: N. height, out: m. Returns N; `also` holds the lift L.
    Errors: ValueError for a push or height below 0, or an anchor at the foot of the mast. Source: statics.

    32 lb at 10 ft, the anchor 7 ft out:

    >>> round(guy_pull(32.0, 10.0, 7.0).value, 1)
    55.8
    """
    check_positive(distance_of_the_anchor=out)
    check_not_below_zero(push=push, height=height)
    return Answer(push * math.hypot(out, height) / out, also=(("L", push * height / out),))


@calculator("fall-radius", FALL, symbols="c h", examples={"edge": "2 ft"})
def fall_radius(edge: Length, top: Length) -> Length:
    """How far from its center the top of a thing can reach when it tips over.

    R = c + sqrt(c^2 + h^2). edge: m from the center to the farthest foot. top: m above the ground. Returns m.
    Errors: ValueError for values below 0. Source: plane geometry.
    """
    check_not_below_zero(edge=edge, top=top)
    return edge + math.hypot(edge, top)
