"""Rules on who and what stands near: operators and performers, cylinders, hoses, valves, extinguishers, ways out.

A flame laid flat reaches from its outlet as far as its tip is seen, in every direction from level up, and below level
too where its outlet points there. Wind off a wall, or down a slope, can press any flame below level, and no published
source says how far: what lies lower than the outlet and within the flame's length is not checked, never passed.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import NamedTuple

from specc import (
    CHOICE,
    Context,
    Limit,
    Trouble,
    Unchecked,
    Verdict,
    Worked,
    answers_of,
    authority_decides,
    distance,
    found,
    not_applicable,
    not_checked,
    rule,
    show,
)
from specc.kinds.geometry import corners, edges
from specc.kinds.places import PLACES
from specc.kinds.plumbing import NETWORK, Part
from specc.kinds.show import EFFECTS
from specc.kinds.targets import FALLEN, FLUX, TARGETS, Target
from specc.measure.printing import past
from specc.model.passes import Judging, passed
from specc.model.view import View, join
from specc.model.wording import counted
from specc_flame.calc.field import HEAD
from specc_flame.distances import fall_of
from specc_flame.heat import FAR, STANDS, HeatedPlace, places_of
from specc_flame.keys import FAILED_FLAMES, OUTLETS, STEADY_FLUX, TIP, UNKNOWN, flame_unknown
from specc_flame.moves import MOVES_NEED, off
from specc_flame.sizes import points_down
from specc_flame.targets import CLOTHED, GAS_FLUX, LEVEL_LIMITS, LEVELS, OPERATOR_FLUX, URGENT, URGENT_FLUX

AIM = Limit(
    "flame.aim",
    "30°",
    "angle",
    "min",
    "how far from straight up an outlet may lean toward the public, or within 60 degrees to either side of it",
    CHOICE,
)
_BY_ITSELF = ("solenoid", "check", "relief")  # valves that nobody closes by hand
_NEEDS = (*MOVES_NEED, UNKNOWN, TIP, FLUX, STEADY_FLUX, TARGETS)


class FlameOver(NamedTuple):
    """The outlet whose flame reaches a place. `level`: laid flat or rising; else only when wind presses it down."""

    outlet: str
    level: bool
    why: str


def flame_over(ctx: Context, place: str, person: bool = False) -> FlameOver | None:
    """The flame that reaches a place, one that reaches it laid flat first; None for none.

    `person`: somebody stands there, as high as a raised head. A height that is not said counts for the flame.
    """
    far = {tag: worked for tag in ctx[TIP] if (worked := ctx[FAR].get((tag, place)))}
    return flame_reaching(ctx, ctx[STANDS][place], far, person)


def failed_flame_over(ctx: Context, place: str, person: bool = False) -> FlameOver | None:
    """The same; where none does, of the flames with a regulator failed open, bursts that are fired then among them."""
    if (usual := flame_over(ctx, place, person)) is not None and usual.level:
        return usual
    tips = {tag: one.tip for tag, one in (ctx.get(FAILED_FLAMES) or {}).items()}
    far = {tag: worked for tag in tips if (worked := ctx[FAR].get((tag, place)))}
    then = flame_reaching(ctx, ctx[STANDS][place], far, person, tips)
    if then is None or not then.level:
        return usual or then
    fired = "fired " if any(e.kind == "burst" and then.outlet in e.outlets for e in ctx[EFFECTS]) else ""
    return then._replace(why=f"{then.why}, {fired}with a regulator failed open")


def flame_reaching(
    ctx: Context,
    stand: HeatedPlace,
    far: Mapping[str, Worked],
    person: bool = False,
    tips: Mapping[str, Worked] | None = None,
) -> FlameOver | None:
    """The same for what stands somewhere, of the flames of the outlets in `far`, as far as they reach as set, or by
    `tips`."""
    ground, foot, below = stand.ground, stand.low, None
    for tag, apart in far.items():
        tip = ctx[TIP][tag] if tips is None else tips[tag]
        if apart.si > tip.si:
            continue
        point = ctx[OUTLETS][tag].point
        assert point is not None
        if foot is not None and point.z is not None and math.hypot(apart.si, max(0.0, foot.si - point.z.si)) > tip.si:
            continue  # so high that the flame does not come there upright
        drop = 0.0 if ground is None or point.z is None else point.z.si - ground.si - (HEAD if person else 0.0)
        if drop <= 1e-9:
            return FlameOver(tag, True, f"in the flame of {tag} when wind lays it flat")
        if math.hypot(apart.si, drop) > tip.si:
            continue
        if points_down(ctx[OUTLETS][tag]):
            return FlameOver(tag, True, f"in the flame of {tag}, which points below level")
        if below is None:
            angle = show(math.atan2(drop, apart.si), "angle", "°", 2)
            long, low = show(tip.si, "length", "ft"), show(drop, "length", "ft", 2)
            why = (
                f"within the {long} of the flame of {tag} and {low} lower: wind would have to press it {angle} below "
                "level, and no published source says how far it does"
            )
            below = FlameOver(tag, False, why)
    return below


def _placed(ctx: Context, kinds: tuple[str, ...]) -> Iterator[tuple[Part, str]]:
    """Parts of these kinds with each place of theirs that has coordinates."""
    for part in ctx[NETWORK].of_kind(*kinds):
        for tag in places_of(part):
            if tag in ctx[STANDS] and tag in ctx[FLUX]:
                yield part, tag


def unplaced(ctx: Context, kinds: tuple[str, ...] = (), only: Collection[str] | None = None) -> list[Unchecked]:
    """What cannot be checked: outlets that gas reaches and whose flame or place nobody knows, and parts of these kinds
    (of those in `only`) that have no place."""
    blind = [*ctx[UNKNOWN]]
    lost = {o.tag: join(o.at, "place") for o in ctx[OUTLETS].values() if o.point is None and o.tag not in blind}
    lost |= {
        p.tag: join(p.at, "place")
        for p in ctx[NETWORK].of_kind(*kinds)
        if (only is None or p.tag in only) and (not places_of(p) or any(t not in ctx[STANDS] for t in places_of(p)))
    }
    said = [*map(flame_unknown, blind)]
    if lost:
        more = f" and {len(lost) - 2} more" if len(lost) > 2 else ""
        words = f"nothing says where {' and '.join([*lost][:2])}{more} {'is' if len(lost) == 1 else 'are'}"
        said.append(Unchecked(words, *lost.values(), "/places/*/at"))
    return said


BURN = ("combustible", "tent", "tree", "building", "vehicle", "generator")  # kinds of place


def nowhere(ctx: Context, *kinds: str, but: Collection[str] = ()) -> list[Unchecked]:
    """Places of some kinds that are described and have no coordinates: nothing there is in any heat, on paper. `but`:
    those of which it is said elsewhere."""
    return [
        Unchecked(f"where {s.tag} ({s.kind.replace('_', ' ')}) is: it has no coordinates", join("/places", s.tag, "at"))
        for s in ctx[PLACES].values()
        if s.kind in kinds and s.shape is None and s.tag not in but
    ]


def _named_nowhere(ctx: Context, things: Iterable[tuple[str, View]], key: str) -> list[Unchecked]:
    """Of posts or units those whose place has no coordinates: no heat is computed there."""
    made: dict[str, Unchecked] = {}
    for tag, thing in things:
        place = thing.text_or(key)
        if place and (spot := ctx[PLACES].get(place)) is not None and spot.shape is None:
            said = f"where {place} is, the place of {tag}: it has no coordinates"
            made.setdefault(place, Unchecked(said, join("/places", place, "at")))
    return list(made.values())


def _hot(ctx: Context, place: str, limit: float) -> str:
    return past(ctx[FLUX][place].si, limit, "heat_flux", "kW/m²", 2)


def _hottest(ctx: Context, place: str, limit: float) -> tuple[float, str]:
    """Radiation there as the show burns or with every burst held open, whichever is more, W/m2, and in words."""
    held, hot = ctx[STEADY_FLUX].get(place), ctx[FLUX][place].si
    if held is None or held.si <= hot * (1 + 1e-9):
        return hot, _hot(ctx, place, limit)
    return held.si, f"{past(held.si, limit, 'heat_flux', 'kW/m²', 2)} with every burst held open"


@rule(
    "flame.gas_parts",
    level="error",
    statement="Cylinders, stored fuel, hoses, regulators and the like stand outside flames, cylinders outside heat",
    source=CHOICE,
    needs=_NEEDS,
    wants=(FAILED_FLAMES,),
    limits=("flame.gas_flux",),
)
def gas_parts(ctx: Context) -> Judging:
    """Heat counts for cylinders alone: how hot a hose or an accumulator gets outside the flames is not checked here."""
    kinds = ("cylinder", "hose", "accumulator", "regulator")
    stored = [t for t in ctx[TARGETS] if t.kind == "part" and t.tag in ctx[FLUX]]
    if not (ctx[NETWORK].of_kind(*kinds) or stored) or not ctx[OUTLETS]:
        return not_applicable("no cylinder, hose, regulator or accumulator near a flame")
    limit, looked = ctx.limit(GAS_FLUX.key), len(stored)
    by_itself = (p.tag for p in ctx[NETWORK].of_kind("valve") if p.form in _BY_ITSELF)
    yield from unplaced(ctx, (*kinds, "valve"), {p.tag for p in ctx[NETWORK].of_kind(*kinds)}.union(by_itself))
    yield from nowhere(ctx, "fuel_store")
    for store in stored:
        flame, (flux, hot) = failed_flame_over(ctx, store.tag), _hottest(ctx, store.tag, limit.si)
        if (flame and flame.level) or flux > limit.si * (1 + 1e-9):
            said = f"may get {hot}; the limit is {limit.text}"
            said = f"lies {flame.why}" if flame and flame.level else said
            fix, why = "move it out of the flame's reach", "heat raises a cylinder's pressure until it lets gas out"
            yield Trouble(store.at, f"{store.what} {said}", fix, why, moves=off(ctx, store.tag))
        elif flame:
            yield f"{store.what} is {flame.why}"
    # A hand valve is looked at where somebody has to reach it.
    for part, place in _placed(ctx, (*kinds, "valve")):
        if part.kind == "valve" and part.form not in _BY_ITSELF:
            continue
        looked += 1
        flame, (flux, hot) = failed_flame_over(ctx, place), _hottest(ctx, place, limit.si)
        if flame and flame.level:
            what = f"{part.tag}, at {place}, lies {flame.why}"
        elif part.kind == "cylinder" and flux > limit.si * (1 + 1e-9):
            what = f"{part.tag}, at {place}, may get {hot}; the limit is {limit.text}"
        else:
            if flame:
                yield f"{part.tag}, at {place}, is {flame.why}"
            continue
        yield Trouble(
            join(part.at, "place"),
            what,
            f"move it out of the flame's reach{', or metal tube there' if part.kind == 'hose' else ''}",
            "heat raises a cylinder's pressure and burns a hose through, which feeds the fire",
            moves=off(ctx, place),
        )
    return passed(f"{counted(looked, 'place')} of cylinders, stored fuel, hoses, regulators and the like")


@rule(
    "flame.valves_reachable",
    level="error",
    statement="Every valve that somebody closes can be reached with all effects burning out of control",
    source=URGENT,
    needs=_NEEDS,
    wants=(FAILED_FLAMES,),
    limits=("flame.urgent_flux",),
)
def valves_reachable(ctx: Context) -> Judging:
    """Cylinder valves and hand valves; solenoid valves close by themselves."""
    limit, looked = ctx.limit(URGENT_FLUX.key), 0
    if not ctx[OUTLETS]:
        return not_applicable("no flame is known")
    hand = [p for p in ctx[NETWORK].of_kind("cylinder", "valve") if p.form not in _BY_ITSELF]
    tags = {p.tag for p in hand}
    unsaid = unplaced(ctx, ("cylinder", "valve"), tags)
    yield from unsaid
    for part, place in _placed(ctx, ("cylinder", "valve")):
        if part.tag not in tags:
            continue
        looked += 1
        q, flame = ctx[STEADY_FLUX][place], failed_flame_over(ctx, place, True)
        if flame and not flame.level:
            yield f"{part.tag}, at {place}, is {flame.why}"
        if q.si > limit.si * (1 + 1e-9) or (flame and flame.level):
            hot = past(q.si, limit.si, q.dim, "kW/m²", 2)
            what = f"at {place} somebody closing it may get {hot}; the limit is {limit.text}"
            if flame and flame.level:
                what = f"{place} lies {flame.why}"
            yield Trouble(
                join(part.at, "place"),
                f"{part.tag} cannot be reached while an effect burns out of control: {what}",
                "move it away from the flames",
                "whoever has to close it is burned, or does not close it",
                moves=off(ctx, place),
            )
    if not looked and not unsaid:
        return not_applicable("no valve is closed by hand")
    return passed(f"{counted(looked, 'valve')} at their places")


@rule(
    "flame.posts",
    level="error",
    statement="Operators and performers stand where heat is bearable; within a flame laid flat, with a regulator "
    "failed open too, or one whose holder falls over, the authority decides",
    source=CLOTHED,
    needs=_NEEDS,
    wants=(FALLEN, FAILED_FLAMES),
    reads=("operators",),
    limits=LEVEL_LIMITS,
)
def posts(ctx: Context) -> Verdict:
    people = [t for t in ctx[TARGETS] if t.kind in ("operator", "performer") and t.tag in ctx[FLUX]]
    if not ctx[OUTLETS]:
        return not_applicable("no flame is known")
    if not people:
        said = "nothing says where operators and performers stand (stations of the roster, or flame:)"
        return not_checked(said, "/operators/shifts/*/station", "/flame/operators", "/flame/performers")
    troubles, inside = [], []
    for target in people:
        level = target.level or ctx.limit(LEVELS[target.kind])
        q = ctx[FLUX][target.tag]
        if q.si > level.si * (1 + 1e-9):
            troubles.append(_too_hot(ctx, target, level.si))
        elif flame := failed_flame_over(ctx, target.tag, True):
            inside.append(f"{target.what} stands {flame.why}")
        elif fallen := fallen_over(ctx, target):
            inside.append(f"{target.what} stands {fallen}")
    looked = f"{counted(len(people), 'post')} against {ctx.limit(OPERATOR_FLUX.key).text} and the like"
    shifts = ctx.spec("operators").child("shifts").children()
    manned = [(tag, s) for tag, s in shifts if s.text_or("role") != "fire_watch"]
    unsaid = unplaced(ctx) + nowhere(ctx, "crew", "performance") + _named_nowhere(ctx, manned, "station")
    if not troubles and unsaid:
        return not_checked("; ".join(unsaid), *answers_of(*unsaid))
    if not troubles and inside:
        return authority_decides(
            f"may they stand there? {'; '.join(inside)}; the heat there is within the crew's level"
        )
    return found(troubles, looked)


def fallen_over(ctx: Context, target: Target) -> str:
    """The flame that comes to somebody if what holds its outlet falls over: as far as the public keeps from it."""
    inside: list[tuple[float, str]] = []
    for tag, outlet in ctx[OUTLETS].items():
        point = outlet.point
        if point is None or point.z is None or point.z.si <= 0 or tag not in ctx[TIP]:
            continue
        apart, falls = (
            distance(point, target.where, f"{tag} to {target.tag}").si,
            fall_of(ctx, tag, point.z).si + ctx[TIP][tag].si,
        )
        if apart < falls * (1 - 1e-9):
            how = f"{show(apart, 'length', 'ft')} from {tag}, within the {show(falls, 'length', 'ft')} that its flame"
            inside.append((apart / falls, f"{how} reaches when what holds it falls over"))
    return min(inside, default=(0.0, ""))[1]


def _too_hot(ctx: Context, target: Target, level: float) -> Trouble:
    return Trouble(
        target.at,
        f"{target.what} may get {_hot(ctx, target.tag, level)}; the limit is {show(level, 'heat_flux', 'kW/m²', 3)}",
        "stand farther off, or behind a screen that is described, or make the flame smaller",
        "bare skin hurts within 16 s at 4.7 kW/m² and within 5 s at 9.5",
        moves=off(ctx, target.tag),
    )


@rule(
    "flame.ways_clear",
    level="error",
    statement="Extinguishers and ways out can be reached with all effects burning out of control",
    source=URGENT,
    needs=_NEEDS,
    reads=("extinguishers",),
    limits=("flame.urgent_flux",),
)
def ways_clear(ctx: Context) -> Judging:
    ways = [t for t in ctx[TARGETS] if t.kind in ("extinguisher", "way_out") and t.tag in ctx[STEADY_FLUX]]
    if not ctx[OUTLETS]:
        return not_applicable("no flame is known")
    if not ways:
        said = "nothing says where extinguishers and ways out are (flame: exits: with tags of places)"
        return not_checked(said, "/extinguishers/units/*/place", "/flame/exits")
    limit = ctx.limit(URGENT_FLUX.key)
    yield from unplaced(ctx)
    yield from nowhere(ctx, "exit")
    yield from _named_nowhere(ctx, ctx.spec("extinguishers").child("units").children(), "place")
    for target in ways:
        q, flame = ctx[STEADY_FLUX][target.tag], flame_over(ctx, target.tag, True)
        if flame and flame.level:
            what = f"it lies {flame.why}"
        elif q.si > limit.si * (1 + 1e-9):
            what = f"{past(q.si, limit.si, q.dim, 'kW/m²', 2)} there; the limit is {limit.text}"
        else:
            if flame:
                yield f"{target.what} is {flame.why}"
            continue
        yield Trouble(
            target.at,
            f"{target.what} cannot be reached while an effect burns out of control: {what}",
            "move it away from the flames",
            "it is needed just then",
            moves=off(ctx, target.tag),
        )
    return passed(counted(len(ways), "place"))


@rule(
    "flame.dry",
    level="error",
    statement="What burns (tents, trees, buildings, vehicles, dry ground) stands outside every flame and its heat",
    source=CHOICE,
    needs=_NEEDS,
    reads=("flame", "site"),
    limits=LEVEL_LIMITS,
)
def dry(ctx: Context) -> Judging:
    burns = [t for t in ctx[TARGETS] if t.kind == "burns" and t.tag in ctx[FLUX]]
    standing = {t.tag for t in ctx[TARGETS]}
    lost = [tag for tag in ctx.spec("flame").texts("dry") if tag not in standing]
    yield from (Unchecked(f"where {tag} is, which burns (at:)", join("/places", tag, "at")) for tag in lost)
    away = nowhere(ctx, *BURN, but=lost)
    yield from away
    if not ctx[OUTLETS]:
        return not_applicable("no flame is known")
    named = any(s.kind == "combustible" for s in ctx[PLACES].values()) or ctx.spec("flame").has("dry")
    if not named and "combustible" not in ctx.spec("site").texts("none"):
        said = "nothing says whether dry ground, a hedge or the like is near (kind: combustible, or flame: dry:)"
        yield Unchecked(said, "/places/*/kind", "/site/none", "/flame/dry")
    elif not (burns or lost or away):
        return not_applicable("what burns is said not to be there (site: none:)")
    yield from unplaced(ctx)
    for target in burns:
        level = target.level or ctx.limit(LEVELS["burns"])
        flame = flame_over(ctx, target.tag)
        if flame and flame.level:
            what = f"{target.what} lies {flame.why}"
        elif ctx[FLUX][target.tag].si > level.si * (1 + 1e-9):
            limit = show(level.si, "heat_flux", "kW/m²")
            what = f"{target.what} may get {_hot(ctx, target.tag, level.si)}; the limit is {limit}"
        else:
            if flame:
                yield f"{target.what} is {flame.why}"
            continue
        fix = "take it away, wet it down where it is ground, or more distance"
        yield Trouble(target.at, what, fix, moves=off(ctx, target.tag))
    return passed(counted(len(burns), "place"))


@rule(
    "flame.aim",
    level="error",
    statement="Each outlet says which way it points, and none leans toward the public",
    source=CHOICE,
    needs=(OUTLETS, TARGETS),
    limits=("flame.aim",),
)
def aim(ctx: Context) -> Judging:
    """Distances take the flame laid flat in every direction; this is for what comes out unlit, liquid or burning
    bits, which fly the way that the outlet points."""
    if not ctx[OUTLETS]:
        return not_applicable("no flame is known")
    audience = [t for t in ctx[TARGETS] if t.kind == "audience"]
    limit, unsaid, asked = ctx.limit(AIM.key), dict[str, str](), list[str]()
    for tag, o in ctx[OUTLETS].items():
        straight_down = o.aim is not None and o.aim.tilt.si >= math.pi * (1 - 1e-9)
        if o.aim is None or (o.aim.bearing is None and o.aim.tilt.si > 0 and not straight_down):
            unsaid[tag] = join(o.at, "aim")
            continue
        if o.aim.tilt.si <= 0 or o.aim.bearing is None:
            continue
        if o.point is None:
            unsaid[tag] = join(o.at, "place")
            continue
        for target in audience:
            if not _toward(o.point.x.si, o.point.y.si, o.aim.bearing.si, target):
                continue
            if o.aim.tilt.si <= limit.si:
                asked.append(f"{tag} leans {o.aim.tilt.text} toward {target.tag}")
            else:
                yield Trouble(
                    join(o.at, "aim"),
                    f"{tag} points at the public at {target.tag}, {o.aim.tilt.text} from straight up",
                    f"turn it away, or up to {limit.text} from straight up",
                    "what it throws unlit or burning flies there, whatever the wind",
                )
    if unsaid:
        words = f"{' and '.join([*unsaid][:3])} {'points' if len(unsaid) == 1 else 'point'}"
        said = f"which way {words}, or where, is not said (aim: {{tilt: 0 deg}} is up)"
        return not_checked(said, *unsaid.values())
    if not audience:
        return not_checked(
            "nothing says where the public stands (flame: audience:)", "/places/*/kind", "/flame/audience"
        )
    if asked:
        return authority_decides(f"may it point there? {'; '.join(asked)}; this tool refuses more than {limit.text}")
    return passed(counted(len(ctx[OUTLETS]), "outlet"))


def _toward(x: float, y: float, bearing: float, target: Target) -> bool:
    """Whether any spot of the target lies within 60 degrees of where the outlet points."""
    spots = [(p.x.si, p.y.si) for p in corners(target.where)]
    for a, b in edges(target.where):
        spots += [(a.x.si + k / 20 * (b.x.si - a.x.si), a.y.si + k / 20 * (b.y.si - a.y.si)) for k in range(1, 20)]
    ahead = math.cos(math.radians(60))
    for px, py in spots:
        away = math.hypot(px - x, py - y)
        if away == 0 or ((px - x) * math.sin(bearing) + (py - y) * math.cos(bearing)) / away >= ahead:
            return True
    return False
