"""Rules on cylinders that are kept on the site and not connected: by weight, empty ones counted as full."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping

from specc import Citation, Context, Judging, Limit, Trouble, Unchecked, not_applicable, rule, show
from specc.kinds.plumbing import NETWORK
from specc.measure.units import POUND
from specc.model.wording import counted
from specc_site.cylinders import GROUPS, IGNITION, LOW
from specc_site.plan import PLAN, ROOT, Plan, ended, nearest, not_told, words

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


def _from_each_other(ctx: Context, plan: Plan, stores: Mapping[str, str]) -> Iterator[Trouble]:
    """`stores`: by place where the spec says that something is kept there."""
    limit = ctx.limit(STORES.key)
    for one, other in itertools.combinations([p for p in stores if p in plan.places], 2):
        a, b = plan.places[one].shape, plan.places[other].shape
        apart = nearest((a,), b, f"{one} to {other}") if a is not None and b is not None else None
        if apart is not None and apart.si < limit.si * (1 - 1e-9):
            yield Trouble(
                stores[one],
                f"the stores {one} and {other} are {show(apart.si, 'length', 'ft')} apart; the limit is {limit.text}",
                "one store, or the authority's word for two so near",
                "a fire at one should not take the other along; the number is one event's, for its fuel areas",
                "warning",
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
    limits=(
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
    ),
)
def stored_apart(ctx: Context) -> Judging:
    plan, listed = ctx[PLAN], ctx.spec(ROOT).child("stores").children()
    net = ctx.get(NETWORK)
    spare = [p for p in (net.of_kind("cylinder") if net else ()) if p.spec.yes("spare")]
    named = {s.text("place") for _, s in listed} | {p.spec.text_or("place") for p in spare}
    bare = [s for s in plan.of("fuel_store") if s.tag not in named]
    if not listed and not spare and not bare:
        return not_applicable("no cylinders are said to be kept without being connected (site: stores:)")
    total = 0.0
    placed = [
        (tag, s.text("place"), s.quantity("each").si * s.whole("count"), s.yes("one_exit"), s.at) for tag, s in listed
    ]
    placed += [(p.tag, p.spec.text_or("place"), p.spec.quantity("capacity").si, False, p.at) for p in spare]
    placed += [(s.tag, s.tag, 0.0, False, s.at) for s in bare]
    yield from [Unchecked(f"what is kept at {s.tag} is not stated (site: stores:)", "/site/stores") for s in bare]
    for tag, place, weight, one_exit, at in placed:
        total += weight
        held = f", {show(weight, 'mass', 'lb')} of propane with empty cylinders counted as full," if weight else ""
        spot = plan.places.get(place)
        if spot is None or spot.shape is None:
            yield Trouble(
                at, f"{tag} is at {place!r}, which has no coordinates", "a place of the plan", "nobody finds it"
            )
            continue
        door = ctx.limit(ONE_EXIT.key if one_exit else ENTRANCE.key)
        for kinds, limit in (
            (("opening",), door),
            (("combustible",), ctx.limit(BURNS.key)),
            (("fuel_dispenser",), ctx.limit(PUMP.key)),
            (("audience", "queue", "exit", "tent", "vehicle"), ctx.limit(PEOPLE.key)),
            (("ignition", "generator"), ctx.limit(IGNITION.key)),
            (("low_place",), ctx.limit(LOW.key)),
        ):
            for other in plan.of(*kinds):
                assert other.shape is not None
                apart = nearest((spot.shape,), other.shape, f"{tag} to {other.tag}")
                if apart is not None and apart.si < limit.si * (1 - 1e-9):
                    yield Trouble(
                        at,
                        f"{tag}{held} is {show(apart.si, 'length', 'ft')} from {other.tag} ({words(other.kind)}); the "
                        f"limit is {limit.text}",
                        "another place for it",
                        _WHY.get(other.kind, "a store in a fire drives people away from the way out that they need"),
                    )
        flame = ctx.limit(FLAME.key)
        burning = [
            (apart, f.tag)
            for f in (*plan.effects, *plan.pilots)
            if (apart := nearest(f.shapes, spot.shape, f"{tag} to {f.tag}"))
        ]
        apart, lit = min(burning, key=lambda one: one[0].si, default=(None, ""))
        if apart is not None and apart.si < flame.si * (1 - 1e-9):
            yield Trouble(
                at,
                f"{tag}{held} is {show(apart.si, 'length', 'ft')} from {lit}, which burns; the limit is {flame.text}",
                "another place for it",
                _WHY["ignition"],
            )
        supply = ctx.limit(GROUPS.key)
        near = [
            (apart, c.tag)
            for c in plan.cylinders
            if c.tag != tag and (apart := nearest(c.shapes, spot.shape, f"{tag} to {c.tag}"))
        ]
        apart, joined = min(near, key=lambda one: one[0].si, default=(None, ""))
        if apart is not None and apart.si < supply.si * (1 - 1e-9):
            yield Trouble(
                at,
                f"{tag} is {show(apart.si, 'length', 'ft')} from {joined}, which is in use; the limit is {supply.text}",
                "another place for it",
                "a fire at the cylinders in use should not take the spare ones along",
                "warning",
            )
    yield from _from_each_other(ctx, plan, {place: at for _, place, _, _, at in placed})
    if total > MOST:
        yield f"{show(total, 'mass', 'lb')} are kept in all: above 720 lb a table asks for more, and was not read"
    asked = ("opening", "combustible", "fuel_dispenser", "ignition", "generator", "low_place")
    yield from not_told(plan, asked)
    looked = f"{counted(len(placed), 'store')}, {show(total, 'mass', 'lb')} in all"
    return ended(plan, asked, looked)
