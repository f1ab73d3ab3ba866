"""What a measured field of a spec may be at least and at most, by dimension: wider than anything that a club builds.

`specc.measure.reading` refuses what no equation can use. This is about fields: a rope 3,000 miles high, a coil for five
million volts or a plate marked for absolute zero reads well, and is a slip all the same. A schema's own `x-above` and
`x-most` narrow a range, and `x-most` may also widen it. All numbers are choices of this tool, in SI.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from specc.dims import DIMENSIONS
from specc.model.values import Quantity

_DAY = 86400.0

USUAL = {
    "length": (1e-5, 2e4),  # a coat of paint; a town away
    "area": (1e-8, 1e6),
    "volume": (1e-6, 1e3),
    "mass": (1e-4, 1e5),
    "duration": (1e-3, 31 * _DAY),
    "temperature": (170.0, 2500.0),  # a winter in Antarctica; a propane flame
    "temperature_difference": (1e-2, 500.0),
    "gauge_pressure": (0.1, 1.5e8),
    "absolute_pressure": (0.1, 1.5e8),
    "pressure_difference": (0.1, 1.5e8),
    "speed": (1e-2, 150.0),
    "mass_flow": (1e-8, 10.0),
    "volume_flow": (1e-9, 1e3),
    "power": (1.0, 1e9),
    "force": (1e-2, 1e8),
    "ratio": (1e-6, 1e5),
    "voltage": (1e-3, 1e5),
    "current": (1e-6, 1e4),
    "resistance": (1e-4, 1e10),
    "charge": (1.0, 1e8),
    "inductance": (1e-7, 1e2),
    "electric_power": (1e-3, 1e7),
}
# What has no zero of its own that a field could mean.
_NEVER_ZERO = frozenset({"temperature", "absolute_pressure"})


def out_of_range(read: Quantity, schema: Mapping[str, Any]) -> str:
    """Between what a value has to lie, in words, where it does not; "" where it does."""
    least, usual = USUAL.get(read.dim, (0.0, math.inf))
    above, most = schema.get("x-above"), schema.get("x-most", usual)
    too_small = abs(read.si) < least and (read.si != 0 or read.dim in _NEVER_ZERO)
    too_low = read.si < -usual if above is None else read.si <= above
    if not too_small and not too_low and read.si <= most:
        return ""
    low = ""
    if too_small and (read.si != 0 or above is None):
        low = f"at least {_shown(least, read.dim)}"
    elif above is not None:
        low = f"more than {_shown(above, read.dim)}"
    elif too_low:
        low = f"at least {_shown(-usual, read.dim)}"
    high = f"at most {_shown(most, read.dim)}" if math.isfinite(most) and (not too_small or "x-most" in schema) else ""
    return " and ".join(words for words in (low, high) if words)


# In what an end is told, where that is not what figures of the dimension print in.
_UNITS = {"length": "ft", "duration": "s"}


def _shown(si: float, dim: str) -> str:
    """An end of a range as one would write it."""
    from specc.measure.printing import show  # not needed where all is in range

    if not si or dim in ("ratio", "count"):
        return f"{si:,g}"
    if dim == "angle":
        return f"{math.degrees(si):.0f} deg"
    return show(si, dim, "in" if dim == "length" and abs(si) < 0.3 else _UNITS.get(dim, DIMENSIONS[dim].us))


__all__ = ["USUAL", "out_of_range"]
