"""Gas through one hole, and through two in a row: the plain functions behind orifice.py.

Isentropic flow of an ideal gas from rest, with the real density ahead of the hole. Every calculator of flow
in this plugin comes through `flux`, so a jet, a feed orifice and a parted hose are computed alike.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

from specc_fuel.calc import checks
from specc_fuel.calc.propane import compressibility, heat_capacity_ratio
from specc_fuel.calc.sources import M_PROPANE, R_PAPER, STANDARD_AIR


class GasAhead(NamedTuple):
    """Propane ahead of a hole: density (kg/m3), compressibility, ratio of specific heats of the ideal gas."""

    rho: float
    z: float
    k: float


class Between(NamedTuple):
    """The pressure between two holes in a row.

    `pressure` in Pa gauge, `flow` in kg/s; `residual` is how far the two flows differ, over the flow.
    """

    pressure: float
    flow: float
    residual: float
    feed_choked: bool
    jets_choked: bool


# A network is solved in thousands of steps at one temperature, so at one k.
@lru_cache(maxsize=64)
def critical_ratio(k: float) -> float:
    """Absolute pressure in the throat over that ahead of it, when the flow is choked."""
    return math.pow(2 / (k + 1), k / (k - 1))


# Remembered because like runs ask for the same pressures; the answer depends on the two numbers alone.
@lru_cache(maxsize=4096)
def propane_at(pressure: float, temperature: float) -> GasAhead:
    """Propane vapor at Pa absolute and K. ValueError where it is no vapor."""
    z = compressibility(temperature, pressure).value
    rho = pressure * M_PROPANE.si / (z * R_PAPER.si * temperature)
    return GasAhead(rho, z, heat_capacity_ratio(temperature).value)


@lru_cache(maxsize=64)
def _choked(k: float) -> float:
    """Choked flow per area over the root of k*rho*pressure."""
    return math.pow(2 / (k + 1), (k + 1) / (2 * (k - 1)))


def is_choked(pressure: float, drop: float, k: float) -> bool:
    """Whether the throat runs at the speed of sound: `pressure` ahead (Pa absolute), `drop` across (Pa)."""
    return (pressure - drop) < critical_ratio(k) * pressure


def flux(pressure: float, drop: float, rho: float, k: float) -> float:
    """Mass flow per effective area, kg/(s m2).

    `pressure` ahead of the hole, Pa absolute; `drop` across it, Pa; `rho` ahead of it, kg/m3. The drop is
    passed rather than the pressure behind, and the powers are written with log1p and expm1, so that a drop of
    a millionth of the pressure still keeps its digits.
    """
    if drop <= 0:
        return 0.0
    if is_choked(pressure, drop, k):
        return math.sqrt(k * rho * pressure) * _choked(k)
    log_ratio = math.log1p(-drop / pressure)
    expansion = math.exp(2 / k * log_ratio) * -math.expm1((k - 1) / k * log_ratio)
    return math.sqrt(2 * rho * pressure * k / (k - 1) * expansion)


def pressure_between(
    upstream: float,
    feed: float,
    jets: float,
    gas_temperature: float,
    ambient: float = STANDARD_AIR,
) -> Between:
    """The pressure of a section fed through one hole and emptied through others, when what goes in comes out.

    upstream: Pa gauge ahead of the feed. feed, jets: effective areas, discharge coefficient times area, m2.
    gas_temperature: K, ahead of both. ambient: Pa absolute.
    The feed's flow falls and the jets' flow rises with the pressure between, so there is one answer, and it
    is bracketed from the start. The unknown is counted from the nearer end (air or supply), so that it keeps
    its digits when it is small. Raises ValueError for impossible inputs and where the gas would be liquid;
    ArithmeticError if the flows do not come to agree within 1e-12.
    """
    checks.downhill(upstream, 0.0, ambient)
    checks.above_zero("the feed's effective area", feed, "m²")
    checks.above_zero("the jets' effective area", jets, "m²")
    ahead = propane_at(upstream + ambient, gas_temperature)
    if upstream == 0:
        return Between(0.0, 0.0, 0.0, False, False)

    def flows(gauge: float, feed_drop: float) -> tuple[float, float]:
        inside = propane_at(gauge + ambient, gas_temperature)
        return (
            feed * flux(upstream + ambient, feed_drop, ahead.rho, ahead.k),
            jets * flux(gauge + ambient, gauge, inside.rho, inside.k),
        )

    half = upstream / 2
    feed_half, jets_half = flows(half, half)
    from_air = jets_half >= feed_half
    # Squares of the flows are nearly straight lines in pressure, which false position likes. The excess is
    # below zero at the near end (low) and above it in the middle (high).
    low, high = 0.0, half
    feed_end, jets_end = flows(0.0, upstream) if from_air else flows(upstream, 0.0)
    at_low = -(feed_end**2) if from_air else -(jets_end**2)
    at_high = abs(jets_half**2 - feed_half**2)
    kept = 0  # which end stayed in the last step: an end that stays twice counts half (the Illinois rule)
    for step in range(200):
        # Bisection after 60 steps is a safety net; false position needs about ten.
        x = low - at_low * (high - low) / (at_high - at_low) if step < 60 else (low + high) / 2
        gauge, drop = (x, upstream - x) if from_air else (upstream - x, x)
        into, out = flows(gauge, drop)
        if abs(into - out) <= 1e-12 * max(into, out):
            return Between(
                gauge,
                out,
                abs(into - out) / max(into, out),
                is_choked(upstream + ambient, drop, ahead.k),
                is_choked(gauge + ambient, gauge, ahead.k),
            )
        excess = out**2 - into**2 if from_air else into**2 - out**2
        if excess < 0:
            low, at_low = x, excess
            at_high = at_high / 2 if kept == 1 else at_high
            kept = 1
        else:
            high, at_high = x, excess
            at_low = at_low / 2 if kept == -1 else at_low
            kept = -1
    raise ArithmeticError(f"the flows of feed and jets still differ by {abs(into - out):g} kg/s")
