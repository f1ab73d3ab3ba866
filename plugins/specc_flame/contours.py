"""Rings for the site plan: how far flames reach laid flat, and where all of them together give the public's level."""

from __future__ import annotations

from collections.abc import Sequence

from specc import Context, gather, show
from specc.kinds.gas import NET_HEAT
from specc.kinds.plumbing import NETWORK
from specc.kinds.targets import CONTOURS, Contour
from specc.kinds.weather import WIND
from specc_flame.calc import contours, field, fireball
from specc_flame.calc.fireball import CENTER
from specc_flame.keys import BALL, FAILED_FLAMES, HEAT, LENGTH, OUTLETS, TIP
from specc_flame.sizes import heat_of, offset_of, stop_wind
from specc_flame.targets import AUDIENCE_FLUX


def flame_sources(ctx: Context) -> list[field.FlameSource]:
    """Every flame that has a place, each in its own worst weather, and with the ball of gas of a burst."""
    made = []
    for tag, o in ctx[OUTLETS].items():
        if o.point is None:
            continue
        ball = ctx[BALL][tag].si if tag in ctx[BALL] else 0.0
        made.append(
            field.FlameSource(
                tag,
                o.point.x.si,
                o.point.y.si,
                o.point.z.si if o.point.z is not None else 0.0,
                heat_of(ctx, tag).si,
                ctx[LENGTH][tag].si,
                offset_of(ctx[NETWORK].by_tag[tag]).si,
                ball,
                drift=stop_wind(ctx).si * fireball.duration(ball) if ball > 0 else 0.0,
            )
        )
    return made


@gather(
    CONTOURS,
    needs=(OUTLETS, NETWORK, HEAT, LENGTH, TIP, BALL, WIND),
    wants=(NET_HEAT, FAILED_FLAMES),
    limits=("flame.audience_flux",),
    recalls=(CENTER.citation,),
)
def flame_contours(ctx: Context) -> Sequence[Contour]:
    """Neither takes credit for an outlet's height, as the distances of the public do not."""
    sources = flame_sources(ctx)
    if not sources:
        return []
    level = ctx.limit(AUDIENCE_FLUX.key)
    flat = contours.reach_rings([(s.x, s.y, ctx[TIP][s.tag].si) for s in sources])
    hot = contours.flux_rings(sources, level.si)
    of = f"{show(level.si, 'heat_flux', 'kW/m²', 3)}, all flames at once"
    made = [
        Contour("flame.laid_flat", "flames laid flat by wind", None, flat, 10),
        Contour("flame.audience_flux", of, level, hot, 12),
    ]
    tips = {tag: one.tip.si for tag, one in (ctx.get(FAILED_FLAMES) or {}).items()}
    farther = [(s.x, s.y, tips[s.tag]) for s in sources if tips.get(s.tag, 0.0) > ctx[TIP][s.tag].si]
    if farther:
        failed = contours.reach_rings(farther)
        made.append(Contour("flame.failed_open", "the same, a regulator failed open", None, failed, 11))
    return made
