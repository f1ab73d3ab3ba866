"""What the fuel plugin computes and others read: pressures, flows and heats."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from specc.model.passes import FigureSet, Key
from specc.model.values import Figure, Scalar

CYLINDER_PRESSURE: Key[Figure] = Key("fuel.cylinder_pressure_highest", Figure)
"""Gauge pressure in a cylinder, by weather case; the highest governs."""

LOWEST_PRESSURE: Key[Figure] = Key("fuel.cylinder_pressure_lowest", Figure)
"""The same pressures; the lowest governs."""

JET_PRESSURE: Key[FigureSet] = Key("fuel.jet_pressure", dict)
"""By outlet: gauge pressure at its jets while it burns, by weather case."""

FLOW: Key[FigureSet] = Key("fuel.flow", dict)
"""By outlet: mass flow while it burns, by weather case."""

FLOW_TOGETHER: Key[FigureSet] = Key("fuel.flow_together", dict)
"""By outlet: mass flow while all of a scene burn, the least of the scenes, by weather case."""

NET_HEAT: Key[FigureSet] = Key("fuel.heat_net", dict)
"""By outlet: heat rate counted net (LHV), as flames are computed."""

GROSS_HEAT: Key[FigureSet] = Key("fuel.heat_gross", dict)
"""By outlet: heat rate counted gross (HHV), as gas is sold and sized."""

# What follows are the highest pressures at any node of the zone before an outlet's jets, from the network as solved.

SECTION_HIGHEST: Key[FigureSet] = Key("fuel.section_highest", dict)
"""By outlet: gauge pressure with its regulators at their highest settings."""

SECTION_BLOCKED: Key[FigureSet] = Key("fuel.section_blocked", dict)
"""By outlet: the same, with a share of the jets' area blocked (the limit fuel.jets_blocked)."""

SECTION_FAILED_OPEN: Key[FigureSet] = Key("fuel.section_failed_open", dict)
"""By outlet: gauge pressure with each regulator in turn failed open, all jets open, and commercial propane at its
hottest in the cylinders."""


class SmallerFeed(NamedTuple):
    """The three pressures of a zone (Pa gauge) with the orifices that feed it drilled to a share of their bores."""

    share: float
    highest: float
    blocked: float
    failed_open: float


SMALLER_FEEDS: Key[Mapping[str, tuple[SmallerFeed, ...]]] = Key("fuel.smaller_feeds", dict)
"""By outlet whose zone has something brazed and a pressure that may ask for it; the largest share first."""


class FailedGas(NamedTuple):
    """What an outlet that burns on gets with a regulator failed open: net heat, flow, gauge pressure at its jets."""

    heat: Scalar
    flow: Scalar
    pressure: Scalar
    regulator: str = ""  # the one that has failed, "" where there is none


FAILED_OPEN_GAS: Key[Mapping[str, FailedGas]] = Key("fuel.failed_open_gas", dict)
"""By outlet: the most of it, each regulator in turn failed open, as for the pressures above."""


class FailedBurst(NamedTuple):
    """What an outlet of a burst gets as it opens while a regulator has failed open. `regulator`: which one; `liquid`:
    why more may come, "" where it is all gas."""

    regulator: str
    flow: Scalar
    pressure: Scalar
    liquid: str = ""


FAILED_BURSTS: Key[Mapping[str, FailedBurst]] = Key("fuel.failed_bursts", dict)
"""By outlet of a burst: the most of it, in the weather case and with the regulator that let out most. What cannot be
computed is not in it."""

SHUT_IN_GAS: Key[FigureSet] = Key("fuel.shut_in_gas", dict)
"""By `ShutIn.key`: the gas in the piece, by weather case."""

LET_DOWN_TIME: Key[FigureSet] = Key("fuel.let_down_time", dict)
"""By `ShutIn.key` of a piece with an accumulator: how long its gas takes to run out where it is let down."""

SHUT_IN_CLOUD: Key[FigureSet] = Key("fuel.shut_in_cloud", dict)
"""By `ShutIn.key`: the volume that this gas makes flammable at most, mixed with air to its lower limit."""

UNLIT_GAS: Key[FigureSet] = Key("fuel.unlit_gas", dict)
"""By outlet: the gas that comes out when nothing lights it, by weather case: of a burst without an accumulator a whole
opening, of one that says how long lighting takes what flows until then."""

STUCK_GAS: Key[FigureSet] = Key("fuel.stuck_open_gas", dict)
"""By outlet that an accumulator feeds: the gas that comes out if the whole way to it sticks open, until its supply is
closed."""

UNLIT_CLOUD: Key[FigureSet] = Key("fuel.unlit_cloud", dict)
"""By outlet, bursts from accumulators too: the volume that this gas makes flammable at most, mixed with air to its
lower limit. The gas is its input "m"."""

PURGE_WAIT: Key[Figure] = Key("fuel.purge_wait", Figure)
"""How long to wait before lighting again what did not light."""

GAS_ON_SITE: Key[Figure] = Key("fuel.gas_on_site", Figure)
"""Mass of propane in all cylinders, full."""

NIGHT_GAS: Key[Figure] = Key("fuel.gas_each_night", Figure)
"""Mass of gas that one night of the show burns."""

GAS_LEFT: Key[FigureSet] = Key("fuel.gas_left", dict)
"""Mass of gas left after all nights, by supply (called by its first cylinder), in the governing weather case."""

RUN_TIME: Key[FigureSet] = Key("fuel.run_time", dict)
"""How long a full supply lasts at its mean draw, by supply; none for one that gets too cold before its gas ends."""
