"""Whether an excess-flow device closes where something parts, and stays open for what is drawn in use.

It counts only where the flow at the break reaches its closing flow with a margin when the cylinders are coldest and as
far down as the show draws them, and where what is drawn in use, an accumulator that fills included, stays as far below
it. A small break, one behind a small seat or orifice, and one in the cold passes less than a large flame: no device
tells them apart.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from specc import CHOICE, Cannot, Context, Limit, Trouble, Unchecked, Verdict, answers_of, rule, show, value
from specc.kinds.faults import (
    CLOSING_ORDER,
    CLOSING_TIMES,
    DEVICE_WAYS,
    EXCESS_FLOW,
    FAULTS,
    WAYS,
    ExcessFlow,
    Fault,
    GasWay,
    Release,
)
from specc.kinds.gas import CYLINDER_PRESSURE
from specc.kinds.plumbing import NETWORK, Network, Part
from specc.kinds.weather import AIR_PRESSURE, CASES
from specc.model.passes import each
from specc.model.view import Unreadable, join
from specc.model.wording import counted
from specc_fuel.accumulators.fed import FED_ACCUMULATORS
from specc_fuel.calc.heat import gross_heating_value
from specc_fuel.calc.pipe import DRAWN_TUBE
from specc_fuel.faults.releases import let_out_by, solved_break
from specc_fuel.keys import JET_AREA, STORE_CONTENT, SUPPLY_LOWEST
from specc_fuel.network import supply_tag
from specc_fuel.network.from_plumbing import PIECES
from specc_fuel.network.solved_effects import ALONE, TOGETHER

if TYPE_CHECKING:
    from specc_fuel.network.burning import Burning
    from specc_fuel.network.piece_solver import Solver

MARGIN = Limit(
    "fuel.excess_flow_margin",
    "20 %",
    "ratio",
    "max",
    "how far the flow at a break stands above the closing flow of an excess-flow device that counts, and that above "
    "what is drawn in use",
    CHOICE,
)


def valves(net: Network) -> tuple[Part, ...]:
    return tuple(v for v in net.of_kind("valve") if v.form == "excess_flow" and net.before.get(v.tag))


def closing_flow(device: Part) -> float | None:
    """kg/s; None where it is not stated."""
    stated = device.spec.quantity_or_none("connection_flow" if device.kind == "cylinder" else "closing_flow")
    return stated.si / gross_heating_value() if stated is not None else None


def _through(burning: Burning, device: Part) -> float | None:
    """What passes a device; None where that is not told apart: nobody says what it loses, or cylinders share a node."""
    if device.kind != "cylinder":
        return burning.solution.flow.get(device.tag)
    node = burning.piping.after.get(device.tag)
    return burning.solution.flow.get(supply_tag(node)) if node is not None else None


def _in_use(ctx: Context, device: Part) -> float:
    """The most that is drawn through a device in use, kg/s: a scene with every accumulator filling from empty."""
    most = 0.0
    for case in (c.name for c in ctx[CASES]):
        solved = [b for key in (TOGETHER, ALONE) for b in ctx.all(key)[case].values()]
        drawn = max((_through(b, device) or 0.0 for b in solved), default=0.0)
        fills = sum(_through(s.feed, device) or 0.0 for s in ctx.all(FED_ACCUMULATORS)[case].values())
        most = max(most, drawn + fills)
    return most


_NEEDS = (
    NETWORK, PIECES, FAULTS, CYLINDER_PRESSURE, AIR_PRESSURE, JET_AREA, CASES, TOGETHER, ALONE, FED_ACCUMULATORS,
    SUPPLY_LOWEST,
)  # fmt: skip


@value(
    EXCESS_FLOW,
    needs=(*_NEEDS, WAYS),
    limits=("fuel.lock_up", "fuel.excess_flow_margin"),
    recalls=(DRAWN_TUBE.citation,),
)
def excess_flow(ctx: Context) -> tuple[ExcessFlow, ...]:
    """Of valves, and of what is in a cylinder's connection."""
    net, ways = ctx[NETWORK], ctx[WAYS]
    nuts = [c for c in net.of_kind("cylinder") if c.spec.has("connection_flow") and net.after.get(c.tag)]
    return tuple(_at_breaks(ctx, (*nuts, *valves(net)), ways))


def _at_breaks(ctx: Context, listed: Sequence[Part], ways: Iterable[GasWay]) -> Iterator[ExcessFlow]:
    from specc_fuel.network.piece_solver import Solver

    if not listed:
        return
    cases = ctx[CASES]
    coldest = min(cases, key=lambda case: ctx.all(CYLINDER_PRESSURE)[case.name].si)
    solver = Solver(ctx, coldest)
    lowest = list(ctx[SUPPLY_LOWEST].values())
    solver.cylinders = min([ctx.all(CYLINDER_PRESSURE)[coldest.name], *lowest], key=lambda p: p.si)
    in_use = {d.tag: _in_use(ctx, d) for d in listed}
    by_fault: dict[str, list[GasWay]] = defaultdict(list)
    for way in ways:
        if way.sources and way.side:
            by_fault[way.fault].append(way)
    for fault in ctx[FAULTS]:
        if fault.state == "parted" and by_fault[fault.key]:
            yield from _at_break(ctx, solver, fault, by_fault[fault.key], listed, in_use)


def _at_break(
    ctx: Context,
    solver: Solver,
    fault: Fault,
    ways: Sequence[GasWay],
    listed: Sequence[Part],
    in_use: Mapping[str, float],
) -> Iterator[ExcessFlow]:
    net, margin = ctx[NETWORK], 1 + ctx.limit(MARGIN.key).si
    burning, why = None, ""
    try:
        burning, _ = solved_break(solver, fault, ways)
    except Cannot as e:
        why = e.message
    except (Unreadable, ValueError):
        why = "a value it needs is refused"
    sources = {s for w in ways for s in w.sources if net.by_tag[s].kind == "cylinder"}
    for device in listed:
        fed = sources & {device.tag, *(p.tag for p in net.upstream(device.tag))}
        if not fed or device.tag == fault.tags[-1] or not _on_a_way(net, device, ways):
            continue
        closes = closing_flow(device)
        passes = None if burning is None else _through(burning, device)
        if passes is not None and passes <= 0:
            continue  # no gas comes this way
        if closes is None:
            yield ExcessFlow(device.tag, fault.key, passes, None, False, "at which flow it closes is not stated")
        elif passes is None:
            own = why or f"what passes {device.tag} is not known (cv:)"
            yield ExcessFlow(device.tag, fault.key, None, closes, False, own)
        elif passes < closes * margin:
            yield ExcessFlow(device.tag, fault.key, passes, closes, False, "too little flows")
        elif in_use[device.tag] * margin > closes:
            yield ExcessFlow(device.tag, fault.key, passes, closes, False, "as much is drawn in use")
        else:
            yield ExcessFlow(device.tag, fault.key, passes, closes, True)


def _on_a_way(net: Network, device: Part, ways: Iterable[GasWay]) -> bool:
    """Whether gas that passes a device may come to a break: it lies behind it, or beside what does."""
    below = {device.tag, *(p.tag for p in net.downstream(device.tag))}
    return any(
        w.where in below or any(t in below for t in (*net.before.get(w.where, ()), *net.after.get(w.where, ())))
        for w in ways
    )


@rule(
    "fuel.excess_flow",
    level="warning",
    statement="An excess-flow device closes at each break behind it, and stays open for what is drawn in use",
    source=CHOICE,
    needs=(*_NEEDS, DEVICE_WAYS),
    wants=(STORE_CONTENT, CLOSING_TIMES, CLOSING_ORDER),
    limits=("fuel.excess_flow_margin", "fuel.lock_up", "fuel.reaction_time"),
    recalls=(DRAWN_TUBE.citation,),
)
def closes_at_breaks(ctx: Context) -> Verdict:
    """Where it does not close, the break counts as not caught: a hand stops the gas. What is in a cylinder's connection
    is in the table of faults alone."""
    net, ways = ctx[NETWORK], ctx[DEVICE_WAYS]
    at_breaks = tuple(_at_breaks(ctx, valves(net), ways))
    let_out: dict[str, list[Release]] = defaultdict(list)
    for release in let_out_by(ctx, ways) if at_breaks else ():
        let_out[release.fault].append(release)
    names = {f.key: f.what for f in ctx[FAULTS]}
    margin = ctx.limit(MARGIN.key)

    def judge(device: Part) -> Iterator[Trouble | str]:
        closes, its = closing_flow(device), [e for e in at_breaks if e.device == device.tag]
        if closes is None:
            said = f"{device.tag} does not say at which flow it closes (closing_flow:)"
            yield Unchecked(said, join(device.at, "closing_flow"))
            return
        drawn = _in_use(ctx, device)
        if drawn * (1 + margin.si) > closes * (1 + 1e-9):
            yield Trouble(
                device.at,
                f"{device.tag} closes at {_lb_h(closes)}, and up to {_lb_h(drawn)} is drawn through it in use",
                f"one that closes at {_lb_h(drawn * (1 + margin.si))} or more, if a break still gives more than that",
                "it closes in the middle of the show, or while an accumulator fills, and is soon taken out",
            )
        missed = [e for e in its if e.flow is not None and e.flow < closes * (1 + margin.si)]
        if missed:
            worst = max(missed, key=lambda e: _unlit(let_out[e.fault], longer=True))
            until, longer = (_unlit(let_out[worst.fault], longer=x) for x in (False, True))
            yield Trouble(
                device.at,
                f"{counted(len(missed), 'break')} of {len(its)} behind {device.tag} "
                f"{'is' if len(missed) == 1 else 'are'} not caught: most gas at {names[worst.fault]}, where "
                f"{_lb_h(worst.flow or 0.0)} passes it in the cold and it closes at {_lb_h(closes)}; "
                f"{show(until, 'mass', 'oz', 2)} until somebody has closed a valve, {show(longer, 'mass', 'oz', 2)} in "
                "five minutes",
                "count on the valves by hand there, or one that closes at less and still passes what is drawn",
                "a hose that has parted behind a small seat, or in the cold, passes no more than a flame does",
            )
        unknown = list(dict.fromkeys(e.why for e in its if e.flow is None and not e.counts))
        if unknown:
            yield Unchecked(f"{device.tag}: {'; '.join(unknown[:2])}", *answers_of(*unknown))

    net.all_read()
    typed = any(c.spec.has("connection_flow") for c in net.of_kind("cylinder"))
    but = " but in a cylinder's connection, as typed: the table of faults follows that" if typed else ""
    return each(valves(net), judge, "excess-flow device", f"no excess-flow valve is described{but}")


def _unlit(releases: Iterable[Release], *, longer: bool) -> float:
    amounts = [r.longer if longer else r.mass for r in releases if not r.lit]
    return sum(a.si for a in amounts if a is not None)


def _lb_h(flow: float) -> str:
    return show(flow, "mass_flow", "lb/h", 2)
