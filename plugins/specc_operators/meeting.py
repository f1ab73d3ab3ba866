"""Rules on where people go in an emergency: where help is met, and where the crew gathers and is counted."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from specc import (
    CHOICE,
    PRACTICE,
    Context,
    Limit,
    Move,
    Trouble,
    Unchecked,
    distance,
    farther,
    ground,
    nearer,
    not_checked,
    obstacles_of,
    rule,
    show,
)
from specc.formulas.ways import Walk
from specc.kinds.geometry import Area, Point, Polyline, Shape, within
from specc.kinds.places import PLACES, Spot
from specc.kinds.plumbing import NETWORK
from specc.kinds.show import EFFECTS
from specc.kinds.targets import STANDOFFS, governing
from specc.model.passes import Judging, passed
from specc.model.values import Quantity
from specc.model.view import View, join
from specc.model.wording import counted, several
from specc_operators.duty_rules import NO_ROSTER
from specc_operators.hours import EMERGENCY_PLACES
from specc_operators.posts import POSTS, Post, spot_of

TO_LANE = Limit(
    "operators.meet_to_lane",
    "20 ft",
    "length",
    "min",
    "from where help is met to a fire lane, else a public way",
    CHOICE,
)
OFF_GAS = Limit(
    "operators.gather_off_gas",
    "20 ft",
    "length",
    "max",
    "from where people go in an emergency to cylinders, fuel stores, low places",
    CHOICE,
)
_DOWNWIND = 45.0  # degrees to both sides of straight downwind; specc default
_KEEPS_OFF = ("fuel_store", "low_place", "fuel_dispenser")
_FREE = ("", "exit", "crew", "walkway", "public_way", "fire_lane")  # what people can stand on and wait


def told_places(emergency: View, places: Mapping[str, Spot]) -> dict[str, Spot]:
    """By key, those of the places for an emergency that stand on the plan."""
    named = {key: places.get(emergency.text_or(key)) for key in EMERGENCY_PLACES}
    return {key: spot for key, spot in named.items() if spot is not None and spot.shape is not None}


def _near(ctx: Context, key: str, spot: Spot, told: View) -> Iterator[Trouble]:
    """What stands nearer than it may: flames, cylinders, stores, low places; for help the lane has to be near."""
    places, largest = ctx[PLACES], governing(ctx[STANDOFFS])
    assert spot.shape is not None
    what, at = f"{spot.tag}, {EMERGENCY_PLACES[key]},", told.here(key)
    if spot.kind not in _FREE or "walking" in spot.blocks:
        is_ = f"of the kind {spot.kind}" if spot.kind not in _FREE else "in the way of walking"
        yield Trouble(at, f"{what} is {is_}: nobody waits there", "a free place beside it", "people go where it says")
    for effect in ctx[EFFECTS]:
        place, asked = places.get(effect.place), largest.get(("audience", effect.tag))
        if place and place.shape and asked:
            apart = distance(place.shape, spot.shape)
            if apart.si < asked.distance.si * (1 - 1e-9):
                yield Trouble(
                    at,
                    f"{what} is {show(apart.si, 'length', 'ft')} from {effect.tag}, within its "
                    f"{show(asked.distance.si, 'length', 'ft')}",
                    "a place outside every stand-off",
                    "whoever waits there stands in the heat",
                    moves=(farther(spot.tag, effect.tag, spot.shape, place.shape, asked.distance.si - apart.si),),
                )
    limit, net = ctx.limit(OFF_GAS.key), ctx.get(NETWORK)
    from_ = [(s.tag, s) for s in places.values() if s.kind in _KEEPS_OFF and s.shape and s.tag != spot.tag]
    for part in net.of_kind("cylinder") if net else ():
        place = places.get(part.spec.text_or("place"))
        from_ += [(part.tag, place)] if place and place.shape else []
    for tag, other in from_:
        assert other.shape is not None
        apart = distance(other.shape, spot.shape)
        if apart.si < limit.si * (1 - 1e-9):
            yield Trouble(
                at,
                f"{what} is {show(apart.si, 'length', 'ft')} from {tag}; the limit is {limit.text}",
                "another place",
                "gas from a leak lies in low places, and a cylinder in a fire may burst",
                moves=(farther(spot.tag, tag, spot.shape, other.shape, limit.si - apart.si),),
            )
    lanes = [s for s in places.values() if s.kind == "fire_lane" and s.shape]
    lanes = lanes or [s for s in places.values() if s.kind == "public_way" and s.shape]
    if key == "assembly":
        if any(isinstance(s.shape, Area) and _in(spot, s.shape) for s in lanes):
            yield Trouble(at, f"{what} lies where engines come in", "a place beside it", "help comes late")
    elif lanes:
        far, lane, there = min(
            ((distance(s.shape, spot.shape).si, s.tag, s.shape) for s in lanes if s.shape), key=lambda one: one[:2]
        )
        most = ctx.limit(TO_LANE.key)
        if far > most.si * (1 + 1e-9):
            yield Trouble(
                at,
                f"{what} is {show(far, 'length', 'ft')} from {lane}; the limit is {most.text}",
                "a place beside it, which the engine passes",
                "help that nobody meets looks for the way by itself",
                moves=(nearer(spot.tag, lane, spot.shape, there, far - most.si),),
            )


def _in(spot: Spot, area: Area) -> bool:
    here = spot_of(spot)
    return here is not None and within(*here, area)


def downwind(here: tuple[float, float], there: tuple[float, float], north: float, wind_from: float) -> bool:
    """Whether a spot lies downwind of another one, with north and wind in degrees as the plan states them."""
    bearing = math.degrees(math.atan2(there[0] - here[0], there[1] - here[1])) - north
    off = (bearing - (wind_from + 180.0) + 180.0) % 360.0 - 180.0
    return here != there and abs(off) < _DOWNWIND


def _smoke(ctx: Context, key: str, spot: Spot, told: View) -> Iterator[Trouble]:
    """Where the usual wind is stated, nobody gathers downwind of flames or cylinders."""
    site, net, there = ctx.spec("site"), ctx.get(NETWORK), spot_of(spot)
    north, wind = site.quantity_or_none("north"), site.quantity_or_none("wind_from")
    if north is None or wind is None or there is None:
        return
    tags = [(e.tag, e.place) for e in ctx[EFFECTS]]
    tags += [(p.tag, p.spec.text_or("place")) for p in (net.of_kind("cylinder") if net else ())]
    under = [
        tag for tag, place in tags
        if (here := spot_of(ctx[PLACES].get(place))) and downwind(here, there, *map(math.degrees, (north.si, wind.si)))
    ]  # fmt: skip
    if under:
        yield Trouble(
            told.here(key),
            f"{spot.tag}, {EMERGENCY_PLACES[key]}, lies downwind of {several(under)} in the usual wind",
            "a place upwind or to the side",
            "gas and smoke drift there",
            moves=(Move(spot.tag, under[0], (math.sin(wind.si + north.si), math.cos(wind.si + north.si))),),
        )


def _walked(ctx: Context, key: str, spot: Spot, told: View) -> Iterator[Trouble]:
    """Whoever goes there from their post gets there on foot."""
    there = spot_of(spot)
    posts: tuple[Post, ...] = tuple(p for p in ctx[POSTS] if p.spot)
    if key == "meet":
        posts = tuple(p for p in posts if p.person == told.text_or("meets"))
    level = ground(obstacles_of(ctx[PLACES].values(), "walking"))
    assert there is not None
    ends = level.beside(there)
    for station, post in {p.station: p for p in posts}.items():
        assert post.spot is not None
        walks = [walk for walk in level.walk(post.spot, ends) if walk]
        ways = [s for s in ctx[PLACES].values() if s.kind == "public_way" and s.shape]
        roads = [s for s in ways if s.shape and spot.shape and distance(s.shape, spot.shape).si > 0.0]
        if walks and (crossed := [r.tag for r in roads if r.shape and all(crosses(w, r.shape) for w in walks)]):
            yield Trouble(
                told.here(key),
                f"{post.person} crosses {several(crossed)} on the way from {station} to {spot.tag}, "
                f"{EMERGENCY_PLACES[key]}",
                "a place on this side of it",
                "engines come along it, and nobody stops the traffic",
            )
            break
        if not walks:
            yield Trouble(
                told.here(key),
                f"{post.person} does not get on foot from {station} to {spot.tag}, {EMERGENCY_PLACES[key]}",
                "another place, or a way past what is in the way (crew_passes: on a barrier; blocks: [sight] on a "
                "building that one walks into)",
                "who is missed there is looked for in the fire",
            )


def crosses(walk: Walk, road: Shape) -> bool:
    """Whether a way on foot gets to the other side of a road, or onto it, before its end."""
    spots = (Point(*(Quantity(v, "length", "") for v in spot)) for spot in walk.spots)
    return distance(Polyline(tuple(spots)), road).si == 0.0


@rule(
    "operators.meeting_place",
    level="warning",
    statement="Help is met, and the crew gathers, at safe places reached on foot",
    source=PRACTICE,
    needs=(PLACES, EFFECTS, POSTS),
    wants=(STANDOFFS, NETWORK),
    reads=("operators", "site"),
    limits=("operators.meet_to_lane", "operators.gather_off_gas"),
)
def meeting_place(ctx: Context) -> Judging:
    operators = ctx.spec("operators")
    if not len(operators):
        return not_checked(NO_ROSTER)
    told = operators.child("emergency")
    found = told_places(told, ctx[PLACES])
    drawn = any(s.kind and s.shape for s in ctx[PLACES].values())
    for key, what in EMERGENCY_PLACES.items():
        if not told.has(key):
            yield Unchecked(f"{what} is not stated (emergency: {key}:)", told.here(key))
        elif key in found:
            for look in (_near, _smoke, _walked):
                yield from look(ctx, key, found[key], told)
        elif drawn:
            yield Trouble(
                told.here(key),
                f"{told.text(key)!r}, {what}, is not among the places of the plan",
                "the tag of a place with coordinates",
                "whoever comes or gathers has to find it, and it may lie in the heat",
            )
        else:
            yield Unchecked(f"{what} is told in words, and there is no plan of the site", "/places/*/kind")
    if not told.has("meets"):
        yield Unchecked("who meets help is not stated (emergency: meets:)", told.here("meets"))
    site = ctx.spec("site")
    if bare := [site.here(key) for key in ("north", "wind_from") if not site.has(key)]:
        yield Unchecked("site: north: and wind_from: are not both stated, so what lies downwind is not seen", *bare)
    largest = governing(ctx[STANDOFFS])
    lost = {e.tag: join(e.at, "outlets") for e in ctx[EFFECTS] if ("audience", e.tag) not in largest}
    yield from [Unchecked(f"no stand-off of {several(list(lost))} is known", *lost.values())] if lost else []
    return passed(f"{counted(len(found), 'place')}")


__all__ = ["crosses", "downwind", "told_places"]
