"""The heat of all flames together, at worst, at every place where somebody or something stands.

Two figures for each place: as the show burns, and with every burst held open, which is what whoever closes a valve
walks into.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from specc import Context, Figure, Key, Worked, distance, figures, value
from specc.kinds.gas import FLOW, JET_PRESSURE, NET_HEAT
from specc.kinds.geometry import FLAT, Shape, corners
from specc.kinds.places import PLACES
from specc.kinds.plumbing import NETWORK, Part
from specc.kinds.show import EFFECTS, TIMELINE
from specc.kinds.targets import FLUX, TARGETS
from specc.kinds.things import PARTS_MADE_OF, THINGS
from specc.kinds.weather import AIR_PRESSURE, WIND
from specc.model.values import Constant, Scalar
from specc.model.view import Unreadable
from specc_flame.calc import dose, envelope, reach
from specc_flame.keys import BALL, DOSE, DOSES, HEAT, LENGTH, OPEN, OUTLETS, STEADY_FLUX
from specc_flame.sizes import HELD, flame_length, flow_of, heat_of, offset_of, points_down, stop_wind

# Kinds of part that heat harms, or that somebody has to reach.
GAS_KINDS = ("cylinder", "hose", "valve", "accumulator", "regulator")


class HeatedPlace(NamedTuple):
    """A place in the heat: where it is, and its own ground's height, the highest and the lowest (None: not said)."""

    shape: Shape
    ground: Scalar | None
    low: Scalar | None


STANDS: Key[Mapping[str, HeatedPlace]] = Key("flame.stands", dict)
FAR: Key[Mapping[tuple[str, str], Worked]] = Key("flame.distances", dict)
"""From each outlet with a place to each stand, on the level."""
OFFSETS: Key[Mapping[str, Scalar]] = Key("flame.offsets", dict)
"""How far jets stand from the middle of each outlet with a place."""


def places_of(part: Part) -> tuple[str, ...]:
    """The tags of the places of a part; () also where they cannot be read, which is found elsewhere."""
    try:
        return part.places
    except Unreadable:
        return ()


@value(STANDS, needs=(PLACES, TARGETS, NETWORK, THINGS), wants=(PARTS_MADE_OF,))
def stands(ctx: Context) -> Mapping[str, HeatedPlace]:
    """All targets, and the places of parts that heat harms or that somebody has to reach, and of things."""
    made = {t.tag: stand_of(t.where) for t in ctx[TARGETS]}
    named = [tag for part in ctx[NETWORK].of_kind(*GAS_KINDS) for tag in places_of(part)]
    named += [thing.place for thing in ctx[THINGS] if thing.place]
    harmed = (tag for tag, made in (ctx.get(PARTS_MADE_OF) or {}).items() if made.harms)
    named += [tag for part in harmed for tag in places_of(ctx[NETWORK].by_tag[part])]
    for tag in named:
        spot = ctx[PLACES].get(tag)
        if tag not in made and spot and spot.shape:
            made[tag] = stand_of(spot.shape)
    return made


def stand_of(shape: Shape) -> HeatedPlace:
    heights = [p.z for p in corners(shape) if p.z is not None]
    if len(heights) < len(corners(shape)):
        return HeatedPlace(shape, None, None)
    return HeatedPlace(shape, max(heights, key=lambda z: z.si), min(heights, key=lambda z: z.si))


@value(OFFSETS, needs=(OUTLETS, NETWORK))
def offsets(ctx: Context) -> Mapping[str, Scalar]:
    return {tag: offset_of(ctx[NETWORK].by_tag[tag]) for tag, o in ctx[OUTLETS].items() if o.point}


@value(FAR, needs=(OUTLETS, STANDS))
def far(ctx: Context) -> Mapping[tuple[str, str], Worked]:
    return {
        (tag, place): distance(o.point, stand.shape, f"{tag} to {place}")
        for tag, o in ctx[OUTLETS].items()
        if o.point
        for place, stand in ctx[STANDS].items()
    }


def _flux(ctx: Context, place: str, flames: Mapping[str, tuple[Scalar, Scalar]], balls: Mapping[str, Scalar]) -> Worked:
    all_of_them = ctx[FAR]
    far = {tag: all_of_them[tag, place] for tag in flames}
    return flux_at(ctx, place, ctx[STANDS][place].ground, far, flames, balls)


def flux_at(
    ctx: Context,
    place: str,
    ground: Scalar | None,
    far: Mapping[str, Worked],
    flames: Mapping[str, tuple[Scalar, Scalar]],
    balls: Mapping[str, Scalar],
) -> Worked:
    """All flames at a place. `flames`: heat and length by outlet; `balls`: gas of bursts that can burn so.

    A height that is not said is not counted in favor.
    """
    parts: list[Scalar] = []
    outlets, offsets = ctx[OUTLETS], ctx[OFFSETS]
    for tag, (heat, length) in flames.items():
        point = outlets[tag].point
        assert point is not None
        # A flame that points below level comes as near as it can reach: no height is counted in favor.
        height, foot = (FLAT, FLAT) if points_down(outlets[tag]) else (point.z, ground)
        if height is None or foot is None:
            height = foot = FLAT
        where = {"distance": far[tag], "height": height, "ground": foot, "offset": offsets[tag]}
        name = f"from {tag} at {place}"
        one = envelope.flame_flux.work(name, heat=heat, length=length, **where)
        if tag in balls:
            ball = envelope.ball_flux.work(f"ball {name}", mass=balls[tag], wind=stop_wind(ctx), **where)
            one = envelope.larger_flux.work(name, flame=one, ball=ball)
        parts.append(one)
    return envelope.total_flux.work(f"heat at {place}", parts=tuple(parts))


@figures(
    FLUX,
    title="Radiation at {tag} from all flames together, at worst",
    unit="kW/m²",
    digits=2,
    needs=(STANDS, FAR, OUTLETS, OFFSETS, HEAT, LENGTH, BALL, WIND),
    wants=(NET_HEAT,),
    per_case=True,
)
def fluxes(ctx: Context) -> Mapping[str, Worked]:
    flames = {t: (heat_of(ctx, t), ctx[LENGTH][t]) for t, o in ctx[OUTLETS].items() if o.point}
    balls = ctx[BALL]
    return {place: _flux(ctx, place, flames, balls) for place in ctx[STANDS]} if flames else {}


@figures(
    STEADY_FLUX,
    title="Radiation at {tag} with every burst held open, at worst",
    unit="kW/m²",
    digits=2,
    needs=(STANDS, FAR, OUTLETS, OFFSETS, NETWORK, LENGTH, BALL, HEAT, OPEN, WIND, AIR_PRESSURE),
    wants=(NET_HEAT, FLOW, JET_PRESSURE),
    per_case=True,
)
def held_open(ctx: Context) -> Mapping[str, Worked]:
    """A burst that is held open lets out its first flow for ever, and its first gas burns as the largest ball."""
    flames, balls = flames_held_open(ctx)
    return {place: _flux(ctx, place, flames, balls) for place in ctx[STANDS]} if flames else {}


def flames_held_open(ctx: Context) -> tuple[dict[str, tuple[Scalar, Scalar]], dict[str, Scalar]]:
    """Every outlet with a place, each burst held open: heat and length, and the gas that can burn as a ball."""
    flames: dict[str, tuple[Scalar, Scalar]] = {}
    for tag, o in ctx[OUTLETS].items():
        if o.point:
            # Never less than as the show burns: the two are counted with heating values of two sources.
            heat: Scalar = max(ctx[NET_HEAT][tag], heat_of(ctx, tag), key=lambda h: h.si)
            length: Scalar = max(ctx[LENGTH][tag], _length_held(ctx, tag), key=lambda one: one.si)
            flames[tag] = (heat, length)
    balls: dict[str, Scalar] = {
        tag: reach.ball_mass.work(
            f"gas that can burn as a ball at {tag}, held open", flow=ctx[FLOW][tag], open_time=HELD
        )
        for tag in ctx[OPEN]
    }
    return flames, balls


def _length_held(ctx: Context, tag: str) -> Scalar:
    if tag not in ctx[OPEN] or flow_of(ctx, tag).si >= ctx[FLOW][tag].si:
        return ctx[LENGTH][tag]
    part = ctx[NETWORK].by_tag[tag]
    gas = (ctx[NET_HEAT][tag], ctx[FLOW][tag], ctx[JET_PRESSURE][tag])
    return flame_length(f"flame of {tag} held open", part, gas, ctx[AIR_PRESSURE], ctx.case.air)


@figures(
    DOSE,
    title="Dose on bare skin at {tag} of one burst of each effect (pain from 92 on)",
    unit="(kW/m²)^(4/3)·s",
    digits=2,
    needs=(FLUX, OPEN, TARGETS),
)
def doses(ctx: Context) -> Mapping[str, Worked]:
    """With everything alight for as long as the longest burst is open."""
    if not ctx[OPEN]:
        return {}
    time = max(ctx[OPEN].values(), key=lambda t: t.si)
    return {tag: dose.thermal_dose.work(f"dose at {tag}", flux=q, time=time) for tag, q in _people(ctx).items()}


@figures(
    DOSES,
    title="Dose on bare skin at {tag} of all bursts of a night, with no recovery between them (pain from 92 on)",
    unit="(kW/m²)^(4/3)·s",
    digits=2,
    needs=(FLUX, OPEN, TARGETS, TIMELINE, EFFECTS),
)
def night_doses(ctx: Context) -> Mapping[str, Worked]:
    shots = len(ctx[TIMELINE].shots)
    if not ctx[OPEN] or not shots:
        return {}
    time = max(ctx[OPEN].values(), key=lambda t: t.si)
    times = Constant(float(shots), "count", f"{shots} (bursts of a night)", envelope.COUNTED)
    return {
        tag: dose.thermal_dose.work(f"dose of a night at {tag}", flux=q, time=time, times=times)
        for tag, q in _people(ctx).items()
    }


def _people(ctx: Context) -> Mapping[str, Figure]:
    kinds = ("audience", "performer", "operator")
    return {t.tag: ctx[FLUX][t.tag] for t in ctx[TARGETS] if t.kind in kinds and t.tag in ctx[FLUX]}
