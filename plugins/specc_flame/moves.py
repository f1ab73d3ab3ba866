"""What might be moved where something stands too near to a flame: its place, the burner's, or how far off it is said
to be."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from specc import Context, Cure, Move, farther
from specc.kinds.geometry import Shape
from specc.kinds.outlets import OutletPlace
from specc.kinds.places import MOVED_EASILY, PLACES
from specc.kinds.plumbing import NETWORK
from specc.kinds.show import EFFECTS
from specc.measure.units import FOOT
from specc.model.values import Quantity, Scalar
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


def far_enough(around: Sequence[tuple[str, Scalar, bool]], passes: Callable[[float], bool]) -> Cure | None:
    """How far off something would pass, moved straight away from all flames: for what is said to be so far off, each
    outlet with its distance and whether it is above it. What stands at a place is moved on the plan.

    `passes`: whether it does when it is so much farther off, in m.
    """
    low, high = 0.0, 0.25
    while not passes(high) and high < 200:
        low, high = high, 2 * high
    if not passes(high):
        return None
    for _ in range(30):
        middle = (low + high) / 2
        low, high = (low, middle) if passes(middle) else (middle, high)
    feet: dict[str, float] = {}
    for _, apart_, _ in around:
        if not isinstance(apart_, Quantity) or not apart_.at:
            return None
        feet[apart_.at] = math.ceil((apart_.si + high) / FOOT * 10 - 1e-6) / 10
    outlet, nearest, above = min(around, key=lambda one: one[1].si)
    assert isinstance(nearest, Quantity)
    words = f"{feet[nearest.at]:.1f} ft {'above' if above else 'from'} {outlet} would pass"
    return Cure(words, tuple((at, f"{far:.1f} ft") for at, far in feet.items()))
