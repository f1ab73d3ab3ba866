"""What the fuel plugin computes and others read: pressures, flows and heats."""

from __future__ import annotations

from specc.model import Figure
from specc.passes import FigureSet, Key

CYLINDER_PRESSURE: Key[Figure] = Key("fuel.cylinder_pressure_highest", Figure)
"""Gauge pressure in a cylinder, by weather case; the highest governs."""

LOWEST_PRESSURE: Key[Figure] = Key("fuel.cylinder_pressure_lowest", Figure)
"""The same pressures; the lowest governs."""

JET_PRESSURE: Key[FigureSet] = Key("fuel.jet_pressure", dict)
"""By outlet: gauge pressure at its jets while it burns, by weather case."""

FLOW: Key[FigureSet] = Key("fuel.flow", dict)
"""By outlet: mass flow while it burns, by weather case."""

NET_HEAT: Key[FigureSet] = Key("fuel.heat_net", dict)
"""By outlet: heat rate counted net (LHV), as flames are computed."""

GROSS_HEAT: Key[FigureSet] = Key("fuel.heat_gross", dict)
"""By outlet: heat rate counted gross (HHV), as gas is sold and sized."""
