"""Pressure in a burner zone, from what feeds it to its jets, when something is not as set.

Three states, never combined: the regulators turned up as far as they go; the same with part of the jets blocked; and
each regulator in turn failed open, with commercial propane at its hottest. In all of them a valve or fitting holds
nothing back by what was only typed of it (Cv, K or bore): a knob at a needle is as easily turned as a regulator's,
and a data sheet as easily misread. Orifices, lines and jets hold back what they do. The network is solved for each,
and the highest pressure at any node of the zone counts, at the end of a thin tube as at the jets.

The gas is taken as warm as the liquid that it comes from, so that it does not condense on the way: that lowers flows,
and hardly changes the pressure between two holes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from specc import CHOICE, Cannot, Context, Equation, Limit, Symbol, Worked, figures, value
from specc.kinds.gas import (
    CYLINDER_PRESSURE,
    FAILED_OPEN_GAS,
    JET_PRESSURE,
    SECTION_BLOCKED,
    SECTION_FAILED_OPEN,
    SECTION_HIGHEST,
    FailedGas,
)
from specc.kinds.plumbing import LINES, NETWORK, OUTLETS, REACHES, Network, Part
from specc.kinds.weather import AIR_PRESSURE, CASES
from specc.model.values import Scalar
from specc_fuel.calc import propane
from specc_fuel.calc.heat import WATER, net_heat
from specc_fuel.keys import JET_AREA, WARMEST_SUPPLY
from specc_fuel.network.burning import NETWORK_SOLVED
from specc_fuel.network.from_plumbing import PIECES
from specc_fuel.network.solved_effects import worked
from specc_fuel.network.zones import OutletZone, zones_of

if TYPE_CHECKING:
    from specc_fuel.network.burning import Burning
    from specc_fuel.network.piece_solver import Condition, Solver

BLOCKED = Limit(
    "fuel.jets_blocked",
    "50 %",
    "ratio",
    "max",
    "share of the jets' area taken as blocked when the pressure of a burner section is judged",
    CHOICE,
)

_BOILS = Equation(
    forms=(("", "~ the temperature at which pure propane's vapor pressure is p gauge"),),
    symbols=(
        Symbol("T", "temperature", "gas"),
        Symbol("p", "gauge_pressure", "pressure of the supply"),
        Symbol("p_a", "absolute_pressure", "absolute pressure of the air"),
    ),
    citations=(propane.VAPOR_PRESSURE.citations[0],),
)


def reached(
    solver: Solver, zone: OutletZone, conditions: Mapping[str, Condition]
) -> Iterator[tuple[float, str, Burning]] | None:
    """The highest pressure in a zone (Pa gauge) in each of some conditions; None where a line's loss is not known: a
    line between a hole and the jets that is taken to lose nothing would hide the pressure before it."""
    found = []
    for words, condition in conditions.items():
        burning = _burning(solver, zone, words, condition)
        piping, pressure = burning.piping, burning.solution.pressure
        if any(solver.net.by_tag[tag].kind in LINES for tag in piping.silent if tag in zone.parts):
            return None
        nodes = {n for tag in zone.parts if tag in piping.before for n in (piping.before[tag], piping.after[tag])}
        found.append((max(pressure[n] for n in nodes) - solver.air, words, burning))
    return iter(found)


def _highest(ctx: Context, solver: Solver, zone: OutletZone, conditions: Mapping[str, Condition]) -> Worked | None:
    """In the worst of the conditions."""
    found = reached(solver, zone, conditions)
    if found is None:
        return None
    made = [
        worked(ctx, burning, si, "gauge_pressure", f"highest pressure in the zone, {words}")
        for si, words, burning in found
    ]
    return max(made, key=lambda w: w.si, default=None)


def _burning(solver: Solver, zone: OutletZone, words: str, condition: Condition) -> Burning:
    what = f"{', '.join(zone.outlets[:3])} burn{'s' if len(zone.outlets) == 1 else ''}, {words}"
    return solver.burning(zone.outlets, what, condition, stored=True)


def _regulators(net: Network, zone: OutletZone) -> list[Part]:
    """Those on the way to any of its outlets: one of them may be fed by more than the rest."""
    above = net.walk((tag for outlet in zone.outlets for tag in net.before.get(outlet, ())), net.before)
    return [p for p in net.of_kind("regulator") if p.tag in above]


def fed_zones(ctx: Context) -> Iterator[OutletZone]:
    fed = {r.outlet for r in ctx[REACHES] if r.outlet in ctx[JET_AREA]}
    yield from zones_of(ctx[NETWORK], tuple(p.tag for p in ctx[NETWORK].of_kind(*OUTLETS) if p.tag in fed))


def turned_up(solver: Solver, zone: OutletZone, jets_open: float, gas: Scalar) -> dict[str, Condition]:
    """Its regulators at their highest settings, by what that is called; none where one of them is not stated."""
    from specc_fuel.network.piece_solver import Condition

    regulators = _regulators(solver.net, zone)
    near = {p.tag for outlet in zone.outlets for p in solver.net.first_above(outlet, "regulator")}
    if any(not p.spec.has("highest") for p in regulators if p.tag in near):
        return {}
    turned: dict[str, Scalar] = {
        p.tag: max((p.spec.quantity(k) for k in ("highest", "set") if p.spec.has(k)), key=lambda q: q.si)
        for p in regulators
    }
    words = "at the highest setting" + (f", {1 - jets_open:.0%} of the jets blocked" if jets_open < 1 else "")
    return {words: Condition(turned, jets_open=jets_open, gas=gas, wide=True)}


def each_failed(solver: Solver, zone: OutletZone, supply: Scalar, gas: Scalar) -> dict[str, Condition]:
    """Each of its regulators failed open in turn."""
    from specc_fuel.network.piece_solver import Condition

    return {
        f"{tag} failed open" if tag else "without a regulator": Condition(
            failed=tag, cylinders=supply, gas=gas, wide=True
        )
        for tag in [p.tag for p in _regulators(solver.net, zone)] or [""]
    }


def hottest_gas(ctx: Context) -> Worked:
    """As warm as the liquid of the hottest supply, so that it does not condense."""
    supply, air = ctx[WARMEST_SUPPLY], ctx[AIR_PRESSURE]
    boils = propane.boiling_point(supply.si + air.si)
    return Worked(boils, "temperature", _BOILS, (("p", supply), ("p_a", air)), name="gas of the hottest supply")


def _turned_up(ctx: Context, jets_open: float) -> Mapping[str, Worked]:
    from specc_fuel.network.piece_solver import Solver

    solver, made = Solver(ctx), {}
    for zone in fed_zones(ctx):
        highest = _highest(ctx, solver, zone, turned_up(solver, zone, jets_open, ctx.case.liquid))
        if highest is not None:
            made.update(dict.fromkeys(zone.outlets, highest))
    return made


# JET_PRESSURE is needed so that a faulty zone is reported once, there.
ZONE_NEEDS = (NETWORK, PIECES, REACHES, CYLINDER_PRESSURE, AIR_PRESSURE, JET_AREA, JET_PRESSURE)


@figures(
    SECTION_HIGHEST,
    title="Pressure before the jets of {tag}, regulators at their highest setting",
    unit="psig",
    needs=ZONE_NEEDS,
    per_case=True,
    limits=("fuel.lock_up",),
)
def at_highest(ctx: Context) -> Mapping[str, Worked]:
    """By outlet whose regulators' highest settings are stated."""
    return _turned_up(ctx, 1.0)


@figures(
    SECTION_BLOCKED,
    title="Pressure before the jets of {tag}, regulators at their highest setting, a share of jets blocked",
    unit="psig",
    needs=ZONE_NEEDS,
    per_case=True,
    limits=("fuel.jets_blocked", "fuel.lock_up"),
)
def at_highest_blocked(ctx: Context) -> Mapping[str, Worked]:
    """By outlet whose regulators' highest settings are stated."""
    share = ctx.limit(BLOCKED.key)
    if not share.si < 1:
        raise Cannot(
            f"{share.text} of the jets blocked leaves no way out", share.at, "a share below 100 %, such as 50 %"
        )
    return _turned_up(ctx, 1 - share.si)


@figures(
    SECTION_FAILED_OPEN,
    title="Highest pressure before the jets of {tag}, a regulator failed open, no relief counted, propane hottest",
    unit="psig",
    needs=(*ZONE_NEEDS, WARMEST_SUPPLY, CASES),
    limits=("fuel.lock_up",),
)
def failed_open(ctx: Context) -> Mapping[str, Worked]:
    """By outlet. One regulator fails at a time; where there is none, the zone sees the supply.

    The hottest supply is one, whatever the weather case, so that this is solved once.
    """
    solver, made = _at_hottest(ctx), {}
    supply, gas = ctx[WARMEST_SUPPLY], hottest_gas(ctx)
    for zone in fed_zones(ctx):
        highest = _highest(ctx, solver, zone, each_failed(solver, zone, supply, gas))
        if highest is not None:
            made.update(dict.fromkeys(zone.outlets, highest))
    return made


@value(
    FAILED_OPEN_GAS,
    needs=(*ZONE_NEEDS, WARMEST_SUPPLY, CASES),
    limits=("fuel.lock_up",),
    recalls=(*(c for c in NETWORK_SOLVED.citations if c.basis == "memory"), WATER),
)
def failed_open_gas(ctx: Context) -> Mapping[str, FailedGas]:
    """From the same solution as the pressure: a flame that burns on gets that gas until somebody closes a valve."""
    solver, made = _at_hottest(ctx), dict[str, FailedGas]()
    supply, gas = ctx[WARMEST_SUPPLY], hottest_gas(ctx)
    for zone in fed_zones(ctx):
        for words, condition in each_failed(solver, zone, supply, gas).items():
            burning = _burning(solver, zone, words, condition)
            for outlet in zone.outlets:
                flow = worked(ctx, burning, max(burning.solution.flow[f"jets of {outlet}"], 0.0), "mass_flow",
                              f"gas at {outlet}, {words}")  # fmt: skip
                if flow.si <= 0 or (outlet in made and made[outlet].flow.si >= flow.si):
                    continue
                ahead = max(burning.gauge(burning.piping.before[outlet], solver.air), 0.0)
                at_jets = worked(ctx, burning, ahead, "gauge_pressure", f"pressure at the jets of {outlet}, {words}")
                heat = net_heat.work(f"heat of {outlet}, {words}", flow=flow)
                made[outlet] = FailedGas(heat, flow, at_jets, condition.failed)
    return made


def _at_hottest(ctx: Context) -> Solver:
    from specc_fuel.network.piece_solver import Solver

    cases = ctx[CASES]
    return Solver(ctx, max(cases, key=lambda case: case.liquid.si))
