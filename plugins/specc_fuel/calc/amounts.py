"""Areas of jets, and amounts of gas over a show: the small sums that figures are made of."""

from __future__ import annotations

import math

from specc.dims import Area, Count, Duration, Length, Mass, MassFlow, Power, Ratio
from specc.formulas.calculators import calculator
from specc.model.values import PRACTICE, Equation, Symbol
from specc_fuel.calc import checks

_ARITHMETIC = (PRACTICE,)

HOLES = Equation(
    forms=(("", "A = n*pi*d**2/4"),),
    symbols=(Symbol("A", "area", "area of all holes"), Symbol("n", "count", "holes"), Symbol("d", "length", "bore")),
    citations=_ARITHMETIC,
    validity="round holes, all alike",
)


@calculator("hole-area", HOLES, symbols="n d")
def hole_area(count: Count, bore: Length) -> Area:
    """The area of round holes.

    A = n pi d^2 / 4. count: number. bore: m. Returns m2. Errors: ValueError for none or no size. Geometry.
    """
    checks.above_zero("the number of holes", count, "")
    checks.above_zero("the bore", bore, "m")
    return count * math.pi * bore**2 / 4


SLITS = Equation(
    forms=(("", "A = n*b*l"),),
    symbols=(
        Symbol("A", "area", "area of all slits"),
        Symbol("n", "count", "slits"),
        Symbol("b", "length", "width"),
        Symbol("l", "length", "length"),
    ),
    citations=_ARITHMETIC,
    validity="straight slits, all alike",
)


@calculator("slit-area", SLITS, symbols="n b l", examples={"count": "2", "width": "0.02 in", "length": "1 in"})
def slit_area(count: Count, width: Length, length: Length) -> Area:
    """The area of straight slits.

    A = n b l. count: number. width, length: m. Returns m2. Errors: ValueError for none or no size. Geometry.
    """
    checks.above_zero("the number of slits", count, "")
    checks.above_zero("the width", width, "m")
    checks.above_zero("the length", length, "m")
    return count * width * length


STEADY_GAS = Equation(
    forms=(("", "m = sum(w)*t"),),
    symbols=(
        Symbol("m", "mass", "gas burned"),
        Symbol("w", "mass_flow", "flow of each outlet"),
        Symbol("t", "duration", "time it burns"),
    ),
    citations=_ARITHMETIC,
    validity="flow taken as steady from the first second to the last",
)


@calculator("steady-gas", STEADY_GAS, symbols="w t")
def steady_gas(flows: tuple[MassFlow, ...], time: Duration) -> Mass:
    """The gas that outlets burn when they all burn all the time.

    m = sum(w) t. flows: kg/s. time: s. Returns kg. Errors: ValueError for a time below zero. Arithmetic.
    """
    checks.not_below_zero("the time", time, "s")
    return sum(flows) * time


BURST_GAS = Equation(
    forms=(("", "m = n*sum(w)*t"),),
    symbols=(
        Symbol("m", "mass", "gas burned"),
        Symbol("n", "count", "bursts"),
        Symbol("w", "mass_flow", "flow of each outlet while open"),
        Symbol("t", "duration", "time open, each"),
    ),
    citations=_ARITHMETIC,
    validity="flow kept at its first value while open, which is more than an accumulator gives as it empties",
)


@calculator("burst-gas", BURST_GAS, symbols="n w t", examples={"flows": "400 lb/h"})
def burst_gas(times: Count, flows: tuple[MassFlow, ...], open_time: Duration) -> Mass:
    """The gas of a number of bursts, at most.

    m = n sum(w) t. times: number. flows: kg/s. open_time: s. Returns kg. Errors: ValueError for a time below
    zero. Arithmetic.
    """
    checks.not_below_zero("the time open", open_time, "s")
    return times * sum(flows) * open_time


TOTAL_GAS = Equation(
    forms=(("", "m = N*sum(m_i)"),),
    symbols=(
        Symbol("m", "mass", "gas"),
        Symbol("N", "count", "how many times"),
        Symbol("m_i", "mass", "gas of each part"),
    ),
    citations=_ARITHMETIC,
    validity="what is counted, and nothing lost or leaked",
)


@calculator("total-gas", TOTAL_GAS, symbols="m_i N", bench=False)
def total_gas(parts: tuple[Mass, ...], times: Count) -> Mass:
    """Gas added up, a number of times.

    m = N sum(m_i). parts: kg. times: number. Returns kg. Arithmetic.
    """
    return times * sum(parts)


MEAN_FLOW = Equation(
    forms=(("", "w = m/t"),),
    symbols=(
        Symbol("w", "mass_flow", "mean flow"),
        Symbol("m", "mass", "gas burned"),
        Symbol("t", "duration", "time"),
    ),
    citations=_ARITHMETIC,
    validity="a mean: the flow at any moment may be higher",
)


@calculator("mean-flow", MEAN_FLOW, symbols="m t")
def mean_flow(gas: Mass, time: Duration) -> MassFlow:
    """The mean flow over a time.

    w = m / t. gas: kg. time: s. Returns kg/s. Errors: ValueError for a time not above zero. Arithmetic.
    """
    checks.above_zero("the time", time, "s")
    return gas / time


ALL_HEAT = Equation(
    forms=(("", "Q = sum(Q_i)"),),
    symbols=(Symbol("Q", "power", "together"), Symbol("Q_i", "power", "each")),
    citations=_ARITHMETIC,
    validity="all at once, and all counted the same way, gross or net",
)


@calculator("heat-together", ALL_HEAT, symbols="Q_i", bench=False)
def heat_together(heats: tuple[Power, ...]) -> Power:
    """Heat rates added up.

    Q = sum(Q_i). heats: W. Returns W. Arithmetic.
    """
    return float(sum(heats))


USABLE = Equation(
    forms=(("", "m = m_c*(1 - x)"),),
    symbols=(
        Symbol("m", "mass", "gas that may be used"),
        Symbol("m_c", "mass", "contents when full"),
        Symbol("x", "ratio", "share left as reserve"),
    ),
    citations=_ARITHMETIC,
    validity="contents as full as the spec says",
)


@calculator("usable-gas", USABLE, symbols="m_c x")
def usable_gas(contents: Mass, reserve: Ratio) -> Mass:
    """What may be used of a cylinder, with a reserve left in it.

    m = m_c (1 - x). contents: kg. reserve: 0 to 1. Returns kg. Errors: ValueError outside. Arithmetic.
    """
    checks.fraction("the reserve", reserve)
    return contents * (1 - reserve)
