"""The cylinders over time, and the show as one timeline.

records.py   what is asked and answered
table.py     propane at saturation, and an accumulator's vapor, as tables
stepper.py   one Runge-Kutta step with its error
cylinder.py  the cylinders on a manifold: heat, cooling, sharing the draw
cues.py      what is due on a night, in order
run.py       one supply through the nights, and what happens by itself
show.py      all supplies: `follow`
wording.py   what is refused, in words
"""

from specc_fuel.show_run.timeline.cues import length
from specc_fuel.show_run.timeline.records import (
    Accumulator,
    Balance,
    Burst,
    Cylinder,
    Draw,
    Event,
    Followed,
    Gas,
    Left,
    Night,
    Opened,
    Point,
    Scene,
    Supply,
    Timeline,
)
from specc_fuel.show_run.timeline.show import follow

__all__ = [
    "Accumulator",
    "Balance",
    "Burst",
    "Cylinder",
    "Draw",
    "Event",
    "Followed",
    "Gas",
    "Left",
    "Night",
    "Opened",
    "Point",
    "Scene",
    "Supply",
    "Timeline",
    "follow",
    "length",
]
