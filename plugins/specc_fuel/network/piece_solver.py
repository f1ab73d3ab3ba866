"""Solves pieces of the plumbing in one weather case: outlets that burn, accumulators that fill."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from specc import Cannot, Context
from specc.kinds.gas import CYLINDER_PRESSURE
from specc.kinds.plumbing import NETWORK, OUTLETS, Network, Part
from specc.kinds.weather import AIR_PRESSURE
from specc.model.values import Case, Input, Scalar, Worked
from specc_fuel import network
from specc_fuel.keys import JET_AREA
from specc_fuel.network import CheckValve, HeldNode, Hole, NotSettled, Regulator, Solution, held_node, supply_tag
from specc_fuel.network.burning import LOCK_UP, NETWORK_SOLVED, Burning, locked_at
from specc_fuel.network.from_plumbing import PIECES, Piping
from specc_fuel.network.steps import State


def _open_areas(ctx: Context, tags: Iterable[str]) -> Mapping[str, float]:
    """Effective jet areas: area times discharge coefficient, m2."""
    net, areas = ctx[NETWORK], ctx[JET_AREA]
    return {
        tag: areas[tag].si * net.by_tag[tag].spec.child("jets").quantity("discharge").si for tag in tags if tag in areas
    }


# What a run has solved, the next on a spec that was changed elsewhere need not solve again. The answer depends on the
# parts, the supplies, gas, air and where the steps begin alone, and all of them are in the key.
_SOLVED: dict[tuple[object, ...], Solution] = {}
_MOST_KEPT = 100_000  # parts and nodes, some 25 MB
_kept = 0


def _remembered(key: tuple[object, ...], air: float, near: State | None) -> tuple[tuple[object, ...], Solution | None]:
    """The whole key of a network that is solved from a place to begin at, and the answer if it is known."""
    begun = None if near is None else (tuple(near.pressure.items()), tuple(near.flow.items()))
    whole = (key, air, begun)
    return whole, _SOLVED.get(whole)


def _remember(whole: tuple[object, ...], solved: Solution) -> None:
    global _kept
    size = len(solved.pressure) + len(solved.flow)
    _kept += size
    if _kept > _MOST_KEPT:
        _SOLVED.clear()
        _kept = size
    _SOLVED[whole] = solved


def _solve(
    made: Piping,
    supplies: Sequence[HeldNode],
    temperature: float,
    air: float,
    what: str,
    at: str,
    near: State | None = None,
) -> Solution:
    try:
        return network.solve(made.elements, supplies, network.propane(temperature), air, near)
    except NotSettled as e:
        raise Cannot(
            f"the pressures while {what} cannot be found: {e}", at, "a plumbing in which every part is described"
        ) from e
    except ValueError as e:
        raise Cannot(f"the pressures while {what} cannot be computed: {e}", at, "values that can be so") from e


class Condition(NamedTuple):
    """What is not as usual: regulators turned to other settings, one that has failed open, what is left of the jets'
    area, another pressure in the cylinders, another temperature of the gas, valves and fittings that lose nothing,
    orifices drilled to a share of their bores (by tag), accumulators that stand at another pressure (by tag)."""

    settings: Mapping[str, Scalar] = {}
    failed: str = ""
    jets_open: float = 1.0
    cylinders: Scalar | None = None
    gas: Scalar | None = None
    wide: bool = False
    drilled: Mapping[str, float] = {}
    stored: Mapping[str, Scalar] = {}


AS_SET = Condition()


class Solver:
    """Solves pieces of one network in one weather case, and each kind of piece once: five like reeds are one sum."""

    def __init__(self, ctx: Context, case: Case | None = None) -> None:
        """`case`: for a pass that is not called once a weather case, since its conditions say all that differs."""
        case = case or ctx.case
        self.net: Network = ctx[NETWORK]
        self.pieces = ctx[PIECES]
        self.stores = self.pieces.stores
        self.air_from, self.gas_from = ctx[AIR_PRESSURE], case.air
        self.air = self.air_from.si
        self.jet_areas = ctx[JET_AREA]
        self.cylinders: Scalar = ctx[CYLINDER_PRESSURE]
        self.lock_up = ctx.limit(LOCK_UP.key).si
        self.areas = _open_areas(ctx, [p.tag for p in self.net.of_kind(*OUTLETS)])
        self.case = case.name
        self.case_liquid: Scalar = case.liquid
        self.known: dict[tuple[object, ...], Solution] = {}
        self.near: dict[tuple[object, ...], State] = {}  # by the parts and how they join: what was solved last

    def held_pressure(self, accumulator: str, condition: Condition = AS_SET) -> tuple[float, Scalar]:
        """The most that stands in an accumulator: the highest lock-up of the regulators that gas comes to it from
        first, or the cylinders' pressure where it comes to it without one."""
        supply = condition.cylinders or self.cylinders
        sources = self.stores.around(accumulator).sources
        if not sources or any(p.kind == "cylinder" or p.tag == condition.failed for p in sources):
            return supply.si, supply
        locked: list[tuple[float, Scalar]] = []
        for regulator in sources:
            stated, setting = regulator.spec.quantity_or_none("lock_up"), regulator.spec.quantity("set")
            turned = condition.settings.get(regulator.tag)
            locked.append((locked_at(regulator, setting.si, self.lock_up), stated or setting))
            if turned is not None:
                locked.append((locked_at(regulator, turned.si, self.lock_up), turned))
        highest = max(locked, key=lambda one: one[0])
        return highest if highest[0] <= supply.si else (supply.si, supply)

    def feeding(self, lit: Sequence[str], stored: bool) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """The parts that gas passes on its way to the outlets, with them, and those it comes from: cylinders, and
        accumulators if what is `stored` in them counts."""

        def gives(part: Part) -> bool:
            return part.kind == "cylinder" or (stored and part.kind == "accumulator")

        met = self.net.walk(lit, self.net.before, gives)
        passed = sorted({*met, *self.stores.aside(met)}, key=self.net.place.__getitem__)
        return tuple(passed), tuple(tag for tag in passed if gives(self.net.by_tag[tag]))

    def burning(self, lit: Sequence[str], what: str, condition: Condition = AS_SET, stored: bool = False) -> Burning:
        """All `lit` outlets open at once, fed from the cylinders; from accumulators too, at rest, if `stored`."""
        within, starts = self.feeding(lit, stored)
        at = self.net.by_tag[lit[0]].at
        areas = {t: self.areas[t] * condition.jets_open for t in lit}
        made = self.pieces.piping(areas, within, condition.settings, self.lock_up, condition.wide)
        if condition.drilled:
            made = made._replace(
                elements=tuple(
                    e._replace(area=e.area * condition.drilled.get(e.tag, 1.0) ** 2) if isinstance(e, Hole) else e
                    for e in made.elements
                )
            )
        if condition.failed:
            # It holds nothing back any more, and still lets nothing run back.
            made = made._replace(
                elements=tuple(
                    CheckValve(e.tag, e.start, e.end, e.wide_open)
                    if isinstance(e, Regulator) and e.tag == condition.failed
                    else e
                    for e in made.elements
                )
            )
        cylinders = condition.cylinders or self.cylinders
        held: dict[str, tuple[float, Scalar]] = {}
        for tag in starts:
            own = (cylinders.si, cylinders)
            if self.net.by_tag[tag].kind == "accumulator":
                stands = condition.stored.get(tag)
                own = (stands.si, stands) if stands is not None else self.held_pressure(tag, condition)
            held[made.after[tag]] = own  # what shares a node is filled from the same sources, to one pressure
        pressure, supplied = max(held.values(), key=lambda one: one[0], default=(cylinders.si, cylinders))
        if pressure <= 0:
            raise Cannot(
                f"no gas leaves the cylinder in the {self.case} case: the liquid is too cold to boil",
                "/weather/air",
                "warmer cylinders, or a show that does not run in such cold",
            )
        supplies = [held_node(node, p + self.air) for node, (p, _) in held.items()]
        solution = self._once(made, supplies, what, at, condition.gas or self.gas_from)
        return self._burning(tuple(lit), made, solution, pressure, supplied, what, condition)

    def _burning(
        self,
        lit: tuple[str, ...],
        made: Piping,
        solution: Solution,
        supply: float,
        supplied: Scalar,
        what: str,
        condition: Condition = AS_SET,
    ) -> Burning:
        warm = condition.gas or self.gas_from
        inputs: list[tuple[str, Input]] = [("p_c", supplied), ("p_a", self.air_from), ("T", warm)]
        inputs += (made.used | ({"p_s": tuple(condition.settings.values())} if condition.settings else {})).items()
        if lit:
            jets = [self.net.by_tag[t].spec.child("jets") for t in lit]
            inputs.append(("A_j", tuple(self.jet_areas[t] for t in lit)))
            inputs.append(("C_j", tuple(j.quantity("discharge") for j in jets)))
        left = Worked(
            solution.residual_loop,
            "ratio",
            NETWORK_SOLVED,
            tuple(inputs),
            also=(("e_m", solution.residual_mass),),
            name=f"the network while {what}",
        )
        return Burning(lit, made, solution, supply, left)

    def as_built(self, made: Piping, supplies: Sequence[HeldNode], what: str, at: str) -> Burning:
        """A network that somebody else has put together, with gas as warm as the air, which gives the most; where some
        of it would turn liquid on the way, as warm as the liquid it comes from."""
        warm: Scalar = self.gas_from
        # Nothing in it stands higher than what feeds it.
        if network.propane(warm.si).condenses(max((s.pressure for s in supplies), default=0.0)):
            warm = self.case_liquid
        solution = self._once(made, supplies, what, at, warm)
        return self._burning((), made, solution, self.cylinders.si, self.cylinders, what, Condition(gas=warm))

    def filling(self, accumulator: str, gauge: float, helped: bool = False) -> tuple[Burning, float]:
        """The accumulators that are one with this held at a pressure (Pa gauge) while nothing else draws, and the gas
        that flows into them; `helped` by those beside them, at rest, too: without end where nothing parts them."""
        own = [p.tag for p in self.stores.together(accumulator)]
        around = self.stores.around(accumulator)
        beside = [p.tag for p in around.helping] if helped else []
        inside = {*own, *around.from_sources, *(around.from_helping if helped else ())}
        inside |= {p.tag for tag in (*own, *beside, *(p.tag for p in around.sources)) for p in self.net.upstream(tag)}
        within = tuple(sorted(inside, key=self.net.place.__getitem__))
        made = self.pieces.piping({}, within, None, self.lock_up)
        starts = [p.tag for p in self.net.of_kind("cylinder") if p.tag in inside]
        held = {made.after[tag]: self.cylinders.si for tag in starts}
        held |= {made.after[tag]: self.held_pressure(tag)[0] for tag in beside}
        nodes = dict.fromkeys((made.before[tag] for tag in own), gauge)
        supplies = [held_node(node, p + self.air) for node, p in (held | nodes).items()]
        at = self.net.by_tag[accumulator].at
        if self.cylinders.si <= gauge:
            raise Cannot(
                f"{accumulator} does not fill in the {self.case} case: the cylinders stand below its setting",
                at,
                "a lower setting, or a warmer supply",
            )
        what = f"{accumulator} fills"
        solution = self._once(made, supplies, what, at, self.gas_from)
        into = -sum(solution.flow[supply_tag(node)] for node in nodes)
        if any(made.after[tag] in nodes for tag in beside):
            into = math.inf
        return self._burning((), made, solution, self.cylinders.si, self.cylinders, what), max(into, 0.0)

    def _once(self, made: Piping, supplies: Sequence[HeldNode], what: str, at: str, warm: Scalar) -> Solution:
        """Solve, unless a network that differs in names alone has been solved already."""
        nodes: dict[str, str] = {"": ""}

        def number(node: str) -> str:
            return nodes.setdefault(node, f"n{len(nodes):05d}")

        # Made anew by place, tag, start and end first: `_replace` takes three times as long, here where it counts.
        plain = [
            type(e)._make((f"e{i:05d}", number(e.start), number(e.end), *e[3:])) for i, e in enumerate(made.elements)
        ]
        sources = [s._replace(tag=f"s{i}", node=number(s.node)) for i, s in enumerate(supplies)]
        key = (tuple((type(e).__name__, *e) for e in plain), tuple(sources), warm.si)
        if key not in self.known:
            shape = tuple((type(e).__name__, e.start, e.end) for e in plain)
            near = self.near.get(shape)
            whole, solved = _remembered(key, self.air, near)
            if solved is None:
                numbered = made._replace(elements=tuple(plain))
                solved = _solve(numbered, sources, warm.si, self.air, what, at, near)
                _remember(whole, solved)
            self.known[key] = solved
            self.near[shape] = State(solved.pressure, solved.flow)
        solution = self.known[key]
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
