"""When one person takes over from another: never while bursts may come, nor while what is left is burned off."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from specc import PRACTICE, Context, Trouble, rule
from specc.model.passes import Judging, passed
from specc.model.view import join
from specc.model.wording import counted
from specc_operators.clock import clock, listed
from specc_operators.duty_rules import by_clock, unknown
from specc_operators.hours import DUTIES, NIGHTS, ROLE_NAMES, Duty, NightHours, by_night


def _armed(night: NightHours, own: list[Duty]) -> Iterator[tuple[Duty, Duty, str, str]]:
    """Who leaves to whom, at what, until when it may burst or burns off. Where nobody takes over, another rule says
    that the post is empty."""
    for effect, armed in night.bursts:
        for leaves in own:
            ends = leaves.span.end
            if leaves.role == "fire_watch" or not armed.start.real < ends.real < armed.end.real:
                continue
            for comes in own:
                takes_over = comes.role == leaves.role and comes.person != leaves.person
                begins = comes.span.start.real
                if takes_over and armed.start.real < begins <= ends.real < comes.span.end.real:
                    yield leaves, comes, effect, clock(armed.end.wall)


@rule(
    "operators.relieved",
    level="warning",
    statement="Nobody is relieved while bursts may come or are burned off",
    source=PRACTICE,
    needs=(NIGHTS, DUTIES),
    reads=("operators",),
)
def relieved(ctx: Context) -> Judging:
    nights, duties = ctx[NIGHTS], ctx[DUTIES]
    if stop := unknown(ctx, nights):
        return stop
    made: dict[tuple[str, str], list[date]] = {}
    on_duty = by_night(duties)
    for night in nights.nights:
        for leaves, comes, effect, until in _armed(night, on_duty[night.day]):
            said = (
                f"{comes.person} takes over from {leaves.person} ({ROLE_NAMES[leaves.role]}) at "
                f"{clock(leaves.span.end.wall)}, and {effect} is armed or burned off until {until}"
            )
            made.setdefault((join(leaves.at, "to"), said), []).append(night.day)
    for (at, said), days in made.items():
        yield Trouble(
            at,
            f"{said} on the night of {listed(days)}",
            "a time when nothing is armed: before the first burst, or once the burning off is over",
            "who is told something looks away, and a burst waits for nobody",
        )
    return passed(f"{counted(len(nights.nights), 'night')}{by_clock(nights)}")


__all__ = ["relieved"]
