"""The places, in the site's coordinates."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from typing import cast

from specc.formulas.distances import distance
from specc.formulas.ways import AT_WALL
from specc.kinds.geometry import Area, Point, Polyline, Shape, corners, edges, within
from specc.kinds.places import PLACES, Door, PlaceKind, Spot
from specc.model.passes import Context, value
from specc.model.values import Quantity
from specc.model.view import Unreadable, View


@value(PLACES, reads=("places",))
def places(ctx: Context) -> Mapping[str, Spot]:
    """The places. One whose coordinates were refused is there without them, so that the others still count."""
    made = {}
    for tag, p in ctx.spec("places").children():
        point, area, note = None, None, ""
        shape: Shape | None = None
        height: Quantity | None = None
        width: Quantity | None = None
        people: int | None = None
        blocks: tuple[str, ...] = ()
        kind: PlaceKind = ""
        with suppress(Unreadable):
            note = p.text_or("note")
            kind = cast("PlaceKind", p.text_or("kind"))
            blocks = _blocks(p, kind)
            spot = _point(p.quantities("at"))
            if spot is not None:
                point = (spot.x.si, spot.y.si, spot.z.si if spot.z else 0.0)
            area = tuple((q.x.si, q.y.si) for q in _points(p.list_of("area"))) or None
            shape = _shape(p, spot)
            height = p.quantity_or_none("height")
            width, people = p.quantity_or_none("width"), p.whole("people") if p.has("people") else None
        made[tag] = Spot(tag, point, area, note, p.at, shape, height, blocks, kind, width, people)
    return {tag: _walked_in(_opened(spot, made), made) for tag, spot in made.items()}


# What nobody sees or walks through, said or not. A tent is walked in and out of.
_SOLID: Mapping[str, tuple[str, ...]] = {
    "building": ("sight", "walking"), "vehicle": ("sight", "walking"), "tent": ("sight",),
}  # fmt: skip


def _blocks(place: View, kind: PlaceKind) -> tuple[str, ...]:
    """What a place is in the way of: a barrier of walking too, for the crew as for the public, unless the spec says
    that the crew passes it."""
    told = place.texts("blocks") if place.has("blocks") else _SOLID.get(kind, ())
    stops = kind == "barrier" and "walking" not in told and not place.yes("crew_passes")
    return (*told, "walking") if stops else told


def _walked_in(spot: Spot, places: Mapping[str, Spot]) -> Spot:
    """What has doors is walked in and out of by these. A vehicle that people or things have their place on is climbed
    at any side. A hall with the public in it has doors, though nothing says where: it stops nobody. Who works in a hut
    is not seen to get out of it, until the spec says where its door is."""
    area = spot.shape
    if "walking" not in spot.blocks or not isinstance(area, Area):
        return spot
    others = [other for other in places.values() if other.tag != spot.tag]
    if spot.doors:
        return spot
    if spot.kind == "vehicle":
        return spot._replace(climbed=any(within(*other.ground, area) for other in others if other.ground))
    if spot.kind != "building" or spot.blocks != _SOLID[spot.kind]:
        return spot
    public = (o.shape for o in others if o.kind in ("audience", "queue", "performance") and o.shape)
    inside = [(p.x.si, p.y.si) for shape in public for p in corners(shape)]
    return spot._replace(blocks=("sight",)) if any(within(*there, area) for there in inside) else spot


def _opened(spot: Spot, places: Mapping[str, Spot]) -> Spot:
    """With the openings and exits in the walls of an area that is in the way. An opening that says no width may be a
    window: nobody walks through it, and one sees through it as far to its sides as its coordinates may be off."""
    if not spot.blocks or not isinstance(spot.shape, Area):
        return spot
    openings, doors = [], []
    for other in places.values():
        if other.kind in ("opening", "exit") and isinstance(other.shape, Point) and _in_wall(other.shape, spot.shape):
            width = other.width.si if other.width else 2 * AT_WALL
            openings.append(Door((other.shape.x.si, other.shape.y.si), width))
            doors += openings[-1:] if other.width and "walking" in spot.blocks else []
    return spot._replace(doors=tuple(doors), openings=tuple(openings))


def _in_wall(opening: Point, area: Area) -> bool:
    return min(distance(Polyline(wall), opening).si for wall in edges(area)) <= AT_WALL * (1 + 1e-9)


def _point(at: tuple[Quantity, ...]) -> Point | None:
    return Point(at[0], at[1], at[2] if len(at) > 2 else None) if len(at) >= 2 else None


def _points(listed: object) -> tuple[Point, ...]:
    """Points of a list of coordinates, as `View.list_of` gives it."""
    assert isinstance(listed, tuple | list)
    return tuple(p for one in listed if (p := _point(tuple(_read(q) for q in one))) is not None)


def _read(coordinate: object) -> Quantity:
    """A refused coordinate deep in a list stands there as what it is not."""
    if not isinstance(coordinate, Quantity):
        raise Unreadable(getattr(coordinate, "at", ""))
    return coordinate


def _shape(place: View, spot: Point | None) -> Shape | None:
    outline = _points(place.list_of("area"))
    if outline:
        return Area(outline, tuple(_points(hole) for hole in place.list_of("holes")))
    line = _points(place.list_of("line"))
    return Polyline(line) if line else spot
