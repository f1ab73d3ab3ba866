"""What an accumulator has while it bursts empty: what fills it meanwhile, solved at several pressures in it, and what
stands in the lines that are open to it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import pairwise
from typing import NamedTuple

from specc import Context, Equation, Key, Quantity, Symbol, Worked, value
from specc.kinds.gas import CYLINDER_PRESSURE
from specc.kinds.plumbing import FITTED, LINES, NETWORK, OUTLETS, walked
from specc.kinds.show import EFFECTS, TIMELINE
from specc.kinds.weather import AIR_PRESSURE
from specc.model.values import Scalar
from specc_fuel.accumulators.fed import FED_ACCUMULATORS, NEARLY
from specc_fuel.calc import nozzle
from specc_fuel.calc.sources import CHOKED, NOZZLE
from specc_fuel.faults.shut_in import inside_of
from specc_fuel.keys import JET_AREA, STORE_PRESSURE
from specc_fuel.network.burning import NETWORK_SOLVED
from specc_fuel.network.from_plumbing import PIECES
from specc_fuel.network.solved_effects import ALONE, worked

AREA = Equation(
    forms=(("", "~ the one hole, from rest to what stands behind it, that passes w at p and T, as in area-flow"),),
    symbols=(
        Symbol("A", "area", "effective area"),
        Symbol("w", "mass_flow", "flow of the network as solved"),
        Symbol("p", "gauge_pressure", "pressure ahead"),
        Symbol("T", "temperature", "gas temperature"),
        Symbol("p_a", "absolute_pressure", "air"),
    ),
    citations=(CHOKED, NOZZLE),
    validity="exact at that pressure; of a way with pipes in it, more than it passes at a lower one",
)


class Feeding(NamedTuple):
    """A feed as one hole from `supply`, Pa gauge: an area for each quarter of that which stands in the accumulator."""

    supply: Scalar
    areas: tuple[Worked, ...]
    lines: tuple[Scalar, ...]  # the inside of lines that empty with it


FEEDINGS: Key[Mapping[str, Feeding]] = Key("fuel.feedings", dict)
"""By accumulator that bursts empty: what fills it meanwhile; those beside it count as at rest."""
_QUARTERS = (0.0, 0.25, 0.5, 0.75, NEARLY)


def bursting(ctx: Context) -> Mapping[str, tuple[str, Quantity]]:
    """By outlet of a burst effect that burns from an accumulator: the accumulator, and its longest open time."""
    longest: dict[str, Quantity] = {}
    for shot in ctx[TIMELINE].shots:
        if shot.effect not in longest or shot.open.si > longest[shot.effect].si:
            longest[shot.effect] = shot.open
    made = {}
    for effect in ctx[EFFECTS]:
        if effect.tag in longest:
            for outlet in effect.outlets:
                store = ctx[PIECES].stores.of(outlet) if outlet in ctx[ALONE] else None
                if store is not None and store in ctx[FED_ACCUMULATORS]:
                    made[outlet] = (store, longest[effect.tag])
    return made


@value(
    FEEDINGS,
    needs=(FED_ACCUMULATORS, STORE_PRESSURE, NETWORK, FITTED, PIECES, CYLINDER_PRESSURE, AIR_PRESSURE, JET_AREA, ALONE,
           EFFECTS, TIMELINE),
    per_case=True,
    limits=("fuel.lock_up",),
    recalls=tuple(c for c in NETWORK_SOLVED.citations if c.basis == "memory"),
)  # fmt: skip
def feedings(ctx: Context) -> Mapping[str, Feeding]:
    from specc_fuel.network.piece_solver import Solver

    solver, air, warm = Solver(ctx), ctx[AIR_PRESSURE], ctx.case.air
    made = {}
    for store in dict.fromkeys(store for store, _ in bursting(ctx).values()):
        fed = ctx[FED_ACCUMULATORS][store]
        held = (ctx[STORE_PRESSURE][p.tag] for p in fed.beside if p.tag in ctx[STORE_PRESSURE])
        supply = max((fed.setting, *held), key=lambda p: p.si)
        gas = nozzle.propane_at(supply.si + air.si, warm.si)
        found = []
        for share in _QUARTERS:
            burning, flow = solver.filling(store, share * supply.si, helped=bool(fed.beside))
            into = worked(ctx, burning, flow, "mass_flow", f"gas into {store}, {share:.0%} full")
            area = flow / nozzle.flux(supply.si + air.si, (1 - share) * supply.si, gas.rho, gas.k)
            inputs = (("w", into), ("p", supply), ("T", warm), ("p_a", air))
            found.append(Worked(area, "area", AREA, inputs, name=f"{store} {share:.0%} full"))
        # Of each quarter's two ends the larger: a hose fills a nearly full vessel more slowly than one hole would.
        areas = tuple(max(pair, key=lambda one: one.si) for pair in pairwise(found))
        made[store] = Feeding(supply, areas, _lines(ctx, [p.tag for p in (*fed.together, *fed.beside)]))
    return made


def _lines(ctx: Context, stores: Iterable[str]) -> tuple[Scalar, ...]:
    """Up to what fills them and to the valve that holds the burst back, as if nothing were between: more, never less.
    What fittings and valves hold is little."""
    net = ctx[NETWORK]

    def beside(tag: str) -> list[str]:
        part = net.by_tag[tag]
        if part.kind in ("regulator", "cylinder", "orifice", *OUTLETS) or part.form in ("solenoid", "relief"):
            return []
        behind = () if part.form == "check" else net.after.get(tag, ())
        return [*net.before.get(tag, ()), *(t for t in behind if net.by_tag[t].form != "check")]

    met = walked({}, stores, beside, "")
    parts = (p for p in net.parts if p.tag in met and (p.kind in LINES or p.form == "manifold"))
    volumes = (inside_of(ctx[FITTED][p.tag]) for p in parts)
    return tuple(v for v in volumes if v is not None)
