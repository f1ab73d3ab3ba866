"""Spots that a drawing leaves free, for tables that are to stand beside its lines."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import accumulate, pairwise
from typing import NamedTuple

from specc.drawing.cells import shifted
from specc.drawing.shapes import Line, Polygon, RoundRect, Shape, Sheet, Text
from specc.drawing.strip import Panel
from specc.drawing.text import Box, text_box

_AIR = 2.5  # mm between what is drawn and what stands beside it
_CELL = 1.0  # mm


class Spare(NamedTuple):
    """A sheet in cells of a millimeter: how many of those to the left of and below each are taken."""

    across: int
    up: int
    taken: tuple[tuple[int, ...], ...]

    def free(self, left: int, low: int, right: int, top: int) -> bool:
        t = self.taken
        return t[top][right] - t[low][right] - t[top][left] + t[low][left] == 0


def spare(sheet: Sheet) -> Spare:
    across, up = math.floor(sheet.width / _CELL), math.floor(sheet.height / _CELL)
    cells = [bytearray(across) for _ in range(up)]
    for left, low, right, top in (box for shape in sheet.shapes for box in _boxes(shape)):
        first, last = max(0, math.floor((left - _AIR) / _CELL)), min(across, math.ceil((right + _AIR) / _CELL))
        for row in cells[max(0, math.floor((low - _AIR) / _CELL)) : min(up, math.ceil((top + _AIR) / _CELL))]:
            row[first:last] = b"\1" * max(0, last - first)
    sums = [(0,) * (across + 1)]
    for row in cells:
        sums.append(tuple(a + b for a, b in zip(sums[-1], accumulate(row, initial=0), strict=True)))
    return Spare(across, up, tuple(sums))


def filled(room: Spare, panels: Sequence[Panel]) -> tuple[Shape, ...] | None:
    """The panels' shapes where they stand free, the largest placed first; None where one has no spot."""
    placed: list[Box] = []
    made: list[Shape] = []
    for panel in sorted(panels, key=lambda p: -p.width * p.height):
        spot = next(_spots(room, panel, placed), None)
        if spot is None:
            return None
        left, low = spot
        placed.append((left - _AIR, low - _AIR, left + panel.width + _AIR, low + panel.height + _AIR))
        made += [shifted(s, left, low + panel.height) for s in panel.shapes]
    return tuple(made)


def _spots(room: Spare, panel: Panel, placed: Sequence[Box]) -> Iterator[tuple[float, float]]:
    """Free spots, the lowest first and of those the leftmost: left and lower edge."""
    wide, high = math.ceil(panel.width / _CELL), math.ceil(panel.height / _CELL)
    for low in range(room.up - high + 1):
        for left in range(room.across - wide + 1):
            if room.free(left, low, left + wide, low + high):
                at = (left * _CELL, low * _CELL)
                if not any(_meet((*at, at[0] + panel.width, at[1] + panel.height), b) for b in placed):
                    yield at


def _boxes(shape: Shape) -> Iterator[Box]:
    """What a shape covers: a line piece by piece, since much is free beside a bent one."""
    if isinstance(shape, Text):
        yield text_box(shape)
    elif isinstance(shape, Line):
        yield from (_around((a, b)) for a, b in pairwise(shape.points))
    elif isinstance(shape, Polygon):
        yield _around(shape.points)
    elif isinstance(shape, RoundRect):
        yield shape.x, shape.y, shape.x + shape.width, shape.y + shape.height
    else:
        r = shape.radius
        yield shape.x - r, shape.y - r, shape.x + r, shape.y + r


def _around(points: Iterable[tuple[float, float]]) -> Box:
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
