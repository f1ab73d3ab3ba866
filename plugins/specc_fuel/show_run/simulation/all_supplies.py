"""A whole show as one timeline: each supply through all nights."""

from __future__ import annotations

from collections.abc import Sequence

from specc_fuel.show_run.simulation.due import length
from specc_fuel.show_run.simulation.records import ShowHistory, Supply, SupplyNight
from specc_fuel.show_run.simulation.run import SupplyRun
from specc_fuel.show_run.simulation.wording import examine


def simulate(
    supplies: Sequence[Supply],
    nights: Sequence[SupplyNight],
    ambient: float,
    weak: float = 0.9,
    ready: float = 0.98,
    every: float = 60.0,
) -> ShowHistory:
    """Run a show.

    ambient: the air's absolute pressure, Pa. weak, ready: shares of an accumulator's full gauge pressure, under
    which a burst counts as weak, and as late. every: s between the points kept, at least; more are kept where
    something happens.

    Raises ValueError, in words, for what cannot be (see `wording`), for temperatures outside 190 to 360 K and for
    given functions that give no flow; ArithmeticError where the stepping does not get on, or where liquid comes
    to fill a cylinder.
    """
    examine(supplies, nights, ambient, weak, ready, every)
    starts = []
    clock = 0.0
    for night in nights:
        starts.append((night.tag, clock + night.filling))
        clock += night.filling + length(night) + night.rest
    runs = tuple(SupplyRun(s, ambient, weak, ready, every).nights(nights) for s in supplies)
    return ShowHistory(runs, tuple(starts))
