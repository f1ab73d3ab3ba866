"""How large each outlet's flame is: length, width, tip, laid flat by wind, and a burst's ball of gas beside it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import cast

from specc import Constant, Context, Quantity, Worked, figures, value
from specc.kinds.gas import FAILED_BURSTS, FAILED_OPEN_GAS, FLOW, JET_PRESSURE, NET_HEAT
from specc.kinds.geometry import FLAT
from specc.kinds.outlets import OUTLET_PLACES, OutletPlace
from specc.kinds.plumbing import NETWORK, REACHES, Part
from specc.kinds.show import EFFECTS, TIMELINE
from specc.kinds.weather import AIR_PRESSURE, CASES, WIND
from specc.model.values import Scalar
from specc.model.view import Unreadable
from specc_flame.calc import envelope, fireball, reach
from specc_flame.calc.height import HEAT_RATIO
from specc_flame.keys import (
    BALL,
    BALL_SIZE,
    EXPECTED,
    FAILED_FLAMES,
    FORMS,
    HEAT,
    LENGTH,
    OPEN,
    OUTLETS,
    TIP,
    TOP,
    UNKNOWN,
    WIDTH,
    FailedFlame,
)

# A burst that is held open, as one counts that no scene fires: a flame, with the largest ball that it can make.
HELD = Quantity(10.0, "duration", "10 s (held open)")
PROPANE = Constant(envelope.NET, "specific_energy", "46.35 MJ/kg", envelope.NET_SOURCE)


@value(OUTLETS, needs=(OUTLET_PLACES,), wants=(NET_HEAT,))
def outlets(ctx: Context) -> Mapping[str, OutletPlace]:
    heats = ctx[NET_HEAT]  # wanted, so that the rest stands where nobody provides it; without it flames are blocked
    return {o.tag: o for o in ctx[OUTLET_PLACES] if o.tag in heats and heats[o.tag].si > 0}


@value(UNKNOWN, needs=(OUTLETS, REACHES))
def unknown(ctx: Context) -> tuple[str, ...]:
    return tuple(r.outlet for r in ctx[REACHES] if r.outlet not in ctx[OUTLETS])


@value(OPEN, needs=(OUTLETS, EFFECTS, TIMELINE))
def open_times(ctx: Context) -> Mapping[str, Quantity]:
    longest: dict[str, Quantity] = {}
    for shot in ctx[TIMELINE].shots:
        if shot.effect not in longest or shot.open.si > longest[shot.effect].si:
            longest[shot.effect] = shot.open
    bursts = {e.tag for e in ctx[EFFECTS] if e.kind == "burst"}
    return {tag: longest.get(o.effect, HELD) for tag, o in ctx[OUTLETS].items() if o.effect in bursts}


@figures(
    HEAT,
    title="Heat rate that the flame of {tag} is computed with, net",
    unit="BTU/h",
    needs=(OPEN,),
    wants=(FLOW, NET_HEAT),
    per_case=True,
)
def burst_heats(ctx: Context) -> Mapping[str, Worked]:
    """The first flow as if it lasted: an accumulator that empties gives less."""
    return {
        tag: reach.burst_heat.work(
            f"heat of a burst of {tag}", flow=ctx[FLOW][tag], mass=_gas(ctx, tag), heating_value=PROPANE
        )
        for tag in ctx[OPEN]
    }


def _gas(ctx: Context, tag: str) -> Worked:
    return reach.let_out.work(f"gas of a burst of {tag}", flow=ctx[FLOW][tag], time=ctx[OPEN][tag])


def flow_of(ctx: Context, tag: str) -> Scalar:
    """Of a burst the flow that its flame is computed with, else the outlet's own."""
    if tag not in ctx[OPEN]:
        return ctx[FLOW][tag]
    return reach.fed_flow.work(f"flow of a burst of {tag}", flow=ctx[FLOW][tag], mass=_gas(ctx, tag))


def heat_of(ctx: Context, tag: str) -> Scalar:
    """Of a burst the heat that its flame is computed with, else the outlet's own."""
    return ctx[HEAT][tag] if tag in ctx[HEAT] else ctx[NET_HEAT][tag]


def stop_wind(ctx: Context) -> Scalar:
    """The gust in the wind that stops the show; 15 mph where the spec states none."""
    stop = ctx[WIND].stop
    return stop.strongest if stop else envelope.FRESH


def ring_of(part: Part) -> Scalar:
    ring = part.form == "ring" and part.spec.has("diameter")
    return part.spec.quantity("diameter") if ring else FLAT


def line_of(part: Part) -> Scalar:
    """The length of a slit, or of a bar's row of holes."""
    jets = part.spec.child("jets")
    if jets.has("length"):
        return jets.quantity("length")
    if part.form == "bar" and part.spec.has("length"):
        return part.spec.quantity("length")
    return FLAT


def offset_of(part: Part) -> Scalar:
    """How far jets stand from the outlet's middle: half of its ring, slit or row."""
    across = max(ring_of(part), line_of(part), key=lambda s: s.si)
    return envelope.half.work(f"half of {part.tag}", whole=across) if across.si > 0 else FLAT


def points_down(outlet: OutletPlace) -> bool:
    """Whether an outlet is aimed below level."""
    return outlet.aim is not None and outlet.aim.tilt.si > math.pi / 2 + 1e-9


@figures(
    LENGTH,
    title="Mean flame length of {tag}",
    unit="ft",
    needs=(OUTLETS, HEAT, OPEN, AIR_PRESSURE, NETWORK),
    wants=(NET_HEAT, FLOW, JET_PRESSURE),
    per_case=True,
)
def lengths(ctx: Context) -> Mapping[str, Worked]:
    made = {}
    for tag in ctx[OUTLETS]:
        part = ctx[NETWORK].by_tag[tag]
        gas = (heat_of(ctx, tag), flow_of(ctx, tag), ctx[JET_PRESSURE][tag])
        made[tag] = flame_length(f"mean flame length of {tag}", part, gas, ctx[AIR_PRESSURE], ctx.case.air)
    return made


def flame_length(
    what: str, part: Part, gas: tuple[Scalar, Scalar, Scalar], ambient: Scalar, temperature: Scalar
) -> Worked:
    """The mean length of an outlet's flame; `gas`: its net heat, its flow and its pressure at the jets."""
    heat, flow, pressure = gas
    return envelope.outlet_flame.work(
        what,
        heat=heat,
        flow=flow,
        pressure=pressure,
        jets=part.spec.child("jets").quantity("count"),
        ring=ring_of(part),
        line=line_of(part),
        ambient=ambient,
        temperature=temperature,
    )


@value(
    FAILED_FLAMES,
    needs=(OUTLETS, OPEN, NETWORK, AIR_PRESSURE, CASES),
    wants=(FAILED_OPEN_GAS, FAILED_BURSTS),
    recalls=(HEAT_RATIO.citation,),
)
def failed_flames(ctx: Context) -> Mapping[str, FailedFlame]:
    steady, bursts, made = ctx.get(FAILED_OPEN_GAS) or {}, ctx.get(FAILED_BURSTS) or {}, dict[str, FailedFlame]()
    for tag in ctx[OUTLETS]:
        words = f"flame of {tag}, a regulator failed open"
        if (opened := ctx[OPEN].get(tag)) is None:
            gas = steady.get(tag)
            size = gas and _longest(ctx, tag, words, (gas.heat, gas.flow, gas.pressure))
            if gas and size:
                made[tag] = FailedFlame(gas.regulator, gas.heat, *size)
        elif (burst := bursts.get(tag)) is not None and burst.flow.si > 0:
            mass = reach.let_out.work(f"gas for the {words}", flow=burst.flow, time=opened)
            heat = reach.burst_heat.work(f"heat of the {words}", flow=burst.flow, mass=mass, heating_value=PROPANE)
            flow = reach.fed_flow.work(f"flow of the {words}", flow=burst.flow, mass=mass)
            ball = reach.ball_mass.work(f"ball of the {words}", flow=burst.flow, open_time=opened)
            if size := _longest(ctx, tag, words, (heat, flow, burst.pressure)):
                made[tag] = FailedFlame(burst.regulator, heat, *size, ball, burst.liquid)
    return made


def _longest(ctx: Context, tag: str, words: str, gas: tuple[Scalar, Scalar, Scalar]) -> tuple[Worked, Worked] | None:
    """Its mean length, and how far it is seen."""
    part, ambient = ctx[NETWORK].by_tag[tag], ctx[AIR_PRESSURE]
    try:
        lengths = [flame_length(f"mean {words}", part, gas, ambient, case.air) for case in ctx[CASES]]
        longest = max(lengths, key=lambda one: one.si)
        return longest, reach.visible_tip.work(f"tip of the {words}", length=longest, offset=offset_of(part))
    except (Unreadable, ValueError):
        return None


@value(
    FORMS,
    needs=(LENGTH,),
    recalls=(HEAT_RATIO.citation,),
)
def forms(ctx: Context) -> Mapping[str, reach.Flame]:
    made = {}
    for tag, length in ctx[LENGTH].items():
        # Records are tuples too: only a plain tuple holds several values, and this equation has none.
        given = {symbol: cast("Scalar", one).si for symbol, one in length.worked.inputs}
        made[tag] = reach.flame_of(
            given["Q"], given["w"], given["p"], round(given["n"]), given["D"], given["l"], given["p_a"], given["T"]
        )
    return made


@figures(WIDTH, title="Width of the flame of {tag}", unit="ft", digits=2, needs=(LENGTH, NETWORK), per_case=True)
def widths(ctx: Context) -> Mapping[str, Worked]:
    made = {}
    for tag, length in ctx[LENGTH].items():
        part = ctx[NETWORK].by_tag[tag]
        across = max(ring_of(part), line_of(part), key=lambda s: s.si)
        made[tag] = envelope.flame_width.work(f"width of the flame of {tag}", length=length, source=across)
    return made


@figures(
    BALL,
    title="Gas of a burst of {tag} that can burn as a ball",
    unit="oz",
    digits=2,
    needs=(OPEN,),
    wants=(FLOW,),
    per_case=True,
)
def ball_gas(ctx: Context) -> Mapping[str, Worked]:
    return {
        tag: reach.ball_mass.work(f"gas that can burn as a ball at {tag}", flow=ctx[FLOW][tag], open_time=time)
        for tag, time in ctx[OPEN].items()
    }


@figures(BALL_SIZE, title="Fireball of a burst of {tag}, across", unit="ft", digits=2, needs=(BALL,), per_case=True)
def ball_sizes(ctx: Context) -> Mapping[str, Worked]:
    return {tag: fireball.fireball.work(f"fireball of {tag}", mass=gas) for tag, gas in ctx[BALL].items()}


@figures(
    TIP,
    title="Farthest that the flame of {tag} is seen, laid flat by wind in any direction",
    unit="ft",
    needs=(LENGTH, NETWORK),
    per_case=True,
)
def laid_flat(ctx: Context) -> Mapping[str, Worked]:
    """Wind and aim play no part: it lies that way, whichever."""
    return {
        tag: reach.visible_tip.work(
            f"tip of the flame of {tag}", length=length, offset=offset_of(ctx[NETWORK].by_tag[tag])
        )
        for tag, length in ctx[LENGTH].items()
    }


@figures(
    TOP,
    title="Highest that flame of {tag} is seen above the ground, in still air",
    unit="ft",
    needs=(TIP, BALL_SIZE, OUTLETS),
    per_case=True,
)
def tops(ctx: Context) -> Mapping[str, Worked]:
    made = {}
    for tag, tip in ctx[TIP].items():
        point = ctx[OUTLETS][tag].point
        if point is None or point.z is None:
            continue
        ball = ctx[BALL_SIZE].get(tag, FLAT)
        made[tag] = envelope.flame_top.work(f"top of the flame of {tag}", height=point.z, tip=tip, ball=ball)
    return made


@figures(
    EXPECTED,
    title="How far the flame of {tag} is expected to lean out in the stop wind, beside the flame laid flat",
    unit="ft",
    needs=(LENGTH, NETWORK, WIND),
    wants=(FLOW,),
    per_case=True,
)
def expected(ctx: Context) -> Mapping[str, Worked]:
    stop = ctx[WIND].stop
    if stop is None:
        return {}
    return {
        tag: envelope.expected_reach.work(
            f"expected reach of {tag}",
            length=length,
            wind=stop.strongest,
            flow=ctx[FLOW][tag],
            offset=offset_of(ctx[NETWORK].by_tag[tag]),
        )
        for tag, length in ctx[LENGTH].items()
    }
