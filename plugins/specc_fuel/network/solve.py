"""Steady flow through a network: the pressures at which, at every node, what comes in goes out.

It is found by Newton steps (steps.py), and what comes out is judged from scratch (judge.py): an answer that is not one
is never returned.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from specc_fuel.calc.isothermal import GasState, IsothermalGas
from specc_fuel.network import judge, parts, rest, steps
from specc_fuel.network.laws import AIR, Element, HeldNode, Pipeline, Regulator, Shut

NOTHING = 1e-15  # of the largest flow in the network: less is no flow
STILL = 1e-12  # kg/s: a network whose largest flow is less is at rest. The smallest jet passes a million times as much


class NotSettled(ArithmeticError):
    """No steady state was found."""


class Solution(NamedTuple):
    """A steady state. Keys are the tags and nodes as given.

    pressure: Pa absolute, by node; a node that no gas reaches is at the air's pressure.
    flow: kg/s by tag, from start to end; of a supply, out of it (below zero: gas is pushed back into it).
    residual_mass: the worst node's imbalance over its largest flow. residual_loop: the worst part's miss of its law,
    as pressure over its drop; as nodes have one pressure each, that is also what could be missing round a loop.
    speed (m/s), mach: at the faster end of each line. choked: tags.
    regulators: "regulating", "wide open", "locked up", or "no gas" where none comes.
    unreached: nodes that no gas comes to. wet: nodes above the saturation pressure at the gas's temperature; gas would
    condense there, and the figures of such a network are none.
    under_air: supplies that do not stand above the air's pressure, so that nothing comes out of them.
    """

    pressure: Mapping[str, float]
    flow: Mapping[str, float]
    residual_mass: float
    residual_loop: float
    iterations: int
    speed: Mapping[str, float]
    mach: Mapping[str, float]
    choked: frozenset[str]
    regulators: Mapping[str, str]
    unreached: tuple[str, ...]
    wet: tuple[str, ...]
    under_air: tuple[str, ...]


def solve(
    elements: Sequence[Element],
    supplies: Sequence[HeldNode],
    gas: IsothermalGas,
    ambient: float,
    near: steps.State | None = None,
) -> Solution:
    """The steady state of a network of `elements` fed by `supplies`, in air of `ambient` Pa absolute.

    One gas at one temperature throughout. The order of elements and supplies makes no difference. `near`: where to
    look first, such as the state of a network of the same parts in other sizes; the answer is judged as any other.
    Errors: ValueError for parts that make no network (it names the part); NotSettled, saying what remains, if no
    steady state is found.
    """
    elements = sorted(elements, key=lambda e: e.tag)
    supplies = sorted(supplies, key=lambda s: s.tag)
    parts.check(elements, supplies, ambient)
    within = parts.reached(elements, supplies)
    carrying = parts.active(elements, within)
    held = {s.node: s.pressure for s in supplies}
    flowing, dead_ends = parts.through(carrying, held)
    nodes = {n for e in flowing for n in (e.start, e.end) if n != AIR} | set(held)
    found, moved, taken = steps.find(flowing, held, nodes, gas, ambient, near)
    for end in reversed(dead_ends):  # as high as what stands ahead of it; behind a regulator `rest` says how high
        found[end.outer] = found[end.inner]

    largest = max(map(abs, moved.values()), default=0.0)
    nothing = NOTHING * largest if largest > STILL else STILL
    flow = {e.tag: 0.0 for e in elements}
    flow.update((tag, q) for tag, q in moved.items() if abs(q) > nothing)
    settled = rest.settle(carrying, {e.tag: flow[e.tag] for e in carrying}, found, set(held), ambient)
    pressure = {n: settled.get(n, ambient) for n in sorted(_nodes(elements, supplies))}
    for s in supplies:
        out = sum(flow[e.tag] for e in elements if e.start == s.node)
        flow[s.tag] = out - sum(flow[e.tag] for e in elements if e.end == s.node)

    mass, worst_node = judge.mass(elements, flow, set(held), within)
    loop, worst_part = judge.laws(carrying, flow, pressure, gas, ambient)
    if not (mass <= judge.MASS and loop <= judge.LAWS):
        raise NotSettled(
            f"after {taken} steps, {worst_node or 'no node'} still misses its balance by {mass:.2g} of its flow, and"
            f" {worst_part or 'no part'} its law by {loop:.2g} of its pressure drop"
        )
    return _told(elements, supplies, gas, ambient, pressure, flow, mass, loop, taken, within)


def _nodes(elements: Sequence[Element], supplies: Sequence[HeldNode]) -> set[str]:
    return {n for e in elements for n in (e.start, e.end) if n != AIR} | {s.node for s in supplies}


def _told(
    elements: Sequence[Element],
    supplies: Sequence[HeldNode],
    gas: IsothermalGas,
    ambient: float,
    pressure: dict[str, float],
    flow: dict[str, float],
    mass: float,
    loop: float,
    taken: int,
    within: set[str],
) -> Solution:
    """What the state means, part by part."""
    at = {n: gas.at(p) for n, p in pressure.items()}
    at[AIR] = gas.at(ambient)
    speed, mach, choked, regulators = {}, {}, set(), {}
    for e in elements:
        if isinstance(e, Shut):
            continue
        a, b, q = at[e.start], at[e.end], flow[e.tag]
        if isinstance(e, Regulator):
            regulators[e.tag] = _doing(e, gas, ambient, q, a, b) if e.start in within else "no gas"
        if isinstance(e, Pipeline):
            exit_, full = e.outflow(gas, a, b, q)
            speed[e.tag] = abs(q) / (e.pipe.area * exit_.rho)
            mach[e.tag] = speed[e.tag] / math.sqrt(gas.k * exit_.p / exit_.rho)
            if full:
                choked.add(e.tag)
        elif q != 0 and e.choked(gas, a, b, q) and regulators.get(e.tag, "wide open") == "wide open":
            choked.add(e.tag)
    return Solution(
        pressure,
        flow,
        mass,
        loop,
        taken,
        speed,
        mach,
        frozenset(choked),
        regulators,
        tuple(n for n in pressure if n not in within),
        tuple(n for n, p in pressure.items() if n in within and gas.condenses(p)),
        tuple(s.tag for s in supplies if s.pressure <= ambient),
    )


def _doing(e: Regulator, gas: IsothermalGas, ambient: float, q: float, a: GasState, b: GasState) -> str:
    if q <= 0:
        return "locked up" if b.p >= (e.set + ambient) * (1 - 1e-9) else "wide open"
    return e.state(gas, ambient, q, a, b)
