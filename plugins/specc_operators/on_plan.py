"""What the site plan shows of the crew: who is posted where, and what they look at."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime, timedelta

from specc import Context, gather
from specc.kinds.procedures import STEPS
from specc.kinds.site import FIRED_FROM, MARKS, SIGHT_LINES, Mark, SightLine
from specc_operators.arm_signals import ARM_SIGNALS
from specc_operators.clock import TimeSpan, clock
from specc_operators.hours import DUTIES, ROLE_NAMES, Duty
from specc_operators.posts import LOOKS, POSTS, Post


@gather(MARKS, needs=(POSTS, DUTIES))
def marks(ctx: Context) -> Sequence[Mark]:
    """Who stands where, on the site plan; from when, of who comes there when somebody else has left."""
    spans: dict[str, TimeSpan] = {}  # on the first of their nights, breaks included
    duties: tuple[Duty, ...] = ctx[DUTIES]
    first = {d.shift: d.night for d in reversed(duties)}
    for d in duties:
        if d.night == first[d.shift] and not d.stands_in:
            spans[d.shift] = TimeSpan(spans.get(d.shift, d.span).start, d.span.end)
    leave: dict[str, list[tuple[datetime, str]]] = defaultdict(list)  # by station, who leaves it when, the first first
    for at, station, person in sorted((spans[p.shift].end.real, p.station, p.person) for p in ctx[POSTS]):
        leave[station].append((at, person))

    def title(post: Post) -> str:
        begins = spans[post.shift].start
        left = next((at for at, person in leave[post.station] if person != post.person), begins.real + timedelta(1))
        return f"{post.person} from {clock(begins.wall)}" if left <= begins.real else post.person

    return [
        Mark(p.shift, "person", p.station, title(p), ROLE_NAMES.get(p.role, p.role), order=40)
        for p in ctx[POSTS]
        if p.spot
    ]


@gather(FIRED_FROM, needs=(POSTS, STEPS))
def fired_from(ctx: Context) -> Sequence[Mark]:
    """Whoever fires from a place that is no post of theirs is seen there, too."""
    posted = {(p.person, p.station) for p in ctx[POSTS]}
    fires = [(a.who, a.where) for s in ctx[STEPS] if s.procedure == "firing" for a in s.acts if a.action == "fire"]
    return [
        Mark(f"{who} at {where}", "person", where, f"{who} to fire", ROLE_NAMES["valve"], order=41)
        for who, where in dict.fromkeys(fires)
        if who and where and (who, where) not in posted
    ]


@gather(SIGHT_LINES, needs=(LOOKS, ARM_SIGNALS))
def sight_lines(ctx: Context) -> Sequence[SightLine]:
    """What each has to see; of who has only to see a signal, such as the fuel watch, the lead's post."""
    looking = {k.post.shift for k in ctx[LOOKS]}
    signals = [k for k in ctx[ARM_SIGNALS] if k.post.shift not in looking and k.target != k.post.station]
    return [SightLine(k.post.person, k.post.station, k.target, k.blocked_by) for k in (*ctx[LOOKS], *signals)]
