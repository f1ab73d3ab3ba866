"""Rules on cylinders that are kept on the site and not connected: by weight, empty ones counted as full."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from specc import Citation, Context, Judging, Key, Limit, Trouble, Unchecked, not_applicable, rule, show, value
from specc.kinds.geometry import Shape
from specc.kinds.places import Spot
from specc.kinds.plumbing import NETWORK, Part
from specc.measure.units import POUND
from specc.model.wording import counted
from specc_site.cylinders import GROUPS, IGNITION, LOW
from specc_site.distances import spare
from specc_site.plan import (
    PLAN,
    ROOT,
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
    words,
)
from specc_site.walls import pointlike, unopened

_STORE = Citation("usfa-2019-07-26", "720 lb or less awaiting use", "read")
MOST = 720 * POUND


def _limit(key: str, default: str, statement: str) -> Limit:
    return Limit(f"site.{key}", default, "length", "max", statement, _STORE)


ENTRANCE = _limit("store_to_opening", "5 ft", "from stored cylinders to an entrance or other opening of a building")
ONE_EXIT = _limit("store_to_only_exit", "10 ft", "the same, where the building has one way out")
BURNS = _limit("store_to_combustibles", "10 ft", "from stored cylinders to what burns")
PUMP = _limit("store_to_fuel_dispenser", "20 ft", "from stored cylinders to a dispenser of fuel for vehicles")
PEOPLE = Limit(
    "site.store_to_people",
    "10 ft",
    "length",
    "max",
    "from stored cylinders to the public, tents and vehicles",
    Citation("florida-event-fuel", "tanks 10 ft from tents, vehicles and public areas", "read"),
)
FLAME = Limit(
    "site.store_to_flame",
    "10 ft",
    "length",
    "max",
    "from stored cylinders to flames",
    Citation("chicago-vendor-propane", "cylinders 10 ft from appliances that give heat", "read"),
)
STORES = Limit(
    "site.stores_apart",
    "100 ft",
    "length",
    "max",
    "from one store of fuel to another",
    Citation("florida-event-fuel", "100 ft between fuel areas", "read"),
)
# Why a store keeps away from what has nothing to do with people.
_GAS = "what a spare cylinder's relief valve or a bad valve lets out must not find a flame or a spark"
_WHY = {
    "ignition": _GAS,
    "generator": _GAS,
    "low_place": "propane runs down into it, stays there unseen, and burns when a flame comes near",
}


_KEEPS = (
    (("opening",), ENTRANCE),
    (("combustible",), BURNS),
    (("fuel_dispenser",), PUMP),
    (("audience", "queue", "exit", "tent", "vehicle"), PEOPLE),
    (("ignition", "generator"), IGNITION),
    (("low_place",), LOW),
)
_LIMITS = (
    "site.store_to_opening",
    "site.store_to_only_exit",
    "site.store_to_combustibles",
    "site.store_to_fuel_dispenser",
    "site.store_to_people",
    "site.store_to_flame",
    "site.stores_apart",
    "site.relief_to_ignition",
    "site.cylinder_to_low_place",
    "site.cylinder_groups_apart",
)


def _from_each_other(ctx: Context, plan: Plan, stores: Mapping[str, str]) -> Iterator[Trouble]:
    """`stores`: by place where the spec says that something is kept there."""
    limit = ctx.limit(STORES.key)
    for one, other in itertools.combinations([p for p in stores if p in plan.places], 2):
        a, b = plan.places[one].shape, plan.places[other].shape
        near = nearest((a,), b, f"{one} to {other}") if a is not None and b is not None else None
        if near is not None and near.si < limit.si * (1 - 1e-9):
            yield Trouble(
                stores[one],
                f"the stores {one} and {other} are {show(near.si, 'length', 'ft')} apart; the limit is {limit.text}",
                "one store, or the authority's word for two so near",
                "a fire at one should not take the other along; the number is one event's, for its fuel areas",
                "warning",
                moves=apart(as_stood(plan.places[other]), as_stood(plan.places[one]), limit.si - near.si),
            )


class Stored(NamedTuple):
    """What is kept at a place: full cylinders and empty ones by the weight of propane that they hold, 0 when nothing
    says what is there."""

    tag: str
    place: str
    weight: float
    one_exit: bool
    shape: Shape | None
    at: str


def _placed(ctx: Context, plan: Plan) -> list[Stored]:
    def made(tag: str, place: str, weight: float, one_exit: bool, at: str) -> Stored:
        spot = plan.places.get(place)
        return Stored(tag, place, weight, one_exit, spot.shape if spot else None, at)

    listed, spare = ctx.spec(ROOT).child("stores").children(), _spare(ctx)
    placed = [
        made(tag, s.text("place"), s.quantity("each").si * s.whole("count"), s.yes("one_exit"), s.at)
        for tag, s in listed
    ]
    placed += [made(p.tag, p.spec.text_or("place"), p.spec.quantity("capacity").si, False, p.at) for p in spare]
    return placed + [made(s.tag, s.tag, 0.0, False, s.at) for s in _bare(ctx, plan)]


def _spare(ctx: Context) -> list[Part]:
    net = ctx.get(NETWORK)
    return [p for p in (net.of_kind("cylinder") if net else ()) if p.spec.yes("spare")]


def _bare(ctx: Context, plan: Plan) -> list[Spot]:
    """Stores of which nothing says what they hold."""
    listed = ctx.spec(ROOT).child("stores").children()
    named = {s.text("place") for _, s in listed} | {p.spec.text_or("place") for p in _spare(ctx)}
    return [s for s in plan.of("fuel_store") if s.tag not in named]


_IN_USE = ", which is in use"


def _keeps(ctx: Context, plan: Plan, placed: Iterable[Stored]) -> Iterator[tuple[Stored, Apart, str]]:
    """Each store with each thing that it keeps away from, and what that is in words; of flames and of cylinders in use
    the nearest."""
    flames = [(f.tag, f.shapes, f.at) for f in (*plan.effects, *plan.pilots)]
    for one in placed:
        if one.shape is None:
            continue
        for kinds, limit in _KEEPS:
            asked = ONE_EXIT if limit is ENTRANCE and one.one_exit else limit
            for other in plan.of(*kinds):
                assert other.shape is not None
                why = _WHY.get(other.kind, "a store in a fire drives people away from the way out that they need")
                yield from _nearest(
                    ctx, one, [(other.tag, (other.shape,), other.at)], asked, f" ({words(other.kind)})", why
                )
        yield from _nearest(ctx, one, flames, FLAME, ", which burns", _GAS)
        used = [(c.tag, c.shapes, c.at) for c in plan.cylinders if c.tag != one.tag]
        why = "a fire at the cylinders in use should not take the spare ones along"
        yield from _nearest(ctx, one, used, GROUPS, _IN_USE, why)


def _nearest(
    ctx: Context, one: Stored, others: Iterable[tuple[str, tuple[Shape, ...], str]], limit: Limit, what: str, why: str
) -> Iterator[tuple[Stored, Apart, str]]:
    assert one.shape is not None
    found = [
        (w, tag, at, shapes) for tag, shapes, at in others if (w := nearest(shapes, one.shape, f"{one.tag} to {tag}"))
    ]
    if found:
        measured, tag, at, other = min(found, key=lambda f: f[0].si)
        asked = ctx.limit(limit.key)
        mine = Stood(one.tag, (one.shape,), one.at, one.place)
        moves = apart(mine, Stood(tag, other, at), asked.si - measured.si)
        yield one, Apart(one.tag, tag, measured, asked, why, limit.citation, at, moves=moves), what


STORED: Key[tuple[Apart, ...]] = Key("site.store_distances", tuple)


@value(
    STORED,
    needs=(PLAN,),
    wants=(NETWORK,),
    reads=(ROOT,),
    limits=_LIMITS,
)
def store_distances(ctx: Context) -> tuple[Apart, ...]:
    """For the plan's tables: of each store what falls short, and what has the least to spare."""
    plan = ctx[PLAN]
    made: dict[str, list[Apart]] = {}
    for one, near, _ in _keeps(ctx, plan, _placed(ctx, plan)):
        made.setdefault(one.tag, []).append(near._replace(why=f"what is kept at {one.place}"))
    return tuple(
        kept
        for listed in made.values()
        for kept in dict.fromkeys([*(a for a in listed if a.short), min(listed, key=spare)])
    )


@rule(
    "site.stores",
    level="error",
    statement="Cylinders that are kept and not connected stand away from flames, engines, entrances, what burns, fuel "
    "pumps, people and low places; empty ones count as full",
    source=_STORE,
    needs=(PLAN,),
    wants=(NETWORK,),
    reads=(ROOT,),
    limits=_LIMITS,
)
def stored_apart(ctx: Context) -> Judging:
    plan, listed = ctx[PLAN], ctx.spec(ROOT).child("stores").children()
    bare = _bare(ctx, plan)
    if not listed and not bare and not _spare(ctx):
        return not_applicable("no cylinders are said to be kept without being connected (site: stores:)")
    placed = _placed(ctx, plan)
    total = sum(one.weight for one in placed)
    yield from [Unchecked(f"what is kept at {s.tag} is not stated (site: stores:)", "/site/stores") for s in bare]
    for one in placed:
        if one.shape is None:
            yield Trouble(
                one.at,
                f"{one.tag} is at {one.place!r}, which has no coordinates",
                "a place of the plan",
                "nobody finds it",
            )
    for one, near, what in _keeps(ctx, plan, placed):
        if near.short:
            assert near.needed is not None
            supply = what == _IN_USE
            weight = f", {show(one.weight, 'mass', 'lb')} of propane with empty cylinders counted as full,"
            yield Trouble(
                one.at,
                f"{one.tag}{weight if one.weight and not supply else ''} is "
                f"{show(near.measured.si, 'length', 'ft')} from {near.end}{what}; the limit is "
                f"{show(near.needed.si, 'length', 'ft')}",
                "another place for it",
                near.why,
                "warning" if supply else None,
                moves=near.moves,
            )
    yield from _from_each_other(ctx, plan, {one.place: one.at for one in placed})
    if total > MOST:
        yield f"{show(total, 'mass', 'lb')} are kept in all: above 720 lb a table asks for more, and was not read"
    asked = ("opening", "combustible", "fuel_dispenser", "ignition", "generator", "low_place")
    yield from not_told(plan, asked)
    yield from effects_nowhere(plan)
    yield from nowhere(plan.cylinders)
    yield from pointlike(plan, (kind for kinds, _ in _KEEPS for kind in kinds))
    for one in placed:
        least = ctx.limit((ONE_EXIT if one.one_exit else ENTRANCE).key).si
        yield from unopened(plan, (one.shape,) if one.shape else (), least)
    looked = f"{counted(len(placed), 'store')}, {show(total, 'mass', 'lb')} in all"
    return ended(plan, asked, looked)
