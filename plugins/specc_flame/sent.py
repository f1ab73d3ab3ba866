"""The heat wherever a step sends somebody: a valve, a gauge, the desk, an outlet to be lit, with what burns by then.

Posts, valves, extinguishers and ways out are looked at with everything burning (near.py). A step may send somebody
nearer than a post, where all is well while a burst is disarmed and nothing is well while it is not.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from specc import (
    Context,
    Key,
    Move,
    Trouble,
    Unchecked,
    Worked,
    distance,
    ground,
    not_applicable,
    obstacles_of,
    rule,
    show,
    value,
)
from specc.kinds.gas import FLOW, JET_PRESSURE, NET_HEAT
from specc.kinds.geometry import Point, Polyline, Shape, corners
from specc.kinds.people import PEOPLE, ROSTER
from specc.kinds.places import PLACES
from specc.kinds.plumbing import NETWORK
from specc.kinds.procedures import VISITS, Visit
from specc.kinds.targets import TARGETS
from specc.kinds.weather import AIR_PRESSURE, WIND
from specc.measure.printing import past
from specc.model.passes import Judging, passed
from specc.model.values import Quantity, Scalar
from specc.model.view import join
from specc.model.wording import counted, several
from specc_flame.calc.field import HEAD
from specc_flame.calc.fireball import CENTER
from specc_flame.heat import OFFSETS, HeatedPlace, flames_held_open, flux_at, stand_of
from specc_flame.keys import BALL, HEAT, LENGTH, OPEN, OUTLETS, TIP, UNKNOWN
from specc_flame.moves import MOVES_NEED, apart
from specc_flame.near import flame_reaching
from specc_flame.sizes import heat_of
from specc_flame.targets import CLOTHED, OPERATOR_FLUX, URGENT_FLUX


class Sent(NamedTuple):
    """Where steps send somebody: a place, or the way to it from that person's post. `beside`: what burns within reach
    of somebody who lights something there; how far off they keep is not stated."""

    visits: tuple[Visit, ...]
    stand: HeatedPlace
    far: Mapping[str, Worked]  # by outlet that may burn then
    beside: frozenset[str]
    held: bool  # every burst may be held open then


SENT: Key[Mapping[str, tuple[Visit, ...]]] = Key("flame.sent_to", dict)
"""By place with coordinates that is no post, the visits that steps ask for."""
SENT_STANDS: Key[Mapping[tuple[str, str], HeatedPlace]] = Key("flame.sent_stands", dict)
"""By place and who comes from their post ("" for the place itself): where somebody stands or walks."""
SENT_AT: Key[Mapping[tuple[str, str], Sent]] = Key("flame.sent_at", dict)
SENT_FLUX: Key[Mapping[tuple[str, str], Worked]] = Key("flame.sent", dict)
"""The radiation on whoever a step sends there, from what may burn by then."""
SENT_HELD: Key[Mapping[tuple[str, str], Worked]] = Key("flame.sent_all_burning", dict)
"""The same with every burst held open, where a burst may come by then, or in an emergency."""
_POSTS = ("operator", "performer")


@value(SENT, needs=(VISITS, PLACES, TARGETS))
def sent(ctx: Context) -> Mapping[str, tuple[Visit, ...]]:
    posts = {t.tag for t in ctx[TARGETS] if t.kind in _POSTS}
    made: dict[str, list[Visit]] = {}
    for visit in ctx[VISITS]:
        spot = ctx[PLACES].get(visit.place)
        if spot is not None and spot.shape is not None and visit.place not in posts:
            made.setdefault(visit.place, []).append(visit)
    return {place: tuple(visits) for place, visits in made.items()}


@value(SENT_STANDS, needs=(SENT, PLACES), wants=(ROSTER,))
def sent_stands(ctx: Context) -> Mapping[tuple[str, str], HeatedPlace]:
    """Somebody who is sent to what is higher than a head stands below it: no height counts in their favor there. The
    way there is the shortest on foot round what blocks walking; where there is none, another rule says so."""
    posts: dict[str, Shape] = {}
    for duty in ctx.get(ROSTER) or ():
        spot = ctx[PLACES].get(duty.station)
        if duty.role != "fire_watch" and spot and spot.shape:
            posts.setdefault(duty.person, spot.shape)
    walker = ground(obstacles_of(ctx[PLACES].values(), "walking"))
    made: dict[tuple[str, str], HeatedPlace] = {}
    for place, visits in ctx[SENT].items():
        shape = ctx[PLACES][place].shape
        assert shape is not None
        if isinstance(shape, Point) and shape.z is not None and shape.z.si > HEAD:
            shape = shape._replace(z=None)
        made[place, ""] = stand_of(shape)
        end = _spot(shape)
        for who in dict.fromkeys(v.who for v in visits if v.who in posts):
            (walk,) = walker.walk(_spot(posts[who]), (end,))
            if walk is not None and walk.length > 0:
                made[place, who] = stand_of(_line(walk.spots, f"{who}'s way to {place}", corners(posts[who])[0].z))
    return made


def _spot(shape: Shape) -> tuple[float, float]:
    first = corners(shape)[0]
    return first.x.si, first.y.si


def _line(spots: Iterable[tuple[float, float]], name: str, z: Scalar | None) -> Polyline:
    """At the height of the post that it begins at, if that is known and no higher than a head."""
    level = z if z is not None and z.si <= HEAD else None

    def at(value: float) -> Quantity:
        return Quantity(value, "length", f"{name}: {show(value, 'length', 'ft', 3)}")

    return Polyline(tuple(Point(at(x), at(y), level) for x, y in spots))


@value(SENT_AT, needs=(SENT, SENT_STANDS, OUTLETS, TIP, OPEN))
def sent_at(ctx: Context) -> Mapping[tuple[str, str], Sent]:
    points = {o: one.point for o, one in ctx[OUTLETS].items() if one.point}
    made = {}
    for (place, who), stand in ctx[SENT_STANDS].items():
        visits = tuple(v for v in ctx[SENT][place] if not who or v.who == who)
        held = any(v.all_out or {*v.burning} & {*ctx[OPEN]} for v in visits)
        name = f"the way of {who} to {place}" if who else place
        wanted = [*points] if held else [o for o in points if any(o in v.burning for v in visits)]
        far = {o: distance(points[o], stand.shape, f"{o} to {name}") for o in wanted}
        lit = {o for v in visits for o in v.burning}
        only = {o for o in lit if all(v.lighting for v in visits if o in v.burning)}
        beside = {o for o in only if o in far and _over(ctx, stand, {o: far[o]})}
        made[place, who] = Sent(visits, stand, far, frozenset(beside), held)
    return made


def _over(ctx: Context, stand: HeatedPlace, far: Mapping[str, Worked]) -> bool:
    over = flame_reaching(ctx, stand, {o: f for o, f in far.items() if o in ctx[TIP]}, True)
    return over is not None and over.level


def _most(sets: Iterable[Iterable[str]]) -> list[frozenset[str]]:
    """Of sets of flames those that are part of no other: more flames are never cooler."""
    all_ = {frozenset(s) for s in sets}
    return sorted((s for s in all_ if s and not any(s < o for o in all_)), key=sorted)


@value(
    SENT_FLUX,
    needs=(SENT_AT, OUTLETS, OFFSETS, HEAT, LENGTH, BALL, WIND),
    wants=(NET_HEAT,),
    per_case=True,
    recalls=(CENTER.citation,),
)
def sent_fluxes(ctx: Context) -> Mapping[tuple[str, str], Worked]:
    """On a way each flame counts from where it comes nearest, all at once: more than anybody gets."""
    made = {}
    for (place, who), one in ctx[SENT_AT].items():
        each = []
        for burning in _most({*v.burning} - one.beside for v in one.visits):
            far = {o: one.far[o] for o in sorted(burning) if o in one.far}
            flames = {o: (heat_of(ctx, o), ctx[LENGTH][o]) for o in far}
            if flames:
                balls = {o: b for o, b in ctx[BALL].items() if o in far}
                each.append(flux_at(ctx, place, one.stand.ground, far, flames, balls))
        if each:
            made[place, who] = max(each, key=lambda w: w.si)
    return made


@value(
    SENT_HELD,
    needs=(SENT_AT, OUTLETS, OFFSETS, NETWORK, LENGTH, BALL, HEAT, OPEN, WIND, AIR_PRESSURE),
    wants=(NET_HEAT, FLOW, JET_PRESSURE),
    per_case=True,
    recalls=(CENTER.citation,),
)
def sent_held(ctx: Context) -> Mapping[tuple[str, str], Worked]:
    flames, balls = flames_held_open(ctx)
    made = {}
    for (place, who), one in ctx[SENT_AT].items() if flames else ():
        if one.held:
            burning = {o: f for o, f in flames.items() if o not in one.beside}
            burst = {o: b for o, b in balls.items() if o in burning}
            made[place, who] = flux_at(ctx, place, one.stand.ground, one.far, burning, burst)
    return made


@rule(
    "flame.sent",
    level="error",
    statement="Wherever a step sends somebody, and on the way there, the heat is bearable with what may burn by then",
    source=CLOTHED,
    needs=(*MOVES_NEED, SENT, SENT_AT, SENT_FLUX, SENT_HELD, UNKNOWN, TIP, VISITS),
    wants=(PEOPLE, ROSTER),
    limits=(OPERATOR_FLUX.key, URGENT_FLUX.key),
)
def sent_somewhere(ctx: Context) -> Judging:
    """Where a burst may come by then, or in an emergency, also with every burst held open, and never in a flame laid
    flat. The flame that somebody lights with a torch is not counted at its own outlet: they hold it at arm's length,
    or on a pole, and step back. A way is held to what people bear who hurry."""
    visits = ctx[VISITS]
    if not visits:
        return not_applicable("no step says where somebody goes while something burns")
    bare = dict.fromkeys(v.place for v in visits if (spot := ctx[PLACES].get(v.place)) is None or spot.shape is None)
    words = f"where {several(list(bare))} is has no coordinates"
    yield from [Unchecked(words, *(join("/places", place, "at") for place in bare))] if bare else []
    lost = {tag: join("/plumbing/parts", tag) for tag in ctx[UNKNOWN]}
    lost |= {o.tag: join(o.at, "place") for o in ctx[OUTLETS].values() if o.point is None}
    words = f"the flame or the place of {several(list(lost))} is not known"
    yield from [Unchecked(words, *lost.values())] if lost else []
    for (place, who), one in ctx[SENT_AT].items():
        yield from _judge(ctx, place, who, one)
    at_places = [(w.si, p) for p in ctx[SENT] if (w := _worst(ctx.all(SENT_FLUX), (p, "")))]
    hottest = max(at_places, default=None)
    most = f", at most {show(hottest[0], 'heat_flux', 'kW/m²', 3)} at {hottest[1]}" if hottest else ""
    ways = len(ctx[SENT_AT]) - len(ctx[SENT])
    return passed(f"{counted(len(ctx[SENT]), 'place')}{most}; {counted(ways, 'way')} from a post")


def _judge(ctx: Context, place: str, who: str, one: Sent) -> Iterator[Trouble | str]:
    at, crew, urgent = ctx[PLACES][place].at, ctx.limit(OPERATOR_FLUX.key), ctx.limit(URGENT_FLUX.key)
    limit = urgent if who else crew
    flames = {o: v for v in reversed(one.visits) for o in v.burning}
    named = {p.tag for p in ctx.get(PEOPLE) or ()}
    near = min(one.far, key=lambda o: one.far[o].si, default="")
    posts = [d.station for d in ctx.get(ROSTER) or () if who and d.person == who and d.station in ctx[PLACES]]
    moves = tuple(m for p in (*posts[:1], place) if near for m in apart(ctx, p, one.stand.shape, ctx[OUTLETS][near]))

    def told(visit: Visit) -> str:
        sent = visit.who if visit.who in named else "somebody"  # whoever holds a torch may be named in words
        return f"{visit.step} sends {sent} to {place}{', on the way from the post' if who else ''}"

    for outlet in sorted(one.beside) if not who else ():
        why = f"in the flame of {outlet} when wind lays it flat"
        yield f"{told(flames[outlet])} to light what is there, {why}: how far off is not stated"
    rest = {o: one.far[o] for o in flames if o in one.far and o in ctx[TIP] and o not in one.beside}
    over = flame_reaching(ctx, one.stand, rest, True)
    if over:
        said = f"{told(flames[over.outlet])}, {over.why}"
        yield _trouble(at, said, moves) if over.level else said
    hot, held = (_worst(ctx.all(key), (place, who)) for key in (SENT_FLUX, SENT_HELD))
    if hot is not None and hot.si > limit.si * (1 + 1e-9):
        worst = max(one.visits, key=lambda v: len(v.burning))
        what = f"{told(worst)} while {several(worst.burning)} may burn, and may get"
        yield _trouble(at, f"{what} {past(hot.si, limit.si, hot.dim, 'kW/m²')}; the limit is {limit.text}", moves)
    elif held is not None and held.si > urgent.si * (1 + 1e-9):
        heat = past(held.si, urgent.si, held.dim, "kW/m²")
        what = f"{told(one.visits[0])}, and may get {heat} with every burst held open"
        yield _trouble(at, f"{what}; the limit is {urgent.text}", moves)


def _worst(cases: Mapping[str, Mapping[tuple[str, str], Worked]], key: tuple[str, str]) -> Worked | None:
    return max((made[key] for made in cases.values() if key in made), key=lambda w: w.si, default=None)


def _trouble(at: str, message: str, moves: tuple[Move, ...]) -> Trouble:
    return Trouble(
        at,
        message,
        "a place farther from the flames, a gauge or valve that is read or worked from a post, or another scene",
        "bare skin hurts within 16 s at 4.7 kW/m² and within 5 s at 9.5",
        moves=moves,
    )
