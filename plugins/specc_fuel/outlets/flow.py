"""Flow, pressure and heat at each outlet while it burns.

Pressures come from the network solved with each effect burning alone (solved.py): that gives an outlet the most
gas, the safe side for gas used, heat and flame. What it gets while all burn is in `enough.py`.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from specc import Cannot, Context, Quantity, Worked, figures, show
from specc.kinds.gas import CYLINDER_PRESSURE, FLOW, GROSS_HEAT, JET_PRESSURE, NET_HEAT
from specc.kinds.plumbing import NETWORK, OUTLETS, REACHES, Network, Part
from specc.kinds.weather import AIR_PRESSURE
from specc.model.values import CHOICE, Constant, Equation, Input, Scalar, Symbol
from specc.model.view import View, join
from specc_fuel.calc.amounts import hole_area, slit_area
from specc_fuel.calc.heat import gross_heat, net_heat
from specc_fuel.calc.orifice import area_flow, orifice_flow
from specc_fuel.calc.propane import vapor_pressure
from specc_fuel.keys import FEED_PRESSURE, JET_AREA
from specc_fuel.network.solved_effects import ALONE, worked

_ONE_HOLE = Constant(1.0, "count", "1", CHOICE)
_WIDE_OPEN = Constant(1.0, "ratio", "1", CHOICE)

_EFFECTIVE = Equation(
    forms=(("", "A = sum(C_i*A_i)"),),
    symbols=(
        Symbol("A", "area", "jets together, each area times its discharge coefficient"),
        Symbol("C_i", "ratio", "discharge coefficient"),
        Symbol("A_i", "area", "area"),
    ),
    citations=(CHOICE,),
)


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


class Way(NamedTuple):
    """What sets an outlet's flow: the last regulator and the last orifice on the way to it, if any."""

    outlet: Part
    regulator: Part | None
    orifice: Part | None


def ways_of(net: Network, paths: Mapping[str, tuple[str, ...]]) -> tuple[Way, ...]:
    made = []
    by_tag = {p.tag: p for p in net.parts}
    for outlet, path in paths.items():
        regulator: Part | None = None
        orifice: Part | None = None
        for tag in path:
            part = by_tag[tag]
            if part.kind == "regulator":
                regulator, orifice = part, None
            elif part.kind == "orifice":
                orifice = part
        made.append(Way(by_tag[outlet], regulator, orifice))
    return tuple(made)


def _no_liquid(ctx: Context, way: Way, upstream: Scalar) -> None:
    """Refuse a pressure at which gas as cold as the air turns liquid before the hole."""
    most = vapor_pressure(ctx.case.air.si) - ctx[AIR_PRESSURE].si
    if upstream.si > most:
        gas = show(upstream.si, "gauge_pressure", "psig")
        first = way.regulator or way.outlet
        raise Cannot(
            f"propane at {gas} turns liquid in air of {ctx.case.air.text} ({ctx.case.name} case), before "
            f"{way.outlet.tag}",
            join(first.at, "set") if way.regulator else first.at,
            f"a regulator set below {show(most, 'gauge_pressure', 'psig')}",
            "liquid in a burner burns many times higher than gas, and is thrown",
        )


def _upstream(way: Way, supply: Scalar) -> Scalar:
    """The pressure that feeds an outlet: the regulator's, or the cylinder's where that is lower."""
    if way.regulator is None:
        return supply
    set_to = way.regulator.spec.quantity("set")
    return set_to if set_to.si <= supply.si else supply


@figures(
    FEED_PRESSURE,
    title="Pressure ahead of the feed orifice of {tag}",
    unit="psig",
    needs=(NETWORK, REACHES, ALONE, CYLINDER_PRESSURE, AIR_PRESSURE, JET_AREA),
    per_case=True,
)
def feed_pressures(ctx: Context) -> Mapping[str, Worked]:
    """By outlet with a feed orifice, in the weather case: solved with its effect burning alone."""
    made = {}
    for way in ways_of(ctx[NETWORK], {r.outlet: r.path for r in ctx[REACHES]}):
        burning = ctx[ALONE].get(way.outlet.tag)
        if way.orifice is not None and burning is not None and way.orifice.tag in burning.piping.before:
            node = burning.piping.before[way.orifice.tag]
            si = burning.gauge(node, ctx[AIR_PRESSURE].si)
            made[way.outlet.tag] = worked(
                ctx, burning, si, "gauge_pressure", f"pressure ahead of {way.orifice.tag}, its effect alone"
            )
    return made


@figures(
    JET_PRESSURE,
    title="Pressure at the jets of {tag}",
    unit="psig",
    needs=(NETWORK, REACHES, ALONE, CYLINDER_PRESSURE, AIR_PRESSURE, JET_AREA),
    per_case=True,
)
def jet_pressures(ctx: Context) -> Mapping[str, Worked]:
    """By outlet, in the weather case: solved with its effect burning alone."""
    made = {}
    for way in ways_of(ctx[NETWORK], {r.outlet: r.path for r in ctx[REACHES]}):
        burning = ctx[ALONE].get(way.outlet.tag)
        if burning is None:
            continue
        _no_liquid(ctx, way, _upstream(way, ctx[CYLINDER_PRESSURE]))
        si = burning.gauge(burning.piping.before[way.outlet.tag], ctx[AIR_PRESSURE].si)
        made[way.outlet.tag] = worked(
            ctx, burning, si, "gauge_pressure", f"pressure at the jets of {way.outlet.tag}, its effect alone"
        )
    return made


_GIVEN = Equation(
    forms=(("", "p = p_1"),),
    symbols=(
        Symbol("p", "gauge_pressure", "pressure at the jets"),
        Symbol("p_1", "gauge_pressure", "pressure that feeds them"),
    ),
    citations=(CHOICE,),
    validity="no loss in pipes, hoses and valves",
)


def as_given(name: str, pressure: Scalar) -> Worked:
    return Worked(pressure.si, "gauge_pressure", _GIVEN, (("p_1", pressure),), name=name)


def jets_of(sharing: list[Way], areas: Mapping[str, Scalar]) -> tuple[Scalar, Scalar]:
    """Area and discharge coefficient of the jets of all outlets that share a feed orifice."""
    if len(sharing) == 1:
        outlet = sharing[0].outlet
        return areas[outlet.tag], outlet.spec.child("jets").quantity("discharge")
    return _together(sharing, areas), _WIDE_OPEN


def _together(sharing: list[Way], areas: Mapping[str, Scalar]) -> Worked:
    """The jets of all outlets behind one orifice, as one area with discharge coefficient 1."""
    each: list[Scalar] = [areas[w.outlet.tag] for w in sharing]
    discharges: list[Quantity] = [w.outlet.spec.child("jets").quantity("discharge") for w in sharing]
    total = sum(c.si * a.si for c, a in zip(discharges, each, strict=True))
    inputs: tuple[tuple[str, Input], ...] = (("C_i", tuple(discharges)), ("A_i", tuple(each)))
    return Worked(total, "area", _EFFECTIVE, inputs, name="jets together")


@figures(
    FLOW,
    title="Gas through {tag}",
    unit="lb/h",
    decision=True,
    needs=(NETWORK, REACHES, ALONE, FEED_PRESSURE, JET_PRESSURE, JET_AREA, AIR_PRESSURE),
    per_case=True,
)
def outlet_flows(ctx: Context) -> Mapping[str, Worked]:
    """With its effect burning alone, which gives it the most; a burst at its first moment."""
    net = ctx[NETWORK]
    ways = {w.outlet.tag: w for w in ways_of(net, {r.outlet: r.path for r in ctx[REACHES]})}
    made = {}
    for tag, pressure in ctx[JET_PRESSURE].items():
        orifice, part, lit = ways[tag].orifice, ways[tag].outlet, ctx[ALONE][tag].lit
        shared = orifice is not None and sum(w.orifice is orifice for t, w in ways.items() if t in lit) > 1
        if orifice is not None and not shared and tag in ctx[FEED_PRESSURE]:
            # The same flow as through the jets, but one that can be checked by hand: a small hole and a
            # large difference of pressure, where the jets have a hundred times less.
            made[tag] = orifice_flow.work(
                f"gas through {tag}, as {orifice.tag} lets it in",
                bore=orifice.spec.quantity("bore"),
                upstream=ctx[FEED_PRESSURE][tag],
                gas_temperature=ctx.case.air,
                discharge=orifice.spec.quantity("discharge"),
                downstream=pressure,
                ambient=ctx[AIR_PRESSURE],
            )
            continue
        jets = part.spec.child("jets")
        made[tag] = area_flow.work(
            f"gas through {tag}",
            area=ctx[JET_AREA][tag],
            upstream=pressure,
            gas_temperature=ctx.case.air,
            discharge=jets.quantity("discharge"),
            ambient=ctx[AIR_PRESSURE],
        )
    return made


@figures(NET_HEAT, title="Heat of {tag}, net", unit="BTU/h", decision=True, needs=(FLOW,), per_case=True)
def net_heats(ctx: Context) -> Mapping[str, Worked]:
    return {tag: net_heat.work(f"heat of {tag}, net", flow=flow) for tag, flow in ctx[FLOW].items()}


@figures(GROSS_HEAT, title="Heat of {tag}, gross", unit="BTU/h", needs=(FLOW,), per_case=True)
def gross_heats(ctx: Context) -> Mapping[str, Worked]:
    return {tag: gross_heat.work(f"heat of {tag}, gross", flow=flow) for tag, flow in ctx[FLOW].items()}


PASSES = (jet_areas, feed_pressures, jet_pressures, outlet_flows, net_heats, gross_heats)
