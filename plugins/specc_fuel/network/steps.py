"""The steps to a steady state, for solve.py: Newton steps with the flow of every part and the pressure of every node.

A part's law, made straight (`bend`), gives its flow from the pressures at its ends; put into the balances of the
nodes, that leaves one linear equation a node (sparse.py). Flows then balance to the last digit even in a wide hose,
whose two pressures differ by less than a number can tell.

Nothing here is trusted: judge.py looks at what comes out.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from specc_fuel.calc.isothermal import GasState, IsothermalGas
from specc_fuel.network import judge, sparse
from specc_fuel.network.laws import AIR, Bend, Open, Regulator

STEPS = 40  # of each stage at most; usual networks need some ten steps in all
FILLING = 150  # steps of filling at most
# By how much the stages ease the regulators (see Regulator.eased), where the straight way fails.
EASES = (0.3, 0.1, 0.03, 0.01, 3e-3, 1e-3, 1e-4, 1e-5, 0.0)
CUTS = (0.5, 0.4, 0.3)  # what such steps are shortened by; where one goes to and fro, another does not
NEAR = 1e-3  # how well a stage has to fit before the next
CLOSE = 5e-10  # how well a step has to fit before it is judged: the last digits of a wide part move it by 2e-10


def _first_pressures(elements: Sequence[Open], held: Mapping[str, float], ambient: float) -> dict[str, float]:
    """A place to start from: falling a little through each part, from the highest supply on."""
    onward: dict[str, list[tuple[str, float]]] = {}
    for e in elements:
        if e.end == AIR:
            continue
        limit = e.set + ambient if isinstance(e, Regulator) else math.inf
        onward.setdefault(e.start, []).append((e.end, limit))
        onward.setdefault(e.end, []).append((e.start, math.inf))
    first = dict(held)
    waiting = sorted(held, key=lambda n: (-held[n], n))
    for node in waiting:  # grows while it is walked
        for other, limit in onward.get(node, ()):
            if other not in first:
                first[other] = min(ambient + 0.97 * (first[node] - ambient), limit)
                waiting.append(other)
    return first


class State(NamedTuple):
    """Pressures by node, Pa absolute, and flows by tag, kg/s."""

    pressure: Mapping[str, float]
    flow: Mapping[str, float]


def find(
    elements: Sequence[Open],
    held: Mapping[str, float],
    within: set[str],
    gas: IsothermalGas,
    ambient: float,
    near: State | None = None,
) -> tuple[dict[str, float], dict[str, float], int]:
    """Pressures by node, flows by tag, and the steps taken. What comes back may be wrong: it is judged elsewhere.

    `near`: the state of a network of the same parts that differs in their sizes. Steps from there are fewer; where
    they do not arrive, they start again as if there were none.
    """
    free = sorted(within - set(held))
    names = [*free, *sorted(held), AIR]
    number = {n: i for i, n in enumerate(names)}
    first = _first_pressures(elements, held, ambient)
    joins = [(e, number[e.start], number[e.end]) for e in elements]
    count = len(free)
    order = sparse.plan(count, tuple((i, j) for _, i, j in joins if i < count and j < count))
    bounds = min([ambient, *held.values()]), max([ambient, *held.values()])

    best, steps = math.inf, 0
    if near is not None:
        points = [gas.at(ambient if n == AIR else held.get(n, near.pressure.get(n, first[n]))) for n in names]
        flows = [near.flow.get(e.tag) or e.guess(gas, ambient, points[i], points[j]) for e, i, j in joins]
        best, kept, steps = _settle(joins, points, flows, order, count, STEPS, bounds, CLOSE, gas, ambient)
    if best > judge.LAWS / 10:
        points = [gas.at(ambient if n == AIR else first[n]) for n in names]
        flows = [e.guess(gas, ambient, points[i], points[j]) for e, i, j in joins]
        best, kept, more = _settle(joins, points, flows, order, count, STEPS, bounds, CLOSE, gas, ambient)
        steps += more
    for cut in CUTS:
        if best <= judge.LAWS / 10:
            break
        # Some regulators or check valves go to and fro. Start again with regulators that droop much, which never do,
        # and stiffen them from there; and where steps still lead away, go only as far as they lead nearer.
        points = [gas.at(ambient if n == AIR else first[n]) for n in names]
        flows = [e.guess(gas, ambient, points[i], points[j]) for e, i, j in joins]
        for ease in EASES:
            eased = [
                (e.eased(ease, gas, ambient) if isinstance(e, Regulator) and ease else e, i, j) for e, i, j in joins
            ]
            close = NEAR if ease else CLOSE
            worst, state, taken = _settle(eased, points, flows, order, count, STEPS, bounds, close, gas, ambient)
            if worst > NEAR:
                points, flows, more = _fill(eased, points, order, count, cut, bounds, gas, ambient)
                steps += more
                worst, state, more = _settle(eased, points, flows, order, count, STEPS, bounds, close, gas, ambient)
                taken += more
            points, flows = state
            steps += taken
        if worst < best:
            best, kept = worst, state
    points, flows = kept
    return (
        {n: points[i].p for n, i in number.items() if n != AIR},
        {e.tag: q for (e, _, _), q in zip(joins, flows, strict=True)},
        steps,
    )


def _settle(
    joins: Sequence[tuple[Open, int, int]],
    points: list[GasState],
    flows: list[float],
    order: sparse.EliminationPlan,
    count: int,
    most: int,
    bounds: tuple[float, float],
    close: float,
    gas: IsothermalGas,
    ambient: float,
) -> tuple[float, tuple[list[GasState], list[float]], int]:
    """Up to `most` steps from a state: how badly the best state met misses, its pressures and flows, the steps."""
    points, flows = points[:], flows[:]
    best, kept, stale = math.inf, (points[:], flows[:]), 0
    for step in range(most + 1):
        bends = [e.bend(gas, ambient, q, points[i], points[j]) for (e, i, j), q in zip(joins, flows, strict=True)]
        worst = _misses(joins, bends, points, flows, count)
        if worst < best:
            best, kept, stale = worst, (points[:], flows[:]), 0
        else:
            stale += 1
        # Once it fits, and steps do no more than move the last digits, it is as good as it gets.
        if best <= close or (best <= judge.LAWS / 10 and stale >= 2) or step == most:
            break
        _step(order, joins, bends, points, flows, count, bounds, gas)
    return best, kept, step


def _fill(
    joins: Sequence[tuple[Open, int, int]],
    points: list[GasState],
    order: sparse.EliminationPlan,
    count: int,
    cut: float,
    bounds: tuple[float, float],
    gas: IsothermalGas,
    ambient: float,
) -> tuple[list[GasState], list[float], int]:
    """Steps that go only as far as the nodes' imbalances, summed, fall. Flows are the laws' own at each state.

    Slower than `_settle`, which works nearer to the last digit; but here no step can lead away.
    """
    points = points[:]
    span = bounds[1] - bounds[0]
    flows = [e.flow(gas, ambient, points[i], points[j]) for e, i, j in joins]
    total = _imbalance(joins, flows, count)
    taken = 0
    while True:
        bends = [
            e.bend(gas, ambient, q, points[i], points[j])._replace(miss=0.0)
            for (e, i, j), q in zip(joins, flows, strict=True)
        ]
        worst = _misses(joins, bends, points, flows, count)
        if worst < NEAR or taken == FILLING:
            return points, flows, taken
        taken += 1
        change = _change(order, joins, bends, flows, count)[0]
        change = [min(max(c, -span), span) if math.isfinite(c) else 0.0 for c in change]
        share = 1.0
        for _ in range(12):
            trial = points[:]
            for i in range(count):
                trial[i] = gas.at(min(max(points[i].p + share * change[i], bounds[0]), bounds[1]))
            passing = [e.flow(gas, ambient, trial[i], trial[j]) for e, i, j in joins]
            left = _imbalance(joins, passing, count)
            if left < total * (1 - 1e-3 * share):
                break
            share *= cut
        points, flows, total = trial, passing, left


def _imbalance(joins: Sequence[tuple[Open, int, int]], flows: Sequence[float], count: int) -> float:
    balance = [0.0] * (max((max(i, j) for _, i, j in joins), default=0) + 1)
    for q, (_, i, j) in zip(flows, joins, strict=True):
        balance[i] -= q
        balance[j] += q
    return sum(map(abs, balance[:count]))


def _misses(
    joins: Sequence[tuple[Open, int, int]],
    bends: Sequence[Bend],
    points: Sequence[GasState],
    flows: Sequence[float],
    count: int,
) -> float:
    """The worst miss of a law or of a balance, as the judge measures them."""
    worst = 0.0
    balance = [0.0] * len(points)
    busiest = [0.0] * len(points)
    for bend, q, (_, i, j) in zip(bends, flows, joins, strict=True):
        miss = judge.miss(bend, q, points[i].p, points[j].p)
        if not miss <= worst:  # so that a nan is the worst of all
            worst = miss
        balance[i] -= q
        balance[j] += q
        size = abs(q)
        if size > busiest[i]:
            busiest[i] = size
        if size > busiest[j]:
            busiest[j] = size
    least = judge.SMALL * max([judge.FAINTEST, *busiest])
    for i in range(count):
        if balance[i]:
            worst = max(worst, abs(balance[i]) / max(busiest[i], least))
    return worst


def _change(
    order: sparse.EliminationPlan,
    joins: Sequence[tuple[Open, int, int]],
    bends: Sequence[Bend],
    flows: Sequence[float],
    count: int,
) -> tuple[list[float], list[float]]:
    """The changes of the nodes' pressures (0 for those from `count` on, which are held) and the new flows, by the
    straightened laws: at every node that is not held, the new flows balance."""
    diagonal = [0.0] * count
    right = [0.0] * count
    rows: sparse.Rows = [dict.fromkeys(columns, 0.0) for columns in order.rows]
    straight = []
    last = count
    for (_, i, j), bend, q in zip(joins, bends, flows, strict=True):
        # New flow = base + by_start*(change of pressure at the start) - by_end*(that at the end)
        base = q - bend.miss / bend.by_flow
        by_start, by_end = -bend.by_start / bend.by_flow, bend.by_end / bend.by_flow
        straight.append((base, by_start, by_end))
        last = max(last, i, j)
        if i < count:
            diagonal[i] += by_start
            right[i] -= base
            if j < count:
                rows[i][j] -= by_end
        if j < count:
            diagonal[j] += by_end
            right[j] += base
            if i < count:
                rows[j][i] -= by_start
    change = sparse.solve(order, diagonal, rows, right)
    change += [0.0] * (last + 1 - count)
    new = [
        base + by_start * change[i] - by_end * change[j]
        for (base, by_start, by_end), (_, i, j) in zip(straight, joins, strict=True)
    ]
    return change, new


def _step(
    order: sparse.EliminationPlan,
    joins: Sequence[tuple[Open, int, int]],
    bends: Sequence[Bend],
    points: list[GasState],
    flows: list[float],
    count: int,
    bounds: tuple[float, float],
    gas: IsothermalGas,
) -> None:
    """One Newton step, in place."""
    change, new = _change(order, joins, bends, flows, count)
    for n, q in enumerate(new):
        if math.isfinite(q):  # a step from a hopeless state may be none
            flows[n] = q
    low, high = bounds
    near = 1e-3 * (high - low)
    for i in range(count):
        now = points[i].p
        following = now + change[i]
        # A step out of bounds says more about the step than about the pressure: go most of the way there only.
        if following > high:
            following = high if following - high < near else now + 0.8 * (high - now)
        elif following < low:
            following = low if low - following < near else now + 0.8 * (low - now)
        if not math.isfinite(following):
            following = now
        points[i] = gas.at(following)
