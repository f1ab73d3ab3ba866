"""The structure plugin's calculators: pure functions, each with its equation and source.

wind.py      gusts, pressure, push
stand.py     overturning, sliding, ballast, guys
plan.py      distances and moments about the edges of a base
handling.py  lifting and tying down
"""

from __future__ import annotations

from typing import Any

from specc.formulas.calculators import Calculator
from specc_structure.calc import handling, plan, stand, wind

CALCULATORS: tuple[Calculator[..., Any], ...] = (
    *wind.CALCULATORS,
    *plan.CALCULATORS,
    *stand.CALCULATORS,
    *handling.CALCULATORS,
)
