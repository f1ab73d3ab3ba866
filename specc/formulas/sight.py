"""Whether one sees from one spot to another past what stands in the way."""

from __future__ import annotations

import math
from collections.abc import Sequence

from specc.formulas.ways import CLEAR, Ground, Obstacle, Spot2


def in_sight(
    eye: tuple[float, float, float], target: tuple[float, float, float], obstacles: Sequence[Obstacle]
) -> tuple[str, ...]:
    """The tags of what stands between an eye and what it looks at (x, y, z in m); none: it is seen.

    What is lower than the line of sight where it crosses is looked over; one whose height is not said is not. An
    obstacle that either end stands in (a tent one works in) does not count, but out of a building, and into it, one
    sees by its openings alone; one that an end only touches counts where the line runs through it.
    """
    made = []
    flat_a, flat_b = eye[:2], target[:2]
    size = math.dist(flat_a, flat_b)
    hair = min(0.5, 4 * CLEAR / size) if size else 0.5
    for one in obstacles:
        own = Ground((one,))
        within = any(all(own.inside(spot) for spot in _about(end, flat_a, flat_b, hair)) for end in (flat_a, flat_b))
        if within and one.openings is None:
            continue
        shares = [
            t
            for ring in one.rings
            for i in range(len(ring))
            if (t := _meets(flat_a, flat_b, ring[i - 1], ring[i])) is not None and hair < t < 1 - hair
        ]
        if not shares:
            continue
        lowest = min(eye[2] + t * (target[2] - eye[2]) for t in shares)
        hides = one.top is None or lowest <= one.top
        if within:
            spots = [(flat_a[0] + t * (flat_b[0] - flat_a[0]), flat_a[1] + t * (flat_b[1] - flat_a[1])) for t in shares]
            hides &= any(all(math.dist(s, o.at) > o.width / 2 for o in one.openings or ()) for s in spots)
        made += [one.tag] if hides else []
    return tuple(made)


def _about(end: Spot2, a: Spot2, b: Spot2, hair: float) -> tuple[Spot2, Spot2]:
    """The spots a hair before and behind an end of the line from a to b."""
    dx, dy = (b[0] - a[0]) * hair, (b[1] - a[1]) * hair
    return (end[0] - dx, end[1] - dy), (end[0] + dx, end[1] + dy)


def _meets(a: Spot2, b: Spot2, c: Spot2, d: Spot2) -> float | None:
    """How far along from a to b the piece from c to d is crossed, from 0 to 1; None where it is not."""
    dx, dy, ex, ey = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    cross = dx * ey - dy * ex
    if cross == 0:
        return None
    t = ((c[0] - a[0]) * ey - (c[1] - a[1]) * ex) / cross
    u = ((c[0] - a[0]) * dy - (c[1] - a[1]) * dx) / cross
    return t if 0 <= t <= 1 and 0 <= u <= 1 else None


__all__ = ["in_sight"]
