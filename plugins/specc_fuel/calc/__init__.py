"""The fuel plugin's calculators: pure functions in SI, each with its equation and source.

sources.py   constants and citations shared by several
checks.py    what is refused, in words
state.py     propane's equation of state; propane.py its calculators
heat.py      gross and net heating values
nozzle.py    gas through holes; orifice.py its calculators
cylinder.py  pressure, boil-off, duration, number; filling.py filling and contents
amounts.py   areas of jets, and gas over a show
"""

from __future__ import annotations

from typing import Any

from specc.calculators import Calculator
from specc_fuel.calc import amounts, cylinder, filling, heat, orifice, propane

CALCULATORS: tuple[Calculator[..., Any], ...] = (
    *propane.CALCULATORS,
    *heat.CALCULATORS,
    *orifice.CALCULATORS,
    *cylinder.CALCULATORS,
    *filling.CALCULATORS,
    *amounts.CALCULATORS,
)
