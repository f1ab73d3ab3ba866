"""Where people are: how far from each effect, what hangs over the flames, and which sides are open.

Whether the public is far enough is judged where flames are computed: this gives the plan's areas to it as targets, and
measures the same distances for the plan and its table.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from specc import (
    CHOICE,
    Citation,
    Context,
    Judging,
    Key,
    Limit,
    Trouble,
    Unchecked,
    Verdict,
    clear_distance,
    distance,
    gather,
    judged,
    not_applicable,
    not_checked,
    rule,
    show,
    value,
)
from specc.kinds.geometry import Area, Point, Polyline, Shape, corners, edges
from specc.kinds.places import Spot
from specc.kinds.targets import STANDOFFS, TARGETS, Target, TargetKind, governing
from specc.measure.units import FOOT
from specc.model.view import join
from specc.model.wording import counted
from specc_site.plan import (
    KIND_OR_NONE,
    NO_PLAN,
    PEOPLE_KINDS,
    PLAN,
    ROOT,
    Apart,
    Plan,
    apart,
    as_stood,
    effects_nowhere,
    ended,
    nearest,
    unplaced,
    words,
)
from specc_site.walls import pointlike

OVERHEAD = Limit(
    "site.overhead",
    "10 ft",
    "length",
    "max",
    "free height and distance between an effect and what is over it or beside it: wires, trees, tents, buildings",
    Citation("illinois-41-230", "230.270(b): 10 ft to any overhead obstruction", "read"),
)
AUDIENCE: Key[tuple[Apart, ...]] = Key("site.audience_distances", tuple)
_TARGETS: dict[str, TargetKind] = {
    "audience": "audience",
    "queue": "audience",
    "public_way": "audience",
    "walkway": "audience",
    "property_line": "audience",
    "performance": "performer",
    "exit": "way_out",
    "combustible": "burns",
    "tent": "burns",
    "tree": "burns",
    "building": "burns",
    "vehicle": "burns",
    "generator": "burns",
    "fuel_store": "part",
    "wires": "overhead",
    "crew": "operator",
}
# Where people go past, and up to where anybody may stand on the other side; a path of the crew's own is not told from
# theirs.
_PASSED_BY = ("public_way", "walkway", "property_line")
# What stands up, and how high is known only where it is said. Lower than a raised head it counts as ground does.
_STANDING = ("tent", "tree", "building", "vehicle", "generator", "combustible")
_HEAD = 2.0  # m


@value(AUDIENCE, needs=(PLAN,), wants=(STANDOFFS,))
def audience_distances(ctx: Context) -> tuple[Apart, ...]:
    """For each area of the public the distance to each effect, beside the largest stand-off that anybody gives."""
    plan, largest = ctx[PLAN], governing(ctx[STANDOFFS])
    made = []
    for spot in plan.of(*PEOPLE_KINDS):
        assert spot.shape is not None
        for effect in plan.effects:
            measured = nearest(effect.shapes, spot.shape, f"{effect.tag} to {spot.tag}")
            if measured is None:
                continue
            asked = largest.get(("audience", effect.tag))
            made.append(
                Apart(
                    effect.tag,
                    spot.tag,
                    measured,
                    asked.distance if asked else None,
                    asked.why if asked else "no stand-off is known",
                    asked.citation if asked else CHOICE,
                    spot.at,
                )
            )
    return tuple(made)


@gather(TARGETS, needs=(PLAN,), reads=("flame",))
def targets(ctx: Context) -> Sequence[Target]:
    """Who and what the plan shows in the heat, for whoever computes it; not again what `flame:` names by itself."""
    flame, plan = ctx.spec("flame"), ctx[PLAN]
    named = {t for key in ("audience", "performers", "exits", "dry", "overhead") for t in flame.texts(key)}
    return [
        Target(spot.tag, _TARGETS[kind], _stands(spot, spot.shape), None, f"{words(kind)} at {spot.tag}", spot.at)
        for kind, spots in plan.kinds.items()
        if kind in _TARGETS
        for spot in spots
        if spot.shape is not None and spot.tag not in named and (kind not in _PASSED_BY or _nearest_people(plan, spot))
    ]


def _nearest_people(plan: Plan, way: Spot) -> bool:
    """Whether a way that people pass on comes nearer to some flame than every area of the public does: one that is
    farther than they are from each is judged with them. Where no area is described the first question is where the
    public is, and it stays one."""
    assert way.shape is not None
    areas = [area.shape for area in plan.of(*PEOPLE_KINDS) if area.shape]
    flames = [shape for effect in plan.effects for shape in effect.shapes]
    return bool(areas) and any(all(distance(f, way.shape).si < distance(f, a).si for a in areas) for f in flames)


def _stands(spot: Spot, shape: Shape) -> Shape:
    """Without heights where it may stand as high as a flame, so that none counts in its favor."""
    low = spot.height.si <= _HEAD if spot.height is not None else spot.kind == "combustible"
    if spot.kind not in _STANDING or low:
        return shape
    if isinstance(shape, Point):
        return shape._replace(z=None)
    if isinstance(shape, Polyline):
        return Polyline(tuple(p._replace(z=None) for p in shape.points))
    return Area(tuple(p._replace(z=None) for p in shape.outline), shape.holes)


@rule(
    "site.clear_height",
    level="error",
    statement="Wires, trees, tents and buildings keep clear of each effect, above and beside it",
    source=OVERHEAD.citation,
    needs=(PLAN,),
    limits=("site.overhead",),
)
def clear_height(ctx: Context) -> Judging:
    """Through space from the effect's own height; the flame's height is the flame rules' matter. A height that is not
    said gives no credit: the distance on the level counts."""
    plan = ctx[PLAN]
    kinds = ("wires", "tree", "tent", "building")
    if not plan.effects:
        return not_applicable("no effects")
    if not plan.kinds:
        return not_checked(NO_PLAN)
    limit = ctx.limit(OVERHEAD.key)
    looked = 0
    for spot in plan.of(*kinds):
        for effect in plan.effects:
            tried = [clear_distance(s, spot.shape, None, spot.height) for s in effect.shapes if spot.shape]
            if not tried:
                continue
            looked += 1
            free = min(tried, key=lambda w: w.si)
            if free.si >= limit.si * (1 - 1e-9) and free.si < limit.si + _crown(spot):
                said = f"how far the crown of {spot.tag} reaches toward {effect.tag} is not stated (area:)"
                yield Unchecked(said, join("/places", spot.tag, "area"))
            if free.si < limit.si * (1 - 1e-9):
                yield Trouble(
                    spot.at,
                    f"{spot.tag} ({words(spot.kind)}) is {show(free.si, 'length', 'ft')} from {effect.tag}; the "
                    f"limit is {limit.text}",
                    "more distance, or a z coordinate that says how high it hangs",
                    "a flame that leans or reaches up takes hold of what is over it",
                    moves=apart(effect, as_stood(spot), limit.si - free.si, spot.kind),
                )
    yield from pointlike(plan, kinds)
    yield from unplaced(plan, kinds)
    few = plan.unsaid(("tree", "tent", "building"))
    yield from (Unchecked(f"nothing says whether there are {words(k)}s", *KIND_OR_NONE) for k in few)
    if plan.unsaid(("wires",)):
        yield Unchecked("nothing says whether wires hang over the site", *KIND_OR_NONE)
    yield from effects_nowhere(plan)
    return ended(plan, kinds, f"{counted(looked, 'pair')} of effect and what stands near")


def _crown(spot: Spot) -> float:
    """How far, in m, a tree that is one point may reach out: half of its height, or as far as a tall one where none is
    stated. Common practice, no published source."""
    if spot.kind != "tree" or not isinstance(spot.shape, Point):
        return 0.0
    return spot.height.si / 2 if spot.height is not None else 30 * FOOT


_STEP = 5
CLOSES = ("audience", "queue", "crew", "performance", "fuel_store", "building", "tent", "barrier")
_POINTS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


def open_sides(plan: Plan, center: tuple[float, float]) -> list[int]:
    """The directions (degrees clockwise from the y axis, in steps) in which a straight way out of the effect meets
    nothing that is described: neither people nor what keeps them out."""
    pieces = [
        (a, b) for spot in plan.of(*CLOSES) if isinstance(spot.shape, Area | Polyline) for a, b in edges(spot.shape)
    ]
    made = []
    for angle in range(0, 360, _STEP):
        dx, dy = math.sin(math.radians(angle + 0.013)), math.cos(math.radians(angle + 0.013))
        if not any(_meets(center, dx, dy, a, b) for a, b in pieces):
            made.append(angle)
    return made


def _meets(center: tuple[float, float], dx: float, dy: float, a: Point, b: Point) -> bool:
    ax, ay, bx, by = a.x.si - center[0], a.y.si - center[1], b.x.si - center[0], b.y.si - center[1]
    left, right = dx * ay - dy * ax, dx * by - dy * bx
    if (left >= 0) == (right >= 0):
        return False
    t = left / (left - right)
    return dx * (ax + t * (bx - ax)) + dy * (ay + t * (by - ay)) > 0


def named_sides(angles: Sequence[int], north: float) -> list[str]:
    """The sides by name, of directions from the y axis; `north` is where it lies, in degrees clockwise from there."""
    of = {_POINTS[round(((a - north) % 360) / 45) % 8] for a in angles}
    return [p for p in _POINTS if p in of]


@rule(
    "site.sides",
    level="warning",
    statement="On every side of every effect the plan shows who is there, or what keeps people out",
    source=CHOICE,
    needs=(PLAN,),
    reads=(ROOT,),
)
def sides(ctx: Context) -> Verdict:
    plan = ctx[PLAN]
    if not plan.effects:
        return not_applicable("no effects")
    if not plan.kinds:
        return not_checked(NO_PLAN)
    north = ctx.spec(ROOT).quantity_or_none("north")
    unknown: dict[str, list[str]] = {}
    for effect in plan.effects:
        for spot in (p for shape in effect.shapes for p in corners(shape)):
            if open_ := open_sides(plan, (spot.x.si, spot.y.si)):
                named = named_sides(open_, math.degrees(north.si)) if north else []
                text = ", ".join(named) or f"{len(open_) * _STEP} degrees all round"
                tags = unknown.setdefault(text, [])
                tags += [effect.tag] if effect.tag not in tags else []
    told = [
        Unchecked(f"nothing is described to the {side} of {', '.join(tags)}", *KIND_OR_NONE)
        for side, tags in unknown.items()
    ]
    if north is None:
        told.append(Unchecked("site: north: is not stated", "/site/north"))
    told += effects_nowhere(plan)
    told += unplaced(plan, CLOSES)
    return judged((), told, f"all sides of {counted(len(plan.effects), 'effect')}")
