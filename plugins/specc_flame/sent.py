"""The heat wherever a step sends somebody: a valve, a gauge, the desk, an outlet to be lit, with what burns by then.

Posts, valves, extinguishers and ways out are looked at with everything burning (near.py). A step may send somebody
nearer than a post, where all is well while a burst is disarmed and nothing is well while it is not.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from specc import Context, Key, Trouble, Worked, distance, not_applicable, rule, show, value
from specc.kinds.gas import FLOW, JET_PRESSURE, NET_HEAT
from specc.kinds.geometry import Point
from specc.kinds.places import PLACES
from specc.kinds.plumbing import NETWORK
from specc.kinds.procedures import VISITS, Visit
from specc.kinds.targets import TARGETS
from specc.kinds.weather import AIR_PRESSURE, WIND
from specc.model.passes import Judging, passed
from specc.model.wording import counted, several
from specc_flame.calc.field import HEAD
from specc_flame.heat import HeatedPlace, flames_held_open, flux_at, stand_of
from specc_flame.keys import BALL, HEAT, LENGTH, OPEN, OUTLETS, TIP, UNKNOWN
from specc_flame.near import flame_reaching
from specc_flame.sizes import heat_of
from specc_flame.targets import CLOTHED, OPERATOR_FLUX, URGENT_FLUX

SENT: Key[Mapping[str, tuple[Visit, ...]]] = Key("flame.sent_to", dict)
"""By place with coordinates that is no post, the visits that steps ask for."""
SENT_STANDS: Key[Mapping[str, HeatedPlace]] = Key("flame.sent_stands", dict)
SENT_FAR: Key[Mapping[tuple[str, str], Worked]] = Key("flame.sent_distances", dict)
SENT_FLUX: Key[Mapping[str, Worked]] = Key("flame.sent", dict)
"""By place, the radiation on whoever a step sends there, from what may burn by then."""
SENT_HELD: Key[Mapping[str, Worked]] = Key("flame.sent_all_burning", dict)
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


@value(SENT_STANDS, needs=(SENT, PLACES))
def sent_stands(ctx: Context) -> Mapping[str, HeatedPlace]:
    """Somebody who is sent to what is higher than a head stands below it: no height counts in their favor there."""
    made = {}
    for place in ctx[SENT]:
        shape = ctx[PLACES][place].shape
        assert shape is not None
        if isinstance(shape, Point) and shape.z is not None and shape.z.si > HEAD:
            shape = shape._replace(z=None)
        made[place] = stand_of(shape)
    return made


@value(SENT_FAR, needs=(SENT_STANDS, OUTLETS))
def sent_far(ctx: Context) -> Mapping[tuple[str, str], Worked]:
    return {
        (tag, place): distance(o.point, stand.shape, f"{tag} to {place}")
        for tag, o in ctx[OUTLETS].items()
        if o.point
        for place, stand in ctx[SENT_STANDS].items()
    }


def _far(ctx: Context, place: str, outlets: Iterable[str]) -> dict[str, Worked]:
    return {o: ctx[SENT_FAR][o, place] for o in outlets if (o, place) in ctx[SENT_FAR]}


def _most(sets: Iterable[Iterable[str]]) -> list[frozenset[str]]:
    """Of sets of flames those that are part of no other: more flames are never cooler."""
    all_ = {frozenset(s) for s in sets}
    return sorted((s for s in all_ if s and not any(s < o for o in all_)), key=sorted)


@value(
    SENT_FLUX,
    needs=(SENT, SENT_STANDS, SENT_FAR, OUTLETS, NETWORK, HEAT, LENGTH, BALL, WIND),
    wants=(NET_HEAT,),
    per_case=True,
)
def sent_fluxes(ctx: Context) -> Mapping[str, Worked]:
    made = {}
    for place, visits in ctx[SENT].items():
        ground = ctx[SENT_STANDS][place].ground
        each = []
        for burning in _most(v.burning for v in visits):
            far = _far(ctx, place, sorted(burning))
            flames = {o: (heat_of(ctx, o), ctx[LENGTH][o]) for o in far}
            if flames:
                each.append(flux_at(ctx, place, ground, far, flames, {o: b for o, b in ctx[BALL].items() if o in far}))
        if each:
            made[place] = max(each, key=lambda w: w.si)
    return made


@value(
    SENT_HELD,
    needs=(SENT, SENT_STANDS, SENT_FAR, OUTLETS, NETWORK, LENGTH, BALL, HEAT, OPEN, WIND, AIR_PRESSURE),
    wants=(NET_HEAT, FLOW, JET_PRESSURE),
    per_case=True,
)
def sent_held(ctx: Context) -> Mapping[str, Worked]:
    flames, balls = flames_held_open(ctx)
    made = {}
    for place, visits in ctx[SENT].items() if flames else ():
        if any(v.all_out or {*v.burning} & {*ctx[OPEN]} for v in visits):
            far = _far(ctx, place, flames)
            made[place] = flux_at(ctx, place, ctx[SENT_STANDS][place].ground, far, flames, balls)
    return made


@rule(
    "flame.sent",
    level="error",
    statement="Wherever a step sends somebody the heat is bearable with what may burn by then",
    source=CLOTHED,
    needs=(SENT, SENT_STANDS, SENT_FAR, SENT_FLUX, SENT_HELD, OUTLETS, UNKNOWN, TIP, VISITS, PLACES),
    limits=(OPERATOR_FLUX.key, URGENT_FLUX.key),
)
def sent_somewhere(ctx: Context) -> Judging:
    """Where a burst may come by then, or in an emergency, also with every burst held open, and never in a flame laid
    flat. The flame that somebody lights with a torch is not counted at its own outlet: they hold it at arm's length,
    or on a pole, and step back. How the way there runs is not looked at."""
    visits = ctx[VISITS]
    if not visits:
        return not_applicable("no step says where somebody goes while something burns")
    bare = [v.place for v in visits if (spot := ctx[PLACES].get(v.place)) is None or spot.shape is None]
    yield from [f"where {several(list(dict.fromkeys(bare)))} is has no coordinates"] if bare else []
    lost = [*ctx[UNKNOWN], *(o.tag for o in ctx[OUTLETS].values() if o.point is None)]
    yield from [f"the flame or the place of {several(lost)} is not known"] if lost else []
    crew, urgent = ctx.limit(OPERATOR_FLUX.key), ctx.limit(URGENT_FLUX.key)
    for place, own in ctx[SENT].items():
        at, said = ctx[PLACES][place].at, _sent(place, own)
        flames = {o: v for v in reversed(own) for o in v.burning}
        over = flame_reaching(ctx, ctx[SENT_STANDS][place], _far(ctx, place, flames), True)
        hot, held = (_worst(ctx.all(key), place) for key in (SENT_FLUX, SENT_HELD))
        if over and over.level and all(v.lighting for v in own if over.outlet in v.burning):
            yield f"{_sent(place, [flames[over.outlet]])} to light what is there, {over.why}: how far off is not stated"
        elif over and over.level:
            yield _trouble(at, f"{_sent(place, [flames[over.outlet]])}, {over.why}")
        elif hot is not None and hot.si > crew.si * (1 + 1e-9):
            worst = max(own, key=lambda v: len(v.burning))
            what = f"{_sent(place, [worst])} while {several(worst.burning)} may burn, and may get"
            yield _trouble(at, f"{what} {show(hot.si, hot.dim, 'kW/m²', 3)}; the limit is {crew.text}")
        elif held is not None and held.si > urgent.si * (1 + 1e-9):
            what = f"{said}, and may get {show(held.si, held.dim, 'kW/m²', 3)} with every burst held open"
            yield _trouble(at, f"{what}; the limit is {urgent.text}")
        elif over:
            yield f"{said}, {over.why}"
    hottest = max(((w.si, p) for p in ctx[SENT] if (w := _worst(ctx.all(SENT_FLUX), p))), default=None)
    most = f", at most {show(hottest[0], 'heat_flux', 'kW/m²', 3)} at {hottest[1]}" if hottest else ""
    return passed(f"{counted(len(ctx[SENT]), 'place')}{most}")


def _worst(cases: Mapping[str, Mapping[str, Worked]], place: str) -> Worked | None:
    return max((made[place] for made in cases.values() if place in made), key=lambda w: w.si, default=None)


def _sent(place: str, visits: Iterable[Visit]) -> str:
    first = next(iter(visits))
    who = first.who if first.who and " " not in first.who else "somebody"  # a torch "by hand" names nobody
    return f"{first.step} sends {who} to {place}"


def _trouble(at: str, message: str) -> Trouble:
    return Trouble(
        at,
        message,
        "a place farther from the flames, a gauge or valve that is read or worked from a post, or another scene",
        "bare skin hurts within 16 s at 4.7 kW/m² and within 5 s at 9.5",
    )
