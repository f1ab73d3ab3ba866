"""Accumulators: what they hold, how fast they fill, what a burst lets out, and what comes out if one sticks open."""

from __future__ import annotations

import math
from collections.abc import Mapping

from specc import (
    CHOICE,
    Constant,
    Context,
    Equation,
    Limit,
    Quantity,
    Symbol,
    Trouble,
    Worked,
    figure,
    figures,
    not_applicable,
    rule,
    show,
)
from specc.kinds.gas import CYLINDER_PRESSURE, FLOW, STUCK_GAS
from specc.kinds.plumbing import NETWORK
from specc.kinds.show import EFFECTS, SHOW, TIMELINE
from specc.kinds.weather import AIR_PRESSURE
from specc.measure.printing import past
from specc.model.passes import Judging, passed
from specc.model.values import Scalar
from specc.model.wording import counted
from specc_fuel.accumulators import spacing
from specc_fuel.accumulators.fed import FED_ACCUMULATORS, NEARLY, not_followed, volume_of
from specc_fuel.accumulators.feeding import AREA, FEEDINGS, bursting
from specc_fuel.calc import accumulator, charging, first_fill, nozzle, refilled
from specc_fuel.calc.amounts import steady_gas, total_gas
from specc_fuel.keys import (
    BURST,
    CADENCE,
    CHARGE_TIME,
    FEED_AREA,
    FEED_FLOW,
    FIRST_FILL,
    STORE_CONTENT,
    STORE_PRESSURE,
    WAY_OUT,
)
from specc_fuel.network.from_plumbing import PIECES
from specc_fuel.network.solved_effects import ALONE, worked

REACTION = Limit(
    "fuel.reaction_time",
    "10 s",
    "duration",
    "max",
    "time until somebody has closed the supply once an outlet sticks open",
    CHOICE,
)
FULL = Limit(
    "fuel.burst_full",
    "90 %",
    "ratio",
    "max",
    "share of its regulator's setting that an accumulator stands at again before the next burst",
    CHOICE,
)

_HELD = Equation(
    forms=(("", "~ the smaller of the regulator's lock-up p_l and the cylinders' pressure p_v"),),
    symbols=(
        Symbol("p", "gauge_pressure", "lock-up pressure"),
        Symbol("p_l", "gauge_pressure", "setting or stated lock-up that it follows from"),
        Symbol("x", "ratio", "how far lock-up stands above a setting"),
        Symbol("p_v", "gauge_pressure", "cylinder pressure"),
    ),
    citations=(CHOICE,),
    validity="nothing flows, long after the last burst, with a regulator that closes",
)


_NO_FEED = Constant(0.0, "area", "0 in²", CHOICE)
_ONCE = Constant(1.0, "count", "1", CHOICE)
_ALL_OF_IT = Equation(
    forms=(("", "m = sum(m_i)"),),
    symbols=(Symbol("m", "mass", "gas in all of them"), Symbol("m_i", "mass", "gas in each accumulator")),
    citations=(CHOICE,),
)


@figures(
    STORE_PRESSURE,
    title="Lock-up pressure in {tag}",
    unit="psig",
    needs=(FED_ACCUMULATORS, CYLINDER_PRESSURE),
    per_case=True,
    limits=("fuel.lock_up",),
)
def store_pressure(ctx: Context) -> Mapping[str, Worked]:
    rise = ctx.limit("fuel.lock_up")
    return {
        tag: Worked(
            s.held,
            "gauge_pressure",
            _HELD,
            (("p_l", s.held_from), ("x", rise), ("p_v", ctx[CYLINDER_PRESSURE])),
            name=f"lock-up pressure in {tag}",
        )
        for tag, s in ctx[FED_ACCUMULATORS].items()
    }


@figures(
    STORE_CONTENT,
    title="Gas in {tag} at lock-up pressure",
    unit="lb",
    needs=(FED_ACCUMULATORS, STORE_PRESSURE, AIR_PRESSURE),
    per_case=True,
)
def store_content(ctx: Context) -> Mapping[str, Worked]:
    return {
        tag: accumulator.accumulator_content.work(
            f"gas in {tag}",
            volume=s.part.spec.quantity("volume"),
            pressure=ctx[STORE_PRESSURE][tag],
            gas_temperature=ctx.case.air,
            ambient=ctx[AIR_PRESSURE],
        )
        for tag, s in ctx[FED_ACCUMULATORS].items()
    }


@figures(
    FEED_FLOW,
    title="Most gas that the feed of {tag} brings, into it empty",
    unit="lb/h",
    needs=(FED_ACCUMULATORS,),
    per_case=True,
)
def feed_flow(ctx: Context) -> Mapping[str, Worked]:
    """A parted hose behind the regulator passes as much."""
    return {
        tag: worked(ctx, s.feed, s.empty, "mass_flow", f"gas into {tag}, empty")
        for tag, s in ctx[FED_ACCUMULATORS].items()
    }


@figures(
    FEED_AREA,
    title="Feed of {tag} as one hole",
    unit="in²",
    digits=2,
    worst="min",
    needs=(FED_ACCUMULATORS, AIR_PRESSURE, FEED_FLOW),
    per_case=True,
)
def feed_area(ctx: Context) -> Mapping[str, Worked]:
    """The hole, between its regulator's setting and the accumulator, that fills no faster than the feed does: the
    smaller of what an empty and a nearly full one ask for."""
    made = {}
    air, warm = ctx[AIR_PRESSURE], ctx.case.air
    for tag, s in ctx[FED_ACCUMULATORS].items():
        ahead = s.setting.si + air.si
        gas = nozzle.propane_at(ahead, warm.si)
        areas = [
            flow / nozzle.flux(ahead, (1 - share) * s.setting.si, gas.rho, gas.k)
            for flow, share in ((s.empty, 0.0), (s.nearly, NEARLY))
        ]
        if min(areas) > 0:
            inputs = (("w", ctx[FEED_FLOW][tag]), ("p", s.setting), ("T", warm), ("p_a", air))
            made[tag] = Worked(min(areas), "area", AREA, inputs, name=f"feed of {tag} as one hole")
    return made


@figures(
    CHARGE_TIME,
    title="Time to fill {tag} to 95 % of its setting",
    unit="s",
    digits=2,
    needs=(FED_ACCUMULATORS, FEED_AREA, AIR_PRESSURE),
    per_case=True,
)
def charge_time(ctx: Context) -> Mapping[str, Worked]:
    fed = ctx[FED_ACCUMULATORS]
    return {
        tag: charging.accumulator_charge.work(
            f"time to fill {tag}",
            volume=fed[tag].volume,
            supply=fed[tag].setting,
            gas_temperature=ctx.case.air,
            feed_area=area,
            ambient=ctx[AIR_PRESSURE],
        )
        for tag, area in ctx[FEED_AREA].items()
    }


@figures(
    WAY_OUT,
    title="Way out to {tag} as one hole",
    unit="in²",
    needs=(FED_ACCUMULATORS, STORE_PRESSURE, FLOW, ALONE, AIR_PRESSURE, EFFECTS, NETWORK, PIECES, TIMELINE),
    per_case=True,
)
def way_out(ctx: Context) -> Mapping[str, Worked]:
    made = {}
    air = ctx[AIR_PRESSURE]
    for outlet, (store, _) in bursting(ctx).items():
        pressure = ctx[STORE_PRESSURE][store]
        gas = nozzle.propane_at(pressure.si + air.si, ctx.case.air.si)
        area = ctx[FLOW][outlet].si / nozzle.flux(pressure.si + air.si, pressure.si, gas.rho, gas.k)
        inputs = (("w", ctx[FLOW][outlet]), ("p", pressure), ("T", ctx.case.air), ("p_a", air))
        made[outlet] = Worked(area, "area", AREA, inputs, name=f"way out to {outlet} as one hole")
    return made


ONE_BURST_NEEDS = (
    FED_ACCUMULATORS, FEEDINGS, FLOW, STORE_PRESSURE, WAY_OUT, FEED_FLOW, AIR_PRESSURE, EFFECTS, NETWORK, PIECES,
    TIMELINE
)  # fmt: skip


def one_burst(ctx: Context, outlet: str, store: str, open_time: Quantity) -> Worked:
    """The most gas of one burst from an accumulator at rest while its feed fills it. Others that give to it do so all
    the time as at first, or are emptied with it as one, the feed as into an empty one: each lets out no less, and the
    smaller counts."""
    fed, pressures, feed = ctx[FED_ACCUMULATORS][store], ctx[STORE_PRESSURE], ctx[FEEDINGS][store]

    def emptied(name: str, volume: Scalar, pressure: Scalar, areas: tuple[Scalar, ...]) -> Worked:
        return refilled.fed_burst.work(
            name,
            volume=volume,
            pressure=pressure,
            gas_temperature=ctx.case.air,
            outlet_area=ctx[WAY_OUT][outlet],
            supply=feed.supply,
            feed_areas=areas,
            open_time=open_time,
            ambient=ctx[AIR_PRESSURE],
        )

    own = emptied(f"burst of {outlet}", volume_of(fed.together, feed.lines), pressures[store], feed.areas)
    if not fed.beside:
        return own
    highest = max((pressures[p.tag] for p in (fed.part, *fed.beside) if p.tag in pressures), key=lambda p: p.si)
    together = volume_of((*fed.together, *fed.beside), feed.lines)
    as_one = emptied(f"burst of {outlet}, all as one, without their feed", together, highest, (_NO_FEED,))
    comes = steady_gas.work("what their feed brings", flows=(ctx[FEED_FLOW][store],), time=open_time)
    whole = total_gas.work(f"burst of {outlet}", parts=(as_one, comes), times=_ONCE)
    # What comes out falls with the pressure: never more than at the first moment, all the time.
    at_first = steady_gas.work(f"burst of {outlet} at its first flow", flows=(ctx[FLOW][outlet],), time=open_time)
    return min(own, whole, at_first, key=_si)


@figures(
    BURST,
    title="Gas of one burst of {tag}, its longest",
    unit="oz",
    digits=2,
    decision=True,
    needs=(*ONE_BURST_NEEDS, ALONE),
    per_case=True,
)
def burst(ctx: Context) -> Mapping[str, Worked]:
    return {o: one_burst(ctx, o, store, open_time) for o, (store, open_time) in bursting(ctx).items()}


@figures(
    CADENCE,
    title="Shortest time from one burst of {tag} to the next, each from a full accumulator",
    unit="s",
    digits=2,
    needs=(FED_ACCUMULATORS, WAY_OUT, ALONE, AIR_PRESSURE, EFFECTS, NETWORK, PIECES, TIMELINE, FEED_AREA),
    per_case=True,
    limits=("fuel.burst_full",),
)
def cadence(ctx: Context) -> Mapping[str, Worked]:
    fed, feeds = ctx[FED_ACCUMULATORS], ctx[FEED_AREA]

    def between(outlet: str, store: str, open_time: Quantity, volume: Scalar) -> Worked:
        return charging.burst_cadence.work(
            f"time between bursts of {outlet}",
            volume=volume,
            supply=fed[store].setting,
            gas_temperature=ctx.case.air,
            outlet_area=ctx[WAY_OUT][outlet],
            open_time=open_time,
            feed_area=feeds[store],
            share=ctx.limit(FULL.key),
            ambient=ctx[AIR_PRESSURE],
        )

    made = {}
    for outlet, (store, open_time) in bursting(ctx).items():
        if store in feeds:
            one = fed[store]
            made[outlet] = between(outlet, store, open_time, one.volume)
            if one.helped:  # those beside it are filled again as well
                all_of_them = between(outlet, store, open_time, volume_of((*one.together, *one.beside)))
                made[outlet] = max(made[outlet], all_of_them, key=_si)
    return made


def _si(worked: Worked) -> float:
    return worked.si


def _all_of_it(ctx: Context, store: str) -> Scalar:
    """What stands in an accumulator, in those that are one with it, and in those that give to it."""
    fed, content = ctx[FED_ACCUMULATORS][store], ctx[STORE_CONTENT]
    each = tuple(content[p.tag] for p in (*fed.together, *fed.beside) if p.tag in content)
    if len(each) == 1:
        return each[0]
    return Worked(sum(w.si for w in each), "mass", _ALL_OF_IT, (("m_i", each),), name=f"gas in {store} and beside it")


@figures(
    STUCK_GAS,
    title="Gas let out if the way to {tag} sticks open, until the supply is closed",
    unit="lb",
    digits=2,
    needs=(FED_ACCUMULATORS, FEED_FLOW, ALONE, EFFECTS, NETWORK, PIECES, TIMELINE, STORE_CONTENT),
    per_case=True,
    limits=("fuel.reaction_time",),
)
def stuck_gas(ctx: Context) -> Mapping[str, Worked]:
    return {
        outlet: accumulator.stuck_open_gas.work(
            f"gas if {outlet} sticks open",
            content=_all_of_it(ctx, store),
            feed_flow=ctx[FEED_FLOW][store],
            reaction_time=ctx.limit(REACTION.key),
        )
        for outlet, (store, _) in bursting(ctx).items()
    }


@figure(
    FIRST_FILL,
    title="Pressure until which air left in a vessel can burn, as propane is first let in",
    unit="psig",
    needs=(AIR_PRESSURE,),
    per_case=False,
)
def first_filling(ctx: Context) -> Worked:
    return first_fill.first_fill.work("first fill", ambient=ctx[AIR_PRESSURE])


@rule(
    "fuel.burst_ready",
    level="warning",
    statement="Between two bursts there is time to fill the accumulator again",
    source=CHOICE,
    needs=(CADENCE, EFFECTS, TIMELINE, SHOW, FED_ACCUMULATORS, PIECES),
    limits=("fuel.burst_full",),
)
def burst_ready(ctx: Context) -> Judging:
    outlets = {e.tag: e.outlets for e in ctx[EFFECTS]}
    last: dict[str, tuple[float, str]] = {}
    closest: dict[str, tuple[float, str]] = {}
    crowded: dict[str, dict[str, float]] = {}  # by effect, the least gap within each set of its bursts
    between: dict[str, float] = {}  # and that from one set to another
    for shot in ctx[TIMELINE].shots:
        entry = shot.open.at.rpartition("/")[0]
        if shot.effect in last:
            before, its = last[shot.effect]
            gap = shot.at - before
            if gap < closest.get(shot.effect, (math.inf, ""))[0]:
                closest[shot.effect] = (gap, entry)
            if its == entry:
                known = crowded.setdefault(shot.effect, {})
                known[entry] = min(gap, known.get(entry, math.inf))
            else:
                between[shot.effect] = min(gap, between.get(shot.effect, math.inf))
        last[shot.effect] = (shot.at, entry)
    looked = 0
    for effect, (gap, at) in closest.items():
        times = [(ctx[CADENCE][o].si, o) for o in outlets.get(effect, ()) if o in ctx[CADENCE]]
        if not times:
            continue
        looked += 1
        needed, outlet = max(times)
        yield from not_followed(ctx, {ctx[PIECES].stores.of(o) for _, o in times})
        if gap < needed * (1 - 1e-9):
            sets = {entry: needed for entry, own in crowded.get(effect, {}).items() if own < needed * (1 - 1e-9)}
            yield Trouble(
                at,
                f"bursts of {effect} follow one another after {show(gap, 'duration', 's', 2)}, and its accumulator "
                f"needs {past(needed, gap, 'duration', 's', 2)} to stand at {ctx.limit(FULL.key).text} again "
                f"(outlet {outlet})",
                "more time between bursts, shorter ones, a wider feed or a larger accumulator",
                "later bursts come weaker than what has been shown, and tempt somebody to turn the regulator up",
                # No spacing within a set parts it from the set before.
                cure=spacing.cure(ctx[SHOW], sets) if between.get(effect, math.inf) >= needed else None,
            )
    if not looked:
        return not_applicable("no burst from an accumulator comes more than once")
    return passed(f"{counted(looked, 'effect')} against the time to fill")
