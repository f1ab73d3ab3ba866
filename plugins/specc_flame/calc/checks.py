"""What the calculators of this package refuse, in words. All raise ValueError."""

from __future__ import annotations

from specc.formulas.ranges import above_zero, not_below_zero

__all__ = ["above_zero", "not_below_zero"]


def fraction(what: str, value: float) -> None:
    if not 0 < value <= 1:
        raise ValueError(f"{what} lies above 0 and at most at 1, not at {value:g}")
