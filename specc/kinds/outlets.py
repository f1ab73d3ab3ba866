"""Where each outlet is on the site and which way it points: what a flame's height and a distance are taken from."""

from __future__ import annotations

from typing import NamedTuple

from specc.kinds.geometry import Aim, Point
from specc.model.passes import Key


class OutletPlace(NamedTuple):
    """A burner or pilot on the site. `effect`: the effect it belongs to, or "".

    `point` is the place of its effect (or its own place, where it has one) moved by its offset, at its own height
    where that is said; None where nothing says where it is. `aim` is None where nothing is said: not checked, not up.
    """

    tag: str
    effect: str
    point: Point | None
    aim: Aim | None
    at: str


OUTLET_PLACES: Key[tuple[OutletPlace, ...]] = Key("plumbing.outlet_places", tuple)
"""One for each burner and pilot of the plumbing."""
