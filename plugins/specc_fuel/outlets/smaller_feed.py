"""What would stand in a burner zone if the orifices that feed it were smaller, for those who have to offer a cure.

Solved as the zone's own pressures are: between a hole and its jets stand lines that take their share, so that no
rule of thumb tells what a smaller drill would do.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

from specc import Context, value
from specc.kinds.gas import SECTION_BLOCKED, SECTION_FAILED_OPEN, SECTION_HIGHEST, SMALLER_FEEDS, SmallerFeed
from specc.kinds.plumbing import JOINTS
from specc.kinds.weather import CASES
from specc.measure.units import PSI
from specc_fuel.keys import WARMEST_SUPPLY
from specc_fuel.outlets.burner_pressure import (
    BLOCKED,
    ZONE_NEEDS,
    each_failed,
    fed_zones,
    hottest_gas,
    reached,
    turned_up,
)

if TYPE_CHECKING:
    from specc_fuel.network.piece_solver import Condition, Solver
    from specc_fuel.network.zones import OutletZone

# Each step takes a tenth off the bores; a drill is rounded down from there. They end below the lowest of the usual
# limits on such a zone, or at a tenth of the bores.
_STEP, _LEAST = 0.9, 0.1
_LOW = 0.4 * PSI
_OTHERS = 1.03  # how much more than in the hottest weather may stand there in another: gas that is colder is denser


@value(
    SMALLER_FEEDS,
    needs=(*ZONE_NEEDS, JOINTS, WARMEST_SUPPLY, CASES, SECTION_HIGHEST, SECTION_BLOCKED, SECTION_FAILED_OPEN),
    limits=("fuel.jets_blocked", "fuel.lock_up"),
)
def smaller_feeds(ctx: Context) -> Mapping[str, tuple[SmallerFeed, ...]]:
    """Only where something brazed stands in a zone whose pressure asks for it."""
    from specc_fuel.network.piece_solver import Solver

    brazed = {p.tag for joint in ctx[JOINTS] if joint.method == "brazed" for p in joint.parts}
    families = ctx[SECTION_HIGHEST], ctx[SECTION_BLOCKED], ctx[SECTION_FAILED_OPEN]
    cases = ctx[CASES]
    hottest = max(cases, key=lambda case: case.liquid.si)
    solver, open_share = Solver(ctx, hottest), 1 - ctx.limit(BLOCKED.key).si
    supply, gas = ctx[WARMEST_SUPPLY], hottest_gas(ctx)
    made: dict[str, tuple[SmallerFeed, ...]] = {}
    for zone in fed_zones(ctx):
        holes = {p.tag for o in zone.outlets for p in solver.net.first_above(o, "orifice")}
        high = any(f[o].si > _LOW for f in families for o in zone.outlets if o in f)
        if not holes or not high or brazed.isdisjoint(zone.parts):
            continue
        states = (
            turned_up(solver, zone, 1.0, hottest.liquid),
            turned_up(solver, zone, open_share, hottest.liquid),
            each_failed(solver, zone, supply, gas),
        )
        steps: list[SmallerFeed] = []
        share = _STEP
        while share > _LEAST and (not steps or max(steps[-1][1:]) > _LOW):
            drilled = dict.fromkeys(holes, share)
            steps.append(SmallerFeed(share, *(_highest(solver, zone, conditions, drilled) for conditions in states)))
            share *= _STEP
        made.update(dict.fromkeys(zone.outlets, tuple(steps)))
    return made


def _highest(
    solver: Solver, zone: OutletZone, conditions: Mapping[str, Condition], drilled: Mapping[str, float]
) -> float:
    """The highest pressure of some conditions, in any weather; without end where it is not known."""
    found = reached(solver, zone, {words: c._replace(drilled=drilled) for words, c in conditions.items()})
    return math.inf if found is None else _OTHERS * max((si for si, _, _ in found), default=0.0)
