"""The lines of a plot: thinned so that no extreme is lost, and dashed so that no gap hides one."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import hypot
from typing import NamedTuple

from specc.drawing.plot_scales import LARGEST
from specc.drawing.shapes import Circle, Line, Shape, Tone

Point = tuple[float, float]
Run = list[Point]


class LineStyle(NamedTuple):
    """Weight in points; `dashes` are lengths drawn and left out by turns, in mm, empty for a whole line."""

    weight: float
    tone: Tone
    dashes: tuple[float, ...] = ()


# Told apart by weight and pattern first, so that they differ in a gray copy.
STYLES = (
    LineStyle(1.5, "ink"),
    LineStyle(1.0, "ink", (2.6, 1.4)),
    LineStyle(1.5, "gray"),
    LineStyle(1.2, "ink", (0.2, 1.2)),
    LineStyle(0.55, "ink"),
    LineStyle(0.9, "ink", (4.0, 1.2, 0.2, 1.2)),
    LineStyle(1.5, "gray", (1.5, 1.3)),
    LineStyle(1.2, "gray", (0.2, 1.2)),
)
LIMIT = LineStyle(0.6, "ink", (1.4, 0.8))
COLUMN = 0.25  # mm: of the points in a column this wide, the first, least, greatest and last are drawn
# A line longer than this fills the plot with strokes, and its dashes could not be seen.
_LONGEST = 4000.0


def runs_of(name: str, points: Iterable[tuple[float, float | None]]) -> list[Run]:
    """Points between gaps. Raises ValueError, naming the line, for what is no number or goes back in x."""
    runs: list[Run] = []
    run: Run = []
    before = -LARGEST
    for i, (x, y) in enumerate(points):
        if not before <= x <= LARGEST:
            what = "goes back in x" if -LARGEST <= x <= LARGEST else f"has x = {x}, which cannot be drawn"
            raise ValueError(f"line {name!r}: point {i + 1} {what}")
        before = x
        if y is None:
            runs.append(run)
            run = []
        elif -LARGEST <= y <= LARGEST:
            run.append((x, y))
        else:
            raise ValueError(f"line {name!r}: point {i + 1} has y = {y}, which cannot be drawn")
    return [r for r in (*runs, run) if r]


def thinned(runs: Sequence[Run], low: float, column: float) -> list[Run]:
    """The same runs with at most four points in each `column` of x, counted from `low`.

    They are the first, the least, the greatest and the last, in their order: what is drawn reaches as far up
    and down as all the points do. Points that stand alone between gaps are thinned to the least and greatest.
    """
    lone: dict[int, list[Point]] = {}
    kept: list[Run] = []
    for run in runs:
        if len(run) == 1:
            lone.setdefault(int((run[0][0] - low) / column), []).append(run[0])
        else:
            kept.append(_thin_run(run, low, column))
    for alone in lone.values():
        least, greatest = min(alone, key=lambda p: p[1]), max(alone, key=lambda p: p[1])
        kept += [[least]] if least == greatest else [[least], [greatest]]
    return kept


def _thin_run(run: Run, low: float, column: float) -> Run:
    if len(run) < 5:
        return run
    heights, columns = [y for _, y in run], [int((x - low) / column) for x, _ in run]
    turns = [k for k in range(1, len(run)) if columns[k] != columns[k - 1]]
    out: Run = []
    for start, end in pairwise((0, *turns, len(run))):
        here = heights[start:end]
        least, greatest = start + here.index(min(here)), start + here.index(max(here))
        out += [run[k] for k in sorted({start, least, greatest, end - 1})]
    return out


def stroked(runs: Iterable[Run], style: LineStyle) -> list[Shape]:
    """Runs, in mm of paper, as shapes. A point alone is a dot."""
    shapes: list[Shape] = []
    for run in runs:
        if len(run) == 1:
            shapes.append(Circle(*run[0], 0.25 + style.weight * 0.15, 0.0, style.tone, style.tone))
        else:
            shapes += [Line(piece, style.weight, style.tone) for piece in pieces(run, style.dashes)]
    return shapes


def pieces(run: Run, dashes: tuple[float, ...]) -> list[tuple[Point, ...]]:
    """The dashes along a run. No gap falls on a corner, or on an end."""
    along = [0.0]
    for (x1, y1), (x2, y2) in pairwise(run):
        along.append(along[-1] + hypot(x2 - x1, y2 - y1))
    if not dashes or not 0 < along[-1] <= _LONGEST:
        return [tuple(run)]
    corners = [along[i] for i in _corners(run)]
    found = []
    start, turn = 0.0, 0
    while start < along[-1]:
        drawn, gap = dashes[turn % len(dashes)], dashes[(turn + 1) % len(dashes)]
        half = min(drawn / 2, 0.5)
        end = start + drawn
        following = end + gap
        at = bisect_right(corners, end + 1e-9)
        while at < len(corners) and corners[at] < following + 1e-9:
            # The next dash starts just before the corner, or this one goes on past it if they are so close.
            if corners[at] - half - end >= 0.4 * gap:
                following = corners[at] - half
                break
            end = max(end, corners[at] + half)
            following = end + gap
            at += 1
        found.append(_between(run, along, start, min(end, along[-1])))
        start, turn = following, turn + 2
    return found


def _corners(run: Run) -> list[int]:
    """The ends, and where a run turns up, down or level."""
    ways = [(b[1] > a[1]) - (b[1] < a[1]) for a, b in pairwise(run)]
    turns = [i + 1 for i, (a, b) in enumerate(pairwise(ways)) if a != b]
    return [0, *turns, len(run) - 1]


def _between(run: Run, along: list[float], start: float, end: float) -> tuple[Point, ...]:
    first, last = bisect_left(along, start), bisect_left(along, end)
    inner = [run[i] for i in range(first, last) if start < along[i] < end]
    return (_at(run, along, start), *inner, _at(run, along, end))


def _at(run: Run, along: list[float], distance: float) -> Point:
    i = min(max(bisect_left(along, distance), 1), len(run) - 1)
    if distance >= along[-1]:
        return run[-1]
    (x1, y1), (x2, y2) = run[i - 1], run[i]
    share = (distance - along[i - 1]) / ((along[i] - along[i - 1]) or 1.0)
    return x1 + (x2 - x1) * share, y1 + (y2 - y1) * share
