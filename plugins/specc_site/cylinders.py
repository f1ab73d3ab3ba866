"""Rules on what cylinders, and relief valves, keep away from."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from specc import (
    CHOICE,
    PRACTICE,
    Citation,
    Context,
    Key,
    Limit,
    Trouble,
    Unchecked,
    not_applicable,
    not_checked,
    rule,
    show,
    value,
)
from specc.kinds.plumbing import NETWORK
from specc.measure.units import POUND
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted
from specc_site.plan import (
    NO_PLAN,
    PLAN,
    Apart,
    Plan,
    Stood,
    apart,
    as_stood,
    effects_nowhere,
    ended,
    nearest,
    not_told,
    nowhere,
    unplaced,
    words,
)
from specc_site.walls import pointlike, unopened

_ANNEX = "nfpa-58-2017-annex-i"
_TABLE = Citation("ohio-ifc-61", "Table 6104.3, containers of less than 125 gal of water", "read")

# A container of 125 gal holds 1,042 lb of water, and 0.42 times that of propane: above it the table asks for more.
LARGEST = 420 * POUND


def _limit(key: str, default: str, statement: str, citation: Citation) -> Limit:
    return Limit(f"site.{key}", default, "length", "max", statement, citation)


OPENING = _limit(
    "cylinder_to_opening",
    "3 ft",
    "from a cylinder that is not filled on the site to an opening of a building",
    Citation(_ANNEX, "figure I.1(a): 3 ft on the level to an opening below the relief valve", "read"),
)
IGNITION = _limit(
    "relief_to_ignition",
    "5 ft",
    "from the relief valve of a cylinder to flames, and of any vessel to engines and other ignition sources",
    Citation(_ANNEX, "Table 6.3.4.3: 5 ft in any direction to ignition sources and air intakes", "read"),
)
# From flames a relief valve of the plumbing keeps what plumbing asks of it, under one limit: it opens when a regulator
# fails, in the middle of a show, where a cylinder's opens when the cylinder itself is overheated or overfull.
_FROM_FLAME = "plumbing.vent_from_flame"
BUILDING = _limit("cylinder_to_building", "5 ft", "from a cylinder to a building", _TABLE)
LINE = _limit("cylinder_to_property_line", "5 ft", "from a cylinder to the property line", _TABLE)
WAY = _limit(
    "cylinder_to_public_way",
    "5 ft",
    "from a cylinder to a public way",
    Citation("ohio-ifc-61", "Table 6104.3; that its distance holds for public ways too was not seen", "memory"),
)
TENT = _limit(
    "cylinder_to_tent",
    "10 ft",
    "from a cylinder to a tent",
    Citation("ifc-2015-3104-16", "3104.16: 10 ft for 500 gal or less, outside, relief away from the tent", "read"),
)
PEOPLE = _limit(
    "cylinder_to_people",
    "10 ft",
    "from a cylinder to the public, its exits, and to where vehicles stand",
    Citation("florida-event-fuel", "tanks 10 ft from tents, vehicles and public areas", "read"),
)
LOW = _limit(
    "cylinder_to_low_place",
    "10 ft",
    "from a cylinder, relief valve, bleed or vent to a drain, pit or other low place that gas runs to",
    PRACTICE,
)
BURNS = _limit(
    "cylinder_to_combustibles",
    "10 ft",
    "from a cylinder to what burns, such as a dry hedge",
    Citation("usfa-2019-07-26", "10 ft from combustibles, for cylinders that await use; here by analogy", "read"),
)
TYPED = Limit(
    "site.typed_distance",
    "10 %",
    "ratio",
    "min",
    "how far a typed distance may lie from the one on the plan",
    CHOICE,
)
GROUPS = _limit(
    "cylinder_groups_apart",
    "20 ft",
    "between groups of cylinders that are not joined",
    Citation(
        "ohio-ifc-61", "20 ft between manifolded groups; written for rooms, from a copy of another code", "reprint"
    ),
)


class Keep(NamedTuple):
    kinds: tuple[str, ...]
    limit: Limit


KEEPS = (
    Keep(("opening",), OPENING),
    Keep(("ignition", "generator"), IGNITION),
    Keep(("building",), BUILDING),
    Keep(("property_line",), LINE),
    Keep(("public_way",), WAY),
    Keep(("tent",), TENT),
    Keep(("audience", "queue", "exit", "vehicle", "fire_lane"), PEOPLE),  # engines stand in their lane
    Keep(("low_place",), LOW),
    Keep(("combustible",), BURNS),
)
CYLINDERS: Key[tuple[Apart, ...]] = Key("site.cylinder_distances", tuple)
RELIEFS: Key[tuple[Apart, ...]] = Key("site.relief_distances", tuple)


def _apart(ctx: Context, plan: Plan, things: Iterable[Stood], keeps: Iterable[Keep]) -> list[Apart]:
    made = []
    for thing in things:
        for keep in keeps:
            for spot in plan.of(*keep.kinds):
                assert spot.shape is not None
                measured = nearest(thing.shapes, spot.shape, f"{thing.tag} to {spot.tag}")
                if measured is not None:
                    limit = ctx.limit(keep.limit.key)
                    why = f"{words(spot.kind)}: {keep.limit.statement}"
                    what, cited = words(spot.kind), keep.limit.citation
                    moves = apart(thing, as_stood(spot), limit.si - measured.si, spot.kind)
                    made.append(Apart(thing.tag, spot.tag, measured, limit, why, cited, spot.at, what, moves))
    return made


def _to_flames(
    ctx: Context, plan: Plan, things: Iterable[Stood], key: str, why: str, citation: Citation
) -> list[Apart]:
    made = []
    for thing in things:
        limit = ctx.limit(key)
        for effect in (*plan.effects, *plan.pilots):
            tried = [nearest(thing.shapes, s, f"{thing.tag} to {effect.tag}") for s in effect.shapes]
            if near := min((w for w in tried if w), key=lambda w: w.si, default=None):
                moves = apart(thing, effect, limit.si - near.si)
                made.append(Apart(thing.tag, effect.tag, near, limit, why, citation, effect.at, moves=moves))
    return made


@value(
    CYLINDERS,
    needs=(PLAN,),
    limits=(
        "site.cylinder_to_opening",
        "site.relief_to_ignition",
        "site.cylinder_to_building",
        "site.cylinder_to_property_line",
        "site.cylinder_to_public_way",
        "site.cylinder_to_tent",
        "site.cylinder_to_people",
        "site.cylinder_to_low_place",
        "site.cylinder_to_combustibles",
    ),
)
def cylinder_distances(ctx: Context) -> tuple[Apart, ...]:
    plan = ctx[PLAN]
    to_flames = _to_flames(ctx, plan, plan.cylinders, IGNITION.key, IGNITION.statement, IGNITION.citation)
    return (*_apart(ctx, plan, plan.cylinders, KEEPS), *to_flames)


# A relief valve of the plumbing lets out what a cylinder's would: tents, people and what burns are as far from it.
RELIEF_KEEPS = (
    Keep(("opening", "ignition", "generator"), IGNITION),
    Keep(("tent",), TENT),
    Keep(("audience", "queue", "exit"), PEOPLE),
    Keep(("combustible",), BURNS),
)


@value(
    RELIEFS,
    needs=(PLAN,),
    limits=(
        "site.relief_to_ignition",
        "site.cylinder_to_tent",
        "site.cylinder_to_people",
        "site.cylinder_to_combustibles",
        _FROM_FLAME,
    ),
)
def relief_distances(ctx: Context) -> tuple[Apart, ...]:
    plan, keeps = ctx[PLAN], RELIEF_KEEPS
    why = "from where a relief valve lets gas out to flames and pilots"
    return (*_apart(ctx, plan, plan.reliefs, keeps), *_to_flames(ctx, plan, plan.reliefs, _FROM_FLAME, why, CHOICE))


def _troubles(listed: Iterable[Apart], why: str) -> list[Trouble]:
    return [
        Trouble(
            a.at,
            f"{a.start} is {show(a.measured.si, 'length', 'ft')} from {a.end}; {show(a.needed.si, 'length', 'ft')} is "
            f"asked for {a.why}",
            "more distance; where the authority allows less, limits: with whose it is",
            why,
            moves=a.moves,
        )
        for a in listed
        if a.needed is not None and a.short
    ]


@rule(
    "site.cylinders_apart",
    level="error",
    statement="Each cylinder keeps its distance from openings, buildings, flames and engines, tents, the public, the "
    "public way, the property line, low places and what burns",
    source=_TABLE,
    needs=(PLAN, CYLINDERS, NETWORK),
)
def cylinders_apart(ctx: Context) -> Judging:
    plan = ctx[PLAN]
    if not plan.cylinders:
        return not_applicable("no cylinders")
    if not plan.kinds:
        return not_checked(NO_PLAN)
    for part in ctx[NETWORK].of_kind("cylinder"):
        if part.spec.quantity("capacity").si > LARGEST:
            yield f"{part.tag} is larger than the table's 125 gal: its distances are others"
    yield from nowhere(plan.cylinders)
    # Whether there is a fire lane is asked by the rule on it.
    yield from not_told(plan, (k for keep in KEEPS for k in keep.kinds if k != "fire_lane"))
    yield from unplaced(plan, ("fire_lane",))
    yield from effects_nowhere(plan)
    yield from pointlike(plan, (k for keep in KEEPS for k in keep.kinds))
    listed = ctx[CYLINDERS]
    yield from _troubles(listed, "gas from a leak or relief valve must thin out before it meets people or fire")
    kinds = [k for keep in KEEPS for k in keep.kinds]
    return ended(plan, kinds, counted(len(listed), "distance"))


@rule(
    "site.relief_discharge",
    level="error",
    statement="Each relief valve lets gas out away from flames, engines, openings, tents, the public and what burns",
    source=IGNITION.citation,
    needs=(PLAN, RELIEFS),
    limits=(IGNITION.key,),
)
def relief_discharge(ctx: Context) -> Judging:
    """Where the valve stands; which way its outlet points is for a person to see."""
    plan = ctx[PLAN]
    if not plan.reliefs:
        return not_applicable("no relief valve is described")
    if not plan.kinds:
        return not_checked(NO_PLAN)
    yield from nowhere(plan.reliefs)
    kinds = [kind for keep in RELIEF_KEEPS for kind in keep.kinds]
    yield from not_told(plan, kinds)
    yield from effects_nowhere(plan)
    yield from pointlike(plan, kinds)
    yield from unopened(plan, (s for r in plan.reliefs for s in r.shapes), ctx.limit(IGNITION.key).si)
    listed = ctx[RELIEFS]
    yield from _troubles(listed, "a relief valve that opens beside a flame is a flame thrower")
    looked = f"{counted(len(listed), 'distance')}; which way each points is not seen here"
    return ended(plan, kinds, looked)


@rule(
    "site.relief_as_typed",
    level="error",
    statement="What is typed of how far a relief valve lets gas out from flames and pilots is what the plan has",
    source=CHOICE,
    needs=(PLAN, RELIEFS, NETWORK),
    limits=("site.typed_distance",),
    rests_on=("plumbing.from_flame",),
)
def relief_as_typed(ctx: Context) -> Judging:
    """Two distances for one thing: whoever reads the larger one stands too near."""
    plan, allowed = ctx[PLAN], ctx.limit(TYPED.key).si
    flames = {f.tag for f in (*plan.effects, *plan.pilots)}
    looked = 0
    for valve in plan.reliefs:
        typed = ctx[NETWORK].by_tag[valve.tag].spec.child("vents").quantity_or_none("from_flame")
        near = min((a for a in ctx[RELIEFS] if a.start == valve.tag and a.end in flames), default=None, key=_measured)
        if typed is None:
            continue
        if near is None:
            said = f"how far {valve.tag} is from a flame on the plan (place:), beside {typed.text} as typed"
            yield Unchecked(said, join(valve.at, "place"))
            continue
        looked += 1
        if abs(typed.si - near.measured.si) > allowed * max(typed.si, near.measured.si):
            on_plan = show(near.measured.si, "length", "ft", 3)
            counts = typed.text if typed.si < near.measured.si else on_plan
            yield Trouble(
                typed.at,
                f"{valve.tag} lets gas out {typed.text} from the nearest flame as typed, and stands {on_plan} from "
                f"{near.end} on the plan: the smaller counts, {counts}",
                "the distance on the level from its outlet, with its place: on the plan where its outlet is",
                "gas from a relief valve that meets a flame burns back to it",
                level="warning" if typed.si < near.measured.si else None,
            )
    if not looked:
        return not_applicable("no relief valve has a typed distance, or no flame is on the plan")
    return passed(counted(looked, "relief valve"))


def _measured(apart: Apart) -> float:
    return apart.measured.si


@rule(
    "site.cylinder_groups",
    level="warning",
    statement="Groups of cylinders that no pipe or hose joins stand 20 ft apart, or the authority allows less",
    source=GROUPS.citation,
    needs=(PLAN, NETWORK),
    limits=("site.cylinder_groups_apart",),
)
def cylinder_groups(ctx: Context) -> Judging:
    plan, net, limit = ctx[PLAN], ctx[NETWORK], ctx.limit(GROUPS.key)
    group: dict[str, str] = {}
    for c in plan.cylinders:
        if c.tag not in group:
            group.update(dict.fromkeys(net.walk((c.tag,), net.near), c.tag))
    if len({group[c.tag] for c in plan.cylinders}) < 2:
        return not_applicable("all cylinders are joined, or there is one")
    if not plan.kinds:
        return not_checked(NO_PLAN)
    looked = 0
    for i, one in enumerate(plan.cylinders):
        for other in plan.cylinders[:i]:
            if group[one.tag] == group[other.tag] or not other.shapes:
                continue
            apart_ = nearest(one.shapes, other.shapes[0], f"{one.tag} to {other.tag}")
            if apart_ is None:
                continue
            looked += 1
            if apart_.si < limit.si * (1 - 1e-9):
                yield Trouble(
                    one.at,
                    f"{one.tag} is {show(apart_.si, 'length', 'ft')} from {other.tag}, which is of another supply; "
                    f"the limit is {limit.text}",
                    "more distance, or the authority's word under limits:",
                    "a fire at one supply should not take the other along",
                    moves=apart(one, other, limit.si - apart_.si),
                )
    yield from nowhere(plan.cylinders)
    return passed(f"{counted(looked, 'pair')} of cylinders of different supplies")
