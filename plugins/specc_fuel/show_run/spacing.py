"""How far apart bursts have to come, by a show that was followed and had weak ones: what would cure it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from specc import Cure
from specc.kinds.show import Bursts, Show
from specc.model.view import join
from specc.model.wording import several

if TYPE_CHECKING:
    from specc_fuel.show_run import simulation

_PARTS = 200
# The supply stood so low only for a while, and a burst's gas is taken as spread evenly over its fall in pressure.
_MARGIN = 1.02


def apart(history: simulation.SupplyHistory, supply: simulation.Supply, share: float) -> dict[str, float]:
    """By set of bursts of which one began weak or late after another of the set: the time from one to the next after
    which its accumulator is back, with the supply as low as it ever came. Infinite where that low it never gets there.
    A set whose weak burst followed one of another set is left out: no spacing within it would do."""
    vessels = {v.tag: v for v in supply.accumulators}
    made: dict[str, float] = {}
    others: set[str] = set()
    before: dict[str, simulation.Opened] = {}
    for burst in history.bursts:
        last = before.get(burst.accumulator)
        before[burst.accumulator] = burst
        if not (burst.weak or burst.late):
            continue
        if last is None or (last.night, last.entry) != (burst.night, burst.entry):
            others.add(burst.entry)
            continue
        needed = burst.open + _refilling(vessels[burst.accumulator], burst.open, share, history.lowest)
        made[burst.entry] = max(made.get(burst.entry, 0.0), needed)
    return {entry: needed for entry, needed in made.items() if entry not in others}


def _refilling(vessel: simulation.Accumulator, opened: float, share: float, supply: float) -> float:
    """s until a vessel that stood at a share of full is back there after a burst, fed at a supply's pressure."""
    full = share * vessel.full
    mass, left = vessel.burst(full, opened)
    step = (full - left) / _PARTS
    flows = [vessel.charging(supply, left + (i + 0.5) * step) for i in range(_PARTS)]
    flows.append(vessel.charging(supply, full))
    return sum(mass / _PARTS / flow for flow in flows) if min(flows) > 0 else math.inf


def _sets(show: Show) -> Iterator[tuple[Bursts, float]]:
    """Each set of bursts, and the time that is left for it in its scene."""
    for scene in show.scenes:
        yield from ((bursts, scene.lasts.si) for bursts in scene.bursts)
        yield from ((c.bursts, scene.lasts.si - c.after.si) for c in scene.cues if c.bursts is not None)


def cure(show: Show, needed: Mapping[str, float]) -> Cure | None:
    """What to write at each set of bursts for the time that it needs from one to the next, in tenths of a second, and
    for as many as then fit into its scene. None where no time would do, or not one would be left."""
    words, edits = list[str](), list[tuple[str, str]]()
    for bursts, room in _sets(show):
        if bursts.at not in needed:
            continue
        every = math.ceil(min(needed[bursts.at] * _MARGIN, 1e9) * 10) / 10
        said = []
        times = math.floor(room / every)
        if bursts.every is not None:
            times = math.floor((room - bursts.open.si) / every + 1e-9) + 1
            said = [("every", f"{every:g} s")]
        if times < 1 or every > room:
            return None
        if times < round(bursts.times.si):
            said.append(("times", str(times)))
        words += [f"{key}: {value}" for key, value in said]
        edits += [(join(bursts.at, key), value) for key, value in said]
    return Cure(f"{several(list(dict.fromkeys(words)))} would pass", tuple(edits)) if edits else None
