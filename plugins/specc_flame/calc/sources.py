"""The constants and citations that several calculators of this package share. references.yaml explains the ids."""

from __future__ import annotations

from specc.model.values import CHOICE, PRACTICE, Citation, Constant

HESKESTAD = Citation("nist-cor", "chapter on heat flux, mean flame height of Heskestad", "read")
HESKESTAD_RANGE = Citation("fds-validation", "chapter on plumes, range of the data behind the flame heights", "read")
DELICHATSIOS = Citation("delichatsios-1993", "flame length of round turbulent jets, as coded in HyRAM+ 6.1", "reprint")
TIP = Citation("", "", "practice")

# The heat that a flame sends out as radiation, over its net heat. Literature has 0.27 to 0.33 for propane.
RADIATIVE = Constant(
    0.32, "ratio", "0.32", Citation("nist-cor", "validation against the propane burner of Fleury, 0.32", "read")
)
# The same measurements stand up to 21 % above a point source: see tests/flame/test_measured.py.
BIAS = Constant(
    1.25,
    "ratio",
    "1.25",
    Citation("fleury-2010", "gauges 0.5 to 2 m from a propane burner read up to 1.21 times the model", "computed"),
)
AIR_HEAT = Constant(1000.0, "specific_heat", "1.0 kJ/(kg·K)", Citation("nist-cor", "chapter on plumes", "read"))
STANDARD_AIR = 101325.0  # Pa absolute: sea level, where nothing else is said
GRAVITY = 9.81  # m/s2
STEFAN = Constant(
    5.670374419e-8,
    "ratio",
    "5.670374419e-8 W/(m²·K⁴)",
    Citation("codata-2018", "Stefan-Boltzmann constant", "memory"),
)
USUAL_AIR = 293.15  # K

__all__ = [
    "AIR_HEAT",
    "BIAS",
    "CHOICE",
    "DELICHATSIOS",
    "GRAVITY",
    "HESKESTAD",
    "HESKESTAD_RANGE",
    "PRACTICE",
    "RADIATIVE",
    "STANDARD_AIR",
    "STEFAN",
    "TIP",
    "USUAL_AIR",
]
