"""A show followed in one weather case: what the following gives, and its readers share."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date
from types import MappingProxyType
from typing import TYPE_CHECKING, NamedTuple

from specc import CHOICE, Key, Limit
from specc.kinds.plumbing import Part

if TYPE_CHECKING:
    from specc_fuel.show_run import simulation

_DAY = 86400.0

INLET = Limit(
    "fuel.inlet_margin",
    "5 psi",
    "pressure_difference",
    "max",
    "how far above a regulator's setting its inlet stands, for it to hold the setting",
    CHOICE,
)


class SimulatedShow(NamedTuple):
    """A show followed in one weather case. `clock` is when gas is opened each night, s after midnight, or None."""

    history: simulation.ShowHistory
    nights: tuple[str, ...]
    clock: float | None
    supplies: tuple[tuple[str, tuple[Part, ...]], ...]  # tag, cylinders
    # Supply, place in the spec of a set of bursts of which some begin weak, and s from one to the next that would do.
    apart: tuple[tuple[str, str, float], ...] = ()
    # By the name under which it is followed, the tag of an accumulator: one that several supplies fill has several.
    vessels: Mapping[str, str] = MappingProxyType({})


# The timeline takes a while to import, and only a run needs it: so its kind is not named here.
SIMULATED_SHOW: Key[SimulatedShow] = Key("fuel.simulated_show")

HOLDS_AT_RESERVE: Key[tuple[str, ...]] = Key("fuel.holds_at_reserve", tuple)
"""The supplies that carry a whole night in the low air from their reserve on."""

FEWEST: Key[Mapping[str, int]] = Key("fuel.fewest_cylinders", dict)
"""By supply that carries the show: the fewest of its cylinders with which the show, followed in the low air, holds, and
that at their reserve boil off what the show draws."""

CARRIED: Key[tuple[str, ...]] = Key("fuel.carried", tuple)
"""The supplies that carry the show in every weather case, and a night from their reserve on."""

# What happens to a supply that cannot give what is asked of it.
FALLS_SHORT = ("short", "nothing", "empty")


def falls_short(shows: Mapping[str, SimulatedShow]) -> set[str]:
    """The supplies that cannot give what is asked of them, in some weather case."""
    return {
        one.supply
        for simulated in shows.values()
        for one in simulated.history.supplies
        if any(event.what in FALLS_SHORT for event in one.events)
    }


def clock_of(simulated: SimulatedShow, time: float) -> tuple[str, str]:
    """The night's date, and the time of day (or the time since gas was opened), of a moment of the simulated."""
    starts = simulated.history.starts
    i = max((n for n, (_, begin) in enumerate(starts) if begin <= time + 1e-6), default=0)
    since = time - starts[i][1]
    if simulated.clock is None:
        if since < 0:
            return starts[i][0], "before the first scene"
        hours, minutes = divmod(math.floor(since / 60), 60)
        return starts[i][0], f"{hours} h {minutes:02d} min in"
    day, rest = divmod(simulated.clock + since, _DAY)
    night = date.fromisoformat(starts[i][0])
    day_of = date.fromordinal(night.toordinal() + int(day))
    minute = math.floor(rest / 60)
    return day_of.isoformat() if day else starts[i][0], f"{minute // 60:02d}:{minute % 60:02d}"
