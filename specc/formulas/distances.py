"""Distances between points, lines and areas of the site, as values that know their inputs.

`distance` is on the level; `clear_distance` also counts heights. What is nearest decides, and is found by trying every
corner of one shape against every corner and edge of the other: on a plane no other pair can be nearest.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from specc.dims import Length
from specc.formulas.calculators import calculator
from specc.kinds.geometry import Area, Point, Shape, corners, edges, within
from specc.model.findings import Move
from specc.model.values import Citation, Equation, Quantity, Scalar, Symbol, Worked, terms_of

# Plane analytic geometry, worked out for this tool; no number in it comes from a source.
_PLANE = Citation("", "plane geometry", "practice")

_COORDINATES = (
    Symbol("x_1", "length", "place of the one, along x"),
    Symbol("y_1", "length", "place of the one, along y"),
    Symbol("x_2", "length", "place of the other, along x"),
    Symbol("y_2", "length", "place of the other, along y"),
)
_POINTS = Equation(
    forms=(("", "d = sqrt((x_2 - x_1)**2 + (y_2 - y_1)**2)"),),
    symbols=(*_COORDINATES, Symbol("d", "length", "distance on the level")),
    citations=(_PLANE,),
)
_EDGE = Equation(
    forms=(("", "d = abs((x_3 - x_2)*(y_2 - y_1) - (x_2 - x_1)*(y_3 - y_2))/sqrt((x_3 - x_2)**2 + (y_3 - y_2)**2)"),),
    symbols=(
        Symbol("x_1", "length", "place of the corner, along x"),
        Symbol("y_1", "length", "place of the corner, along y"),
        Symbol("x_2", "length", "one end of the edge, along x"),
        Symbol("y_2", "length", "one end of the edge, along y"),
        Symbol("x_3", "length", "other end of the edge, along x"),
        Symbol("y_3", "length", "other end of the edge, along y"),
        Symbol("d", "length", "distance on the level, square to the edge"),
    ),
    citations=(_PLANE,),
)
_LEAST = Equation(
    forms=(("", "~ the least of the distances d_i between a corner of the one and a corner or edge of the other"),),
    symbols=(Symbol("d_i", "length", "distances that can be the least, within the tolerances"),),
    citations=(_PLANE,),
)
_TOUCHING = Equation(
    forms=(("", "~ 0: they cross, touch, or one lies within the other"),),
    symbols=(Symbol("x_i", "length", "places along x"), Symbol("y_i", "length", "places along y")),
    citations=(_PLANE,),
)
_GAP = Equation(
    forms=(("", "v = z_2 - z_1 - h_1"),),
    symbols=(
        Symbol("z_1", "length", "highest point that the lower one is given by"),
        Symbol("h_1", "length", "how far the lower one stands up from there"),
        Symbol("z_2", "length", "lowest point of the upper one"),
        Symbol("v", "length", "free height between them"),
    ),
    citations=(_PLANE,),
)
_SLANT = Equation(
    forms=(("", "d = sqrt(l**2 + v**2)"),),
    symbols=(
        Symbol("l", "length", "distance on the level"),
        Symbol("v", "length", "free height between them"),
        Symbol("d", "length", "clear distance"),
    ),
    citations=(_PLANE,),
    validity="each stands straight up from its outline; where a height is not said, the distance on the level counts",
)


@calculator("distance-of-points", _POINTS)
def _of_points(x_1: Length, y_1: Length, x_2: Length, y_2: Length) -> Length:
    """The distance between two points on the level, all in m."""
    return math.hypot(x_2 - x_1, y_2 - y_1)


@calculator("distance-to-edge", _EDGE)
def _to_edge(x_1: Length, y_1: Length, x_2: Length, y_2: Length, x_3: Length, y_3: Length) -> Length:
    """The distance from a point to the line through two others on the level, all in m."""
    return abs((x_3 - x_2) * (y_2 - y_1) - (x_2 - x_1) * (y_3 - y_2)) / math.hypot(x_3 - x_2, y_3 - y_2)


@calculator("free-height", _GAP)
def _gap(z_1: Length, h_1: Length, z_2: Length) -> Length:
    """The free height between the top of one thing and the lowest point of another, all in m."""
    return z_2 - z_1 - h_1


@calculator("clear-distance", _SLANT, symbols="l v")
def _slant(level: Length, height: Length) -> Length:
    """The distance across a level distance and a free height, all in m."""
    return math.hypot(level, height)


def distance(one: Shape, other: Shape, name: str = "") -> Worked:
    """The least distance between two shapes on the level, in m: 0 where they cross or one lies within the other.

    The value's inputs are the coordinates of the corners and edges that are nearest, and of those that could be
    within their tolerances, so that the tolerances of all that can decide are counted. Raises ValueError for a line or
    an area without points.
    """
    if not corners(one) or not corners(other):
        raise ValueError("a shape without points has no distance from anything")
    said = name or "distance on the level"
    if _touch(one, other):
        points = corners(one) + corners(other)
        places = (("x_i", tuple(p.x for p in points)), ("y_i", tuple(p.y for p in points)))
        return Worked(0.0, "length", _TOUCHING, places, name=said)
    tried = sorted(_tried(one, other, said), key=lambda t: t[0].si)
    nearest, slack = tried[0]
    able = tuple(w for w, s in tried if w.si - s <= nearest.si + slack)
    if len(able) == 1:
        return nearest
    return Worked(nearest.si, "length", _LEAST, (("d_i", able),), name=said)


def clear_distance(
    one: Shape,
    other: Shape,
    height: Scalar | None = None,
    other_height: Scalar | None = None,
    name: str = "",
) -> Worked:
    """The least distance between two shapes in space, in m. `height` and `other_height` are how far each stands up.

    A shape stands straight up from its lowest point to its highest, plus its height. Never more than the true
    distance: where the heights of either are not said, or overlap, the distance on the level is given. Raises
    ValueError as `distance` does.
    """
    level = distance(one, other, name)
    lower, lower_height, upper = one, height, other
    low, high = _heights(one), _heights(other)
    if low is None or high is None:
        return level
    if high[1].si < low[0].si:
        lower, lower_height, upper = other, other_height, one
    top, foot = _heights(lower), _heights(upper)
    assert top is not None and foot is not None  # noqa: PT018
    if lower_height is None:
        return level
    gap = _gap.work("free height", z_1=top[1], h_1=lower_height, z_2=foot[0])
    return _slant.work(name or "clear distance", level=level, height=gap) if gap.si > 0 else level


def farther(place: str, about: str, mine: Shape, other: Shape, by: float = 0.0) -> Move:
    """The place `place` (its shape is `mine`) moved away from another one, by what is lacking in m as far as known."""
    x, y = _between(mine, other)
    return Move(place, about, (x, y), by)


def nearer(place: str, about: str, mine: Shape, other: Shape, by: float = 0.0) -> Move:
    """The place moved toward another one."""
    x, y = _between(mine, other)
    return Move(place, about, (-x, -y), by)


def _between(mine: Shape, other: Shape) -> tuple[float, float]:
    """From the spot of another shape that is nearest to this one, to this one; of two that touch, between middles."""
    pairs = ((a, b) for a in _spots(mine, other) for b in _spots(other, mine))
    a, b = min(pairs, key=lambda pair: math.dist(*pair))
    if _touch(mine, other) or math.dist(a, b) < 1e-6:
        a, b = _middle(mine), _middle(other)
    return a[0] - b[0], a[1] - b[1]


def _spots(shape: Shape, other: Shape) -> Iterator[tuple[float, float]]:
    """A shape's corners, and the spots of its edges beside the corners of another."""
    yield from ((p.x.si, p.y.si) for p in corners(shape))
    for a, b in edges(shape):
        across, along = b.x.si - a.x.si, b.y.si - a.y.si
        whole = across**2 + along**2
        for p in corners(other) if whole else ():
            part = ((p.x.si - a.x.si) * across + (p.y.si - a.y.si) * along) / whole
            if 0 < part < 1:
                yield a.x.si + part * across, a.y.si + part * along


def _middle(shape: Shape) -> tuple[float, float]:
    listed = corners(shape)
    return sum(p.x.si for p in listed) / len(listed), sum(p.y.si for p in listed) / len(listed)


def _heights(shape: Shape) -> tuple[Scalar, Scalar] | None:
    """The lowest and the highest z of a shape's points; None where one of them does not say it."""
    listed = [p.z for p in corners(shape) if p.z is not None]
    if len(listed) < len(corners(shape)):
        return None
    return min(listed, key=lambda z: z.si), max(listed, key=lambda z: z.si)


def _tried(one: Shape, other: Shape, name: str) -> Iterator[tuple[Worked, float]]:
    """Every pair of a corner with a corner or an edge, and how far tolerances can move its distance."""
    for p in corners(one):
        for q in corners(other):
            yield _of_points.work(name, x_1=p.x, y_1=p.y, x_2=q.x, y_2=q.y), _slack(p, q)
    for mine, theirs in ((one, other), (other, one)):
        for p in corners(mine):
            for a, b in edges(theirs):
                if _beside(p, a, b):
                    worked = _to_edge.work(name, x_1=p.x, y_1=p.y, x_2=a.x, y_2=a.y, x_3=b.x, y_3=b.y)
                    yield worked, _slack(p, a, b)


def _slack(*points: Point) -> float:
    """No distance between points changes by more than they move."""
    return sum(_moves(p.x) + _moves(p.y) for p in points)


def _moves(value: Scalar) -> float:
    if isinstance(value, Quantity):
        return max(value.minus, value.plus)
    if isinstance(value, Worked):
        moved = 0.0
        for _, given in value.inputs:
            terms = terms_of(given)
            moved += sum(_moves(term) for term in terms)
        return moved
    return 0.0


def _beside(p: Point, a: Point, b: Point) -> bool:
    """Whether the spot of the line through a and b that is nearest to p lies between them."""
    across, along = b.x.si - a.x.si, b.y.si - a.y.si
    whole = across**2 + along**2
    part = (p.x.si - a.x.si) * across + (p.y.si - a.y.si) * along
    return whole > 0 and 0 < part < whole


def _touch(one: Shape, other: Shape) -> bool:
    for mine, theirs in ((one, other), (other, one)):
        if isinstance(theirs, Area) and any(within(p.x.si, p.y.si, theirs) for p in corners(mine)):
            return True
    return any(_cross(a, b, c, d) for a, b in edges(one) for c, d in edges(other))


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    def side(p: Point, q: Point, r: Point) -> float:
        return (q.x.si - p.x.si) * (r.y.si - p.y.si) - (q.y.si - p.y.si) * (r.x.si - p.x.si)

    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0


__all__ = ["clear_distance", "distance"]
