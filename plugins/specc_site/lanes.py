"""Rule on the fire lane: wide and high enough for an engine all along it, and free."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from specc import (
    Citation,
    Context,
    Limit,
    Trouble,
    Unchecked,
    distance,
    farther,
    not_checked,
    rule,
    show,
)
from specc.formulas.ways import BESIDE_LANE
from specc.kinds.geometry import Area, corners, within
from specc.kinds.places import Spot
from specc.kinds.plumbing import NETWORK
from specc.measure.units import FOOT
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted, several
from specc_site.hoses import WAYS
from specc_site.plan import KIND, NO_PLAN, PLAN, ROOT, Plan, effects_nowhere, middle, nowhere, spot_at, unplaced

Spot2 = tuple[float, float]

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
# From memory, the fire code's 503.2.1: 13 ft 6 in free above the lane.
HEIGHT = 13.5 * FOOT
_IN_THE_WAY = (
    "tent", "vehicle", "generator", "audience", "queue", "fuel_store", "building", "barrier", "tree", "combustible"
)  # fmt: skip


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


def waist(area: Area, least: float) -> float | None:
    """The least width, in m, of a passage in an area's outer shape that is narrower than `least`; None without one.
    A corner or niche that reaches less far than `least` beyond it is no passage: nothing drives in there."""
    ring = [(p.x.si, p.y.si) for p in area.outline]
    if sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, (*ring[1:], ring[0]), strict=True)) < 0:
        ring.reverse()
    found = (
        math.dist(spot, end)
        for i, spot, (dx, dy) in _looks_across(ring, least / 4)
        if (hit := _first_hit(ring, i, spot, dx, dy)) is not None
        for j, end in (hit,)
        if math.dist(spot, end) < least * (1 - 1e-9)
        and all(_reach(part, spot, end) >= least for part in _parts(ring, i, j))
    )
    return min(found, default=None)


def _looks_across(ring: Sequence[Spot2], step: float) -> Iterator[tuple[int, Spot2, Spot2]]:
    """Spots along each edge, with the edge's number and the way straight in from it; and from each corner that juts in
    the ways straight at the other edges."""
    for i, a in enumerate(ring):
        b = ring[(i + 1) % len(ring)]
        size = math.dist(a, b)
        if not size:
            continue
        inward = (-(b[1] - a[1]) / size, (b[0] - a[0]) / size)
        count = max(2, min(200, math.ceil(size / step)))
        for n in range(1, count):
            yield i, (a[0] + (b[0] - a[0]) * n / count, a[1] + (b[1] - a[1]) * n / count), inward
        before = ring[i - 1]
        if (a[0] - before[0]) * (b[1] - a[1]) - (a[1] - before[1]) * (b[0] - a[0]) < 0:
            for j, c in enumerate(ring):
                d = ring[(j + 1) % len(ring)]
                if j not in (i, (i - 1) % len(ring)) and (far := math.dist(c, d)):
                    t = max(0.0, min(1.0, ((a[0] - c[0]) * (d[0] - c[0]) + (a[1] - c[1]) * (d[1] - c[1])) / far**2))
                    foot = (c[0] + (d[0] - c[0]) * t, c[1] + (d[1] - c[1]) * t)
                    if off := math.dist(a, foot):
                        yield i, a, ((foot[0] - a[0]) / off, (foot[1] - a[1]) / off)


def _first_hit(ring: Sequence[Spot2], own: int, spot: Spot2, dx: float, dy: float) -> tuple[int, Spot2] | None:
    """The edge that is met first on a way in from a spot of the ring, and where; None where the way leads out."""
    best: tuple[float, int] | None = None
    for j, c in enumerate(ring):
        d = ring[(j + 1) % len(ring)]
        ex, ey = d[0] - c[0], d[1] - c[1]
        cross = dx * ey - dy * ex
        if j == own or not cross:
            continue
        t = ((c[0] - spot[0]) * ey - (c[1] - spot[1]) * ex) / cross
        u = ((c[0] - spot[0]) * dy - (c[1] - spot[1]) * dx) / cross
        if t > 1e-6 and -1e-9 <= u <= 1 + 1e-9 and (best is None or t < best[0]):
            best = (t, j)
    if best is None:
        return None
    middle = (spot[0] + dx * best[0] / 2, spot[1] + dy * best[0] / 2)
    if not within(*middle, Area(tuple(spot_at(p) for p in ring))):
        return None
    return best[1], (spot[0] + dx * best[0], spot[1] + dy * best[0])


def _parts(ring: Sequence[Spot2], i: int, j: int) -> tuple[list[Spot2], list[Spot2]]:
    """The corners to both sides of a cut from edge i to edge j."""
    n = len(ring)
    return [ring[k % n] for k in range(i + 1, j + 1 if j > i else j + n + 1)], [
        ring[k % n] for k in range(j + 1, i + 1 if i > j else i + n + 1)
    ]


def _reach(part: Sequence[Spot2], a: Spot2, b: Spot2) -> float:
    """How far a part reaches from the cut between a and b."""
    dx, dy, most = b[0] - a[0], b[1] - a[1], 0.0
    for p in part:
        t = max(0.0, min(1.0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / (dx * dx + dy * dy)))
        most = max(most, math.dist(p, (a[0] + t * dx, a[1] + t * dy)))
    return most


def _led_to(lane: Spot, plan: Plan) -> Iterator[Trouble]:
    """A lane that no public way comes to, where the plan has some."""
    assert lane.shape is not None
    near = [(distance(way.shape, lane.shape).si, way.tag) for way in plan.of("public_way") if way.shape]
    if near and min(near)[0] > BESIDE_LANE * (1 + 1e-9):
        far, tag = min(near)
        yield Trouble(
            lane.at,
            f"{lane.tag} begins {show(far, 'length', 'ft')} from {tag}, the nearest public way; the limit is "
            f"{show(BESIDE_LANE, 'length', 'ft')}",
            "a lane that begins at a public way, or the way that leads to it (kind: public_way)",
            "an engine comes from there",
            "warning",
        )


def _over(lane: Spot, plan: Plan) -> Iterator[Trouble | Unchecked]:
    """Wires that hang over a lane: lower than an engine, or at a height that nobody states."""
    assert lane.shape is not None
    for wires in plan.of("wires"):
        assert wires.shape is not None
        if distance(wires.shape, lane.shape).si > 0.0:
            continue
        heights = [p.z for p in corners(wires.shape)]
        low = min((z.si for z in heights if z is not None), default=None)
        if low is None or None in heights:
            yield Unchecked(f"how high {wires.tag} hangs over {lane.tag} is not stated", wires.at)
        elif low < HEIGHT * (1 - 1e-9):
            yield Trouble(
                wires.at,
                f"{wires.tag} hangs {show(low, 'length', 'ft')} high over the fire lane {lane.tag}; "
                f"{show(HEIGHT, 'length', 'ft')} is asked for (fire code 503.2.1, from memory)",
                "another way for it, or for the lane",
                "an engine tears it down",
            )


@rule(
    "site.fire_lane",
    level="error",
    statement="A fire lane of 20 ft leads in, and nothing stands, lies or hangs low in it",
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
    yield from effects_nowhere(plan)
    yield from nowhere(plan.cylinders)
    yield from unplaced(plan, ("fire_lane", "public_way", "wires", "exit", *_IN_THE_WAY))
    for lane in lanes:
        if not isinstance(lane.shape, Area):
            yield Unchecked(f"{lane.tag} is no area, so its width is not known", join(lane.at, "area"))
            continue
        wide = narrowest(lane.shape)
        wide = min(wide, waist(lane.shape, limit.si) or wide)
        yield from _over(lane, plan)
        yield from _led_to(lane, plan)
        if lane.shape.holes:
            yield Unchecked(f"how wide {lane.tag} is beside its holes is not computed", join(lane.at, "holes"))
        if wide < limit.si * (1 - 1e-9):
            yield Trouble(
                lane.at,
                f"{lane.tag} is {show(wide, 'length', 'ft')} wide; the limit is {limit.text}",
                "a wider lane",
                "an engine has to pass, and people beside it",
            )
        inside = [(e.tag, e.shapes) for e in (*plan.effects, *plan.cylinders)]
        inside += [
            (s.tag, (s.shape,)) for s in plan.of("exit") if s.shape and within(*middle(s.shape), lane.shape)
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
                moves=tuple(
                    farther(tag, lane.tag, plan.places[tag].shape or lane.shape, lane.shape)
                    for tag in standing[:1]
                    if tag in plan.places
                ),
            )
        for tag, way in ctx.get(WAYS) or ():
            guard = listed.child(tag).text_or("guarded")
            if way.shape and guard not in ("buried", "overhead", "ramp") and distance(way.shape, lane.shape).si == 0.0:
                yield Trouble(
                    lane.at, f"{tag} lies in the fire lane {lane.tag}", "another way for it", "an engine parts it"
                )
    return passed(f"{counted(len(lanes), 'lane')}, {limit.text} wide or more")


__all__ = ["narrowest", "waist"]
