"""The show followed over time, in each weather case on its own.

In the low case the cylinders begin as cold as the air, in the high one as warm as the sun has made them. Every night
is the same, with the rest of the day between.
"""

from __future__ import annotations

import math
from datetime import date
from typing import TYPE_CHECKING, NamedTuple

from specc import Context, Key, value
from specc.kinds.gas import CYLINDER_PRESSURE, FLOW
from specc.kinds.plumbing import NETWORK, ZONES, Part
from specc.kinds.show import EFFECTS, SHOW, TIMELINE
from specc.kinds.weather import AIR_PRESSURE
from specc_fuel.accumulators.bursts import STORES
from specc_fuel.keys import BOIL_OFF_ALL, FEED_AREA, WAY_OUT

if TYPE_CHECKING:
    from specc_fuel.show_run import timeline

_DAY = 86400.0


class Course(NamedTuple):
    """A show followed in one weather case. `clock` is when gas is opened each night, s after midnight, or None."""

    timeline: timeline.Timeline
    nights: tuple[str, ...]
    clock: float | None
    supplies: tuple[tuple[str, tuple[Part, ...]], ...]  # tag, cylinders
    needs: tuple[tuple[str, float], ...]  # by supply: the highest setting that it feeds, Pa gauge


# The timeline takes a while to import, and only a run needs it: so its kind is not named here.
OVER_TIME: Key[Course] = Key("fuel.over_time")


@value(
    OVER_TIME,
    needs=(
        NETWORK,
        ZONES,
        EFFECTS,
        SHOW,
        TIMELINE,
        AIR_PRESSURE,
        CYLINDER_PRESSURE,
        FLOW,
        STORES,
        FEED_AREA,
        WAY_OUT,
        BOIL_OFF_ALL,
    ),
    reads=("gas",),
    per_case=True,
)
def over_time(ctx: Context) -> Course:
    from specc_fuel.show_run.from_spec import followed

    _ = ctx[BOIL_OFF_ALL]  # a cylinder without its size is reported there, once
    return followed(ctx)


def clock_of(course: Course, time: float) -> tuple[str, str]:
    """The night's date, and the time of day (or the time since gas was opened), of a moment of the course."""
    starts = course.timeline.starts
    i = max((n for n, (_, begin) in enumerate(starts) if begin <= time + 1e-6), default=0)
    since = time - starts[i][1]
    if course.clock is None:
        hours, minutes = divmod(math.floor(since / 60), 60)
        return starts[i][0], f"{hours} h {minutes:02d} min in"
    day, rest = divmod(course.clock + since, _DAY)
    night = date.fromisoformat(starts[i][0])
    day_of = date.fromordinal(night.toordinal() + int(day))
    minute = math.floor(rest / 60)
    return day_of.isoformat() if day else starts[i][0], f"{minute // 60:02d}:{minute % 60:02d}"


PASSES = (over_time,)
