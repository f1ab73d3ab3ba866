"""Constants and citations that several calculators of this package share; the ids are told in references.yaml."""

from __future__ import annotations

from specc.model.values import Citation, Constant

COPPER = Citation("iec-60028-reprints", "annealed copper, 1/58 Ω·mm²/m at 20 °C", "reprint")
COPPER_HEAT = Citation("iec-60028-reprints", "zero of resistance of copper extrapolated to -234.5 °C", "reprint")
AWG = Citation("astm-b258-reprints", "diameter of gauge 36 is 0.005 in, of 0000 0.460 in; 39 equal ratios", "reprint")
OHM = Citation("boylestad", "Ohm's law and the law for series circuits; edition and page not read", "memory")

# The resistance of copper goes in a straight line to zero here: the handbooks' R2/R1 = (234.5+T2)/(234.5+T1).
ZERO_POINT = Constant(273.15 - 234.5, "temperature", "-234.5 °C", COPPER_HEAT)
TWENTY = Constant(293.15, "temperature", "20 °C", COPPER)
RESISTIVITY = Constant(1 / 58 * 1e-6, "resistivity", "1/58 Ω·mm²/m", COPPER)
COPPER_CONSTANTS = (("T_z", ZERO_POINT), ("T_20", TWENTY))


def check_temperature(*temperatures: float) -> None:
    """Raises ValueError outside -50 to 250 °C, where copper's straight line was not compared with anything."""
    for one in temperatures:
        if not 223.15 <= one <= 523.15:
            raise ValueError("copper is taken as straight between -50 °C and 250 °C only")
