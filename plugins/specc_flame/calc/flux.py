"""Heat radiated to a point: a flame laid toward it, its inverse, and a solid flame near by.

A flame radiates from its whole length, evenly (a multipoint source of many points). The worst that it can do to a
point is to lie straight at it; with no length it is the plain point source. Transmissivity is 1 and the sun is not
counted.
"""

from __future__ import annotations

import math

from specc.dims import HeatFlux, Length, Power, Ratio
from specc.formulas.calculators import calculator
from specc.model.values import Answer, Citation, Equation, Symbol
from specc_flame.calc import checks
from specc_flame.calc.sources import BIAS, RADIATIVE

POINT = Citation("nist-cor", "chapter on heat flux, point source", "read")
MANY = Citation("hyram", "flames as a row of point sources, version 6.1; evenly weighted here", "reprint")
SURFACE = Citation("nist-cor", "chapter on heat flux, solid flame of Shokri and Beyler", "read")

_HEAT = Symbol("Q", "power", "heat rate, net")
_R = Symbol("R", "length", "distance from the outlet; with L = 0, from the flame's middle")
_L = Symbol("L", "length", "length of the flame, laid straight at the target; 0 for a point source")
_X = Symbol("X_r", "ratio", "share of the heat that is radiated")
_B = Symbol("B", "ratio", "factor owed to the measured bias of the model; 1 for the model alone")
_Q = Symbol("q", "heat_flux", "radiation on a surface that faces the flame")
_VALIDITY = (
    "clear of the flame, and less than 5 kW/m²; above that a solid flame stands beside. The factor 1.25 covers "
    "what was measured to 2 m; farther off it is an extrapolation. Transmissivity 1; the sun, up to about 1 kW/m², "
    "is not counted"
)
# Beyler, SFPE Handbook: the point source is meant for 5 kW/m2 and less.
POINT_TO = 5000.0

AT_DISTANCE = Equation(
    forms=(("", "q = B*X_r*Q/(4*pi*R*(R - L))"),),
    symbols=(_HEAT, _R, _L, _X, _B, _Q),
    citations=(POINT, MANY, RADIATIVE.citation, BIAS.citation),
    validity=_VALIDITY,
)


def strength(heat: float, fraction: float = RADIATIVE.si, factor: float = BIAS.si) -> float:
    """W per steradian of a flame, with the factor."""
    return factor * fraction * heat / (4 * math.pi)


@calculator("flux-at-distance", AT_DISTANCE, symbols="Q R L X_r B", unit="kW/m²", examples={"distance": "6 ft"})
def flux_at_distance(
    heat: Power, distance: Length, length: Length = 0.0, fraction: Ratio = 0.32, factor: Ratio = 1.25
) -> Answer:
    """The heat that a flame radiates to a surface that faces it, at worst.

    q = B X_r Q / (4 pi R (R - L)): many points along a flame that lies straight at the target.

    heat: W, net. distance: m from the outlet. length: m of the flame; 0 for a point source, with the distance
    counted from the flame's middle. fraction: share radiated. factor: 1.25, see `sources`. Returns W/m2.
    Validity: up to 5 kW/m2, and clear of the flame; an Answer marked beyond above it.
    Errors: ValueError for a heat or distance not above zero, or a target within the flame.
    Source: NIST's Correlation Guide (point source); the even row of points as in HyRAM+.
    A printed example of the plain form (ofire, after NUREG-1805 eq. 5-1): 750 kW, 2.5 m, 0.3, 2.8648 kW/m2.

    >>> round(flux_at_distance(750e3, 2.5, 0, 0.3, 1).value, 3)
    2864.789
    """
    checks.above_zero("a heat rate", heat, "W")
    checks.above_zero("a distance", distance, "m")
    checks.not_below_zero("a flame's length", length, "m")
    checks.fraction("the share radiated", fraction)
    checks.above_zero("the factor", factor, "")
    if distance <= length:
        raise ValueError(f"{distance:g} m is within the flame, which is {length:g} m long")
    flux = strength(heat, fraction, factor) / (distance * (distance - length))
    beyond = "above 5 kW/m² a point source is a stretch" if flux > POINT_TO else ""
    return Answer(flux, "", beyond)


FOR_FLUX = Equation(
    forms=(("", "R = L/2 + sqrt(L**2/4 + B*X_r*Q/(4*pi*q))"),),
    symbols=(_HEAT, _Q, _L, _X, _B, _R),
    citations=AT_DISTANCE.citations,
    validity=_VALIDITY,
)


@calculator("distance-for-flux", FOR_FLUX, symbols="Q q L X_r B", unit="ft")
def distance_for_flux(
    heat: Power, flux: HeatFlux, length: Length = 0.0, fraction: Ratio = 0.32, factor: Ratio = 1.25
) -> Answer:
    """How far from a flame's outlet the radiation falls to a level.

    R = L/2 + sqrt(L^2/4 + B X_r Q / (4 pi q)): the inverse of flux-at-distance.

    heat: W, net. flux: W/m2. length, fraction, factor: as there. Returns m. Validity: as there.
    Errors: ValueError for a heat or flux not above zero. Source: as there.

    >>> round(distance_for_flux(750e3, 2864.789, 0, 0.3, 1).value, 4)
    2.5
    """
    checks.above_zero("a heat rate", heat, "W")
    checks.above_zero("a flux", flux, "W/m²")
    checks.not_below_zero("a flame's length", length, "m")
    checks.fraction("the share radiated", fraction)
    checks.above_zero("the factor", factor, "")
    distance = length / 2 + math.sqrt(length**2 / 4 + strength(heat, fraction, factor) / flux)
    beyond = "above 5 kW/m² a point source is a stretch" if flux > POINT_TO else ""
    return Answer(distance, "", beyond)


def overhead(dh: float, dv: float, length: float) -> float:
    """1/m2: the mean of 1/R^2 from a level flame of this length that points at somebody `dh` m off and `dv` m below.

    dh > length, or dv > 0. With dv = 0 it is 1/(R (R - L)).
    """
    if length <= 0:
        return 1 / (dh * dh + dv * dv)
    if dv <= 1e-9 * max(1.0, dh):
        return 1 / (dh * (dh - length))
    # atan2 of the difference keeps its digits far away, where the two angles are nearly alike.
    return math.atan2(length * dv, dv * dv + dh * (dh - length)) / (length * dv)


SOLID = Equation(
    forms=(("", "q = E*F"),),
    symbols=(
        _HEAT,
        Symbol("D", "length", "diameter of the flame"),
        Symbol("L", "length", "height of the flame"),
        Symbol("x", "length", "distance from the flame's axis"),
        Symbol("z", "length", "height of the target above the flame's foot"),
        _X,
        Symbol("E", "heat_flux", "the lesser of 58 kW/m²·10^(-0.00823·D/1 m) and X_r·Q/(π·D·L)"),
        Symbol("F", "ratio", "view factor of an upright cylinder, √(F_v² + F_h²)"),
        _Q,
    ),
    citations=(SURFACE,),
    validity="fires of pools and sand burners, near by; jets are better shown by points along the flame",
)


def upright_view(x: float, height: float, diameter: float) -> tuple[float, float]:
    """View factors to a cylinder flame, upright and level target at its foot: Mudan and Beyler."""
    s, h = 2 * x / diameter, 2 * height / diameter
    if h <= 0:
        return 0.0, 0.0
    a, b = (h * h + s * s + 1) / (2 * s), (1 + s * s) / (2 * s)
    near = (s - 1) / (s + 1)
    root = math.sqrt(a * a - 1)
    far = math.atan(math.sqrt((a + 1) * (s - 1) / ((a - 1) * (s + 1))))
    up = (
        math.atan(h / math.sqrt(s * s - 1)) / (math.pi * s)
        - h * math.atan(math.sqrt(near)) / (math.pi * s)
        + a * h * far / (math.pi * s * root)
    )
    foot = math.atan(math.sqrt((b + 1) * (s - 1) / ((b - 1) * (s + 1))))
    level = (b - 1 / s) * foot / (math.pi * math.sqrt(b * b - 1)) - (a - 1 / s) * far / (math.pi * root)
    return up, level


@calculator(
    "solid-flame",
    SOLID,
    symbols="Q D L x z X_r",
    unit="kW/m²",
    examples={"diameter": "1 ft", "distance": "6 ft", "height": "4 ft"},
)
def solid_flame(
    heat: Power, diameter: Length, height: Length, distance: Length, target: Length = 0.0, fraction: Ratio = 0.32
) -> Answer:
    """The heat from an upright flame, taken as a glowing cylinder, near by.

    q = E F; E = min(58 10^(-0.00823 D) kW/m2, X_r Q/(pi D L)).

    heat: W, net. diameter, height: m of the flame. distance: m from its axis. target: m above its foot; 0 counts a
    level surface too. fraction: share radiated. Returns W/m2, without the factor 1.25. Validity: pool and sand burner
    flames. Errors: ValueError for sizes not above zero, or a target within the cylinder.
    Source: Shokri and Beyler, with view factors of Mudan, read in NIST's Correlation Guide (its code; the manual
    prints 0.0823, a slip). Its example: 100 kW, 0.3 m by 0.3 m, 0.5 m off: 5.64 kW/m2.

    >>> round(solid_flame(100e3, 0.33851, 1.1375, 0.5, 0.0, 0.35).value / 1e3, 2)
    5.64
    """
    checks.above_zero("a heat rate", heat, "W")
    checks.above_zero("a diameter", diameter, "m")
    checks.above_zero("a height", height, "m")
    checks.not_below_zero("the target's height", target, "m")
    checks.fraction("the share radiated", fraction)
    if not distance > diameter / 2:
        raise ValueError(f"{distance:g} m from the axis is within the flame, which is {diameter:g} m wide")
    surface = min(58e3 * 10 ** (-0.00823 * diameter), fraction * heat / (math.pi * diameter * height))
    if target <= 0:
        factor = math.hypot(*upright_view(distance, height, diameter))
    else:
        below = upright_view(distance, min(target, height), diameter)
        if target <= height:
            factor = below[0] + upright_view(distance, height - target, diameter)[0]
        else:
            whole = upright_view(distance, target, diameter)[0]
            factor = math.hypot(
                whole - upright_view(distance, target - height, diameter)[0],
                upright_view(distance, target, diameter)[1] - upright_view(distance, target - height, diameter)[1],
            )
    return Answer(surface * factor, "", "", (("E", surface), ("F", factor)))
