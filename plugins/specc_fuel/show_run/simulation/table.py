"""Propane at saturation as a table to read from, since a night asks for its properties a hundred thousand times.

What a rigid cylinder holds, liquid and vapor together, is by mass m and volume V and the temperature alone:

    energy   U = m a + V b    with a = (rho_l h_l - rho_v h_v)/(rho_l - rho_v), b = T dp/dT - p
    liquid   V_l = (m - rho_v V)/(rho_l - rho_v)

(b stands here as h_fg rho_l rho_v/(rho_l - rho_v) - p, which is the same by Clapeyron's equation.) Vapor that
leaves takes h_v with it, so each kilogram takes L = h_v - a from what stays behind: the heat of vaporization,
and a little more for the vapor that fills the room the liquid leaves.

Between knots 2 K apart each property is a cubic that meets its neighbor with the same slope. The slopes used
for the heat balance are those of the same cubics, so no energy appears or gets lost by reading a table.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from specc_fuel.calc import state

COLDEST = 190.0  # K, at 10 kPa: below any pressure at which gas still leaves a cylinder into the air
HOTTEST = state.HOTTEST_LIQUID
SPACING = 2.0  # K

_PER_KG = state.R / state.M
_DENSITY = state.CRITICAL_DENSITY * state.M


class Boiling(NamedTuple):
    """Saturated propane at one temperature, solved from the equation of state. SI; energies in J/kg and J/m3,
    from an origin of their own that is the same throughout."""

    pressure: float
    a: float
    b: float
    latent: float  # L = h_v - a
    vapor: float  # density
    room: float  # 1/(rho_l - rho_v)


def _enthalpy(d: float, temperature: float) -> float:
    """J/kg: the ideal gas's, in closed form from its heat capacity, and the residual part."""
    ideal = 4 * temperature
    for v, u in state.EINSTEIN:
        theta = u * state.CRITICAL_TEMPERATURE
        ideal += v * theta / math.expm1(theta / temperature)
    t = state.CRITICAL_TEMPERATURE / temperature
    f = state.residual(d, t)
    return _PER_KG * (ideal + temperature * (t * f.a_t + d * f.a_d))


def solved(temperature: float) -> Boiling:
    """The properties straight from the equation of state. K; ValueError outside 150 to 360 K."""
    both = state.saturation(temperature)
    liquid, vapor = both.liquid * _DENSITY, both.vapor * _DENSITY
    h_l, h_v = _enthalpy(both.liquid, temperature), _enthalpy(both.vapor, temperature)
    room = 1 / (liquid - vapor)
    a = (liquid * h_l - vapor * h_v) * room
    b = (h_v - h_l) * liquid * vapor * room - both.pressure
    return Boiling(both.pressure, a, b, h_v - a, vapor, room)


def hermite(values: Sequence[float], spacing: float) -> list[tuple[float, float, float, float]]:
    """For each gap between evenly spaced values the cubic through both ends: c0 + c1 x + c2 x2 + c3 x3, x from
    the left end. Slopes at the knots are the five-point differences, one-sided at the ends. Wants five values."""
    n = len(values)
    slopes = []
    for i in range(n):
        first = min(max(i - 2, 0), n - 5)
        weights = _FIVE[i - first]
        slopes.append(sum(w * values[first + k] for k, w in enumerate(weights)) / (12 * spacing))
    cubics = []
    for i in range(n - 1):
        rise = (values[i + 1] - values[i]) / spacing
        s0, s1 = slopes[i], slopes[i + 1]
        cubics.append((values[i], s0, (3 * rise - 2 * s0 - s1) / spacing, (s0 + s1 - 2 * rise) / spacing**2))
    return cubics


# Twelve times the slope at each of five evenly spaced points, over the spacing.
_FIVE = (
    (-25.0, 48.0, -36.0, 16.0, -3.0),
    (-3.0, -10.0, 18.0, -6.0, 1.0),
    (1.0, -8.0, 0.0, 8.0, -1.0),
    (-1.0, 6.0, -18.0, 10.0, 3.0),
    (3.0, -16.0, 36.0, -48.0, 25.0),
)

Row = tuple[float, ...]


@lru_cache(maxsize=1)
def rows() -> tuple[Row, ...]:
    """The cubics, one row of 24 coefficients for each gap. Solved once in a run."""
    count = round((HOTTEST - COLDEST) / SPACING) + 1
    knots = [solved(COLDEST + SPACING * i) for i in range(count)]
    columns = [hermite([getattr(k, field) for k in knots], SPACING) for field in Boiling._fields]
    return tuple(tuple(c for column in columns for c in column[i]) for i in range(count - 1))


def _row(temperature: float) -> tuple[Row, float]:
    if not COLDEST <= temperature <= HOTTEST:
        raise ValueError(
            f"a cylinder's temperature is followed from {COLDEST:g} K to {HOTTEST:g} K, not to {temperature:g} K"
        )
    table = rows()
    from_cold = (temperature - COLDEST) / SPACING
    i = int(from_cold)
    if i == len(table):
        i -= 1
    return table[i], SPACING * (from_cold - i)


def read(temperature: float) -> tuple[float, float, float, float, float, float, float]:
    """Saturated propane at `temperature` (K), from the table: pressure, a, its slope by temperature, b's slope,
    L, density of the vapor, 1/(rho_l - rho_v). A plain tuple, for speed. ValueError outside COLDEST to HOTTEST."""
    if not COLDEST <= temperature < HOTTEST:
        row, x = _row(temperature)
    else:
        from_cold = (temperature - COLDEST) / SPACING
        i = int(from_cold)
        row, x = rows()[i], SPACING * (from_cold - i)
    p0, p1, p2, p3, a0, a1, a2, a3, _, b1, b2, b3, l0, l1, l2, l3, v0, v1, v2, v3, r0, r1, r2, r3 = row
    return (
        p0 + x * (p1 + x * (p2 + x * p3)),
        a0 + x * (a1 + x * (a2 + x * a3)),
        a1 + x * (2 * a2 + 3 * x * a3),
        b1 + x * (2 * b2 + 3 * x * b3),
        l0 + x * (l1 + x * (l2 + x * l3)),
        v0 + x * (v1 + x * (v2 + x * v3)),
        r0 + x * (r1 + x * (r2 + x * r3)),
    )


def energy(mass: float, volume: float, temperature: float) -> float:
    """U in J of `mass` kg in `volume` m3, liquid and vapor, from the same cubics."""
    row, x = _row(temperature)
    a = row[4] + x * (row[5] + x * (row[6] + x * row[7]))
    b = row[8] + x * (row[9] + x * (row[10] + x * row[11]))
    return mass * a + volume * b


class Vapor(NamedTuple):
    """Propane vapor at one temperature: its pressure by density, up to where it condenses.

    `densest`: kg/m3, saturated, where the pressure is `highest` (Pa absolute). `cubics` as `hermite` gives them.
    """

    temperature: float
    densest: float
    highest: float
    spacing: float
    cubics: tuple[tuple[float, float, float, float], ...]

    def pressure(self, density: float) -> float:
        """Pa absolute. Gas denser than `densest` is partly liquid, so its pressure rises no further."""
        if density >= self.densest:
            return self.highest
        i = int(density / self.spacing)
        if i >= len(self.cubics):
            i = len(self.cubics) - 1
        c0, c1, c2, c3 = self.cubics[i]
        x = density - self.spacing * i
        return c0 + x * (c1 + x * (c2 + x * c3))

    def density(self, pressure: float) -> float:
        """kg/m3 at `pressure` (Pa absolute), by Newton in its gap. ValueError above `highest` and below nothing."""
        if not 0 <= pressure <= self.highest * (1 + 1e-9):
            raise ValueError(f"propane at {self.temperature:.2f} K is no vapor at {pressure:.0f} Pa absolute")
        i = max(bisect_right(self.cubics, pressure, key=lambda cubic: cubic[0]) - 1, 0)
        c0, c1, c2, c3 = self.cubics[i]
        x = 0.0
        # Each gap is nearly straight, so that three or four turns do; pressure rises with density all along it.
        for _ in range(20):
            change = (pressure - c0 - x * (c1 + x * (c2 + x * c3))) / (c1 + x * (2 * c2 + 3 * x * c3))
            x += change
            if abs(change) < 1e-14 * self.densest:
                break
        return min(max(self.spacing * i + x, 0.0), self.densest)


@lru_cache(maxsize=32)
def vapor(temperature: float) -> Vapor:
    """The vapor at `temperature` (K), from the equation of state. ValueError outside 150 to 360 K."""
    both = state.saturation(temperature)
    gaps = 24
    t = state.CRITICAL_TEMPERATURE / temperature
    values = [0.0]
    for i in range(1, gaps + 1):
        d = both.vapor * i / gaps
        values.append(d * _DENSITY * _PER_KG * temperature * (1 + d * state.slope_by_density(d, t)))
    spacing = both.vapor * _DENSITY / gaps
    return Vapor(temperature, both.vapor * _DENSITY, values[-1], spacing, tuple(hermite(values, spacing)))


def boiling_point(pressure: float) -> float:
    """The temperature at which the vapor stands at `pressure` (Pa absolute), by bisection on the table.

    K. ValueError outside the table's pressures."""
    low, high = COLDEST, HOTTEST
    if not read(low)[0] <= pressure <= read(high)[0]:
        raise ValueError(f"no boiling point of propane is kept here for {pressure:g} Pa absolute")
    while high - low > 1e-9:
        middle = (low + high) / 2
        if read(middle)[0] < pressure:
            low = middle
        else:
            high = middle
    return (low + high) / 2
