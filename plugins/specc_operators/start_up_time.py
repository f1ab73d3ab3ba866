"""Whether the start-up fits into the time that gas is on before the first scene: the waits that its steps name, what is
done in them one thing after another, and the ways between, on each kind of night.

Nobody publishes how long such things take. The times here are common practice and rather long; filling and letting down
a vessel count with one time each, whatever its size.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from specc import PRACTICE, Context, Trouble, Unchecked, not_checked, rule, show
from specc.kinds.places import PLACES, Spot
from specc.kinds.procedures import STEPS, Action, OnNight, Step
from specc.kinds.show import SHOW
from specc.model.passes import Judging, passed
from specc.model.wording import counted
from specc_operators.duty_rules import NO_ROSTER
from specc_operators.hours import START_UP
from specc_operators.posts import SPEED, spot_of

# s for one act; what is not named takes no time of its own. Common practice, no published source.
TAKES: Mapping[Action, float] = {
    "open": 5, "close": 5, "soap": 20, "purge": 10, "bleed": 90, "screw_in": 30, "set": 30, "light": 20, "look": 15,
    "read": 10, "check": 5, "watch": 5, "key_in": 5, "key_out": 5, "switch_on": 5, "switch_off": 5, "pull": 20,
    "put_back": 20, "arm": 10,
}  # fmt: skip
_NIGHTS: tuple[OnNight, ...] = ("first", "later")


def with_gas(steps: Sequence[Step], night: OnNight) -> list[Step]:
    """The steps of a night's start-up from the first that opens a valve: what comes before needs no gas."""
    own = sorted((s for s in steps if s.procedure == "start" and s.night in ("every", night)), key=lambda s: s.order)
    first = next((n for n, s in enumerate(own) if any(a.action == "open" for a in s.acts)), len(own))
    return own[first:]


def walked(steps: Sequence[Step], places: Mapping[str, Spot]) -> float:
    """How far people walk in all, in m: each in a straight line from one place to the next, at first from the first."""
    at: dict[str, str] = {}
    made = 0.0
    for act in (a for s in steps for a in s.acts if a.who and a.where):
        before = at.get(act.who, act.where)
        here, there = spot_of(places.get(before)), spot_of(places.get(act.where))
        made += math.dist(here, there) if here and there else 0.0
        at[act.who] = act.where
    return made


def takes(steps: Sequence[Step]) -> tuple[float, float]:
    """Of some steps the waits and the tasks, in s."""
    return sum(s.lasts for s in steps), sum(TAKES.get(a.action, 0.0) for s in steps for a in s.acts)


@rule(
    "operators.start_up_fits",
    level="warning",
    statement="The start-up fits into the time that gas is on before the first scene",
    source=PRACTICE,
    needs=(STEPS, PLACES, SHOW),
    reads=("operators",),
    limits=(START_UP.key, SPEED.key),
)
def start_up_fits(ctx: Context) -> Judging:
    nights = _NIGHTS if len(ctx[SHOW].nights) > 1 else _NIGHTS[:1]
    if not any(with_gas(ctx[STEPS], n) for n in nights):
        no_gas = not_checked("no step lets gas in: no outlet is fed by a cylinder", "/plumbing/runs")
        return no_gas if len(ctx.spec("operators")) else not_checked(NO_ROSTER)
    if not any(a.action == "light" or a.action == "arm" for s in with_gas(ctx[STEPS], "first") for a in s.acts):
        yield Unchecked("no order was found for the start-up, so how long it takes is not known", "/plumbing/runs")
        return passed("")
    limit = ctx.limit(START_UP.key)
    said, by_parts = [], dict[tuple[float, str], list[OnNight]]()
    for night in nights:
        own = with_gas(ctx[STEPS], night)
        far = walked(own, ctx[PLACES])
        waits, tasks = takes(own)
        ways = far / ctx.limit(SPEED.key).si if far else 0.0
        total = 60.0 * math.ceil((waits + tasks + ways) / 60.0 - 1e-9)
        parts = f"{_min(waits)} of waits, {_min(tasks)} of tasks, {_min(ways)} on foot"
        by_parts.setdefault((total, parts), []).append(night)
    for (total, parts), own_nights in by_parts.items():
        which = "later nights" if own_nights == ["later"] else "the first night"
        name = "in all" if len(nights) == 1 else "on each night" if len(own_nights) > 1 else f"on {which}"
        said.append(f"{_min(total)} {name}: {parts}")
        if total > limit.si * (1 + 1e-9):
            yield Trouble(
                "/limits",
                f"the start-up takes some {_min(total)} {name} ({parts}), and gas is let in {limit.text} before",
                f"limits: {{{START_UP.key}: {_min(total)}}}, with everybody at their post from then on",
                "whoever is late leaves out a wait or a joint",
            )
    return passed(f"{'; '.join(said)}; {counted(len(nights), 'kind')} of night against {limit.text}")


def _min(seconds: float) -> str:
    return show(60.0 * round(seconds / 60.0), "duration", "min")


__all__ = ["start_up_fits"]
