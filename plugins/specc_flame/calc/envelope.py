"""The heat that flames can send to a place at worst, and the flame of an outlet: what the passes compute from.

The envelope itself is in field.py: here it is told in equations.
"""

from __future__ import annotations

import math

from specc.dims import (
    AbsolutePressure,
    Count,
    GaugePressure,
    HeatFlux,
    Length,
    Mass,
    MassFlow,
    Power,
    Speed,
    Temperature,
)
from specc.formulas.calculators import calculator
from specc.model.values import CHOICE, PRACTICE, Answer, Citation, Constant, Equation, Symbol
from specc_flame.calc import checks, field, fireball, plume, reach
from specc_flame.calc.flux import AT_DISTANCE, POINT_TO
from specc_flame.calc.height import LINE
from specc_flame.calc.sources import (
    BIAS,
    DELICHATSIOS,
    HESKESTAD,
    HESKESTAD_RANGE,
    RADIATIVE,
    STANDARD_AIR,
    USUAL_AIR,
)
from specc_flame.calc.wind import flame_tilt

_HEAT = Symbol("Q", "power", "heat rate of the flame, net")
_FAR = Symbol("R", "length", "distance on the level from the outlet")
_UP = Symbol("z", "length", "height of the outlet")
_FOOT = Symbol("g", "length", "height of the target's own ground")
_OUT = Symbol("a", "length", "how far jets stand from the outlet's middle")
_PLACES = (_FAR, _UP, _FOOT, _OUT)
_FLUX = Symbol("q", "heat_flux", "radiation on a surface that faces the flame")
_HEAD = ("h_1", Constant(field.HEAD, "length", "2 m", PRACTICE))
_SHARES = (("X_r", RADIATIVE), ("B", BIAS), _HEAD)
_SHARE_SYMBOLS = (
    Symbol("X_r", "ratio", "share of the heat that is radiated"),
    Symbol("B", "ratio", "factor owed to the measured bias of the model"),
    Symbol("h_1", "length", "height of a raised head"),
)

ENVELOPE = Equation(
    forms=(
        ("level", "q = min(q_s, B*X_r*Q/(4*pi*(R - a)*(R - a - L)))"),
        ("within the flame", "q = q_s"),
        (
            "above heads",
            "~ q = B·X_r·Q/(4·π)·mean of 1/r² along a level flame of length L at height z, seen at g + h_1",
        ),
    ),
    symbols=(
        _HEAT,
        Symbol("L", "length", "mean flame length, laid level or rising straight at the target"),
        *_PLACES,
        Symbol("q_s", "heat_flux", "the flame's own surface, 4·B·X_r·Q/(4·π)/(0.17·L_h²) with Heskestad's L_h"),
        *_SHARE_SYMBOLS,
        _FLUX,
    ),
    citations=(*AT_DISTANCE.citations, CHOICE),
    validity=(
        "an envelope: every lower flow, wind from none to the stop wind from every side, a target facing the flame, "
        "heads 0 to 2 m above their own ground, the running maximum inward. Transmissivity 1; the sun, up to about "
        "1 kW/m², is not counted. Above 5 kW/m² a row of points is a stretch. The factor 1.25 covers gauges to 2 m and "
        "is an extrapolation beyond"
    ),
    constants=_SHARES,
)


@calculator(
    "flame-flux",
    ENVELOPE,
    symbols="Q L R z g a",
    unit="kW/m²",
    bench=False,
    examples={"length": "3 ft", "distance": "10 ft"},
)
def flame_flux(
    heat: Power, length: Length, distance: Length, height: Length = 0.0, ground: Length = 0.0, offset: Length = 0.0
) -> Answer:
    """The most that one flame can radiate to somebody, whatever the wind and whatever lower flow.

    q = B X_r Q/(4 pi) times the mean of 1/r^2 along a flame that lies straight at the target.

    heat: W, net. length: m, mean. distance: m on the level. height: m of the outlet. ground: m, of the target's own
    ground. offset: m of the jets from the outlet's middle. Returns W/m2. Validity: see the equation; marked beyond
    above 5 kW/m2. Errors: ValueError for a heat or length not above zero, a distance below it.
    Source: the point source of NIST's Correlation Guide, along the flame; the envelope is specc's own.
    """
    checks.above_zero("a heat rate", heat, "W")
    checks.above_zero("a flame's length", length, "m")
    checks.not_below_zero("a distance", distance, "m")
    checks.not_below_zero("an offset", offset, "m")
    source = field.FlameSource("", 0.0, 0.0, height, heat, length, offset)
    most, q = field.surface(heat), field.flux(source, distance, ground)
    regime = "within the flame" if q >= most else "level" if ground >= height - field.HEAD else "above heads"
    # Where the target stands higher than the outlet, the flame rises at it: the distance is the slope's.
    if regime == "level" and ground > height:
        regime = "above heads"
    return Answer(q, regime, "above 5 kW/m² a row of points is a stretch" if q > POINT_TO else "", (("q_s", most),))


BALL = Equation(
    forms=(("", "~ q = B·P/(4·π·r²), r from the ball's middle, carried toward the target by u while it burns"),),
    symbols=(
        Symbol("m", "mass", "gas that can burn as a ball"),
        Symbol("P", "power", "radiated power, 0.3 of its heat over the time it burns"),
        *_PLACES,
        Symbol("u", "speed", "stop wind"),
        *_SHARE_SYMBOLS[1:],
        _FLUX,
    ),
    citations=(fireball.CCPS, CHOICE),
    validity="for as long as a ball burns; fireballs of a kilogram and more, a smaller one is an extrapolation",
    constants=_SHARES[1:],
)
NET = 46.35e6  # J/kg, propane, net
NET_SOURCE = Citation("hyram", "propane's net heating value, 46.4 MJ/kg in a run of version 6.1", "reprint")
COUNTED = Citation("", "counted in the show", "practice")
FRESH = Constant(6.7056, "speed", "15 mph", CHOICE)


@calculator(
    "ball-flux", BALL, symbols="m R u z g a", unit="kW/m²", bench=False, examples={"mass": "3 lb", "distance": "60 ft"}
)
def ball_flux(
    mass: Mass, distance: Length, wind: Speed, height: Length = 0.0, ground: Length = 0.0, offset: Length = 0.0
) -> Answer:
    """The most that the fireball of a burst can radiate to somebody while it burns.

    q = B P/(4 pi r^2), P = 0.3 m h/t, r from the middle of the ball.

    mass: kg. distance: m on the level. wind: m/s. height: m of the outlet. ground: m. offset: m. Returns W/m2.
    Validity: fitted above 1 kg; marked beyond below. Errors: ValueError for a mass not above zero, a distance or wind
    below it. Source: CCPS (radiated power), read in a worked example; where the ball can be is specc's own.
    """
    checks.above_zero("a mass", mass, "kg")
    checks.not_below_zero("a distance", distance, "m")
    checks.not_below_zero("a wind", wind, "m/s")
    drift = wind * fireball.duration(mass)
    source = field.FlameSource("", 0.0, 0.0, height, 0.0, 0.0, offset, mass, NET, drift)
    small = "a fireball below 1 kg is an extrapolation" if mass < 1 else ""
    return Answer(field.ball_flux(source, distance, ground), "", small)


LARGER = Equation(
    forms=(("", "q = max(q_f, q_b)"),),
    symbols=(
        Symbol("q_f", "heat_flux", "from the flame"),
        Symbol("q_b", "heat_flux", "from the ball of gas"),
        Symbol("q", "heat_flux", "the larger, which governs"),
    ),
    citations=(CHOICE,),
    validity="a burst is a flame and a fireball both",
)


@calculator("larger-flux", LARGER, symbols="q_f q_b", unit="kW/m²", bench=False)
def larger_flux(flame: HeatFlux, ball: HeatFlux) -> HeatFlux:
    """The heat of a burst at a place: its flame's or its fireball's. q = max(q_f, q_b), W/m2. Source: specc's own."""
    return max(flame, ball)


TOTAL = Equation(
    forms=(("", "q = sum(q_i)"),),
    symbols=(
        Symbol("q_i", "heat_flux", "from each flame, at its own worst wind"),
        Symbol("q", "heat_flux", "from all flames together"),
    ),
    citations=(CHOICE,),
    validity="each flame leans toward the target at once, so the sum is no less than any wind can give",
)


@calculator("total-flux", TOTAL, symbols="q_i", unit="kW/m²", bench=False)
def total_flux(parts: tuple[HeatFlux, ...]) -> HeatFlux:
    """The heat of all flames together at a place. q = sum of the parts, W/m2. Source: specc's own."""
    return sum(parts)


FLAME = Equation(
    forms=(
        (reach.ONE, "L = 0.235*L_1*(Q/q_1*max(1, p_0/p_a))**0.4"),
        (reach.SINGLE, "L = 0.235*L_1*(Q/n/q_1*max(1, p_0/p_a))**0.4"),
        (reach.JET, "~ L as in jet-flame, of one of n jets"),
        (reach.CURTAIN, "L = 0.035*L_1*(Q*L_1/(pi*D*q_1))**(2/3)"),
        (reach.MERGED, "L = 0.235*L_1*(Q/q_1*max(1, p_0/p_a))**0.4 - 1.02*D"),
        (reach.LINE, "L = 0.035*L_1*(Q*L_1/(l*q_1))**(2/3)"),
        (reach.SHORT, "~ L as of one point; from one to three flame lengths joined to line-flame"),
    ),
    symbols=(
        _HEAT,
        Symbol("w", "mass_flow", "flow of all jets"),
        Symbol("p", "gauge_pressure", "gauge pressure at the jets"),
        Symbol("n", "count", "how many jets there are"),
        Symbol("D", "length", "diameter of the ring on which they stand; 0 for none"),
        Symbol("l", "length", "length of the slit or row; 0 for none"),
        Symbol("p_a", "absolute_pressure", "absolute pressure of the air"),
        Symbol("p_0", "absolute_pressure", "the same at sea level"),
        Symbol("T", "temperature", "temperature of gas and air"),
        Symbol("L_1", "length", "1 m"),
        Symbol("q_1", "power", "1 kW"),
        Symbol("L", "length", "mean flame length: the longest of the forms that apply"),
    ),
    citations=(HESKESTAD, HESKESTAD_RANGE, DELICHATSIOS, *LINE.citations),
    validity=(
        "the longest of those forms that apply: one point, round jet, and curtain or merged ring, or line where it is "
        "three flame lengths long. Turbulent flames; a laminar slit is outside their range"
    ),
    constants=(
        ("p_0", Constant(STANDARD_AIR, "absolute_pressure", "101.325 kPa", HESKESTAD)),
        ("L_1", Constant(1.0, "length", "1 m", HESKESTAD)),
        ("q_1", Constant(1000.0, "power", "1 kW", HESKESTAD)),
    ),
)
VISCOSITY = 8.1e-6  # Pa s, propane vapor at 20 °C; from memory
TURBULENT = 2300.0  # Reynolds number: the usual end of laminar flow in ducts, textbook


@calculator("outlet-flame", FLAME, symbols="Q w p n D l p_a T", unit="ft", bench=False)
def outlet_flame(
    heat: Power,
    flow: MassFlow,
    pressure: GaugePressure,
    jets: Count = 1.0,
    ring: Length = 0.0,
    line: Length = 0.0,
    ambient: AbsolutePressure = STANDARD_AIR,
    temperature: Temperature = USUAL_AIR,
) -> Answer:
    """The mean length of an outlet's flame: the longest of the published forms that apply to its jets.

    L = max of Heskestad's point, Delichatsios' jet, and a curtain, merged ring or line where the jets stand so.

    heat: W, net. flow: kg/s of all jets. pressure: Pa gauge at them. jets: how many. ring: m, diameter on which they
    stand. line: m of a slit or row. ambient: Pa absolute. temperature: K. Returns m; the regime is the form that
    governs. Validity: marked beyond for a laminar slit. Errors: ValueError for a heat not above zero, sizes below it.
    Source: as `flame-height`, `jet-flame` and `line-flame`.
    """
    checks.above_zero("a heat rate", heat, "W")
    checks.not_below_zero("a flow", flow, "kg/s")
    checks.not_below_zero("a ring's diameter", ring, "m")
    checks.not_below_zero("a line's length", line, "m")
    if jets < 1:
        raise ValueError("an outlet has one jet or more")
    flame = reach.flame_of(heat, flow, pressure, round(jets), ring, line, ambient, temperature)
    beyond = ""
    if line > 0 and 2 * flow / (line * VISCOSITY) < TURBULENT:
        number = 2 * flow / (line * VISCOSITY)
        beyond = f"laminar at the slit (Reynolds number {number:.0f}); the forms are for turbulent flames"
    return Answer(flame.length, flame.governing, beyond)


WIDTH = Equation(
    forms=(("", "W = 0.17*L + s"),),
    symbols=(
        Symbol("L", "length", "mean flame length"),
        Symbol("s", "length", "length of the slit or row, or diameter of the ring"),
        Symbol("W", "length", "width of the flame"),
    ),
    citations=(Citation("delichatsios-1993", "width of round jet flames, 0.17 of their length, in HyRAM+", "reprint"),),
    validity="flames of round jets; a slit's or ring's own size is added",
)


@calculator("flame-width", WIDTH, symbols="L s", unit="ft", examples={"length": "3 ft"})
def flame_width(length: Length, source: Length = 0.0) -> Length:
    """How wide a flame is. W = 0.17 L + s, in m. Errors: ValueError for a length not above zero.

    Source: Delichatsios, as in HyRAM+.
    """
    checks.above_zero("a length", length, "m")
    return 0.17 * length + source


SUM = Equation(
    forms=(("", "L = sum(l_i)"),),
    symbols=(Symbol("l_i", "length", "each length"), Symbol("L", "length", "all of them together")),
    citations=(Citation("", "a sum", "practice"),),
)


@calculator("added-length", SUM, symbols="l_i", unit="ft", bench=False)
def added_length(parts: tuple[Length, ...]) -> Length:
    """Lengths one after another. L = sum, m. Source: a sum."""
    return sum(parts)


REST = Equation(
    forms=(("", "q_r = max(0.5*q, q - sum(q_i))"),),
    symbols=(
        Symbol("q", "heat_flux", "level for all flames together"),
        Symbol("q_i", "heat_flux", "what the other effects give at the hottest place of the audience"),
        Symbol("q_r", "heat_flux", "what they leave for this one; never less than half"),
    ),
    citations=(CHOICE,),
    validity="the heat of all together is judged at each place besides",
)


@calculator("rest-of-level", REST, symbols="q q_i", unit="kW/m²", bench=False)
def rest_of_level(level: HeatFlux, others: tuple[HeatFlux, ...]) -> HeatFlux:
    """What other effects leave of a level. q_r = max(q/2, q - sum), W/m2. Source: specc's own."""
    return max(0.5 * level, level - sum(others))


BALL_FAR = Equation(
    forms=(("", "R = u*t + max(D/2, sqrt(B*P/(4*pi*q)))"),),
    symbols=(
        Symbol("m", "mass", "gas that can burn as a ball"),
        Symbol("q", "heat_flux", "level"),
        Symbol("D", "length", "its diameter"),
        Symbol("u", "speed", "wind that carries it"),
        Symbol("t", "duration", "how long it burns"),
        Symbol("P", "power", "radiated power, 0.3 of its heat over the time it burns"),
        Symbol("B", "ratio", "factor owed to the measured bias of the model"),
        Symbol("R", "length", "distance from the outlet"),
    ),
    citations=(fireball.CCPS, CHOICE),
    validity="fireballs of a kilogram and more, a smaller one is an extrapolation; no credit for height",
    constants=(("B", BIAS),),
)


@calculator("ball-distance", BALL_FAR, symbols="m q u", unit="ft", bench=False, examples={"mass": "3 lb"})
def ball_distance(mass: Mass, flux: HeatFlux, wind: Speed) -> Answer:
    """How far from an outlet the heat of its burst's fireball falls to a level.

    R = u t + max(D/2, sqrt(B P/(4 pi q))).

    mass: kg. flux: W/m2. wind: m/s. Returns m. Validity: fitted above 1 kg; marked beyond below.
    Errors: ValueError for values not above zero. Source: CCPS, read in a worked example; the drift is specc's own.
    """
    checks.above_zero("a mass", mass, "kg")
    checks.above_zero("a flux", flux, "W/m²")
    checks.not_below_zero("a wind", wind, "m/s")
    width, time = fireball.diameter(mass), fireball.duration(mass)
    power = fireball.FIREBALL_SHARE.si * mass * NET / time
    far = wind * time + max(width / 2, math.sqrt(BIAS.si * power / (4 * math.pi * flux)))
    small = "a fireball below 1 kg is an extrapolation" if mass < 1 else ""
    return Answer(far, "", small, (("D", width), ("t", time), ("P", power)))


LARGEST = Equation(
    forms=(("", "~ the largest of the lengths l_i"),),
    symbols=(Symbol("l_i", "length", "each stand-off"), Symbol("L", "length", "the one that governs")),
    citations=(CHOICE,),
)


@calculator("largest-length", LARGEST, symbols="l_i", result="L", unit="ft", bench=False)
def largest_length(parts: tuple[Length, ...]) -> Length:
    """The largest of several lengths, m. Source: specc's own."""
    return max(parts)


HALF = Equation(
    forms=(("", "a = s/2"),),
    symbols=(Symbol("s", "length", "whole length or diameter"), Symbol("a", "length", "from its middle")),
    citations=(Citation("", "a half", "practice"),),
)


@calculator("half-length", HALF, symbols="s", unit="in", bench=False, examples={"whole": "6 ft"})
def half(whole: Length) -> Length:
    """How far the ends of something lie from its middle. a = s/2, m. Source: a half."""
    return whole / 2


HIGHEST = Equation(
    forms=(("", "H = z + max(L_t, 1.25*D_b)"),),
    symbols=(
        _UP,
        Symbol("L_t", "length", "visible tip over the outlet"),
        Symbol("D_b", "length", "diameter of the ball of a burst; its top stands at 1.25 of it"),
        Symbol("H", "length", "highest that flame is seen, above the ground"),
    ),
    citations=(fireball.CENTER.citation, PRACTICE),
    validity="still air; a ball rises on after it has burned",
)


@calculator("flame-top", HIGHEST, symbols="z L_t D_b", unit="ft", bench=False, examples={"tip": "4 ft"})
def flame_top(height: Length, tip: Length, ball: Length = 0.0) -> Length:
    """How high above the ground flame is seen. H = z + max(L_t, 1.25 D_b), m.

    Source: the fireball's middle at 0.75 of its diameter (CCPS, from memory); tips as `visible-tip`.
    """
    return height + max(tip, 1.25 * ball)


LEAN = Equation(
    forms=(("", "~ x = L·sin θ + a"),),
    symbols=(
        Symbol("L", "length", "mean flame length"),
        Symbol("theta", "angle", "tilt from upright, as in flame-tilt, of a source as wide as the flame"),
        Symbol("u", "speed", "wind"),
        Symbol("w", "mass_flow", "flow"),
        _OUT,
        Symbol("x", "length", "how far the flame reaches out on the level"),
    ),
    citations=(Citation("nureg-1805", "chapter 5, tilt of flames in wind (American Gas Association)", "memory"),),
    validity="to set beside the flame laid flat; pool flames of low momentum. Never used to shrink a distance",
)


@calculator(
    "expected-reach",
    LEAN,
    symbols="L u w a",
    unit="ft",
    bench=False,
    examples={"wind": "3 mph", "flow": "40 lb/h", "length": "3 ft"},
)
def expected_reach(length: Length, wind: Speed, flow: MassFlow, offset: Length = 0.0) -> Answer:
    """How far a flame is expected to reach out in a wind, to set beside the flame laid flat.

    x = L sin(theta) + a.

    length: m, mean. wind: m/s. flow: kg/s. offset: m. Returns m. Validity: marked beyond where the tilt is.
    Errors: ValueError for a length or flow not above zero, a wind below it. Source: as `flame-tilt`.
    """
    checks.above_zero("a length", length, "m")
    tilt = flame_tilt(wind, flow, 0.17 * length)
    return Answer(length * math.sin(tilt.value) + offset, "", tilt.beyond, (("theta", tilt.value),))


GAS = Equation(
    forms=(("", "~ the hotter of plume-temperature and axis-temperature at z; within the flame axis-temperature"),),
    symbols=(
        _HEAT,
        Symbol("z", "length", "distance from the outlet, along the flame"),
        Symbol("T_a", "temperature", "temperature of the air"),
        Symbol("T", "temperature", "mean temperature of the gas on the axis"),
    ),
    citations=(plume.HESKESTAD, plume.MCCAFFREY),
    validity="means on the axis in still air; peaks are higher. A leaning flame is taken as hot as an upright one",
)


@calculator("hottest-gas", GAS, symbols="Q z T_a", result="T", bench=False, examples={"distance": "6 ft"})
def hottest_gas(heat: Power, distance: Length, air: Temperature = USUAL_AIR) -> Answer:
    """How hot a flame's gas is at a distance from its outlet, by the hotter of two forms.

    heat: W, net. distance: m along the flame. air: K. Returns K. Validity: still air, on the axis.
    Errors: ValueError for a heat or air not above zero, a distance below it. Source: Heskestad, McCaffrey.
    """
    checks.above_zero("a heat rate", heat, "W")
    checks.not_below_zero("a distance", distance, "m")
    checks.above_zero("the air's temperature", air, "K")
    return Answer(plume.hottest(heat, distance, air))
