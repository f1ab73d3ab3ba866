"""Where the plan shows nothing: an open circle on each side of the effects that nothing is described on."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from specc.drawing.shapes import Circle
from specc.kinds.geometry import Area, Point, within
from specc_site.labels import Words
from specc_site.people import CLOSES, open_sides
from specc_site.plan import Plan
from specc_site.sketch import Sketch

Spot2 = tuple[float, float]


def draw_open_sides(sketch: Sketch, plan: Plan, radius: float, said: Sequence[Words]) -> bool:
    """The circles, each with what is said of it, and whether there are any. Effects whose rings lie on one another are
    one: of two that stand far apart each has sides of its own, and what is open beyond the one is no side of both."""
    points = [(s.x.si, s.y.si) for e in plan.effects for s in e.shapes if isinstance(s, Point)]
    found = False
    for group in _together(points, 2 * radius):
        left = sorted(set.intersection(*(set(open_sides(plan, spot)) for spot in group)))
        middle = (sum(x for x, _ in group) / len(group), sum(y for _, y in group) / len(group))
        for angle in _shown(left):
            if (spot := _free(sketch, plan, middle, radius, angle)) is not None:
                sketch.signs.append(Circle(*spot, 1.1, 0.9, "ink", "white"))
                sketch.labels.keep_off(*spot, 1.2)
                sketch.labels.put(*spot, said)
        found = found or bool(left)
    return found


def _together(points: Iterable[Spot2], near: float) -> list[list[Spot2]]:
    """Groups of spots: each of a group has another one nearer than `near`."""
    groups: list[list[Spot2]] = []
    for spot in dict.fromkeys(points):
        joined = [g for g in groups if any(math.dist(spot, other) < near for other in g)]
        groups = [g for g in groups if g not in joined] + [[spot, *(s for g in joined for s in g)]]
    return groups


def _shown(left: Sequence[int]) -> Iterator[int]:
    """One direction for each run of open ones, and several for a wide one."""
    spans: list[list[int]] = []
    for angle in left:
        if spans and angle - spans[-1][-1] <= 5:
            spans[-1].append(angle)
        else:
            spans.append([angle])
    for span in spans:
        yield from span[len(span) // 2 :: 24][:4] if len(span) > 24 else [span[len(span) // 2]]


def _free(sketch: Sketch, plan: Plan, middle: Spot2, radius: float, angle: int) -> Spot2 | None:
    """A spot of the paper in that direction, on no area that is described; None where none is on the sheet."""
    frame = sketch.labels.frame
    areas = [s.shape for s in plan.of(*CLOSES) if isinstance(s.shape, Area)]
    for share in (1.15, 1.0, 0.8, 0.6, 0.3):
        far = radius * share
        x, y = middle[0] + far * math.sin(math.radians(angle)), middle[1] + far * math.cos(math.radians(angle))
        on = sketch.at(x, y)
        seen = frame[0] + 4 < on[0] < frame[2] - 4 and frame[1] + 4 < on[1] < frame[3] - 4
        if seen and not any(within(x, y, area) for area in areas):
            return on
    return None
