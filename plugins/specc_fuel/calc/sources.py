"""The constants and citations that several calculators of this package share.

The ids are explained in references.yaml of this plugin.
"""

from __future__ import annotations

from specc.model.values import Citation, Constant

# The equation of state was taken from CoolProp's data file, not from the paper's pages: hence "reprint".
LEMMON = Citation("lemmon-2009", "equation of state for propane and its coefficients", "reprint")
LEMMON_CP0 = Citation("lemmon-2009", "ideal-gas heat capacity", "reprint")
# The flow of an ideal gas through a nozzle. Both books' worked examples are among the tests.
CHOKED = Citation("api-520-1", "gas at critical flow, sizing equation and its example", "reprint")
NOZZLE = Citation("cengel-cimbala", "chapter 12, isentropic flow through converging nozzles", "memory")
# How far the ideal-gas form is off for propane was computed for this tool with the CoolProp library.
REAL_GAS = Citation("coolprop-8", "largest isentropic mass flux of the real gas", "computed")

# The gas constant and molar mass that belong to the equation of state; its Z is only right with these.
R_PAPER = Constant(8.314472, "molar_heat", "8.314472 J/(mol·K)", LEMMON)
M_PROPANE = Constant(0.04409562, "amount_mass", "44.09562 g/mol", LEMMON)

# The gas constant for any other gas.
R_CODATA = Constant(
    8.314462618,
    "molar_heat",
    "8.314462618 J/(mol·K)",
    Citation("codata-2018", "molar gas constant", "reprint"),
)

STANDARD_AIR = 101325.0  # Pa absolute: sea level, and the default where no elevation is given
