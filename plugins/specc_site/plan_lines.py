"""Lines of the site plan: the outer edge of stand-offs and how far they reach, distances, dashes, and arrows."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from specc.drawing.shapes import Line, Polygon, Shape
from specc_site.distances import Drawn, Spot2
from specc_site.labels import Box, Words, apart, size_of
from specc_site.plan import in_feet
from specc_site.sketch import Sketch


def outer(circles: Sequence[tuple[float, float, float]]) -> list[list[tuple[float, float]]]:
    """The outer edge of circles taken together, in pieces: what of each lies in no other one."""
    pieces: list[list[tuple[float, float]]] = []
    unlike = list(dict.fromkeys(circles))
    for i, (x, y, r) in enumerate(unlike):
        others = [c for j, c in enumerate(unlike) if j != i]
        piece: list[tuple[float, float]] = []
        for step in range(121):
            px, py = x + r * math.cos(step * math.pi / 60), y + r * math.sin(step * math.pi / 60)
            if any(math.hypot(px - u, py - v) < w - 1e-9 for u, v, w in others):
                if len(piece) > 1:
                    pieces.append(piece)
                piece = []
            else:
                piece.append((px, py))
        if len(piece) > 1:
            pieces.append(piece)
    return pieces


def draw_radii(sketch: Sketch, circles: Sequence[tuple[float, float, float]]) -> None:
    """How far each stand-off reaches, once for each length, where it is the outer one."""
    spots: dict[str, list[tuple[float, float]]] = {}
    for x, y, r in sorted(circles, key=lambda c: -c[2]):
        for degrees in range(135, 495, 15):
            px, py = x + r * math.cos(math.radians(degrees)), y + r * math.sin(math.radians(degrees))
            if all(math.hypot(px - u, py - v) >= w - 1e-9 for u, v, w in circles):
                spots.setdefault(f"{in_feet(r, meters=sketch.meters)}: no public", []).append(sketch.at(px, py))
    for text, some in spots.items():
        sketch.labels.put_by(some[:: max(1, len(some) // 6)], (Words(text, 7),), 1.2)


class Cleared(NamedTuple):
    """A distance that will be drawn: its ends on the paper, its words, the gap that these break the line by to each
    side, and the middle of that gap; None where the line is too short to be broken."""

    a: Spot2
    b: Spot2
    text: Words
    gap: float
    middle: Spot2 | None


def clear_distance(sketch: Sketch, one: Drawn) -> Cleared:
    """Where a distance will be drawn, with its length: labels that are put before it stay off both."""
    a, b = sketch.at(*one.ends[0]), sketch.at(*one.ends[1])
    length = math.dist(a, b)
    text = Words(in_feet(one.apart.measured.si, meters=sketch.meters), 7.5, strong=True)
    ux, uy = ((b[0] - a[0]) / length, (b[1] - a[1]) / length) if length else (0.0, 0.0)
    wide, tall = _half(text)
    gap = min(wide / max(abs(ux), 1e-6), tall / max(abs(uy), 1e-6)) + 0.8
    middle = None
    if length > 2 * gap + 4:
        spots = [(a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t) for t in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)]
        boxes = [(x - wide, y - tall, x + wide, y + tall) for x, y in spots]
        box = min(boxes, key=lambda b: sketch.labels.cost(b) + _named_near(sketch, b) + _beside(sketch, b))
        middle = (box[0] + wide, box[1] + tall)
        sketch.labels.boxes.append((box[0] - 0.8, box[1], box[2] + 0.8, box[3]))
        sketch.labels.lengths.append(box)
    sketch.labels.lines.append((*a, *b))
    return Cleared(a, b, text, gap, middle)


def draw_distance(sketch: Sketch, one: Cleared) -> None:
    """A line with arrowheads, broken for its length."""
    a, b, text, gap, middle = one
    length = math.dist(a, b)
    if length < 2:
        return
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    if middle is not None:
        x, y = middle
        sketch.labels.within([middle], (text,))
        sketch.line((a, (x - ux * gap, y - uy * gap)), 0.8)
        sketch.line(((x + ux * gap, y + uy * gap), b), 0.8)
    else:
        sketch.line((a, b), 0.8)
        sketch.labels.put((a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (text,), 1.0)
    for tip, sign in ((a, 1.0), (b, -1.0)):
        back = (tip[0] + sign * ux * 1.9, tip[1] + sign * uy * 1.9)
        sketch.signs.append(
            Polygon(
                (tip, (back[0] - uy * 0.6, back[1] + ux * 0.6), (back[0] + uy * 0.6, back[1] - ux * 0.6)),
                0,
                "ink",
                "ink",
            )
        )


BESIDE = 5.0  # mm: two lengths that stand nearer to each other in one line read as one


def _beside(sketch: Sketch, box: Box) -> float:
    """What it costs a length to stand in one line with another one."""
    near = [o for o in sketch.labels.lengths if o[1] < box[3] and box[1] < o[3]]
    return sum(2.0 * max(0.0, BESIDE - max(o[0] - box[2], box[0] - o[2])) for o in near)


NAMED_NEAR = 9.0  # mm: where the name of a thing is likely to be put


def _named_near(sketch: Sketch, box: Box) -> float:
    """What it costs a length that it takes the room which the names of things want."""
    return sum(max(0.0, NAMED_NEAR - apart(box, thing)) for thing in sketch.labels.things)


def _half(text: Words) -> tuple[float, float]:
    wide, tall = size_of((text,))
    return wide / 2, tall / 2


def arrow(shapes: list[Shape], x: float, y: float, degrees: float, half: float) -> None:
    dx, dy = math.sin(math.radians(degrees)), math.cos(math.radians(degrees))
    tip, tail = (x + dx * half, y + dy * half), (x - dx * half, y - dy * half)
    shapes.append(Line((tail, (tip[0] - dx * 2, tip[1] - dy * 2)), 0.9))
    back = (tip[0] - dx * 2.6, tip[1] - dy * 2.6)
    shapes.append(Polygon((tip, (back[0] - dy, back[1] + dx), (back[0] + dy, back[1] - dx)), 0, "ink", "ink"))
