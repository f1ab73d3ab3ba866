"""Standing: overturning, sliding, ballast and guys. The ground does not give."""

from __future__ import annotations

import math

from specc.dims import Angle, Force, Length, Moment, Ratio
from specc.formulas.calculators import calculator
from specc.formulas.ranges import check_not_below_zero, check_positive
from specc.model.values import Answer, Equation, Symbol
from specc_structure.calc.sources import FACTOR, STATICS

_HOLDS = Symbol("M_r", "moment", "moments about the edge that hold it down: each weight times its distance inside")
_TIPS = Symbol("M_o", "moment", "moments about the edge that tip it: each push times its height")
_N = Symbol("n", "ratio", "factor of safety")
_PUSH = Symbol("F", "force", "push along the ground, all together")
_MU = Symbol("mu", "ratio", "friction between foot and ground")
_WEIGHT = Symbol("W", "force", "weight on the feet, ballast included")
_STIFF = "one stiff body on level ground that does not give; a soft edge moves the line it tips about inward"

OVERTURN = Equation(
    forms=(("", "n = sum(M_r)/sum(M_o)"),),
    symbols=(_HOLDS, _TIPS, _N),
    citations=(STATICS, FACTOR),
    validity=_STIFF + ". Lift counts among what tips, which is the safe way to count it",
)
SLIDE = Equation(
    forms=(("", "n = mu*W/F"),),
    symbols=(_MU, _WEIGHT, _PUSH, _N),
    citations=(STATICS, FACTOR),
    validity="dry friction on level ground; wet, icy or sloping ground holds less",
)
BALLAST = Equation(
    forms=(("overturning", "B = (n*M_o - M_r)/d"), ("sliding", "B = n*F/mu - W"), ("none", "B = 0")),
    symbols=(
        _HOLDS,
        _TIPS,
        _WEIGHT,
        _PUSH,
        _MU,
        Symbol("d", "length", "distance of the ballast inside the edge"),
        _N,
        Symbol("B", "force", "ballast to add"),
    ),
    citations=(STATICS, FACTOR),
    validity=_STIFF + "; the ballast is tied to the thing, at the distance given",
)
GUY = Equation(
    forms=(("", "T = H/cos_a"),),
    symbols=(
        Symbol("H", "force", "push that the guy takes, along the ground, where it is tied"),
        Symbol("a", "angle", "angle of the guy above the ground"),
        Symbol("cos_a", "ratio", "cosine of that angle"),
        Symbol("T", "force", "pull in the guy"),
        Symbol("L", "force", "lift at the anchor, and thrust down the mast"),
    ),
    citations=(STATICS,),
    validity="one guy takes the whole push, in its own direction; tightening it beforehand adds to the pull",
)


@calculator("overturning", OVERTURN, symbols="M_r M_o", examples={"holds": "600 lbf·ft"})
def overturning(holds: tuple[Moment, ...], tips: tuple[Moment, ...]) -> Ratio:
    """The factor of safety against tipping over one edge.

    n = sum of what holds / sum of what tips. holds, tips: N m about the edge. Returns the factor: under 1 it falls.
    Errors: ValueError for a moment below 0, or nothing that tips. Source: statics.
    """
    for one in (*holds, *tips):
        check_not_below_zero(moment=one)
    check_positive(moment_that_tips=sum(tips))
    return sum(holds) / sum(tips)


@calculator("sliding", SLIDE, symbols="mu W F")
def sliding(friction: Ratio, weight: Force, push: Force) -> Ratio:
    """The factor of safety against sliding.

    n = mu W/F. friction: 0.2 for steel on earth, concrete or grass. weight, push: N. Returns the factor.
    Errors: ValueError for a friction or weight below 0, or a push of 0 or less. Source: statics.
    """
    check_not_below_zero(friction=friction, weight=weight)
    check_positive(push=push)
    return friction * weight / push


@calculator(
    "ballast",
    BALLAST,
    symbols="M_r M_o W F mu d n",
    examples={"distance": "2 ft", "push": "80 lbf", "tips": "700 lbf·ft"},
)
def ballast(
    holds: Moment, tips: Moment, weight: Force, push: Force, friction: Ratio, distance: Length, factor: Ratio = 1.5
) -> Answer:
    """The ballast that a thing lacks against tipping and sliding, whichever asks for more.

    B = (n M_o - M_r)/d, or n F/mu - W. holds, tips: N m. weight, push: N. distance: m inside the edge. Returns N, with
    the regime that governs: "overturning", "sliding", or "none". Errors: ValueError for a friction, distance or factor
    of 0 or less, others below 0. Source: statics; the factor 1.5 as city sheets ask.

    150 lb on a base 3 ft square, 60 lb of wind at 6 ft, steel feet (0.2): sliding asks for 300 lb, tipping for 210.

    >>> answer = ballast(150 * 1.5, 60 * 6.0, 150.0, 60.0, 0.2, 1.5)
    >>> answer.regime, round(answer.value)
    ('sliding', 300)
    """
    check_positive(friction=friction, distance_to_the_edge=distance, factor=factor)
    check_not_below_zero(holding_moment=holds, tipping_moment=tips, weight=weight, push=push)
    against = {
        "overturning": (factor * tips - holds) / distance,
        "sliding": factor * push / friction - weight,
    }
    regime = max(against, key=lambda way: against[way])
    return Answer(against[regime], regime) if against[regime] > 0 else Answer(0.0, "none")


@calculator("guy-tension", GUY, symbols="H a")
def guy_tension(push: Force, angle: Angle) -> Answer:
    """The pull in a guy, and the lift at its anchor.

    T = H/cos a; lift = H tan a. push: N, taken where the guy is tied. angle: rad above the ground. Returns N; `also`
    holds the lift L. Errors: ValueError for a push below 0, or an angle outside 0 to 85 degrees. Source: statics.

    1,000 lb and a guy at 45 degrees:

    >>> round(guy_tension(1000.0, 0.7853981634).value)
    1414
    """
    check_not_below_zero(push=push)
    if not 0 <= angle <= math.radians(85):
        raise ValueError("a guy stands 0 to 85 degrees above the ground; a steeper one holds nothing sideways")
    cosine = math.cos(angle)
    return Answer(push / cosine, also=(("cos_a", cosine), ("L", push * math.tan(angle))))
