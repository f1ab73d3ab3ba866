"""Whether the barriers keep the public out of the stand-offs: through a gap or round an end somebody walks in."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

from specc import (
    CHOICE,
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
)
from specc.formulas.ways import CLEAR, Ground, Walk
from specc.kinds.geometry import Area, Polyline, Shape, corners, within
from specc.kinds.places import Spot
from specc.kinds.targets import STANDOFFS, governing
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted
from specc_site.distances import Spot2, ends_of
from specc_site.plan import KIND, NO_PLAN, PEOPLE_KINDS, PLAN, Plan, effects_nowhere, middle, spot_at, unplaced

GAP = Limit("site.barrier_gap", "1 ft", "length", "min", "gap of a barrier that nobody walks through", CHOICE)
MARKED = Citation("montreal-fire-artists", "the perimeter of a fire performance is marked physically", "read")
_ROUND = 24  # spots on the edge of a stand-off that somebody may walk to
_INWARD = 5 * CLEAR  # how far within its area somebody stands who stands at its edge


def barriers_of(plan: Plan, gap: float) -> tuple[Spot, ...]:
    """Every barrier, and all else that nobody walks through; a gap of theirs that is narrow enough is closed, as
    coordinates are not measured to an inch."""
    found = [s._replace(blocks=("walking",)) for s in plan.of("barrier")]
    found += [s for s in plan.places.values() if "walking" in s.blocks and s.kind != "barrier"]
    made = list(found)
    boxes = {s.tag: _box(s, gap) for s in plan.of("barrier")}
    for one, other in itertools.combinations(plan.of("barrier"), 2):
        a, b = boxes[one.tag], boxes[other.tag]
        if a[0] > b[1] or b[0] > a[1] or a[2] > b[3] or b[2] > a[3]:
            continue  # far apart: most pairs are
        if one.shape and other.shape and 0 < distance(one.shape, other.shape).si <= gap * (1 + 1e-9):
            between = Polyline(tuple(spot_at(end) for end in ends_of(one.shape, other.shape)))
            made.append(one._replace(tag=f"{one.tag} to {other.tag}", shape=between, blocks=("walking",)))
    return tuple(made)


def _box(spot: Spot, wider: float) -> tuple[float, float, float, float]:
    """From where to where a place reaches, across and up, and by so much farther."""
    assert spot.shape is not None
    xs, ys = zip(*((p.x.si, p.y.si) for p in corners(spot.shape)), strict=True)
    return min(xs) - wider, max(xs) + wider, min(ys) - wider, max(ys) + wider


def stand(area: Spot, level: Ground) -> Iterator[Spot2]:
    """Where people of an area stand: beside its corners, and in its middle. A barrier may run along its edge."""
    assert area.shape is not None
    inner = middle(area.shape)
    tried = [inner]
    for p in corners(area.shape):
        far = math.dist((p.x.si, p.y.si), inner)
        share = min(1.0, _INWARD / far) if far else 0.0
        tried.append((p.x.si + (inner[0] - p.x.si) * share, p.y.si + (inner[1] - p.y.si) * share))
    for spot in tried:
        if (not isinstance(area.shape, Area) or within(*spot, area.shape)) and not level.inside(spot):
            yield spot


def _spots(shape: Shape) -> list[Spot2]:
    """Where an effect burns: of one that moves along a line or about an area its corners, too."""
    return [middle(shape), *((p.x.si, p.y.si) for p in corners(shape))]


def _past(walk: Walk, barriers: Sequence[Spot]) -> str:
    """Where a way gets past the barriers: the end of one that it turns round."""
    ends = [
        (s.tag, (p.x.si, p.y.si))
        for s in barriers
        if isinstance(s.shape, Polyline)
        for p in (s.shape.points[0], s.shape.points[-1])
    ]
    turns = [(math.dist(turn, end), tag, end) for turn in walk.spots[1:-1] for tag, end in ends]
    if not turns or min(turns)[0] > 10 * CLEAR:
        return "with no barrier between"
    _, tag, (x, y) = min(turns)
    return f"past the end of {tag} at {show(x, 'length', 'ft')}, {show(y, 'length', 'ft')}"


@rule(
    "site.kept_out",
    level="warning",
    statement="The public crosses a barrier before it gets into a stand-off",
    source=MARKED,
    needs=(PLAN,),
    wants=(STANDOFFS,),
    limits=("site.barrier_gap",),
)
def kept_out(ctx: Context) -> Judging:
    """How high a barrier is, and whether anybody steps over it, is for a person to see."""
    plan = ctx[PLAN]
    people = plan.of(*PEOPLE_KINDS, "public_way")
    if not plan.effects:
        return not_applicable("no effects")
    if not plan.kinds:
        return not_checked(NO_PLAN)
    if not plan.of(*PEOPLE_KINDS):
        return not_checked("no place says kind: audience or queue, so nothing says where the public comes from", KIND)
    if not plan.of("barrier"):
        return not_checked("no place says kind: barrier, so nothing says what keeps the public out", KIND)
    barriers = barriers_of(plan, ctx.limit(GAP.key).si)
    level, largest = ground(obstacles_of(barriers, "walking"), 0.0), governing(ctx[STANDOFFS])
    ends: list[tuple[str, Spot2]] = []
    unknown = []
    for effect in plan.effects:
        asked = largest.get(("audience", effect.tag))
        radius = asked.distance.si if asked else 0.0
        if asked is None:
            unknown.append(effect)
        for x, y in dict.fromkeys(spot for s in effect.shapes for spot in _spots(s)):
            ends.append((effect.tag, (x, y)))
            turns = (2 * math.pi * i / _ROUND for i in range(_ROUND if radius else 0))
            ends += [(effect.tag, (x + radius * math.sin(t), y + radius * math.cos(t))) for t in turns]
    for area in people:
        starts: list[Spot2] = []
        for spot in stand(area, level):
            # Who sees another one gets wherever they get.
            starts += [] if any(level.free(spot, other) for other in starts) else [spot]
        if not starts:
            yield Unchecked(f"where people of {area.tag} stand is all within what nobody walks through", area.at)
        reached: dict[str, Walk] = {}
        for start in starts:
            for (tag, _), walk in zip(ends, level.walk(start, [spot for _, spot in ends]), strict=True):
                if walk is not None and (tag not in reached or walk.length < reached[tag].length):
                    reached[tag] = walk
        if reached:
            tag, walk = min(reached.items(), key=lambda item: item[1].length)
            yield Trouble(
                area.at,
                f"from {area.tag} one walks {show(walk.length, 'length', 'ft')} into the stand-off of {tag}, "
                f"{_past(walk, barriers)}",
                "a barrier without gaps between the public and every effect, farther off than its stand-off",
                "whoever is not stopped comes nearer to see better",
            )
    yield from effects_nowhere(plan)
    yield from unplaced(plan, (*PEOPLE_KINDS, "public_way", "barrier"))
    said = f"no stand-off of {', '.join(e.tag for e in unknown)} is known: the effect itself was taken"
    yield from [Unchecked(said, *(join(e.at, "outlets") for e in unknown))] if unknown else []
    looked = f"{counted(len(people), 'place')} of the public, {counted(len(barriers), 'barrier')}; no heights checked"
    return passed(looked)
