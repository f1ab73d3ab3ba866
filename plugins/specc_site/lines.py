"""A rule on pipes and tubes: what lies between two parts that have a place is long enough to join them."""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from specc import (
    CHOICE,
    Constant,
    Context,
    Cure,
    Move,
    Trouble,
    Unchecked,
    distance,
    nearer,
    not_applicable,
    rule,
    show,
)
from specc.kinds.geometry import Point, Shape
from specc.kinds.outlets import OUTLET_PLACES, OutletPlace
from specc.kinds.plumbing import LINES, NETWORK, OUTLETS, UNREAD, Network, Part
from specc.measure.units import FOOT
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted, several
from specc_site.plan import PLAN, Plan, place_of

# A place is a point, and what stands at it has a size; fittings and valves add their own. No published source.
SLACK = Constant(0.9144, "length", "3 ft", CHOICE)
HARD_SLACK = Constant(0.3048, "length", "1 ft", CHOICE)  # rigid pipe and tube give no more than their fittings add


# What does not sag from one end to the other: it runs level, and then rises.
_HARD = ("tube", "pipe")


class Stands(NamedTuple):
    """Where a part stands, in words and on the level."""

    where: str
    shape: Shape


def _standing(net: Network, plan: Plan, outlets: Iterable[OutletPlace]) -> dict[str, Stands]:
    """Each part with a place; a burner or pilot without one of its own stands where its effect has it."""
    made = {o.tag: Stands(o.effect or "its place", o.point) for o in outlets if o.point is not None}
    for part in net.parts:
        spot = plan.places.get(place_of(part))
        if spot is not None and spot.shape is not None:
            made[part.tag] = Stands(spot.tag, spot.shape)
    return made


def _own(part: Part) -> float:
    """m that a part stretches by itself from its place: a ring's diameter, a bar's length."""
    if part.kind == UNREAD:
        return math.inf  # nobody knows what it is, and that is reported
    sizes = (part.spec.quantity_or_none(k) for k in ("diameter", "length", "height"))
    return max((q.si for q in sizes if q is not None), default=0.0)


def _reached(
    net: Network, start: Part, standing: Mapping[str, Stands]
) -> Iterator[tuple[Part, float, tuple[str, ...]]]:
    """The next parts with a place behind a part, each with the shortest length of line to it, and the lines on that
    way. A line whose length is not stated reaches as far as it likes. The one walk along pipes goes by the count of
    parts; this one by length."""
    best = {start.tag: 0.0}
    queue: list[tuple[float, str, tuple[str, ...]]] = [(0.0, start.tag, ())]
    while queue:
        length, tag, way = heapq.heappop(queue)
        if length > best.get(tag, math.inf):
            continue
        if tag != start.tag and tag in standing:
            yield net.by_tag[tag], length, way
            continue
        for after in net.after.get(tag, ()):
            part, more, on = net.by_tag[after], length, way
            if part.kind == UNREAD:
                more = math.inf  # it may be a line, and is reported
            elif part.kind in LINES and after not in standing:
                own = part.spec.quantity_or_none("length")
                more, on = length + (own.si if own is not None else math.inf), (*way, after)
            if more < best.get(after, math.inf):
                best[after] = more
                heapq.heappush(queue, (more, after, on))


def _longer(net: Network, way: tuple[str, ...], lacking: float) -> Cure | None:
    """One of the lines made longer: a hose before a pipe, and of several the last."""
    lines = [p for tag in way if (p := net.by_tag[tag]).spec.has("length")]
    if not lines:
        return None
    line = max(reversed(lines), key=lambda p: p.kind == "hose")
    own = line.spec.quantity("length")
    feet = f"{math.ceil((own.si + lacking) / FOOT - 1e-9)} ft"
    return Cure(f"{line.tag} {feet} long would pass", ((own.at, feet),))


def _nearer(plan: Plan, one: tuple[Part, Stands], other: tuple[Part, Stands]) -> tuple[Move, ...]:
    """Either of two parts moved to the other, where it has a place of its own."""
    (first, here), (second, there) = one, other
    ends = ((place_of(first), here, second.tag, there), (place_of(second), there, first.tag, here))
    return tuple(
        nearer(place, about, mine.shape, to.shape)
        for place, mine, about, to in ends
        if place in plan.places and mine.where != to.where
    )


def _rise(one: Shape, other: Shape) -> float:
    """How much higher one spot is than another, in m; 0 where a height is not stated."""
    if isinstance(one, Point) and isinstance(other, Point) and one.z is not None and other.z is not None:
        return abs(one.z.si - other.z.si)
    return 0.0


def _unsaid_height(one: Stands, other: Stands) -> tuple[str, float] | None:
    """Of two spots that of which nobody says how high it lies, and how much it would be below the other on flat ground;
    None where both or neither say."""
    for low, high in ((one, other), (other, one)):
        if isinstance(low.shape, Point) and isinstance(high.shape, Point) and low.shape.z is None and high.shape.z:
            return low.where, high.shape.z.si
    return None


def _and_rise(rise: float) -> str:
    return f" and {show(rise, 'length', 'ft')} in height" if rise else ""


@rule(
    "site.lines_reach",
    level="warning",
    statement="What lies between two parts that have a place is as long as it is from one to the other, less 3 ft, or "
    "1 ft of rigid pipe and tube",
    source=CHOICE,
    needs=(PLAN, NETWORK),
    wants=(OUTLET_PLACES,),
)
def lines_reach(ctx: Context) -> Judging:
    """Along each line from one part with a place to the next; a hose with two places has a rule of its own. Of hard
    lines to an outlet the rise is added to the way on the level: they run along the ground, and up. What they go down
    before is not counted."""
    plan, net = ctx[PLAN], ctx[NETWORK]
    outlets = ctx.get(OUTLET_PLACES)
    standing = _standing(net, plan, outlets or ())
    looked = 0
    for start in (p for p in net.parts if p.tag in standing):
        for end, length, way in _reached(net, start, standing):
            looked += 1
            one, other = standing[start.tag], standing[end.tag]
            # A place's height is that of its flame; at the foot of a mast it is not that of a fitting.
            # A line that has a place of its own lies between just as well as one that has none.
            lines = [net.by_tag[tag] for tag in way] + [p for p in (start, end) if p.kind in LINES]
            rigid = bool(lines) and all(p.kind in _HARD for p in lines)
            hard = end.kind in OUTLETS and any(p.kind in _HARD for p in lines)
            apart, rise = distance(one.shape, other.shape).si, _rise(one.shape, other.shape) if hard else 0.0
            slack = (HARD_SLACK if rigid else SLACK).si
            reach = length + slack + _own(start) + _own(end)
            if reach >= apart + rise:
                lacks = _unsaid_height(one, other) if hard else None
                if lacks and reach < apart + lacks[1]:
                    said = f"how high {lacks[0]} lies is not stated, and {several([p.tag for p in lines])} may be short"
                    yield Unchecked(f"{said} (at: with z)", join("/places", lacks[0], "at"))
                continue
            long = length + sum(_own(p) for p in (start, end) if p.kind in LINES)
            tags = [p.tag for p in lines]
            together = "together " if len(tags) > 1 else ""
            lies = (
                f"{several(tags)} {'are' if len(tags) > 1 else 'is'} {together}{show(long, 'length', 'ft')} long"
                if lines
                else "no line lies between them"
            )
            yield Trouble(
                net.by_tag[way[-1] if way else end.tag].at,
                f"{start.tag} at {one.where} and {end.tag} at {other.where} are "
                f"{show(apart, 'length', 'ft')} apart{_and_rise(rise)}, and {lies}",
                "lengths as built, or the place where a part stands",
                "friction, the gas in the line and the bill are computed from these lengths",
                cure=_longer(net, tuple(tags), apart + rise - slack - _own(start) - _own(end) - length),
                moves=_nearer(plan, (start, one), (end, other)),
            )
    if standing:
        ends = [p for p in net.of_kind("cylinder", *OUTLETS) if net.after.get(p.tag) or net.before.get(p.tag)]
        lost = [p for p in ends if p.tag not in standing]
        if lost:
            said = f"where {several([p.tag for p in lost])} stand{'s' if len(lost) == 1 else ''} (place:)"
            yield Unchecked(said, *(join(p.at, "place") for p in lost))
    if not looked:
        net.all_read()
        return not_applicable("no two parts on one line have places with coordinates")
    return passed(f"{counted(looked, 'pair')} of parts along a line")
