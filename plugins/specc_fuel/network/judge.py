"""Whether a state is a steady one: computed afresh from pressures, flows and the laws themselves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from specc_fuel.calc.isothermal import IsothermalGas
from specc_fuel.network.laws import AIR, Bend, Element, Open

MASS = 1e-9  # a node's imbalance over the largest flow that it sees
LAWS = 1e-7  # a part's miss, over its flow or its pressure drop
SMALL = 1e-5  # of the largest flow anywhere: nodes that see less are measured against that
FAINTEST = 1e-6  # kg/s, 50 W: where even the largest flow is less, that stands in for it
FLOOR = 1e-6  # of the pressure: drops below it are measured against that, as numbers have 16 digits


def miss(bend: Bend, q: float, start: float, end: float) -> float:
    """How far a flow and two pressures are from a law, as a share: of the flow or of the drop, the milder.

    Where a wide hose drops next to nothing, its flow cannot be told from its pressures; where a regulator holds its
    outlet, neither. There the pressures are what has to fit.
    """
    off, by_flow, by_start, by_end = bend
    if off == 0.0:
        return 0.0
    steeper = by_end if by_end > -by_start else -by_start
    by_pressure = steeper * (abs(start - end) + FLOOR * (start if start > end else end))
    return abs(off) / max(by_pressure, by_flow * abs(q))


def mass(elements: Sequence[Element], flow: Mapping[str, float], held: set[str], within: set[str]) -> tuple[float, str]:
    """The worst imbalance of a node without supply, over its largest flow; and that node."""
    through: dict[str, list[float]] = {}
    for e in elements:
        q = flow[e.tag]
        through.setdefault(e.start, []).append(-q)
        through.setdefault(e.end, []).append(q)
    most = max([FAINTEST, *(abs(flow[e.tag]) for e in elements)])
    worst, where = 0.0, ""
    for node, flows in through.items():
        if node == AIR or node in held:
            continue
        off = abs(sum(flows)) / max(max(map(abs, flows)), SMALL * most)
        if not off <= worst:  # so that a nan is the worst of all
            worst, where = off, node
    return worst, where


def laws(
    elements: Sequence[Open],
    flow: Mapping[str, float],
    pressure: Mapping[str, float],
    gas: IsothermalGas,
    ambient: float,
) -> tuple[float, str]:
    """The worst miss of a law, by `flow` of each part, not by what the solver stepped with; and that part."""
    worst, where = 0.0, ""
    at = {n: gas.at(p) for n, p in pressure.items()}
    at[AIR] = gas.at(ambient)
    for e in elements:
        a, b, q = at[e.start], at[e.end], flow[e.tag]
        right = e.flow(gas, ambient, a, b)
        slopes = e.bend(gas, ambient, q, a, b)
        own = Bend((q - right) * slopes.by_flow, *slopes[1:])
        off = miss(own, q, a.p, b.p)
        if not off <= worst:
            worst, where = off, e.tag
    return worst, where
