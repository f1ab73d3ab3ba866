"""The pressure of pieces in which nothing flows.

There the laws leave a choice: behind a check valve, or a regulator that has locked up, gas at rest could stand at
any higher pressure as well. What is given is the pressure that comes about when the network is filled from empty:
gas comes in through every part that lets it, until it stands as high as the highest of those fills it. A regulator
fills to its lock-up. A check valve out of the piece, or a regulator that is open, holds it down to what stands beyond.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from specc_fuel.network.laws import AIR, Open, Regulator, one_way


def settle(
    elements: Sequence[Open],
    flow: Mapping[str, float],
    pressure: Mapping[str, float],
    held: set[str],
    ambient: float,
) -> dict[str, float]:
    """Pressures by node, with those at rest set. `held`: nodes with a supply."""
    moving = set(held)
    for e in elements:
        if flow[e.tag] != 0.0:
            moving.update((e.start, e.end))
    still = {n for n in pressure if n not in moving}
    if not still:
        return dict(pressure)
    # Pieces: nodes at rest that open parts join both ways have one pressure.
    piece = {n: n for n in still}

    def head(node: str) -> str:
        while piece[node] != node:
            piece[node] = piece[piece[node]]
            node = piece[node]
        return node

    for e in elements:
        if not one_way(e) and e.start in still and e.end in still:
            piece[head(e.start)] = head(e.end)
    # A piece that an open part joins to a moving node, or to a supply, has that one's pressure: found already.
    known = {
        head(inside)
        for e in elements
        if not one_way(e)
        for inside, outside in ((e.start, e.end), (e.end, e.start))
        if inside in still and outside not in still
    }
    still = {n for n in still if head(n) not in known}
    level = {head(n): -math.inf for n in still}
    capped: dict[str, float] = {}
    for e in elements:
        if e.start not in still or e.end in still:
            continue
        beyond = ambient if e.end == AIR else pressure[e.end]
        if not isinstance(e, Regulator) or beyond < e.set + ambient:
            capped[head(e.start)] = min(capped.get(head(e.start), math.inf), beyond)
    inward = [e for e in elements if one_way(e) and e.end in still]
    for _ in range(len(level) + 1):
        changed = False
        for e in inward:
            root = head(e.end)
            ahead = level[head(e.start)] if e.start in still else pressure[e.start]
            filled = min(ahead, e.lock_up + ambient) if isinstance(e, Regulator) else ahead
            filled = min(filled, capped.get(root, math.inf))
            if filled > level[root]:
                level[root] = filled
                changed = True
        if not changed:
            break
    return {n: level[head(n)] if n in still and level[head(n)] > 0 else p for n, p in pressure.items()}
