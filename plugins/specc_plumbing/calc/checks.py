"""What the calculators of this package refuse, in words. All raise ValueError."""

from __future__ import annotations

import math

from specc.formulas.ranges import above_zero, not_below_zero

__all__ = ["above_zero", "not_below_zero"]


def whole(what: str, value: float) -> None:
    if not (math.isfinite(value) and value == int(value)):
        raise ValueError(f"{what} is a whole number, not {value:g}")
