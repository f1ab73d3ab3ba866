"""Rules on how hoses and tubes lie: long enough for their way, and guarded where people or wheels cross them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from specc import (
    CHOICE,
    Citation,
    Context,
    Cure,
    Key,
    Limit,
    Trouble,
    Unchecked,
    distance,
    ground,
    nearer,
    not_applicable,
    not_checked,
    obstacles_of,
    rule,
    show,
    value,
)
from specc.kinds.geometry import Polyline, Shape
from specc.kinds.places import Spot
from specc.kinds.plumbing import NETWORK, Part
from specc.measure.units import FOOT
from specc.model.passes import Judging, passed
from specc.model.values import Quantity
from specc.model.view import join
from specc.model.wording import counted
from specc_site.distances import ends_of
from specc_site.kept_out import GAP, barriers_of
from specc_site.plan import NO_PLAN, PEOPLE_KINDS, PLAN, ROOT, Plan, spot_at, unplaced, words

_RAMP = Citation("chicago-vendor-propane", "hoses kept from damage; ramps or tape against trips", "read")
WAYS: Key[tuple[tuple[str, Spot], ...]] = Key("site.hose_ways", tuple)
"""Tag of a hose or tube, and the place whose line it follows."""
WAY_END = Limit(
    "site.way_end",
    "3 ft",
    "length",
    "min",
    "how far a hose's way on the plan may end from the places that its ends are at",
    CHOICE,
)
_CROSSED = ("audience", "queue", "walkway", "exit", "fire_lane", "public_way", "building", "vehicle")


@value(WAYS, needs=(PLAN,), reads=(ROOT,))
def hose_ways(ctx: Context) -> tuple[tuple[str, Spot], ...]:
    places = ctx[PLAN].places
    listed = [(tag, places.get(h.text("way"))) for tag, h in ctx.spec(ROOT).child("hoses").children()]
    return tuple((tag, spot) for tag, spot in listed if spot and isinstance(spot.shape, Polyline))


def _ends_elsewhere(part: Part, way: Spot, line: Polyline, plan: Plan, most: Quantity) -> Iterator[Trouble]:
    """The places of a hose's ends that its way does not come to: what it then crosses and passes is another line."""
    for place in _ends(part, plan) if part.spec.has("place") else ():
        shape = plan.places[place].shape
        assert shape is not None
        ends = sorted(((distance(p, shape), p) for p in (line.points[0], line.points[-1])), key=lambda one: one[0].si)
        off = ends[0][0]
        if off.si > most.si * (1 + 1e-9):
            yield Trouble(
                way.at,
                f"{part.tag} ends at {place}, and its way {way.tag} ends {show(off.si, 'length', 'ft', 3)} from there; "
                f"the limit is {most.text}",
                "a line from one end of the hose to the other",
                "what it crosses and lies beside is looked for along its way",
                moves=tuple(nearer(place, way.tag, shape, end, far.si) for far, end in ends),
            )


def _lies_nowhere(part: Part, where: str) -> Unchecked:
    return Unchecked(f"nothing says how {part.tag} lies{where}", join("/site/hoses", part.tag, "way"))


def _length(line: Polyline) -> float:
    """Along a line, with what it climbs where its points say how high they are; in m."""
    total = 0.0
    for a, b in zip(line.points, line.points[1:], strict=False):
        rise = b.z.si - a.z.si if a.z and b.z else 0.0
        total += math.hypot(b.x.si - a.x.si, b.y.si - a.y.si, rise)
    return total


def _ends(part: Part, plan: Plan) -> tuple[str, ...]:
    """The tags of the places of both ends, where the part says two that have coordinates."""
    told = part.spec.texts("place") if isinstance(part.spec["place"], list | tuple) else ()
    return tuple(t for t in told if t in plan.places and plan.places[t].shape)


@rule(
    "site.hose_lengths",
    level="error",
    statement="Each hose is as long as the way stated for it, which ends where the hose does, or as what lies between "
    "the places of its ends",
    source=CHOICE,
    needs=(PLAN, NETWORK, WAYS),
    limits=(WAY_END.key,),
)
def hose_lengths(ctx: Context) -> Judging:
    plan, net = ctx[PLAN], ctx[NETWORK]
    own_ways = ctx[WAYS]
    ways = dict(own_ways)
    parts = [p for p in net.of_kind("hose", "tube") if p.spec.has("length")]
    if not parts:
        return not_applicable("no hose or tube states its length")
    looked = 0
    for part in parts:
        own = part.spec.quantity("length")
        if part.tag in ways:
            shape = ways[part.tag].shape
            assert isinstance(shape, Polyline)
            needed, said = _length(shape), f"its way {ways[part.tag].tag}"
            yield from _ends_elsewhere(part, ways[part.tag], shape, plan, ctx.limit(WAY_END.key))
        else:
            ends = _ends(part, plan) if part.spec.has("place") else ()
            if len(ends) < 2:
                if part.kind == "hose":
                    yield _lies_nowhere(part, "")
                continue
            one, other = (plan.places[t].shape for t in ends)
            assert one is not None
            assert other is not None
            needed, said = distance(one, other).si, f"the straight line from {ends[0]} to {ends[1]}"
        looked += 1
        if own.si < needed * (1 - 1e-9):
            yield Trouble(
                part.at,
                f"{part.tag} is {own.text} long, and {said} is {show(needed, 'length', 'ft')}",
                "a longer hose, or coordinates in the unit that was measured",
                "a hose that is pulled tight parts at its ends",
                cure=Cure(f"{math.ceil(needed / FOOT)} ft would pass", ((own.at, f"{math.ceil(needed / FOOT)} ft"),)),
            )
    return passed(f"{looked} hoses and tubes")


@rule(
    "site.crossings",
    level="warning",
    statement="Where a hose lies across the way of people or wheels it is under a ramp, buried or overhead",
    source=_RAMP,
    needs=(PLAN, WAYS, NETWORK),
    reads=(ROOT,),
    limits=(GAP.key,),
)
def crossings(ctx: Context) -> Judging:
    plan, ways = ctx[PLAN], ctx[WAYS]
    listed = ctx.spec(ROOT).child("hoses")
    hoses = ctx[NETWORK].of_kind("hose")
    if not hoses and not ways:
        return not_applicable("no hoses")
    if not plan.kinds:
        return not_checked(NO_PLAN)
    looked = 0
    for tag, way in ways:
        for spot in plan.of(*_CROSSED):
            looked += 1
            if _crosses(way.shape, spot.shape) and not listed.child(tag).has("guarded"):
                yield Trouble(
                    listed.here(tag),
                    f"{tag} lies across {spot.tag} ({words(spot.kind)}) and is not guarded there",
                    "guarded: ramp, buried or overhead, or another way",
                    "people trip over it, and wheels crush it",
                )
    yield from unplaced(plan, _CROSSED)
    unguarded = [(tag, way) for tag, way in ways if not listed.child(tag).has("guarded")]
    for tag, way in unguarded:
        for area, out, walk in _ways_out(ctx, plan) if way.shape else ():
            looked += 1
            if not _crosses(way.shape, area.shape) and _crosses(way.shape, walk):
                yield Trouble(
                    listed.here(tag),
                    f"{tag} lies across the way from {area.tag} to the exit {out.tag} and is not guarded there",
                    "guarded: ramp, buried or overhead, or another way",
                    "who leaves in a hurry trips over it, and those behind fall over them",
                )
    yield from [_lies_nowhere(p, " (site: hoses:)") for p in hoses if p.tag not in dict(ways) and not _short(p, plan)]
    return passed(f"{counted(looked, 'pair')} of hose and way")


def _ways_out(ctx: Context, plan: Plan) -> Iterator[tuple[Spot, Spot, Polyline]]:
    """The shortest way on foot from each area of the public to each of its exits that lies off it."""
    level = ground(obstacles_of(barriers_of(plan, ctx.limit(GAP.key).si), "walking"))
    for area in plan.of(*PEOPLE_KINDS):
        for out in plan.of("exit"):
            assert area.shape is not None
            assert out.shape is not None
            if distance(area.shape, out.shape).si == 0.0:
                continue
            start, end = ends_of(area.shape, out.shape)
            ways = [w for near in level.beside(start) for w in level.walk(near, level.beside(end)) if w]
            if best := min(ways, key=lambda w: w.length, default=None):
                yield area, out, Polyline(tuple(spot_at(s) for s in best.spots))


def _short(part: Part, plan: Plan) -> bool:
    """A hose whose ends are at one place crosses nothing."""
    ends = _ends(part, plan) if part.spec.has("place") else ()
    return len(ends) == 2 and ends[0] == ends[1]


def _crosses(one: Shape | None, other: Shape | None) -> bool:
    return one is not None and other is not None and distance(one, other).si == 0.0
