"""A rigid vessel that empties or fills through a hole: the plain functions behind accumulator.py and charging.py.

What changes in the vessel is one quantity x (density, or pressure), which runs from where it starts toward
where the flow stops, at a rate that x alone decides. So time is an integral over x, and nothing is stepped:

    x = rest + (start - rest) u**2,   dt = 2 (start - rest) u du / rate(x),   u from 1 down to 0

Near the end the flow falls like the root of what is left, that is like u: in u the integral is smooth, and it
ends after a finite time. It is summed by Gauss's five-point rule, in parts that meet where choking ends.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Sequence
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from specc_fuel.calc import checks, nozzle, propane, state

# Less than this above the air counts as empty: what is left could not be told from rounding.
EMPTY = 1.0  # Pa
_UNIT = state.CRITICAL_DENSITY * state.M  # kg/m3 in one of reduced density
_PANELS = 12  # in each part
_INNER, _OUTER = (math.sqrt(5 - 2 * math.sqrt(10 / 7)) / 3, math.sqrt(5 + 2 * math.sqrt(10 / 7)) / 3)
_NEAR, _FAR = (322 + 13 * math.sqrt(70)) / 900, (322 - 13 * math.sqrt(70)) / 900
GAUSS = ((-_OUTER, _FAR), (-_INNER, _NEAR), (0.0, 128 / 225), (_INNER, _NEAR), (_OUTER, _FAR))


class TimeCurve(NamedTuple):
    """How x runs from `start` to `rest`. `times` (s) belong to `marks`, values of u from 1 down to 0."""

    start: float
    rest: float
    rate: Callable[[float], float]  # of change of x, per second, 0 only at rest
    marks: tuple[float, ...]
    times: tuple[float, ...]

    def x_at(self, u: float) -> float:
        return self.rest + (self.start - self.rest) * u * u

    def u_at(self, x: float) -> float:
        return math.sqrt(max(0.0, (x - self.rest) / (self.start - self.rest)))

    def between(self, high: float, low: float) -> float:
        """Seconds from u `high` down to u `low`, inside one part."""
        middle, half = (high + low) / 2, (high - low) / 2
        return half * math.fsum(weight * self.slowness(middle + half * node) for node, weight in GAUSS)

    def slowness(self, u: float) -> float:
        """Seconds per u, for u above 0."""
        rate = self.rate(self.x_at(u))
        # So near the rest that the drop of pressure is lost in rounding: it hardly changes there.
        if rate <= 0:
            return self.slowness(2 * u)
        return 2 * abs(self.start - self.rest) * u / rate

    def time_to(self, x: float) -> float:
        """Seconds until x is reached; 0 if it lies before the start."""
        u = min(1.0, self.u_at(x))
        # The first mark not above u; the panel that holds u starts at the one before it.
        place = bisect_left(self.marks, -u, key=lambda mark: -mark)
        if self.marks[place] == u:
            return self.times[place]
        return self.times[place - 1] + self.between(self.marks[place - 1], u)

    def u_after(self, time: float) -> float:
        """u when `time` seconds have passed: 1 at the start, 0 from the end on."""
        if time <= 0:
            return 1.0
        if time >= self.times[-1]:
            return 0.0
        place = bisect_left(self.times, time)
        high, low = self.marks[place - 1], self.marks[place]
        want = time - self.times[place - 1]
        top, bottom = high, low
        u = high - (high - low) * want / (self.times[place] - self.times[place - 1])
        for _ in range(60):
            off = self.between(high, u) - want
            # Time runs as u falls: too much time means that u is too low.
            top, bottom = (top, u) if off > 0 else (u, bottom)
            step = off / self.slowness(u)
            if abs(step) <= 1e-14:
                break
            u = u + step if bottom < u + step < top else (top + bottom) / 2
        return u

    def x_after(self, time: float) -> float:
        """x when `time` seconds have passed; `rest` from the end on."""
        return self.x_at(self.u_after(time))

    def change_after(self, time: float) -> float:
        """How far x has moved by then, without a sign: exactly 0 at the start."""
        u = self.u_after(time)
        return abs(self.start - self.rest) * (1 - u) * (1 + u)


def time_curve(start: float, rest: float, rate: Callable[[float], float], kink: float | None) -> TimeCurve:
    """The curve from `start` to `rest`. `kink` is the x at which choking ends, if it lies between."""
    bare = TimeCurve(start, rest, rate, (), ())
    ends = [1.0, 0.0]
    if kink is not None and min(start, rest) < kink < max(start, rest):
        ends.insert(1, bare.u_at(kink))
    marks = [1.0]
    for high, low in pairwise(ends):
        marks += [high + (low - high) * n / _PANELS for n in range(1, _PANELS)] + [low]
    times = [0.0]
    for high, low in pairwise(marks):
        times.append(times[-1] + bare.between(high, low))
    return TimeCurve(start, rest, rate, tuple(marks), tuple(times))


def pressure_of(density: float, temperature: float) -> float:
    """Pa absolute of propane at a density (kg/m3) and temperature (K), by the equation of state.

    No test of phase: between vapor and liquid the equation gives no pressure that exists.
    """
    d = density / _UNIT
    slope = state.slope_by_density(d, state.CRITICAL_TEMPERATURE / temperature)
    return d * (1 + d * slope) * state.CRITICAL_DENSITY * state.R * temperature


class Emptying(NamedTuple):
    """A vessel that empties into the air: its density over time, and what pressure belongs to a density."""

    curve: TimeCurve | None  # None: empty from the start
    volume: float
    pressure: Callable[[float], float]  # Pa absolute, of a density

    def gas(self, time: float) -> float:
        """kg that have come out."""
        return self.volume * self.curve.change_after(time) if self.curve else 0.0

    def pressure_after(self, time: float, ambient: float) -> float:
        """Pa gauge that are left."""
        return max(0.0, self.pressure(self.curve.x_after(time)) - ambient) if self.curve else 0.0

    def time_until(self, gauge: float, ambient: float) -> float:
        """Seconds until no more than this pressure (Pa gauge) is left."""
        if not self.curve or self.pressure(self.curve.start) - ambient <= gauge:
            return 0.0
        # Pressure rises with density: the one at which it is left is between that of the end and that of the start.
        low, high = self.curve.rest, self.curve.start
        for _ in range(60):
            middle = (low + high) / 2
            if self.pressure(middle) - ambient > gauge:
                high = middle
            else:
                low = middle
        return self.curve.time_to(low)


def check_vessel(volume: float, gauge: float, ambient: float) -> None:
    checks.above_zero("the volume", volume, "m³")
    checks.above_zero("the air's absolute pressure", ambient, "Pa")
    checks.not_below_zero("the gauge pressure", gauge, "Pa")


# The same few vessels are asked for by the burst, its figures, the spacing and the end of the night.
@lru_cache(maxsize=128)
def emptying_isothermal(volume: float, gauge: float, temperature: float, area: float, ambient: float) -> Emptying:
    """Gas kept at the temperature of the walls, its density the real gas's at every pressure.

    m3, Pa gauge, K, effective m2, Pa absolute. ValueError for impossible inputs, and where gas would be liquid.
    """
    check_vessel(volume, gauge, ambient)
    checks.above_zero("the outlet's effective area", area, "m²")
    gas = nozzle.propane_at(gauge + ambient, temperature)

    def pressure(density: float) -> float:
        return pressure_of(density, temperature)

    if gauge < EMPTY:
        return Emptying(None, volume, pressure)

    def rate(density: float) -> float:
        inside = pressure(density)
        return area / volume * nozzle.flux(inside, inside - ambient, density, gas.k)

    rest = propane.vapor_density_value(temperature, ambient)
    turns = ambient / nozzle.critical_ratio(gas.k)
    kink = propane.vapor_density_value(temperature, turns) if turns < gauge + ambient else None
    return Emptying(time_curve(gas.rho, rest, rate, kink), volume, pressure)


@lru_cache(maxsize=128)
def emptying_adiabatic(volume: float, gauge: float, temperature: float, area: float, ambient: float) -> Emptying:
    """Gas that takes no heat from the walls: an ideal gas from the real density at the start, p/rho**k the same.

    Parameters and errors as `emptying_isothermal`.
    """
    check_vessel(volume, gauge, ambient)
    checks.above_zero("the outlet's effective area", area, "m²")
    start = gauge + ambient
    gas = nozzle.propane_at(start, temperature)

    def pressure(density: float) -> float:
        return start * math.pow(density / gas.rho, gas.k)

    def density_at(absolute: float) -> float:
        return gas.rho * math.pow(absolute / start, 1 / gas.k)

    if gauge < EMPTY:
        return Emptying(None, volume, pressure)

    def rate(density: float) -> float:
        inside = pressure(density)
        return area / volume * nozzle.flux(inside, inside - ambient, density, gas.k)

    kink = density_at(ambient / nozzle.critical_ratio(gas.k))
    return Emptying(time_curve(gas.rho, density_at(ambient), rate, kink), volume, pressure)


def filling_isothermal(
    volume: float, start: float, supply: float, temperature: float, area: float, ambient: float
) -> TimeCurve | None:
    """The density over time of a vessel that fills from a steady supply, its gas kept at `temperature`.

    m3, Pa gauge at the start, Pa gauge of the supply, K, effective m2 of the feed, Pa absolute. None if it is
    full. ValueError for impossible inputs, and where gas would be liquid.
    """
    check_vessel(volume, start, ambient)
    checks.above_zero("the feed's effective area", area, "m²")
    checks.downhill(supply, start, ambient)
    ahead = supply + ambient
    gas = nozzle.propane_at(ahead, temperature)
    if supply - start < EMPTY:
        return None

    def rate(density: float) -> float:
        drop = ahead - pressure_of(density, temperature)
        return area / volume * nozzle.flux(ahead, drop, gas.rho, gas.k)

    kink = propane.vapor_density_value(temperature, nozzle.critical_ratio(gas.k) * ahead)
    return time_curve(propane.vapor_density_value(temperature, start + ambient), gas.rho, rate, kink)


def filling_adiabatic(
    volume: float, start: float, supply: float, temperature: float, area: float, ambient: float
) -> TimeCurve | None:
    """The absolute pressure over time of a vessel that fills and keeps its heat: no filling is faster.

    Ideal gas: what flows in brings its enthalpy, so dp/dt = k (R/M) T w / V, with no Z: a real gas's pressure
    rises less for the same mass. Parameters and errors as `filling_isothermal`.
    """
    check_vessel(volume, start, ambient)
    checks.above_zero("the feed's effective area", area, "m²")
    checks.downhill(supply, start, ambient)
    ahead = supply + ambient
    gas = nozzle.propane_at(ahead, temperature)
    if supply - start < EMPTY:
        return None
    per_mass = gas.k * state.R / state.M * temperature / volume

    def rate(pressure: float) -> float:
        return per_mass * area * nozzle.flux(ahead, ahead - pressure, gas.rho, gas.k)

    return time_curve(start + ambient, ahead, rate, nozzle.critical_ratio(gas.k) * ahead)


def effective_area(areas: Sequence[float], gauge: float, k: float, ambient: float) -> float:
    """The one hole, m2, that passes as much as several in a row into the air, each effective area in m2.

    Ideal gas, at rest again between the holes, so that each starts from the same temperature. For a trial flow
    the pressures are counted back from the air, hole by hole, in closed form; the flow whose pressure ahead of
    the first hole is the given one is found by halving. `gauge` in Pa, `ambient` Pa absolute.
    """
    if not areas:
        raise ValueError("there is no hole in the row")
    for area in areas:
        checks.above_zero("each hole's effective area", area, "m²")
    checks.above_zero("the gauge pressure", gauge, "Pa")
    checks.above_zero("the air's absolute pressure", ambient, "Pa")
    checks.heat_ratio(k)
    ahead = gauge + ambient
    # Flows are counted in m2 Pa, as if density and pressure were one number: what they share cancels.
    choked = nozzle.flux(1.0, 1.0, 1.0, k)
    turns = choked / nozzle.critical_ratio(k)
    exponent = k / (k - 1)

    def gauge_ahead(flow: float) -> float:
        """Pa above the air's ahead of the first hole, at a flow counted in m2 Pa."""
        above = 0.0
        for area in reversed(areas):
            behind = ambient + above
            y = flow / (area * behind)
            if y >= turns:
                above = flow / (area * choked) - ambient
            else:
                # y**2 = 2 k/(k-1) (s**2 - s) with s = (p ahead / p behind)**((k-1)/k), solved for s - 1.
                more = 2 * (k - 1) / k * y * y
                above += behind * math.expm1(exponent * math.log1p(more / 2 / (1 + math.sqrt(1 + more))))
        return above

    low, high = 0.0, min(areas) * choked * ahead
    for _ in range(200):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (middle, high) if gauge_ahead(middle) < gauge else (low, middle)
    return high / nozzle.flux(ahead, gauge, ahead, k)
