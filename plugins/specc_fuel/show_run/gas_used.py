"""Gas over the show: by scene, night and event; mean draw, run time and number of cylinders."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from specc import Cannot, Constant, Context, Equation, Key, Symbol, Worked, figure, figures, value
from specc.kinds.gas import FLOW, NIGHT_GAS, RUN_TIME
from specc.kinds.plumbing import NETWORK
from specc.kinds.show import EFFECTS, SHOW, TIMELINE, Scene
from specc.model.values import CHOICE, Input, Quantity, Scalar
from specc_fuel.accumulators.bursts import ONE_BURST_NEEDS, one_burst
from specc_fuel.accumulators.fed import FED_ACCUMULATORS
from specc_fuel.calc.amounts import burst_gas, mean_flow, steady_gas, total_gas, usable_gas
from specc_fuel.calc.cylinder import cylinder_runtime, cylinders_needed, gas_on_site
from specc_fuel.calc.heat import gross_heat
from specc_fuel.calc.sources import NOZZLE
from specc_fuel.keys import (
    CYLINDERS_NEEDED,
    DRAW,
    DRAW_HEAT,
    DRAWN_DOWN,
    KEPT_FLOW,
    SCENE_GAS,
    SHARES,
    SHOW_GAS,
    SUPPLIES,
    SUPPLY_GAS,
    WAY_OUT,
)
from specc_fuel.network.from_plumbing import PIECES
from specc_fuel.show_run.simulated_show import CARRIED, FEWEST, SIMULATED_SHOW, falls_short

SUPPLY_SCENES: Key[Mapping[str, Mapping[str, Worked]]] = Key("fuel.supply_scenes", dict)
"""By supply: the gas that it gives in each scene, in the weather case."""

_AGAINST_COLD = Equation(
    forms=(("", "~ the fewest, from n_g on, that carry the show in the low air, full and at their reserve"),),
    symbols=(
        Symbol("n", "count", "cylinders"),
        Symbol("n_g", "count", "cylinders that its gas fills, with the reserve"),
        Symbol("d", "length", "diameters of the cylinders, outside"),
        Symbol("h", "length", "their heights"),
        Symbol("m_t", "mass", "their empty weights; one that is not stated counts as no steel that gives heat"),
    ),
    citations=(CHOICE,),
    validity="as the following itself: still air, every night as planned",
)
# A mean draw under a gram an hour, a hundredth of a small pilot's, is what two regulators alike push past each other.
_HARDLY = 1e-3 / 3600

_ONCE = Constant(1.0, "count", "1", CHOICE)


_OF_SUPPLY = Equation(
    forms=(("", "g = x*g_o"),),
    symbols=(
        Symbol("g", "mass", "gas that the supply gives"),
        Symbol("x", "ratio", "its share"),
        Symbol("g_o", "mass", "gas that is burned"),
    ),
    citations=(CHOICE,),
)


_BURNED_NEEDS = (KEPT_FLOW, DRAWN_DOWN, *ONE_BURST_NEEDS)


def _burned(ctx: Context, scene: Scene) -> Iterator[tuple[Mapping[str, float], Scalar]]:
    """What a scene burns, part by part, each with the supplies' shares in it. Steady effects burn all through it but
    for its cues, and pilots all through it. An effect that is not there is left out: a rule reports it."""
    flow, given = ctx[FLOW], ctx[SHARES]
    outlets = {e.tag: e.outlets for e in ctx[EFFECTS]}

    def of(tag: str) -> Mapping[str, Worked]:
        return given.get(tag, {})

    # What burns for the same time from the same supplies is one sum; most often that is everything.
    burning: dict[tuple[Scalar, tuple[tuple[str, float], ...]], list[str]] = {}
    lit = [(one.lasts, outlets.get(one.effect, ())) for one in ctx[TIMELINE].lit if one.scene == scene.tag]
    for time, tags in [*lit, (scene.lasts, tuple(p.tag for p in ctx[NETWORK].of_kind("pilot")))]:
        for tag in tags:
            if tag not in flow:
                ctx[NETWORK].all_read()
                raise Cannot(
                    f"the gas through {tag} is not known, so the scene {scene.tag} cannot be counted",
                    scene.at,
                    "an outlet that gas reaches",
                )
            shares = tuple((s, w.si) for s, w in of(tag).items())
            burning.setdefault((time, shares), []).append(tag)
    kept, first_gas = ctx[KEPT_FLOW], ctx[DRAWN_DOWN]
    for (time, shares), lit_now in burning.items():
        flows = tuple(kept.get(t, flow[t]) for t in lit_now)
        yield dict(shares), steady_gas.work("steady effects", flows=flows, time=time)
        # What a store gives until it is drawn down comes on top, once for each time that it is lit.
        by_store = {ctx[PIECES].stores.of(t): t for t in lit_now if t in first_gas}
        for tag in by_store.values():
            yield from ((dict(shares), first_gas[tag]) for _ in range(lit_now.count(tag)))
    for burst in (*scene.bursts, *(c.bursts for c in scene.cues if c.bursts)):
        tags = outlets.get(burst.effect, ())
        if not tags or any(t not in flow for t in tags):
            raise Cannot(
                f"the gas of {burst.effect} is not known, so the scene {scene.tag} cannot be counted",
                burst.at,
                "an effect whose outlets gas reaches",
            )
        for tag in tags:
            store = ctx[PIECES].stores.of(tag)
            shares_now = {s: w.si for s, w in of(tag).items()}
            if store is not None and store in ctx[FED_ACCUMULATORS] and tag in ctx[WAY_OUT]:
                each = (one_burst(ctx, tag, store, burst.open),)
                yield shares_now, total_gas.work(f"bursts of {burst.effect}", parts=each, times=burst.times)
            else:
                yield (
                    shares_now,
                    burst_gas.work(
                        f"bursts of {burst.effect}", times=burst.times, flows=(flow[tag],), open_time=burst.open
                    ),
                )


def _part_of(supply: str, shares: Mapping[str, float], gas: Scalar) -> Scalar:
    """What a supply gives of a part of a scene's gas. Where no network tells, it gives all: more, never less."""
    share = shares.get(supply, 0.0) if shares else 1.0
    if share >= 1 - 1e-9:
        return gas
    x = Constant(share, "ratio", f"{share:.3g}", CHOICE)
    return Worked(share * gas.si, "mass", _OF_SUPPLY, (("x", x), ("g_o", gas)), name=f"from {supply}")


@figures(
    SCENE_GAS,
    title="Gas burned in the scene {tag}",
    unit="lb",
    needs=(FLOW, SHARES, SHOW, *_BURNED_NEEDS),
    per_case=True,
)
def scene_gas(ctx: Context) -> Mapping[str, Worked]:
    if not ctx[SHOW].scenes:
        raise Cannot(
            "the show has no scenes, so the gas it burns cannot be counted",
            "/show",
            "show: scenes: with what burns and for how long",
        )
    return {
        scene.tag: total_gas.work(
            f"gas in the scene {scene.tag}", parts=tuple(gas for _, gas in _burned(ctx, scene)), times=_ONCE
        )
        for scene in ctx[SHOW].scenes
    }


@value(
    SUPPLY_SCENES,
    needs=(SUPPLIES, FLOW, SHARES, SHOW, *_BURNED_NEEDS),
    per_case=True,
    recalls=(NOZZLE,),
)
def supply_scenes(ctx: Context) -> Mapping[str, Mapping[str, Worked]]:
    supplies = ctx[SUPPLIES]
    made: dict[str, dict[str, Worked]] = {tag: {} for tag in supplies}
    for scene in ctx[SHOW].scenes:
        burned = tuple(_burned(ctx, scene))
        for tag in supplies:
            parts = tuple(_part_of(tag, shares, gas) for shares, gas in burned if not shares or tag in shares)
            made[tag][scene.tag] = total_gas.work(f"gas of {tag} in {scene.tag}", parts=parts, times=_ONCE)
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


@figures(
    SUPPLY_GAS,
    title="Gas from the supply of {tag} over all nights",
    unit="lb",
    decision=True,
    needs=(SUPPLY_SCENES, SHOW),
    per_case=True,
)
def supply_gas(ctx: Context) -> Mapping[str, Worked]:
    nights = len(ctx[SHOW].nights)
    count = Quantity(float(nights), "count", str(nights), ctx[SHOW].nights_at)
    return {
        tag: total_gas.work(f"gas of {tag} over all nights", parts=tuple(scenes.values()), times=count)
        for tag, scenes in ctx[SUPPLY_SCENES].items()
    }


@figures(
    DRAW,
    title="Mean draw on the supply of {tag}, in the scene that draws most on it",
    unit="lb/h",
    needs=(SUPPLY_SCENES, SHOW),
    per_case=True,
)
def draw(ctx: Context) -> Mapping[str, Worked]:
    lasts = {s.tag: s.lasts for s in ctx[SHOW].scenes if s.lasts.si > 0}
    if not lasts:
        raise Cannot("no scene lasts any time, so the draw cannot be computed", "/show", "scenes with lasts:")
    return {
        tag: max(
            (mean_flow.work(f"draw on {tag} in {s}", gas=scenes[s], time=time) for s, time in lasts.items()),
            key=lambda w: w.si,
        )
        for tag, scenes in ctx[SUPPLY_SCENES].items()
    }


@figures(
    DRAW_HEAT,
    title="Mean draw on the supply of {tag} as gross heat, in the scene that draws most on it",
    unit="BTU/h",
    needs=(DRAW,),
    per_case=True,
)
def draw_heat(ctx: Context) -> Mapping[str, Worked]:
    return {tag: gross_heat.work(f"draw on {tag} as heat", flow=flow) for tag, flow in ctx[DRAW].items()}


@figures(
    RUN_TIME,
    title="Run time of the supply of {tag}, full, at its mean draw down to the reserve",
    unit="h",
    worst="min",
    decision=True,
    needs=(DRAW, SUPPLIES, CARRIED),
    limits=("fuel.reserve",),
)
def run_time(ctx: Context) -> Mapping[str, Worked]:
    """Of supplies that carry the show when it is followed, and a night from their reserve on: the others freeze before
    their gas ends. None is given for a supply that hardly gives anything."""
    made = {}
    for tag, group in ctx[SUPPLIES].items():
        if tag not in ctx[CARRIED] or not ctx[DRAW][tag].si > _HARDLY:
            continue
        all_of_it = gas_on_site.work(f"gas of {tag}", contents=tuple(p.spec.quantity("capacity") for p in group))
        usable = usable_gas.work(f"usable gas of {tag}", contents=all_of_it, reserve=ctx.limit("fuel.reserve"))
        made[tag] = cylinder_runtime.work(f"run time of {tag}", usable=usable, flow=ctx[DRAW][tag])
    return made


@figures(
    CYLINDERS_NEEDED,
    title="Cylinders of the supply of {tag} that the show needs, for its gas and against the cold",
    digits=3,
    worst="max",
    decision=True,
    needs=(SUPPLY_GAS, SUPPLIES, SIMULATED_SHOW, FEWEST),
    limits=("fuel.reserve",),
)
def needed(ctx: Context) -> Mapping[str, Worked]:
    """Counted in cylinders of the smallest size in it; of supplies that carry the show when it is followed."""
    short = falls_short(ctx.all(SIMULATED_SHOW))
    fewest = {tag: count for by_supply in ctx.all(FEWEST).values() for tag, count in by_supply.items()}
    made = {}
    for tag, group in ctx[SUPPLIES].items():
        if tag in short or tag not in fewest:
            continue
        smallest = min((p.spec.quantity("capacity") for p in group), key=lambda q: q.si)
        by_gas = cylinders_needed.work(
            f"cylinders of {tag}", gas=ctx[SUPPLY_GAS][tag], contents=smallest, reserve=ctx.limit("fuel.reserve")
        )
        inputs: list[tuple[str, Input]] = [("n_g", by_gas)]
        for symbol, key in (("d", "diameter"), ("h", "height"), ("m_t", "tare")):
            stated: tuple[Scalar, ...] = tuple(p.spec.quantity(key) for p in group if p.spec.has(key))
            if stated:
                inputs.append((symbol, stated))
        most = max(float(fewest[tag]), by_gas.si)
        made[tag] = Worked(most, "count", _AGAINST_COLD, tuple(inputs), name=f"needed of {tag}")
    return made
