"""The show followed over time, in each weather case on its own.

In the low case the cylinders begin as cold as the air, in the high one as warm as the sun has made them. Every night
is the same, with the rest of the day between.
"""

from __future__ import annotations

from specc import Context, value
from specc.kinds.gas import CYLINDER_PRESSURE, FLOW
from specc.kinds.plumbing import NETWORK, ZONES
from specc.kinds.show import EFFECTS, SHOW, TIMELINE
from specc.kinds.weather import AIR_PRESSURE
from specc_fuel.accumulators.bursts import STORES
from specc_fuel.keys import BOIL_OFF_ALL, FEED_AREA, WAY_OUT
from specc_fuel.show_run.followed_show import OVER_TIME, Course


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


PASSES = (over_time,)
