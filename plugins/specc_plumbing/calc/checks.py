"""What the calculators of this package refuse, in words. All raise ValueError."""

from __future__ import annotations

import math


def above_zero(what: str, value: float, unit: str = "") -> None:
    if not (value > 0 and math.isfinite(value)):
        raise ValueError(f"{what} has to be above zero, not {value:g} {unit}".rstrip())


def not_below_zero(what: str, value: float, unit: str = "") -> None:
    if not (value >= 0 and math.isfinite(value)):
        raise ValueError(f"{what} has to be zero or more, not {value:g} {unit}".rstrip())


def whole(what: str, value: float) -> None:
    if not (math.isfinite(value) and value == int(value)):
        raise ValueError(f"{what} is a whole number, not {value:g}")
