"""Where each outlet is on the site, from its effect's place, its offset and its own height; and which way it points."""

from __future__ import annotations

from specc import Context, Equation, Symbol, calculator, value
from specc.dims import Length
from specc.kinds.geometry import Aim, Point
from specc.kinds.outlets import OUTLET_PLACES, OutletPlace
from specc.kinds.places import PLACES
from specc.kinds.plumbing import NETWORK, OUTLETS, Part
from specc.kinds.show import EFFECTS
from specc.model.values import Citation, Scalar

_SUM = Equation(
    forms=(("", "x = x_0 + o"),),
    symbols=(
        Symbol("x_0", "length", "place of the effect, along one axis of the site"),
        Symbol("o", "length", "offset of the outlet, along the same"),
        Symbol("x", "length", "place of the outlet, along the same"),
    ),
    citations=(Citation("", "a sum", "practice"),),
)


@calculator("outlet-place", _SUM, symbols="x_0 o")
def outlet_place(place: Length, offset: Length) -> Length:
    """Where an outlet is along one axis of the site. x = x_0 + o, all in m. Source: a sum."""
    return place + offset


def _aim(part: Part) -> Aim | None:
    if not part.spec.has("aim"):
        return None
    aim = part.spec.child("aim")
    return Aim(aim.quantity("tilt"), aim.quantity_or_none("bearing"))


def _moved(part: Part, place: Point) -> Point:
    x: Scalar = place.x
    y: Scalar = place.y
    offset = part.spec.quantities("offset")
    if offset:
        x = outlet_place.work(f"{part.tag} along x", place=x, offset=offset[0])
        y = outlet_place.work(f"{part.tag} along y", place=y, offset=offset[1])
    return Point(x, y, part.spec.quantity_or_none("height") or place.z)


@value(OUTLET_PLACES, needs=(NETWORK,), wants=(EFFECTS, PLACES))
def outlet_places(ctx: Context) -> tuple[OutletPlace, ...]:
    """An outlet's own place goes before its effect's. A place that is an area or a line is no point to start from."""
    effects = {outlet: e for e in ctx.get(EFFECTS) or () for outlet in e.outlets}
    places = ctx.get(PLACES) or {}
    made = []
    for part in ctx[NETWORK].of_kind(*OUTLETS):
        effect = effects.get(part.tag)
        own = part.spec["place"] if part.spec.has("place") else ""
        spot = places.get(own if isinstance(own, str) and own else effect.place if effect else "")
        point = _moved(part, spot.shape) if spot and isinstance(spot.shape, Point) else None
        made.append(OutletPlace(part.tag, effect.tag if effect else "", point, _aim(part), part.at))
    return tuple(made)
