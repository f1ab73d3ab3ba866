"""What heat does to bare skin over a time."""

from __future__ import annotations

from typing import Annotated

from specc.dims import Dim, Duration, Ratio
from specc.formulas.calculators import calculator
from specc.model.values import PRACTICE, Answer, Citation, Constant, Equation, Symbol
from specc_flame.calc import checks

HeatFlux = Annotated[float, Dim("heat_flux")]
DOSE = Citation("hsl-2004-04", "thermal dose and its thresholds, as restated in public summaries", "reprint")
_FLUX = Symbol("q", "heat_flux", "radiation on bare skin")
_ONE = Symbol("q_1", "heat_flux", "1 kW/m²")
_TIME = Symbol("t", "duration", "how long")
_SECOND = Symbol("t_1", "duration", "1 s")
_UNITS = (
    ("q_1", Constant(1000.0, "heat_flux", "1 kW/m²", PRACTICE)),
    ("t_1", Constant(1.0, "duration", "1 s", PRACTICE)),
)
# TDU; the lowest of the spread that is published for each.
PAIN = Constant(92.0, "ratio", "92 TDU (86 to 103)", DOSE)
PAIN_LEAST = 86.0
BLISTERS_LEAST = 240.0  # second-degree burns: 290 (240 to 350)

THERMAL_DOSE = Equation(
    forms=(("", "V = (q/q_1)**(4/3)*t/t_1"),),
    symbols=(_FLUX, _TIME, _ONE, _SECOND, Symbol("V", "ratio", "thermal dose, TDU: (kW/m²)^(4/3)·s")),
    citations=(DOSE,),
    validity=(
        "bare skin, steady heat of seconds to a minute. Pain at 92 TDU (86 to 103), first-degree burns at 105, "
        "second-degree at 290 (240 to 350). Skin that cools between bursts is not counted: doses add"
    ),
    constants=_UNITS,
)


def dose_of(flux: float, time: float) -> float:
    """TDU from W/m2 and s."""
    return float((flux / 1e3) ** (4 / 3) * time)


@calculator("thermal-dose", THERMAL_DOSE, symbols={"flux": "q", "time": "t"}, result="V")
def thermal_dose(flux: HeatFlux, time: Duration) -> Ratio:
    """The thermal dose of steady radiation on bare skin, in TDU.

    V = q^(4/3) t, q in kW/m2.

    flux: W/m2. time: s. Returns TDU, (kW/m2)^(4/3) s. Validity: steady heat of seconds to a minute.
    Errors: ValueError for a flux or time below zero. Source: HSL/2004/04, read in a summary.

    >>> round(thermal_dose(4730.0, 11.6), 0)
    92.0
    """
    checks.not_below_zero("a flux", flux, "W/m²")
    checks.not_below_zero("a time", time, "s")
    return dose_of(flux, time)


PAIN_TIME = Equation(
    forms=(("", "t = V*t_1/(q/q_1)**(4/3)"),),
    symbols=(_FLUX, _ONE, _SECOND, Symbol("V", "ratio", "the dose that hurts, TDU"), _TIME),
    citations=(DOSE,),
    validity=THERMAL_DOSE.validity,
    constants=(*_UNITS, ("V", PAIN)),
)


@calculator("pain-time", PAIN_TIME, symbols={"flux": "q"}, result="t", dim="duration", unit="s")
def pain_time(flux: HeatFlux) -> Answer:
    """How long bare skin bears steady radiation until it hurts.

    t = 92 TDU / q^(4/3).

    flux: W/m2. Returns s. Validity: some 2 to 20 kW/m2; marked beyond outside. Errors: ValueError for a flux not above
    zero. Source: HSL/2004/04 (pain at 92 TDU), read in a summary; the EPA's table of 1989 is a test.

    >>> round(pain_time(6310.0).value, 1)
    7.9
    """
    checks.above_zero("a flux", flux, "W/m²")
    beyond = "" if 2e3 <= flux <= 20e3 else "outside 2 to 20 kW/m² the dose was not compared with measured times"
    return Answer(PAIN.si / (flux / 1e3) ** (4 / 3), "", beyond)


CALCULATORS = (thermal_dose, pain_time)
