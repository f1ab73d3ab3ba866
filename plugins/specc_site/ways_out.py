"""Rules on ways in and out: exits of the public on foot, the fire lane, and tents among other things."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

from specc import (
    CHOICE,
    PRACTICE,
    Citation,
    Context,
    Limit,
    Trouble,
    Unchecked,
    distance,
    ground,
    not_applicable,
    not_checked,
    obstacles_of,
    rule,
    show,
    stated,
)
from specc.formulas.ways import Ground
from specc.kinds.geometry import Area, Point, Polyline, Shape, corners, edges, within
from specc.kinds.places import Spot
from specc.kinds.plumbing import NETWORK
from specc.kinds.targets import STANDOFFS, governing
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted, several
from specc_site.hoses import WAYS
from specc_site.kept_out import GAP, barriers_of, stand
from specc_site.outlines import size_of
from specc_site.plan import KIND, NO_PLAN, PEOPLE_KINDS, PLAN, ROOT, nearest, words

EXITS = Limit("site.exits", "2", "count", "max", "ways out of each area of the public", PRACTICE)
EDGE = Limit("site.exit_at_edge", "3 ft", "length", "min", "how far within an area of the public its exit lies", CHOICE)
_EGRESS = "ifc-2018-minnesota"
WIDTH = Limit(
    "site.exit_width_each",
    "0.3 in",
    "length",
    "max",
    "width of all exits for each person: that for stairs, as nothing says which exits have steps",
    Citation(
        _EGRESS,
        "chapter 10, 1005.3: 0.3 in for stairways and 0.2 in for all else; of buildings, here by analogy",
        "read",
    ),
)
STANDING = Limit(
    "site.standing_space",
    "5 ft²",
    "area",
    "max",
    "area for each person who stands",
    Citation(_EGRESS, "chapter 10, Table 1004.5: standing space, 5 net; of buildings, here by analogy", "read"),
)
# Above so many people a fourth and a third way out are asked for: Table 1006.3.2 of the same chapter.
_MORE = ((1000, 4), (500, 3))
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


_IN_THE_WAY = (
    "tent", "vehicle", "generator", "audience", "queue", "fuel_store", "building", "barrier", "tree", "combustible"
)  # fmt: skip


def _from(shape: Shape) -> tuple[tuple[float, float], ...]:
    """Spots that people leave an area from: its corners and the middles of its edges, for those who stand farthest."""
    spots = [(p.x.si, p.y.si) for p in corners(shape)]
    if isinstance(shape, Area):
        spots += [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in zip(spots, (*spots[1:], spots[0]), strict=False)]
    return tuple(spots)


@rule(
    "site.exits",
    level="error",
    statement="Each area of the public has ways out at its edge, none in a stand-off",
    source=PRACTICE,
    needs=(PLAN,),
    wants=(STANDOFFS,),
    limits=("site.exits", "site.exit_at_edge", "site.barrier_gap"),
)
def exits(ctx: Context) -> Judging:
    plan = ctx[PLAN]
    areas, outs = plan.of(*PEOPLE_KINDS), plan.of("exit")
    if not plan.kinds:
        return not_checked(NO_PLAN)
    if not areas:
        return not_checked("no place says kind: audience, so nothing says who has to get out", KIND)
    if not outs:
        return not_checked("no place says kind: exit", KIND)
    least = ctx.limit(EXITS.key)
    # What keeps the public in keeps it from an exit beyond, too: nobody climbs a fence in smoke.
    level = ground(obstacles_of(barriers_of(plan, ctx.limit(GAP.key).si), "walking"))
    largest = governing(ctx[STANDOFFS])
    most = ctx.limit(EDGE.key)
    ends = [(o.tag, spot) for o in outs for spot in _gate(_spot(o), most.si, level)]
    for area in areas:
        assert area.shape is not None
        starts = [s for s in _from(area.shape) if not level.inside(s)] or list(stand(area, level))
        got = [
            {tag for (tag, _), walk in zip(ends, level.walk(start, [spot for _, spot in ends]), strict=True) if walk}
            for start in starts
        ]
        reached = [o.tag for o in outs if got and all(o.tag in one for one in got)]
        if len(reached) < least.si:
            lost = [o.tag for o in outs if o.tag not in reached]
            yield Trouble(
                area.at,
                f"from {area.tag} there {'is' if len(reached) == 1 else 'are'} {len(reached)} of "
                f"{counted(len(outs), 'exit')} that can be walked to; at least {least.si:g} are needed"
                + (f" (behind barriers or what is in the way: {', '.join(lost)})" if lost else ""),
                "another exit, or a way past what is in the way",
                "when one way is cut off by fire people have to have another",
            )
    for out in outs:
        assert out.shape is not None
        for area in areas:
            deep = _deep(out, area)
            if deep > most.si * (1 + 1e-9):
                yield Trouble(
                    out.at,
                    f"the exit {out.tag} lies {show(deep, 'length', 'ft')} within {area.tag}; the limit is {most.text}",
                    "a place on the edge of the area, where one leaves it",
                    "what does not lead out is no exit",
                )
        for effect in plan.effects:
            asked = largest.get(("audience", effect.tag))
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


def _gate(spot: tuple[float, float], near: float, level: Ground) -> Iterator[tuple[float, float]]:
    """Where one stands who leaves by an exit: at it, or beside it where it is a gate in what keeps people in."""
    yield from level.beside(spot)
    for turn in range(8):
        angle = turn * math.pi / 4
        beside = (spot[0] + near * math.sin(angle), spot[1] + near * math.cos(angle))
        if not level.inside(beside):
            yield beside


def _longest(area: Spot) -> float:
    """The farthest that two corners of an area are apart, in m."""
    assert area.shape is not None
    spots = [(p.x.si, p.y.si) for p in corners(area.shape)]
    return max((math.dist(a, b) for a, b in itertools.combinations(spots, 2)), default=0.0)


def _deep(out: Spot, area: Spot) -> float:
    """How far an exit lies within an area, in m; 0 at its edge and outside it."""
    here = _spot(out)
    if not isinstance(area.shape, Area) or not within(*here, area.shape):
        return 0.0
    assert out.shape is not None
    return min(distance(Polyline(edge), out.shape).si for edge in edges(area.shape))


@rule(
    "site.exit_widths",
    level="warning",
    statement="Exits are enough, wide and far apart for the people to come",
    source=Citation(
        _EGRESS, "chapter 10: 1005.3, Tables 1004.5 and 1006.3.2, 1007.1.1; of buildings, here by analogy", "read"
    ),
    needs=(PLAN,),
    reads=("places",),
    limits=("site.exit_width_each", "site.standing_space"),
)
def exit_widths(ctx: Context) -> Judging:
    """Out of doors the fire code official says how many people count; how fast they get out is not computed."""
    plan, places = ctx[PLAN], ctx.spec("places")
    areas, outs = plan.of(*PEOPLE_KINDS), plan.of("exit")
    if not plan.kinds:
        return not_checked(NO_PLAN)
    if not areas or not outs:
        return not_checked("no place says kind: audience, or none says kind: exit", KIND)
    told = [(a, places.child(a.tag)) for a in areas]
    yield from [
        Unchecked(f"how many people {a.tag} is to hold is not stated (places: people:)", v.here("people"))
        for a, v in told
        if not v.has("people")
    ]
    wide = {o.tag: places.child(o.tag).quantity_or_none("width") for o in outs}
    people = sum(v.whole("people") for _, v in told if v.has("people"))
    if bare := [tag for tag, width in wide.items() if width is None]:
        said = f"how wide {several(bare)} {'is' if len(bare) == 1 else 'are'} is not stated (places: width:)"
        yield Unchecked(said, *(places.here(tag, "width") for tag in bare))
    each, room = ctx.limit(WIDTH.key), ctx.limit(STANDING.key)
    for area, view in told:
        held = view.whole("people") if view.has("people") else 0
        ground_ = size_of(area.shape) if isinstance(area.shape, Area) else 0.0
        if ground_ and held * room.si > ground_ * (1 + 1e-9):
            yield Trouble(
                view.here("people"),
                f"{area.tag} has {show(ground_, 'area', 'ft²')} for {held} people; {room.text} each are asked for",
                "fewer people, or a larger area",
                "a crowd that dense cannot move",
            )
        size = _longest(area)
        widest = max((math.dist(_spot(a), _spot(b)) for a, b in itertools.combinations(outs, 2)), default=0.0)
        if len(outs) > 1 and widest < size / 2 * (1 - 1e-9):
            yield Trouble(
                area.at,
                f"the exits are at most {show(widest, 'length', 'ft')} apart, and {area.tag} is "
                f"{show(size, 'length', 'ft')} across",
                "two exits half as far apart as the area is long, or more",
                "one fire then cuts both off",
            )
    asked = next((count for over, count in _MORE if people > over), 0)  # the least of all is site.exits' to see
    if len(outs) < asked:
        yield Trouble(
            told[0][1].here("people") if told[0][1].has("people") else areas[0].at,
            f"{counted(len(outs), 'exit')} for {people} people; {asked} are asked for",
            "another exit",
            "each way out takes only so many a minute",
        )
    known = [width.si for width in wide.values() if width is not None]
    needed = people * each.si
    at = next((v.here("people") for _, v in told if v.has("people")), areas[0].at)
    if not bare and people and sum(known) < needed * (1 - 1e-9):
        yield Trouble(
            at,
            f"the exits are {show(sum(known), 'length', 'ft')} wide in all for {people} people; "
            f"{show(needed, 'length', 'ft')} are asked for, {each.text} each",
            "wider exits, or more of them",
            "who cannot get out is pushed",
        )
    elif not bare and people and len(known) > 1 and sum(known) - max(known) < needed / 2 * (1 - 1e-9):
        yield Trouble(
            at,
            f"without the widest of them the exits are {show(sum(known) - max(known), 'length', 'ft')} wide, less than "
            f"half of the {show(needed, 'length', 'ft')} that {people} people need",
            "exits more alike in width",
            "the widest may be the one that fire cuts off",
        )
    return stated(f"{people} people, {counted(len(outs), 'exit')}, {show(sum(known), 'length', 'ft')} wide in all")


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
    plan = ctx[PLAN]
    lanes = plan.of("fire_lane")
    if not plan.kinds:
        return not_checked(NO_PLAN)
    if not lanes:
        return not_checked("no place says kind: fire_lane", KIND)
    limit = ctx.limit(LANE.key)
    listed = ctx.spec(ROOT).child("hoses")
    for lane in lanes:
        if not isinstance(lane.shape, Area):
            yield Unchecked(f"{lane.tag} is no area, so its width is not known", join(lane.at, "area"))
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
            (s.tag, (s.shape,)) for s in plan.of("exit") if s.shape and within(*_spot(s), lane.shape)
        ]  # people who leave do not stand where engines come in
        inside += [
            (s.tag, (s.shape,))
            for s in plan.places.values()
            if s.shape and s.tag != lane.tag and (s.blocks or s.kind in _IN_THE_WAY)
        ]
        standing = [tag for tag, shapes in inside if any(distance(s, lane.shape).si == 0.0 for s in shapes)]
        if standing:
            yield Trouble(
                lane.at,
                f"{several(standing)} {'stands' if len(standing) == 1 else 'stand'} in the fire lane {lane.tag}",
                "keep the lane free, without a rope or fence across it",
                "help comes late",
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
    plan = ctx[PLAN]
    if not plan.kinds:
        return not_checked(NO_PLAN)
    tents = plan.of("tent")
    if not tents:
        return not_applicable("no tents are described")
    limit = ctx.limit(TENTS.key)
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
