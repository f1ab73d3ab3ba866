"""What the site plan shows of the crew: who is posted where, and what they look at."""

from __future__ import annotations

from collections.abc import Sequence

from specc import Context, gather
from specc.kinds.site import MARKS, SIGHT_LINES, Mark, SightLine
from specc_operators.clock import clock
from specc_operators.hours import DUTIES, ROLE_NAMES
from specc_operators.posts import LOOKS, POSTS, Post


@gather(MARKS, needs=(POSTS, DUTIES))
def marks(ctx: Context) -> Sequence[Mark]:
    """Who stands where, on the site plan; from when, of who comes there when somebody else has left."""
    duties = ctx[DUTIES]
    spans = {d.shift: d.span for d in reversed(duties)}  # on the first of their nights

    def title(post: Post) -> str:
        begins = spans[post.shift].start
        others = (spans[p.shift] for p in ctx[POSTS] if p.station == post.station and p.person != post.person)
        later = any(other.end.real <= begins.real for other in others)
        return f"{post.person} from {clock(begins.wall)}" if later else post.person

    return [
        Mark(p.shift, "person", p.station, title(p), ROLE_NAMES.get(p.role, p.role), order=40)
        for p in ctx[POSTS]
        if p.spot
    ]


@gather(SIGHT_LINES, needs=(LOOKS,))
def sight_lines(ctx: Context) -> Sequence[SightLine]:
    return [SightLine(k.post.person, k.post.station, k.target, k.blocked_by) for k in ctx[LOOKS]]
