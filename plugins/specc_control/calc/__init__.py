"""The control plugin's calculators: pure functions, each with its equation and source.

sources.py   copper, and what several share
wire.py      area, resistance, drop, size, and whether a fuse opens
coil.py      warm coils, what reaches them, how they let go
battery.py   how long, how large; and how long a contact lasts
"""

from __future__ import annotations

from typing import Any

from specc.formulas.calculators import Calculator
from specc_control.calc import battery, coil, wire

CALCULATORS: tuple[Calculator[..., Any], ...] = (*wire.CALCULATORS, *coil.CALCULATORS, *battery.CALCULATORS)
