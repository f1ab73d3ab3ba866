"""Which distances are drawn and listed: those with the least to spare, and all that fall short."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from specc import CHOICE, Context
from specc.kinds.geometry import Shape, corners, edges
from specc.kinds.targets import REACHED
from specc_site.plan import Apart, Plan

Spot2 = tuple[float, float]


POST = "post"
CLOSE_TIMES = 1.1  # what a distance needs: little more is within how well a site is measured
MANY_TIMES = 5  # what a distance needs: one so far off is no question


class Drawn(NamedTuple):
    apart: Apart
    ends: tuple[Spot2, Spot2]


def spare(one: Apart) -> float:
    """What is left of a distance, in m; without a needed one the distance itself."""
    return one.measured.si - (one.needed.si if one.needed is not None else 0.0)


def governing_of(listed: Iterable[Apart]) -> list[Apart]:
    """For each end (people, or what is kept away from) the one with the least to spare, and all short ones. Of a large
    flame and a small one the small may have fewer feet to spare, and the large is what is asked about: so also the one
    that is the fewest times what it needs."""
    least: dict[str, Apart] = {}
    fewest: dict[str, Apart] = {}
    kept: list[Apart] = []
    for one in listed:
        if one.short:
            kept.append(one)
        if one.end not in least or spare(one) < spare(least[one.end]):
            least[one.end] = one
        if one.end not in fewest or times(one) < times(fewest[one.end]):
            fewest[one.end] = one
    both = dict.fromkeys(one for end in least for one in (least[end], fewest[end]))
    return kept + [one for one in both if not one.short]


def times(one: Apart) -> float:
    """How many times what it needs a distance is; without a needed one, more than any."""
    return one.measured.si / one.needed.si if one.needed is not None and one.needed.si > 0 else math.inf


def drawn_of(plan: Plan, cylinders: Iterable[Apart]) -> list[Apart]:
    """Of cylinders and relief valves, what is drawn and listed first: what falls short, what has the least to spare,
    and of cylinders a flame that is not far off."""
    of_cylinders = list(cylinders)
    flames = {e.tag for e in plan.effects}
    short = [one for one in of_cylinders if one.short]
    tightest = min(of_cylinders, key=spare, default=None)
    own = {c.tag for c in plan.cylinders}
    close = (one for one in of_cylinders if one.start in own and one.end in flames and times(one) < MANY_TIMES)
    nearest = min(close, key=spare, default=None)
    return short + [one for one in dict.fromkeys((tightest, nearest)) if one and not one.short]


def from_flames(ctx: Context) -> list[Apart]:
    """The post and the place of gas that stand nearest to the farthest that a flame gets, faults counted."""
    return [
        Apart(one.start, one.place, one.apart, one.needed, one.why, CHOICE, one.at, POST if one.people else "")
        for one in ctx[REACHED]
    ]


def drawn_distances(
    plan: Plan, audience: Iterable[Apart], cylinders: Iterable[Apart], reached: Iterable[Apart] = ()
) -> list[Drawn]:
    """The lines on the plan: those that govern for the public, those of cylinders, and what stands close to where a
    flame can come."""
    listed = governing_of(audience) + drawn_of(plan, cylinders) + [one for one in reached if times(one) < CLOSE_TIMES]
    shapes: dict[str, tuple[Shape, ...]] = {s.tag: (s.shape,) for s in plan.places.values() if s.shape}
    shapes |= {e.tag: e.shapes for e in (*plan.effects, *plan.cylinders, *plan.reliefs) if e.shapes}
    made = []
    for one in listed:
        tried = [ends_of(a, b) for a in shapes.get(one.start, ()) for b in shapes.get(one.end, ())]
        if tried:
            made.append(Drawn(one, min(tried, key=lambda ends: math.dist(*ends))))
    return made


def ends_of(one: Shape, other: Shape) -> tuple[Spot2, Spot2]:
    """The two spots of shapes that are nearest to each other (where they do not cross)."""
    tried = []
    for mine, theirs, swap in ((one, other, False), (other, one, True)):
        for p in corners(mine):
            here = (p.x.si, p.y.si)
            for q in corners(theirs):
                tried.append((here, (q.x.si, q.y.si), swap))
            for a, b in edges(theirs):
                tried.append((here, foot(here, (a.x.si, a.y.si), (b.x.si, b.y.si)), swap))
    one_end, other_end, swapped = min(tried, key=lambda t: math.dist(t[0], t[1]))
    return (other_end, one_end) if swapped else (one_end, other_end)


def foot(p: Spot2, a: Spot2, b: Spot2) -> Spot2:
    """The spot of a straight piece that is nearest to p."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    whole = dx * dx + dy * dy
    t = max(0.0, min(1.0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / whole)) if whole else 0.0
    return a[0] + t * dx, a[1] + t * dy
