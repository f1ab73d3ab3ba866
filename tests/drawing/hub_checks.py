"""What is asked where lines end at a manifold, a tee, a cross or a ring: none joins another before it gets there."""

from __future__ import annotations

import sys
from itertools import pairwise
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from drawing_checks import HAIR, Links
from plumbing_checks import segments

from specc.drawing.cells import RAIL
from specc.drawing.channel import HOP
from specc.drawing.flow import Node
from specc.drawing.shapes import Arc, Circle, Drawing, Line, Polygon, RoundRect, Sheet, Text

Point = tuple[float, float]
Segment = tuple[float, float, float, float]
MANIFOLD = 1.4  # radius of its ends, mm


def on(x: float, y: float, s: Segment) -> bool:
    return s[0] - HAIR <= x <= s[2] + HAIR and s[1] - HAIR <= y <= s[3] + HAIR


def rails(sheet: Sheet) -> list[Segment]:
    lines = [s for s in sheet.shapes if isinstance(s, Line) and s.weight == RAIL]
    return [
        (min(p[0], q[0]), min(p[1], q[1]), max(p[0], q[0]), max(p[1], q[1]))
        for line in lines
        for p, q in pairwise(line.points)
    ]


def dots(sheet: Sheet) -> list[Point]:
    """Of tees and of crosses."""
    round_ = [(s.x, s.y) for s in sheet.shapes if isinstance(s, Circle) and s.fill == "ink" and s.radius == 0.75]
    square = [s for s in sheet.shapes if isinstance(s, Polygon) and s.fill == "ink" and len(s.points) == 4]
    return round_ + [(sum(x for x, _ in s.points) / 4, sum(y for _, y in s.points) / 4) for s in square]


def junctions(sheet: Sheet) -> list[Point]:
    """Where connectors lead off in three ways or more."""
    found = segments(sheet)
    lying = [s for s in found if s[3] - s[1] < HAIR < s[2] - s[0]]
    upright = [s for s in found if s[2] - s[0] < HAIR < s[3] - s[1]]
    points = {(round(x, 3), round(y, 3)) for a, b, c, d in found for x, y in ((a, b), (c, d))}
    many = []
    for x, y in points:
        ways = {"left" for s in lying if on(x, y, s) and s[0] < x - HAIR}
        ways |= {"right" for s in lying if on(x, y, s) and s[2] > x + HAIR}
        ways |= {"down" for s in upright if on(x, y, s) and s[1] < y - HAIR}
        ways |= {"up" for s in upright if on(x, y, s) and s[3] > y + HAIR}
        if len(ways) > 2:
            many.append((x, y))
    return many


def check_junctions(sheet: Sheet) -> int:
    """Lines meet or part only at a fitting's own mark: its body, its heavy upright, its dot. Gives how often."""
    found = junctions(sheet)
    bodies = [
        (s.x, s.y, s.x + s.width, s.y + s.height)
        for s in sheet.shapes
        if isinstance(s, RoundRect) and s.radius in (MANIFOLD, 3.4)
    ]
    marks = [*bodies, *rails(sheet), *((x, y, x, y) for x, y in dots(sheet))]
    for x, y in found:
        assert any(on(x, y, mark) for mark in marks), (x, y)
    return len(found)


def manifolds(sheet: Sheet) -> dict[str, list[RoundRect]]:
    """Their bodies, by the words right under each."""
    texts = [s for s in sheet.shapes if isinstance(s, Text)]
    found: dict[str, list[RoundRect]] = {}
    for body in (s for s in sheet.shapes if isinstance(s, RoundRect) and s.radius == MANIFOLD and s.width == 2.8):
        under = [t for t in texts if abs(t.x - body.x - 1.4) < HAIR and 0 < body.y - t.y < 5.0 and t.anchor == "middle"]
        found.setdefault(max(under, key=lambda t: t.y).text, []).append(body)
    return found


def lines_at(sheet: Sheet, body: RoundRect) -> int:
    """How many lines end at a body, or at the heavy uprights that are joined to it."""
    own: list[Segment] = [(body.x, body.y, body.x + body.width, body.y + body.height)]
    hops = [s for s in sheet.shapes if isinstance(s, Arc) and s.radius == HOP]
    heavy = rails(sheet)
    while True:
        ends = [(s[i], s[j]) for s in own for i, j in ((0, 1), (2, 3))]
        over = [
            (h.x + side * HOP, h.y) for h in hops for side in (-1, 1)
            if any(abs(h.x - side * HOP - x) < HAIR and abs(h.y - y) < HAIR for x, y in ends)
        ]  # fmt: skip
        more = [
            r for r in heavy
            if r not in own and (
                any(on(r[i], r[j], s) for s in own for i, j in ((0, 1), (2, 3)))
                or any(on(x, y, r) for x, y in ends if len(own) > 1)
                or any(abs(r[i] - x) < HAIR and abs(r[1] - y) < HAIR for x, y in over for i in (0, 2))
            )
        ]  # fmt: skip
        if not more:
            break
        own += more
    ends_here = set()
    for s in segments(sheet):
        # A stretch between two places at the part, with its middle off it, is a line that leads back to it.
        places = ((s[0], s[1]), (s[2], s[3]), ((s[0] + s[2]) / 2, (s[1] + s[3]) / 2))
        if all(any(on(x, y, mark) for mark in own) for x, y in places):
            continue
        for i, j in ((0, 1), (2, 3)):
            if any(on(s[i], s[j], mark) for mark in own):
                ends_here.add((round(s[i], 2), round(s[j], 2), i, s[0] < s[2] - HAIR))
    return len(ends_here)


def check_manifolds(drawing: Drawing, nodes: list[Node], links: Links, standing: frozenset[str] = frozenset()) -> int:
    """In a drawing on one sheet: as many lines end at each manifold as are linked to it. Gives how many manifolds."""
    (sheet,) = drawing.sheets
    found = manifolds(sheet)
    wanted = [n.tag for n in nodes if n.symbol == "manifold"]
    assert sorted(found) == sorted(wanted)
    for tag in wanted:
        (body,) = found[tag]
        ends = [link for link in dict.fromkeys(links) if tag in link and not standing.intersection(link)]
        assert lines_at(sheet, body) == sum(link.count(tag) for link in ends), tag
    return len(wanted)
