"""Butanes beside propane: their vapor pressures, and the condensation pressure of a blend of the three.

Sold propane holds some butane, which condenses first. Propene and ethane condense later than propane: counting
them as propane gives a condensation pressure that is too low, which is the safe side.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from specc.dims import Temperature
from specc.formulas.calculators import calculator
from specc.model.values import Answer, Citation, Constant, Equation, Symbol
from specc_fuel.calc import checks, state

BUECKER = Citation("buecker-wagner-2006", "vapor pressure equations of n-butane and isobutane", "reprint")
BUTANE_M = Constant(0.0581222, "amount_mass", "58.1222 g/mol", BUECKER)  # both isomers

_VALIDITY = (
    "the pure substance with liquid present, 150 K to 360 K; outside it nothing is computed. Against its equation of"
    " state by CoolProp within 0.03 % from -40 to 180 °F"
)


class Heavier(NamedTuple):
    """What the vapor pressure equation of a butane needs: critical point, and coefficients with their powers."""

    critical_temperature: float  # K
    critical_pressure: float  # Pa
    terms: tuple[tuple[float, float], ...]


N_BUTANE = Heavier(425.125, 3.796e6, ((-7.17616903, 1.0), (2.53635336, 1.5), (-2.07532869, 2.0), (-2.82241113, 4.5)))
ISOBUTANE = Heavier(407.81, 3.629e6, ((-6.85093103, 1.0), (1.36543198, 1.5), (-1.32542691, 2.5), (-2.56190994, 4.5)))


class Dew(NamedTuple):
    """A blend's condensation pressure, and the vapor pressures of its parts; all Pa absolute."""

    pressure: float
    propane: float
    n_butane: float
    isobutane: float


def saturation_pressure(substance: Heavier, temperature: float) -> float:
    """Vapor pressure of a butane, Pa absolute, at `temperature` (K). ValueError outside 150 to 360 K."""
    state.check_temperature(temperature)
    theta = 1 - temperature / substance.critical_temperature
    total = math.fsum(n * theta**power for n, power in substance.terms)
    return substance.critical_pressure * math.exp(substance.critical_temperature / temperature * total)


def check_blend(n_butane: float, isobutane: float) -> None:
    checks.fraction("the share of n-butane", n_butane)
    checks.fraction("the share of isobutane", isobutane)
    if n_butane + isobutane > 1:
        raise ValueError(f"the shares add up to {100 * (n_butane + isobutane):g} %, more than there is")


def dew(temperature: float, n_butane: float, isobutane: float) -> Dew:
    """The condensation pressure of vapor with these shares by moles, the rest propane: 1/p = sum(y_i/p_i).

    temperature: K. ValueError for shares that are none, and outside 150 to 360 K.
    """
    check_blend(n_butane, isobutane)
    p = state.saturation(temperature).pressure
    n, i = saturation_pressure(N_BUTANE, temperature), saturation_pressure(ISOBUTANE, temperature)
    return Dew(1 / ((1 - n_butane - isobutane) / p + n_butane / n + isobutane / i), p, n, i)


def molar_mass(n_butane: float, isobutane: float) -> float:
    """Mean molar mass of the blend, kg/mol."""
    heavier = n_butane + isobutane
    return (1 - heavier) * state.M + heavier * BUTANE_M.si


def _equation(substance: Heavier, name: str) -> Equation:
    powers = "".join(
        f"{' + ' if n else ''}n_{n + 1}*(1 - T/T_c)" + (f"**{power:g}" if power != 1 else "")
        for n, (_, power) in enumerate(substance.terms)
    )
    t_c = substance.critical_temperature
    return Equation(
        forms=(("", f"p_s = p_c*exp(T_c/T*({powers}))"),),
        symbols=(
            Symbol("T", "temperature", "temperature"),
            Symbol("T_c", "temperature", f"critical temperature of {name}"),
            Symbol("p_c", "absolute_pressure", f"critical pressure of {name}"),
            *(Symbol(f"n_{n}", "ratio", "coefficient") for n in range(1, len(substance.terms) + 1)),
            Symbol("p_s", "absolute_pressure", f"vapor pressure of {name}"),
        ),
        citations=(BUECKER,),
        validity=_VALIDITY,
        constants=(
            ("T_c", Constant(t_c, "temperature", f"{t_c:g} K", BUECKER)),
            (
                "p_c",
                Constant(
                    substance.critical_pressure,
                    "absolute_pressure",
                    f"{substance.critical_pressure / 1e6:g} MPa",
                    BUECKER,
                ),
            ),
            *(
                (f"n_{n}", Constant(value, "ratio", f"{value:.9g}", BUECKER))
                for n, (value, _) in enumerate(substance.terms, 1)
            ),
        ),
    )


@calculator("n-butane-pressure", _equation(N_BUTANE, "n-butane"), symbols="T")
def n_butane_pressure(temperature: Temperature) -> Answer:
    """The vapor pressure of n-butane.

    ln(p_s/p_c) = T_c/T (n_1 x + n_2 x^1.5 + n_3 x^2 + n_4 x^4.5), x = 1 - T/T_c.

    temperature: K. Returns Pa absolute. Validity: 150 to 360 K. Errors: ValueError outside.
    Source: Bücker and Wagner 2006, coefficients read in copies.

    n-Butane boils at 272.66 K (equation of state by CoolProp):

    >>> round(n_butane_pressure(272.66).value / 101325, 3)
    1.0
    """
    return Answer(saturation_pressure(N_BUTANE, temperature))


@calculator("isobutane-pressure", _equation(ISOBUTANE, "isobutane"), symbols="T")
def isobutane_pressure(temperature: Temperature) -> Answer:
    """The vapor pressure of isobutane.

    ln(p_s/p_c) = T_c/T (n_1 x + n_2 x^1.5 + n_3 x^2.5 + n_4 x^4.5), x = 1 - T/T_c.

    Input, return, validity, errors and source as `n_butane_pressure`.
    """
    return Answer(saturation_pressure(ISOBUTANE, temperature))
