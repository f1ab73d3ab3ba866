"""The dimensions a quantity can have, and the types that calculators are annotated with.

A calculator takes and returns floats in SI. Its annotations say which dimension each float has, and
`specc calc`, figures and tests read the units from there:

    def heat(flow: MassFlow, heating_value: SpecificEnergy) -> Power: ...

Gauge and absolute pressure are dimensions of their own, so one never slips in for the other. So are a
temperature and a difference of temperatures.
"""

from __future__ import annotations

from typing import Annotated, NamedTuple, TypeAlias


class Dim(NamedTuple):
    """Marks a float with a dimension, inside `Annotated`."""

    name: str


class Dimension(NamedTuple):
    """`si` is the coherent unit; `us` and `metric` are what figures print; `likely` go into messages."""

    name: str
    words: str
    si: str
    us: str
    metric: str
    likely: tuple[str, ...]


_TABLE = (
    Dimension("length", "a length", "m", "in", "mm", ("in", "ft", "mm", "m")),
    Dimension("area", "an area", "m²", "in²", "mm²", ("in²", "ft²", "mm²", "m²")),
    Dimension("volume", "a volume", "m³", "gal", "L", ("gal", "ft³", "L", "m³")),
    Dimension("mass", "a mass", "kg", "lb", "kg", ("lb", "oz", "kg", "g")),
    Dimension("amount_mass", "a molar mass", "kg/mol", "g/mol", "g/mol", ("g/mol", "kg/mol")),
    Dimension("duration", "a time", "s", "h", "h", ("s", "min", "h")),
    # Told apart from a time: no show lasts a year, and no hose is good for an hour.
    Dimension("age", "an age", "s", "yr", "yr", ("yr", "mo", "d")),
    Dimension("temperature", "a temperature", "K", "°F", "°C", ("°F", "°C", "K")),
    Dimension("temperature_difference", "a difference of temperatures", "K", "°F", "°C", ("°F", "°C", "K")),
    Dimension("gauge_pressure", "a gauge pressure", "Pa", "psig", "kPa", ("psi", "in w.c.", "kPa", "bar")),
    Dimension("absolute_pressure", "an absolute pressure", "Pa", "psia", "kPa abs", ("psia", "kPa abs", "bar abs")),
    Dimension("pressure_difference", "a difference of pressures", "Pa", "psi", "kPa", ("psi", "in w.c.", "kPa")),
    Dimension("speed", "a speed", "m/s", "mph", "m/s", ("mph", "ft/s", "m/s", "km/h")),
    Dimension("mass_flow", "a mass flow", "kg/s", "lb/h", "g/s", ("lb/h", "kg/h", "g/s")),
    Dimension("volume_flow", "a volume flow", "m³/s", "ft³/h", "m³/h", ("ft³/h", "gpm", "m³/h", "L/min")),
    Dimension("power", "a heat rate or power", "W", "BTU/h", "kW", ("BTU/h", "kBTU/h", "kW", "W")),
    Dimension("energy", "an energy", "J", "BTU", "MJ", ("BTU", "kBTU", "MJ", "kWh")),
    Dimension("specific_energy", "an energy per mass", "J/kg", "BTU/lb", "MJ/kg", ("BTU/lb", "MJ/kg", "kJ/kg")),
    Dimension(
        "specific_heat",
        "a specific heat",
        "J/(kg·K)",
        "BTU/(lb·°F)",
        "kJ/(kg·K)",
        ("BTU/(lb·°F)", "kJ/(kg·K)"),
    ),
    Dimension("molar_heat", "a molar heat", "J/(mol·K)", "J/(mol·K)", "J/(mol·K)", ("J/(mol·K)",)),
    Dimension("molar_energy", "an energy per mole", "J/mol", "kJ/mol", "kJ/mol", ("kJ/mol", "J/mol")),
    Dimension("density", "a density", "kg/m³", "lb/ft³", "kg/m³", ("lb/ft³", "lb/gal", "kg/m³")),
    Dimension("heat_flux", "a heat flux", "W/m²", "BTU/(h·ft²)", "kW/m²", ("kW/m²", "BTU/(h·ft²)")),
    Dimension(
        "thermal_dose",
        "a thermal dose",
        "(W/m²)^(4/3)·s",
        "(kW/m²)^(4/3)·s",
        "(kW/m²)^(4/3)·s",
        ("(kW/m²)^(4/3)·s", "TDU"),
    ),
    Dimension("force", "a force", "N", "lbf", "N", ("lbf", "N")),
    Dimension("ratio", "a number or percentage", "", "", "", ("%", "no unit")),
    Dimension("count", "a count", "", "", "", ("no unit",)),
    Dimension("angle", "an angle", "rad", "°", "°", ("°", "rad")),
    Dimension("voltage", "a voltage", "V", "V", "V", ("V",)),
    Dimension("current", "a current", "A", "A", "A", ("A", "mA")),
    Dimension("resistance", "an electrical resistance", "Ω", "Ω", "Ω", ("ohm", "kohm")),
    Dimension("resistivity", "a resistivity", "Ω·m", "Ω·m", "Ω·m", ("Ω·m",)),
    Dimension("inductance", "an inductance", "H", "H", "H", ("H", "mH")),
    Dimension("charge", "an amount of charge", "C", "Ah", "Ah", ("Ah",)),
    # Told apart from heat: a coil is 10 W in any shop, and nobody asks for it in BTU/h.
    Dimension("electric_power", "an electrical power", "W", "W", "W", ("W",)),
    Dimension("moment", "a moment", "N·m", "lbf·ft", "N·m", ("lbf·ft", "N·m")),
)

DIMENSIONS: dict[str, Dimension] = {d.name: d for d in _TABLE}

Length: TypeAlias = Annotated[float, Dim("length")]
Area: TypeAlias = Annotated[float, Dim("area")]
Volume: TypeAlias = Annotated[float, Dim("volume")]
Mass: TypeAlias = Annotated[float, Dim("mass")]
MolarMass: TypeAlias = Annotated[float, Dim("amount_mass")]
Duration: TypeAlias = Annotated[float, Dim("duration")]
Age: TypeAlias = Annotated[float, Dim("age")]
Temperature: TypeAlias = Annotated[float, Dim("temperature")]
TemperatureDifference: TypeAlias = Annotated[float, Dim("temperature_difference")]
GaugePressure: TypeAlias = Annotated[float, Dim("gauge_pressure")]
AbsolutePressure: TypeAlias = Annotated[float, Dim("absolute_pressure")]
PressureDifference: TypeAlias = Annotated[float, Dim("pressure_difference")]
Speed: TypeAlias = Annotated[float, Dim("speed")]
MassFlow: TypeAlias = Annotated[float, Dim("mass_flow")]
VolumeFlow: TypeAlias = Annotated[float, Dim("volume_flow")]
Power: TypeAlias = Annotated[float, Dim("power")]
Energy: TypeAlias = Annotated[float, Dim("energy")]
SpecificEnergy: TypeAlias = Annotated[float, Dim("specific_energy")]
SpecificHeat: TypeAlias = Annotated[float, Dim("specific_heat")]
MolarEnergy: TypeAlias = Annotated[float, Dim("molar_energy")]
Density: TypeAlias = Annotated[float, Dim("density")]
HeatFlux: TypeAlias = Annotated[float, Dim("heat_flux")]
ThermalDose: TypeAlias = Annotated[float, Dim("thermal_dose")]
Force: TypeAlias = Annotated[float, Dim("force")]
Voltage: TypeAlias = Annotated[float, Dim("voltage")]
Current: TypeAlias = Annotated[float, Dim("current")]
Resistance: TypeAlias = Annotated[float, Dim("resistance")]
Inductance: TypeAlias = Annotated[float, Dim("inductance")]
Charge: TypeAlias = Annotated[float, Dim("charge")]
ElectricPower: TypeAlias = Annotated[float, Dim("electric_power")]
Moment: TypeAlias = Annotated[float, Dim("moment")]
Angle: TypeAlias = Annotated[float, Dim("angle")]
Ratio: TypeAlias = Annotated[float, Dim("ratio")]
Count: TypeAlias = Annotated[float, Dim("count")]
