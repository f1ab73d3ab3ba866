"""How hot the gas over a flame is, on its axis."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache

from specc.dims import Length, Power, Ratio, Temperature
from specc.formulas.calculators import calculator
from specc.model.values import PRACTICE, Answer, Citation, Constant, Equation, Symbol
from specc_flame.calc import checks
from specc_flame.calc.height import buoyant
from specc_flame.calc.sources import GRAVITY, USUAL_AIR

HESKESTAD = Citation("nist-cor", "chapter on plumes, Heskestad; its temperature of the air is in K", "read")
MCCAFFREY = Citation("nist-cor", "chapter on plumes, McCaffrey", "read")
_HEAT = Symbol("Q", "power", "heat rate, net")
_Z = Symbol("z", "length", "height above the flame's foot")
_AIR = Symbol("T_a", "temperature", "temperature of the air")
_RESULT = Symbol("T", "temperature", "mean temperature of the gas on the axis")
_KW = ("q_1", Constant(1000.0, "power", "1 kW", PRACTICE))
_METER = ("L_1", Constant(1.0, "length", "1 m", PRACTICE))
_UNITS = (Symbol("q_1", "power", "1 kW"), Symbol("L_1", "length", "1 m"))

ABOVE = Equation(
    forms=(("", "T = T_a + C*((1 - X_r)*Q/q_1)**(2/3)*((z - z_0)/L_1)**(-5/3)"),),
    symbols=(
        _HEAT,
        _Z,
        Symbol("D", "length", "diameter of the source; 0 counts it as a point"),
        Symbol("X_r", "ratio", "share of the heat that is radiated"),
        _AIR,
        Symbol("z_0", "length", "virtual origin, 0.083·Q^0.4 - 1.02·D"),
        Symbol("C", "temperature_difference", "9.1·(T_a/(g·c²·ρ²))^(1/3), with ρ = 353/T_a and c = 1.0 kJ/(kg·K)"),
        *_UNITS,
        _RESULT,
    ),
    citations=(HESKESTAD,),
    validity="above the mean flame height; in still air; peaks are higher than this mean",
    constants=(_KW, _METER),
)


_RADIATED = 0.32  # share of the heat, where nobody says


@calculator("plume-temperature", ABOVE, symbols="Q z D X_r T_a")
def plume_temperature(
    heat: Power, height: Length, diameter: Length = 0.0, fraction: Ratio = _RADIATED, air: Temperature = USUAL_AIR
) -> Answer:
    """The mean temperature of the gas above a flame, on its axis.

    T = T_a + 9.1 (T_a/(g c^2 rho^2))^(1/3) ((1 - X_r) Q)^(2/3) (z - z_0)^(-5/3), z_0 = 0.083 Q^0.4 - 1.02 D.

    heat: W, net. height: m above the flame's foot. diameter: m of the source. fraction: share radiated. air: K.
    Returns K. Validity: above the mean flame height; marked beyond below it.
    Errors: ValueError for a heat not above zero, a height not above the virtual origin.
    Source: Heskestad, read in NIST's Correlation Guide: 1245 kW on 1.075 m2, 0.40, 6 m, 22 °C: 133.78 °C.

    >>> round(plume_temperature(1245e3, 6.0, 1.17, 0.40, 295.15).value - 273.15, 1)
    133.8
    """
    checks.above_zero("a heat rate", heat, "W")
    checks.not_below_zero("a diameter", diameter, "m")
    checks.fraction("the share radiated", fraction)
    checks.above_zero("the air's temperature", air, "K")
    origin = 0.083 * (heat / 1e3) ** 0.4 - 1.02 * diameter
    if height <= origin:
        raise ValueError(f"{height:.3g} m is not above the plume's virtual origin at {origin:.3g} m")
    density = 353 / air
    share = 9.1 * (air / (GRAVITY * density**2)) ** (1 / 3)
    rise = share * ((1 - fraction) * heat / 1e3) ** (2 / 3) * (height - origin) ** (-5 / 3)
    flame = buoyant(heat, diameter)
    beyond = f"within the flame, whose mean height is {flame:.2g} m" if height < flame else ""
    return Answer(air + rise, "", beyond, (("z_0", origin), ("C", share)))


AXIS = Equation(
    forms=(
        ("flame", "T = T_a + T_a*(6.8/(0.9*sqrt(2*g)))**2"),
        ("intermittent", "T = T_a + T_a*(1.9/(0.9*sqrt(2*g)))**2/Z"),
        ("plume", "T = T_a + T_a*(1.1/(0.9*sqrt(2*g)))**2*Z**(-5/3)"),
    ),
    symbols=(
        _HEAT,
        _Z,
        _AIR,
        Symbol("Z", "ratio", "z/Q^0.4, in m/kW^0.4: flame below 0.08, plume above 0.20"),
        Symbol("g", "ratio", "9.81 m/s²"),
        _RESULT,
    ),
    citations=(MCCAFFREY,),
    validity="natural gas on a 0.3 m burner, 14 to 57 kW; on the axis, in still air; peaks are higher than this mean",
    constants=(("g", Constant(GRAVITY, "ratio", "9.81 m/s²", MCCAFFREY)),),
)


def axis_temperature(heat: float, height: float, air: float = USUAL_AIR) -> tuple[float, str, float]:
    """McCaffrey's mean temperature, K, with its regime and Z. From W, m and K. Falls with height."""
    z = height / (heat / 1e3) ** 0.4
    if z < 0.08:
        eta, kappa, regime = 0.5, 6.8, "flame"
    elif z < 0.2:
        eta, kappa, regime = 0.0, 1.9, "intermittent"
    else:
        eta, kappa, regime = -1 / 3, 1.1, "plume"
    rise = air * (kappa / (0.9 * math.sqrt(2 * GRAVITY))) ** 2 * (z ** (2 * eta - 1) if eta < 0.5 else 1.0)
    return air + rise, regime, z


@calculator("axis-temperature", AXIS, symbols="Q z T_a")
def mccaffrey(heat: Power, height: Length, air: Temperature = USUAL_AIR) -> Answer:
    """The mean temperature in and above a flame, on its axis.

    T = T_a + T_a (k/(0.9 sqrt(2 g)))^2 Z^(2n-1), Z = z/Q^0.4; n, k: 1/2, 6.8 below Z = 0.08; 0, 1.9 to 0.20; -1/3, 1.1.

    heat: W, net. height: m above the flame's foot. air: K. Returns K. Validity: fitted from 14 to 57 kW of natural
    gas; marked beyond outside. Errors: ValueError for a heat or height not above zero.
    Source: McCaffrey, read in NIST's Correlation Guide: 1245 kW, 6 m, 22 °C: 153.21 °C.

    >>> round(mccaffrey(1245e3, 6.0, 295.15).value - 273.15, 1)
    153.3
    """
    checks.above_zero("a heat rate", heat, "W")
    checks.above_zero("a height", height, "m")
    checks.above_zero("the air's temperature", air, "K")
    warm, regime, z = axis_temperature(heat, height, air)
    beyond = "" if 14e3 <= heat <= 57e3 else "fitted to flames of 14 to 57 kW"
    return Answer(warm, regime, beyond, (("Z", z),))


def hottest(heat: float, height: float, air: float = USUAL_AIR, diameter: float = 0.0) -> float:
    """K: the higher of the two forms; within the flame McCaffrey's alone. From W, m, K and m."""
    return _falling(heat, air, diameter)(height)


def _falling(heat: float, air: float, diameter: float = 0.0) -> Callable[[float], float]:
    """`hottest` by height. What does not hang on the height is worked out once: it is asked at some fifty."""
    wide = (heat / 1e3) ** 0.4
    flame = buoyant(heat, diameter)
    origin = 0.083 * wide - 1.02 * diameter
    share = 9.1 * (air / (GRAVITY * (353 / air) ** 2)) ** (1 / 3)
    strength = share * ((1 - _RADIATED) * heat / 1e3) ** (2 / 3)
    plume, between = (air * (kappa / (0.9 * math.sqrt(2 * GRAVITY))) ** 2 for kappa in (1.1, 1.9))

    def at(height: float) -> float:
        up = max(height, 1e-6)
        z = up / wide
        if z < 0.08:
            warm = axis_temperature(heat, up, air)[0]
        elif z < 0.2:
            warm = air + between * z ** (2 * 0.0 - 1)
        else:
            warm = air + plume * z ** (2 * (-1 / 3) - 1)
        return max(warm, air + strength * (height - origin) ** (-5 / 3)) if height > flame > 0 else warm

    return at


@lru_cache(maxsize=1024)  # burners alike, at the same hour, have the same heat
def clear_height(heat: float, limit: float, air: float = USUAL_AIR) -> float:
    """m above the flame's foot where the gas has cooled to `limit` (K). Both forms fall with height above the flame.

    ValueError for a limit not above the air."""
    if limit <= air:
        raise ValueError(f"the limit, {limit:.0f} K, is not above the air, {air:.0f} K")
    warm = _falling(heat, air)
    low, high = 0.0, 1.0
    while warm(high) > limit:
        low, high = high, 2 * high
    for _ in range(60):
        middle = (low + high) / 2
        if not low < middle < high:  # no number lies between
            break
        if warm(middle) > limit:
            low = middle
        else:
            high = middle
    return high


COOL = Equation(
    forms=(("", "~ z above the flame where the hotter of plume-temperature and axis-temperature has fallen to T_l"),),
    symbols=(
        _HEAT,
        Symbol("T_l", "temperature", "temperature that may be there"),
        _AIR,
        Symbol("z", "length", "height above the flame's foot"),
    ),
    citations=(HESKESTAD, MCCAFFREY),
    validity="means on the axis in still air, as if the flame lasted; peaks are higher. Sea level",
)


@calculator("cool-height", COOL, symbols="Q T_l T_a", result="z", unit="ft")
def cool_height(heat: Power, limit: Temperature, air: Temperature = USUAL_AIR) -> Answer:
    """How high over a flame's foot its gas has cooled to a temperature, by the hotter of two forms.

    z where max(T_Heskestad, T_McCaffrey) = T_l.

    heat: W, net. limit: K. air: K. Returns m. Validity: still air, on the axis. Errors: ValueError for a heat or air
    not above zero, or a limit not above the air. Source: as `plume-temperature` and `axis-temperature`.
    """
    checks.above_zero("a heat rate", heat, "W")
    checks.above_zero("the air's temperature", air, "K")
    return Answer(clear_height(heat, limit, air))


JOINED = Equation(
    forms=(("", "Q = sum(Q_i)"),),
    symbols=(Symbol("Q_i", "power", "heat of each outlet"), Symbol("Q", "power", "heat of all as one")),
    citations=(PRACTICE,),
    validity="no less than flames that stand apart",
)


@calculator("joined-heat", JOINED, symbols="Q_i", bench=False)
def joined_heat(parts: tuple[Power, ...]) -> Power:
    """The heat of several flames that burn as one. Q = sum, W. Source: a sum; an upper bound for flames apart."""
    return sum(parts)
