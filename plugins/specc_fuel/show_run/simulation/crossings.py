"""What happens by itself, by where the state of a supply has come to: each thing that may, and how far off it is."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from typing import NamedTuple

from specc_fuel.show_run.simulation.cylinder import AGAIN, ALIKE, BACK, CHARGING, FULL, HELD, SHUT, Plant

# How near to full counts as full, as a share of what an accumulator then holds.
FULL_ERROR = 3e-4
HELD_BAND = 500.0  # Pa beside AGAIN, so that at no pressure at all nothing flutters


class Crossing(NamedTuple):
    """What happens where `value` comes down to 0. `tolerance` says how near is there."""

    value: float
    tolerance: float
    what: str
    which: int


def watched(plant: Plant, y: Sequence[float], at_reserve: Collection[str]) -> list[Crossing]:
    """All that may happen by itself, by the state y, which `rates` has to have seen last."""
    n = len(plant.cylinders)
    made = []
    warmest = max((y[i] for i in plant.group), default=0.0)
    for i, cylinder in enumerate(plant.cylinders):
        made.append(Crossing(plant.each[i][5] / cylinder.volume, 1e-7, "empty", i))
        if cylinder.tag not in at_reserve:
            above = (y[n + i] - cylinder.reserve) / (500 * cylinder.volume)
            made.append(Crossing(above, 1e-8, "reserve", i))
        if plant.open and i not in plant.group:
            made.append(Crossing(warmest - y[i] - ALIKE / 2, ALIKE / 4, "alike", i))
    for k, draw in enumerate(plant.draws):
        if plant.short[k]:
            made.append(Crossing((draw.needs + BACK - plant.supply) / 1e5, 1e-6, "held", k))
        else:
            made.append(Crossing((plant.supply - draw.needs) / 1e5, 1e-6, "short", k))
    for j, vessel in enumerate(plant.vessels):
        mass = y[2 * n + j]
        if vessel.short:
            made.append(Crossing((vessel.spec.needs + BACK - plant.supply) / 1e5, 1e-6, "fills", j))
        elif vessel.mode != SHUT and plant.open:
            made.append(Crossing((plant.supply - vessel.spec.needs) / 1e5, 1e-6, "lacks", j))
        if vessel.mode == CHARGING:
            made.append(Crossing((vessel.full - mass) / vessel.full, FULL_ERROR, "full", j))
            lacks = FULL * plant.supply - vessel.pressure(mass)
            made.append(Crossing(lacks / 1e5, FULL_ERROR, "waits", j))
        elif vessel.mode == HELD:
            above = vessel.pressure(mass) - AGAIN * plant.supply + HELD_BAND
            made.append(Crossing(above / 1e5, 1e-6, "again", j))
    return made


def first(old: list[Crossing], new: list[Crossing]) -> Crossing | None:
    """The crossing that, by a straight line, comes first. Both lists are of the same things."""
    found = None
    soonest = math.inf
    for a, b in zip(old, new, strict=True):
        if b.value <= 0 < a.value:
            share = a.value / (a.value - b.value)
            if share < soonest:
                found, soonest = b, share
    return found


def until_full(plant: Plant, y: Sequence[float], slopes: Sequence[float]) -> float:
    """s to try at most, so that a step ends near where an accumulator is full and not far beyond: a little
    more than what is lacking over what flows in. Flows fall off there, often with a kink."""
    most = math.inf
    slot = 2 * len(plant.cylinders)
    for j, vessel in enumerate(plant.vessels):
        flow = slopes[slot + j]
        if vessel.mode == CHARGING and flow > 0:
            mass = y[slot + j]
            own = vessel.pressure(mass)
            lacks = FULL * min(plant.supply, vessel.spec.full) - own
            most = min(most, max(1.5 * lacks / (own + vessel.ambient) * mass / flow, 0.02))
    return most
