"""Linear equations of a network, by elimination: the node with the fewest neighbors goes first.

In a tree that never joins nodes that were not joined before, so the work grows with the number of nodes. Loops add
some. The matrices here have the diagonal above zero, nothing else above zero, and columns that do not sum below
zero; so no exchange of rows is needed.
"""

from __future__ import annotations

from functools import lru_cache
from heapq import heapify, heappop, heappush
from typing import NamedTuple, TypeAlias

Rows: TypeAlias = "list[dict[int, float]]"


class EliminationPlan(NamedTuple):
    """`steps`: each node with those of its neighbors that come later. `rows`: all columns that each row will use."""

    steps: tuple[tuple[int, tuple[int, ...]], ...]
    rows: tuple[tuple[int, ...], ...]


@lru_cache(maxsize=64)  # most of a night's networks are joined alike
def plan(count: int, pairs: tuple[tuple[int, int], ...]) -> EliminationPlan:
    """The order of elimination for `count` nodes of which `pairs` are joined."""
    near: list[set[int]] = [set() for _ in range(count)]
    for i, j in pairs:
        if i != j:
            near[i].add(j)
            near[j].add(i)
    used = [set(n) for n in near]
    waiting = [(len(n), i) for i, n in enumerate(near)]
    heapify(waiting)
    done = [False] * count
    steps = []
    while waiting:
        degree, k = heappop(waiting)
        if done[k] or degree != len(near[k]):
            continue  # an older entry; a newer one for this node waits
        done[k] = True
        later = tuple(sorted(near[k]))
        steps.append((k, later))
        for i in later:
            near[i].discard(k)
            near[i].update(j for j in later if j != i)
            used[i].update(near[i])
            heappush(waiting, (len(near[i]), i))
    return EliminationPlan(tuple(steps), tuple(tuple(sorted(u)) for u in used))


def solve(order: EliminationPlan, diagonal: list[float], rows: Rows, right: list[float]) -> list[float]:
    """x with diagonal[i]*x[i] + sum of rows[i][j]*x[j] = right[i]. Overwrites what it is given."""
    least = [1e-15 * d for d in diagonal]
    for k, later in order.steps:
        row = rows[k]
        pivot = diagonal[k]
        if not pivot > least[k]:
            pivot = diagonal[k] = least[k] or 1.0
        right_k = right[k]
        for i in later:
            other = rows[i]
            factor = other[k] / pivot
            if factor == 0.0:
                continue
            right[i] -= factor * right_k
            for j in later:
                if j == i:
                    diagonal[i] -= factor * row[i]
                else:
                    other[j] -= factor * row[j]
    x = [0.0] * len(diagonal)
    for k, later in reversed(order.steps):
        rest = right[k]
        row = rows[k]
        for j in later:
            rest -= row[j] * x[j]
        x[k] = rest / diagonal[k]
    return x
