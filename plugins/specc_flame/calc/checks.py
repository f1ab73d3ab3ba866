"""What the calculators of this package refuse, in words. All raise ValueError."""

from __future__ import annotations

import math


def above_zero(what: str, value: float, unit: str) -> None:
    if not (value > 0 and math.isfinite(value)):
        raise ValueError(f"{what} has to be above zero, not {value:g} {unit}".rstrip())


def not_below_zero(what: str, value: float, unit: str) -> None:
    if not (value >= 0 and math.isfinite(value)):
        raise ValueError(f"{what} cannot be below zero, and {value:g} {unit} is".rstrip())


def fraction(what: str, value: float) -> None:
    if not 0 < value <= 1:
        raise ValueError(f"{what} lies above 0 and at most at 1, not at {value:g}")
