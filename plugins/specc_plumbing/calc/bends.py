"""How tightly copper tube can be bent: the copper industry's guide for bending tools, and a trade school's rule
for springs. Nothing is allowed of other metals, nor of bending by hand alone."""

from __future__ import annotations

from typing import NamedTuple

from specc.dims import Length
from specc.formulas.calculators import calculator
from specc.measure.units import INCH
from specc.model.values import Citation, Constant, Equation, Symbol
from specc_plumbing.calc import checks

GUIDE = Citation("cda-a4015", "chapter 4, table 4.1, bending guide for copper tube", "reprint")
SPRING = Citation("city-guilds-plumbing-1", "chapter 2, setting out spring bends", "read")


class BendSize(NamedTuple):
    """Inches: a tube's outside diameter, and its smallest bend when annealed and when drawn, where given."""

    outside: float
    annealed: float
    drawn: float | None


# The guide names tubes by nominal size, 1/4 to 1 1/4 in; each is 1/8 in more outside (its table 14.2).
ROWS = (
    BendSize(0.375, 0.75, None),
    BendSize(0.500, 1.50, 1.75),
    BendSize(0.625, 2.25, 2.50),
    BendSize(0.875, 3.00, 3.00),
    BendSize(1.125, 4.00, None),
    BendSize(1.375, 9.00, None),
)
_HAIR = 1e-9  # for what a size in inches gains or loses in meters

_SYMBOLS = (
    Symbol("R", "length", "smallest radius, taken to the tube's center line"),
    Symbol("d", "length", "outside diameter of the tube"),
)
_RANGE = (
    "copper tube of types K and L (drawn: also M where the guide says so), bent in a tool of the tube's size; a "
    "thinner wall wants a larger radius. The guide does not say where it measures; the center line is assumed. "
    "Between its sizes that of the next larger one is taken"
)

ANNEALED = Equation(
    forms=(("", "~ R is the guide's radius for annealed tube of outside diameter d"),),
    symbols=_SYMBOLS,
    citations=(GUIDE,),
    validity=_RANGE + "; tubes up to 1 3/8 in outside",
)
DRAWN = Equation(
    forms=(("", "~ R is the guide's radius for drawn tube of outside diameter d"),),
    symbols=_SYMBOLS,
    citations=(GUIDE,),
    validity=_RANGE + "; tubes of 1/2 to 7/8 in outside",
)
SPRUNG = Equation(
    forms=(("", "R = k*d"),),
    symbols=(*_SYMBOLS, Symbol("k", "ratio", "diameters")),
    citations=(SPRING,),
    validity="annealed copper tube over a bending spring of its size, up to 7/8 in (22 mm) outside. The source takes 4 "
    "diameters as usual and says that a maker of tube wants 5: the larger is taken",
    constants=(("k", Constant(5.0, "ratio", "5", SPRING)),),
)


def _inches(outside: float) -> float:
    checks.above_zero("the outside diameter", outside, "m")
    return outside / INCH


@calculator("smallest-bend", ANNEALED, symbols="d", result="R")
def smallest_bend(outside: Length) -> Length:
    """The smallest radius that annealed copper tube is bent to in a bending tool.

    The guide's row for the tube's size, or the next larger. outside: m. Returns m, to the center line.
    Valid for types K and L; a thinner wall wants more. Errors: ValueError above 1 3/8 in, where the guide ends.
    Source: Copper Tube Handbook, CDA A4015, table 4.1.
    """
    size = _inches(outside)
    for row in ROWS:
        if size <= row.outside + _HAIR:
            return row.annealed * INCH
    raise ValueError("the guide goes up to tube of 1 3/8 in outside diameter")


@calculator("smallest-bend-hard", DRAWN, symbols="d", result="R")
def smallest_bend_hard(outside: Length) -> Length:
    """The smallest radius that drawn (hard) copper tube is bent to in a bending tool.

    The guide's row for the tube's size, or the next larger. outside: m. Returns m, to the center line.
    Errors: ValueError below 1/2 in and above 7/8 in outside, for which the guide gives annealed tube alone.
    Source: Copper Tube Handbook, CDA A4015, table 4.1.
    """
    size = _inches(outside)
    given = [row for row in ROWS if row.drawn is not None]
    if size >= given[0].outside - _HAIR:
        for row in given:
            if size <= row.outside + _HAIR and row.drawn is not None:
                return row.drawn * INCH
    raise ValueError("the guide has drawn tube of 1/2 to 7/8 in outside diameter only; anneal it")


@calculator("smallest-bend-spring", SPRUNG, symbols="d")
def smallest_bend_spring(outside: Length) -> Length:
    """The smallest radius that annealed copper tube is bent to by hand over a bending spring.

    R = 5 d. outside: m. Returns m, to the center line. Errors: ValueError above 7/8 in outside.
    Source: City & Guilds Textbook: Plumbing Book 1, chapter 2 (4 diameters as usual, 5 by a maker of tube).
    """
    if _inches(outside) > 0.875 + _HAIR:
        raise ValueError("springs are for tube up to 7/8 in (22 mm) outside diameter")
    return 5.0 * outside
