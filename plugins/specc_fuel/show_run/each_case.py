"""The show followed over time, in each weather case on its own.

In the low case the cylinders begin as cold as the air, in the high one as warm as the sun has made them. Every night
is the same, with the rest of the day between.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from specc import Cannot, Context, value
from specc.kinds.gas import CYLINDER_PRESSURE, FLOW
from specc.kinds.plumbing import NETWORK
from specc.kinds.show import EFFECTS, SHOW, TIMELINE
from specc.kinds.weather import AIR_PRESSURE
from specc_fuel.accumulators.fed import FED_ACCUMULATORS
from specc_fuel.keys import (
    BOIL_OFF,
    BOIL_OFF_ALL,
    DRAW_HEAT,
    FEED_AREA,
    KEPT_FLOW,
    SHARES,
    SUPPLIES,
    SUPPLY_GAS,
    WAY_OUT,
)
from specc_fuel.network.from_plumbing import PIECES
from specc_fuel.show_run.simulated_show import (
    CARRIED,
    FALLS_SHORT,
    FEWEST,
    HOLDS_AT_RESERVE,
    SIMULATED_SHOW,
    SimulatedShow,
    falls_short,
)

_NEEDS = (
    NETWORK,
    PIECES,
    EFFECTS,
    SHOW,
    TIMELINE,
    AIR_PRESSURE,
    CYLINDER_PRESSURE,
    FLOW,
    KEPT_FLOW,
    FED_ACCUMULATORS,
    FEED_AREA,
    WAY_OUT,
    SUPPLIES,
    SHARES,
)


@value(
    SIMULATED_SHOW,
    needs=(*_NEEDS, BOIL_OFF_ALL),
    reads=("gas",),
    per_case=True,
    was=("fuel.over_time",),
    limits=("fuel.burst_full", "fuel.inlet_margin", "fuel.reserve"),
)
def simulated_show(ctx: Context) -> SimulatedShow:
    from specc_fuel.show_run.from_spec import simulate_show

    _ = ctx[BOIL_OFF_ALL]  # a cylinder without its size is reported there, once
    return simulate_show(ctx)


@value(
    HOLDS_AT_RESERVE,
    needs=_NEEDS,
    reads=("gas",),
    per_case=True,
    limits=("fuel.burst_full", "fuel.inlet_margin", "fuel.reserve"),
)
def holds_at_reserve(ctx: Context) -> tuple[str, ...]:
    """One night that every cylinder begins at its reserve, as cold as the low air, with still air alone."""
    from specc_fuel.show_run.from_spec import simulate_show

    if ctx.case.name != "low":
        return ()
    try:
        simulated = simulate_show(ctx, at_reserve=True, enough=FALLS_SHORT)
    except Cannot:
        return ()
    return tuple(one.supply for one in simulated.history.supplies if not any(e.what in FALLS_SHORT for e in one.events))


@value(CARRIED, needs=(SIMULATED_SHOW, HOLDS_AT_RESERVE))
def carried(ctx: Context) -> tuple[str, ...]:
    short = falls_short(ctx.all(SIMULATED_SHOW))
    return tuple(tag for holds in ctx.all(HOLDS_AT_RESERVE).values() for tag in holds if tag not in short)


def _with_fewer(ctx: Context, tag: str, least: int, all_of_them: int) -> int:
    """From what its gas fills up to all: the fewest with which a supply holds in the low air. Looked for by halves, as
    each cylinder more lets the others keep warmer; what is given back was followed, and held."""
    while least < all_of_them:
        half = (least + all_of_them) // 2
        if _holds(ctx, tag, half):
            all_of_them = half
        else:
            least = half + 1
    return all_of_them


def _holds(ctx: Context, tag: str, count: int) -> bool:
    """With so many of its cylinders the show holds from its beginning, and what `fuel.boil_off` asks at the reserve."""
    return _followed(ctx, tag, count) and _at_reserve(ctx, tag, count)


def _at_reserve(ctx: Context, tag: str, count: int) -> bool:
    smallest = sorted(ctx[BOIL_OFF][part.tag].si for part in ctx[SUPPLIES][tag])[:count]
    return sum(smallest) >= ctx[DRAW_HEAT][tag].si or _followed(ctx, tag, count, at_reserve=True)


def _followed(ctx: Context, tag: str, count: int, at_reserve: bool = False) -> bool:
    from specc_fuel.show_run.from_spec import simulate_show

    try:
        simulated = simulate_show(ctx, only={tag: count}, at_reserve=at_reserve, enough=FALLS_SHORT)
    except Cannot:
        return False
    one = next(one for one in simulated.history.supplies if one.supply == tag)
    return not any(event.what in FALLS_SHORT for event in one.events)


@value(
    FEWEST,
    needs=(SIMULATED_SHOW, SUPPLY_GAS, BOIL_OFF, DRAW_HEAT, *_NEEDS),
    reads=("gas",),
    per_case=True,
    limits=("fuel.burst_full", "fuel.inlet_margin", "fuel.reserve"),
)
def fewest(ctx: Context) -> Mapping[str, int]:
    """A cylinder that alone holds gas enough for the show may still frost over in the middle of it."""
    if ctx.case.name != "low":
        return {}
    short = falls_short({ctx.case.name: ctx[SIMULATED_SHOW]})
    made = {}
    for tag, group in ctx[SUPPLIES].items():
        if tag in short or not _at_reserve(ctx, tag, len(group)):
            continue
        smallest = min(p.spec.quantity("capacity").si for p in group)
        usable = smallest * (1 - ctx.limit("fuel.reserve").si)
        by_gas = math.ceil(ctx[SUPPLY_GAS][tag].si / usable - 1e-9) if usable > 0 else len(group)
        made[tag] = _with_fewer(ctx, tag, max(by_gas, 1), len(group))
    return made
