"""Number drills, in inches: what an orifice can be drilled to. Read in a public code file; ASME B94.11M from memory."""

from __future__ import annotations

import re

_SIZES = """
.2280 .2210 .2130 .2090 .2055 .2040 .2010 .1990 .1960 .1935 .1910 .1890 .1850 .1820 .1800 .1770 .1730 .1695 .1660 .1610
.1590 .1570 .1540 .1520 .1495 .1470 .1440 .1405 .1360 .1285 .1200 .1160 .1130 .1110 .1100 .1065 .1040 .1015 .0995 .0980
.0960 .0935 .0890 .0860 .0820 .0810 .0785 .0760 .0730 .0700 .0670 .0635 .0595 .0550 .0520 .0465 .0430 .0420 .0410 .0400
.0390 .0380 .0370 .0360 .0350 .0330 .0320 .0310 .0292 .0280 .0260 .0250 .0240 .0225 .0210 .0200 .0180 .0160 .0145 .0135
"""
INCHES: dict[int, float] = {number: float(text) for number, text in enumerate(_SIZES.split(), 1)}


def at_most(inches: float) -> tuple[int, float] | None:
    """The largest number drill that is no larger than a bore in inches, with its size; None below No. 80.

    >>> at_most(0.0281)
    (70, 0.028)
    >>> at_most(0.01) is None
    True
    """
    return next(((number, size) for number, size in INCHES.items() if size <= inches + 1e-9), None)


DRILL_NAME = re.compile(r"(?:No\.?|#)\s*(\d+)(?: drill)?", re.IGNORECASE)


def named(text: str) -> float | None:
    """The size in inches of a drill that is named by its number; None for any other text, or no such drill.

    >>> named("#70"), named("No. 54 drill"), named("1/16 in")
    (0.028, 0.055, None)
    """
    found = DRILL_NAME.fullmatch(text.strip())
    return INCHES.get(int(found[1])) if found else None
