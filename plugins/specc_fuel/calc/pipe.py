"""Pipe, tube and hose: the capacity by the code's sizing equations, and pressure drop and flow by friction.

The two differ on purpose. The code's equations stand for its tables, at its own gas and no temperature; friction is
the flow itself, for any bore, roughness, fitting and temperature. Against the tables' rows for steel (46 µm) friction
comes out 10 % below to 10 % above; against those for copper (1.5 µm) 4 to 20 % above: the code's copper rows carry a
reserve. Where a rule judges a size, the lower capacity counts.
"""

from __future__ import annotations

from specc.dims import (
    AbsolutePressure,
    GaugePressure,
    Length,
    MassFlow,
    Power,
    PressureDifference,
    Ratio,
    Temperature,
)
from specc.formulas.calculators import calculator
from specc.model.values import Answer, Citation, Constant, Equation, Symbol
from specc_fuel.calc import checks, isothermal
from specc_fuel.calc.isothermal import CHURCHILL, ISOTHERMAL, GasState, IsothermalGas, Pipe
from specc_fuel.calc.sources import LEMMON, STANDARD_AIR
from specc_fuel.calc.viscosity import VOGEL

PSI = 6894.757293168
WATER_INCH = PSI / 27.7  # Pa, as the code's appendix turns psi into inches of water
INCH = 0.0254
FOOT = 0.3048
CODE_AIR = 14.7 * PSI  # the code's air, psia

# Roughness, m. All depend on the maker, age and dirt.
DRAWN_TUBE = Constant(
    1.5e-6, "length", "1.5 µm", Citation("moody-1944", "roughness of drawn tubing, 0.000005 ft", "memory")
)
STEEL_PIPE = Constant(
    46e-6, "length", "46 µm", Citation("moody-1944", "roughness of commercial steel, 0.00015 ft", "memory")
)
# Handbooks give 6 to 70 µm for smooth rubber (from memory). Taken as steel, which is nearer to the worse end.
HOSE = Constant(46e-6, "length", "46 µm", Citation("", "hose taken as steel pipe", "choice"))

_IFGC = Citation("ifgc-2018", "402.4 and appendix A.4: gas pipe sizing equations; 2313 for low pressure", "reprint")
_IFGC_MEMORY = Citation("ifgc-2018", "appendix A.4: exponents, and 2237 for high pressure", "memory")
_IRC = Citation("irc-2018", "table G2413.4: Cr 1.2462 and Y 0.9910 for undiluted propane", "reprint")
_CUBIC_FOOT = Citation(
    "lp-gas-handbook", "2,488 Btu/ft³ gross, after vaporization; that the code's tables use it", "reprint"
)
CODE_HEAT = Constant(2488 * 0.29307107017222, "power", "2,488 Btu/h", _CUBIC_FOOT)
CR = Constant(1.2462, "ratio", "1.2462", _IRC)
Y = Constant(0.9910, "ratio", "0.9910", _IRC)

ONE_INCH = Constant(INCH, "length", "1 in", Citation("", "the inch, in which the code counts bores", "practice"))

HIGH_FROM = 1.5 * PSI  # inlet, Pa gauge, from which the code's form for high pressure applies

CAPACITY = Equation(
    forms=(
        ("low pressure", "Q = h*2313*D**2.623*(H/(C_r*L_f))**0.541"),
        ("high pressure", "Q = h*2237*D**2.623*((P_1**2 - P_2**2)*Y/(C_r*L_f))**0.541"),
    ),
    symbols=(
        Symbol("d", "length", "bore"),
        Symbol("L", "length", "length, with the equivalent lengths of the fittings"),
        Symbol("p_1", "gauge_pressure", "pressure at the inlet, gauge"),
        Symbol("Delta_p", "pressure_difference", "pressure that may be lost"),
        Symbol("p_a", "absolute_pressure", "absolute pressure of the air"),
        Symbol("D", "ratio", "bore in inches"),
        Symbol("L_f", "ratio", "length in feet"),
        Symbol("H", "ratio", "pressure that may be lost, in inches of water"),
        Symbol("P_1", "ratio", "inlet pressure in psia"),
        Symbol("P_2", "ratio", "outlet pressure in psia"),
        Symbol("C_r", "ratio", "the code's factor for the gas: density, viscosity"),
        Symbol("Y", "ratio", "the code's factor for the gas: compressibility"),
        Symbol("h", "power", "gross heat of one cubic foot of gas an hour"),
        Symbol("Q", "power", "capacity, as the gross heat of the gas"),
    ),
    citations=(_IFGC, _IFGC_MEMORY, _IRC, _CUBIC_FOOT),
    validity=(
        "undiluted propane at 60 °F; steel pipe and copper tube by their bore. Below 1.5 psig the form for"
        " low pressure. There is no table of the code for hose: with a hose's bore it is an assumption"
    ),
    constants=(("C_r", CR), ("Y", Y), ("h", CODE_HEAT)),
)


@calculator("pipe-capacity", CAPACITY, symbols="d L p_1 Delta_p p_a", examples={"bore": "0.622 in"})
def pipe_capacity(
    bore: Length,
    length: Length,
    inlet: GaugePressure,
    loss: PressureDifference,
    ambient: AbsolutePressure = CODE_AIR,
) -> Answer:
    """The heat that a gas pipe carries by the fuel gas code's sizing equations.

    Low pressure:  Q = h 2313 D^2.623 (H/(Cr L))^0.541
    High pressure: Q = h 2237 D^2.623 ((P1^2 - P2^2) Y/(Cr L))^0.541, from an inlet of 1.5 psig
    with D in inches, L in feet, H in inches of water, P in psia, h 2,488 Btu/h.

    bore, length: m; the length with its fittings' equivalent lengths. inlet: Pa gauge. loss: Pa, up to the inlet
    pressure. ambient: Pa absolute, the code's 14.7 psia if not given; the low form does not ask. Returns W of gross
    heat; regime "low pressure" or "high pressure"; `also` holds the code's quantities.
    Validity: see the equation's record. Errors: ValueError for sizes or a loss not above zero, and for a loss above the
    inlet pressure. Source: IFGC 2018 402.4 and appendix A.4 (2313 read in a copy, 2237 and exponents from memory). The
    heating value is the handbook's after vaporization: with it, 54 entries of the code's propane tables are met within
    0.5 %, so it is taken as theirs.

    Table 402.4(25), 10 psi inlet and 1 psi drop, 1/2 in schedule 40, 10 ft: 3,320,000 Btu/h.

    >>> capacity = pipe_capacity(0.622 * INCH, 10 * FOOT, 10 * PSI, 1 * PSI)
    >>> round(capacity.value / 0.29307107 / 1000, -1), capacity.regime
    (3320.0, 'high pressure')
    """
    checks.above_zero("the bore", bore, "m")
    checks.above_zero("the length", length, "m")
    checks.above_zero("the inlet pressure", inlet, "Pa gauge")
    checks.above_zero("the pressure that may be lost", loss, "Pa")
    checks.above_zero("the air's absolute pressure", ambient, "Pa")
    if loss > inlet * (1 + 1e-12):
        raise ValueError(f"a pipe at {inlet:g} Pa gauge cannot lose {loss:g} Pa and still let gas out")
    d, feet = bore / INCH, length / FOOT
    high, low, water = (inlet + ambient) / PSI, (inlet + ambient - loss) / PSI, loss / WATER_INCH
    also = (("D", d), ("L_f", feet), ("H", water), ("P_1", high), ("P_2", low))
    # A hair of room, so that 1.5 psig, carried through pascals and back, is 1.5 psig.
    if inlet < HIGH_FROM * (1 - 1e-9):
        cubic_feet = 2313 * d**2.623 * (water / (CR.si * feet)) ** 0.541
        return Answer(CODE_HEAT.si * cubic_feet, "low pressure", also=also)
    cubic_feet = 2237 * d**2.623 * ((high**2 - low**2) * Y.si / (CR.si * feet)) ** 0.541
    return Answer(CODE_HEAT.si * cubic_feet, "high pressure", also=also)


BORE_FOR_CAPACITY = Equation(
    forms=(
        ("low pressure", "d = d_1*(Q/(h*2313*(H/(C_r*L_f))**0.541))**(1/2.623)"),
        ("high pressure", "d = d_1*(Q/(h*2237*((P_1**2 - P_2**2)*Y/(C_r*L_f))**0.541))**(1/2.623)"),
    ),
    symbols=(
        Symbol("Q", "power", "heat to be carried, gross"),
        *(s for s in CAPACITY.symbols if s.name not in ("d", "D", "Q")),
        Symbol("d_1", "length", "one inch"),
        Symbol("d", "length", "least bore"),
    ),
    citations=CAPACITY.citations,
    validity=CAPACITY.validity + ". Take the next larger pipe or tube whose bore is no less",
    constants=(*CAPACITY.constants, ("d_1", ONE_INCH)),
)


@calculator(
    "bore-for-capacity",
    BORE_FOR_CAPACITY,
    symbols="Q L p_1 Delta_p p_a",
    asked="pipe size tube btu",
    examples={"inlet": "10 psi", "loss": "1 psi"},
)
def bore_for_capacity(
    heat: Power,
    length: Length,
    inlet: GaugePressure,
    loss: PressureDifference,
    ambient: AbsolutePressure = CODE_AIR,
) -> Answer:
    """The least bore of pipe that carries a heat by the fuel gas code's sizing equations: `pipe-capacity` backward.

    D = (Q / Q_1)^(1/2.623), with Q_1 what a pipe of one inch carries.

    heat: W, gross. length: m, with the fittings' equivalent lengths. inlet: Pa gauge. loss: Pa. ambient: Pa absolute.
    Returns m; regime and `also` as `pipe_capacity`. Validity: as `pipe_capacity`. Errors: ValueError for a heat rate
    not above zero, and as `pipe_capacity`. Source: as `pipe_capacity`.

    >>> bore = bore_for_capacity(3320e3 * 0.29307107, 10 * FOOT, 10 * PSI, 1 * PSI)
    >>> round(bore.value / INCH, 2)
    0.62
    """
    checks.above_zero("the heat rate", heat, "W")
    inch = pipe_capacity(INCH, length, inlet, loss, ambient)
    also = tuple((symbol, value) for symbol, value in inch.also if symbol != "D")
    return Answer(INCH * (heat / inch.value) ** (1 / 2.623), inch.regime, also=also)


_PIPE_SYMBOLS = (
    Symbol("d", "length", "bore"),
    Symbol("L", "length", "length"),
    Symbol("e", "length", "roughness of the wall"),
    Symbol("K", "ratio", "loss coefficients of the fittings together, at this bore"),
    Symbol("p_1", "gauge_pressure", "pressure at the start, gauge"),
    Symbol("T", "temperature", "gas temperature"),
    Symbol("p_a", "absolute_pressure", "absolute pressure of the air"),
    Symbol("w", "mass_flow", "mass flow"),
    Symbol("Re", "ratio", "Reynolds number"),
    Symbol("f", "ratio", "Darcy's friction factor, by Churchill"),
    Symbol("v", "speed", "speed of the gas at the end"),
)
_FRICTION = (ISOTHERMAL, CHURCHILL, LEMMON, VOGEL)
_PIPE_VALIDITY = (
    "propane vapor, 200 K to 350 K (-100 °F to 170 °F), at one temperature all along; steady. Friction is sure within"
    " a few per cent in laminar and turbulent flow, less between Re 2000 and 4000. Pressures are those in the pipe:"
    " entry and exit are among K"
)
_LAW = (
    "(4·w/(pi·d**2))**2·(f·L/d + K + 2·ln(rho_1/rho_2)) is twice the integral of rho over p, from the end's pressure to"
    " the start's, with f by Churchill"
)

PRESSURE_DROP = Equation(
    forms=(("", f"~ the drop Delta_p at which {_LAW}"),),
    symbols=(*_PIPE_SYMBOLS, Symbol("Delta_p", "pressure_difference", "pressure lost between start and end")),
    citations=_FRICTION,
    validity=_PIPE_VALIDITY,
)


def _propane_pipe(pipe: Pipe, upstream: float, temperature: float, ambient: float) -> tuple[IsothermalGas, GasState]:
    """The gas, and its state at the start of a pipe; ValueError for what cannot be."""
    isothermal.check_pipe(pipe)
    checks.downhill(upstream, upstream, ambient)
    gas = isothermal.propane(temperature)
    if upstream + ambient > gas.saturated * (1 + 1e-9):
        raise ValueError(
            f"propane at {temperature:.2f} K is no vapor at {upstream + ambient:.0f} Pa absolute: above"
            f" {gas.saturated:.0f} Pa it condenses"
        )
    return gas, gas.at(upstream + ambient)


def _told(pipe: Pipe, flux: float, start: GasState, end: GasState) -> tuple[str, tuple[tuple[str, float], ...]]:
    """The word for the flow, and Reynolds number, friction factor and speed at the end."""
    _, reynolds, f = isothermal.resistance(pipe, flux, (start.mu + end.mu) / 2)
    word = "between laminar and turbulent"
    if reynolds < isothermal.LAMINAR:
        word = "laminar"
    if reynolds > isothermal.TURBULENT:
        word = "turbulent"
    return word, (("Re", reynolds), ("f", f), ("v", flux / end.rho))


@calculator(
    "pressure-drop",
    PRESSURE_DROP,
    symbols="d L p_1 T w e K p_a",
    result="Delta_p",
    examples={"bore": "3/8 in", "length": "10 ft"},
)
def pressure_drop(
    bore: Length,
    length: Length,
    upstream: GaugePressure,
    gas_temperature: Temperature,
    flow: MassFlow,
    roughness: Length = STEEL_PIPE.si,
    loss: Ratio = 0.0,
    ambient: AbsolutePressure = STANDARD_AIR,
) -> Answer:
    """The pressure that a flow of propane loses in a pipe, tube or hose.

    G^2 (f L/d + K + 2 ln(rho_1/rho_2)) = 2 integral of rho dp, G = 4 w/(pi d^2), f by Churchill; solved for the
    pressure at the end.

    bore, length, roughness: m; 46 µm (steel) if not given. loss: the sum of K, no unit. upstream: Pa gauge.
    gas_temperature: K. flow: kg/s. ambient: Pa absolute. Returns Pa; regime "laminar", "turbulent" or between; `also`
    holds Re, f and v (m/s, at the end).
    Validity: see the equation's record; marked beyond where the end stands below the air's pressure.
    Errors: ValueError for impossible inputs, where the gas would condense, and where the pipe cannot pass the flow
    (choked), with the most that it can.
    Source: Crane TP-410 (isothermal flow), Churchill 1977; density of Lemmon et al. 2009, viscosity of Vogel et al.
    1998.
    """
    pipe = Pipe(bore, length, roughness, loss)
    gas, start = _propane_pipe(pipe, upstream, gas_temperature, ambient)
    checks.above_zero("the flow", flow, "kg/s")
    drop, end = isothermal.end_of(gas, pipe, start, flow / pipe.area)
    regime, also = _told(pipe, flow / pipe.area, start, end)
    beyond = "the end stands below the air's pressure: no open end passes this flow" if end.p < ambient else ""
    return Answer(drop, regime, beyond, also)


PIPE_FLOW = Equation(
    forms=(("", f"~ the flow w at which {_LAW}; choked, the most that this gives for any pressure at the end"),),
    symbols=(*_PIPE_SYMBOLS, Symbol("p_2", "gauge_pressure", "pressure at the end, gauge")),
    citations=_FRICTION,
    validity=_PIPE_VALIDITY,
)


@calculator("pipe-flow", PIPE_FLOW, symbols="d L p_1 p_2 T e K p_a", result="w", examples={"bore": "3/8 in"})
def pipe_flow(
    bore: Length,
    length: Length,
    upstream: GaugePressure,
    downstream: GaugePressure,
    gas_temperature: Temperature,
    roughness: Length = STEEL_PIPE.si,
    loss: Ratio = 0.0,
    ambient: AbsolutePressure = STANDARD_AIR,
) -> Answer:
    """The flow of propane through a pipe, tube or hose between two pressures.

    As `pressure_drop`, solved for the flow.

    upstream, downstream: Pa gauge. Other parameters as there. Returns kg/s; regime "choked", "laminar", "turbulent" or
    between; `also` holds Re, f and v (m/s, at the end).
    Validity: see the equation's record. Errors: ValueError for impossible inputs and where the gas would condense.
    Source: as `pressure_drop`.
    """
    pipe = Pipe(bore, length, roughness, loss)
    checks.downhill(upstream, downstream, ambient)
    checks.above_zero("the absolute downstream pressure", downstream + ambient, "Pa")
    gas, start = _propane_pipe(pipe, upstream, gas_temperature, ambient)
    end = gas.at(downstream + ambient)
    flux, choked = isothermal.flux_between(gas, pipe, start, end)
    if flux == 0:
        return Answer(0.0, "no flow")
    if choked:
        end = isothermal.most(gas, pipe, start)[1]
    regime, also = _told(pipe, flux, start, end)
    return Answer(flux * pipe.area, "choked" if choked else regime, "", also)
