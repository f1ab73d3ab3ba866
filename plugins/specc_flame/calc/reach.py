"""What an outlet's flame comes to: which published forms apply to its jets, and which one governs.

A burst is a flame and a fireball both. `switch` is the release time at which the two meet: the time that the
fireball of the gas released by then would burn. From a third to three times that, both count and the larger governs.
Above three times the fireball is kept at what it was there; below a third the flame is held to what the mass can
feed, so both fall continuously with the mass. More gas or a longer burst never lowers either.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from specc.dims import Duration, Length, Mass, MassFlow, Power, SpecificEnergy
from specc.formulas.calculators import calculator
from specc.model.values import CHOICE, PRACTICE, Constant, Equation, Symbol
from specc_flame.calc import checks
from specc_flame.calc.fireball import CCPS
from specc_flame.calc.height import along_a_line, buoyant, heat_number, jet_flame
from specc_flame.calc.sources import STANDARD_AIR, USUAL_AIR

TIP = Constant(1.5, "ratio", "1.5", PRACTICE)


class Form(NamedTuple):
    """One form for a flame's mean length, m. `used` is False for one that is out of range and only shown."""

    name: str
    length: float
    used: bool
    range: str  # its range, or how it is passed


class Flame(NamedTuple):
    """A mean length in m, the form that governs, why, and all forms."""

    length: float
    governing: str
    why: str
    forms: tuple[Form, ...]


ONE, JET, CURTAIN, MERGED, LINE = "one point (Heskestad)", "round jet", "curtain", "merged ring", "line"
SINGLE, SHORT = "single jet (Heskestad)", "slit as one point (Heskestad)"


def flame_of(
    heat: float,
    flow: float = 0.0,
    pressure: float = 0.0,
    jets: int = 1,
    ring: float = 0.0,
    line: float = 0.0,
    ambient: float = STANDARD_AIR,
    temperature: float = USUAL_AIR,
) -> Flame:
    """The mean length of an outlet's flame, m.

    heat: W, net, of all jets. flow: kg/s and pressure: Pa gauge, of all jets; 0 where unknown. jets: how many.
    ring: m, the diameter on which they stand. line: m, the length of a slit or row. ambient: Pa absolute.
    Where jets lie is not known (neither ring nor line): all count as merged into one point, the upper bound.
    """
    single = heat / jets if ring > 0 or line > 0 else heat
    one = buoyant(single, 0.0, ambient)
    slit = line > 0 and ring <= 0 and jets == 1
    forms = []
    if not slit:
        forms.append(Form(SINGLE if jets > 1 and (ring or line) else ONE, one, True, _range(single, flow)))
    if flow > 0 and pressure > 0:
        share = flow / (jets if ring > 0 or line > 0 else 1)
        jet = jet_flame(share, pressure, ambient, temperature).value
        why = "round turbulent jets in still air" + (", which a slit is not" if slit else "")
        forms.append(Form(JET, jet, not slit, why))
    if ring > 0:
        around = along_a_line(heat, math.pi * ring)
        fits = math.pi * ring >= 3 * around
        forms.append(Form(CURTAIN, around, fits, _line_range(math.pi * ring, around)))
        forms.append(Form(MERGED, buoyant(heat, ring, ambient), True, f"Q* = {heat_number(heat, ring):.2g}"))
    elif line > 0:
        whole, along = buoyant(heat, 0.0, ambient), along_a_line(heat, line)
        forms.append(Form(LINE, along, line >= 3 * along, _line_range(line, along)))
        # From three flame lengths down to one the two forms are joined, so that more gas never gives a step down.
        weight = min(1.0, max(0.0, (3 - line / along) / 2))
        if weight > 0:
            joined = whole if weight == 1 or along >= whole else along ** (1 - weight) * whole**weight
            forms.append(Form(SHORT, joined, True, "shorter than three flame lengths"))
    best = max((f for f in forms if f.used), key=lambda f: f.length)
    others = sum(f.used for f in forms) - 1
    return Flame(
        best.length, best.name, "the longest of those that apply" if others else "it alone applies", tuple(forms)
    )


def _range(heat: float, flow: float) -> str:
    return "a point source, the longest flame of this heat; fitted to Q* from 0.1 to 10,000, which a jet passes"


def _line_range(length: float, height: float) -> str:
    return f"{length / height:.2g} flame lengths long; wants three"


def switch_time(flow: float) -> float:
    """s: the release time at which fireball and flame meet, from kg/s: t = 0.45 (w t)^(1/3)."""
    return float(0.45**1.5 * math.sqrt(flow))


def fed(flow: float, mass: float) -> float:
    """kg/s: the flow, or what the mass can feed for a third of the switch time, whichever is less."""
    return min(flow, float((3 * mass / 0.45**1.5) ** (2 / 3)))


LET_OUT = Equation(
    forms=(("", "m = w*t"),),
    symbols=(
        Symbol("w", "mass_flow", "first flow of the burst, as if it lasted"),
        Symbol("t", "duration", "how long it is open"),
        Symbol("m", "mass", "gas let out at most"),
    ),
    citations=(CHOICE,),
    validity="more than an accumulator that empties lets out",
)


@calculator("let-out", LET_OUT, symbols="w t", unit="oz", bench=False, examples={"flow": "400 lb/h", "time": "0.5 s"})
def let_out(flow: MassFlow, time: Duration) -> Mass:
    """The most gas that a burst lets out: its first flow as if it lasted. m = w t, kg. Source: specc's own."""
    return flow * time


FED = Equation(
    forms=(("", "Q_e = h*min(w, w_1*(3*m/(0.45**1.5*m_1))**(2/3))"),),
    symbols=(
        Symbol("w", "mass_flow", "first flow of the burst"),
        Symbol("m", "mass", "gas of the burst"),
        Symbol("h", "specific_energy", "net heating value"),
        Symbol("w_1", "mass_flow", "1 kg/s"),
        Symbol("m_1", "mass", "1 kg"),
        Symbol("Q_e", "power", "heat rate that the flame is computed with"),
    ),
    citations=(CCPS, CHOICE),
    validity=(
        "the first flow counts as if it lasted; a burst shorter than a third of the time at which flame and fireball "
        "meet counts as one of that length. The time a flame takes to grow is never used to shrink it"
    ),
    constants=(
        ("w_1", Constant(1.0, "mass_flow", "1 kg/s", CHOICE)),
        ("m_1", Constant(1.0, "mass", "1 kg", CHOICE)),
    ),
)


@calculator("burst-heat", FED, symbols="w m h", bench=False, examples={"flow": "400 lb/h", "mass": "1 oz"})
def burst_heat(flow: MassFlow, mass: Mass, heating_value: SpecificEnergy) -> Power:
    """The heat rate that a burst's flame is computed with.

    Q_e = h min(w, (3 m/0.45^1.5)^(2/3)).

    flow: kg/s, at first. mass: kg of the burst. heating_value: J/kg, net. Returns W. Validity: see the equation.
    Errors: ValueError for values not above zero. Source: the fireball's duration is CCPS's; the rest is specc's own.
    """
    checks.above_zero("a flow", flow, "kg/s")
    checks.above_zero("a mass", mass, "kg")
    checks.above_zero("a heating value", heating_value, "J/kg")
    return heating_value * fed(flow, mass)


FED_FLOW = Equation(
    forms=(("", "w_e = min(w, w_1*(3*m/(0.45**1.5*m_1))**(2/3))"),),
    symbols=(*(x for x in FED.symbols if x.name not in ("h", "Q_e")), Symbol("w_e", "mass_flow", "flow that counts")),
    citations=FED.citations,
    validity=FED.validity,
    constants=FED.constants,
)


@calculator("fed-flow", FED_FLOW, symbols="w m", bench=False, examples={"flow": "400 lb/h", "mass": "1 oz"})
def fed_flow(flow: MassFlow, mass: Mass) -> MassFlow:
    """The flow that a burst's flame is computed with.

    w_e = min(w, (3 m/0.45^1.5)^(2/3)).

    flow: kg/s, at first. mass: kg of the burst. Returns kg/s. Validity, errors and source: as `burst-heat`.
    """
    checks.above_zero("a flow", flow, "kg/s")
    checks.above_zero("a mass", mass, "kg")
    return fed(flow, mass)


MASS = Equation(
    forms=(("", "m = w*min(t, 3*0.45**1.5*t_1*sqrt(w/w_1))"),),
    symbols=(
        Symbol("w", "mass_flow", "first flow of the burst"),
        Symbol("t", "duration", "how long it is open"),
        Symbol("w_1", "mass_flow", "1 kg/s"),
        Symbol("t_1", "duration", "1 s"),
        Symbol("m", "mass", "gas that can burn as a ball"),
    ),
    citations=(CCPS, CHOICE),
    validity="a longer burst burns as a flame; its ball is kept at three times the time at which the two meet",
    constants=(
        ("w_1", Constant(1.0, "mass_flow", "1 kg/s", CHOICE)),
        ("t_1", Constant(1.0, "duration", "1 s", CHOICE)),
    ),
)


@calculator("ball-mass", MASS, symbols="w t", bench=False, examples={"flow": "400 lb/h"})
def ball_mass(flow: MassFlow, open_time: Duration) -> Mass:
    """The gas of a burst that can burn as a ball.

    m = w min(t, 3 * 0.45^1.5 sqrt(w)).

    flow: kg/s, at first. open_time: s. Returns kg. Validity: see the equation. Errors: ValueError for values not above
    zero. Source: the fireball's duration is CCPS's; holding it there is specc's own.
    """
    checks.above_zero("a flow", flow, "kg/s")
    checks.above_zero("an open time", open_time, "s")
    return flow * min(open_time, 3 * switch_time(flow))


VISIBLE = Equation(
    forms=(("", "L_t = 1.5*L + a"),),
    symbols=(
        Symbol("L", "length", "mean flame length"),
        Symbol("a", "length", "how far jets stand from the outlet's middle"),
        Symbol("L_t", "length", "farthest that the flame is seen, in any direction from the outlet"),
    ),
    citations=(PRACTICE,),
    validity="flames are seen to 1.3 to 1.5 times their mean length; wind can lay that in every direction",
)


@calculator("visible-tip", VISIBLE, symbols="L a", unit="ft", examples={"length": "3 ft"})
def visible_tip(length: Length, offset: Length = 0.0) -> Length:
    """The farthest that a flame is seen, upright or laid flat.

    L_t = 1.5 L + a.

    length: m, mean. offset: m of the jets from the outlet's middle. Returns m. Validity: 1.3 to 1.5 is seen; the
    larger counts. Errors: ValueError for a length not above zero. Source: common practice, no published source.
    """
    checks.above_zero("a length", length, "m")
    checks.not_below_zero("an offset", offset, "m")
    return TIP.si * length + offset
