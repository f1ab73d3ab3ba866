"""Places on the site, in the core's one frame: x and y on the ground, z up, in meters."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, NamedTuple, TypeAlias

from specc.kinds.geometry import Shape, corners
from specc.model.passes import Key
from specc.model.values import Quantity

PlaceKind: TypeAlias = Literal[
    "", "audience", "queue", "crew", "performance", "fuel_store", "building",
    "opening", "ignition", "tent", "vehicle", "generator", "tree", "wires", "exit",
    "fire_lane", "public_way", "property_line", "barrier", "walkway", "low_place", "fuel_dispenser", "combustible",
]  # fmt: skip
"""What a place is on the site plan; "" where nothing says it."""


MOVED_EASILY: tuple[PlaceKind, ...] = (
    "audience", "queue", "crew", "performance", "fuel_store", "tent", "vehicle", "generator", "combustible", "barrier",
)  # fmt: skip
"""What makers can put elsewhere: a tent, but no tree, and no way in."""


class Door(NamedTuple):
    """Where one walks through a wall: the middle of the gap on the level, and how wide it is, in m."""

    at: tuple[float, float]
    width: float


class Spot(NamedTuple):
    """A place by tag. `point` (x, y, z in m; z is 0 when not given) and `area` (corners on the ground) are
    None when the spec gives no coordinates, or gave some that were refused.

    `shape` is the same place with values that know where they come from: its area if it has one, else its line,
    else its point. `height` is how far it stands up from there, None when not said; `blocks` what it is in the way
    of ("sight", "walking", "heat", "wind"), as stated, else what its kind is in the way of.
    `kind`: what is there, such as "audience" or "tent"; "" when not said. `width` is an exit's or a door's, `people`
    how many an area of the public is to hold. `doors`: where one walks through the walls of an area that is in the way,
    `openings`: where one sees through them, doors among these;
    `climbed`: a vehicle that people or things have their place on, which one gets on and off at any side.
    """

    tag: str
    point: tuple[float, float, float] | None
    area: tuple[tuple[float, float], ...] | None
    note: str
    at: str
    shape: Shape | None = None
    height: Quantity | None = None
    blocks: tuple[str, ...] = ()
    kind: PlaceKind = ""
    width: Quantity | None = None
    people: int | None = None
    doors: tuple[Door, ...] = ()
    openings: tuple[Door, ...] = ()
    climbed: bool = False

    @property
    def ground(self) -> tuple[float, float] | None:
        """Where it is on the level, in m."""
        return self.point[:2] if self.point else None

    @property
    def stands(self) -> tuple[float, float] | None:
        """Where somebody or something stands that is put there: its point, else its first corner."""
        if self.point or self.shape is None:
            return self.ground
        first = corners(self.shape)[0]
        return first.x.si, first.y.si


PLACES: Key[Mapping[str, Spot]] = Key("core.places", dict)
"""All places by tag."""
