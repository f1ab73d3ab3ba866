"""Pipe cut to length between fittings, how far a pipe screws into them, and what a length of tube weighs."""

from __future__ import annotations

import math
import re

from specc.dims import Density, Length, Mass
from specc.formulas.calculators import calculator
from specc.model.values import PRACTICE, Citation, Constant, Equation, Symbol
from specc_plumbing.calc import checks

# The lengths were read in a supplier's reprint of the standard; three turns by wrench, up to 2 in, in another.
_TAPER = Citation("asme-b1-20-1", "NPT: length of hand-tight engagement L1, and three turns by wrench L3", "reprint")

ENGAGEMENT = Equation(
    forms=(("", "e = L_1 + 3*p"),),
    symbols=(
        Symbol("e", "length", "how far the pipe screws into the fitting"),
        Symbol("L_1", "length", "engagement by hand"),
        Symbol("p", "length", "what one turn moves: 1 over the threads to the inch"),
    ),
    citations=(_TAPER,),
    validity="taper threads (NPT) up to 2 in, cut to gauge, give or take one turn",
)


@calculator("thread-engagement", ENGAGEMENT, symbols="L_1 p")
def thread_engagement(hand_tight: Length, pitch: Length) -> Length:
    """How far a pipe with a taper thread screws into a fitting: by hand, and three turns more by wrench.

    e = L1 + 3 p. hand_tight, pitch: m. Returns m. Valid up to 2 in nominal; one turn more or less is within
    the standard's tolerance. Errors: ValueError for a length that is not above zero. Source: ASME B1.20.1.
    """
    checks.above_zero("the engagement by hand", hand_tight, "m")
    checks.above_zero("the pitch", pitch, "m")
    return hand_tight + 3 * pitch


PIPE_CUT = Equation(
    forms=(("", "L = c - a_1 - a_2 + e_1 + e_2"),),
    symbols=(
        Symbol("L", "length", "length that the pipe is cut to"),
        Symbol("c", "length", "from center to center of the fittings"),
        Symbol("a_1", "length", "take-out of the first fitting: its center to its face"),
        Symbol("a_2", "length", "take-out of the second fitting"),
        Symbol("e_1", "length", "how far the pipe goes into the first fitting"),
        Symbol("e_2", "length", "how far the pipe goes into the second fitting"),
    ),
    citations=(PRACTICE,),
    validity="a straight pipe between two fittings; take-outs differ from maker to maker, and threads by one turn at "
    "each end: measure the fittings at hand before cutting",
)


@calculator("pipe-cut", PIPE_CUT, symbols="c a_1 a_2 e_1 e_2")
def pipe_cut(
    centers: Length,
    first_take_out: Length,
    second_take_out: Length,
    first_engaged: Length,
    second_engaged: Length,
) -> Length:
    """The length that a pipe is cut to, to bring two fittings to a distance from center to center.

    L = c - a1 - a2 + e1 + e2. All in m. Returns m. Errors: ValueError for a negative take-out or engagement,
    and for fittings that stand too close for a pipe between them. Geometry, as pipe fitters work it out.
    """
    checks.above_zero("the distance from center to center", centers, "m")
    for what, value in (
        ("the first take-out", first_take_out),
        ("the second take-out", second_take_out),
        ("the first engagement", first_engaged),
        ("the second engagement", second_engaged),
    ):
        checks.not_below_zero(what, value, "m")
    if centers <= first_take_out + second_take_out:
        raise ValueError("the fittings' faces would meet before a pipe stands between them")
    return centers - first_take_out - second_take_out + first_engaged + second_engaged


WEIGHT = Equation(
    forms=(("", "m = pi*(D - t)*t*L*rho"),),
    symbols=(
        Symbol("m", "mass", "weight"),
        Symbol("D", "length", "outside diameter"),
        Symbol("t", "length", "thickness of the wall"),
        Symbol("L", "length", "length"),
        Symbol("rho", "density", "density of the metal"),
    ),
    citations=(PRACTICE,),
    validity="plain round tube at its nominal size; walls may be an eighth thinner or thicker as made",
)


@calculator("tube-weight", WEIGHT, symbols="D t L rho", examples={"density": "559 lb/ft³"})
def tube_weight(outside: Length, wall: Length, length: Length, density: Density) -> Mass:
    """The weight of a length of pipe or tube.

    m = pi (D - t) t L rho. outside, wall, length: m. density: kg/m3. Returns kg. Errors: ValueError for a
    value that is not above zero and for a wall of half the diameter or more. Geometry.
    """
    for what, value in (
        ("the outside diameter", outside),
        ("the wall", wall),
        ("the length", length),
        ("the density", density),
    ):
        checks.above_zero(what, value)
    if 2 * wall >= outside:
        raise ValueError("twice the wall is not below the outside diameter")
    return math.pi * (outside - wall) * wall * length * density


TUBE_BORE = Equation(
    forms=(("", "d = D - 2*t"),),
    symbols=(
        Symbol("d", "length", "bore"),
        Symbol("D", "length", "outside diameter"),
        Symbol("t", "length", "thickness of the wall"),
    ),
    citations=(PRACTICE,),
    validity="round tube at its nominal size",
)


@calculator("tube-bore", TUBE_BORE, symbols="D t")
def tube_bore(outside: Length, wall: Length) -> Length:
    """The bore that a wall leaves in a tube.

    d = D - 2 t. outside, wall: m. Returns m. Errors: ValueError for a value that is not above zero and for a
    wall of half the diameter or more. Geometry.
    """
    checks.above_zero("the outside diameter", outside, "m")
    checks.above_zero("the wall", wall, "m")
    if 2 * wall >= outside:
        raise ValueError("twice the wall is not below the outside diameter")
    return outside - 2 * wall


TUBE_WALL = Equation(
    forms=(("", "t = (D - d)/2"),),
    symbols=(
        Symbol("t", "length", "thickness of the wall"),
        Symbol("D", "length", "outside diameter"),
        Symbol("d", "length", "bore"),
    ),
    citations=(PRACTICE,),
    validity="round tube at its nominal size",
)


@calculator("tube-wall", TUBE_WALL, symbols="D d", examples={"bore": "0.43 in"})
def tube_wall(outside: Length, bore: Length) -> Length:
    """The thickness of a tube's wall.

    t = (D - d) / 2. outside, bore: m. Returns m. Errors: ValueError for a bore that is not above zero and not
    below the outside diameter. Geometry.
    """
    checks.above_zero("the bore", bore, "m")
    if bore >= outside:
        raise ValueError("the bore is not below the outside diameter")
    return (outside - bore) / 2


_METALS = Citation("wermac-density", "copper 8940; brass, rolled and drawn, 8430 to 8730 kg/m³", "reprint")
_STEEL = Citation("engineering-toolbox-pipe-weight", "10.68 lb/ft for steel, which is 7850 kg/m³", "computed")
_STAINLESS = Citation("stainless-density", "304: 7.93; 316: 8.0 g/cm³, the larger taken", "reprint")

DENSITIES = {
    "copper": Constant(8940.0, "density", "8940 kg/m³", _METALS),
    "brass": Constant(8730.0, "density", "8730 kg/m³, the most of drawn brass", _METALS),
    "stainless": Constant(8000.0, "density", "8000 kg/m³", _STAINLESS),
    "steel": Constant(7850.0, "density", "7850 kg/m³", _STEEL),
}
# A mixture or a coat of something else is not guessed at.
_METAL = re.compile(r"[a-z]+")
_OTHER = frozenset(("aluminium", "aluminum", "bronze", "nickel", "iron", "rubber", "plastic", "pvc", "pe", "lined"))


def density_of(material: str) -> Constant | None:
    """The density of what a part is said to be made of; None when it names no one metal that is allowed."""
    words = set(_METAL.findall(material.lower()))
    if words & _OTHER:
        return None
    named = words & {"copper", "brass", "stainless", "steel"}
    if "stainless" in named:
        named.discard("steel")
    return DENSITIES[named.pop()] if len(named) == 1 else None
