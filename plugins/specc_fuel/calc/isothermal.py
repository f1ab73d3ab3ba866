"""Gas at one temperature, and its steady flow through a round pipe: what pipe.py and the network stand on.

Along a pipe at one temperature the real gas obeys

    G**2*(f*L/d + K + 2*ln(rho_1/rho_2)) = 2*(integral of rho over p, from p_2 to p_1)

with G the flow per area and f the Darcy friction factor. G and the viscosity being the same all along, so is f.
The logarithm is what it takes to speed the gas up. It limits the flow: at the end of the pipe G can reach
rho*sqrt(dp/drho), no more, and a lower pressure outside then changes nothing (choked).

Pressures are those in the pipe. What is lost on entering from, or leaving into, a wide space belongs in K.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache
from typing import NamedTuple

from specc.model.values import Citation
from specc_fuel.calc import checks, state, viscosity
from specc_fuel.calc.propane import heat_capacity_ratio
from specc_fuel.calc.sources import M_PROPANE, R_CODATA, R_PAPER

CHURCHILL = Citation("churchill-1977", "one equation for friction in laminar, critical and turbulent flow", "memory")
ISOTHERMAL = Citation("crane-tp-410", "isothermal flow of a gas in a pipe, with its change of momentum", "reprint")

LAMINAR = 2000.0  # Reynolds number below which flow in a pipe is laminar, and
TURBULENT = 4000.0  # above which it is turbulent: handbook values, from memory. They only choose the word.

# The fit of density to pressure was compared with the equation of state within these; nearer to the critical point
# it gets worse than 1e-4.
COLDEST = 200.0  # K
HOTTEST = 350.0  # K


class IsothermalGas(NamedTuple):
    """A gas at one temperature (K). `k` is the ratio of specific heats of the ideal gas.

    Density and viscosity are polynomials in p/`top`, the highest power first. `terms` has the factors of 1/Z, of its
    product with p by slope, and of the integral of that; `thickness` those of the viscosity, Pa s. `saturated` is the
    pressure (Pa absolute) above which it condenses. Above `top`, Z and viscosity stay what they are there: so a
    network can still be computed whole, and what comes out above `saturated` is marked and no figure.
    """

    name: str
    temperature: float
    per_pressure: float  # M/(R T), s2/m2
    k: float
    terms: tuple[tuple[float, float, float], ...]
    thickness: tuple[float, ...]
    top: float
    saturated: float

    def density(self, pressure: float) -> float:
        """kg/m3 at Pa absolute."""
        return self.at(pressure).rho

    def condenses(self, pressure: float) -> bool:
        """Whether some of it is liquid at Pa absolute."""
        return pressure > self.saturated * (1 + 1e-9)

    def compressibility(self, pressure: float) -> float:
        return pressure * self.per_pressure / self.at(pressure).rho

    def at(self, pressure: float) -> GasState:
        """All that the flow laws ask of the gas at a pressure above zero, Pa absolute."""
        x = min(pressure / self.top, 1.0)
        w = slope = gathered = mu = 0.0
        for c, by_slope, by_integral in self.terms:
            w = w * x + c
            slope = slope * x + by_slope
            gathered = gathered * x + by_integral
        for c in self.thickness:
            mu = mu * x + c
        m = self.per_pressure
        if pressure <= self.top:
            return GasState(pressure, m * pressure * w, m * slope, m * pressure * pressure * gathered, mu)
        beyond = (pressure * pressure - self.top * self.top) / 2
        return GasState(pressure, m * pressure * w, m * w, m * (self.top * self.top * gathered + w * beyond), mu)


class GasState(NamedTuple):
    """A gas at a pressure (Pa absolute): density (kg/m3), its slope by pressure, its integral over pressure from
    zero (kg Pa/m3), viscosity (Pa s)."""

    p: float
    rho: float
    slope: float
    gathered: float
    mu: float

    @property
    def fastest(self) -> float:
        """The most flow per area at the end of a pipe, kg/(s m2)."""
        return self.rho / math.sqrt(self.slope)


def gathered_between(gas: IsothermalGas, high: GasState, low: GasState, drop: float) -> float:
    """The integral of density over pressure, keeping its digits when the pressures are only `drop` apart."""
    if drop > 1e-2 * high.p:
        return high.gathered - low.gathered
    return drop * (high.rho + 4 * gas.at(low.p + drop / 2).rho + low.rho) / 6  # Simpson's rule


@lru_cache(maxsize=64)
def propane(temperature: float) -> IsothermalGas:
    """Propane vapor at a temperature in K, up to saturation; ValueError outside COLDEST to HOTTEST.

    1/Z goes through the equation of state's values at the Chebyshev points: within 1e-4 of it everywhere, within
    1e-6 below 328 K (131 °F).
    """
    if not COLDEST <= temperature <= HOTTEST:
        raise ValueError(
            f"flow of propane is computed here from {COLDEST:g} K to {HOTTEST:g} K, not at {temperature:g} K"
        )
    top = state.saturation(temperature).pressure
    m = M_PROPANE.si / (R_PAPER.si * temperature)
    degree = 4 if temperature < 262 else 6 if temperature < 295 else 8 if temperature < 312 else 10

    def inverse_z(pressure: float) -> float:
        return state.vapor_density(temperature, pressure) * state.CRITICAL_DENSITY * M_PROPANE.si / (m * pressure)

    return IsothermalGas(
        "propane",
        temperature,
        m,
        heat_capacity_ratio(temperature).value,
        _terms(_through(lambda x: inverse_z(x * top), degree)),
        _through(lambda x: viscosity.vapor_viscosity(temperature, x * top), 4 if temperature < 320 else 8)[::-1],
        top,
        top,
    )


def ideal_gas(name: str, temperature: float, molar_mass: float, k: float, mu: float) -> IsothermalGas:
    """Another gas, taken as ideal: K, kg/mol, ratio of specific heats, viscosity in Pa s. It never condenses."""
    checks.above_zero("the gas temperature", temperature, "K")
    checks.above_zero("the molar mass", molar_mass, "kg/mol")
    checks.heat_ratio(k)
    checks.above_zero("the viscosity", mu, "Pa s")
    return IsothermalGas(
        name, temperature, molar_mass / (R_CODATA.si * temperature), k, _terms((1.0,)), (mu,), 1e9, math.inf
    )


def _terms(inverse_z: tuple[float, ...]) -> tuple[tuple[float, float, float], ...]:
    """From the factors of 1/Z, lowest power first: d(x w)/dx has (i + 1) c, the integral of x w over x**2 c/(i + 2)."""
    return tuple((c, (i + 1) * c, c / (i + 2)) for i, c in enumerate(inverse_z))[::-1]


def _through(f: Callable[[float], float], degree: int) -> tuple[float, ...]:
    """Coefficients of the polynomial that meets f at the Chebyshev points of 0 to 1 (Newton's divided differences)."""
    xs = [0.5 - 0.5 * math.cos(math.pi * (2 * i + 1) / (2 * degree + 2)) for i in range(degree + 1)]
    differences = [f(x) for x in xs]
    for level in range(1, degree + 1):
        for i in range(degree, level - 1, -1):
            differences[i] = (differences[i] - differences[i - 1]) / (xs[i] - xs[i - level])
    polynomial = [0.0] * (degree + 1)
    for i in range(degree, -1, -1):  # polynomial = polynomial * (x - xs[i]) + differences[i]
        polynomial = [(polynomial[j - 1] if j else differences[i]) - xs[i] * polynomial[j] for j in range(degree + 1)]
    return tuple(polynomial)


# -- friction


def friction(reynolds: float, relative_roughness: float) -> tuple[float, float]:
    """Darcy's friction factor by Churchill 1977, and its slope: d ln f / d ln Re.

    f = 8*((8/Re)**12 + (A + B)**-1.5)**(1/12), A = (2.457*ln(1/((7/Re)**0.9 + 0.27*e/d)))**16,
    B = (37530/Re)**16. One curve for laminar and turbulent flow; in between (Re 2000 to 4000) no equation is sure.
    """
    if reynolds < 100:
        return 64 / reynolds, -1.0  # what Churchill's comes to, without powers that overflow
    rough = math.pow(7 / reynolds, 0.9)
    inside = rough + 0.27 * relative_roughness
    log = -math.log(inside)
    a = math.pow(2.457 * log, 16)
    b = math.pow(37530 / reynolds, 16)
    laminar = math.pow(8 / reynolds, 12)
    turbulent = math.pow(a + b, -1.5)
    f = 8 * math.pow(laminar + turbulent, 1 / 12)
    # d ln(a)/d ln(Re) = 16/log * 0.9*rough/inside; d ln(b)/d ln(Re) = -16
    bend = (a * 14.4 * rough / (inside * log) - 16 * b) / (a + b)
    return f, (-12 * laminar - 1.5 * bend * turbulent) / (12 * (laminar + turbulent))


class Pipe(NamedTuple):
    """A round pipe or hose: bore, length, roughness in m; `loss` is the sum of K of fittings, of its own bore."""

    bore: float
    length: float
    roughness: float
    loss: float = 0.0

    @property
    def area(self) -> float:
        return math.pi * self.bore**2 / 4


def check_pipe(pipe: Pipe) -> None:
    """ValueError for a pipe that cannot be."""
    checks.above_zero("the bore", pipe.bore, "m")
    checks.not_below_zero("the length", pipe.length, "m")
    checks.not_below_zero("the roughness", pipe.roughness, "m")
    checks.not_below_zero("the loss coefficient", pipe.loss, "")
    if pipe.roughness > 0.05 * pipe.bore:
        raise ValueError(
            f"a roughness of {pipe.roughness:g} m in a bore of {pipe.bore:g} m is above the 5 % that friction"
            " equations cover"
        )
    if pipe.length == 0 and pipe.loss == 0:
        raise ValueError("a pipe without length or loss does not hold gas back: leave it out")


def resistance(pipe: Pipe, flux: float, mu: float) -> tuple[float, float, float]:
    """f*L/d + K at a flow per area (kg/(s m2), above zero) and viscosity; Reynolds number; f."""
    reynolds = flux * pipe.bore / mu
    f = friction(reynolds, pipe.roughness / pipe.bore)[0]
    return f * pipe.length / pipe.bore + pipe.loss, reynolds, f


def most(gas: IsothermalGas, pipe: Pipe, ahead: GasState) -> tuple[float, GasState]:
    """The most flow per area that a pipe passes from a pressure, and its end's state when it does."""

    def excess(x: float) -> tuple[float, GasState]:
        end = gas.at(x)
        flux = end.fastest
        needed = resistance(pipe, flux, (ahead.mu + end.mu) / 2)[0] + 2 * math.log(ahead.rho / end.rho)
        return 2 * (ahead.gathered - end.gathered) / flux**2 - needed, end

    # In the end pressure the excess falls from above zero to below zero; Newton steps inside that bracket.
    x = ahead.p * _ideal_end(resistance(pipe, ahead.fastest, ahead.mu)[0])
    low, high = 0.0, ahead.p
    for taken in range(200):
        value, end = excess(x)
        if value > 0:
            low = x
        else:
            high = x
        # Newton with the ideal gas's slope: excess = (p_1/x)**2 - 1 - C - 2*ln(p_1/x). Where friction changes fast,
        # from laminar to turbulent, that can go to and fro: then halving.
        step = value * x / (2 * ((ahead.p / x) ** 2 - 1) or 1.0)
        if abs(step) < 1e-14 * x or high - low < 1e-15 * high:
            return end.fastest, end
        x = x + step if low < x + step < high and (taken < 12 or taken % 2) else (low + high) / 2
    raise ArithmeticError("the most that the pipe passes was not found")


def _ideal_end(c: float) -> float:
    """End over start pressure of a choked pipe of resistance c, ideal gas: y - 1 - ln(y) = c with r = y**-0.5."""
    y = 1 + c + math.log1p(c) + math.sqrt(c) * 0.5
    for _ in range(50):
        step = (y - 1 - math.log(y) - c) / (1 - 1 / y)
        y = max(y - step, 1 + (y - 1) / 10)
        if abs(step) < 1e-12 * y:
            break
    return 1 / math.sqrt(y)


def flux_between(gas: IsothermalGas, pipe: Pipe, ahead: GasState, behind: GasState) -> tuple[float, bool]:
    """Flow per area from the end pressures (ahead not below behind), kg/(s m2), and whether it is choked.

    The law from scratch, with no help from the network's own steps. ArithmeticError if it does not settle.
    """
    if ahead.p <= behind.p:
        return 0.0, False
    driven = 2 * gathered_between(gas, ahead, behind, ahead.p - behind.p)
    speeding = 2 * math.log(ahead.rho / behind.rho)
    mu = (ahead.mu + behind.mu) / 2
    lengths, roughness = pipe.length / pipe.bore, pipe.roughness / pipe.bore
    # Newton steps on the logarithms, where the law is all but straight; halving where friction changes fast.
    flux = math.sqrt(driven / (speeding + pipe.loss + 0.02 * lengths))
    low, high = 0.0, math.inf
    for taken in range(200):
        f, n = friction(flux * pipe.bore / mu, roughness)
        whole = f * lengths + pipe.loss + speeding
        step = math.log(driven / (flux * flux * whole)) / (2 + n * f * lengths / whole)
        if abs(step) < 1e-13:
            break
        low, high = (flux, high) if step > 0 else (low, flux)
        following = flux * math.exp(step)
        if not low < following < high or (taken > 12 and taken % 2):
            following = math.sqrt(low * high) if low > 0 and high < math.inf else following
        if high - low < 1e-15 * high:
            break
        flux = following
    else:
        raise ArithmeticError(f"the flow through the pipe was not found: its logarithm still moves by {step:g}")
    if flux > behind.fastest:
        return most(gas, pipe, ahead)[0], True
    return flux, False


def end_of(gas: IsothermalGas, pipe: Pipe, ahead: GasState, flux: float) -> tuple[float, GasState]:
    """The pressure lost (Pa) and the state at the end of a pipe, from that ahead and a flow per area (above zero).

    ValueError where the pipe cannot pass the flow.
    """
    top, choked_end = most(gas, pipe, ahead)
    if flux > top * (1 + 1e-12):
        raise ValueError(
            f"the pipe cannot pass {flux * pipe.area:.6g} kg/s: from this pressure, the most it passes is"
            f" {top * pipe.area:.6g} kg/s, whatever the pressure behind (choked)"
        )
    # In the drop, which keeps its digits when small. The excess rises from below zero to above.
    low, high = 0.0, ahead.p - choked_end.p
    drop = min(high, flux * flux * resistance(pipe, flux, ahead.mu)[0] / (2 * ahead.rho))
    for taken in range(200):
        end = gas.at(ahead.p - drop)
        c = resistance(pipe, flux, (ahead.mu + end.mu) / 2)[0]
        needed = flux * flux * (c + 2 * math.log(ahead.rho / end.rho))
        value = 2 * gathered_between(gas, ahead, end, drop) - needed
        if value > 0:
            high = drop
        else:
            low = drop
        slope = 2 * end.rho - 2 * flux * flux * end.slope / end.rho
        step = -value / slope if slope > 0 else math.inf
        if abs(step) <= 1e-14 * drop or high - low <= 1e-15 * high:
            return drop, end
        drop = drop + step if low < drop + step < high and (taken < 12 or taken % 2) else (low + high) / 2
    raise ArithmeticError(f"the pressure behind the pipe was not found: {value / needed:g} of the loss remains")
