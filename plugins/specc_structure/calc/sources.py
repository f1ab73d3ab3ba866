"""Citations that several calculators of this package share; the ids are told in references.yaml."""

from __future__ import annotations

from specc.model.values import Citation

STATICS = Citation("beer-johnston", "moments, friction and the equilibrium of a rigid body; page not read", "memory")
FACTOR = Citation("overturning-sheets", "factor 1.5 against overturning and sliding, as city sheets ask", "read")


def check_positive(**values: float) -> None:
    """Raises ValueError for the first that is not above zero and finite; the name is told in words."""
    for name, value in values.items():
        if not 0 < value < float("inf"):
            raise ValueError(f"{name.replace('_', ' ')} has to be more than 0")


def check_not_below_zero(**values: float) -> None:
    for name, value in values.items():
        if not 0 <= value < float("inf"):
            raise ValueError(f"{name.replace('_', ' ')} cannot be below 0")
