"""A rule on pipes and tubes: what lies between two parts that have a place is long enough to join them."""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterator

from specc import (
    CHOICE,
    Constant,
    Context,
    Trouble,
    distance,
    not_applicable,
    rule,
    show,
)
from specc.kinds.plumbing import LINES, NETWORK, UNREAD, Network, Part
from specc.model.passes import Judging, passed
from specc.model.wording import counted, several
from specc_site.plan import PLAN, Plan, place_of

# A place is a point, and what stands at it has a size; fittings and valves add their own. No published source.
SLACK = Constant(0.9144, "length", "3 ft", CHOICE)


def _stands(part: Part, plan: Plan) -> bool:
    spot = plan.places.get(place_of(part))
    return spot is not None and spot.shape is not None


def _own(part: Part) -> float:
    """m that a part stretches by itself from its place: a ring's diameter, a bar's length."""
    if part.kind == UNREAD:
        return math.inf  # nobody knows what it is, and that is reported
    sizes = (part.spec.quantity_or_none(k) for k in ("diameter", "length", "height"))
    return max((q.si for q in sizes if q is not None), default=0.0)


def _reached(net: Network, start: Part, plan: Plan) -> Iterator[tuple[Part, float, tuple[str, ...]]]:
    """The next parts with a place behind a part, each with the shortest length of line to it, and the lines on that
    way. A line whose length is not stated reaches as far as it likes."""
    best = {start.tag: 0.0}
    queue: list[tuple[float, str, tuple[str, ...]]] = [(0.0, start.tag, ())]
    while queue:
        length, tag, way = heapq.heappop(queue)
        if length > best.get(tag, math.inf):
            continue
        if tag != start.tag and _stands(net.by_tag[tag], plan):
            yield net.by_tag[tag], length, way
            continue
        for after in net.after.get(tag, ()):
            part, more, on = net.by_tag[after], length, way
            if part.kind == UNREAD:
                more = math.inf  # it may be a line, and is reported
            elif part.kind in LINES and not _stands(part, plan):
                own = part.spec.quantity_or_none("length")
                more, on = length + (own.si if own is not None else math.inf), (*way, after)
            if more < best.get(after, math.inf):
                best[after] = more
                heapq.heappush(queue, (more, after, on))


@rule(
    "site.lines_reach",
    level="warning",
    statement="What lies between two parts that have a place is as long as it is from one to the other, less 3 ft",
    source=CHOICE,
    needs=(PLAN, NETWORK),
)
def lines_reach(ctx: Context) -> Judging:
    """Along each line from one part with a place to the next; a hose with two places has a rule of its own."""
    plan, net = ctx[PLAN], ctx[NETWORK]
    looked = 0
    for start in (p for p in net.parts if _stands(p, plan)):
        for end, length, way in _reached(net, start, plan):
            looked += 1
            one, other = (plan.places[place_of(p)].shape for p in (start, end))
            assert one is not None
            assert other is not None
            apart = distance(one, other).si
            if length + SLACK.si + _own(start) + _own(end) >= apart:
                continue
            lies = (
                f"{several(way)} together {show(length, 'length', 'ft')} long" if way else "no line lies between them"
            )
            yield Trouble(
                net.by_tag[way[-1] if way else end.tag].at,
                f"{start.tag} at {place_of(start)} and {end.tag} at {place_of(end)} are "
                f"{show(apart, 'length', 'ft')} apart, and {lies}",
                "lengths as built, or the place where a part stands",
                "friction, the gas in the line and the bill are computed from these lengths",
            )
    if not looked:
        net.all_read()
        return not_applicable("no two parts on one line have places with coordinates")
    return passed(f"{counted(looked, 'pair')} of parts along a line")
