"""Whether the start-up fits into the time that gas is on before the first scene, on each kind of night: the waits that
its steps name, what is done in them one thing after another, and the ways between. Whether its people are there for
what comes before gas, and the public is not there yet while gas is let out unlit.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from datetime import date, datetime
from typing import NamedTuple

from specc import PRACTICE, Context, Trouble, Unchecked, not_checked, rule
from specc.kinds.places import PLACES
from specc.kinds.plumbing import JOINTS
from specc.kinds.procedures import AIR_OUT, CHECKS, STEPS, OnNight, Step
from specc.kinds.show import SHOW
from specc.model.passes import Judging, passed
from specc.model.view import Unreadable, join
from specc.model.wording import counted
from specc_operators.clock import clock, later, listed, span, zone_named
from specc_operators.duty_rules import NO_ROSTER, unknown
from specc_operators.hours import DUTIES, NIGHTS, START_UP, Duty, by_night
from specc_operators.posts import SPEED
from specc_operators.task_times import LINE, Takes, minutes, seconds_each, takes, walked, whole_minutes

NIGHTS_OF: tuple[OnNight, ...] = ("first", "later")
_LETS_GAS_OUT = ("purge", "bleed")


class StartUp(NamedTuple):
    """The steps of a night's start-up: up to the first that opens a valve to gas, and from there on. In a test with air
    valves are opened before gas."""

    before: list[Step]
    with_gas: list[Step]


def start_up_of(steps: Sequence[Step], night: OnNight) -> StartUp:
    own = sorted((s for s in steps if s.procedure == "start" and s.night in ("every", night)), key=lambda s: s.order)
    opens = (n for n, s in enumerate(own) if any(a.action == "open" for a in s.acts) and not with_air(s))
    first = next(opens, len(own))
    return StartUp(own[:first], own[first:])


def with_air(step: Step) -> bool:
    return any(a.action == "air_in" for a in step.acts)


def held_for(ctx: Context) -> float:
    """The longest that a test of the spec is watched, in s: how long a test with air takes beside its acts."""
    told = [0.0]
    for _, test in ctx.spec("plumbing").child("tests").children():
        with suppress(Unreadable):  # reported where it stands
            told.append(test.quantity("hold").si if test.has("hold") else 0.0)
    return max(told)


def joints_of(ctx: Context) -> int:
    joints = ctx.get(JOINTS)
    return len(joints) if joints else 0


def lit_at_last(steps: Sequence[Step]) -> bool:
    return any(a.action in ("light", "arm") for s in steps for a in s.acts)


class _Times(NamedTuple):
    """What a night's start-up takes before gas and with gas, and until gas is let out unlit for the last time."""

    before: Takes
    with_gas: Takes
    unlit: float


def times_of(ctx: Context, night: OnNight) -> _Times:
    own, joints = start_up_of(ctx[STEPS], night), joints_of(ctx)
    # Not asked where nobody walks: the packet lists the limits that were read.
    speed = ctx.limit(SPEED.key).si if walked([*own.before, *own.with_gas], ctx[PLACES]) else 1.0
    checks = ctx.get(CHECKS)
    lines = len(checks) if checks else 0
    each = seconds_each(own.with_gas, joints)
    before = takes(own.before, each, ctx[PLACES], speed)
    held = held_for(ctx) * sum(map(with_air, own.before))
    before = before._replace(tasks=before.tasks + LINE.seconds * lines, waits=before.waits + held)
    last = max((n for n, s in enumerate(own.with_gas, 1) if _lets_out(s)), default=0)
    blown = last + (last < len(own.with_gas) and own.with_gas[last].moment == AIR_OUT)  # the wait behind it
    unlit = takes(own.with_gas[:blown], each, ctx[PLACES], speed).total if last else 0.0
    return _Times(before, takes(own.with_gas, each, ctx[PLACES], speed), unlit)


def _lets_out(step: Step) -> bool:
    return any(a.action in _LETS_GAS_OUT for a in step.acts)


_NO_GAS = ("no step lets gas in: no outlet is fed by a cylinder, or no order was found", "/plumbing/runs")


@rule(
    "operators.start_up_fits",
    level="warning",
    statement="The start-up fits, and all are at their posts before gas",
    source=PRACTICE,
    needs=(STEPS, PLACES, SHOW),
    wants=(JOINTS, CHECKS, NIGHTS, DUTIES),
    reads=("operators", "plumbing"),
    limits=(START_UP.key, SPEED.key),
)
def start_up_fits(ctx: Context) -> Judging:
    """Without a roster nobody is posted, and whether the time is kept is not known."""
    nights = NIGHTS_OF if len(ctx[SHOW].nights) > 1 else NIGHTS_OF[:1]
    if not len(ctx.spec("operators")):
        return not_checked(NO_ROSTER)
    if not any(start_up_of(ctx[STEPS], n).with_gas for n in nights):
        return not_checked(*_NO_GAS)
    if not lit_at_last(start_up_of(ctx[STEPS], "first").with_gas):
        yield Unchecked("no order was found for the start-up, so how long it takes is not known", "/plumbing/runs")
        return passed("")
    limit = ctx.limit(START_UP.key)
    said, by_parts = [], dict[tuple[float, str], list[OnNight]]()
    for night in nights:
        own = times_of(ctx, night).with_gas
        by_parts.setdefault((whole_minutes(own.total), own.words), []).append(night)
    for (total, parts), own_nights in by_parts.items():
        which = "later nights" if own_nights == ["later"] else "the first night"
        name = "in all" if len(nights) == 1 else "on each night" if len(own_nights) > 1 else f"on {which}"
        said.append(f"{minutes(total)} {name}: {parts}")
        if total > limit.si * (1 + 1e-9):
            yield Trouble(
                limit.at or "/limits",
                f"the start-up takes some {minutes(total)} {name} ({parts}), and gas is let in {limit.text} before",
                f"limits: {{{START_UP.key}: {minutes(total)}}}, with everybody at their post from then on",
                "whoever is late leaves out a wait or a joint",
            )
    yield from _too_late(ctx, nights)
    yield from _gone_within(ctx, nights)
    return passed(f"{'; '.join(said)}; {counted(len(nights), 'kind')} of night against {limit.text}")


def _too_late(ctx: Context, kinds: Sequence[OnNight]) -> Iterator[Trouble]:
    """Whoever comes when gas is let in, or little before: the list of go or no go asks each at their post."""
    known, duties = ctx.get(NIGHTS), ctx.get(DUTIES)
    if known is None or not duties:
        return
    zone, on_duty = zone_named(known.zone), by_night(d for d in duties if d.role != "fire_watch")
    late: dict[tuple[str, str, str, str], list[date]] = {}
    needed = {kind: times_of(ctx, kind).before.total for kind in kinds}
    for n, night in enumerate(known.nights):
        begins = later(night.starts, -whole_minutes(needed[kinds[-1] if n else kinds[0]]), zone)
        there: dict[str, datetime] = {}  # until when whoever is there by then stays, at another duty of theirs
        for d in on_duty[night.day]:
            if d.span.start.real <= begins.real:
                there[d.person] = max(there.get(d.person, d.span.end.real), d.span.end.real)
        for own in (d for d in on_duty[night.day] if begins.real < d.span.start.real <= night.starts.real):
            if own.person not in there or there[own.person] < own.span.start.real:
                key = (join(own.at, "from"), own.person, clock(own.span.start.wall), clock(begins.wall))
                late.setdefault(key, []).append(night.day)
    for (at, person, comes, begins_at), days in late.items():
        yield Trouble(
            at,
            f"{person} is on shift from {comes} on the night of {listed(days)}, and go or no go with what else comes "
            f"before gas takes some {minutes(max(needed.values()))}",
            f"a shift from {begins_at} or earlier",
            "a go line that nobody answers, or a valve that nobody touched, is found with gas on",
        )


def _of_people(duties: Iterable[Duty]) -> dict[str, list[Duty]]:
    made: dict[str, list[Duty]] = {}
    for duty in duties:
        made.setdefault(duty.person, []).append(duty)
    return made


def _ends(own: Iterable[Duty]) -> Iterator[Duty]:
    """Of somebody's duties those after which they are off for a while, or for good."""
    last: Duty | None = None
    for duty in sorted(own, key=lambda d: d.span.start.real):
        if last is not None and duty.span.start.real > last.span.end.real:
            yield last
        if last is None or duty.span.end.real > last.span.end.real:
            last = duty
    if last is not None:
        yield last


def _gone_within(ctx: Context, kinds: Sequence[OnNight]) -> Iterator[Trouble]:
    """Whoever has a part in the start-up and leaves, or has a break, before it is over."""
    known, duties = ctx.get(NIGHTS), ctx.get(DUTIES)
    if known is None or not duties:
        return
    zone, on_duty = zone_named(known.zone), by_night(d for d in duties if not d.stands_in)
    gone: dict[tuple[str, str, str, str], list[date]] = {}
    lasts = {kind: whole_minutes(times_of(ctx, kind).with_gas.total) for kind in kinds}
    parts = {kind: {a.who for s in start_up_of(ctx[STEPS], kind).with_gas for a in s.acts} for kind in kinds}
    for n, night in enumerate(known.nights):
        kind = kinds[-1] if n else kinds[0]
        over = later(night.starts, lasts[kind], zone)
        for person, own in _of_people(on_duty[night.day]).items():
            for duty in _ends(own) if person in parts[kind] else ():
                if night.starts.real < duty.span.end.real < over.real:
                    key = (join(duty.at, "to"), person, clock(duty.span.end.wall), clock(over.wall))
                    gone.setdefault(key, []).append(night.day)
    for (at, person, leaves, until), days in gone.items():
        yield Trouble(
            at,
            f"{person} has a part in the start-up until some {until} on the night of {listed(days)}, and leaves or has "
            f"a break at {leaves}",
            f"a break from {until} on, or gas that is let in earlier (limits: {START_UP.key}:)",
            "who takes over in the middle of a start-up does not know what is open",
        )


@rule(
    "operators.public_after_gas_let_out",
    level="warning",
    statement="The public is not there while gas is let out at start-up",
    source=PRACTICE,
    needs=(STEPS, PLACES, SHOW, NIGHTS),
    wants=(JOINTS, CHECKS),
    reads=("operators", "plumbing"),
    limits=(START_UP.key, SPEED.key),
)
def public_after(ctx: Context) -> Judging:
    """Gas counts as let in at the latest moment that leaves room for the start-up, as the limit has it."""
    known = ctx[NIGHTS]
    if stop := unknown(ctx, known):
        return stop
    if not ctx[SHOW].opens:
        return not_checked("when the public is there is not stated (event: hours:)", "/event/hours")
    zone, hours = zone_named(known.zone), (known.opens, known.closes)
    kinds = NIGHTS_OF if len(ctx[SHOW].nights) > 1 else NIGHTS_OF[:1]
    if not any(start_up_of(ctx[STEPS], kind).with_gas for kind in kinds):
        return not_checked(*_NO_GAS)
    unlit = {kind: times_of(ctx, kind).unlit for kind in kinds}
    early: dict[str, list[date]] = {}
    for n, night in enumerate(known.nights):
        seconds = unlit[kinds[-1] if n else kinds[0]]
        over = later(night.starts, whole_minutes(seconds), zone)
        opens = span(night.day, ctx[SHOW].opens, ctx[SHOW].closes, hours, zone).start
        if seconds and opens.real < over.real:
            early.setdefault(clock(over.wall), []).append(night.day)
    for until, days in early.items():
        yield Trouble(
            "/event/hours",
            f"the public is there from {ctx[SHOW].opens} on, and gas is let out unlit until some {until} on the night "
            f"of {listed(days)}",
            f"hours: from {until} or later, or an earlier start-up (limits: {START_UP.key}:)",
            "gas that lies low between people waits for the first cigarette",
        )
    return passed(f"{counted(len(known.nights), 'night')}, the public there from {ctx[SHOW].opens} on")


__all__ = ["public_after", "start_up_fits"]
