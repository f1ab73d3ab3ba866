"""Whether enough spotters look after the public while it is there and gas is on: one for each 250 people, two at least
for more than that.

The fire code asks so of crowd managers, outdoors from 1,000 people on. Beside a flame effect fewer count the same here:
of two, one may be giving first aid.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import date

from specc import Citation, Context, Trouble, not_checked, rule
from specc.kinds.places import PLACES
from specc.kinds.show import SHOW
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted
from specc_operators.clock import TimeSpan, clock, listed, span, zone_named
from specc_operators.duty_rules import by_clock, short_of, unknown
from specc_operators.hours import DUTIES, NIGHTS, NightHours, by_night

EACH = 250
_SOURCE = Citation(
    "ifc-2018-minnesota", "chapter 4: 2 crowd managers, and 1 for each 250 people; here also below 1,000", "read"
)


@rule(
    "operators.crowd_hands",
    level="warning",
    statement="A spotter named for no effect is there for each 250 of the public, two at least for more",
    source=_SOURCE,
    needs=(DUTIES, NIGHTS, PLACES, SHOW),
    reads=("operators",),
)
def crowd_hands(ctx: Context) -> Judging:
    known = ctx[NIGHTS]
    if stop := unknown(ctx, known):
        return stop
    areas = [s for s in ctx[PLACES].values() if s.kind in ("audience", "queue")]
    bare = [s.tag for s in areas if s.people is None]
    if not areas or bare:
        said = "how many people the public's areas are to hold is not stated (places: people:)"
        return not_checked(said, *(join("/places", tag, "people") for tag in bare or ["*"]))
    people = sum(s.people or 0 for s in areas)
    least = math.ceil(people / EACH)
    spotters = by_night(d for d in ctx[DUTIES] if d.role == "spotter" and not d.effects)
    few: dict[tuple[str, str], list[date]] = {}
    for night in known.nights:
        for need in _with_public(ctx, night):
            for gap in short_of(need, tuple(spotters[night.day]), least):
                few.setdefault((clock(gap.start.wall), clock(gap.end.wall)), []).append(night.day)
    for (begins, ends), days in few.items():
        yield Trouble(
            join("/places", max(areas, key=lambda s: s.people or 0).tag, "people"),
            f"fewer than {least} spotters look after {people} people from {begins} to {ends} on the night of "
            f"{listed(days)}",
            "another shift of the role spotter, without effects:",
            "one who gives first aid, or is hurt, moves nobody, and the others are too many for one",
        )
    return passed(f"{counted(least, 'spotter')} for {people} people{by_clock(known)}")


def _with_public(ctx: Context, night: NightHours) -> Iterator[TimeSpan]:
    """When gas is on and the public is there; with no hours stated, whenever gas is on."""
    the_show, known = ctx[SHOW], ctx[NIGHTS]
    if not the_show.opens:
        yield from night.gas
        return
    there = span(night.day, the_show.opens, the_show.closes, (known.opens, known.closes), zone_named(known.zone))
    for on in night.gas:
        one = TimeSpan(max(on.start, there.start, key=lambda m: m.real), min(on.end, there.end, key=lambda m: m.real))
        if one.start.real < one.end.real:
            yield one


__all__ = ["crowd_hands"]
