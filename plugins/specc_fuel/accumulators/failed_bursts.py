"""A burst that is fired while a regulator has failed open: the first flow of the network as it stands then.

Its accumulator stands at the highest pressure of its zone with a regulator open, as in the table of zones: what comes
to it, or what a relief valve lets stand that guards it and passes all of that. It is the most gas of all, as the valve
opens; the burst goes on with less. Where gas as cold as the air would turn liquid at that pressure, the flow is that of
vapor as warm as it has to be, and what collects as liquid is not computed: it comes on top.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, NamedTuple

from specc import Cannot, Context, Equation, Symbol, Worked, show, value
from specc.kinds.gas import CYLINDER_PRESSURE, FAILED_BURSTS, FAILED_OPEN_GAS, FailedBurst
from specc.kinds.plumbing import NETWORK, OPEN, SUPPLY, ZONE_PRESSURE, ZONES, Part, zone_tag
from specc.kinds.show import EFFECTS
from specc.kinds.weather import AIR_PRESSURE, CASES
from specc.model.values import Case, Scalar
from specc_fuel.calc import propane
from specc_fuel.keys import JET_AREA
from specc_fuel.network.burning import NETWORK_SOLVED
from specc_fuel.network.from_plumbing import PIECES
from specc_fuel.network.solved_effects import worked
from specc_fuel.outlets.relief import RELIEVED
from specc_fuel.outlets.zone_pressure import relieved_to

if TYPE_CHECKING:
    from specc_fuel.network.piece_solver import Solver

_BOILS = Equation(
    forms=(("", "~ the larger of T_a and the temperature at which pure propane's vapor pressure is p gauge"),),
    symbols=(
        Symbol("T", "temperature", "gas"),
        Symbol("T_a", "temperature", "air"),
        Symbol("p", "gauge_pressure", "pressure of what is stored"),
        Symbol("p_a", "absolute_pressure", "absolute pressure of the air"),
    ),
    citations=(propane.VAPOR_PRESSURE.citations[0],),
)
_JUST_GAS = 0.1  # K above boiling


class _Stored(NamedTuple):
    """What stands in the accumulators on the way to an outlet, by tag, and how warm the gas is taken."""

    held: Mapping[str, Scalar]
    gas: Scalar
    liquid: str


@value(
    FAILED_BURSTS,
    needs=(NETWORK, PIECES, ZONES, EFFECTS, ZONE_PRESSURE, CYLINDER_PRESSURE, AIR_PRESSURE, JET_AREA, CASES),
    wants=(FAILED_OPEN_GAS, RELIEVED),
    limits=("fuel.lock_up", "fuel.relief_accumulation"),
    recalls=tuple(c for c in NETWORK_SOLVED.citations if c.basis == "memory"),
)
def failed_bursts(ctx: Context) -> Mapping[str, FailedBurst]:
    """Of an outlet that burns from no accumulator what its open regulator gives: nothing is stored for it."""
    steady = ctx.get(FAILED_OPEN_GAS) or {}
    bursts = [t for e in ctx[EFFECTS] if e.kind == "burst" for t in e.outlets if t in ctx[JET_AREA]]
    solvers: list[tuple[Solver, Case]] = []
    made = {}
    for outlet in dict.fromkeys(bursts):
        if ctx[PIECES].stores.of(outlet) is None:
            if (gas := steady.get(outlet)) is not None and gas.regulator:
                made[outlet] = FailedBurst(gas.regulator, gas.flow, gas.pressure)
            continue
        solvers = solvers or list(_solvers(ctx))
        try:
            tried = [one for solver, case in solvers for one in _of(ctx, solver, case, outlet)]
        except Cannot:
            continue  # what stops it is reported where nothing has failed
        if tried:
            liquid = next((t.liquid for t in tried if t.liquid), "")
            made[outlet] = max(tried, key=lambda t: t.flow.si)._replace(liquid=liquid)
    return made


def _solvers(ctx: Context) -> Iterator[tuple[Solver, Case]]:
    from specc_fuel.network.piece_solver import Solver

    for case in ctx[CASES]:
        solver = Solver(ctx, case)
        solver.cylinders = ctx.all(CYLINDER_PRESSURE)[case.name]
        yield solver, case


def _of(ctx: Context, solver: Solver, case: Case, outlet: str) -> Iterator[FailedBurst]:
    """Each regulator on its way open in turn, in one weather case."""
    from specc_fuel.network.piece_solver import Condition

    net = ctx[NETWORK]
    _, starts = solver.feeding([outlet], True)
    stores = [net.by_tag[t] for t in starts if net.by_tag[t].kind == "accumulator"]
    supply = _in_case(ctx, zone_tag(SUPPLY, "set"), case)
    for regulator in (p for p in net.upstream(outlet) if p.kind == "regulator"):
        stored = _stored(ctx, stores, regulator, case)
        if stored is None:
            raise Cannot(f"what stands ahead of {outlet} is not known when {regulator.tag} fails open")
        condition = Condition(failed=regulator.tag, cylinders=supply, gas=stored.gas, wide=True, stored=stored.held)
        words = f"{regulator.tag} failed open, {case.name} case"
        burning = solver.burning([outlet], f"{outlet} bursts, {words}", condition, stored=True)
        flow = max(burning.solution.flow[f"jets of {outlet}"], 0.0)
        ahead = max(burning.gauge(burning.piping.before[outlet], solver.air), 0.0)
        yield FailedBurst(
            regulator.tag,
            worked(ctx, burning, flow, "mass_flow", f"first flow of {outlet}, {words}"),
            worked(ctx, burning, ahead, "gauge_pressure", f"pressure at the jets of {outlet}, {words}"),
            stored.liquid,
        )


def _stored(ctx: Context, stores: list[Part], regulator: Part, case: Case) -> _Stored | None:
    """Those that it fills stand as high as their zone gets; the others as they do at rest."""
    held: dict[str, Scalar] = {}
    for store in stores:
        around = ctx[PIECES].stores.around(store.tag).sources  # gas comes against the arrows too
        if regulator not in (*around, *ctx[NETWORK].upstream(store.tag)):
            continue
        zone = ctx[ZONES][store.tag]
        highest = _in_case(ctx, zone_tag(zone, "failed_open"), case) if zone not in (SUPPLY, OPEN, "") else None
        if highest is None and zone != SUPPLY:
            return None
        if highest is not None:
            relief = (ctx.get(RELIEVED) or {}).get(zone)
            # Its zone may reach past a valve that keeps the relief valve from the rest of it.
            guarded = relief is not None and relief.keeps_up and store.tag in relief.guards
            eased = relieved_to(ctx, relief, regulator.tag) if relief is not None and guarded else highest
            held[store.tag] = min(highest, eased, key=lambda s: s.si)
    air, most = ctx[AIR_PRESSURE], max(held.values(), key=lambda s: s.si, default=None)
    if most is None or propane.vapor_pressure(case.air.si) > most.si + air.si:
        return _Stored(held, case.air, "")
    warm = propane.boiling_point(most.si + air.si) + _JUST_GAS
    inputs = (("T_a", case.air), ("p", most), ("p_a", air))
    where = next(tag for tag, one in held.items() if one is most)
    said = f"gas turns liquid in {where} at {show(most.si, 'gauge_pressure', 'psig', 3)} in air of {case.air.text}"
    return _Stored(held, Worked(warm, "temperature", _BOILS, inputs, name="gas that stays gas"), said)


def _in_case(ctx: Context, tag: str, case: Case) -> Worked | None:
    figure = ctx[ZONE_PRESSURE].get(tag)
    return next((c.worked for c in figure.cases if c.case in (case.name, "")), None) if figure else None
