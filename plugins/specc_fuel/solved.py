"""The network solved: pressures and flows while outlets burn, each effect alone and all of a scene together.

An effect alone gets the most gas, which is what heat, flame and gas used are computed from. All together get
the least, which is what has to be enough.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from specc import CHOICE, Cannot, Context, Key, Limit, Worked, value
from specc.kinds.gas import CYLINDER_PRESSURE
from specc.kinds.plumbing import FITTED, NETWORK, OUTLETS, REACHES, Fitted, Network
from specc.kinds.show import EFFECTS, TIMELINE
from specc.kinds.weather import AIR_PRESSURE
from specc.model import Citation, Equation, Input, Scalar, Symbol
from specc_fuel import network
from specc_fuel.as_built import Piping, piping
from specc_fuel.calc.sources import CHOKED, LEMMON, NOZZLE
from specc_fuel.keys import JET_AREA
from specc_fuel.network import NotSettled, Solution, Supply

LOCK_UP = Limit(
    "fuel.lock_up",
    "20 %",
    "ratio",
    "max",
    "how far above its setting a regulator is taken to stand with no flow, where its lock_up: is not stated",
    CHOICE,
)

SOLVED = Equation(
    forms=(
        (
            "",
            "~ solved: at every meeting of parts as much gas comes in as goes out; each pipe and hose loses "
            "pressure by friction (isothermal flow, Churchill), each orifice and jet passes isentropic flow from rest, "
            "each regulator holds its setting less its droop. The answer was checked by its own left-over",
        ),
    ),
    symbols=(
        Symbol("p", "gauge_pressure", "pressure there"),
        Symbol("w", "mass_flow", "gas that passes there"),
        Symbol("p_c", "gauge_pressure", "pressure of the supply"),
        Symbol("p_a", "absolute_pressure", "absolute pressure of the air"),
        Symbol("T", "temperature", "gas, as warm as the air"),
        Symbol("p_s", "gauge_pressure", "settings of the regulators"),
        Symbol("d", "length", "bores of pipes, tubes and hoses (or outsides and walls)"),
        Symbol("L", "length", "their lengths"),
        Symbol("d_o", "length", "bores of the orifices"),
        Symbol("C_o", "ratio", "their discharge coefficients"),
        Symbol("C_v", "ratio", "flow coefficients of the valves"),
        Symbol("A_j", "area", "areas of the jets"),
        Symbol("C_j", "ratio", "their discharge coefficients"),
        Symbol("e_m", "ratio", "most that comes in and does not go out, over the flow"),
        Symbol("e_p", "ratio", "most that a part misses its law by, over its pressure drop"),
    ),
    citations=(
        Citation("churchill-1977", "friction factor for all flow regimes", "memory"),
        CHOKED,
        NOZZLE,
        LEMMON,
    ),
    validity=(
        "steady flow of pure propane at one temperature; speed is not turned back into pressure. Parts whose loss "
        "nobody states are taken to lose nothing: they are listed in the table of the network"
    ),
)


class Burning(NamedTuple):
    """The network while some outlets burn, as built and as solved. `lit` are the outlets."""

    lit: tuple[str, ...]
    piping: Piping
    solution: Solution
    supply: float  # Pa gauge
    supplied: Scalar  # what `supply` comes from

    def gauge(self, node: str, air: float) -> float:
        return self.solution.pressure[node] - air


ALONE: Key[Mapping[str, Burning]] = Key("fuel.alone", dict)
"""By outlet: its effect burning alone, in the weather case."""

TOGETHER: Key[Mapping[str, Burning]] = Key("fuel.together", dict)
"""By scene: all that is lit at once in it, with the pilots, at the time when most outlets are."""


def _open_areas(ctx: Context, tags: Iterable[str]) -> Mapping[str, float]:
    """Effective jet areas: area times discharge coefficient, m2."""
    net, areas = ctx[NETWORK], ctx[JET_AREA]
    return {
        tag: areas[tag].si * net.by_tag[tag].spec.child("jets").quantity("discharge").si for tag in tags if tag in areas
    }


def accumulator_of(net: Network, outlet: str) -> str | None:
    """The nearest accumulator that an outlet burns from, if it burns from one."""
    seen, level = {outlet}, [outlet]
    while level:
        further: list[str] = []
        for tag in level:
            if net.by_tag[tag].kind == "accumulator":
                return tag
            further += [b for b in net.before.get(tag, ()) if b not in seen]
            seen.update(further)
        level = further
    return None


def _solve(made: Piping, supplies: Sequence[Supply], temperature: float, air: float, what: str, at: str) -> Solution:
    try:
        return network.solve(made.elements, supplies, network.propane(temperature), air)
    except NotSettled as e:
        raise Cannot(
            f"the pressures while {what} cannot be found: {e}", at, "a plumbing in which every part is described"
        ) from e
    except ValueError as e:
        raise Cannot(f"the pressures while {what} cannot be computed: {e}", at, "values that can be so") from e


class Solver:
    """Solves pieces of one network in one weather case, and each kind of piece once: five like reeds are one sum."""

    def __init__(self, ctx: Context) -> None:
        self.net: Network = ctx[NETWORK]
        self.fitted: Mapping[str, Fitted] = ctx[FITTED]
        self.air = ctx[AIR_PRESSURE].si
        self.temperature = ctx.case.air.si
        self.cylinders: Scalar = ctx[CYLINDER_PRESSURE]
        self.lock_up = ctx.limit(LOCK_UP.key).si
        self.areas = _open_areas(ctx, [p.tag for p in self.net.of_kind(*OUTLETS)])
        self.case = ctx.case.name
        self.known: dict[tuple[object, ...], tuple[Solution, Mapping[str, str], Mapping[str, str]]] = {}
        # The catalogue's numbers are the same for parts of one make-up; where each stands makes no difference.

    def held_pressure(self, accumulator: str) -> tuple[float, Scalar]:
        """The most that stands in an accumulator: its regulator's lock-up, or the cylinders' pressure."""
        above = [p for p in self.net.upstream(accumulator) if p.kind == "regulator"]
        if not above:
            return self.cylinders.si, self.cylinders
        locked: list[tuple[float, Scalar]] = []
        for regulator in above:
            stated, setting = regulator.spec.quantity_or_none("lock_up"), regulator.spec.quantity("set")
            locked.append((stated.si, stated) if stated is not None else (setting.si * (1 + self.lock_up), setting))
        highest = max(locked, key=lambda one: one[0])
        return highest if highest[0] <= self.cylinders.si else (self.cylinders.si, self.cylinders)

    def burning(self, lit: Sequence[str], what: str) -> Burning:
        """All `lit` outlets open at once, fed from the cylinders (or, one that bursts, from its accumulator)."""
        store = accumulator_of(self.net, lit[0]) if len(lit) == 1 else None
        within: dict[str, None] = {}
        for tag in lit:
            for part in self.net.upstream(tag):
                within[part.tag] = None
            within[tag] = None
        pressure, supplied = self.cylinders.si, self.cylinders
        starts = [p.tag for p in self.net.of_kind("cylinder") if p.tag in within]
        if store is not None:
            fed = {p.tag for p in self.net.downstream(store)}
            within = {tag: None for tag in within if tag in fed or tag == store}
            pressure, supplied = self.held_pressure(store)
            starts = [store]
        made = piping(self.net, self.fitted, {t: self.areas[t] for t in lit}, tuple(within), None, self.lock_up)
        if pressure <= 0:
            raise Cannot(
                f"no gas leaves the cylinder in the {self.case} case: the liquid is too cold to boil",
                "/weather/air",
                "warmer cylinders, or a show that does not run in such cold",
            )
        held = {made.after[tag]: None for tag in starts}
        supplies = [Supply(f"supply at {node}", node, pressure + self.air) for node in held]
        at = self.net.by_tag[lit[0]].at
        return Burning(tuple(lit), made, self._once(made, supplies, what, at), pressure, supplied)

    def filling(self, accumulator: str, gauge: float) -> tuple[Burning, float]:
        """The accumulator held at a pressure (Pa gauge) while nothing else draws, and the gas that flows into it."""
        within = [p.tag for p in self.net.upstream(accumulator)] + [accumulator]
        made = piping(self.net, self.fitted, {}, tuple(within), None, self.lock_up)
        starts = [p.tag for p in self.net.of_kind("cylinder") if p.tag in within]
        held = {made.after[tag]: self.cylinders.si for tag in starts}
        held[made.before[accumulator]] = gauge
        supplies = [Supply(f"supply at {node}", node, p + self.air) for node, p in held.items()]
        at = self.net.by_tag[accumulator].at
        if self.cylinders.si <= gauge:
            raise Cannot(
                f"{accumulator} does not fill in the {self.case} case: the cylinders stand below its setting",
                at,
                "a lower setting, or a warmer supply",
            )
        solution = self._once(made, supplies, f"{accumulator} fills", at)
        into = -solution.flow[f"supply at {made.before[accumulator]}"]
        return Burning((), made, solution, self.cylinders.si, self.cylinders), max(into, 0.0)

    def _once(self, made: Piping, supplies: Sequence[Supply], what: str, at: str) -> Solution:
        """Solve, unless a network that differs in names alone has been solved already."""
        nodes: dict[str, str] = {"": ""}

        def number(node: str) -> str:
            return nodes.setdefault(node, f"n{len(nodes):05d}")

        plain = [
            e._replace(tag=f"e{i:05d}", start=number(e.start), end=number(e.end)) for i, e in enumerate(made.elements)
        ]
        sources = [s._replace(tag=f"s{i}", node=number(s.node)) for i, s in enumerate(supplies)]
        key = (tuple((type(e).__name__, *e) for e in plain), tuple(sources))
        if key not in self.known:
            solution = _solve(made._replace(elements=tuple(plain)), sources, self.temperature, self.air, what, at)
            self.known[key] = solution, {}, {}
        solution = self.known[key][0]
        names = {short: node for node, short in nodes.items() if short}
        tags = {f"e{i:05d}": e.tag for i, e in enumerate(made.elements)}
        tags.update({f"s{i}": s.tag for i, s in enumerate(supplies)})
        return solution._replace(
            pressure={names[n]: p for n, p in solution.pressure.items()},
            flow={tags[t]: q for t, q in solution.flow.items()},
            speed={tags[t]: v for t, v in solution.speed.items()},
            mach={tags[t]: v for t, v in solution.mach.items()},
            choked=frozenset(tags[t] for t in solution.choked),
            regulators={tags[t]: s for t, s in solution.regulators.items()},
            unreached=tuple(names[n] for n in solution.unreached),
            wet=tuple(names[n] for n in solution.wet),
            under_air=tuple(tags[t] for t in solution.under_air),
        )


FLOW_NEEDS = (NETWORK, FITTED, REACHES, EFFECTS, CYLINDER_PRESSURE, AIR_PRESSURE, JET_AREA)


def _fed(ctx: Context) -> set[str]:
    """Outlets that gas reaches and whose jets are known."""
    areas = ctx[JET_AREA]
    return {r.outlet for r in ctx[REACHES] if r.outlet in areas}


@value(ALONE, needs=FLOW_NEEDS, per_case=True)
def alone(ctx: Context) -> Mapping[str, Burning]:
    """Outlets of one effect that burn from different accumulators, or of no effect, are taken one by one."""
    solver, fed = Solver(ctx), _fed(ctx)
    groups = [tuple(t for t in e.outlets if t in fed) for e in ctx[EFFECTS]]
    grouped = {t for group in groups for t in group}
    groups += [(tag,) for tag in sorted(fed - grouped)]
    made: dict[str, Burning] = {}
    for group in groups:
        apart = [(t,) for t in group] if any(accumulator_of(solver.net, t) for t in group) else [group]
        for lit in apart:
            if lit:
                burning = solver.burning(lit, f"{', '.join(lit[:3])} burn" + ("s" if len(lit) == 1 else ""))
                made.update(dict.fromkeys(lit, burning))
    return {r.outlet: made[r.outlet] for r in ctx[REACHES] if r.outlet in made}


@value(TOGETHER, needs=(*FLOW_NEEDS, TIMELINE), per_case=True)
def together(ctx: Context) -> Mapping[str, Burning]:
    solver, fed = Solver(ctx), _fed(ctx)
    outlets = {e.tag: e.outlets for e in ctx[EFFECTS]}
    pilots = [p.tag for p in ctx[NETWORK].of_kind("pilot") if p.tag in fed]
    made = {}
    for stretch in ctx[TIMELINE].stretches:
        lit = [one for one in ctx[TIMELINE].lit if one.scene == stretch.scene]
        most: tuple[str, ...] = ()
        for moment in sorted({one.starts for one in lit}):
            tags = [
                t
                for one in lit
                if one.starts <= moment < one.starts + one.lasts.si
                for t in outlets.get(one.effect, ())
                if t in fed
            ]
            now = tuple(dict.fromkeys([*tags, *pilots]))
            most = max(most, now, key=len)
        if most:
            made[stretch.scene] = solver.burning(most, f"all of the scene {stretch.scene} burns")
    return made


def worked(
    ctx: Context, burning: Burning, si: float, dim: str, name: str, regime: str = ""
) -> Worked:
    """A solved value with all that it was solved from."""
    areas = ctx[JET_AREA]
    net = ctx[NETWORK]
    inputs: list[tuple[str, Input]] = []
    inputs.append(("p_c", burning.supplied))
    inputs += [("p_a", ctx[AIR_PRESSURE]), ("T", ctx.case.air), *burning.piping.used.items()]
    if burning.lit:
        inputs.append(("A_j", tuple(areas[t] for t in burning.lit)))
        inputs.append(("C_j", tuple(net.by_tag[t].spec.child("jets").quantity("discharge") for t in burning.lit)))
    solution = burning.solution
    also = (("e_m", solution.residual_mass), ("e_p", solution.residual_loop))
    return Worked(si, dim, SOLVED, tuple(inputs), regime, "", also, name)


PASSES = (LOCK_UP, alone, together)
