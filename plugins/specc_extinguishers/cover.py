"""Rules on how many extinguishers there are, of which kind and size, and how far from the effects they stand.

Distances are straight lines on the ground between the coordinates of places; the way on foot is longer.
"""

from __future__ import annotations

from contextlib import suppress
from itertools import combinations
from math import acos, hypot
from typing import NamedTuple

from specc import (
    CHOICE,
    Citation,
    Context,
    Limit,
    Trouble,
    Verdict,
    authority_decides,
    found,
    gather,
    not_applicable,
    not_checked,
    passed,
    rule,
    show,
)
from specc.kinds.places import PLACES
from specc.kinds.show import EFFECTS
from specc.kinds.targets import TARGETS, Target
from specc.measure.units import FOOT, GALLON, POUND
from specc.model.view import Unreadable
from specc_extinguishers.units import DRY_CHEMICAL, NO_ROOT, ROOT, WATER, ListedUnit, described, units

_SET = Citation(
    "frederick-flame-effects",
    "two 2-A water and two 10-B:C, beyond what the building needs; one of each kind on opposite sides",
    "read",
)
_CLASS_A = Citation("ifc-2018-minnesota", "Table 906.3(1), with its note a", "read")
_CLASS_B = Citation("ifc-2018-minnesota", "Table 906.3(2), for liquid no deeper than 1/4 in", "read")
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

# IFC Table 906.3(1): least A rating by hazard, 75 ft to the nearest.
A_BY_HAZARD = {"light": 2, "ordinary": 2, "extra": 4}
A_TRAVEL = 75 * FOOT
# Its note a: two water units of 2 1/2 gal stand in for one 4-A. The hair below allows for rounding.
NOTE_A_WATER = 2.5 * GALLON * (1 - 1e-9)
# IFC Table 906.3(2): least B rating at 30 ft by hazard; at 50 ft it asks for twice that.
B_BY_HAZARD = {"light": 5, "ordinary": 10, "extra": 40}
B_NEAR, B_FAR = 30 * FOOT, 50 * FOOT

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


@rule(
    "extinguishers.minimum_set",
    level="error",
    statement="At least two water extinguishers of 2-A and two of 10-B:C stand by the effect, beyond what a building "
    "needs anyway",
    source=_SET,
    needs=(EFFECTS, PLACES),
    reads=(ROOT,),
    limits=("extinguishers.reach",),
    rests_on=("extinguishers.rating",),
)
def minimum_set(ctx: Context) -> Verdict:
    """A unit that is known to stand out of reach of every effect does not count. The source gives no distance:
    the limit is this tool's, and wider than the travel distances that the rules by class ask for."""
    if not described(ctx):
        return not_checked(NO_ROOT)
    where, reach = sited(ctx), ctx.limit("extinguishers.reach")
    far = {
        u.tag
        for u, s in where.units
        if where.effects and all(hypot(s[0] - e[0], s[1] - e[1]) > reach.si for _, _, e in where.effects)
    }
    listed = [u for u in units(ctx) if u.tag not in far]
    troubles = []
    for words, fits in KINDS:
        good = [u.tag for u in listed if fits(u)]
        if len(good) < EACH:
            have = f"only {good[0]}" if good else "none"
            if far:
                have += f" within {reach.text} of an effect ({', '.join(sorted(far))}: farther)"
            troubles.append(
                Trouble(
                    f"/{ROOT}/units",
                    f"at least {EACH} extinguishers ({words}) are needed, and there is {have}",
                    "two pressurized water units of 2-A and two units of 10-B:C, or the authority's own set",
                    "water for what catches fire around the effect, B:C for fuel and near electrical gear",
                )
            )
    away = f"; {len(far)} more stand out of reach" if far else ""
    return found(troubles, f"{len(listed)} extinguishers{away}")


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


class Sited(NamedTuple):
    """Effects and units that have a spot, and the tags of those that have none."""

    effects: tuple[tuple[str, str, tuple[float, float]], ...]  # tag, pointer
    units: tuple[tuple[ListedUnit, tuple[float, float]], ...]
    lost_effects: tuple[str, ...]
    lost_units: tuple[str, ...]


def sited(ctx: Context) -> Sited:
    places = ctx[PLACES]
    ground = {tag: place.ground for tag, place in places.items()}
    effects = [(e, ground.get(e.place)) for e in ctx[EFFECTS]]
    listed = [(u, ground.get(u.spec.text("place"))) for u in units(ctx)]
    return Sited(
        tuple((e.tag, e.at, s) for e, s in effects if s),
        tuple((u, s) for u, s in listed if s),
        tuple(e.tag for e, s in effects if not s),
        tuple(u.tag for u, s in listed if not s),
    )


def _nowhere(ctx: Context, where: Sited) -> Verdict | None:
    """The verdict when distances and sides cannot be looked at."""
    if not described(ctx):
        return not_checked(NO_ROOT)
    if not ctx[EFFECTS]:
        return not_applicable("no effects")
    if not where.effects:
        return not_checked(f"no coordinates (places: at:) for the effects {', '.join(where.lost_effects)}")
    if where.lost_units and not where.units:
        return not_checked(f"no coordinates (places: at:) for the extinguishers {', '.join(where.lost_units)}")
    return None


def _left_out(where: Sited) -> str:
    lost = (*where.lost_effects, *where.lost_units)
    return f"; without coordinates, so not looked at: {', '.join(lost)}" if lost else ""


@rule(
    "extinguishers.opposite_sides",
    level="warning",
    statement="Of each kind in the minimum set, two stand on opposite sides of every effect",
    source=_SET,
    needs=(EFFECTS, PLACES),
    reads=(ROOT,),
    limits=("extinguishers.opposite_angle",),
)
def opposite_sides(ctx: Context) -> Verdict:
    where = sited(ctx)
    nowhere = _nowhere(ctx, where)
    if nowhere:
        return nowhere
    wide = ctx.limit(OPPOSITE.key)
    troubles = []
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
        for tag, at, center in where.effects:
            angles = [angle_between(center, a, b) for (_, a), (_, b) in combinations(spots, 2)]
            widest = max((a for a in angles if a is not None), default=0.0)
            if widest >= wide.si - 1e-9:
                continue
            if any(fits(u) and u.tag in where.lost_units for u in units(ctx)):
                unsure.append(words)
                continue
            troubles.append(
                Trouble(
                    at,
                    f"the extinguishers {words} ({', '.join(u.tag for u, _ in spots)}) stand on one side of the "
                    f"effect {tag}: at most {show(widest, 'angle')} apart, seen from it",
                    f"two of them at least {wide.text} apart, one on each side",
                    "the wind may turn the flame to the side where all of them stand",
                )
            )
    if troubles:
        return found(troubles)
    if unsure:
        return not_checked(
            f"no coordinates (places: at:) for {', '.join(where.lost_units)}, which may stand on the other side"
        )
    if short:
        return not_checked(f"there are not two extinguishers {' nor two '.join(short)}: see the minimum set")
    if where.lost_effects:
        return not_checked(f"no coordinates (places: at:) for the effects {', '.join(where.lost_effects)}")
    return passed(f"{looked} kinds around {len(where.effects)} effects, at least {wide.text} apart")


def _no_hazard(ctx: Context) -> Verdict | None:
    if described(ctx) and not ctx.spec(ROOT).has("hazard"):
        return not_checked("the spec grades no hazard; write hazard: light, ordinary or extra under extinguishers:")
    return None


@rule(
    "extinguishers.class_a",
    level="warning",
    statement="An extinguisher with the A rating that the hazard asks for stands within 75 ft of every effect",
    source=_CLASS_A,
    needs=(EFFECTS, PLACES),
    reads=(ROOT,),
    rests_on=("extinguishers.rating",),
)
def class_a(ctx: Context) -> Verdict:
    where = sited(ctx)
    early = _nowhere(ctx, where) or _no_hazard(ctx)
    if early:
        return early
    hazard = ctx.spec(ROOT).text("hazard")
    least = A_BY_HAZARD[hazard]
    troubles = []
    for tag, at, center in where.effects:
        near = [u for u, s in where.units if hypot(s[0] - center[0], s[1] - center[1]) <= A_TRAVEL]
        if any(r.a >= least for u in near if (r := u.rating)):
            continue
        if least > MINIMUM_A and sum(map(_note_a, near)) >= 2:
            continue
        troubles.append(
            Trouble(
                at,
                f"no extinguisher of {least}-A or more stands within 75 ft of the effect {tag}, for {hazard} hazard",
                f"one of {least}-A at most 75 ft away on foot"
                + (", or two water units of 2.5 gal (volume:)" if least > MINIMUM_A else ""),
                "ordinary solids around the effect are what a flame sets alight first",
            )
        )
    if troubles and not where.lost_units:
        return found(troubles)
    if troubles or where.lost_effects:
        return not_checked("no coordinates (places: at:) for " + ", ".join((*where.lost_effects, *where.lost_units)))
    return passed(
        f"{len(where.effects)} effects, {hazard} hazard, in straight lines; floor area for each unit of A is not "
        "looked at, as the ground outdoors has no such measure"
    )


def _note_a(unit: ListedUnit) -> bool:
    """Whether two such units stand in for one 4-A; one that does not state its volume does not."""
    volume = unit.spec.quantity_or_none("volume")
    return water_of_the_set(unit) and volume is not None and volume.si >= NOTE_A_WATER


def reaches_b(least: int, rating: int, distance: float) -> bool:
    """Whether a B rating at a distance (m) does, where `least` is asked for at 30 ft, and twice that at 50 ft.

    >>> reaches_b(10, 10, 9.0), reaches_b(10, 10, 15.0), reaches_b(10, 20, 15.0)
    (True, False, True)
    """
    return (rating >= least and distance <= B_NEAR) or (rating >= 2 * least and distance <= B_FAR)


@rule(
    "extinguishers.class_b",
    level="warning",
    statement="An extinguisher with the B rating that the hazard asks for stands within 30 or 50 ft of every effect; "
    "the ratings are sized for shallow liquid, not for gas jets, so the authority decides",
    source=_CLASS_B,
    needs=(EFFECTS, PLACES),
    reads=(ROOT,),
    rests_on=("extinguishers.rating",),
)
def class_b(ctx: Context) -> Verdict:
    where = sited(ctx)
    early = _nowhere(ctx, where) or _no_hazard(ctx)
    if early:
        return early
    hazard = ctx.spec(ROOT).text("hazard")
    least = B_BY_HAZARD[hazard]
    asked = f"{least}-B within 30 ft or {2 * least}-B within 50 ft"
    troubles = [
        Trouble(
            at,
            f"no extinguisher of {asked} stands by the effect {tag}, for {hazard} hazard",
            "a larger one, or one nearer to the effect",
            "farther than that, a small fire has grown by the time the extinguisher is there",
        )
        for tag, at, center in where.effects
        if not any(
            reaches_b(least, rating.b, hypot(s[0] - center[0], s[1] - center[1]))
            for u, s in where.units
            if (rating := u.rating)
        )
    ]
    lost = bool(where.lost_units)
    if lost:
        troubles = []  # one without coordinates may be near enough
    seen = (
        f"for {len(troubles)} of {len(where.effects)} effects there is none"
        if troubles
        else "not settled for want of coordinates"
        if lost
        else f"so it is here for {len(where.effects)} effects, in straight lines"
    )
    return authority_decides(
        f"Which B ratings suit this effect, and how near? The fire code's table, for {hazard} hazard, asks for "
        f"{asked}: {seen}. It is sized for liquid no deeper than 1/4 in and says nothing of gas under pressure"
        + _left_out(where),
        troubles,
    )


@rule(
    "extinguishers.high_flow",
    level="warning",
    statement="For gas under pressure, at least one dry chemical extinguisher holds 10 lb or more and throws 1 lb/s or "
    "more",
    source=_HIGH_FLOW,
    reads=(ROOT,),
)
def high_flow(ctx: Context) -> Verdict:
    if not described(ctx):
        return not_checked(NO_ROOT)
    unstated = []
    for unit in units(ctx):
        rating = unit.rating
        if unit.type not in DRY_CHEMICAL or rating is None or not rating.b or "C" not in rating.letters:
            continue
        mass, rate = unit.spec.quantity_or_none("mass"), unit.spec.quantity_or_none("discharge")
        if (mass is None or mass.si >= HIGH_FLOW_MASS) and (rate is None or rate.si >= HIGH_FLOW_RATE):
            if mass is not None and rate is not None:
                return passed(f"{unit.tag}: {mass.text}, {rate.text}")
            unstated.append(unit.tag)
    if unstated:
        return not_checked(
            f"mass: or discharge: is not stated for {', '.join(unstated)}; the maker gives both, 10 lb and 1 lb/s are "
            "looked for"
        )
    return found(
        [
            Trouble(
                f"/{ROOT}/units",
                "no dry chemical extinguisher holds 10 lb or more and throws 1 lb/s or more",
                "one of that size rated B:C, with mass: and discharge: from its maker",
                "fuel that sprays outruns a small one; and even a large one is for after the valve is shut",
            )
        ]
    )


@gather(TARGETS, needs=(PLACES,), reads=(ROOT,))
def targets(ctx: Context) -> tuple[Target, ...]:
    """Where each unit stands: somebody has to reach it."""
    made = []
    for unit in units(ctx):
        with suppress(Unreadable):
            spot = ctx[PLACES].get(unit.spec.text("place"))
            if spot and spot.shape:
                what = f"the extinguisher {unit.tag} at {spot.tag}"
                made.append(Target(spot.tag, "extinguisher", spot.shape, None, what, unit.at("place")))
    return tuple(made)


PASSES = (targets, REACH, OPPOSITE, minimum_set, opposite_sides, class_a, class_b, high_flow)
