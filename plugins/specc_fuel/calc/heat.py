"""Heat from gas: gross and net heating values of propane, and heat from a flow.

Gross (higher) counts the heat of the water vapor in the smoke as if it condensed: gas is sold and supplies
are sized by it. Net (lower) leaves it out: flames are computed with it. Net is about 8 % less. Every name
here says which it is.
"""

from __future__ import annotations

from specc.dims import MassFlow, Power, SpecificEnergy
from specc.formulas.calculators import calculator
from specc.model.values import Citation, Constant, Equation, Symbol
from specc_fuel.calc import checks

NIST_COMBUSTION = Citation(
    "nist-webbook",
    "propane, ID C74986: enthalpy of combustion, gas, 25 °C, liquid water (Pittam and Pilcher 1972)",
)
NIST_MASS = Citation("nist-webbook", "propane, ID C74986: molar mass")
WATER = Citation("codata-key-values", "formation of water: -285.830 liquid, -241.826 gas, kJ/mol", "memory")

COMBUSTION = Constant(2219200.0, "molar_energy", "2219.2 kJ/mol", NIST_COMBUSTION)
CONDENSATION = Constant(44004.0, "molar_energy", "44.004 kJ/mol", WATER)
MASS = Constant(0.0440956, "amount_mass", "44.0956 g/mol", NIST_MASS)

_H_C = Symbol("H_c", "molar_energy", "heat of combustion at 25 °C, water condensed")
_H_W = Symbol("H_w", "molar_energy", "heat of condensation of water at 25 °C; four moles for one of propane")
_M = Symbol("M", "amount_mass", "molar mass of propane")
_FLOW = Symbol("w", "mass_flow", "mass flow of gas")
_GROSS = (("H_c", COMBUSTION), ("M", MASS))
_NET = (("H_c", COMBUSTION), ("H_w", CONDENSATION), ("M", MASS))
_VALIDITY = "pure propane gas, burned completely, from 25 °C back to 25 °C; a blend differs a little"

GROSS_HEATING_VALUE = Equation(
    forms=(("", "h_g = H_c/M"),),
    symbols=(_H_C, _M, Symbol("h_g", "specific_energy", "gross heating value")),
    citations=(NIST_COMBUSTION, NIST_MASS),
    validity=_VALIDITY,
    constants=_GROSS,
)


@calculator("gross-heating-value", GROSS_HEATING_VALUE)
def gross_heating_value() -> SpecificEnergy:
    """The gross (higher) heating value of propane per mass.

    h_g = H_c / M.

    Returns J/kg, gross. Validity: pure propane gas at 25 °C, complete combustion. Errors: none.
    Source: NIST WebBook, ID C74986 (uncertainty 0.46 in 2219.2 kJ/mol).

    >>> round(gross_heating_value() / 1e6, 2)
    50.33
    """
    return COMBUSTION.si / MASS.si


NET_HEATING_VALUE = Equation(
    forms=(("", "h_n = (H_c - 4*H_w)/M"),),
    symbols=(_H_C, _H_W, _M, Symbol("h_n", "specific_energy", "net heating value")),
    citations=(NIST_COMBUSTION, NIST_MASS, WATER),
    validity=_VALIDITY,
    constants=_NET,
)


@calculator("net-heating-value", NET_HEATING_VALUE)
def net_heating_value() -> SpecificEnergy:
    """The net (lower) heating value of propane per mass.

    h_n = (H_c - 4 H_w) / M: one mole of propane makes four of water.

    Returns J/kg, net. Validity: pure propane gas at 25 °C, complete combustion. Errors: none.
    Source: NIST WebBook, ID C74986; water's heat of condensation from the CODATA key values (from memory).

    >>> round(net_heating_value() / 1e6, 2)
    46.34
    """
    return (COMBUSTION.si - 4 * CONDENSATION.si) / MASS.si


GROSS_HEAT = Equation(
    forms=(("", "Q_g = w*H_c/M"),),
    symbols=(_FLOW, _H_C, _M, Symbol("Q_g", "power", "heat rate, gross")),
    citations=(NIST_COMBUSTION, NIST_MASS),
    validity=_VALIDITY,
    constants=_GROSS,
)


@calculator("gross-heat", GROSS_HEAT, symbols="w")
def gross_heat(flow: MassFlow) -> Power:
    """The gross heat rate of a flow of propane: what supplies are sized by.

    Q_g = w H_c / M.

    flow: kg/s. Returns W, gross. Validity: as `gross_heating_value`. Errors: ValueError for a flow below
    zero.
    Source: NIST WebBook, ID C74986.
    """
    checks.not_below_zero("a flow", flow, "kg/s")
    return flow * gross_heating_value()


NET_HEAT = Equation(
    forms=(("", "Q_n = w*(H_c - 4*H_w)/M"),),
    symbols=(_FLOW, _H_C, _H_W, _M, Symbol("Q_n", "power", "heat rate, net")),
    citations=(NIST_COMBUSTION, NIST_MASS, WATER),
    validity=_VALIDITY,
    constants=_NET,
)


@calculator("net-heat", NET_HEAT, symbols="w")
def net_heat(flow: MassFlow) -> Power:
    """The net heat rate of a flow of propane: what flames are computed with.

    Q_n = w (H_c - 4 H_w) / M.

    flow: kg/s. Returns W, net. Validity: as `net_heating_value`. Errors: ValueError for a flow below zero.
    Source: as `net_heating_value`.
    """
    checks.not_below_zero("a flow", flow, "kg/s")
    return flow * net_heating_value()


GAS_HEAT = Equation(
    forms=(("", "Q = w*h"),),
    symbols=(
        _FLOW,
        Symbol("h", "specific_energy", "heating value as given; the heat is gross or net as it is"),
        Symbol("Q", "power", "heat rate, on the basis of the heating value"),
    ),
    citations=(NIST_COMBUSTION,),
    validity="any gas; gross or net as the heating value is",
)


@calculator("gas-heat", GAS_HEAT, symbols="w h")
def gas_heat(flow: MassFlow, heating_value: SpecificEnergy) -> Power:
    """The heat rate of a flow of gas whose heating value is given.

    Q = w h; gross or net as h is.

    flow: kg/s. heating_value: J/kg. Returns W. Validity: any gas. Errors: ValueError for a flow below zero or
    a heating value not above zero. Source: what a heating value means; no published source needed.
    """
    checks.not_below_zero("a flow", flow, "kg/s")
    checks.above_zero("a heating value", heating_value, "J/kg")
    return flow * heating_value


GAS_FOR_HEAT = Equation(
    forms=(("", "w = Q/h"),),
    symbols=(
        Symbol("Q", "power", "heat rate, on the basis of the heating value"),
        Symbol("h", "specific_energy", "heating value, on the same basis as the heat rate"),
        _FLOW,
    ),
    citations=(NIST_COMBUSTION,),
    validity="any gas; heat and heating value both gross or both net",
)


@calculator("gas-for-heat", GAS_FOR_HEAT, symbols="Q h")
def gas_for_heat(heat: Power, heating_value: SpecificEnergy) -> MassFlow:
    """The flow of gas that a heat rate takes.

    w = Q / h; both gross or both net.

    heat: W. heating_value: J/kg. Returns kg/s. Validity: any gas. Errors: ValueError for a heat rate below
    zero or a heating value not above zero. Source: as `gas_heat`.
    """
    checks.not_below_zero("a heat rate", heat, "W")
    checks.above_zero("a heating value", heating_value, "J/kg")
    return heat / heating_value
