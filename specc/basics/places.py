"""The places, in the site's coordinates."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress

from specc.kinds.places import PLACES, Spot
from specc.model.passes import Context, value
from specc.model.values import Quantity
from specc.model.view import Unreadable, View


@value(PLACES, reads=("places",))
def places(ctx: Context) -> Mapping[str, Spot]:
    """The places. One whose coordinates were refused is there without them, so that the others still count."""
    made = {}
    for tag, p in ctx.spec("places").children():
        point, area, note = None, None, ""
        with suppress(Unreadable):
            note = p.text_or("note")
            at = [q.si for q in p.quantities("at")]
            point = (at[0], at[1], at[2] if len(at) > 2 else 0.0) if len(at) >= 2 else None
            area = _corners(p)
        made[tag] = Spot(tag, point, area, note, p.at)
    return made


def _corners(place: View) -> tuple[tuple[float, float], ...] | None:
    """The corners of a place's area on the ground, in m."""
    corners = []
    for corner in place.list_of("area"):
        across, along, *_ = (q.si for q in corner if isinstance(q, Quantity))  # type: ignore[attr-defined]
        corners.append((across, along))
    return tuple(corners) or None


PASSES = (places,)
