"""Propane's equation of state: Lemmon, McLinden and Wagner, J. Chem. Eng. Data 54 (2009) 3141-3180.

Plain functions behind the calculators of propane.py. The equation gives the residual part of the Helmholtz
energy, a, over R*T, as a sum of terms in the reduced density d = rho/rho_c and t = T_c/T. All properties
follow from a and its slopes:

    pressure            p = rho R T (1 + d a_d)
    enthalpy, residual  h = R T (t a_t + d a_d)
    equilibrium         p and (d a_d + a + ln d) the same in liquid and vapor

No ancillary equation is used: saturation is solved from the equation of state itself, so that vapor
pressure, densities and latent heat agree with each other.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import NamedTuple

from specc_fuel.calc.sources import M_PROPANE, R_PAPER

R = R_PAPER.si
M = M_PROPANE.si
CRITICAL_TEMPERATURE = 369.89  # K
CRITICAL_DENSITY = 5000.0  # mol/m3
CRITICAL_PRESSURE = 4.2512e6  # Pa

# The range kept here is what a cylinder or hose can meet, well inside the paper's 85.5 to 650 K and 1000 MPa.
# 360 K (188 °F) stays clear of the critical point at 369.89 K, where the solutions get delicate.
COLDEST = 150.0
HOTTEST_LIQUID = 360.0
HOTTEST_GAS = 450.0

# All coefficients: Lemmon, McLinden and Wagner 2009, as held in CoolProp 8.0.0's fluid file for propane.
# n * d**i * t**j, times exp(-d**l) where l is not 0.
_POWER = (
    # n, i, j, l
    (0.042910051, 4, 1.0, 0),
    (1.7313671, 1, 0.33, 0),
    (-2.4516524, 1, 0.8, 0),
    (0.34157466, 2, 0.43, 0),
    (-0.46047898, 2, 0.9, 0),
    (-0.66847295, 1, 2.46, 1),
    (0.20889705, 3, 2.09, 1),
    (0.19421381, 6, 0.88, 1),
    (-0.22917851, 6, 1.09, 1),
    (-0.60405866, 2, 3.25, 2),
    (0.066680654, 3, 4.62, 2),
)
# n * d**i * t**j * exp(-eta*(d - epsilon)**2 - beta*(t - gamma)**2)
_GAUSS = (
    # n, i, j, eta, beta, gamma, epsilon
    (0.017534618, 1, 0.76, 0.963, 2.33, 0.684, 1.283),
    (0.33874242, 1, 2.5, 1.977, 3.47, 0.829, 0.6936),
    (0.22228777, 1, 2.75, 1.917, 3.15, 1.419, 0.788),
    (-0.23219062, 2, 3.05, 2.307, 3.19, 0.817, 0.473),
    (-0.09220694, 2, 2.55, 2.546, 0.92, 1.5, 0.8577),
    (-0.47575718, 4, 8.4, 3.28, 18.8, 1.426, 0.271),
    (-0.017486824, 1, 6.75, 14.6, 547.8, 1.093, 0.948),
)
# Ideal-gas heat capacity over R: 4 + sum of v x^2 exp(x) / (exp(x) - 1)^2 with x = u*T_c/T, as v and u.
EINSTEIN = ((3.043, 1.062478), (5.874, 3.344237), (9.337, 5.363757), (7.922, 11.762957))


class Residual(NamedTuple):
    """The residual Helmholtz energy over R*T and its slopes: by d (once, twice) and by t."""

    a: float
    a_d: float
    a_dd: float
    a_t: float


class Saturation(NamedTuple):
    """Liquid and vapor in balance: pressure in Pa absolute, reduced densities of both."""

    pressure: float
    liquid: float
    vapor: float


def residual(d: float, t: float) -> Residual:
    """The residual part at reduced density d (> 0) and t = T_c/T."""
    a = a_d = a_dd = a_t = 0.0
    for n, i, j, power in _POWER:
        term = n * d**i * t**j
        slope = float(i)  # d times the slope by d, over the term; `bend` is d^2 times the second slope
        bend = float(i * (i - 1))
        if power:
            dl = d**power
            term *= math.exp(-dl)
            slope = i - power * dl
            bend = slope * (slope - 1) - power * power * dl
        a += term
        a_d += term * slope / d
        a_dd += term * bend / (d * d)
        a_t += term * j / t
    for n, i, j, eta, beta, gamma, epsilon in _GAUSS:
        off = d - epsilon
        term = n * d**i * t**j * math.exp(-eta * off * off - beta * (t - gamma) ** 2)
        slope = i - 2 * eta * d * off
        bend = slope * (slope - 1) - 2 * eta * d * (2 * d - epsilon)
        a += term
        a_d += term * slope / d
        a_dd += term * bend / (d * d)
        a_t += term * (j / t - 2 * beta * (t - gamma))
    return Residual(a, a_d, a_dd, a_t)


@lru_cache(maxsize=64)
def _at(t: float) -> tuple[tuple[tuple[float, int, float, int], ...], tuple[tuple[float, ...], ...]]:
    """What of each term hangs on t = T_c/T alone."""
    power = tuple((n, i, t**j, power) for n, i, j, power in _POWER)
    return power, tuple((n, i, t**j, eta, beta * (t - gamma) ** 2, e) for n, i, j, eta, beta, gamma, e in _GAUSS)


def slope_by_density(d: float, t: float) -> float:
    """`residual(d, t).a_d`, to the last digit: a pressure asks for no more, thousands of times at one temperature."""
    power_terms, gauss_terms = _at(t)
    a_d = 0.0
    for n, i, by_t, power in power_terms:
        term = n * d**i * by_t
        if power:
            dl = d**power
            term *= math.exp(-dl)
            a_d += term * (i - power * dl) / d
        else:
            a_d += term * i / d
    for n, k, by_t, eta, bell, epsilon in gauss_terms:
        off = d - epsilon
        a_d += n * d**k * by_t * math.exp(-eta * off * off - bell) * (k - 2 * eta * d * off) / d
    return a_d


def check_temperature(temperature: float, hottest: float = HOTTEST_LIQUID) -> None:
    """Raise ValueError outside the range kept here, or for what is no number."""
    if not COLDEST <= temperature <= hottest:
        raise ValueError(
            f"propane properties are computed here from {COLDEST:g} K to {hottest:g} K, not at {temperature:g} K"
        )


# Remembered because one spec asks for the same few temperatures thousands of times; the answer depends on
# the temperature alone.
@lru_cache(maxsize=512)
def saturation(temperature: float) -> Saturation:
    """Liquid and vapor in balance at `temperature` (K), solved from the equation of state by Newton steps.

    The two conditions (same pressure, same Gibbs energy) and the step are those of any Maxwell
    construction. Raises ValueError outside COLDEST to HOTTEST_LIQUID, ArithmeticError if the two densities
    do not settle.
    """
    check_temperature(temperature)
    t = CRITICAL_TEMPERATURE / temperature
    # First guesses (corresponding states, acentric factor 0.1521): they do not touch the settled result.
    pressure = CRITICAL_PRESSURE * math.exp(5.373 * 1.1521 * (1 - t))
    vapor = _vapor_from(pressure, temperature)
    liquid = 1 + 2.1 * (1 - 1 / t) ** 0.37 + 0.6 * (1 - 1 / t)
    for _ in range(60):
        fl, fv = residual(liquid, t), residual(vapor, t)
        # J is p/(rho_c R T); K is what is left of the Gibbs energy over R T when the temperature is one.
        jl, jv = liquid * (1 + liquid * fl.a_d), vapor * (1 + vapor * fv.a_d)
        kl = liquid * fl.a_d + fl.a + math.log(liquid)
        kv = vapor * fv.a_d + fv.a + math.log(vapor)
        jl_d = 1 + 2 * liquid * fl.a_d + liquid**2 * fl.a_dd
        jv_d = 1 + 2 * vapor * fv.a_d + vapor**2 * fv.a_dd
        kl_d, kv_d = jl_d / liquid, jv_d / vapor
        spread = jv_d * kl_d - jl_d * kv_d
        step_l = ((kv - kl) * jv_d - (jv - jl) * kv_d) / spread
        step_v = ((kv - kl) * jl_d - (jv - jl) * kl_d) / spread
        # Never more than halve or double the thin vapor in one step.
        liquid += step_l
        vapor = min(max(vapor + step_v, vapor / 2), vapor * 2)
        if abs(step_l) < 1e-13 * liquid and abs(step_v) < 1e-11 * vapor:
            break
    else:
        raise ArithmeticError(f"saturation at {temperature:g} K did not settle")
    if not vapor < 1 < liquid:
        raise ArithmeticError(f"saturation at {temperature:g} K settled on one phase")
    a_d = slope_by_density(vapor, t)
    return Saturation(vapor * (1 + vapor * a_d) * CRITICAL_DENSITY * R * temperature, liquid, vapor)


def vapor_density(temperature: float, pressure: float) -> float:
    """Reduced density of the vapor at `temperature` (K) and `pressure` (Pa absolute).

    Raises ValueError above the saturation pressure (it would be liquid), for a pressure not above zero and
    outside the temperatures kept here.
    """
    check_temperature(temperature, HOTTEST_GAS)
    if not pressure > 0:
        raise ValueError(f"an absolute pressure is above zero, not {pressure:g} Pa")
    # Above HOTTEST_LIQUID the vapor is followed up to the last saturation pressure kept, 3.5 MPa.
    top = saturation(min(temperature, HOTTEST_LIQUID)).pressure
    # A cylinder's own pressure, carried through psig and back, must not fail by a rounding.
    if pressure > top * (1 + 1e-9):
        raise ValueError(
            f"propane at {temperature:.2f} K is no vapor at {pressure:.0f} Pa absolute: above {top:.0f} Pa it condenses"
        )
    return _vapor_from(min(pressure, top), temperature)


def _vapor_from(pressure: float, temperature: float) -> float:
    """Newton from the ideal gas. As p(d) of a vapor bends down, each step stays below the root."""
    t = CRITICAL_TEMPERATURE / temperature
    want = pressure / (CRITICAL_DENSITY * R * temperature)
    d = want
    for _ in range(60):
        f = residual(d, t)
        slope = 1 + 2 * d * f.a_d + d * d * f.a_dd
        if slope <= 0:
            break
        step = (want - d * (1 + d * f.a_d)) / slope
        d += step
        if abs(step) < 1e-13 * d:
            return d
    raise ArithmeticError(f"no vapor density found at {temperature:g} K and {pressure:g} Pa")
