"""What heat does to bare skin over a time."""

from __future__ import annotations

from specc.dims import Count, Duration, HeatFlux, ThermalDose
from specc.formulas.calculators import calculator
from specc.model.values import PRACTICE, Answer, Citation, Constant, Equation, Symbol
from specc_flame.calc import checks

DOSE = Citation("hsl-2004-04", "thermal dose and its thresholds, as restated in public summaries", "reprint")
_FLUX = Symbol("q", "heat_flux", "radiation on bare skin")
_ONE = Symbol("q_1", "heat_flux", "1 kW/m²")
_TIME = Symbol("t", "duration", "how long")
_SECOND = Symbol("t_1", "duration", "1 s")
_UNITS = (
    ("q_1", Constant(1000.0, "heat_flux", "1 kW/m²", PRACTICE)),
    ("t_1", Constant(1.0, "duration", "1 s", PRACTICE)),
)
ONE_TDU = Constant(1e4, "thermal_dose", "1 TDU, (kW/m²)^(4/3)·s", DOSE)
_TDU = Symbol("V_1", "thermal_dose", "1 TDU, (kW/m²)^(4/3)·s")
# TDU; the lowest of the spread that is published for each.
PAIN = Constant(92e4, "thermal_dose", "92 TDU (86 to 103)", DOSE)

THERMAL_DOSE = Equation(
    forms=(("", "V = n*(q/q_1)**(4/3)*t/t_1*V_1"),),
    symbols=(
        _FLUX,
        _TIME,
        Symbol("n", "count", "how many times, with no recovery between them"),
        _ONE,
        _SECOND,
        _TDU,
        Symbol("V", "thermal_dose", "thermal dose"),
    ),
    citations=(DOSE,),
    validity=(
        "bare skin, steady heat of seconds to a minute. Pain at 92 TDU (86 to 103), first-degree burns at 105, "
        "second-degree at 290 (240 to 350). Skin that cools between bursts is not counted: doses add"
    ),
    constants=(*_UNITS, ("V_1", ONE_TDU)),
)


def dose_of(flux: float, time: float) -> float:
    """TDU from W/m2 and s."""
    return float((flux / 1e3) ** (4 / 3) * time)


@calculator(
    "thermal-dose",
    THERMAL_DOSE,
    symbols="q t n",
    unit="(kW/m²)^(4/3)·s",
    examples={"time": "3 s", "flux": "1,500 BTU/(h·ft²)"},
)
def thermal_dose(flux: HeatFlux, time: Duration, times: Count = 1.0) -> ThermalDose:
    """The thermal dose of radiation on bare skin, once or added up without recovery.

    V = n q^(4/3) t, q in kW/m2.

    flux: W/m2. time: s. times: how many. Returns (W/m2)^(4/3) s; a TDU, (kW/m2)^(4/3) s, is 10,000 of them.
    Validity: steady heat of seconds to a minute. Errors: ValueError for values below zero.
    Source: HSL/2004/04, read in a summary.

    >>> round(thermal_dose(4730.0, 11.6) / 1e4, 0)
    92.0
    """
    checks.not_below_zero("a flux", flux, "W/m²")
    checks.not_below_zero("a time", time, "s")
    checks.not_below_zero("a count", times, "")
    return times * dose_of(flux, time) * ONE_TDU.si


PAIN_TIME = Equation(
    forms=(("", "t = V/V_1*t_1/(q/q_1)**(4/3)"),),
    symbols=(_FLUX, _ONE, _SECOND, _TDU, Symbol("V", "thermal_dose", "the dose that hurts"), _TIME),
    citations=(DOSE,),
    validity=THERMAL_DOSE.validity,
    constants=(*_UNITS, ("V_1", ONE_TDU), ("V", PAIN)),
)


@calculator("pain-time", PAIN_TIME, symbols="q", unit="s", examples={"flux": "1,500 BTU/(h·ft²)"})
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
    return Answer(PAIN.si / ONE_TDU.si / (flux / 1e3) ** (4 / 3), "", beyond)
