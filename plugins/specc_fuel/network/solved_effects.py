"""The network solved: pressures and flows while outlets burn, each effect alone and all of a scene together.

An effect alone gets the most gas, which is what heat, flame and gas used are computed from. All together get
the least, which is what has to be enough.
"""

from __future__ import annotations

from collections.abc import Mapping

from specc import Context, Key, Worked, value
from specc.kinds.gas import CYLINDER_PRESSURE
from specc.kinds.plumbing import NETWORK, REACHES
from specc.kinds.show import EFFECTS, TIMELINE, lit_at
from specc.kinds.weather import AIR_PRESSURE
from specc.model.values import Equation, Symbol
from specc_fuel.keys import JET_AREA
from specc_fuel.network.burning import NETWORK_SOLVED, Burning
from specc_fuel.network.from_plumbing import PIECES

SOLVED = Equation(
    forms=(("", "~ read from the network as solved, N"),),
    symbols=(
        Symbol("p", "gauge_pressure", "pressure there"),
        Symbol("w", "mass_flow", "gas that passes there"),
        Symbol("N", "ratio", "the network as solved, and what it leaves over"),
    ),
    citations=NETWORK_SOLVED.citations,
    validity=NETWORK_SOLVED.validity,
)


ALONE: Key[Mapping[str, Burning]] = Key("fuel.alone", dict)
"""By outlet: its effect burning alone, in the weather case."""

TOGETHER: Key[Mapping[str, Burning]] = Key("fuel.together", dict)
"""By scene: all that is lit at once in it, with the pilots, at the time when most outlets are."""


FLOW_NEEDS = (NETWORK, PIECES, REACHES, EFFECTS, CYLINDER_PRESSURE, AIR_PRESSURE, JET_AREA)


def _fed(ctx: Context) -> set[str]:
    """Outlets that gas reaches and whose jets are known."""
    areas = ctx[JET_AREA]
    return {r.outlet for r in ctx[REACHES] if r.outlet in areas}


@value(ALONE, needs=FLOW_NEEDS, per_case=True, limits=("fuel.lock_up",))
def alone(ctx: Context) -> Mapping[str, Burning]:
    """Outlets of one effect that burn from different accumulators, or of no effect, are taken one by one."""
    from specc_fuel.network.piece_solver import Solver

    solver, fed = Solver(ctx), _fed(ctx)
    groups = [tuple(t for t in e.outlets if t in fed) for e in ctx[EFFECTS]]
    grouped = {t for group in groups for t in group}
    groups += [(tag,) for tag in sorted(fed - grouped)]
    made: dict[str, Burning] = {}
    for group in groups:
        apart = [(t,) for t in group] if any(solver.stores.of(t) for t in group) else [group]
        for lit in apart:
            if lit:
                burning = solver.burning(
                    lit, f"{', '.join(lit[:3])} burn" + ("s" if len(lit) == 1 else ""), stored=len(lit) == 1
                )
                made.update(dict.fromkeys(lit, burning))
    return {r.outlet: made[r.outlet] for r in ctx[REACHES] if r.outlet in made}


@value(TOGETHER, needs=(*FLOW_NEEDS, ALONE, TIMELINE), per_case=True, limits=("fuel.lock_up",))
def together(ctx: Context) -> Mapping[str, Burning]:
    from specc_fuel.network.piece_solver import Solver

    _ = ctx[ALONE]  # what stops one effect is reported there, once
    solver, fed = Solver(ctx), _fed(ctx)
    outlets = {e.tag: e.outlets for e in ctx[EFFECTS]}
    pilots = [p.tag for p in ctx[NETWORK].of_kind("pilot") if p.tag in fed]
    made = {}
    for stretch in ctx[TIMELINE].stretches:
        lit = [one for one in ctx[TIMELINE].lit if one.scene == stretch.scene]
        most: tuple[str, ...] = ()
        for burning in lit_at(lit, sorted({one.starts for one in lit})):
            tags = [t for one in burning for t in outlets.get(one.effect, ()) if t in fed]
            now = tuple(dict.fromkeys([*tags, *pilots]))
            most = max(most, now, key=len)
        if most:
            made[stretch.scene] = solver.burning(most, f"all of the scene {stretch.scene} burns")
    return made


def worked(ctx: Context, burning: Burning, si: float, dim: str, name: str) -> Worked:
    """A solved value, with the network that it was read from."""
    return Worked(si, dim, SOLVED, (("N", burning.worked),), name=name)
