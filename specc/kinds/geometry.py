"""Where things are on the site: points, lines and areas, in the frame of `places:`.

x and y lie on the level and z is up, in meters from the site's own origin. A coordinate is a value that knows where
it comes from (a `Quantity` of the spec, or a `Worked` value such as a place plus an offset), so that a distance
can be traced to the spec's lines and takes up their tolerances. `specc.distance` measures between any two of these.

A height that is not said is None, which is not the ground: what is compared by height has to say so.
"""

from __future__ import annotations

from typing import Literal, NamedTuple, TypeAlias

from specc.model.values import Quantity, Scalar

Blocks: TypeAlias = Literal["sight", "walking", "heat", "wind"]
BLOCKS: tuple[Blocks, ...] = ("sight", "walking", "heat", "wind")
"""What something on the site can be in the way of."""


class Point(NamedTuple):
    """A spot on the site, in m."""

    x: Scalar
    y: Scalar
    z: Scalar | None = None


class Polyline(NamedTuple):
    """A line through two or more points: a rope, a wire, a hose's way, a fire lane's middle."""

    points: tuple[Point, ...]


class Area(NamedTuple):
    """What lies within an outline of three or more corners, but for its holes. The last corner joins the first."""

    outline: tuple[Point, ...]
    holes: tuple[tuple[Point, ...], ...] = ()


Shape: TypeAlias = Point | Polyline | Area

FLAT = Quantity(0.0, "length", "0 m")
"""The height of what does not stand up at all, such as a jet: not the same as a height that is not said."""


class Aim(NamedTuple):
    """Which way an outlet points: `tilt` from straight up, and the `bearing` it tilts toward, clockwise from the
    site's y axis. Level is a tilt of 90 degrees. `bearing` is None when it points straight up or none is said."""

    tilt: Quantity
    bearing: Quantity | None


def corners(shape: Shape) -> tuple[Point, ...]:
    """All points that a shape is given by."""
    if isinstance(shape, Point):
        return (shape,)
    if isinstance(shape, Polyline):
        return shape.points
    return shape.outline + tuple(p for hole in shape.holes for p in hole)


def edges(shape: Shape) -> tuple[tuple[Point, Point], ...]:
    """The straight pieces between those points: none of a point; of an area also those that close its rings."""
    if isinstance(shape, Point):
        return ()
    if isinstance(shape, Polyline):
        return tuple(zip(shape.points, shape.points[1:], strict=False))
    rings = (shape.outline, *shape.holes)
    return tuple((ring[i - 1], ring[i]) for ring in rings for i in range(len(ring)))


def size_of(area: Area) -> float:
    """What an area covers, in m2, without its holes, whichever way round its rings are given."""

    def enclosed(ring: tuple[Point, ...]) -> float:
        pairs = zip(ring, (*ring[1:], ring[0]), strict=True)
        return abs(sum(a.x.si * b.y.si - b.x.si * a.y.si for a, b in pairs)) / 2

    return enclosed(area.outline) - sum(map(enclosed, area.holes))


def within(x: float, y: float, area: Area) -> bool:
    """Whether a spot on the level (in m) lies within an area and in none of its holes."""
    inside = False
    for a, b in edges(area):
        if (a.y.si > y) != (b.y.si > y) and x < a.x.si + (y - a.y.si) * (b.x.si - a.x.si) / (b.y.si - a.y.si):
            inside = not inside
    return inside
