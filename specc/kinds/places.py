"""Places on the site, in the core's one frame: x and y on the ground, z up, in meters."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from specc.model.passes import Key


class Spot(NamedTuple):
    """A place by tag. `point` (x, y, z in m; z is 0 when not given) and `area` (corners on the ground) are
    None when the spec gives no coordinates, or gave some that were refused."""

    tag: str
    point: tuple[float, float, float] | None
    area: tuple[tuple[float, float], ...] | None
    note: str
    at: str

    @property
    def ground(self) -> tuple[float, float] | None:
        """Where it is on the level, in m."""
        return self.point[:2] if self.point else None


PLACES: Key[Mapping[str, Spot]] = Key("core.places", dict)
"""All places by tag."""
