"""Rings around all that is above a level, from a grid of cells that each hold the most within them.

A corner of the grid takes the most of the four cells that meet there. So all four corners of a cell that holds more
than the level are above it, and the ring goes round the whole cell: it lies up to two cells outside the true line and
never inside it. Units: m.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import NamedTuple

from specc_flame.calc.field import FlameSource, grid, stand_off

Ring = tuple[tuple[float, float], ...]
Cells = list[list[float]]
# Cells along the longer side at most; a site that is larger takes larger cells.
MOST = 240


class CellGrid(NamedTuple):
    """A grid of square cells from its south-west corner."""

    west: float
    south: float
    step: float
    columns: int
    rows: int


def rings(cells: Cells, box: CellGrid, level: float) -> tuple[Ring, ...]:
    """Rings around what is above the level, with that on their left: outer rings run counter-clockwise, holes the other
    way. What is above it at the grid's edge is closed there."""
    corners = _corners(cells)
    above = [[q > level for q in row] for row in corners]
    onward: dict[tuple[int, int, int], tuple[int, int, int]] = {}
    for j in range(len(above) - 1):
        low, high = above[j], above[j + 1]
        if not any(low) and not any(high):
            continue
        for i in range(len(low) - 1):
            square = (low[i], low[i + 1], high[i + 1], high[i])
            if square[0] == square[1] == square[2] == square[3]:
                continue
            sides = ((i, j, 0), (i + 1, j, 1), (i, j + 1, 0), (i, j, 1))
            for k in range(4):
                if square[k] and not square[(k + 1) % 4]:
                    # On to the next side where it comes in again: of two that touch at corners one is made.
                    end = next(n for n in (k + 1, k + 2, k + 3) if not square[n % 4] and square[(n + 1) % 4])
                    onward[sides[k]] = sides[end % 4]
    made = []
    while onward:
        first, here = next(iter(onward.items()))
        ring = [first]
        del onward[first]
        while here != first:
            ring.append(here)
            here = onward.pop(here)
        made.append(tuple(_crossing(corners, box, level, side) for side in ring))
    return tuple(made)


def _corners(cells: Cells) -> Cells:
    none = float("-inf")
    wide = [[none, *(max(a, b) for a, b in itertools.pairwise(row)), none] for row in cells]
    for row, own in zip(wide, cells, strict=True):
        row[0], row[-1] = own[0], own[-1]
    outer = [none] * len(wide[0])
    inner = [[max(a, b) for a, b in zip(low, high, strict=True)] for low, high in itertools.pairwise(wide)]
    # One more row and column of corners all round, below any level, so that every ring closes.
    rows = [outer, wide[0], *inner, wide[-1], outer]
    return [[none, *row, none] for row in rows]


def _crossing(corners: Cells, box: CellGrid, level: float, side: tuple[int, int, int]) -> tuple[float, float]:
    i, j, up = side
    a, b = corners[j][i], corners[j + up][i + 1 - up]
    at_edge = math.isinf(a) or math.isinf(b)
    share = float(math.isinf(a)) if at_edge else (level - a) / (b - a)
    x, y = box.west + (i - 1) * box.step, box.south + (j - 1) * box.step
    return (x, y + share * box.step) if up else (x + share * box.step, y)


def flux_rings(sources: Sequence[FlameSource], level: float, step: float = 0.5) -> tuple[Ring, ...]:
    """Around where the heat of all flames together may be above a level, W/m2, level with each outlet."""
    far = max(stand_off(s, level, s.z) for s in sources)
    while True:
        box = around([(s.x, s.y, far) for s in sources], step)
        cells = grid(sources, box.west, box.south, box.step, box.columns, box.rows, None)
        if max(*cells[0], *cells[-1], *(row[0] for row in cells), *(row[-1] for row in cells)) <= level:
            return rings(cells, box, level)
        far *= 1.5


def reach_rings(circles: Sequence[tuple[float, float, float]], step: float = 0.5) -> tuple[Ring, ...]:
    """Around all circles (x, y, radius) together, such as flames laid flat."""
    box = around(circles, step)
    return rings(_inside(circles, box), box, 0.0)


def around(circles: Sequence[tuple[float, float, float]], step: float) -> CellGrid:
    """A grid that holds the circles and two cells more on each side."""
    west, south = min(x - r for x, _, r in circles), min(y - r for _, y, r in circles)
    wide, high = max(x + r for x, _, r in circles) - west, max(y + r for _, y, r in circles) - south
    step = max(step, max(wide, high) / (MOST - 4))
    columns, rows = math.ceil(wide / step) + 4, math.ceil(high / step) + 4
    return CellGrid(west - 2 * step, south - 2 * step, step, columns, rows)


def _inside(circles: Sequence[tuple[float, float, float]], box: CellGrid) -> Cells:
    """How far within a circle the spot of each cell is that lies deepest in one; below zero outside."""
    cells = [[float("-inf")] * box.columns for _ in range(box.rows)]
    for x, y, radius in circles:
        across = [_nearest(box.west + (i + 0.5) * box.step - x, box.step) for i in range(box.columns)]
        for j, row in enumerate(cells):
            dy = _nearest(box.south + (j + 0.5) * box.step - y, box.step)
            cells[j] = [max(q, radius - math.sqrt(dx + dy)) for q, dx in zip(row, across, strict=True)]
    return cells


def _nearest(apart: float, step: float) -> float:
    """The square of how far the nearest spot of a cell is along one axis."""
    return max(0.0, abs(apart) - step / 2) ** 2
