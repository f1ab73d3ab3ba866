"""What may let out a burst or gas at any time in a show, and after STOP: nobody is to walk past it.

Two plugins ask: where help for burns stands, and where people go in thunder.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from itertools import pairwise
from typing import NamedTuple

from specc.kinds.places import Spot
from specc.kinds.plumbing import Network
from specc.kinds.show import Effect
from specc.measure.units import FOOT
from specc.model.passes import FigureSet, Key
from specc.model.view import Unreadable

LAID_FLAT: Key[FigureSet] = Key("flame.laid_flat", dict)
"""By outlet: how far its flame reaches when wind lays it flat."""
NEAR_VESSEL = 10 * FOOT
"""How near to a charged vessel a way passes it; specc default, no source gives a distance."""


class Charged(NamedTuple):
    """A round on the level that nobody walks through, in m: about the outlet of a burst as far as its flame reaches
    when laid flat, or about an accumulator. `what` says it in words."""

    what: str
    center: tuple[float, float]
    radius: float

    def holds(self, spot: tuple[float, float]) -> bool:
        return math.dist(self.center, spot) < self.radius * (1 - 1e-9)

    def met(self, way: Sequence[tuple[float, float]]) -> bool:
        """Whether a way on foot leads through it."""
        return any(_off(self.center, a, b) < self.radius * (1 - 1e-9) for a, b in pairwise(way))


def _off(spot: tuple[float, float], a: tuple[float, float], b: tuple[float, float]) -> float:
    """How far a spot is from a straight stretch."""
    long = math.dist(a, b) ** 2
    along = ((spot[0] - a[0]) * (b[0] - a[0]) + (spot[1] - a[1]) * (b[1] - a[1])) / long if long else 0.0
    share = min(1.0, max(0.0, along))
    return math.dist(spot, (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])))


def charged(
    effects: tuple[Effect, ...], places: Mapping[str, Spot], net: Network | None, laid_flat: FigureSet
) -> Iterator[Charged]:
    """Each outlet of a burst whose flame is known, and each accumulator, that stands on the plan."""
    for effect in effects:
        spot = places.get(effect.place)
        reach = max((laid_flat[t].si for t in effect.outlets if t in laid_flat), default=0.0)
        if effect.kind == "burst" and spot is not None and spot.stands and reach:
            yield Charged(f"within the reach of {effect.tag}", spot.stands, reach)
    for part in net.of_kind("accumulator") if net else ():
        with suppress(Unreadable):  # reported where it stands
            spot = places.get((*part.places, "")[0])
            if spot is not None and spot.stands:
                yield Charged(f"within 10 ft of {part.tag}, which stays charged", spot.stands, NEAR_VESSEL)


__all__ = ["LAID_FLAT", "Charged", "charged"]
