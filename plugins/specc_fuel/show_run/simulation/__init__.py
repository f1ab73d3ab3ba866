"""The cylinders over time, and the show as one timeline.

records.py       what is asked and answered
table.py         propane at saturation, and an accumulator's vapor, as tables
stepper.py       one Runge-Kutta step with its error
cylinder.py      the cylinders on a manifold: heat, cooling, sharing the draw
due.py           what is due on a night, in order
run.py           one supply through the nights, and what happens by itself
all_supplies.py  all supplies: `simulate`
wording.py       what is refused, in words
"""

from specc_fuel.show_run.simulation.all_supplies import simulate
from specc_fuel.show_run.simulation.due import length
from specc_fuel.show_run.simulation.records import (
    Accumulator,
    Balance,
    Cylinder,
    Draw,
    Event,
    GasUsed,
    Left,
    Opened,
    SceneDraw,
    ShowHistory,
    Supply,
    SupplyHistory,
    SupplyNight,
    SupplyState,
    VesselShot,
)
from specc_fuel.show_run.simulation.wording import Overfilled, Overlapping

__all__ = [
    "Accumulator",
    "Balance",
    "Cylinder",
    "Draw",
    "Event",
    "GasUsed",
    "Left",
    "Opened",
    "Overfilled",
    "Overlapping",
    "SceneDraw",
    "ShowHistory",
    "Supply",
    "SupplyHistory",
    "SupplyNight",
    "SupplyState",
    "VesselShot",
    "length",
    "simulate",
]
