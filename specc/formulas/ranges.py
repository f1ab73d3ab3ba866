"""What calculators refuse, in words: values outside the range that they are for. All raise ValueError."""

from __future__ import annotations

import math


def above_zero(what: str, value: float, unit: str = "") -> None:
    if not (value > 0 and math.isfinite(value)):
        raise ValueError(f"{what} has to be above zero, not {value:g} {unit}".rstrip())


def not_below_zero(what: str, value: float, unit: str = "") -> None:
    if not (value >= 0 and math.isfinite(value)):
        raise ValueError(f"{what} cannot be below zero, and {value:g} {unit} is".rstrip())


def check_positive(**values: float) -> None:
    """Raises ValueError for the first that is not above zero and finite; the name is told in words."""
    for name, value in values.items():
        if not 0 < value < math.inf:
            raise ValueError(f"{name.replace('_', ' ')} has to be more than 0")


def check_not_below_zero(**values: float) -> None:
    for name, value in values.items():
        if not 0 <= value < math.inf:
            raise ValueError(f"{name.replace('_', ' ')} cannot be below 0")
