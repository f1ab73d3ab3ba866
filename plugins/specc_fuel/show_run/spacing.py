"""How far apart bursts have to come, by a show that was followed and had weak ones."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from specc_fuel.show_run import simulation

_PARTS = 200


def apart(history: simulation.SupplyHistory, supply: simulation.Supply, share: float) -> dict[str, float]:
    """By set of bursts of which one began weak or late after another of the set: the time from one to the next after
    which its accumulator is back, with the supply as low as it ever came. Infinite where that low it never gets there.
    A set whose weak burst followed one of another set is left out: no spacing within it would do."""
    vessels = {v.tag: v for v in supply.accumulators}
    made: dict[str, float] = {}
    others: set[str] = set()
    before: dict[str, simulation.Opened] = {}
    refilling: dict[tuple[str, float], float] = {}  # thousands of bursts, and one time for all that are alike
    for burst in history.bursts:
        last = before.get(burst.accumulator)
        before[burst.accumulator] = burst
        if not (burst.weak or burst.late):
            continue
        if last is None or (last.night, last.entry) != (burst.night, burst.entry):
            others.add(burst.entry)
            continue
        alike = burst.accumulator, burst.open
        if alike not in refilling:
            refilling[alike] = _refilling(vessels[burst.accumulator], burst.open, share, history.lowest)
        made[burst.entry] = max(made.get(burst.entry, 0.0), burst.open + refilling[alike])
    return {entry: needed for entry, needed in made.items() if entry not in others}


def _refilling(vessel: simulation.Accumulator, opened: float, share: float, supply: float) -> float:
    """s until a vessel that stood at a share of full is back there after a burst, fed at a supply's pressure. The
    burst's gas is taken as spread evenly over its fall in pressure."""
    full = share * vessel.full
    mass, left = vessel.burst(full, opened)
    step = (full - left) / _PARTS
    flows = [vessel.charging(supply, left + (i + 0.5) * step) for i in range(_PARTS)]
    flows.append(vessel.charging(supply, full))
    return sum(mass / _PARTS / flow for flow in flows) if min(flows) > 0 else math.inf
