"""Flow, pressure and heat at each outlet while it burns.

Pressures come from the network solved with each effect burning alone (network/solved_effects.py): that gives an outlet
the most gas, the safe side for gas used, heat and flame. What it gets while all burn is in line_capacity.py.
"""

from __future__ import annotations

from collections.abc import Mapping

from specc import Cannot, Context, Worked, figures, psig
from specc.kinds.gas import FLOW, GROSS_HEAT, JET_PRESSURE, NET_HEAT
from specc.kinds.plumbing import NETWORK, OUTLETS, Network, Part
from specc.kinds.weather import AIR_PRESSURE
from specc.model.values import Scalar
from specc.model.view import View, join
from specc_fuel.calc.amounts import hole_area, slit_area
from specc_fuel.calc.heat import gross_heat, net_heat
from specc_fuel.calc.orifice import area_flow, orifice_flow
from specc_fuel.calc.propane import vapor_pressure
from specc_fuel.keys import FEED_PRESSURE, JET_AREA
from specc_fuel.network.burning import Burning
from specc_fuel.network.solved_effects import ALONE, worked


def jet_area(jets: View) -> Worked:
    """The area of an outlet's jets: holes by bore, or slits by width and length."""
    count = jets.quantity("count")
    if jets.has("bore"):
        return hole_area.work("area of the jets", count=count, bore=jets.quantity("bore"))
    if jets.has("width") and jets.has("length"):
        return slit_area.work(
            "area of the jets", count=count, width=jets.quantity("width"), length=jets.quantity("length")
        )
    raise Cannot("the jets have no size", jets.at, "bore: for holes, or width: and length: for slits")


@figures(JET_AREA, title="Jet area of {tag}", unit="in²", needs=(NETWORK,))
def jet_areas(ctx: Context) -> Mapping[str, Worked]:
    return {p.tag: jet_area(p.spec.child("jets")) for p in ctx[NETWORK].of_kind(*OUTLETS)}


def feed_orifice(net: Network, burning: Burning, outlet: str) -> Part | None:
    """The orifice through which all of an outlet's gas comes and nobody else's, by the network as solved; or None."""
    flow = burning.solution.flow
    asked = flow[f"jets of {outlet}"]
    level, seen = [outlet], {outlet}
    while level:
        for tag in level:
            part = net.by_tag[tag]
            if part.kind == "orifice" and asked > 0 and abs(flow.get(tag, 0.0) - asked) <= 1e-6 * asked:
                return part
        level = [
            b
            for tag in level
            if net.by_tag[tag].kind not in ("regulator", "accumulator")
            for b in net.before.get(tag, ())
            if b not in seen
        ]
        seen.update(level)
    return None


def _no_liquid(ctx: Context, outlet: str, burning: Burning) -> None:
    """Refuse a pressure at which gas as cold as the air turns liquid on its way from a regulator to an outlet."""
    most = vapor_pressure(ctx.case.air.si) - ctx[AIR_PRESSURE].si
    net, air = ctx[NETWORK], ctx[AIR_PRESSURE].si
    regulators = [p for p in net.first_above(outlet, "regulator") if p.tag in burning.piping.after]
    stands = [(min(p.spec.quantity("set").si, burning.supply), p) for p in regulators]
    stands = stands or [(burning.gauge(burning.piping.before[outlet], air), net.by_tag[outlet])]
    pressure, first = max(stands, key=lambda one: one[0])
    if pressure > most:
        gas = psig(pressure)
        raise Cannot(
            f"propane at {gas} turns liquid in air of {ctx.case.air.text} ({ctx.case.name} case), before {outlet}",
            join(first.at, "set") if first.kind == "regulator" else first.at,
            f"a regulator set below {psig(most)}",
            "liquid in a burner burns many times higher than gas, and is thrown",
        )


@figures(
    FEED_PRESSURE,
    title="Pressure ahead of the feed orifice of {tag}",
    unit="psig",
    needs=(NETWORK, ALONE, AIR_PRESSURE),
    per_case=True,
)
def feed_pressures(ctx: Context) -> Mapping[str, Worked]:
    """By outlet whose gas all comes through one feed orifice, in the weather case: solved with its effect alone."""
    made = {}
    for tag, burning in ctx[ALONE].items():
        orifice = feed_orifice(ctx[NETWORK], burning, tag)
        if orifice is not None:
            si = burning.gauge(burning.piping.before[orifice.tag], ctx[AIR_PRESSURE].si)
            made[tag] = worked(ctx, burning, si, "gauge_pressure", f"pressure ahead of {orifice.tag}, its effect alone")
    return made


@figures(
    JET_PRESSURE,
    title="Pressure at the jets of {tag}",
    unit="psig",
    needs=(NETWORK, ALONE, AIR_PRESSURE),
    per_case=True,
)
def jet_pressures(ctx: Context) -> Mapping[str, Worked]:
    """By outlet, in the weather case: solved with its effect burning alone."""
    made = {}
    for tag, burning in ctx[ALONE].items():
        _no_liquid(ctx, tag, burning)
        si = burning.gauge(burning.piping.before[tag], ctx[AIR_PRESSURE].si)
        made[tag] = worked(ctx, burning, si, "gauge_pressure", f"pressure at the jets of {tag}, its effect alone")
    return made


@figures(
    FLOW,
    title="Gas through {tag}",
    unit="lb/h",
    decision=True,
    needs=(NETWORK, ALONE, FEED_PRESSURE, JET_PRESSURE, JET_AREA, AIR_PRESSURE),
    per_case=True,
)
def outlet_flows(ctx: Context) -> Mapping[str, Worked]:
    """With its effect burning alone, which gives it the most; a burst at its first moment. As the network was solved,
    shown as the hole that it passes: its feed orifice where all of it comes through one, else its jets."""
    made = {}
    for tag, pressure in ctx[JET_PRESSURE].items():
        orifice = feed_orifice(ctx[NETWORK], ctx[ALONE][tag], tag)
        if orifice is not None:
            # The same flow as through the jets, but one that can be checked by hand: a small hole and a
            # large difference of pressure, where the jets have a hundred times less.
            made[tag] = orifice_flow.work(
                f"gas through {tag}, as {orifice.tag} lets it in",
                bore=orifice.spec.quantity("bore"),
                upstream=ctx[FEED_PRESSURE][tag],
                gas_temperature=ctx.case.air,
                discharge=orifice.spec.quantity("discharge"),
                downstream=behind(ctx, ctx[ALONE][tag], orifice, pressure),
                ambient=ctx[AIR_PRESSURE],
            )
            continue
        made[tag] = area_flow.work(
            f"gas through {tag}",
            area=ctx[JET_AREA][tag],
            upstream=pressure,
            gas_temperature=ctx.case.air,
            discharge=ctx[NETWORK].by_tag[tag].spec.child("jets").quantity("discharge"),
            ambient=ctx[AIR_PRESSURE],
        )
    return made


def behind(ctx: Context, burning: Burning, orifice: Part, jets: Scalar) -> Scalar:
    """The pressure behind a feed orifice: the jets', or more where a line between them takes some."""
    si = burning.gauge(burning.piping.after[orifice.tag], ctx[AIR_PRESSURE].si)
    if abs(si - jets.si) <= 1e-6 * abs(si):
        return jets
    return worked(ctx, burning, si, "gauge_pressure", f"pressure behind {orifice.tag}")


@figures(NET_HEAT, title="Heat of {tag}, net", unit="BTU/h", decision=True, needs=(FLOW,), per_case=True)
def net_heats(ctx: Context) -> Mapping[str, Worked]:
    return {tag: net_heat.work(f"heat of {tag}, net", flow=flow) for tag, flow in ctx[FLOW].items()}


@figures(GROSS_HEAT, title="Heat of {tag}, gross", unit="BTU/h", needs=(FLOW,), per_case=True)
def gross_heats(ctx: Context) -> Mapping[str, Worked]:
    return {tag: gross_heat.work(f"heat of {tag}, gross", flow=flow) for tag, flow in ctx[FLOW].items()}
