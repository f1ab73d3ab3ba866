"""Gas over the show: by scene, night and event; mean draw, run time and number of cylinders."""

from __future__ import annotations

from collections.abc import Mapping

from specc import Cannot, Constant, Context, Worked, figure, figures
from specc.kinds.gas import FLOW
from specc.kinds.plumbing import NETWORK
from specc.kinds.show import EFFECTS, SHOW, TIMELINE
from specc.model.values import CHOICE, Quantity, Scalar
from specc_fuel.accumulators.bursts import BURST_NEEDS, STORES, one_burst
from specc_fuel.calc.amounts import burst_gas, mean_flow, steady_gas, total_gas, usable_gas
from specc_fuel.calc.cylinder import cylinder_runtime, cylinders_needed
from specc_fuel.calc.heat import gross_heat
from specc_fuel.keys import (
    CYLINDERS,
    CYLINDERS_NEEDED,
    DRAW,
    DRAW_HEAT,
    NIGHT_GAS,
    RUN_TIME,
    SCENE_GAS,
    SHOW_GAS,
    WAY_OUT,
)
from specc_fuel.network.burning import accumulator_of

_ONCE = Constant(1.0, "count", "1", CHOICE)


@figures(
    SCENE_GAS,
    title="Gas burned in the scene {tag}",
    unit="lb",
    needs=(FLOW, SHOW, *BURST_NEEDS),
    per_case=True,
)
def scene_gas(ctx: Context) -> Mapping[str, Worked]:
    """Steady effects burn all through a scene but for its cues, and pilots all through it. An effect that is not
    there is left out: a rule reports it."""
    if not ctx[SHOW].scenes:
        raise Cannot(
            "the show has no scenes, so the gas it burns cannot be counted",
            "/show",
            "show: scenes: with what burns and for how long",
        )
    flow = ctx[FLOW]
    outlets = {e.tag: e.outlets for e in ctx[EFFECTS]}
    pilots = [p.tag for p in ctx[NETWORK].of_kind("pilot")]
    made = {}
    for scene in ctx[SHOW].scenes:
        parts: list[Scalar] = []
        # What burns for the same time is one sum; most often that is everything, for the whole scene.
        burning: dict[Scalar, list[str]] = {}
        for lit in ctx[TIMELINE].lit:
            if lit.scene == scene.tag:
                burning.setdefault(lit.lasts, []).extend(outlets.get(lit.effect, ()))
        if pilots:
            burning.setdefault(scene.lasts, []).extend(pilots)
        for time, lit_now in burning.items():
            for tag in lit_now:
                if tag not in flow:
                    raise Cannot(
                        f"the gas through {tag} is not known, so the scene {scene.tag} cannot be counted",
                        scene.at,
                        "an outlet that gas reaches",
                    )
            if lit_now:
                parts.append(steady_gas.work("steady effects", flows=tuple(flow[t] for t in lit_now), time=time))
        for burst in (*scene.bursts, *(c.bursts for c in scene.cues if c.bursts)):
            tags = outlets.get(burst.effect, ())
            if not tags or any(t not in flow for t in tags):
                raise Cannot(
                    f"the gas of {burst.effect} is not known, so the scene {scene.tag} cannot be counted",
                    burst.at,
                    "an effect whose outlets gas reaches",
                )
            stored = {t: accumulator_of(ctx[NETWORK], t) for t in tags}
            if all(store in ctx[STORES] for store in stored.values()) and all(t in ctx[WAY_OUT] for t in tags):
                each = tuple(one_burst(ctx, t, store, burst.open) for t, store in stored.items() if store is not None)
                parts.append(total_gas.work(f"bursts of {burst.effect}", parts=each, times=burst.times))
                continue
            parts.append(
                burst_gas.work(
                    f"bursts of {burst.effect}",
                    times=burst.times,
                    flows=tuple(flow[t] for t in tags),
                    open_time=burst.open,
                )
            )
        made[scene.tag] = total_gas.work(f"gas in the scene {scene.tag}", parts=tuple(parts), times=_ONCE)
    return made


@figure(NIGHT_GAS, title="Gas burned each night", unit="lb", needs=(SCENE_GAS,), per_case=True)
def night_gas(ctx: Context) -> Worked:
    return total_gas.work("gas each night", parts=tuple(ctx[SCENE_GAS].values()), times=_ONCE)


@figure(
    SHOW_GAS,
    title="Gas burned over all nights",
    unit="lb",
    decision=True,
    needs=(NIGHT_GAS, SHOW),
    per_case=True,
)
def show_gas(ctx: Context) -> Worked:
    the_show = ctx[SHOW]
    nights = len(the_show.nights)
    count = Quantity(float(nights), "count", str(nights), the_show.nights_at)
    return total_gas.work("gas over all nights", parts=(ctx[NIGHT_GAS],), times=count)


@figure(
    DRAW,
    title="Mean draw in the scene that draws most",
    unit="lb/h",
    needs=(SCENE_GAS, SHOW),
    per_case=True,
)
def draw(ctx: Context) -> Worked:
    scenes = ctx[SCENE_GAS]
    lasts = {s.tag: s.lasts for s in ctx[SHOW].scenes if s.lasts.si > 0}
    drawn = [mean_flow.work(f"draw in {tag}", gas=gas, time=lasts[tag]) for tag, gas in scenes.items() if tag in lasts]
    if not drawn:
        raise Cannot("no scene lasts any time, so the draw cannot be computed", "/show", "scenes with lasts:")
    return max(drawn, key=lambda w: w.si)


@figure(
    DRAW_HEAT,
    title="Mean draw as gross heat, in the scene that draws most",
    unit="BTU/h",
    needs=(DRAW,),
    per_case=True,
)
def draw_heat(ctx: Context) -> Worked:
    return gross_heat.work("draw as heat", flow=ctx[DRAW])


@figures(
    RUN_TIME,
    title="Run time of {tag} alone, down to its reserve",
    unit="h",
    worst="min",
    decision=True,
    needs=(DRAW, CYLINDERS),
    per_case=True,
)
def run_time(ctx: Context) -> Mapping[str, Worked]:
    made = {}
    for part in ctx[CYLINDERS]:
        usable = usable_gas.work(
            f"usable gas of {part.tag}",
            contents=part.spec.quantity("capacity"),
            reserve=ctx.limit("fuel.reserve"),
        )
        if ctx[DRAW].si > 0:
            made[part.tag] = cylinder_runtime.work(f"run time of {part.tag}", usable=usable, flow=ctx[DRAW])
    return made


@figure(
    CYLINDERS_NEEDED,
    title="Cylinders needed for all nights, with the reserve",
    digits=3,
    worst="max",
    decision=True,
    needs=(SHOW_GAS, CYLINDERS),
    per_case=True,
)
def needed(ctx: Context) -> Worked:
    """Counted in cylinders of the smallest size on site."""
    smallest = min((p.spec.quantity("capacity") for p in ctx[CYLINDERS]), key=lambda q: q.si)
    return cylinders_needed.work(
        "cylinders needed", gas=ctx[SHOW_GAS], contents=smallest, reserve=ctx.limit("fuel.reserve")
    )


PASSES = (scene_gas, night_gas, show_gas, draw, draw_heat, run_time, needed)
