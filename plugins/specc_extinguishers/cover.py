"""Rules on the set of extinguishers as a whole: the printed minimum, both sides, one for gas, the authority's list."""

from __future__ import annotations

from bisect import bisect_left
from contextlib import suppress
from math import acos, atan2, hypot, pi

from specc import (
    CHOICE,
    Citation,
    Context,
    Limit,
    Move,
    Trouble,
    Unchecked,
    Verdict,
    gather,
    ground,
    not_applicable,
    not_checked,
    obstacles_of,
    passed,
    rule,
    show,
    value,
)
from specc.kinds.extinguishers import EXTINGUISHERS, Extinguisher
from specc.kinds.places import PLACES
from specc.kinds.show import EFFECTS
from specc.kinds.targets import TARGETS, Target
from specc.measure.units import POUND
from specc.model.passes import Judging
from specc.model.view import Unreadable
from specc.model.wording import counted
from specc_extinguishers.by_class import A_TRAVEL
from specc_extinguishers.hazards import COVER, EFFECT, Hazard, spot_of
from specc_extinguishers.units import (
    DRY_CHEMICAL,
    NO_ROOT,
    ROOT,
    WATER,
    ListedUnit,
    Rating,
    described,
    rating_of,
    units,
)

_ONE_WAY = 0.01  # rad: less is no angle that anybody sees
_SET = Citation(
    "frederick-flame-effects",
    "two 2-A water and two 10-B:C, beyond what the building needs; one of each kind on opposite sides",
    "read",
)
_HIGH_FLOW = Citation(
    "nfpa-10", "5.5 and 5.6, fires of pressurized flammable liquid and gas; edition not known", "memory"
)

OPPOSITE = Limit(
    "extinguishers.opposite_angle",
    "120°",
    "angle",
    "max",
    "The least angle, seen from an effect, between two extinguishers said to stand on opposite sides",
    Citation("", "the source gives no angle", "choice"),
)

MINIMUM_A = 2
MINIMUM_B = 10
EACH = 2

HIGH_FLOW_MASS = 10 * POUND * (1 - 1e-9)
HIGH_FLOW_RATE = 1 * POUND * (1 - 1e-9)  # a second


def water_of_the_set(unit: ListedUnit) -> bool:
    rating = unit.rating
    return unit.type == WATER and rating is not None and rating.a >= MINIMUM_A


def gas_of_the_set(unit: ListedUnit) -> bool:
    rating = unit.rating
    return rating is not None and rating.b >= MINIMUM_B and "C" in rating.letters


KINDS = (("water rated 2-A", water_of_the_set), ("rated 10-B:C", gas_of_the_set))


REACH = Limit(
    "extinguishers.reach",
    "150 ft",
    "length",
    "min",
    "farthest that an extinguisher of the minimum set stands from an effect",
    CHOICE,
)


def out_of_reach(ctx: Context) -> set[str]:
    """Units that are known to stand out of reach of every effect."""
    cover, reach = ctx[COVER], ctx.limit("extinguishers.reach")
    if not cover.effects:
        return set()
    return {u.tag for u, _ in cover.units if all(cover.on_foot[e.at, u.tag] > reach.si for e in cover.effects)}


@rule(
    "extinguishers.minimum_set",
    level="error",
    statement="At least two water extinguishers of 2-A and two of 10-B:C stand by the effect, beyond what a building "
    "needs anyway",
    source=_SET,
    needs=(EFFECTS, COVER),
    reads=(ROOT,),
    limits=("extinguishers.reach",),
    rests_on=("extinguishers.rating",),
)
def minimum_set(ctx: Context) -> Judging:
    """A unit that is known to stand out of reach of every effect does not count. The source gives no distance:
    the limit is this tool's, and wider than the travel distances that the rules by class ask for."""
    if not described(ctx):
        return not_checked(NO_ROOT)
    far, reach = out_of_reach(ctx), ctx.limit("extinguishers.reach")
    listed = [u for u in units(ctx) if u.tag not in far]
    for words, fits in KINDS:
        good = [u.tag for u in listed if fits(u)]
        if len(good) < EACH:
            have = f"only {good[0]}" if good else "none"
            if far:
                have += f" within {reach.text} of an effect ({', '.join(sorted(far))}: farther)"
            yield Trouble(
                f"/{ROOT}/units",
                f"at least {EACH} extinguishers ({words}) are needed, and there is {have}",
                "two pressurized water units of 2-A and two units of 10-B:C, or the authority's own set",
                "water for what catches fire around the effect, B:C for fuel and near electrical gear",
            )
    away = f"; {len(far)} more stand out of reach" if far else ""
    return passed(f"{len(listed)} extinguishers{away}")


def angle_between(center: tuple[float, float], one: tuple[float, float], two: tuple[float, float]) -> float | None:
    """The angle between two spots seen from a third, in rad from 0 to pi; None when one of them is the third.

    >>> round(angle_between((0, 0), (5, 0), (-2, 0)), 4)
    3.1416
    """
    ax, ay, bx, by = one[0] - center[0], one[1] - center[1], two[0] - center[0], two[1] - center[1]
    size = hypot(ax, ay) * hypot(bx, by)
    if size == 0:
        return None
    return acos(max(-1.0, min(1.0, (ax * bx + ay * by) / size)))


def _widest(center: tuple[float, float], near: list[tuple[float, float]]) -> float:
    """The widest angle between any two spots, seen from a third, in rad."""
    # Units may be many: each direction is compared with those next to its opposite, not with all others.
    by_angle = {atan2(y - center[1], x - center[0]): (x, y) for x, y in near if (x, y) != center}
    angles = sorted(by_angle)
    widest = 0.0
    for one in angles:
        i = bisect_left(angles, one + pi if one <= 0 else one - pi)
        for other in (angles[i - 1], angles[i % len(angles)]):
            widest = max(widest, angle_between(center, by_angle[one], by_angle[other]) or 0.0)
    return widest


def _nowhere(ctx: Context) -> Verdict | None:
    """The verdict when distances and sides cannot be looked at."""
    if not described(ctx):
        return not_checked(NO_ROOT)
    cover = ctx[COVER]
    if not ctx[EFFECTS]:
        return not_applicable("no effects")
    if not cover.effects:
        said = f"no coordinates (places: at:) for the effects {', '.join(cover.lost('B'))}"
        return not_checked(said, "/places/*/at", "/effects/*/at")
    if cover.lost_units and not cover.units:
        said = f"no coordinates (places: at:) for the extinguishers {', '.join(cover.lost_units)}"
        return not_checked(said, "/places/*/at", "/extinguishers/units/*/place")
    return None


@rule(
    "extinguishers.opposite_sides",
    level="warning",
    statement="Of each kind in the minimum set, two stand on opposite sides of every effect, within 75 ft on foot",
    source=_SET,
    needs=(EFFECTS, COVER),
    reads=(ROOT,),
    limits=("extinguishers.opposite_angle",),
)
def opposite_sides(ctx: Context) -> Judging:
    nowhere = _nowhere(ctx)
    if nowhere:
        return nowhere
    where = ctx[COVER]
    wide = ctx.limit(OPPOSITE.key)
    looked, short, unsure = 0, [], []
    for words, fits in KINDS:
        spots = [(u, s) for u, s in where.units if fits(u)]
        if sum(map(fits, units(ctx))) < EACH:
            short.append(words)  # extinguishers.minimum_set says so
            continue
        if len(spots) < EACH:
            unsure.append(words)
            continue
        looked += 1
        for effect in where.effects:
            near = [s for u, s in spots if where.on_foot[effect.at, u.tag] <= A_TRAVEL * (1 + 1e-9)]
            widest = min(_widest(spot, near) for spot in effect.spots)
            if widest >= wide.si - 1e-9:
                continue
            if any(fits(u) and u.tag in where.lost_units for u in units(ctx)):
                unsure.append(words)
                continue
            seen = f"at most {show(widest, 'angle')} apart" if widest > _ONE_WAY else "all in one direction"
            yield Trouble(
                effect.at,
                f"the extinguishers {words} ({', '.join(u.tag for u, _ in spots)}) stand on one side of the "
                f"effect {effect.tag}: those within 75 ft on foot are {seen}, seen from it",
                f"two of them at least {wide.text} apart, one on each side",
                "the wind may turn the flame to the side where all of them stand",
                moves=_to_the_other_side(effect, spots),
            )
    if unsure:
        said = f"no coordinates (places: at:) for {', '.join(where.lost_units)}, which may stand on the other side"
        return not_checked(said, "/places/*/at", "/extinguishers/units/*/place")
    if short:
        said = f"there are not two extinguishers {' nor two '.join(short)}: see the minimum set"
        return not_checked(said, "/extinguishers/units")
    if lost := [h.tag for h in where.hazards if h.what == EFFECT and not h.shape]:
        return not_checked(f"no coordinates (places: at:) for the effects {', '.join(lost)}", "/places/*/at")
    return passed(f"{looked} kinds around {len(where.effects)} effects, at least {wide.text} apart")


def _to_the_other_side(effect: Hazard, spots: list[tuple[ListedUnit, tuple[float, float]]]) -> tuple[Move, ...]:
    """Each of the units carried past the effect, to where it is as far off on the other side."""
    x, y = effect.spots[0]
    return tuple(
        Move(place, effect.tag, (x - mine[0], y - mine[1]))
        for unit, mine in spots
        if (place := unit.spec.text_or("place"))
    )


HIGH_FLOW_WALK = Limit(
    "extinguishers.high_flow_walk",
    "50 ft",
    "length",
    "min",
    "farthest on foot from an effect or a cylinder to a dry chemical unit for gas under pressure",
    Citation("ifc-2018-minnesota", "Table 906.3(2): the longest distance for class B; none was found for gas", "read"),
)


def _large(unit: ListedUnit) -> bool | None:
    """Whether a unit is one for gas under pressure; None where its mass or its discharge is not stated."""
    rating = unit.rating
    if unit.type not in DRY_CHEMICAL or rating is None or not rating.b or "C" not in rating.letters:
        return False
    mass, rate = unit.spec.quantity_or_none("mass"), unit.spec.quantity_or_none("discharge")
    if (mass is not None and mass.si < HIGH_FLOW_MASS) or (rate is not None and rate.si < HIGH_FLOW_RATE):
        return False
    return True if mass is not None and rate is not None else None


@rule(
    "extinguishers.high_flow",
    level="warning",
    statement="For gas under pressure, a dry chemical extinguisher that holds 10 lb or more and throws 1 lb/s or more "
    "stands within 50 ft on foot of every effect and of cylinders",
    source=_HIGH_FLOW,
    needs=(EFFECTS, COVER),
    reads=(ROOT,),
    limits=("extinguishers.high_flow_walk",),
)
def high_flow(ctx: Context) -> Judging:
    if not described(ctx):
        return not_checked(NO_ROOT)
    size = {u.tag: _large(u) for u in units(ctx)}
    if not any(is_large is not False for is_large in size.values()):
        yield Trouble(
            f"/{ROOT}/units",
            "no dry chemical extinguisher holds 10 lb or more and throws 1 lb/s or more",
            "one of that size rated B:C, with mass: and discharge: from its maker",
            "fuel that sprays outruns a small one; and even a large one is for after the valve is shut",
        )
        return passed("")
    if nowhere := _nowhere(ctx):
        return nowhere
    cover, limit = ctx[COVER], ctx.limit(HIGH_FLOW_WALK.key)
    listed = [h for h in cover.hazards if h.what == EFFECT or h.cylinders]
    bare = [u for u in units(ctx) if size[u.tag] is None]
    lost = [tag for tag in cover.lost_units if size[tag] is not False]
    unknown: dict[str, ListedUnit] = {}
    for hazard in listed:
        if not hazard.shape:
            continue
        _, way = cover.nearest(hazard, lambda u: bool(size[u.tag]))
        if way <= limit.si * (1 + 1e-9):
            continue
        near = [u for u in bare if cover.on_foot.get((hazard.at, u.tag), 0.0) <= limit.si * (1 + 1e-9)]
        unknown |= {u.tag: u for u in near}
        if not near and not lost:
            yield Trouble(
                hazard.at,
                f"no dry chemical extinguisher of 10 lb and 1 lb/s stands within {limit.text} on foot of "
                f"{hazard.named}: {cover.nearest_words(hazard, lambda u: size[u.tag] is not False)}",
                "one of that size rated B:C nearer to it",
                "fuel that sprays outruns a small one; and even a large one is for after the valve is shut",
                moves=cover.brought(hazard, lambda u: bool(size[u.tag])),
            )
    if unknown:
        yield Unchecked(
            f"mass: or discharge: is not stated for {', '.join(unknown)}; the maker gives both, 10 lb and 1 lb/s are "
            "looked for",
            *(u.at(k) for u in unknown.values() for k in ("mass", "discharge") if not u.spec.has(k)),
        )
    if nameless := [*lost, *(h.tag for h in listed if not h.shape)]:
        yield Unchecked(f"no coordinates (places: at:) for {', '.join(nameless)}", "/places/*/at")
    return passed(f"{counted(len(listed), 'place')} of gas under pressure, within {limit.text} on foot")


@rule(
    "extinguishers.authority_list",
    level="error",
    statement="The extinguishers that the authority asks for are there, near what they are asked for",
    source=CHOICE,
    needs=(COVER, PLACES),
    reads=(ROOT,),
    rests_on=("extinguishers.rating",),
)
def authority_list(ctx: Context) -> Judging:
    listed = ctx.spec(ROOT).child("asked").children()
    if not listed:
        return not_applicable("the spec gives no list of the authority's (extinguishers: asked:)")
    cover = ctx[COVER]
    level = ground(obstacles_of(ctx[PLACES].values(), "walking"))
    unknown = []
    for tag, line in listed:
        asked, kind, count = rating_of(line.text("least")), line.text_or("type"), line.whole("count")
        if asked is None:
            yield Trouble(
                line.here("least"),
                f"the rating {line.text('least')!r} cannot be read",
                "as on a label: 2-A, 10-B:C, 4-A:80-B:C, K",
                "what is asked for has to be known",
            )
            continue
        within, spot = line.quantity_or_none("within"), spot_of(ctx[PLACES].get(line.text_or("of")))
        fit = [u for u in units(ctx) if as_rated(u, asked) and kind in ("", u.type)]
        if within is not None and spot is None:
            unknown.append(Unchecked(f"{tag} says within: and no place with coordinates under of:", line.here("of")))
        elif within is not None and spot is not None:
            spots = {u.tag: s for u, s in cover.units}
            lost = [u for u in fit if u.tag not in spots]
            unknown += [Unchecked(f"{u.tag} has no coordinates", u.at("place"), "/places/*/at") for u in lost]
            sited = [u for u in fit if u.tag in spots]
            ways = level.walk(spot, [spots[u.tag] for u in sited])
            fit = [u for u, w in zip(sited, ways, strict=True) if w and w.length <= within.si * (1 + 1e-9)]
        if len(fit) < count and not unknown:
            where = f" within {within.text} of {line.text('of')} on foot" if within is not None else ""
            yield Trouble(
                line.at,
                f"the authority asks for {counted(count, 'extinguisher')} of {line.text('least')}{where}, and "
                f"there {'is' if len(fit) == 1 else 'are'} {', '.join(u.tag for u in fit) or 'none'}",
                "what it asks for",
                "what the authority asks for comes before any table",
            )
    yield from unknown
    return passed(counted(len(listed), "line"))


def as_rated(unit: ListedUnit, asked: Rating) -> bool:
    """Whether a unit has at least an asked rating in each of its parts."""
    has = unit.rating
    return has is not None and has.a >= asked.a and has.b >= asked.b and has.letters >= asked.letters


@value(EXTINGUISHERS, reads=(ROOT,))
def listed(ctx: Context) -> tuple[Extinguisher, ...]:
    """The units, for other plugins; what is refused of one has been said."""

    def text(unit: ListedUnit, key: str) -> str:
        with suppress(Unreadable):
            return unit.spec.text_or(key)
        return ""

    return tuple(
        Extinguisher(u.tag, text(u, "type"), text(u, "rating"), text(u, "place"), u.spec.at) for u in units(ctx)
    )


@gather(TARGETS, needs=(PLACES,), reads=(ROOT,))
def targets(ctx: Context) -> tuple[Target, ...]:
    """Where each unit stands, and what is for somebody who burns: somebody has to reach it."""
    made = []
    for unit in units(ctx):
        with suppress(Unreadable):
            spot = ctx[PLACES].get(unit.spec.text("place"))
            if spot and spot.shape:
                what = f"the extinguisher {unit.tag} at {spot.tag}"
                made.append(Target(spot.tag, "extinguisher", spot.shape, None, what, unit.at("place")))
    aid = ctx.spec(ROOT).child("first_aid")
    for key, what in (
        ("blanket", "the fire blanket"),
        ("water", "the water for burns"),
        ("kit", "first aid for burns"),
    ):
        spot = ctx[PLACES].get(aid.text_or(key))
        if spot and spot.shape:
            made.append(Target(spot.tag, "extinguisher", spot.shape, None, f"{what} at {spot.tag}", aid.here(key)))
    return tuple(made)
