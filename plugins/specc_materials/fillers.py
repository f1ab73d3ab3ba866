"""Brazing fillers by family, from memory: enough to refuse one, never enough to pass one.

A filler passes on what its data sheet says, written into the spec (phosphorus:, melts:, cadmium_free:).
"""

from __future__ import annotations

import re
from typing import NamedTuple

from specc import Citation

FROM_MEMORY = Citation("aws-a5-8", "filler classifications: composition and solidus, edition not read", "memory")


class FillerFamily(NamedTuple):
    """Fillers alike. Phosphorus in mass share; `melts` is the lowest and highest solidus, in kelvin."""

    name: str
    pattern: str
    phosphorus: tuple[float, float]
    melts: tuple[float, float]
    cadmium: bool
    basis: str = "memory"


def _f(fahrenheit: float) -> float:
    return (fahrenheit + 459.67) / 1.8


# The first family whose pattern fits counts. All from memory: AWS A5.8 was not read.
FAMILIES = (
    FillerFamily("copper-phosphorus", r"\bB?CuP\b|\bBCuP-?\d|phos", (0.048, 0.08), (_f(1190), _f(1310)), False),
    FillerFamily(
        "silver with cadmium", r"\bBAg-?(1a|1|2a|2|3|27|33)(?![0-9a-z])", (0.0, 0.0), (_f(1125), _f(1170)), True
    ),
    FillerFamily("silver", r"\bBAg-?\d", (0.0, 0.0), (_f(1140), _f(1500)), False),
    FillerFamily("nickel with phosphorus", r"\bBNi-?(6|7|9|10|11|12)(?!\d)", (0.0, 0.12), (_f(1610), _f(1900)), False),
    FillerFamily("brass for braze welding", r"\bRBCuZn", (0.0, 0.0), (_f(1590), _f(1690)), False),
    FillerFamily("copper", r"\bBCu-?\d", (0.0, 0.00075), (_f(1981), _f(1981)), False),
    FillerFamily(
        "soft solder",
        r"^(?!.*silver).*solder|\b(tin|lead)\b|\bSn ?\d|\bSnAg|\bSb5|\b(50|60|63|95|96|97)[-/](50|40|37|5|4|3)\b",
        (0.0, 0.0),
        (_f(361), _f(600)),
        False,
    ),
)


def family_of(filler: str) -> FillerFamily | None:
    """The family of a filler's classification or plain name; None when it is not allowed."""
    return next((f for f in FAMILIES if re.search(f.pattern, filler, re.IGNORECASE)), None)
