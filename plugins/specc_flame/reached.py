"""How near the crew and what holds gas stand to the farthest that a flame gets, and who stands nearer than the public.

The plan shows a flame as it is planned; with a regulator failed open, or with its stand fallen over, it comes farther.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence

from specc import Context, Worked, distance, gather, show
from specc.kinds.geometry import Shape
from specc.kinds.places import PLACES
from specc.kinds.plumbing import NETWORK
from specc.kinds.show import EFFECTS
from specc.kinds.site import FIRED_FROM, MARKS, PLAN_NOTES, Mark, PlanNote
from specc.kinds.targets import FALLEN, FLUX, REACHED, TARGETS, Reached, Target
from specc.model.values import Scalar
from specc.model.view import join
from specc.model.wording import counted, several
from specc_flame.calc import envelope
from specc_flame.distances import fall_of
from specc_flame.heat import FAR, STANDS, places_of
from specc_flame.keys import FAILED_FLAMES, OPEN, OUTLETS, PUBLIC, TIP
from specc_flame.near import failed_flame_over, fallen_over
from specc_flame.targets import LEVELS, OPERATOR_FLUX, PERFORMER_FLUX

_HOLD_GAS = ("cylinder", "hose", "accumulator", "regulator", "valve")
_CREW = ("operator", "performer")


def farthest(ctx: Context, outlet: str, *, people: bool) -> tuple[Scalar, str]:
    """The farthest that a flame gets on the level, and how. What is struck by a stand that falls is people."""
    reach: Scalar = ctx[TIP][outlet]
    why = f"the flame of {outlet} laid flat"
    failed = (ctx.get(FAILED_FLAMES) or {}).get(outlet)
    if failed is not None and failed.tip.si > reach.si:
        then = "fired with a regulator failed open" if outlet in ctx[OPEN] else "a regulator failed open"
        reach, why = failed.tip, f"the flame of {outlet}, {then}, laid flat"
    point = ctx[OUTLETS][outlet].point
    if people and point is not None and point.z is not None and point.z.si > 0:
        parts = (fall_of(ctx, outlet, point.z), ctx[TIP][outlet])
        falls = envelope.added_length.work(f"fall of {outlet}", parts=parts)
        if falls.si > reach.si:
            reach, why = falls, f"what holds {outlet} falls over, and its flame reaches on from there"
    return reach, why


@gather(
    REACHED,
    needs=(OUTLETS, NETWORK, TARGETS, STANDS, FAR, TIP, OPEN),
    wants=(FAILED_FLAMES, FALLEN),
)
def reached(ctx: Context) -> Sequence[Reached]:
    """The one post and the one place of gas with the least to spare."""
    posts = {t.tag: t.at for t in ctx[TARGETS] if t.kind in _CREW and t.tag in ctx[STANDS]}
    gas: dict[str, str] = {}
    for part in ctx[NETWORK].of_kind(*_HOLD_GAS):
        for place in places_of(part):
            if place in ctx[STANDS]:
                gas.setdefault(place, join(part.at, "place"))
    made = []
    for people, places in ((True, posts), (False, gas)):
        tried = list(_each(ctx, places, people))
        if tried:
            made.append(min(tried, key=lambda one: one.apart.si - one.needed.si))
    return made


def _each(ctx: Context, places: Mapping[str, str], people: bool) -> Iterator[Reached]:
    for outlet, own in ctx[OUTLETS].items():
        if own.point is None or outlet not in ctx[TIP]:
            continue
        needed, why = farthest(ctx, outlet, people=people)
        for place, at in places.items():
            apart = ctx[FAR].get((outlet, place))
            if apart is not None and not (apart.si < needed.si and _above(ctx, outlet, place, apart, needed)):
                yield Reached(own.effect or outlet, place, people, apart, needed, why, at)


def _above(ctx: Context, outlet: str, place: str, apart: Worked, needed: Scalar) -> bool:
    """Whether a place is so high over an outlet that no flame of it comes there."""
    foot, point = ctx[STANDS][place].low, ctx[OUTLETS][outlet].point
    if foot is None or point is None or point.z is None:
        return False
    return math.hypot(apart.si, max(0.0, foot.si - point.z.si)) > needed.si


@gather(
    PLAN_NOTES,
    needs=(OUTLETS, NETWORK, EFFECTS, PLACES, TARGETS, STANDS, FAR, TIP, FLUX, OPEN),
    wants=(PUBLIC, FAILED_FLAMES, FALLEN, MARKS, FIRED_FROM),
    limits=(OPERATOR_FLUX.key, PERFORMER_FLUX.key),
)
def inside_the_line(ctx: Context) -> Sequence[PlanNote]:
    """Who and what of the crew is nearer to an effect than the public may be, and why somebody may stand there."""
    places = {m.place: ctx[PLACES].get(m.place) for m in (*ctx[MARKS], *ctx[FIRED_FROM])}
    inside = {tag for tag, spot in places.items() if spot and spot.shape and _inside(ctx, spot.shape)}
    people = [m for m in (*ctx[MARKS], *ctx[FIRED_FROM]) if m.kind == "person" and m.place in inside]
    things = [counted(n, word) for kind, word in _THINGS if (n := _count(ctx, inside, kind))]
    if not people and not things:
        return ()
    told = [f"{', '.join(m.title for m in people if m.place == place)} ({place})" for place in _places(people)]
    what = "; ".join(t for t in (", ".join(told), ", ".join(things)) if t)
    allowed = f" {_allowed(ctx, _places(people))}" if people else ""
    return [PlanNote(f"Inside the line that the public keeps behind: {what}.{allowed}")]


_THINGS = (("extinguisher", "extinguisher"), ("valve", "valve"), ("stop", "stop"), ("cylinder", "cylinder"))


def _count(ctx: Context, inside: Collection[str], kind: str) -> int:
    return sum(1 for m in ctx[MARKS] if m.kind == kind and m.place in inside)


def _places(people: Sequence[Mark]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(m.place for m in people))


def _inside(ctx: Context, shape: Shape) -> bool:
    """Whether a place is nearer to an effect than the public's computed distance, as the plan draws its line."""
    lines = ctx.get(PUBLIC) or {}
    return any(
        o.point is not None and o.effect in lines and distance(o.point, shape).si < lines[o.effect].si * (1 - 1e-9)
        for o in ctx[OUTLETS].values()
    )


def _allowed(ctx: Context, places: Sequence[str]) -> str:
    """By which level they stand there, and whether a flame may come to them."""
    crew = {t.tag: t for t in ctx[TARGETS] if t.kind in _CREW and t.tag in ctx[FLUX] and t.tag in places}
    said = []
    if crew:
        # Of the posts the one that comes nearest to its level.
        shares = {tag: ctx[FLUX][tag].si / _level(ctx, t).si for tag, t in crew.items()}
        most = max(shares, key=lambda tag: shares[tag])
        heat, level = (
            show(q.si, "heat_flux", "kW/m²", 2 + own)
            for own, q in enumerate((ctx[FLUX][most], _level(ctx, crew[most])))
        )
        said.append(f"held to the crew's own level, {heat} at {most} of {level}")
    reached_by = [tag for tag in crew if failed_flame_over(ctx, tag, True) or fallen_over(ctx, crew[tag])]
    if reached_by:
        said.append(f"a flame can come to {several(reached_by)}: the authority is asked")
    elif crew:
        said.append("no flame comes to them, with its stand fallen over or a regulator failed open too")
    if unknown := [tag for tag in places if tag not in crew]:
        said.append(f"heat at {several(unknown)} not checked")
    text = "; ".join(said)
    return f"{text[0].upper()}{text[1:]} (flame.posts)." if text else ""


def _level(ctx: Context, target: Target) -> Scalar:
    return target.level or ctx.limit(LEVELS[target.kind])
