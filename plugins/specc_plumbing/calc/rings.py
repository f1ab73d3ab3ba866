"""Burners made of tube: how long a tube makes a ring, how far apart the jets stand, and whether the tube can
feed them. All of it is plane geometry; what is common practice is said to be so."""

from __future__ import annotations

import math

from specc.dims import Count, Length, Ratio
from specc.formulas.calculators import calculator
from specc.model.values import PRACTICE, Equation, Symbol
from specc_plumbing.calc import checks

RING = Equation(
    forms=(("", "L = pi*D - n*f"),),
    symbols=(
        Symbol("L", "length", "tube in the ring"),
        Symbol("D", "length", "diameter of the ring, to the center line of its tube"),
        Symbol("n", "count", "fittings in the ring"),
        Symbol("f", "length", "what each fitting stands for, between the tube ends in it"),
    ),
    citations=(PRACTICE,),
    validity="a round ring; a bent tube keeps its length along the center line, which bending moves a little. "
    "Leave some over, and cut when the ring has been bent",
)


@calculator("ring-length", RING, symbols="D n f")
def ring_length(diameter: Length, fittings: Count = 0.0, take: Length = 0.0) -> Length:
    """The tube that a ring takes, along its center line, less the fittings in it.

    L = pi D - n f. diameter: m, to the center line. fittings: number. take: m, each. Returns m.
    Errors: ValueError for a diameter that is not above zero, a negative or broken number of fittings, and
    fittings that leave no room for tube. Geometry.
    """
    checks.above_zero("the ring's diameter", diameter, "m")
    checks.not_below_zero("the number of fittings", fittings)
    checks.whole("the number of fittings", fittings)
    checks.not_below_zero("what a fitting takes", take, "m")
    left = math.pi * diameter - fittings * take
    if left <= 0:
        raise ValueError("the fittings take the whole circumference, and no tube is left")
    return left


SPACING = Equation(
    forms=(("", "s = l/n"),),
    symbols=(
        Symbol("s", "length", "from each jet to the next, center to center"),
        Symbol("l", "length", "what they are spread over: a ring's circumference, or a bar's length"),
        Symbol("n", "count", "jets"),
    ),
    citations=(PRACTICE,),
    validity="jets spread evenly in one row: round a ring to its end again, or along a bar with half a space before "
    "the first and after the last; a jet that would stand in a fitting is moved, which this leaves out",
)


@calculator("jet-spacing", SPACING, symbols="l n", examples={"length": "38 in"})
def jet_spacing(length: Length, count: Count) -> Length:
    """The distance from jet to jet when they are spread evenly round a ring or along a bar.

    s = l / n. length: m, a ring's circumference along the center line or a bar's length. count: number.
    Returns m. Errors: ValueError for no length, and for a number that is not whole and above zero. Geometry.
    """
    checks.above_zero("the length", length, "m")
    checks.above_zero("the number of jets", count)
    checks.whole("the number of jets", count)
    return length / count


_FEED_VALIDITY = (
    "how far jets starve for lack of bore: near 1 and above, those far from the feed get less gas; below it they may "
    "still differ. No pressure is computed here"
)

HOLES_RATIO = Equation(
    forms=(("", "r = n*d**2/D**2"),),
    symbols=(
        Symbol("r", "ratio", "area of the jets over that of the tube's bore"),
        Symbol("n", "count", "jets"),
        Symbol("d", "length", "bore of a jet"),
        Symbol("D", "length", "bore of the tube that feeds them"),
    ),
    citations=(PRACTICE,),
    validity="round jets, all alike; " + _FEED_VALIDITY,
)


@calculator("jet-area-ratio", HOLES_RATIO, symbols="n d D")
def jet_area_ratio(count: Count, bore: Length, feed: Length) -> Ratio:
    """The area of round jets over that of the bore that feeds them.

    r = n d^2 / D^2. count: number. bore, feed: m. Returns a ratio. Errors: ValueError for none or no size.
    Geometry; that it should stay below 1 is common practice, no published source.
    """
    checks.above_zero("the number of jets", count)
    checks.above_zero("the bore of a jet", bore, "m")
    checks.above_zero("the bore of the tube", feed, "m")
    return count * (bore / feed) ** 2


SLITS_RATIO = Equation(
    forms=(("", "r = n*b*l/(pi*D**2/4)"),),
    symbols=(
        Symbol("r", "ratio", "area of the slits over that of the tube's bore"),
        Symbol("n", "count", "slits"),
        Symbol("b", "length", "width of a slit"),
        Symbol("l", "length", "length of a slit"),
        Symbol("D", "length", "bore of the tube that feeds them"),
    ),
    citations=(PRACTICE,),
    validity="straight slits, all alike; " + _FEED_VALIDITY,
)


@calculator(
    "slit-area-ratio", SLITS_RATIO, symbols="n b l D", examples={"count": "2", "width": "0.02 in", "length": "1 in"}
)
def slit_area_ratio(count: Count, width: Length, length: Length, feed: Length) -> Ratio:
    """The area of slits over that of the bore that feeds them.

    r = n b l / (pi D^2 / 4). count: number. width, length, feed: m. Returns a ratio. Errors: ValueError for
    none or no size. Geometry; that it should stay below 1 is common practice, no published source.
    """
    checks.above_zero("the number of slits", count)
    checks.above_zero("the width of a slit", width, "m")
    checks.above_zero("the length of a slit", length, "m")
    checks.above_zero("the bore of the tube", feed, "m")
    return count * width * length / (math.pi * feed**2 / 4)
