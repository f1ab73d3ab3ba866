"""Where walls and their openings are: what is measured to a building that is given as one point passes too easily."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from specc import CHOICE, Context, Trouble, Unchecked, distance, not_applicable, not_checked, rule, show
from specc.formulas.ways import AT_WALL
from specc.kinds.geometry import Area, Point, Polyline, Shape, corners, edges, within
from specc.kinds.places import Spot
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted
from specc_site.plan import NO_PLAN, PEOPLE_KINDS, PLAN, Plan, nearest, unplaced, words

WALLED = ("building", "tent", "vehicle")


def pointlike(plan: Plan, kinds: Iterable[str]) -> Iterator[Unchecked]:
    """What has walls and is given as one point, of some kinds: how far off it is nobody knows."""
    for spot in plan.of(*(k for k in kinds if k in WALLED)):
        if isinstance(spot.shape, Point):
            said = f"how far the {words(spot.kind)} {spot.tag} reaches is not stated: it is one point (area:)"
            yield Unchecked(said, join("/places", spot.tag, "area"))


def unopened(plan: Plan, shapes: Iterable[Shape], least: float) -> Iterator[Unchecked]:
    """Buildings nearer than `least` m to some shapes whose doors and windows nothing shows: one of these may be there.
    Where the maker says that there is no opening that is what was said."""
    things = list(shapes)
    for spot in plan.of("building") if "opening" not in plan.absent else ():
        near = nearest(things, spot.shape, spot.tag) if spot.shape else None
        if near is None or near.si >= least * (1 - 1e-9) or any(_off(o, spot) <= AT_WALL for o in plan.of("opening")):
            continue
        said = f"where the doors and windows of {spot.tag} are is not stated (kind: opening)"
        yield Unchecked(said, "/places/*/kind", "/site/none")


def _walls(spot: Spot) -> list[Shape]:
    return [Polyline(edge) for edge in edges(spot.shape)] if spot.shape else []


def _off(opening: Spot, walled: Spot) -> float:
    """How far an opening is from the walls of something, in m."""
    assert opening.shape is not None
    return min((distance(wall, opening.shape).si for wall in _walls(walled)), default=float("inf"))


@rule(
    "site.walls",
    level="warning",
    statement="What has walls is given by them, and openings lie in them",
    source=CHOICE,
    needs=(PLAN,),
)
def walls(ctx: Context) -> Judging:
    plan = ctx[PLAN]
    if not plan.kinds:
        return not_checked(NO_PLAN)
    walled, openings = plan.of(*WALLED), plan.of("opening")
    if not walled and not openings and not any(unplaced(plan, (*WALLED, "opening"))):
        return not_applicable("no building, tent, vehicle or opening is described")
    yield from pointlike(plan, WALLED)
    yield from unplaced(plan, (*WALLED, "opening"))
    for opening in openings:
        far, tag = min(((_off(opening, s), s.tag) for s in walled if _walls(s)), default=(0.0, ""))
        if not tag:
            said = f"what {opening.tag} is an opening of: no walls are on the plan"
            yield Unchecked(said, join("/places", opening.tag, "at"), "/places/*/area")
        elif far > AT_WALL * (1 + 1e-9):
            yield Trouble(
                opening.at,
                f"the opening {opening.tag} is {show(far, 'length', 'ft')} from {tag}, whose walls are the nearest on "
                "the plan",
                "its place in a wall, or the walls of what it is an opening of (kind: building, area:)",
                "gas gets in by it, and people get out",
            )
    for hall in plan.of("building"):
        if not hall.doors and isinstance(hall.shape, Area):
            yield from _shut_in(hall, plan)
    return passed(f"{counted(len(walled), 'thing')} with walls, {counted(len(openings), 'opening')}")


def _shut_in(hall: Spot, plan: Plan) -> Iterator[Unchecked]:
    """The public in a building without doors: whether they get out is not known."""
    assert isinstance(hall.shape, Area)
    for area in plan.of(*PEOPLE_KINDS, "performance"):
        if area.shape and any(within(p.x.si, p.y.si, hall.shape) for p in corners(area.shape)):
            said = f"by which doors {area.tag} gets out of {hall.tag} (kind: opening or exit, with width:)"
            yield Unchecked(said, "/places/*/width")


__all__ = ["pointlike", "unopened"]
