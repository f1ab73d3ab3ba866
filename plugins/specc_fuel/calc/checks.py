"""What the calculators of this package refuse, in words. All raise ValueError."""

from __future__ import annotations

import math

from specc.formulas.ranges import above_zero, not_below_zero

__all__ = ["above_zero", "not_below_zero"]


def discharge(value: float, what: str = "the discharge coefficient") -> None:
    """More than 1 would pass more gas than an ideal nozzle of that size; 0 is no hole."""
    if not 0 < value <= 1:
        raise ValueError(f"{what} lies above 0 and at most at 1, not at {value:g}")


def fraction(what: str, value: float) -> None:
    if not 0 <= value <= 1:
        raise ValueError(f"{what} lies between 0 and 100 %, not at {100 * value:g} %")


def heat_ratio(value: float) -> None:
    if not (value > 1 and math.isfinite(value)):
        raise ValueError(f"a ratio of specific heats is above 1, not {value:g}")


def downhill(upstream: float, downstream: float, ambient: float) -> None:
    """Gauge pressures before and behind a hole, Pa, and the air's absolute pressure, Pa."""
    above_zero("the air's absolute pressure", ambient, "Pa")
    for words, gauge in (("upstream", upstream), ("downstream", downstream)):
        if not (math.isfinite(gauge) and gauge + ambient >= 0):
            raise ValueError(f"the {words} pressure, {gauge:g} Pa gauge, is below a vacuum")
    if upstream < downstream:
        raise ValueError(
            f"the upstream pressure ({upstream:g} Pa gauge) is below the downstream one ({downstream:g} Pa):"
            " the gas would run backwards"
        )
    above_zero("the absolute upstream pressure", upstream + ambient, "Pa")
