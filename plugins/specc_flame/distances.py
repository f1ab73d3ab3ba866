"""How far the public keeps from each effect: stand-offs from radiation, flame, fall, reach and the authority.

The largest governs. Radiation is taken without credit for the outlet's height: ground that slopes, a bent mast or a
gust that presses the flame down take that credit away, and the plain equation can be checked by hand.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import cast

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
    figures,
    found,
    gather,
    not_applicable,
    not_checked,
    rule,
    show,
)
from specc.kinds.gas import NET_HEAT
from specc.kinds.geometry import FLAT
from specc.kinds.places import PLACES
from specc.kinds.plumbing import NETWORK
from specc.kinds.show import EFFECTS
from specc.kinds.targets import FALLEN, FLUX, STANDOFFS, TARGETS, Standoff, governing
from specc.kinds.weather import WIND
from specc.model.values import PRACTICE, Citation, Scalar, beyond_range
from specc.model.view import Unreadable, join
from specc.model.wording import counted, several
from specc_flame.calc import envelope, flux
from specc_flame.calc.sources import HESKESTAD
from specc_flame.keys import BALL, FAILED_FLAMES, HEAT, LENGTH, OPEN, OUTLETS, PUBLIC, TIP, UNKNOWN
from specc_flame.moves import MOVES_NEED, apart, off
from specc_flame.sizes import heat_of, offset_of, stop_wind
from specc_flame.targets import AUDIENCE_FLUX, HUD

REACH = Limit(
    "flame.reach", "3 ft", "length", "max", "how far somebody reaches over a rope or barrier toward a flame", PRACTICE
)
OWN = Limit(
    "flame.authority_distance",
    "",
    "length",
    "max",
    "least distance of the public from every effect, as the authority or the event sets it",
    CHOICE,
)


def _rest(ctx: Context, effect: str) -> Scalar:
    """What other effects leave of the public's level, at the audience's hottest place."""
    limit = ctx.limit(AUDIENCE_FLUX.key)
    placed = [o for o in ctx[OUTLETS].values() if o.point]
    others = 0.0
    terms: tuple[Scalar, ...] = ()
    for target in ctx[TARGETS]:
        if target.kind != "audience" or target.tag not in ctx[FLUX]:
            continue
        parts = cast("tuple[Scalar, ...]", dict(ctx[FLUX][target.tag].worked.inputs)["q_i"])
        kept = tuple(p for o, p in zip(placed, parts, strict=True) if o.effect != effect)
        total = sum(p.si for p in kept)
        if total > others:
            others, terms = total, kept
    if not terms:
        return limit
    return envelope.rest_of_level.work(f"what the others leave for {effect}", level=limit, others=terms)


@gather(
    STANDOFFS,
    needs=(OUTLETS, EFFECTS, NETWORK, HEAT, LENGTH, TIP, BALL, OPEN, FLUX, TARGETS, WIND),
    wants=(NET_HEAT, FAILED_FLAMES, FALLEN),
    limits=(
        "flame.audience_flux",
        "flame.authority_distance",
        "flame.reach",
    ),
)
def standoffs(ctx: Context) -> Sequence[Standoff]:
    made = []
    authority = ctx.limit_or_none(OWN.key)
    for effect in ctx[EFFECTS]:
        tags = [t for t in effect.outlets if t in ctx[OUTLETS]]
        if not tags:
            continue
        rest = _rest(ctx, effect.tag)

        def add(length: Scalar, why: str, citation: Citation, tag: str = effect.tag) -> None:
            made.append(Standoff("audience", tag, length, why, citation))

        for tag in tags:
            out = offset_of(ctx[NETWORK].by_tag[tag])
            heat = flux.distance_for_flux.work(
                f"radiation of {tag}", heat=heat_of(ctx, tag), flux=rest, length=ctx[LENGTH][tag]
            )
            add(_sum(f"radiation of {tag}, from its middle", heat, out), f"radiation of the flame of {tag}", HUD)
            if tag in ctx[BALL]:
                ball = envelope.ball_distance.work(
                    f"radiation of the ball of {tag}", mass=ctx[BALL][tag], flux=rest, wind=stop_wind(ctx)
                )
                add(_sum(f"ball of {tag}", ball, out), f"radiation of the ball of gas of {tag}", HUD)
            tip = ctx[TIP][tag]
            add(tip, f"the flame of {tag} laid flat", HESKESTAD)
            add(
                _sum(f"reach to {tag}", tip, ctx.limit(REACH.key)),
                f"the flame of {tag} laid flat, and an arm over the barrier",
                PRACTICE,
            )
            point = ctx[OUTLETS][tag].point
            failed = (ctx.get(FAILED_FLAMES) or {}).get(tag)
            if failed is not None and failed.tip.si > tip.si:
                then = "fired, a regulator failed open" if tag in ctx[OPEN] else "a regulator failed open"
                add(
                    _sum(f"reach to {tag}, {then}", failed.tip, ctx.limit(REACH.key)),
                    f"the flame of {tag}, {then}, laid flat, and an arm over the barrier",
                    HESKESTAD,
                )
                hot = flux.distance_for_flux.work(
                    f"radiation of {tag}, {then}", heat=failed.heat, flux=rest, length=failed.length
                )
                why = f"radiation of {tag}, {then}"
                if failed.ball is not None:
                    ball = envelope.ball_distance.work(
                        f"radiation of the ball of {tag}, {then}", mass=failed.ball, flux=rest, wind=stop_wind(ctx)
                    )
                    if ball.si > hot.si:
                        hot, why = ball, f"radiation of the ball of {tag}, {then}"
                if hot.si + out.si > failed.tip.si + ctx.limit(REACH.key).si:  # else the flame itself reaches farther
                    add(_sum(f"{why}, from its middle", hot, out), why, HUD)
            if point and point.z is not None and point.z.si > 0:
                add(
                    _sum(f"fall of {tag}", fall_of(ctx, tag, point.z), tip),
                    f"what holds {tag} falls over, and its flame reaches on from there",
                    CHOICE,
                )
        if authority:
            add(authority, "set by the authority or the event", CHOICE)
    return made


def fall_of(ctx: Context, tag: str, height: Scalar) -> Scalar:
    """How far an outlet gets when what holds it falls over: as far as it is high; farther, past the feet, where a
    stand is described."""
    try:
        places = ctx[NETWORK].by_tag[tag].places
    except Unreadable:  # reported where it stands
        places = ()
    stands = ctx.get(FALLEN) or {}
    return max((height, *(stands[p] for p in places if p in stands)), key=lambda s: s.si)


def _sum(name: str, *parts: Scalar) -> Scalar:
    counting = tuple(p for p in parts if p is not FLAT)
    return envelope.added_length.work(name, parts=counting)


@figures(
    PUBLIC,
    title="Distance of the public from {tag}: the largest of all stand-offs",
    unit="ft",
    needs=(STANDOFFS, EFFECTS),
)
def public_distances(ctx: Context) -> Mapping[str, Worked]:
    lengths: dict[str, list[Scalar]] = {e.tag: [] for e in ctx[EFFECTS]}
    for standoff in ctx[STANDOFFS]:
        if standoff.what == "audience" and standoff.start in lengths:
            lengths[standoff.start].append(standoff.distance)
    return {
        tag: envelope.largest_length.work(f"public from {tag}", parts=tuple(own)) for tag, own in lengths.items() if own
    }


def _not_computed(ctx: Context) -> list[Unchecked]:
    """Bursts that may be larger than what is computed, if they are fired with a regulator failed open."""
    net, failed, made = ctx[NETWORK], ctx.get(FAILED_FLAMES) or {}, list[Unchecked]()
    for tag in ctx[OPEN]:
        regulators = [p for p in net.upstream(tag) if p.kind == "regulator"]
        flame = failed.get(tag)
        # What would say it: a relief valve behind the regulator that passes all it gives, or what these lack.
        answers = [join("/plumbing/parts", r.tag, "seat") for r in regulators]
        answers += [join(v.at, k) for v in net.of_kind("valve") if v.form == "relief" for k in ("relieves", "opens")]
        if flame is None and regulators:
            made.append(Unchecked(f"how large the flame of {tag} is, fired then, is not computed", *answers))
        elif flame is not None and flame.liquid:
            more = f"{flame.liquid}; how much a burst of {tag} throws then is not computed, many times as much as gas"
            made.append(Unchecked(more, *answers))
    return made


@rule(
    "flame.public_distance",
    level="error",
    statement=(
        "The public stands no nearer to an effect than the largest of radiation, flame laid flat, fall, reach and what "
        "the authority sets; with no figure of the authority's, it decides whether that is enough"
    ),
    source=CHOICE,
    needs=(*MOVES_NEED, PUBLIC, STANDOFFS, UNKNOWN, TARGETS, FLUX, OPEN, PLACES),
    wants=(FAILED_FLAMES,),
    reads=("flame",),
    limits=(
        "flame.audience_flux",
        "flame.authority_distance",
    ),
)
def public_distance(ctx: Context) -> Verdict:
    if not ctx[EFFECTS]:
        return not_applicable("no effect is described")
    audience = [t for t in ctx[TARGETS] if t.kind == "audience"]
    if not audience:
        return not_checked(
            "nothing says where the public stands (places: kind: audience, or flame: audience: with their tags)",
            "/places/*/kind",
            "/flame/audience",
        )
    unknown = [e.tag for e in ctx[EFFECTS] if e.tag not in ctx[PUBLIC]]
    unknown += [t for t in ctx[UNKNOWN] if t not in unknown]
    nowhere = [t for t, o in ctx[OUTLETS].items() if o.effect and o.point is None]
    largest = governing(ctx[STANDOFFS])
    authority = ctx.limit_or_none(OWN.key)
    troubles, kept = [], []
    for effect in ctx[EFFECTS]:
        if effect.tag not in ctx[PUBLIC]:
            continue
        for target in audience:
            tried = [
                (distance(o.point, target.where, f"{t} to {target.tag}"), o)
                for t, o in ctx[OUTLETS].items()
                if o.effect == effect.tag and o.point
            ]
            if not tried:
                continue
            measured, near = min(tried, key=lambda one: one[0].si)
            wanted, why = ctx[PUBLIC][effect.tag], largest["audience", effect.tag].why
            if measured.si < wanted.si * (1 - 1e-9):
                troubles.append(
                    Trouble(
                        target.at,
                        f"the public at {target.tag} is {show(measured.si, 'length', 'ft')} from {effect.tag}, and "
                        f"keeps {show(wanted.si, 'length', 'ft')} from it: {why}",
                        f"move {target.tag} or {effect.tag} apart, or make the flame smaller; where the authority lets "
                        "the public nearer, a waiver with whose it is",
                        "people can be burned there, by heat, by flame in wind or by what falls",
                        moves=apart(ctx, target.tag, target.where, near, wanted.si - measured.si),
                    )
                )
            else:
                kept.append((measured.si / wanted.si, measured.si, wanted.si, effect.tag, target.tag, why))
    limit = ctx.limit(AUDIENCE_FLUX.key)
    for target in audience:
        q = ctx[FLUX].get(target.tag)
        if q and q.si > limit.si * (1 + 1e-9):
            troubles.append(
                Trouble(
                    target.at,
                    f"the public at {target.tag} may get {show(q.si, q.dim, 'kW/m²')} from all flames together; the "
                    f"limit is {limit.text}",
                    "more distance, or less that burns at once",
                    "at 1.5 times that, bare skin hurts within a minute",
                    moves=off(ctx, target.tag),
                )
            )
    looked = f"{counted(len(kept) + len(troubles), 'distance')} from effect to audience"
    if troubles:
        return found(troubles, looked)
    if lost := [s for s in ctx[PLACES].values() if s.kind in ("audience", "queue") and not s.shape]:
        said = f"where the public at {several([s.tag for s in lost])} is: no coordinates"
        return not_checked(said, *(join("/places", s.tag, "at") for s in lost))
    if unknown or nowhere:
        said = f"the flames or places of {', '.join(unknown + nowhere)} are not known"
        burners = (join("/plumbing/parts", t) for t in (*ctx[UNKNOWN], *nowhere))
        return not_checked(said, *burners, *(join(e.at, "outlets") for e in ctx[EFFECTS] if e.tag in unknown))
    if unlike := _not_computed(ctx):
        return not_checked(f"with a regulator failed open: {'; '.join(unlike)}", *answers_of(*unlike))
    if authority:
        return found((), looked)
    _, apart_si, wanted_si, effect_tag, tag, why = min(kept)
    past = beyond_range(largest["audience", effect_tag].distance)
    return authority_decides(
        f"Is {show(apart_si, 'length', 'ft')} from {effect_tag} to {tag} enough? No national distance exists; this "
        f"tool's own figure{', extrapolated,' if past else ''} is {show(wanted_si, 'length', 'ft')} ({why})"
    )
