"""Whether a signal that is given by arms at the lead's post is seen at every other, or goes by radio."""

from __future__ import annotations

import math

from specc import PRACTICE, Context, Key, Trouble, Unchecked, in_sight, not_checked, obstacles_of, rule, stated, value
from specc.formulas.ways import not_placed
from specc.kinds.places import PLACES
from specc.model.passes import Judging, passed
from specc.model.wording import counted, several
from specc_operators.duty_rules import NO_ROSTER
from specc_operators.hours import ROLE_NAMES
from specc_operators.posts import EYE, POSTS, LineOfSight, unplaced

ARM_SIGNALS: Key[tuple[LineOfSight, ...]] = Key("operators.arm_signals", tuple)


@value(ARM_SIGNALS, needs=(POSTS, PLACES))
def arm_signals(ctx: Context) -> tuple[LineOfSight, ...]:
    """From each other post to the lead's, where signals are given: of several leads' that which is seen best."""
    leads = [p for p in ctx[POSTS] if p.role == "lead" and p.spot]
    obstacles = obstacles_of(ctx[PLACES].values(), "sight")
    made = []
    for post in ctx[POSTS]:
        if post.spot is None or post.role == "lead" or not leads:
            continue
        ways = [
            LineOfSight(
                post, p.station, in_sight((*post.spot, EYE), (*p.spot, EYE), obstacles), math.dist(post.spot, p.spot)
            )
            for p in leads
            if p.spot
        ]
        made.append(min(ways, key=lambda k: (bool(k.blocked_by), k.far)))
    return tuple(made)


@rule(
    "operators.signals_reach",
    level="warning",
    statement="Who gives a signal at the lead's post is seen from every other post, or radios are stated",
    source=PRACTICE,
    needs=(POSTS, ARM_SIGNALS, PLACES),
    reads=("operators",),
)
def signals_reach(ctx: Context) -> Judging:
    """Arms are seen only where nothing is in the way; the dark is not looked at."""
    operators = ctx.spec("operators")
    if not len(operators):
        return not_checked(NO_ROSTER)
    listed = [p for p in ctx[POSTS] if p.spot]
    radios = operators.child("equipment").text_or("radios")
    hidden = [k for k in ctx[ARM_SIGNALS] if k.blocked_by]
    if radios:
        unseen = dict.fromkeys(f"{k.post.station} ({several(k.blocked_by)})" for k in hidden)
        alone = f"; the radio alone reaches {several(list(unseen))}" if unseen else ""
        return stated(f"radios: {radios}{alone}")
    if not any(p.role == "lead" for p in listed):
        leading = [p for p in ctx[POSTS] if p.role == "lead"]
        return not_checked("where the lead stands has no coordinates", *unplaced(leading))
    for look in hidden:
        yield Trouble(
            look.post.at,
            f"{look.post.person} at {look.post.station} ({ROLE_NAMES[look.post.role]}) does not see a signal of the "
            f"lead: {several(look.blocked_by)} is in the way",
            "another post, or equipment: radios:",
            "who does not see the stop signal goes on",
        )
    yield from not_placed(ctx[PLACES].values(), "sight")
    bare = [p for p in ctx[POSTS] if p.spot is None]
    said = f"where {several([p.shift for p in bare])} is posted has no coordinates"
    yield from [Unchecked(said, *unplaced(bare))] if bare else []
    return passed(counted(len(listed), "post"))
