"""Posts on the site: who stands where, what they see from there, and how long it takes them to each valve.

Ways are walked round what blocks walking. Eyes are at one height above level ground, those of the public too.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from specc import (
    CHOICE,
    PRACTICE,
    Citation,
    Context,
    Cure,
    Key,
    Limit,
    Move,
    Trouble,
    Unchecked,
    Verdict,
    ground,
    in_sight,
    judged,
    not_checked,
    obstacles_of,
    rule,
    show,
    value,
)
from specc.formulas.ways import not_placed
from specc.kinds.geometry import Area, Shape, corners, edges, within
from specc.kinds.places import PLACES, Spot
from specc.kinds.plumbing import NETWORK, REACHES, Part
from specc.kinds.procedures import STEPS
from specc.kinds.show import EFFECTS
from specc.measure.units import FOOT
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted, several
from specc_operators.crowd_edge import edge_in_sight
from specc_operators.duty_rules import NO_ROSTER
from specc_operators.hours import DUTIES, ROLE_NAMES
from specc_operators.manned import MANNED
from specc_operators.out_seen import out_in_sight

EYE = 5 * FOOT  # of somebody who stands; seen heads are as high

AT_HAND = Limit(
    "operators.at_hand",
    "6 ft",
    "length",
    "min",
    "farthest that valve operators and fuel watch stand from what they shut",
    PRACTICE,
)
SPEED = Limit(
    "operators.walking_speed",
    "3.5 ft/s",
    "speed",
    "min",
    "how fast somebody walks to a valve",
    Citation("mutcd", "section 4E.06: walking speed that crossing times are made for", "memory"),
)
TO_CROWD = Limit(
    "operators.crowd_distance",
    "50 ft",
    "length",
    "min",
    "farthest that the crowd's spotter stands from each area of the public",
    CHOICE,
)


class Post(NamedTuple):
    """A shift's station: its person and role there, the effects it is named for, and its spot on the level (None
    where the place has no coordinates or is not described)."""

    shift: str
    person: str
    role: str
    effects: tuple[str, ...]
    station: str
    spot: tuple[float, float] | None
    at: str


class LineOfSight(NamedTuple):
    """Who has to see what from a post: `far` is how far it is, in m."""

    post: Post
    target: str
    blocked_by: tuple[str, ...]
    far: float


POSTS: Key[tuple[Post, ...]] = Key("operators.posts", tuple)
LOOKS: Key[tuple[LineOfSight, ...]] = Key("operators.looks", tuple)


def spot_of(place: Spot | None) -> tuple[float, float] | None:
    return place.stands if place else None


@value(POSTS, needs=(DUTIES, PLACES))
def posts(ctx: Context) -> tuple[Post, ...]:
    """Once for each shift, whatever its nights; a fire watch walks about and has none."""
    made: dict[str, Post] = {}
    for d in ctx[DUTIES]:
        if d.role != "fire_watch" and d.shift not in made:
            spot = spot_of(ctx[PLACES].get(d.station)) if d.station else None
            made[d.shift] = Post(d.shift, d.person, d.role, d.effects, d.station, spot, d.at)
    return tuple(made.values())


def unplaced(some: Sequence[Post]) -> list[str]:
    """Where in the spec it would be stated where somebody stands, for each of whom it is not known."""
    return [join("/places", p.station, "at") if p.station else join(p.at, "station") for p in some if p.spot is None]


def nearest_spot(shape: Shape, to: tuple[float, float]) -> tuple[float, float]:
    """The spot of a shape that is nearest to another spot: of an area its edge, from within the spot itself."""
    if isinstance(shape, Area) and within(*to, shape):
        return to
    best = [(p.x.si, p.y.si) for p in corners(shape)]
    for a, b in edges(shape):
        ax, ay, dx, dy = a.x.si, a.y.si, b.x.si - a.x.si, b.y.si - a.y.si
        size = dx * dx + dy * dy
        if size > 0:
            t = min(1.0, max(0.0, ((to[0] - ax) * dx + (to[1] - ay) * dy) / size))
            best.append((ax + t * dx, ay + t * dy))
    return min(best, key=lambda s: math.dist(s, to))


def _watched(ctx: Context, post: Post) -> Iterator[tuple[str, tuple[float, float, float]]]:
    """What a post has to see: the lead, valve operators and spotters their effects and the public nearest to each of
    them, the crowd's spotter (named for no effect) the public nearest to the post."""
    places = ctx[PLACES]
    crowd = [s for s in places.values() if s.kind in ("audience", "queue") and s.shape]
    if post.role not in ("lead", "valve", "spotter"):
        return
    named = post.effects or (tuple(e.tag for e in ctx[EFFECTS]) if post.role != "spotter" else ())
    for effect in ctx[EFFECTS]:
        place = places.get(effect.place)
        spot = spot_of(place)
        if effect.tag not in named or place is None or spot is None:
            continue
        height = place.point[2] if place.point else 0.0
        yield effect.tag, (*spot, height)
        for area in crowd:
            assert area.shape is not None
            yield area.tag, (*nearest_spot(area.shape, spot), EYE)
    if not named and post.spot:
        for area in crowd:
            assert area.shape is not None
            yield area.tag, (*nearest_spot(area.shape, post.spot), EYE)


@value(LOOKS, needs=(POSTS, PLACES, EFFECTS))
def looks(ctx: Context) -> tuple[LineOfSight, ...]:
    """The worst look of each post at each target: blocked before open, far before near."""
    obstacles = obstacles_of(ctx[PLACES].values(), "sight")
    made: dict[tuple[str, str], LineOfSight] = {}
    for post in ctx[POSTS]:
        if post.spot is None:
            continue
        for target, there in _watched(ctx, post):
            blocked = in_sight((*post.spot, EYE), there, obstacles)
            one = LineOfSight(post, target, blocked, math.dist(post.spot, there[:2]))
            key = (post.shift, target)
            if key not in made or (bool(blocked), one.far) > (bool(made[key].blocked_by), made[key].far):
                made[key] = one
    return tuple(made.values())


@rule(
    "operators.posts",
    level="warning",
    statement="Each duty with gas on has a post with coordinates",
    source=PRACTICE,
    needs=(POSTS,),
    reads=("operators",),
)
def posted(ctx: Context) -> Verdict:
    if not len(ctx.spec("operators")):
        return not_checked(NO_ROSTER)
    listed = ctx[POSTS]
    bare = [p.shift for p in listed if not p.station]
    lost = list(dict.fromkeys(p.station for p in listed if p.station and p.spot is None))
    said = [Unchecked(f"no station: for {several(bare)}", *unplaced(listed))] if bare else []
    said += [Unchecked(f"no coordinates for {several(lost)}", *unplaced(listed))] if lost else []
    return judged((), said, counted(len(listed), "post"))


@rule(
    "operators.in_sight",
    level="error",
    statement="Lead, valve operators and spotters see their effects and the public nearest to them, within the "
    "visibility limit",
    source=Citation("nfpa-160", "chapter 7: line of sight to effect and audience", "memory"),
    needs=(LOOKS, POSTS, PLACES, STEPS, MANNED),
    wants=(NETWORK,),
    reads=("operators",),
)
def sees(ctx: Context) -> Judging:
    operators = ctx.spec("operators")
    if not len(operators):
        return not_checked(NO_ROSTER)
    limit = operators.child("go_no_go").child("visibility").quantity_or_none("below")
    farthest = f"{math.ceil(max((k.far for k in ctx[LOOKS]), default=0.0) / FOOT)} ft"
    for look in ctx[LOOKS]:
        who = f"{look.post.person} at {look.post.station}"
        if look.blocked_by:
            yield Trouble(
                look.post.at,
                f"{who} ({ROLE_NAMES[look.post.role]}) does not see {look.target}: {several(look.blocked_by)} is "
                "in the way",
                "another post, or a height: for what is in the way if one looks over it",
                "who does not see it cannot stop it in time",
            )
        elif limit is not None and look.far > limit.si * (1 + 1e-9):
            yield Trouble(
                look.post.at,
                f"{who} ({ROLE_NAMES[look.post.role]}) is {show(look.far, 'length', 'ft')} from {look.target}, and "
                f"the show goes on while one sees {limit.text}",
                "or a nearer post",
                "in haze or dust they would not see it",
                cure=Cure(f"visibility: below: {farthest} would pass", ((limit.at, farthest),)),
            )
    yield from not_placed(ctx[PLACES].values(), "sight")
    watching = [p for p in ctx[POSTS] if p.role in ("lead", "valve", "spotter")]
    yield from edge_in_sight(ctx[PLACES], _eyes(ctx), EYE)
    yield from out_in_sight(ctx[STEPS], ctx.get(NETWORK), ctx[PLACES], EYE)
    seen = {k.post.shift for k in ctx[LOOKS]}
    blind = [p for p in watching if p.shift not in seen]
    said = f"what {several([p.shift for p in blind])} has to see, or where from, has no coordinates"
    yield from [Unchecked(said, *unplaced(blind), "/places/*/at")] if blind else []
    return passed(f"{counted(len(ctx[LOOKS]), 'line')} of sight")


def _eyes(ctx: Context) -> list[tuple[str, list[tuple[float, float, float]]]]:
    """Whose eyes watch together, and in words from when."""
    spots = {p.station: (*p.spot, EYE) for p in ctx[POSTS] if p.spot}
    moments = ctx[MANNED]
    together = dict.fromkeys(m.watching for m in moments)
    said = {m.watching: m.said for m in reversed(moments)}
    return [(said[w] if len(together) > 1 else "", [spots[s] for s in sorted(w) if s in spots]) for w in together]


NOT_BY_HAND = ("solenoid", "check", "relief", "excess_flow")


def _stops(ctx: Context) -> dict[str, list[tuple[str, tuple[float, float]]]]:
    """For each effect what stops it by hand, with its spot: valves on the way of its gas, stops of the control."""
    net, places = ctx.get(NETWORK), ctx[PLACES]
    if net is None:
        return {}
    stops = [
        (tag, spot)
        for tag, part in ctx.spec("control").child("parts").children()
        if part.text_or("kind") == "stop" and (spot := spot_of(places.get(part.text_or("place"))))
    ]
    paths = {r.outlet: r.path for r in ctx.get(REACHES) or ()}
    made: dict[str, list[tuple[str, tuple[float, float]]]] = {}
    for effect in ctx[EFFECTS]:
        found = list(stops) if effect.kind == "burst" else []
        for tag in dict.fromkeys(t for o in effect.outlets for t in paths.get(o, ())):
            part = net.by_tag[tag]
            spot = spot_of(places.get(place_of(part)))
            if part.kind == "valve" and part.form not in NOT_BY_HAND and spot:
                found.append((tag, spot))
        made[effect.tag] = found
    return made


def place_of(part: Part) -> str:
    """The tag of a part's place; "" for one that lies between two, such as a hose."""
    told = part.spec["place"] if part.spec.has("place") else ""
    return told if isinstance(told, str) else ""


@rule(
    "operators.at_valves",
    level="warning",
    statement="Valve operators stand by what stops their effects, the fuel watch by a cylinder, the crowd's "
    "spotter by the public",
    source=PRACTICE,
    needs=(POSTS, PLACES, EFFECTS),
    wants=(NETWORK, REACHES),
    reads=("operators", "control"),
    limits=("operators.at_hand", "operators.crowd_distance"),
)
def at_valves(ctx: Context) -> Judging:
    if not len(ctx.spec("operators")):
        return not_checked(NO_ROSTER)
    net, places, reach = ctx.get(NETWORK), ctx[PLACES], ctx.limit(AT_HAND.key)
    if net is None:
        return not_checked("no plumbing is described", "/plumbing")
    stops, level = _stops(ctx), ground(obstacles_of(places.values(), "walking"))
    cylinders = [(p.tag, spot) for p in net.of_kind("cylinder") if (spot := spot_of(places.get(place_of(p))))]

    def look(
        post: Post, what: str, near: list[tuple[str, tuple[float, float]]], limit_si: float, limit: str
    ) -> Iterator[Trouble | str]:
        assert post.spot is not None
        if not near:
            yield Unchecked(f"where {what} is has no coordinates", "/plumbing/parts/*/place", "/places/*/at")
            return
        walks = level.walk(post.spot, [s for _, s in near])
        best = min(((w.length, tag) for (tag, _), w in zip(near, walks, strict=True) if w), default=None)
        if best is None or best[0] > limit_si * (1 + 1e-9):
            far = f"{show(best[0], 'length', 'ft')} on foot from {best[1]}, the nearest of" if best else "cut off from"
            lines = "".join(dict.fromkeys(level.on_line(s) for s in (post.spot, *(s for _, s in near))))
            yield Trouble(
                post.at,
                f"{post.person} at {post.station} ({ROLE_NAMES[post.role]}) is {far} {what}; the limit is {limit}"
                + lines,
                "a post beside it",
                "seconds count, and a hand that is near is quicker than feet",
                moves=(_toward(post, what, near),),
            )

    for post in ctx[POSTS]:
        if post.spot is None:
            continue
        if post.role == "valve":
            for effect in post.effects or tuple(stops):
                yield from look(post, f"what stops {effect}", stops.get(effect, []), reach.si, reach.text)
        elif post.role == "fuel_watch":
            yield from look(post, "the cylinders", cylinders, reach.si, reach.text)
        elif post.role == "spotter" and not post.effects:
            most = ctx.limit(TO_CROWD.key)
            for area in places.values():
                if area.kind in ("audience", "queue") and area.shape:
                    spot = nearest_spot(area.shape, post.spot)
                    if (far := math.dist(spot, post.spot)) > most.si * (1 + 1e-9):
                        yield Trouble(
                            post.at,
                            f"{post.person} at {post.station} (spotter of the crowd) is "
                            f"{show(far, 'length', 'ft')} from {area.tag}; the limit is {most.text}",
                            "a post nearer to the public",
                            "from afar a crowd that pushes is seen late",
                            moves=(_toward(post, area.tag, [(area.tag, spot)], far - most.si),),
                        )
    lost = [p for p in ctx[POSTS] if p.spot is None and p.role in ("valve", "fuel_watch")]
    yield from (Unchecked(f"{p.shift} has no post", *unplaced([p])) for p in lost)
    return passed(counted(len(ctx[POSTS]), "post"))


def _toward(post: Post, about: str, near: Sequence[tuple[str, tuple[float, float]]], by: float = 0.0) -> Move:
    """A post's station moved to the nearest of what stands somewhere."""
    assert post.spot is not None
    x, y = post.spot
    _, to = min(near, key=lambda one: math.dist(one[1], (x, y)))
    return Move(post.station, f"{post.shift} {about}", (to[0] - x, to[1] - y), by)
