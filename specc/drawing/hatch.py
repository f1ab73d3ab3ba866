"""The lines of a hatched shape: where lines at 45 degrees run inside it and outside its holes."""

from __future__ import annotations

from math import ceil, floor, isfinite, sqrt

from specc.drawing.shapes import Polygon

MOST = 2000  # lines in one shape: closer than that it is a gray


def hatching(shape: Polygon, unit: float) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    """The pieces of line, as pairs of points in the shape's own units; `unit` is a millimeter of paper in those.

    The lines run through the drawing's origin and beside it, so that neighbors meet. Empty without a hatch, and for a
    hatch so close that more than MOST lines would cross the shape.
    """
    gap = shape.hatch * unit * sqrt(2)
    if gap <= 0 or not isfinite(gap):
        return []
    edges = [(ring[i - 1], ring[i]) for ring in (shape.points, *shape.holes) for i in range(len(ring))]
    levels = [y - x for (x, y), _ in edges]
    if not levels or (max(levels) - min(levels)) / gap > MOST:
        return []
    lines = []
    for n in range(ceil(min(levels) / gap), floor(max(levels) / gap) + 1):
        level = n * gap  # the line y = x + level
        crossed = []
        for (x1, y1), (x2, y2) in edges:
            a, b = y1 - x1 - level, y2 - x2 - level
            if (a > 0) != (b > 0):
                crossed.append(x1 + (x2 - x1) * a / (a - b))
        crossed.sort()
        lines += [((x1, x1 + level), (x2, x2 + level)) for x1, x2 in zip(crossed[::2], crossed[1::2], strict=True)]
    return lines
