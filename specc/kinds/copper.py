"""Copper tube for gas, as it is made: what the catalog gives a size by, and what a tube's wall is held to.

Small sizes only, as flame effects use. Types K and L by CDA's table 2 (ASTM B88, read), ACR by a public table of
ASTM B280 (in a reprint).
"""

from __future__ import annotations

from typing import NamedTuple


class TubeWall(NamedTuple):
    """Wall and bore of one type of tube ("K", "L", "ACR"), as printed, in inches."""

    type: str
    wall: float
    bore: float


class CopperTube(NamedTuple):
    """Copper tube of one outside diameter, in inches, in the types that are sold."""

    outside: float
    walls: tuple[TubeWall, ...]


def _tube(outside: float, *walls: tuple[str, float, float]) -> CopperTube:
    return CopperTube(outside, tuple(TubeWall(*wall) for wall in walls))


COPPER_TUBES: dict[str, CopperTube] = {
    "1/4": _tube(0.250, ("ACR", 0.030, 0.190)),
    "5/16": _tube(0.312, ("ACR", 0.032, 0.248)),
    "3/8": _tube(0.375, ("K", 0.035, 0.305), ("L", 0.030, 0.315), ("ACR", 0.032, 0.311)),
    "1/2": _tube(0.500, ("K", 0.049, 0.402), ("L", 0.035, 0.430), ("ACR", 0.032, 0.436)),
    "5/8": _tube(0.625, ("K", 0.049, 0.527), ("L", 0.040, 0.545), ("ACR", 0.035, 0.555)),
    # The one size of ACR that is sold in two walls.
    "3/4": _tube(0.750, ("K", 0.049, 0.652), ("L", 0.042, 0.666), ("ACR", 0.035, 0.680), ("ACR", 0.042, 0.666)),
    "7/8": _tube(0.875, ("K", 0.065, 0.745), ("L", 0.045, 0.785), ("ACR", 0.045, 0.785)),
    "1-1/8": _tube(1.125, ("K", 0.065, 0.995), ("L", 0.050, 1.025), ("ACR", 0.050, 1.025)),
}
