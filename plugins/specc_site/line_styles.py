"""How each kind of line of the plan is drawn, so that none is taken for another one in gray, and its key beside it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from typing import NamedTuple

from specc.drawing.shapes import Line, Shape, Tone

Spot2 = tuple[float, float]


class PlanLine(NamedTuple):
    """`pattern`: dash, gap, dash, gap ... in mm, none for a solid line; `ticks`: mm between strokes across it."""

    words: str
    weight: float
    tone: Tone = "ink"
    pattern: tuple[float, ...] = ()
    ticks: float = 0.0


BARRIER = PlanLine("barrier, end to end", 1.4, ticks=3.2)
STANDOFF = PlanLine("no public inside", 1.5)
HOSE = PlanLine("hose", 2.2, "gray")
SIGHT = PlanLine("sight line of a post", 0.4, "gray", (2.2, 0.8, 0.4, 0.8))
OF_KIND = {
    "barrier": BARRIER,
    "property_line": PlanLine("property line", 1.0, pattern=(4.6, 1.0, 0.6, 1.0)),
    "fire_lane": PlanLine("fire lane", 1.5, pattern=(1.3, 0.9)),
    "combustible": PlanLine("what burns", 1.0, ticks=1.2),
    "walkway": PlanLine("walkway", 0.6, pattern=(0.6, 0.9)),
    "wires": PlanLine("wires", 1.0, pattern=(3.2, 0.8, 0.6, 0.8, 0.6, 0.8)),
    "public_way": PlanLine("public way", 0.5),
}
# Rings of heat and flame, in the order in which they come: thin and gray, each with another dash.
RINGS = ((2.6, 1.0), (0.5, 0.9), (5.0, 1.6), (1.2, 0.6))
_TICK, _END = 0.9, 1.6  # mm to each side


def dashes(points: Sequence[Spot2], *pattern: float) -> list[list[Spot2]]:
    """A line as dashes of a length with gaps of another, round its corners."""
    pieces: list[list[Spot2]] = [[points[0]]]
    turn = 0
    left = pattern[0]
    for (x1, y1), (x2, y2) in itertools.pairwise(points):
        length, at = math.hypot(x2 - x1, y2 - y1), 0.0
        while length - at > left:
            at += left
            spot = (x1 + (x2 - x1) * at / length, y1 + (y2 - y1) * at / length)
            if turn % 2 == 0:
                pieces[-1].append(spot)
            else:
                pieces.append([spot])
            turn += 1
            left = pattern[turn % len(pattern)]
        left -= length - at
        if turn % 2 == 0:
            pieces[-1].append((x2, y2))
    return [p for p in pieces if len(p) > 1]


def _strokes(points: Sequence[Spot2], every: float) -> list[tuple[Spot2, Spot2]]:
    """Short strokes across a line, evenly along it."""
    made, left = [], every / 2
    for (x1, y1), (x2, y2) in itertools.pairwise(points):
        length, at = math.hypot(x2 - x1, y2 - y1), left
        if length == 0:
            continue
        ux, uy = (x2 - x1) / length, (y2 - y1) / length
        while at <= length:
            x, y = x1 + ux * at, y1 + uy * at
            made.append(((x - uy * _TICK, y + ux * _TICK), (x + uy * _TICK, y - ux * _TICK)))
            at += every
        left = at - length
    return made


def lines_of(points: Sequence[Spot2], style: PlanLine) -> list[Shape]:
    """A line in its style."""
    drawn = dashes(points, *style.pattern) if style.pattern else [list(points)]
    made: list[Shape] = [Line(tuple(piece), style.weight, style.tone) for piece in drawn]
    if style.ticks:
        made += [Line(stroke, 0.5, style.tone) for stroke in _strokes(points, style.ticks)]
        made += [Line(bar, style.weight, style.tone) for bar in _end_bars(points)]
    return made


def _end_bars(points: Sequence[Spot2]) -> list[tuple[Spot2, Spot2]]:
    """A bar across each end of a line, so that where a chain begins that goes on from a wall is seen."""
    made = []
    for (x, y), (x2, y2) in ((points[0], points[1]), (points[-1], points[-2])) if points[0] != points[-1] else ():
        if length := math.hypot(x2 - x, y2 - y):
            ux, uy = (x2 - x) / length * _END, (y2 - y) / length * _END
            made.append(((x - uy, y + ux), (x + uy, y - ux)))
    return made
