"""Rules on ways in and out: exits of the public on foot, the fire lane, and tents among other things."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence

from specc import (
    CHOICE,
    PRACTICE,
    Citation,
    Context,
    Limit,
    Trouble,
    Unchecked,
    distance,
    farther,
    ground,
    not_applicable,
    not_checked,
    obstacles_of,
    rule,
    show,
    stated,
)
from specc.formulas.ways import CLEAR, Ground, Obstacle, kept_for_help, not_placed
from specc.kinds.geometry import Area, Point, Polyline, Shape, corners, edges, size_of, within
from specc.kinds.places import Spot
from specc.kinds.targets import STANDOFFS, Standoff, governing
from specc.measure.units import INCH
from specc.model.passes import Judging, passed
from specc.model.values import Quantity
from specc.model.wording import counted, several
from specc_site.distances import Spot2, foot
from specc_site.kept_out import GAP, barriers_of, stand
from specc_site.outlines import crossing
from specc_site.plan import (
    KIND,
    NO_PLAN,
    PEOPLE_KINDS,
    PLAN,
    Plan,
    apart,
    as_stood,
    effects_nowhere,
    nearest,
    unplaced,
    words,
)
from specc_site.walls import pointlike

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
# Crowd managers: chapter 4 of the same code.
CROWD, PER_MANAGER = 1000, 250
DOOR = 32 * INCH  # clear width of a door, 1010.1.1 of the fire code, from memory
# Above so many people a fourth and a third way out are asked for: Table 1006.3.2 of the same chapter.
_MORE = ((1000, 4), (500, 3))
TENTS = Limit(
    "site.tent_apart",
    "20 ft",
    "length",
    "max",
    "from a tent to other structures, vehicles and engines",
    Citation("ifc-2018-minnesota", "chapter 31, tents: 20 ft to other structures, vehicles, engines", "read"),
)


_ROUND = 48  # corners of a stand-off that is walked round


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
    reads=("places", "operators"),
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
    gap = ctx.limit(GAP.key).si
    obstacles = obstacles_of(barriers_of(plan, gap), "walking")
    yield from not_placed(plan.places.values(), "walking")
    yield from unplaced(plan, (*PEOPLE_KINDS, "exit"))
    yield from effects_nowhere(plan)
    level, largest = ground(obstacles), governing(ctx[STANDOFFS])
    most, heats = ctx.limit(EDGE.key), list(heat_of(plan, largest))
    hot = {o.tag for o in outs for s, r in heats if o.shape and distance(s, o.shape).si < r * (1 - 1e-9)}
    kept = kept_exits(ctx, plan)
    ends = [(o.tag, spot) for o in outs if o.tag not in hot for spot in gates(_spot(o), gap, level)]
    for area in areas:
        assert area.shape is not None
        starts = [s for s in _from(area.shape) if not level.inside(s)] or list(stand(area, level))
        got = [_reached(start, ends, obstacles, heats) for start in starts]
        reached = [o.tag for o in outs if got and all(o.tag in one for one in got)]
        if len(reached) < least.si:
            lost = [o.tag for o in outs if o.tag not in reached]
            yield Trouble(
                area.at,
                f"from {area.tag} there {'is' if len(reached) == 1 else 'are'} {len(reached)} of "
                f"{counted(len(outs), 'exit')} that can be walked to; at least {least.si:g} are needed"
                + (f" (behind barriers, flames or what is in the way: {', '.join(lost)})" if lost else ""),
                "another exit, or a way past what is in the way",
                "when one way is cut off by fire people have to have another",
            )
        elif len(free := [tag for tag in reached if tag not in kept]) < least.si:
            yield Trouble(
                area.at,
                f"without {several(kept)}, where help comes in, there {'is' if len(free) == 1 else 'are'} "
                f"{counted(len(free), 'exit')} that can be walked to from {area.tag}; at least {least.si:g} are needed",
                "another exit, or another place to meet help",
                "when one way is cut off by fire people have to have another",
                "warning",
            )
    for out in outs:
        assert out.shape is not None
        yield from _stood_in(out, plan, ctx.spec("places").child(out.tag).quantity_or_none("width"))
        for area in areas:
            deep = _deep(out, area)
            if deep > most.si * (1 + 1e-9):
                yield Trouble(
                    out.at,
                    f"the exit {out.tag} lies {show(deep, 'length', 'ft')} within {area.tag}; the limit is {most.text}",
                    "a place on the edge of the area, where one leaves it",
                    "what does not lead out is no exit",
                    moves=(farther(out.tag, area.tag, out.shape, area.shape),) if area.shape else (),
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
                    moves=apart(as_stood(out), effect, asked.distance.si - near.si),
                )
    return passed(f"{counted(len(outs), 'exit')} for {counted(len(areas), 'area')}, round what is in the way")


def heat_of(plan: Plan, largest: Mapping[tuple[str, str], Standoff]) -> Iterator[tuple[Shape, float]]:
    """Each effect's shapes, and how far the public keeps from them, in m."""
    for effect in plan.effects:
        if asked := largest.get(("audience", effect.tag)):
            yield from ((shape, asked.distance.si) for shape in effect.shapes)


def kept_exits(ctx: Context, plan: Plan) -> list[str]:
    """The exits that an evacuation leaves to those who come to help."""
    meet = ctx.spec("operators").child("emergency")
    return kept_for_help(plan.of("exit", "fire_lane"), meet.text_or("meet"))


def _near(shape: Shape, way: Sequence[Spot2]) -> float:
    """How near a way comes to a shape, in m: to its point, or to the corners of another one."""
    spots = [(p.x.si, p.y.si) for p in corners(shape)]
    pieces = list(itertools.pairwise(way)) or [(way[0], way[0])]
    return min(math.dist(spot, foot(spot, a, b)) for spot in spots for a, b in pieces)


def ring_of(shape: Shape, radius: float) -> Obstacle:
    """A stand-off as something that nobody walks through."""
    turns = [2 * math.pi * i / _ROUND for i in range(_ROUND)]
    spots = [(p.x.si, p.y.si) for p in corners(shape)]
    return Obstacle(
        "", tuple(tuple((x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns) for x, y in spots)
    )


def _reached(
    start: Spot2,
    ends: Sequence[tuple[str, Spot2]],
    obstacles: tuple[Obstacle, ...],
    heats: Sequence[tuple[Shape, float]],
) -> set[str]:
    """The exits that are walked to from a spot, through no stand-off but those that the spot itself lies in. Only where
    a shortest way is hot are the ways round all that is looked for."""
    spots = [spot for _, spot in ends]
    others = [(shape, radius) for shape, radius in heats if _near(shape, (start,)) >= radius]
    made: set[str] = set()
    hot: set[str] = set()
    for (tag, _), walk in zip(ends, ground(obstacles).walk(start, spots), strict=True):
        if walk is not None:
            is_hot = any(_near(shape, walk.spots) < radius * (1 - 1e-6) for shape, radius in others)
            (hot if is_hot else made).add(tag)
    if hot - made:
        cooler = ground((*obstacles, *(ring_of(shape, radius) for shape, radius in others)))
        made |= {tag for (tag, _), walk in zip(ends, cooler.walk(start, spots), strict=True) if walk}
    return made


def _stood_in(out: Spot, plan: Plan, width: Quantity | None) -> Iterator[Trouble]:
    """What stands where people leave: over the exit, or within half of its width."""
    assert out.shape is not None
    for other in plan.of("building", "tent", "vehicle", "generator", "fuel_store", "tree"):
        assert other.shape is not None
        if other.kind in ("building", "tent") and "walking" not in other.blocks:
            continue  # one walks in and out of it
        near = distance(out.shape, other.shape).si
        narrowed = other.kind not in ("building", "tent") and width is not None and near < width.si / 2 * (1 - 1e-9)
        if narrowed or _deep(out, other) > CLEAR:
            yield Trouble(
                out.at,
                f"{other.tag} ({words(other.kind)}) stands in the exit {out.tag}",
                "an exit that is free over its whole width",
                "who cannot get out is pushed",
            )


def gates(spot: tuple[float, float], near: float, level: Ground) -> Iterator[tuple[float, float]]:
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
    reads=("places", "operators"),
    limits=("site.exit_width_each", "site.standing_space"),
)
def exit_widths(ctx: Context) -> Judging:
    """Out of doors the fire code official says how many people count; how fast they get out is not computed."""
    plan, places = ctx[PLAN], ctx.spec("places")
    areas, outs, kept = plan.of(*PEOPLE_KINDS), plan.of("exit"), kept_exits(ctx, plan)
    if not plan.kinds:
        return not_checked(NO_PLAN)
    if not areas or not outs:
        return not_checked("no place says kind: audience, or none says kind: exit", KIND)
    yield from unplaced(plan, (*PEOPLE_KINDS, "exit"))
    told = [(a, places.child(a.tag)) for a in areas]
    yield from [
        Unchecked(f"how many people {a.tag} is to hold is not stated (places: people:)", v.here("people"))
        for a, v in told
        if not v.has("people")
    ]
    outs = tuple(o for o in outs if o.tag not in kept)
    wide = {o.tag: places.child(o.tag).quantity_or_none("width") for o in outs}
    yield from [
        Trouble(
            width.at,
            f"{tag} is {width.text} wide; {show(DOOR, 'length', 'in')} are asked for (fire code 1010.1.1, from memory)",
            "a wider exit, or one less",
            "a wheelchair does not get through, nor two who hold each other",
        )
        for tag, width in wide.items()
        if width is not None and width.si < DOOR * (1 - 1e-9)
    ]
    people = sum(v.whole("people") for _, v in told if v.has("people"))
    if bare := [tag for tag, width in wide.items() if width is None]:
        said = f"how wide {several(bare)} {'is' if len(bare) == 1 else 'are'} is not stated (places: width:)"
        yield Unchecked(said, *(places.here(tag, "width") for tag in bare))
    for area, view in told:
        if view.has("people") and not isinstance(area.shape, Area):
            yield Unchecked(f"how much room {area.tag} has is not known: it is no area", view.here("area"))
    each, room = ctx.limit(WIDTH.key), ctx.limit(STANDING.key)
    for area, view in told:
        held = view.whole("people") if view.has("people") else 0
        whole = isinstance(area.shape, Area) and crossing(area.shape.outline) is None
        ground_ = size_of(area.shape) if whole and isinstance(area.shape, Area) else 0.0
        if ground_ > 0 and held * room.si > ground_ * (1 + 1e-9):
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
    if people >= CROWD:
        yield Trouble(
            told[0][1].here("people") if told[0][1].has("people") else areas[0].at,
            f"{people} people: {max(2, math.ceil(people / PER_MANAGER))} crowd managers are asked for (IFC 2018 as "
            "Minnesota has it, chapter 4: 2, and 1 for each 250 people; outdoors from 1,000); nothing here names any",
            "their names in the event's own plan, which the authority asks for",
            "a crowd that large is not led out by two spotters",
            "note",
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
    each_way = several([f"{tag} {width.text}" for tag, width in wide.items() if width is not None])
    left_out = f"; {several(kept)} kept for help" if kept else ""
    return stated(f"{people} people; wide are {each_way}{left_out}")


def _spot(spot: Spot) -> tuple[float, float]:
    assert spot.shape is not None
    points = corners(spot.shape)
    if isinstance(spot.shape, Point):
        return points[0].x.si, points[0].y.si
    return sum(p.x.si for p in points) / len(points), sum(p.y.si for p in points) / len(points)


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
    yield from unplaced(plan, ("tent", "building", "vehicle", "generator") if tents else ("tent",))
    if not tents and not any(unplaced(plan, ("tent",))):
        return not_applicable("no tents are described")
    limit = ctx.limit(TENTS.key)
    others = plan.of("tent", "building", "vehicle", "generator")
    yield from pointlike(plan, ("tent", "building", "vehicle"))
    for i, tent in enumerate(tents):
        for other in (*tents[:i], *(o for o in others if o.kind != "tent")):
            assert tent.shape is not None
            assert other.shape is not None
            near = distance(tent.shape, other.shape)
            if near.si < limit.si * (1 - 1e-9):
                yield Trouble(
                    tent.at,
                    f"{tent.tag} is {show(near.si, 'length', 'ft')} from {other.tag} ({words(other.kind)}); the "
                    f"limit is {limit.text}",
                    "more distance, or the authority's word under limits:",
                    "fire goes from tent to tent in a minute",
                    moves=apart(as_stood(tent), as_stood(other), limit.si - near.si, other.kind),
                )
    return passed(f"{counted(len(tents), 'tent')} beside {len(others) - len(tents)} others")
