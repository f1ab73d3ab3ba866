"""Rules on what stands by each hazard: by class of fire a rating, and how far it may be on foot round obstacles."""

from __future__ import annotations

from collections.abc import Callable

from specc import (
    Citation,
    Context,
    Trouble,
    Verdict,
    authority_decides,
    judged,
    not_applicable,
    not_checked,
    rule,
    show,
)
from specc.kinds.geometry import Area, size_of
from specc.kinds.places import PLACES
from specc.measure.units import FOOT, GALLON, POUND
from specc.model.wording import counted
from specc_extinguishers.hazards import COVER, Cover, Hazard
from specc_extinguishers.units import DRY_CHEMICAL, NO_ROOT, ROOT, WATER, ListedUnit, described

_CLASS_A = Citation("ifc-2018-minnesota", "Table 906.3(1), with its note a", "read")
_CLASS_B = Citation("ifc-2018-minnesota", "Table 906.3(2), for liquid no deeper than 1/4 in", "read")
_CLASS_C = Citation(
    "osha-1910-157-summary",
    "(d)(5): units for class C stand as those for the class A or B hazards beside them; section from memory",
    "memory",
)

# IFC Table 906.3(1): least A rating by hazard, 75 ft to the nearest.
A_BY_HAZARD = {"light": 2, "ordinary": 2, "extra": 4}
A_TRAVEL = 75 * FOOT
# The same table: ft2 of floor to each unit of A, and at most 11,250 to one extinguisher.
FLOOR = {"light": 3000 * FOOT**2, "ordinary": 1500 * FOOT**2, "extra": 1000 * FOOT**2}
FLOOR_MOST = 11250 * FOOT**2
# Its note a: two water units of 2 1/2 gal stand in for one 4-A. The hair below allows for rounding.
NOTE_A_LEAST, NOTE_A_WATER = 2, 2.5 * GALLON * (1 - 1e-9)
# IFC Table 906.3(2): least B rating at 30 ft by hazard; at 50 ft it asks for twice that.
B_BY_HAZARD = {"light": 5, "ordinary": 10, "extra": 40}
B_NEAR, B_FAR = 30 * FOOT, 50 * FOOT
# From memory, NFPA 58, 8.5: above 720 lb a dry chemical unit of 18 lb, rated B:C, within 50 ft.
STORE_MASS, STORE_UNIT = 720 * POUND, 18 * POUND * (1 - 1e-9)
_HAIR = 1 + 1e-9


def _early(ctx: Context, letter: str, none: str) -> Verdict | None:
    """The verdict when distances cannot be looked at."""
    if not described(ctx):
        return not_checked(NO_ROOT)
    cover = ctx[COVER]
    if not any(letter in h.classes for h in cover.hazards):
        return not_applicable(none)
    if not cover.of(letter):
        return not_checked(f"no coordinates (places: at:) for {', '.join(cover.lost(letter))}", "/places/*/at")
    if cover.lost_units and not cover.units:
        said = f"no coordinates (places: at:) for the extinguishers {', '.join(cover.lost_units)}"
        return not_checked(said, "/places/*/at", "/extinguishers/units/*/place")
    return None


def _grade(ctx: Context) -> Verdict | None:
    if not ctx.spec(ROOT).has("hazard"):
        said = "the spec grades no hazard; write hazard: light, ordinary or extra under extinguishers:"
        return not_checked(said, f"/{ROOT}/hazard")
    return None


def has_a(least: int) -> Callable[[ListedUnit], bool]:
    return lambda unit: (r := unit.rating) is not None and r.a >= least


def has_b(least: int) -> Callable[[ListedUnit], bool]:
    return lambda unit: (r := unit.rating) is not None and r.b >= least


def _note_a(unit: ListedUnit) -> bool:
    """Whether two such units stand in for one 4-A; one that does not state its volume does not."""
    volume = unit.spec.quantity_or_none("volume")
    return unit.type == WATER and has_a(NOTE_A_LEAST)(unit) and volume is not None and volume.si >= NOTE_A_WATER


def a_does(cover: Cover, hazard: Hazard, least: int) -> tuple[str, ...]:
    """The tags of what does for class A near a hazard; () where nothing does."""
    unit, way = cover.nearest(hazard, has_a(least))
    if unit is not None and way <= A_TRAVEL * _HAIR:
        return (unit.tag,)
    near = [u.tag for u, _ in cover.units if cover.on_foot[hazard.at, u.tag] <= A_TRAVEL * _HAIR and _note_a(u)]
    return tuple(near[:2]) if least > NOTE_A_LEAST and len(near) >= 2 else ()


def floor_done(cover: Cover, hazard: Hazard, grade: str) -> float:
    """The area, in m2, that the A ratings within 75 ft on foot of a hazard's farthest corner are for."""
    near = (u.rating for u, _ in cover.units if cover.on_foot[hazard.at, u.tag] <= A_TRAVEL * _HAIR)
    return sum(min(FLOOR_MOST, r.a * FLOOR[grade]) for r in near if r is not None)


def _floors(cover: Cover, grade: str) -> list[Trouble]:
    """What burns over a larger area than the ratings near it are for."""
    return [
        Trouble(
            hazard.at,
            f"{hazard.named} covers {show(size, 'area', 'ft²')}, and the A ratings within 75 ft on foot of all of it "
            f"are for {show(floor_done(cover, hazard, grade), 'area', 'ft²')}: {show(FLOOR[grade], 'area', 'ft²')} to "
            f"each unit of A, {grade} hazard",
            "more or larger extinguishers near it",
            "what one of them holds is used up before a fire that large is out",
        )
        for hazard in cover.of("A")
        if isinstance(hazard.shape, Area)
        and (size := size_of(hazard.shape)) > floor_done(cover, hazard, grade) * _HAIR
        and a_does(cover, hazard, A_BY_HAZARD[grade])
    ]


def reaches_b(least: int, rating: int, distance: float) -> bool:
    """Whether a B rating at a distance (m) does, where `least` is asked for at 30 ft, and twice that at 50 ft.

    >>> reaches_b(10, 10, 9.0), reaches_b(10, 10, 15.0), reaches_b(10, 20, 15.0)
    (True, False, True)
    """
    return (rating >= least and distance <= B_NEAR * _HAIR) or (rating >= 2 * least and distance <= B_FAR * _HAIR)


def b_does(cover: Cover, hazard: Hazard, least: int) -> tuple[str, ...]:
    """The tag of the nearest that does for class B near a hazard; () where none does."""

    def fits(unit: ListedUnit) -> bool:
        rating = unit.rating
        return rating is not None and reaches_b(least, rating.b, cover.on_foot[hazard.at, unit.tag])

    unit, _ = cover.nearest(hazard, fits)
    return (unit.tag,) if unit else ()


def has_c(unit: ListedUnit) -> bool:
    return (r := unit.rating) is not None and "C" in r.letters


def c_does(cover: Cover, hazard: Hazard) -> tuple[str, ...]:
    """The tag of the nearest that does for live electrical gear, within the longer of the distances of class B."""
    unit, way = cover.nearest(hazard, has_c)
    return (unit.tag,) if unit is not None and way <= B_FAR * _HAIR else ()


def _ended(cover: Cover, letter: str, troubles: list[Trouble], looked: str) -> Verdict:
    """One without coordinates may be near enough, so nothing is called a gap while there is one."""
    lost = (*cover.lost(letter), *(cover.lost_units if troubles else ()))
    if lost:
        return not_checked(f"no coordinates (places: at:) for {', '.join(lost)}", "/places/*/at")
    return judged(troubles, (), looked)


@rule(
    "extinguishers.class_a",
    level="warning",
    statement="An extinguisher with the A rating that the hazard asks for stands within 75 ft on foot of every effect, "
    "of tents, and of ground and scenery that burn",
    source=_CLASS_A,
    needs=(COVER, PLACES),
    reads=(ROOT,),
    rests_on=("extinguishers.rating",),
)
def class_a(ctx: Context) -> Verdict:
    if early := _early(ctx, "A", "no effects") or _grade(ctx):
        return early
    cover, grade = ctx[COVER], ctx.spec(ROOT).text("hazard")
    least = A_BY_HAZARD[grade]
    troubles = [
        Trouble(
            hazard.at,
            f"no extinguisher of {least}-A or more stands within 75 ft on foot of {hazard.named}, for {grade} hazard: "
            + cover.nearest_words(hazard, has_a(least)),
            f"one of {least}-A at most 75 ft away on foot"
            + (", or two water units of 2.5 gal (volume:)" if least > NOTE_A_LEAST else ""),
            "ordinary solids around the effect are what a flame sets alight first",
            moves=cover.brought(hazard, has_a(least)),
        )
        for hazard in cover.of("A")
        if not a_does(cover, hazard, least)
    ]
    return _ended(
        cover,
        "A",
        [*troubles, *_floors(cover, grade)],
        f"{counted(len(cover.of('A')), 'hazard')}, {grade} hazard, on foot; floor area for each unit of A only of what "
        "is drawn as an area that burns" + _passed_over(ctx),
    )


def _passed_over(ctx: Context) -> str:
    """The barriers that distances on foot go across, since the spec says that the crew passes them: for a person to
    see."""
    over = [s.tag for s in ctx[PLACES].values() if s.kind == "barrier" and s.shape and "walking" not in s.blocks]
    return f"; that the crew passes them, extinguisher in hand, is only typed: {', '.join(over)}" if over else ""


def _large_stores(ctx: Context, cover: Cover) -> list[Trouble]:
    """Stores of more than 720 lb that have no dry chemical unit of 18 lb nearby (NFPA 58, from memory)."""
    kept: dict[str, float] = {}
    for _, store in ctx.spec("site").child("stores").children():
        place = store.text("place")
        kept[place] = kept.get(place, 0.0) + store.quantity("each").si * store.whole("count")

    def fits(unit: ListedUnit) -> bool:
        mass, rating = unit.spec.quantity_or_none("mass"), unit.rating
        rated = rating is not None and rating.b > 0 and "C" in rating.letters
        return unit.type in DRY_CHEMICAL and rated and mass is not None and mass.si >= STORE_UNIT

    return [
        Trouble(
            hazard.at,
            f"{show(kept[hazard.tag], 'mass', 'lb')} are kept at {hazard.tag}, and no dry chemical unit of 18 lb "
            f"stands within 50 ft on foot: {cover.nearest_words(hazard, fits)} (NFPA 58, 8.5, from memory)",
            "one of 18 lb or more, rated B:C (mass: as on its label)",
            "a store that size burns longer than a small unit lasts",
            moves=cover.brought(hazard, fits),
        )
        for hazard in cover.of("B")
        if kept.get(hazard.tag, 0.0) > STORE_MASS * _HAIR and cover.nearest(hazard, fits)[1] > B_FAR * _HAIR
    ]


@rule(
    "extinguishers.class_b",
    level="warning",
    statement="An extinguisher with the B rating that the hazard asks for stands within 30 or 50 ft on foot of every "
    "effect, of cylinders, fuel stores, generators and vehicles; the ratings are sized for shallow liquid, not for gas "
    "jets, so the authority decides",
    source=_CLASS_B,
    needs=(COVER,),
    reads=(ROOT, "site"),
    rests_on=("extinguishers.rating",),
)
def class_b(ctx: Context) -> Verdict:
    if early := _early(ctx, "B", "no effects") or _grade(ctx):
        return early
    cover, grade = ctx[COVER], ctx.spec(ROOT).text("hazard")
    least = B_BY_HAZARD[grade]
    asked = f"{least}-B within 30 ft or {2 * least}-B within 50 ft"
    listed = cover.of("B")
    troubles = [
        Trouble(
            hazard.at,
            f"no extinguisher of {asked} on foot stands by {hazard.named}, for {grade} hazard; of {least}-B "
            + cover.nearest_words(hazard, has_b(least)),
            "a larger one, or one nearer to it",
            "farther than that, a small fire has grown by the time the extinguisher is there",
            moves=cover.brought(hazard, has_b(least)),
        )
        for hazard in listed
        if not b_does(cover, hazard, least)
    ]
    troubles += _large_stores(ctx, cover)
    if cover.lost_units:
        troubles = []  # one without coordinates may be near enough
    seen = (
        f"{counted(len(troubles), 'gap')} at {counted(len(listed), 'hazard')}"
        if troubles
        else "not settled for want of coordinates"
        if cover.lost_units
        else f"so it is here for {counted(len(listed), 'hazard')}, on foot"
    )
    lost = (*cover.lost("B"), *cover.lost_units)
    return authority_decides(
        f"Which B ratings suit this effect, and how near? The fire code's table, for {grade} hazard, asks for "
        f"{asked}: {seen}. It is sized for liquid no deeper than 1/4 in and says nothing of gas under pressure"
        + (f"; without coordinates, so not checked: {', '.join(lost)}" if lost else ""),
        troubles,
    )


@rule(
    "extinguishers.class_c",
    level="warning",
    statement="An extinguisher marked C, which does not conduct, stands within 50 ft on foot of generators and of the "
    "control's electrical gear",
    source=_CLASS_C,
    needs=(COVER,),
    reads=(ROOT,),
    rests_on=("extinguishers.rating",),
)
def class_c(ctx: Context) -> Verdict:
    if early := _early(ctx, "C", "no generator and no electrical gear is described"):
        return early
    cover = ctx[COVER]
    troubles = [
        Trouble(
            hazard.at,
            f"no extinguisher marked C stands within 50 ft on foot of {hazard.named}: "
            + cover.nearest_words(hazard, has_c),
            "one of 10-B:C nearer to it",
            "water on live gear brings the current to whoever holds the extinguisher",
            moves=cover.brought(hazard, has_c),
        )
        for hazard in cover.of("C")
        if not c_does(cover, hazard)
    ]
    return _ended(cover, "C", troubles, f"{counted(len(cover.of('C')), 'place')} with current, on foot")
