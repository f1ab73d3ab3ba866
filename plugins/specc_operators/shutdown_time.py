"""Whether the shutdown fits into the time that gas counts as on after the last scene, and whether whoever has a part in
it, up to the last cylinder that is taken off, is on shift until then.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime

from specc import PRACTICE, Context, Trouble, not_checked, rule, show
from specc.kinds.places import PLACES
from specc.kinds.procedures import STEPS, Action, Step
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted
from specc_operators.clock import clock, later, listed, zone_named
from specc_operators.duty_rules import unknown
from specc_operators.hours import DUTIES, NIGHTS, SHUT_DOWN, Duty, NightHours, by_night
from specc_operators.posts import SPEED
from specc_operators.task_times import Done, seconds_each, timed, whole_minutes

# With these gas is let out or shut in: until the last of them it counts as on.
_GAS: tuple[Action, ...] = ("close", "put_out", "fire", "bleed", "watch")


def shut_down(steps: Sequence[Step], index: int, count: int) -> list[Step]:
    """The steps of a night's shutdown, of so many nights, the first with the index 0."""
    nights = {"every", "later" if index else "first"} | ({"last"} if index == count - 1 else set())
    return sorted((s for s in steps if s.procedure == "stop" and s.night in nights), key=lambda s: s.order)


def _gone(done: Sequence[Done], own: Sequence[Duty], ended: datetime) -> Iterator[tuple[Duty, float]]:
    """Whoever is not on shift when something of theirs is done, by the shift before it, and how late that is in s."""
    late: dict[str, float] = {}
    for one in done:
        spans = [d.span for d in own if d.person == one.act.who]
        if spans and not any(
            (s.start.real - ended).total_seconds() <= one.after <= (s.end.real - ended).total_seconds() for s in spans
        ):
            late[one.act.who] = one.after
    for who, after in late.items():
        # The shift that ends too early; of one who comes later again, not that one.
        ends = {(d.span.end.real - ended).total_seconds(): d for d in own if d.person == who}
        yield ends[max((e for e in ends if e < after), default=min(ends))], after


@rule(
    "operators.shut_down_fits",
    level="warning",
    statement="The shutdown fits, and its people are on shift to its end",
    source=PRACTICE,
    needs=(STEPS, PLACES, NIGHTS, DUTIES),
    reads=("operators",),
    limits=(SHUT_DOWN.key, SPEED.key),
)
def shut_down_fits(ctx: Context) -> Judging:
    if stop := unknown(ctx, ctx[NIGHTS]):
        return stop
    nights, limit = ctx[NIGHTS].nights, ctx.limit(SHUT_DOWN.key)
    late: dict[tuple[str, str, str], list[date]] = {}
    longest, gas_off = 0.0, 0.0
    duties = ctx[DUTIES]
    on_duty = by_night(duties)
    for i, night in enumerate(nights):
        steps = shut_down(ctx[STEPS], i, len(nights))
        done = timed(steps, seconds_each(steps, 0), ctx[PLACES], ctx.limit(SPEED.key).si)
        longest = max(longest, max((d.after for d in done), default=0.0))
        gas_off = max(gas_off, max((d.after for d in done if d.act.action in _GAS), default=0.0))
        for duty, after in _late(ctx, night, on_duty[night.day], done, limit.si):
            late.setdefault((join(duty.at, "to"), duty.person, after), []).append(night.day)
    if not longest:
        return not_checked("no step of a shutdown says where it is done", "/plumbing/parts/*/place")
    for (at, who, until), days in late.items():
        yield Trouble(
            at,
            f"{who} has a part in the shutdown until some {until} on the night of {listed(days)}, and is not "
            "on shift then",
            f"a shift to {until} or later, or somebody else who does it",
            "a cylinder is left connected, or a valve is not checked, when whoever does it has gone",
        )
    if gas_off > limit.si * (1 + 1e-9):
        yield Trouble(
            limit.at or "/limits",
            f"until gas is off and let down the shutdown takes some {_min(gas_off)}, and gas counts as off "
            f"{limit.text} after the last scene",
            f"limits: {{{SHUT_DOWN.key}: {_min(gas_off)}}}, with everybody at their post until then",
            "who is due elsewhere leaves gas in a line",
        )
    return passed(
        f"{counted(len(nights), 'night')}: gas off some {_min(gas_off)} after the last scene, all done after "
        f"{_min(longest)}"
    )


def _late(
    ctx: Context, night: NightHours, own: Sequence[Duty], done: Sequence[Done], limit: float
) -> Iterator[tuple[Duty, str]]:
    zone = zone_named(ctx[NIGHTS].zone)
    ended = later(night.ends, -limit, zone)
    for duty, after in _gone(done, own, ended.real):
        yield duty, clock(later(ended, whole_minutes(after), zone).wall)


def _min(seconds: float) -> str:
    return show(whole_minutes(seconds), "duration", "min")


__all__ = ["shut_down_fits"]
