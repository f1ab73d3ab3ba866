"""Rules on ways in and out: exits of the public on foot, the fire lane, and tents among other things."""

from __future__ import annotations

import math

from specc import (
    PRACTICE,
    Citation,
    Context,
    Limit,
    Trouble,
    distance,
    ground,
    not_applicable,
    not_checked,
    obstacles_of,
    rule,
    show,
)
from specc.kinds.geometry import Area, Point, Shape, corners
from specc.kinds.places import Spot
from specc.kinds.plumbing import NETWORK
from specc.kinds.targets import STANDOFFS, governing
from specc.model.passes import Judging, passed
from specc.model.wording import counted
from specc_site.hoses import WAYS
from specc_site.plan import NO_PLAN, PEOPLE_KINDS, PLAN, ROOT, nearest, words

EXITS = Limit("site.exits", "2", "count", "max", "ways out of each area of the public", PRACTICE)
LANE = Limit(
    "site.fire_lane_width",
    "20 ft",
    "length",
    "max",
    "width of the fire lane",
    Citation(
        "florida-event-fuel",
        "a lane of 20 ft to fuel areas; the fire code's 503.2.1 says the same, from memory",
        "read",
    ),
)
TENTS = Limit(
    "site.tent_apart",
    "20 ft",
    "length",
    "max",
    "from a tent to other structures, vehicles and engines",
    Citation("ifc-2018-minnesota", "chapter 31, tents: 20 ft to other structures, vehicles, engines", "read"),
)


_IN_THE_WAY = ("tent", "vehicle", "generator", "audience", "queue", "fuel_store")


def _from(shape: Shape) -> tuple[tuple[float, float], ...]:
    """Spots that people leave an area from: its corners and the middles of its edges, for those who stand farthest."""
    spots = [(p.x.si, p.y.si) for p in corners(shape)]
    if isinstance(shape, Area):
        spots += [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in zip(spots, (*spots[1:], spots[0]), strict=False)]
    return tuple(spots)


@rule(
    "site.exits",
    level="error",
    statement="Each area of the public has ways out that can be walked, none within the stand-off of an effect",
    source=PRACTICE,
    needs=(PLAN,),
    wants=(STANDOFFS,),
    limits=("site.exits",),
)
def exits(ctx: Context) -> Judging:
    plan, least = ctx[PLAN], ctx.limit(EXITS.key)
    areas, outs = plan.of(*PEOPLE_KINDS), plan.of("exit")
    if not areas:
        return not_checked("no place says kind: audience, so nothing says who has to get out")
    if not outs:
        return not_checked("no place says kind: exit")
    level = ground(obstacles_of(plan.places.values(), "walking"))
    largest = governing(ctx[STANDOFFS])
    ends = [_spot(o) for o in outs]
    for area in areas:
        assert area.shape is not None
        starts = [s for s in _from(area.shape) if not level.inside(s)]
        ways = [level.walk(s, ends) for s in starts]
        reached = [o.tag for i, o in enumerate(outs) if ways and all(way[i] is not None for way in ways)]
        if len(reached) < least.si:
            yield Trouble(
                area.at,
                f"from {area.tag} there {'is' if len(reached) == 1 else 'are'} {len(reached)} of "
                f"{counted(len(outs), 'exit')} that can be walked to; at least {least.si:g} are needed",
                "another exit, or a way past what is in the way",
                "when one way is cut off by fire people have to have another",
            )
    for out in outs:
        for effect in plan.effects:
            asked = largest.get(("audience", effect.tag))
            assert out.shape is not None
            near = nearest(effect.shapes, out.shape, f"{effect.tag} to {out.tag}")
            if asked and near and near.si < asked.distance.si * (1 - 1e-9):
                yield Trouble(
                    out.at,
                    f"the exit {out.tag} is {show(near.si, 'length', 'ft')} from {effect.tag}, within its "
                    f"{show(asked.distance.si, 'length', 'ft')}",
                    "an exit on another side",
                    "nobody gets out past a flame",
                )
    return passed(f"{counted(len(outs), 'exit')} for {counted(len(areas), 'area')}, round what is in the way")


def _spot(spot: Spot) -> tuple[float, float]:
    assert spot.shape is not None
    points = corners(spot.shape)
    if isinstance(spot.shape, Point):
        return points[0].x.si, points[0].y.si
    return sum(p.x.si for p in points) / len(points), sum(p.y.si for p in points) / len(points)


def narrowest(area: Area) -> float:
    """The least width of an area's outer shape, in m: that of the narrowest strip that it fits in."""
    spots = [(p.x.si, p.y.si) for p in area.outline]
    widths = []
    for a, b in zip(spots, (*spots[1:], spots[0]), strict=True):
        size = math.dist(a, b)
        if size:
            sides = [((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])) / size for p in spots]
            widths.append(max(sides) - min(sides))
    return min(widths, default=0.0)


@rule(
    "site.fire_lane",
    level="error",
    statement="A fire lane of 20 ft leads in, and nothing stands or lies in it",
    source=LANE.citation,
    needs=(PLAN,),
    wants=(NETWORK, WAYS),
    reads=(ROOT,),
    limits=("site.fire_lane_width",),
)
def fire_lane(ctx: Context) -> Judging:
    plan, limit = ctx[PLAN], ctx.limit(LANE.key)
    lanes = plan.of("fire_lane")
    if not lanes:
        return not_checked("no place says kind: fire_lane")
    listed = ctx.spec(ROOT).child("hoses")
    for lane in lanes:
        if not isinstance(lane.shape, Area):
            yield f"{lane.tag} is no area, so its width is not known"
            continue
        wide = narrowest(lane.shape)
        if wide < limit.si * (1 - 1e-9):
            yield Trouble(
                lane.at,
                f"{lane.tag} is {show(wide, 'length', 'ft')} wide; the limit is {limit.text}",
                "a wider lane",
                "an engine has to pass, and people beside it",
            )
        inside = [(e.tag, e.shapes) for e in (*plan.effects, *plan.cylinders)]
        inside += [
            (s.tag, (s.shape,))
            for s in plan.places.values()
            if s.shape and s.tag != lane.tag and (s.blocks or s.kind in _IN_THE_WAY)
        ]
        for tag, shapes in inside:
            if any(distance(s, lane.shape).si == 0.0 for s in shapes):
                yield Trouble(
                    lane.at, f"{tag} stands in the fire lane {lane.tag}", "keep the lane free", "help comes late"
                )
        for tag, way in ctx.get(WAYS) or ():
            guard = listed.child(tag).text_or("guarded")
            if way.shape and guard not in ("buried", "overhead", "ramp") and distance(way.shape, lane.shape).si == 0.0:
                yield Trouble(
                    lane.at, f"{tag} lies in the fire lane {lane.tag}", "another way for it", "an engine parts it"
                )
    return passed(f"{counted(len(lanes), 'lane')}, {limit.text} wide or more")


@rule(
    "site.tents_apart",
    level="error",
    statement="Each tent keeps 20 ft from other tents, buildings, vehicles and engines",
    source=TENTS.citation,
    needs=(PLAN,),
    limits=("site.tent_apart",),
)
def tents_apart(ctx: Context) -> Judging:
    plan, limit = ctx[PLAN], ctx.limit(TENTS.key)
    if not plan.kinds:
        return not_checked(NO_PLAN)
    tents = plan.of("tent")
    if not tents:
        return not_applicable("no tents are described")
    others = plan.of("tent", "building", "vehicle", "generator")
    for i, tent in enumerate(tents):
        for other in (*tents[:i], *(o for o in others if o.kind != "tent")):
            assert tent.shape is not None
            assert other.shape is not None
            apart = distance(tent.shape, other.shape)
            if apart.si < limit.si * (1 - 1e-9):
                yield Trouble(
                    tent.at,
                    f"{tent.tag} is {show(apart.si, 'length', 'ft')} from {other.tag} ({words(other.kind)}); the "
                    f"limit is {limit.text}",
                    "more distance, or the authority's word under limits:",
                    "fire goes from tent to tent in a minute",
                )
    return passed(f"{counted(len(tents), 'tent')} beside {len(others) - len(tents)} others")


__all__ = ["narrowest"]
