"""Viscosity of propane vapor: the correlation of Vogel, Küchenmeister, Bich and Laesecke.

Three parts add up: the thin gas, a term that is linear in density, and the rest. For the vapor in a hose the
first is all but everything; the other two come to some per cent near saturation.
"""

from __future__ import annotations

import math

from specc.model.values import Citation
from specc_fuel.calc import state

# The coefficients were taken from CoolProp's data file, not from the paper's pages: hence "reprint".
VOGEL = Citation("vogel-1998", "viscosity of propane: dilute gas, initial density and residual parts", "reprint")

_EPSILON = 263.88  # K
_SIGMA = 0.49748  # nm
_AVOGADRO = 6.02214076e23  # per mol
_THIN = (0.25104574, -0.47271238, 0.0, 0.060836515)  # powers 0 to 3 of ln(T/epsilon)
_LINEAR = (  # factor, power of T/epsilon
    (-19.572881, 0.0),
    (219.73999, -0.25),
    (-1015.3226, -0.5),
    (2471.01251, -0.75),
    (-3375.1717, -1.0),
    (2491.6597, -1.25),
    (-787.26086, -1.5),
    (14.085455, -2.5),
    (-0.34664158, -5.5),
)
_REST_TEMPERATURE = 369.825  # K
_REST_DENSITY = 5000.0  # mol/m3
_REST = (  # power of the reduced density; factors of 1, t and t^2 with t = 369.825 K / T; Pa s
    (2, 3.59873030195e-05, -0.000180512188564, 8.77124888223e-05),
    (3, -0.000105773052525, 0.000205319740877, -0.00012921093261),
    (4, 5.89491587759e-05, -0.0001297400331, 7.66280419971e-05),
    (5, -9.59407868475e-06, 2.10726986598e-05, -1.43971968187e-05),
)
_CLOSE = 0.00161688405374  # Pa s
_PACKED = (2.50053938863, 2.1517543007382995)  # the close-packed density, with 1 and t^-1/2


def thin_gas(temperature: float) -> float:
    """Viscosity in the limit of no pressure, Pa s, at `temperature` in K."""
    log = math.log(temperature / _EPSILON)
    collisions = math.exp(_THIN[0] + log * (_THIN[1] + log * (_THIN[2] + log * _THIN[3])))
    return 2.1357e-8 * math.sqrt(1000 * 0.0440956 * temperature) / (_SIGMA**2 * collisions)


def value(temperature: float, molar_density: float) -> float:
    """Viscosity in Pa s at `temperature` (K) and `molar_density` (mol/m3). Checks nothing."""
    star = temperature / _EPSILON
    thin = thin_gas(temperature)
    second = _AVOGADRO * (_SIGMA * 1e-9) ** 3 * sum(b * math.pow(star, n) for b, n in _LINEAR)
    d, t = molar_density / _REST_DENSITY, _REST_TEMPERATURE / temperature
    rest = sum(d**n * (one + t * (two + t * three)) for n, one, two, three in _REST)
    packed = _PACKED[0] + _PACKED[1] / math.sqrt(t)
    return thin * (1 + second * molar_density) + rest + _CLOSE * d * (1 / (packed - d) - 1 / packed)


def vapor_viscosity(temperature: float, pressure: float) -> float:
    """The viscosity of propane vapor.

    mu = mu_0(T) (1 + B(T) rho) + rest(T, rho), with rho from the equation of state.

    temperature: K. pressure: Pa absolute. Returns Pa s.
    Validity: vapor, 150 to 450 K (the paper covers 90 to 600 K). Errors: ValueError outside, and above the
    saturation pressure. Source: Vogel, Küchenmeister, Bich and Laesecke 1998, with the density of Lemmon,
    McLinden and Wagner 2009.

    IFGC's appendix takes 0.008 cP; at 60 °F and one atmosphere this gives

    >>> round(vapor_viscosity(288.71, 101325.0) * 1000, 5)
    0.00789
    """
    density = state.vapor_density(temperature, pressure) * state.CRITICAL_DENSITY
    return value(temperature, density)
