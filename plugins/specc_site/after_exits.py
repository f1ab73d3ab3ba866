"""Where exits lead: on from each of them people get to a public way, past no flame and not through a low place."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from specc import (
    Citation,
    Context,
    Trouble,
    Unchecked,
    distance,
    ground,
    not_applicable,
    not_checked,
    obstacles_of,
    rule,
)
from specc.formulas.ways import Obstacle, not_placed
from specc.kinds.geometry import Area, Point, Shape, corners, edges
from specc.kinds.places import Spot
from specc.kinds.targets import STANDOFFS, governing
from specc.model.passes import Judging, passed
from specc.model.wording import counted, several
from specc_site.distances import Spot2, foot
from specc_site.kept_out import GAP, barriers_of
from specc_site.plan import KIND, KIND_OR_NONE, NO_PLAN, PEOPLE_KINDS, PLAN, Plan, effects_nowhere, unplaced
from specc_site.ways_out import gates, heat_of, ring_of

_SHARES = (0.0, 0.25, 0.5, 0.75, 1.0)


def _solid(spots: Iterable[Spot]) -> tuple[Obstacle, ...]:
    """Places as something that nobody walks through, whatever they are."""
    return obstacles_of((s._replace(blocks=("walking",), kind="", doors=()) for s in spots), "walking")


def _onto(shape: Shape, here: Spot2) -> list[Spot2]:
    """Where one gets onto a way: nearest to a spot, and at its corners and quarters."""
    spots = [(p.x.si, p.y.si) for p in corners(shape)]
    for a, b in edges(shape):
        one, other = (a.x.si, a.y.si), (b.x.si, b.y.si)
        spots.append(foot(here, one, other))
        spots += [(one[0] + (other[0] - one[0]) * t, one[1] + (other[1] - one[1]) * t) for t in _SHARES]
    return list(dict.fromkeys(spots))


def _led_to(plan: Plan) -> list[Spot]:
    """Public ways; where it is said that there are none, the edge of the land."""
    kind = "property_line" if "public_way" in plan.absent else "public_way"
    return [s for s in plan.of(kind) if s.shape]


def _leads(out: Spot, plan: Plan, gap: float, hot: Sequence[Obstacle]) -> Iterator[Trouble]:
    """What is wrong with the way on from an exit. One who has left does not go back among the public."""
    assert out.shape is not None
    here = out.stands
    assert here is not None
    walls = obstacles_of(barriers_of(plan, gap), "walking")
    crowds = _solid(s for s in plan.of(*PEOPLE_KINDS) if isinstance(s.shape, Area))
    low = [s for s in plan.of("low_place") if not isinstance(s.shape, Point)]
    ways = _led_to(plan)
    ends = [spot for s in ways if s.shape for spot in _onto(s.shape, here)]
    starts = list(dict.fromkeys(gates(here, gap, ground(walls))))
    where = several([s.tag for s in ways])
    if not ground((*walls, *crowds)).leads(starts, ends):
        back = ground(walls).leads(starts, ends)
        but = "but back through the public" if back else "past what is in the way"
        yield Trouble(
            out.at,
            f"from the exit {out.tag} nobody gets to {where}, {but}",
            "a way on from it to a public way (kind: public_way), or another exit",
            "who has got out stands in a corner, and those behind push",
            "error",
        )
    elif not ground((*walls, *crowds, *_solid(low))).leads(starts, ends):
        met = [s.tag for s in low if not ground((*walls, *crowds, *_solid([s]))).leads(starts, ends)]
        yield Trouble(
            out.at,
            f"from the exit {out.tag} one gets to {where} through {several(met or [s.tag for s in low])} alone, where "
            "gas gathers",
            "a way round it, or another exit",
            "propane runs to low places, and people who flee it would meet it there",
            "error",
        )
    elif not ground((*walls, *crowds, *_solid(low), *hot)).leads(starts, ends):
        yield Trouble(
            out.at,
            f"from the exit {out.tag} one gets to {where} past a flame alone, within what the public keeps from it",
            "a way round it, or another exit",
            "nobody gets out past a flame",
        )


def _lies_low(out: Spot, plan: Plan) -> Iterator[Trouble]:
    for low in plan.of("low_place"):
        if out.shape and low.shape and distance(out.shape, low.shape).si == 0.0:
            yield Trouble(
                out.at,
                f"the exit {out.tag} lies in {low.tag}, a low place",
                "an exit on higher ground",
                "propane runs to low places, and people who flee it would meet it there",
                "error",
            )


@rule(
    "site.exits_lead",
    level="warning",
    statement="From each exit one gets to a public way, past no flame nor low place",
    source=Citation(
        "ohio-flame-effects-plan", "exits from the audience's area to the public way are asked for", "read"
    ),
    needs=(PLAN,),
    wants=(STANDOFFS,),
    limits=("site.barrier_gap",),
)
def exits_lead(ctx: Context) -> Judging:
    """On level ground; how steep, wide and lit a way is, a person sees."""
    plan = ctx[PLAN]
    outs = plan.of("exit")
    if not plan.kinds:
        return not_checked(NO_PLAN)
    if not plan.of(*PEOPLE_KINDS):
        return not_applicable("no place says kind: audience")
    if not outs:
        return not_checked("no place says kind: exit", KIND)
    if not _led_to(plan):
        return not_checked("no place says kind: public_way, so nothing says where the exits lead", KIND)
    if plan.unsaid(("low_place",)):
        yield Unchecked("nothing says whether there is: low place", *KIND_OR_NONE)
    yield from unplaced(plan, ("exit", "low_place", "public_way"))
    yield from effects_nowhere(plan)
    yield from not_placed(plan.places.values(), "walking")
    gap = ctx.limit(GAP.key).si
    # Flames at one place that are kept from as far are one: all pairs of what is in the way are gone through.
    hot = [ring_of(shape, radius) for shape, radius in dict.fromkeys(heat_of(plan, governing(ctx[STANDOFFS])))]
    for out in outs:
        low = list(_lies_low(out, plan))
        yield from low or _leads(out, plan, gap, hot)
    return passed(f"{counted(len(outs), 'exit')}; how steep, wide and lit the ways are is not seen here")


__all__ = ["exits_lead"]
