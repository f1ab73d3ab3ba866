"""What a steady outlet behind an accumulator goes on burning: what its feed brings, once the store is drawn down.

At its first moment it gets what the full store pushes through its jets, which is what flame and heat are computed from.
Gas, draw and run time go by what is kept up, with what the store gives until then added each time that it is lit.
"""

from __future__ import annotations

from collections.abc import Mapping

from specc import CHOICE, Context, Equation, Key, Symbol, Worked, figures, value
from specc.kinds.gas import FLOW
from specc.kinds.plumbing import Part
from specc.kinds.show import EFFECTS
from specc.kinds.weather import AIR_PRESSURE
from specc_fuel.calc.accumulator import accumulator_content
from specc_fuel.keys import DRAWN_DOWN, KEPT_FLOW, STORE_CONTENT
from specc_fuel.network.burning import LOCK_UP, Burning
from specc_fuel.network.from_plumbing import PIECES
from specc_fuel.network.solved_effects import FLOW_NEEDS, worked

KEPT: Key[Mapping[str, Burning]] = Key("fuel.kept", dict)
"""By steady outlet that burns from an accumulator: its effect burning on what the feed brings, in the weather case."""

_GIVES = Equation(
    forms=(("", "m = m_0 - m_1"),),
    symbols=(
        Symbol("m", "mass", "gas that it gives"),
        Symbol("m_0", "mass", "gas in it at rest"),
        Symbol("m_1", "mass", "gas in it while its feed keeps up the flow"),
    ),
    citations=(CHOICE,),
    validity="an accumulator that was full when its outlet was lit, and that burns until it is drawn down",
)
_OF_ALL = Equation(
    forms=(("", "m = sum(m_i)"),),
    symbols=(Symbol("m", "mass", "gas that they give"), Symbol("m_i", "mass", "gas that each accumulator gives")),
    citations=(CHOICE,),
)


@value(KEPT, needs=(*FLOW_NEEDS, FLOW), per_case=True, limits=(LOCK_UP.key,))
def kept(ctx: Context) -> Mapping[str, Burning]:
    """An effect's outlets burn together; each pilot by itself."""
    from specc_fuel.network.piece_solver import Solver

    solver, made = Solver(ctx), {}
    groups = [e.outlets for e in ctx[EFFECTS] if e.kind == "steady"]
    groups += [(p.tag,) for p in solver.net.of_kind("pilot")]
    for group in groups:
        lit = tuple(t for t in group if t in ctx[FLOW])
        stored = [t for t in lit if solver.stores.of(t)]
        if stored:
            burning = solver.burning(lit, f"{', '.join(lit[:3])} burn on what the feed brings")
            made.update(dict.fromkeys(stored, burning))
    return made


@figures(
    KEPT_FLOW,
    title="Gas through {tag} that its feed keeps up, its store drawn down",
    unit="lb/h",
    needs=(KEPT, FLOW),
    per_case=True,
)
def kept_flows(ctx: Context) -> Mapping[str, Worked]:
    return {
        tag: worked(
            ctx,
            burning,
            min(burning.solution.flow[f"jets of {tag}"], ctx[FLOW][tag].si),
            "mass_flow",
            f"gas through {tag}, its store drawn down",
        )
        for tag, burning in ctx[KEPT].items()
    }


@figures(
    DRAWN_DOWN,
    title="Gas that the store of {tag} gives until it is drawn down",
    unit="lb",
    needs=(KEPT, STORE_CONTENT, AIR_PRESSURE, PIECES),
    per_case=True,
)
def drawn_down(ctx: Context) -> Mapping[str, Worked]:
    """By outlet: of the accumulators that give to it, which the pressure of their meeting with the line tells."""
    stores, content = ctx[PIECES].stores, ctx[STORE_CONTENT]
    made = {}
    for tag, burning in ctx[KEPT].items():
        store = stores.of(tag)
        each = (*stores.together(store), *stores.around(store).helping) if store is not None else ()
        given = tuple(_gives(ctx, p, burning, tag) for p in each if p.tag in content)
        if len(given) == 1:
            made[tag] = given[0]
        elif given:
            made[tag] = Worked(sum(w.si for w in given), "mass", _OF_ALL, (("m_i", given),), name=f"stores give {tag}")
    return made


def _gives(ctx: Context, store: Part, burning: Burning, outlet: str) -> Worked:
    """All of it, where the gas that keeps the outlet burning does not pass it."""
    air, node = ctx[AIR_PRESSURE], burning.piping.before.get(store.tag, "")
    gauge = max(burning.gauge(node, air.si), 0.0) if node else 0.0
    left = accumulator_content.work(
        f"gas in {store.tag}, drawn down",
        volume=store.spec.quantity("volume"),
        pressure=worked(ctx, burning, gauge, "gauge_pressure", f"pressure in {store.tag}, drawn down"),
        gas_temperature=ctx.case.air,
        ambient=air,
    )
    full = ctx[STORE_CONTENT][store.tag]
    inputs = (("m_0", full), ("m_1", left))
    return Worked(max(full.si - left.si, 0.0), "mass", _GIVES, inputs, name=f"{store.tag} gives {outlet}")
