"""Which places might be moved where something stands too near to a flame: the place itself, or the burner's."""

from __future__ import annotations

from specc import Context, Move, farther
from specc.kinds.geometry import Shape
from specc.kinds.outlets import OutletPlace
from specc.kinds.places import MOVED_EASILY, PLACES
from specc.kinds.plumbing import NETWORK
from specc.kinds.show import EFFECTS
from specc_flame.heat import FAR, STANDS, places_of
from specc_flame.keys import OUTLETS

MOVES_NEED = (PLACES, NETWORK, EFFECTS, FAR, STANDS, OUTLETS)


def burner_place(ctx: Context, outlet: OutletPlace) -> str:
    """The tag of the place that an outlet stands at: its own, or its effect's; "" for none."""
    own = places_of(ctx[NETWORK].by_tag[outlet.tag]) if outlet.tag in ctx[NETWORK].by_tag else ()
    return own[0] if own else next((e.place for e in ctx[EFFECTS] if e.tag == outlet.effect), "")


def off(ctx: Context, place: str, outlet: str = "") -> tuple[Move, ...]:
    """A place moved away from the flame of an outlet, or of the nearest; where it stays, such as a tree, or no spot
    would do for it, the burner's place moved away from it."""
    near = outlet or min((o for o, p in ctx[FAR] if p == place), key=lambda o: ctx[FAR][o, place].si, default="")
    stand = ctx[STANDS].get(place)
    if not near or stand is None:
        return ()
    return apart(ctx, place, stand.shape, ctx[OUTLETS][near])


def apart(ctx: Context, place: str, shape: Shape, outlet: OutletPlace, by: float = 0.0) -> tuple[Move, ...]:
    """The same for a place whose shape is given, by what is lacking in m as far as known."""
    if outlet.point is None:
        return ()
    spot, burner = ctx[PLACES].get(place), burner_place(ctx, outlet)
    moved = spot is not None and (not spot.kind or spot.kind in MOVED_EASILY)
    moves = [farther(place, outlet.tag, shape, outlet.point, by)] if moved else []
    if burner and burner != place:
        moves.append(farther(burner, place, outlet.point, shape, by))
    return tuple(moves)
