"""What each fault lets out, solved in the network as it is then: in each weather case, the cylinders held at their
pressure, everything open that nobody has closed, and no gas drawn by what the fault does not open.

A break is a hole as wide as the bore there, without any loss of its own. All of this gives more gas than will come.
Where no bore is said there is no figure, unless what is ahead of it holds the gas back whatever the bore: that of any
other hole would be read as that of this one.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from specc import Cannot, Context, gather
from specc.kinds.faults import CLOSING_ORDER, CLOSING_TIMES, FAULTS, RELEASES, WAYS, Fault, GasWay, Release
from specc.kinds.gas import CYLINDER_PRESSURE
from specc.kinds.packet import MODEL_LIMITS
from specc.kinds.plumbing import NETWORK, OUTLETS, Network, walked
from specc.kinds.weather import AIR_PRESSURE, CASES
from specc.model.blocks import ModelLimit
from specc.model.values import CHOICE, Citation, Constant, Quantity, Scalar
from specc.model.view import Unreadable
from specc.model.wording import several
from specc_fuel.accumulators.bursts import REACTION
from specc_fuel.calc.accumulator import released_gas, stuck_open_gas
from specc_fuel.calc.cylinder import gas_on_site
from specc_fuel.calc.fittings import area_of_kv, kv_of_cv
from specc_fuel.calc.heat import net_heat
from specc_fuel.calc.pipe import DRAWN_TUBE
from specc_fuel.keys import JET_AREA, STORE_CONTENT
from specc_fuel.network import AIR, CheckValve, Element, Hole, Regulator, held_node
from specc_fuel.network.burning import Burning
from specc_fuel.network.from_plumbing import PIECES, Piping, bore_of, cut_open
from specc_fuel.network.solved_effects import worked

if TYPE_CHECKING:
    from specc_fuel.network.piece_solver import Solver

FIVE_MINUTES = Constant(300.0, "duration", "5 min", CHOICE)
_NO_GAS = Constant(0.0, "mass", "0 lb", CHOICE)
# What nobody says the bore of is tried wide and narrow: where that changes the gas by more than this share, it counts.
_WIDE, _NARROW, _NARROW_SEAT = (math.pi * (bore * 0.0254) ** 2 / 4 for bore in (3 / 4, 1 / 8, 1 / 16))
_LITTLE = 0.05
_WIDER = (1.0, 1.02, 1.1)


class _Failed(NamedTuple):
    """The network under a fault. `nodes`: by place and side, the node at which gas comes out there."""

    within: tuple[str, ...]
    made: Piping
    nodes: Mapping[tuple[str, str], str]


@gather(
    RELEASES,
    needs=(NETWORK, PIECES, FAULTS, WAYS, CYLINDER_PRESSURE, AIR_PRESSURE, JET_AREA, CASES),
    wants=(STORE_CONTENT, CLOSING_TIMES, CLOSING_ORDER),
    limits=("fuel.lock_up", "fuel.reaction_time"),
    recalls=(DRAWN_TUBE.citation,),
)
def releases(ctx: Context) -> Sequence[Release]:
    """For each place that gas comes out of while nobody acts. One that cannot be solved says why."""
    ways = ctx[WAYS]
    return let_out_by(ctx, ways)


def let_out_by(ctx: Context, listed: Iterable[GasWay]) -> Sequence[Release]:
    from specc_fuel.network.piece_solver import Solver

    cases, pressures = ctx[CASES], ctx.all(CYLINDER_PRESSURE)
    solvers: list[Solver] = []
    for case in cases:
        solver = Solver(ctx, case)
        solver.cylinders = pressures[case.name]
        if solvers:
            solver.near = solvers[0].near
        solvers.append(solver)
    open_ways: dict[str, list[GasWay]] = defaultdict(list)
    for way in listed:
        if way.sources:
            open_ways[way.fault].append(way)
    made: list[Release] = []
    for fault in ctx[FAULTS]:
        ways = open_ways.get(fault.key, [])
        if not ways:
            continue
        made += _worst([_tried(ctx, solver, fault, ways) for solver in solvers])
    return [r._replace(order=n) for n, r in enumerate(made)]


def _tried(ctx: Context, solver: Solver, fault: Fault, ways: Sequence[GasWay]) -> list[Release]:
    try:
        return list(_of_fault(ctx, solver, fault, ways))
    except Cannot as e:
        why = e.message
    except (Unreadable, ValueError):
        why = "a value it needs is refused"
    return [Release(fault.key, w.where, solver.case, None, why=why) for w in ways]


def _worst(by_case: Sequence[Sequence[Release]]) -> Sequence[Release]:
    """The weather case that lets out most, all places of a fault together; one that could not be solved counts more
    than any: what is not known is not small. Cold gas is denser, warm cylinders push harder: either may be worst."""

    def total(releases: Sequence[Release]) -> float:
        return sum(r.flow.si if r.flow else float("inf") for r in releases)

    return max(by_case, key=total)


def _of_fault(ctx: Context, solver: Solver, fault: Fault, ways: Sequence[GasWay]) -> Iterator[Release]:
    vents = _vents(solver, ways)
    burning, held_shut = solved_break(solver, fault, ways)
    net = ctx[NETWORK]
    for way in ways:
        if way in held_shut:
            continue
        outlet = not way.side and way not in vents
        tag = f"jets of {way.where}" if outlet else _hole(way)
        if tag not in burning.solution.flow:
            yield Release(fault.key, way.where, solver.case, None, why="its jets or bore are not known")
            continue
        flow = worked(ctx, burning, max(burning.solution.flow[tag], 0.0), "mass_flow", f"gas at {way.where}")
        heat = net_heat.work(f"heat at {way.where}", flow=flow) if outlet else None
        reaction = _until_closed(ctx, fault, way)
        stored = ctx.get(STORE_CONTENT) or {}
        stores = [s for s in way.sources if net.by_tag[s].kind == "accumulator"]
        if unknown := [s for s in stores if s not in stored]:
            yield Release(fault.key, way.where, solver.case, None, why=f"what {several(unknown)} holds is not known")
            continue
        contents: list[Scalar] = [stored[s] for s in stores]
        cylinders = [net.by_tag[s].spec.quantity("capacity") for s in way.sources if net.by_tag[s].kind == "cylinder"]
        yield Release(
            fault.key,
            way.where,
            solver.case,
            flow,
            heat,
            reaction,
            _mass(contents, flow, reaction, cylinders),
            _mass(contents, flow, FIVE_MINUTES, cylinders),
            outlet,
            pressure=_at_jets(ctx, solver, burning, way.where) if outlet else None,
        )


def _at_jets(ctx: Context, solver: Solver, burning: Burning, outlet: str) -> Scalar:
    ahead = burning.gauge(burning.piping.before[outlet], solver.air)
    return worked(ctx, burning, max(ahead, 0.0), "gauge_pressure", f"pressure at the jets of {outlet}")


def _vents(solver: Solver, ways: Sequence[GasWay]) -> list[GasWay]:
    """Relief valves, and whatever else lets gas out into the open."""
    return [w for w in ways if solver.net.by_tag[w.where].kind not in OUTLETS and not w.side]


def solved_break(solver: Solver, fault: Fault, ways: Sequence[GasWay]) -> tuple[Burning, list[GasWay]]:
    """The network under a fault with all that is open then, and the ways past relief valves that stay shut."""
    state, vents = _state(solver, fault, ways), _vents(solver, ways)
    reliefs = [w for w in vents if solver.net.by_tag[w.where].form == "relief"]
    held_shut = [w for w in reliefs if fault.state == "failed_open" and not _opens(solver, w)]
    out = [w for w in ways if (w.side or w in vents) and w not in held_shut]
    areas = {_hole(w): _area(solver, fault, w) for w in out}
    holes = [Hole(_hole(w), state.nodes[w.where, w.side], AIR, areas[_hole(w)] or _WIDE) for w in out]
    burning = _solved(solver, fault, state, holes)
    # What burns as in use is what its regulator gives; at a break or past one that has failed it stands wide open.
    wide_open = fault.state in ("parted", "failed_open") or bool(vents)
    unsaid = [
        *(f"how wide {several(_comes_apart(solver, fault, w))} is inside (bore:)" for w in out if not areas[_hole(w)]),
        *(f"how much {tag} passes wide open (seat:)" for tag in _seatless(solver, state.made) if wide_open),
    ]
    if unsaid:
        narrow = [h if areas[h.tag] else h._replace(area=_NARROW) for h in holes]
        least = _solved(solver, fault, state._replace(made=_narrow_seats(solver, state.made)), narrow)
        flows = [sum(b.solution.flow.get(t, 0.0) for t in _outs(ways)) for b in (burning, least)]
        if flows[1] < (1 - _LITTLE) * flows[0]:
            raise Cannot(f"not computed: it is not said {' and '.join(unsaid)}")
    return burning, held_shut


def _outs(ways: Iterable[GasWay]) -> Iterator[str]:
    for way in ways:
        yield from (f"jets of {way.where}", _hole(way))


def _seatless(solver: Solver, made: Piping) -> list[str]:
    parts = [solver.net.by_tag[e.tag] for e in made.elements if e.tag in solver.net.by_tag]
    return [p.tag for p in parts if p.kind == "regulator" and not p.spec.has("seat")]


def _narrow_seats(solver: Solver, made: Piping) -> Piping:
    lacking = _seatless(solver, made)
    elements: list[Element] = []
    for e in made.elements:
        if e.tag in lacking and isinstance(e, Regulator):
            elements.append(e._replace(wide_open=_NARROW_SEAT))
        elif e.tag in lacking and isinstance(e, CheckValve):  # failed open
            elements.append(e._replace(area=_NARROW_SEAT))
        else:
            elements.append(e)
    return made._replace(elements=tuple(elements))


def _keeps_lit(net: Network, fault: Fault, way: GasWay, pilots: Sequence[str]) -> bool:
    """Whether what is closed by hand takes a pilot's gas that the fault left it: a hose that parted keeps none lit, and
    another cylinder may."""
    gone = set(fault.tags) if fault.state == "parted" and len(fault.tags) == 1 else set()

    def fed(pilot: str, closed: Collection[str]) -> bool:
        above = net.walk((pilot,), net.before, lambda p: p.tag in gone or p.tag in closed)
        return any(net.by_tag[t].kind == "cylinder" and t not in closed for t in above)

    return any(fed(pilot, ()) and not fed(pilot, way.by_hand) for pilot in pilots)


def _until_closed(ctx: Context, fault: Fault, way: GasWay) -> Quantity | Constant:
    """Until somebody has noticed and closed: the limit, and where the roster has posts the walk to the farthest closure
    that is needed, each from the nearest post at which somebody still is; and what waits for a burst that may blow just
    then waits as long as the emergency lets it. Where the roster has posts and none of them gets to a closure that is
    needed, five minutes: nobody is known to close it."""
    reaction = ctx.limit(REACTION.key)
    gone = fault.name if fault.state == "operator_gone" else ""
    walks = [
        min((c.time.si for c in ctx[CLOSING_TIMES] if c.time and c.valve == tag and c.post != gone), default=math.inf)
        for tag in way.by_hand
    ]
    if ctx[CLOSING_TIMES] and not all(map(math.isfinite, walks)):
        return FIVE_MINUTES
    waits = {
        c.tag: c.at_most.si for c in ctx[CLOSING_ORDER]
        if c.procedure == "emergency" and c.at_most and _keeps_lit(ctx[NETWORK], fault, way, c.feeds)
    }  # fmt: skip
    each = zip(way.by_hand, walks, strict=True)
    farthest = max((waits.get(tag, 0.0) + (w if math.isfinite(w) else 0.0) for tag, w in each), default=0.0)
    if farthest <= 0:
        return reaction
    seconds = reaction.si + farthest
    return Constant(seconds, "duration", f"{seconds:.3g} s", Citation(basis="declared") if reaction.at else CHOICE)


def _mass(contents: Sequence[Scalar], flow: Scalar, time: Quantity | Constant, cylinders: Sequence[Quantity]) -> Scalar:
    """Every store that feeds it counts whole. Where no cylinder does, nobody says what holds the flow back."""
    if cylinders:
        return released_gas.work(
            "gas let out", contents=tuple(contents), flow=flow, time=time, cylinders=tuple(cylinders)
        )
    content = gas_on_site.work("gas in the stores", contents=tuple(contents)) if contents else _NO_GAS
    return stuck_open_gas.work("gas let out", content=content, feed_flow=flow, reaction_time=time)


def _hole(way: GasWay) -> str:
    return f"break at {way.where} {way.side}".rstrip()


def _state(solver: Solver, fault: Fault, ways: Sequence[GasWay]) -> _Failed:
    net, cut, shut = solver.net, set(ways[0].cut), set(ways[0].shut)
    gone = set(fault.tags) if fault.state == "parted" and len(fault.tags) == 1 else set()
    if cut:
        net = net._replace(after={a: tuple(b for b in to if (a, b) not in cut) for a, to in net.after.items()})
    within = _joined(net, ways, shut | gone, cut)
    lit = {w.where for w in ways if not w.side and net.by_tag[w.where].kind in OUTLETS}
    areas = {tag: area for tag, area in solver.areas.items() if tag in lit}
    # Cut open, it is another plumbing: nothing of what was put together before holds for it.
    pieces = cut_open(solver.pieces, net, frozenset(cut)) if cut else solver.pieces
    made = pieces.piping(areas, tuple(within), None, solver.lock_up)
    if fault.state == "failed_open":
        opened = tuple(
            CheckValve(e.tag, e.start, e.end, e.wide_open) if isinstance(e, Regulator) and e.tag in fault.tags else e
            for e in made.elements
        )
        made = made._replace(elements=opened)
    nodes: dict[tuple[str, str], str] = {}
    for way in ways:
        # An end that stands open lets out what comes to its inlet.
        beside = (solver.net.after if way.side == "out" else solver.net.before).get(way.where, ())
        near = next((t for t in beside if t in within), "")
        if way.where in made.before:
            nodes[way.where, way.side] = (made.after if way.side == "out" else made.before)[way.where]
        elif near:
            nodes[way.where, way.side] = (made.before if way.side == "out" else made.after)[near]
        else:
            raise Cannot(f"{way.where} joins nothing that gas stands in")
    return _Failed(within, made, nodes)


def _joined(net: Network, ways: Iterable[GasWay], without: set[str], cut: set[tuple[str, str]]) -> tuple[str, ...]:
    """All parts that are joined to where gas comes out, past no closed valve."""
    starts = {w.where for w in ways}

    def beside(here: str) -> list[str]:
        if here in without and here not in starts:
            return []
        both = (*net.after.get(here, ()), *net.before.get(here, ()))
        return [there for there in both if (here, there) not in cut and (there, here) not in cut]

    return tuple(sorted(walked({}, starts, beside, "").keys() - without, key=net.place.__getitem__))


def _solved(solver: Solver, fault: Fault, state: _Failed, holes: Sequence[Hole]) -> Burning:
    """A break that stands so near to a wide part that the steps do not settle is taken a little wider."""
    for wider in _WIDER[:-1]:
        try:
            return _solved_once(solver, fault, state, [h._replace(area=h.area * wider) for h in holes])
        except Cannot:
            continue
    return _solved_once(solver, fault, state, [h._replace(area=h.area * _WIDER[-1]) for h in holes])


def _solved_once(solver: Solver, fault: Fault, state: _Failed, holes: Sequence[Hole]) -> Burning:
    made = state.made._replace(elements=(*state.made.elements, *holes))
    cylinders = [t for t in state.within if solver.net.by_tag[t].kind == "cylinder"]
    nodes = dict.fromkeys(made.after[t] for t in cylinders)
    supplies = [held_node(node, solver.cylinders.si + solver.air) for node in nodes]
    return solver.as_built(made, supplies, f"{fault.what}", fault.at)


def _opens(solver: Solver, way: GasWay) -> bool:
    """Whether a relief valve opens: with nothing drawn, the pressure at it is above that at which it does. One that
    does not say at which is taken to open."""
    opens = solver.net.by_tag[way.where].spec.quantity_or_none("opens")
    return opens is None or solver.cylinders.si > opens.si


def _comes_apart(solver: Solver, fault: Fault, way: GasWay) -> list[str]:
    """Whose bore counts at a break or a valve into the open. That of an orifice, or of jets, is none of its joint's:
    what they hold back is in the network already."""
    tags = fault.tags if fault.state == "parted" else (way.where,)
    return [t for t in tags if solver.net.by_tag[t].kind not in ("orifice", *OUTLETS)] or list(tags)


def _area(solver: Solver, fault: Fault, way: GasWay) -> float | None:
    """Of a break: the larger bore of the parts that come apart there. Of a valve into the open what its Cv says, or its
    bore. None where nobody says."""
    tags = _comes_apart(solver, fault, way)
    cv = solver.net.by_tag[tags[0]].spec.quantity_or_none("cv") if fault.state != "parted" else None
    if cv is not None:
        return area_of_kv(kv_of_cv(cv.si))
    parts = [p for p in map(solver.net.by_tag.__getitem__, tags) if p.kind not in ("orifice", *OUTLETS)]
    bores = [bore.si for p in parts if (bore := bore_of(solver.pieces.fitted[p.tag])) is not None]
    return math.pi * max(bores) ** 2 / 4 if bores else None


@gather(MODEL_LIMITS)
def limits(ctx: Context) -> Sequence[ModelLimit]:
    return [
        ModelLimit(
            58,
            "Gas let out by a fault",
            "One failure at a time. Cylinders are held at their pressure; as they boil they cool and give less. A "
            "break is a clean hole of the wider bore that is known there. Where no bore is known, or no seat of a "
            "regulator, and that makes a difference, the gas is not computed. Regulators give what they are set to; "
            "what lines hold is not added. Liquid from a cylinder that has fallen over is many times more and is not "
            "computed. What an excess-flow device holds back is not taken off.",
        )
    ]
