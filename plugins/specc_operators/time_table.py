"""Times: on foot to the valves, what start-up and shutdown are counted with, and when a stop ends the night."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

from specc import Column, Context, Key, Row, Table, TableBlock, section, table, value
from specc.kinds.faults import CLOSING_TIMES
from specc.kinds.places import PLACES
from specc.kinds.plumbing import JOINTS
from specc.kinds.procedures import AFTER_STOP, CHECKS, STEPS
from specc.kinds.show import SHOW
from specc.model.blocks import Block
from specc_operators.clock import clock, later, zone_named
from specc_operators.hours import DUTIES, NIGHTS, SHUT_DOWN, START_UP
from specc_operators.posts import SPEED
from specc_operators.shutdown_time import shut_down
from specc_operators.start_up_time import NIGHTS_OF, joints_of, lit_at_last, start_up_of, times_of, with_air
from specc_operators.task_times import BURNS_ON, LINE, TASKS, minutes, seconds_each, takes, tally

ANEW: Key[str] = Key("operators.anew", str)
"""From when on a stop or a hold ends the night, in words; "" where that is not known."""


@table(
    "operators.task_times",
    title="How long start-up and shutdown take, as counted",
    needs=(STEPS, PLACES, SHOW, NIGHTS),
    wants=(JOINTS, CHECKS),
    reads=("plumbing",),
    limits=(START_UP.key, SHUT_DOWN.key, SPEED.key),
)
def task_times(ctx: Context) -> Table:
    """Each task with its time and how often it comes in the start-up and the shutdown of a first
    night."""
    start = start_up_of(ctx[STEPS], "first")
    stop = shut_down(ctx[STEPS], 0, len(ctx[SHOW].nights))
    begun = tally([*start.before, *start.with_gas], joints_of(ctx))
    ended = tally(stop, 0)
    checks = ctx.get(CHECKS)
    burns = sum(any(a.action == "watch" and a.where for a in s.acts) for s in stop)
    counts = [(task, begun[task.words], ended[task.words]) for task in TASKS]
    counts += [(LINE, len(checks) if checks else 0, 0), (BURNS_ON, 0, burns)]
    cells = [(task.words, f"{task.seconds:g} s × {n or '–'} / {m or '–'}") for task, n, m in counts if n or m]
    # Three to a row, read downward.
    third = (len(cells) + 2) // 3
    groups = zip_longest(cells[:third], cells[third : 2 * third], cells[2 * third :], fillvalue=("", ""))
    rows = [Row(tuple(cell for one in group for cell in one)) for group in groups]
    columns = (Column("task", 1.5), Column("each × times", 0.8)) * 3
    return Table("", "", columns, tuple(rows), _note(ctx))


def _note(ctx: Context) -> str:
    first = times_of(ctx, NIGHTS_OF[0])
    tested = (
        ", a test with air or nitrogen included" if any(map(with_air, start_up_of(ctx[STEPS], "first").before)) else ""
    )
    said = [
        "Times: at start-up / shutdown.",
        f"Before gas {minutes(first.before.total)}{tested}; with gas {minutes(first.with_gas.total)}: "
        f"{first.with_gas.words}.",
        "Common practice, no published source: one after another.",
    ]
    return " ".join(s for s in said if s)


@value(ANEW, needs=(STEPS, PLACES, SHOW, NIGHTS), wants=(JOINTS, CHECKS), reads=("plumbing",),
       limits=(START_UP.key, SHUT_DOWN.key, SPEED.key))  # fmt: skip
def anew(ctx: Context) -> str:
    """From when on nothing is lit again after a stop or a hold: what is left of the night is too short to start anew,
    with the lines let down before."""
    nights = ctx[NIGHTS]
    if not nights.nights or not lit_at_last(start_up_of(ctx[STEPS], NIGHTS_OF[0]).with_gas):
        return ""
    steps = sorted(
        (s for s in ctx[STEPS] if s.procedure == "emergency" and s.moment == AFTER_STOP), key=lambda s: s.order
    )
    let_down = takes(steps, seconds_each(steps, 0), ctx[PLACES], ctx.limit(SPEED.key).si).total
    again = times_of(ctx, NIGHTS_OF[-1]).with_gas.total + let_down
    zone = zone_named(nights.zone)
    last = later(nights.nights[0].ends, -ctx.limit(SHUT_DOWN.key).si, zone)
    until = clock(later(last, -again, zone).wall)
    return f"Lit anew takes {minutes(again)} after a stop or hold: from {until} on it ends the night."


@section("times", title="Times", order=89, needs=(CLOSING_TIMES, STEPS), wants=(DUTIES,))
def times_section(ctx: Context) -> Sequence[Block]:
    """Without a roster there is nobody whose hours these times would be held against."""
    lit = ctx.get(DUTIES) and lit_at_last(start_up_of(ctx[STEPS], NIGHTS_OF[0]).with_gas)
    shown = {"operators.walks": ctx[CLOSING_TIMES], "operators.task_times": lit}
    return [TableBlock(key) for key, there in shown.items() if there]


__all__ = ["task_times"]
