"""Coils: warm resistance, what they need to pull in, what reaches them, and how soon they let go."""

from __future__ import annotations

import math

from specc.dims import Current, Duration, ElectricPower, Inductance, Ratio, Resistance, Temperature, Voltage
from specc.formulas.calculators import calculator
from specc.formulas.ranges import check_positive
from specc.model.values import Citation, Equation, Symbol
from specc_control.calc.sources import COPPER_HEAT, OHM, TWENTY, ZERO_POINT, check_temperature

PULL_IN = Citation(
    "relay-maker-notes", "pull-in current stays, so pull-in voltage grows as the coil's resistance", "read"
)
SUPPRESSION = Citation("relay-maker-notes", "coil suppression: a diode lengthens release, a zener shortens it", "read")
LEAKAGE = Citation("output-leakage-notes", "off-state leakage against the current a load releases at", "read")

_COLD = Symbol("T_c", "temperature", "temperature of the coil that the cold value holds at")
_HOT = Symbol("T", "temperature", "temperature of the coil's copper, warm")
_Z = Symbol("T_z", "temperature", "where copper's resistance would be zero")
_COIL = Symbol("R_c", "resistance", "resistance of the coil")
_ZERO = (("T_z", ZERO_POINT),)

RATED = Equation(
    forms=(("", "R_c = V**2/P"),),
    symbols=(Symbol("V", "voltage", "rated voltage"), Symbol("P", "electric_power", "rated power"), _COIL),
    citations=(OHM,),
    validity="a direct-current coil at the temperature its power is rated at, taken as 20 °C",
)
DRAWS = Equation(
    forms=(("", "I = P/V"),),
    symbols=(
        Symbol("P", "electric_power", "rated power"),
        Symbol("V", "voltage", "rated voltage"),
        Symbol("I", "current", "current at its rating"),
    ),
    citations=(OHM,),
    validity="direct current at the rating; a cold lamp or an AC coil draws several times more at first",
)
WARM = Equation(
    forms=(("", "R_h = R_c*(T - T_z)/(T_c - T_z)"),),
    symbols=(_COIL, _HOT, _COLD, _Z, Symbol("R_h", "resistance", "resistance of the coil, warm")),
    citations=(COPPER_HEAT,),
    validity="a coil of copper, -50 °C to 250 °C",
    constants=_ZERO,
)
NEEDS = Equation(
    forms=(("", "V_h = V_p*(T - T_z)/(T_c - T_z)"),),
    symbols=(
        Symbol("V_p", "voltage", "voltage the cold coil pulls in at"),
        _HOT,
        _COLD,
        _Z,
        Symbol("V_h", "voltage", "voltage the warm coil pulls in at"),
    ),
    citations=(PULL_IN, COPPER_HEAT),
    validity="direct current, where the force follows the current; says nothing of friction, dirt or gas pressure",
    constants=_ZERO,
)
REACHES = Equation(
    forms=(("", "V = V_s*R_c/(R_c + R_w)"),),
    symbols=(
        Symbol("V_s", "voltage", "voltage of the supply under load"),
        _COIL,
        Symbol("R_w", "resistance", "resistance of wire and contacts before and after the coil"),
        Symbol("V", "voltage", "voltage at the coil"),
    ),
    citations=(OHM,),
    validity="one load on the run; what else draws through the same wire lowers it further",
)
ALL = Equation(
    forms=(("", "I = sum(I_n)"),),
    symbols=(Symbol("I_n", "current", "current of each load"), Symbol("I", "current", "current of all together")),
    citations=(OHM,),
    validity="all on at once",
)
MEAN = Equation(
    forms=(("", "I_m = u*I"),),
    symbols=(
        Symbol("I", "current", "current while it is on"),
        Symbol("u", "ratio", "share of the time that it is on"),
        Symbol("I_m", "current", "mean current"),
    ),
    citations=(OHM,),
    validity="on and off evenly over the night",
)
COLD = Equation(
    forms=(("", "V_p = s*V"),),
    symbols=(
        Symbol("V", "voltage", "rated voltage"),
        Symbol("s", "ratio", "share of it that pulls in, cold"),
        Symbol("V_p", "voltage", "voltage that pulls in, cold"),
    ),
    citations=(PULL_IN,),
    validity="the share as its maker states it, at 20 °C",
)
LEFT = Equation(
    forms=(("", "V = V_s - sum(V_d)"),),
    symbols=(
        Symbol("V_s", "voltage", "voltage of the supply under load"),
        Symbol("V_d", "voltage", "voltage lost in each run of wire on the way"),
        Symbol("V", "voltage", "voltage at the load"),
    ),
    citations=(OHM,),
    validity="contacts, fuses and plugs take more, some tenths of a volt when worn",
)
SPIKE = Equation(
    forms=(("", "V = H*I/t"),),
    symbols=(
        Symbol("H", "inductance", "inductance of the coil"),
        Symbol("I", "current", "current that is cut off"),
        Symbol("t", "duration", "time in which it falls to zero"),
        Symbol("V", "voltage", "mean voltage across the opening contact"),
    ),
    citations=(OHM,),
    validity="the mean over the time; the peak is higher, and an arc or the coil's capacitance bounds it",
)
RELEASE = Equation(
    forms=(("", "t = H/R_c*log((I + V_c/R_c)/(s*I + V_c/R_c))"),),
    symbols=(
        Symbol("H", "inductance", "inductance of the coil"),
        _COIL,
        Symbol("I", "current", "current while it holds"),
        Symbol("V_c", "voltage", "voltage that the suppression lets stand across the coil"),
        Symbol("s", "ratio", "share of the current at which it lets go"),
        Symbol("t", "duration", "time for the current to fall so far"),
    ),
    citations=(SUPPRESSION,),
    validity="one inductance that stays; iron and the moving plunger change it, and the plunger's travel adds time",
)
LEAKS = Equation(
    forms=(("", "s = I_l*R_c/V"),),
    symbols=(
        Symbol("I_l", "current", "current that the output passes while it is off"),
        _COIL,
        Symbol("V", "voltage", "voltage of the supply"),
        Symbol("s", "ratio", "leakage as a share of the coil's current"),
    ),
    citations=(LEAKAGE,),
    validity="the leakage as its maker states it, warm; a small share may still hold a valve that hangs",
)


@calculator("coil-resistance", RATED, symbols="V P")
def coil_resistance(voltage: Voltage, power: ElectricPower) -> Resistance:
    """The resistance of a direct-current coil from its rating.

    R = V^2/P. voltage: V. power: W. Returns ohm. Errors: ValueError for 0 or less. Source: Ohm's law.

    >>> round(coil_resistance(12.0, 10.0), 1)
    14.4
    """
    check_positive(voltage=voltage, power=power)
    return voltage**2 / power


@calculator("coil-warm", WARM, symbols="R_c T T_c")
def coil_warm(resistance: Resistance, warm: Temperature, cold: Temperature = TWENTY.si) -> Resistance:
    """The resistance of a warm coil.

    R_h = R (T_warm + 234.5)/(T_cold + 234.5), in °C. resistance: ohm at `cold`. warm, cold: K. Returns ohm.
    Errors: ValueError for a resistance of 0 or less, or outside -50 to 250 °C. Source: IEC 60028, from reprints.

    A 320 ohm coil taken from 25 to 125 °C (a relay maker's example prints 443.3):

    >>> round(coil_warm(320.0, 398.15, 298.15), 1)
    443.3
    """
    check_positive(resistance=resistance)
    check_temperature(warm, cold)
    return resistance * (warm - ZERO_POINT.si) / (cold - ZERO_POINT.si)


@calculator("coil-pull-in", NEEDS, symbols="V_p T T_c")
def coil_pull_in(pull_in: Voltage, warm: Temperature, cold: Temperature = TWENTY.si) -> Voltage:
    """The voltage that a warm coil needs to pull in.

    V_h = V_p (T_warm + 234.5)/(T_cold + 234.5), in °C. pull_in: V at `cold`. warm, cold: K. Returns V.
    Errors: ValueError for a voltage of 0 or less, or outside -50 to 250 °C.
    Source: relay makers' application notes; IEC 60028, from reprints.

    A coil that pulled in at 10.2 V cold, at 105 °C:

    >>> round(coil_pull_in(10.2, 378.15), 1)
    13.6
    """
    check_positive(pull_in_voltage=pull_in)
    check_temperature(warm, cold)
    return pull_in * (warm - ZERO_POINT.si) / (cold - ZERO_POINT.si)


@calculator("coil-voltage", REACHES, symbols="V_s R_c R_w", examples={"supply": "12 V"})
def coil_voltage(supply: Voltage, coil: Resistance, wire: Resistance) -> Voltage:
    """The voltage that reaches a coil at the end of its wire.

    V = V_s R_c/(R_c + R_w). supply: V. coil, wire: ohm. Returns V. Errors: ValueError for a supply or coil of 0 or
    less, or a wire below 0. Source: Ohm's law.
    """
    check_positive(supply_voltage=supply, coil_resistance=coil)
    if wire < 0:
        raise ValueError("a resistance cannot be below 0")
    return supply * coil / (coil + wire)


@calculator("load-voltage", LEFT, symbols="V_s V_d", bench=False, examples={"supply": "12 V"})
def load_voltage(supply: Voltage, drops: tuple[Voltage, ...]) -> Voltage:
    """What is left at a load of the supply's voltage.

    V = V_s - sum of the drops. supply, drops: V. Returns V. Errors: ValueError for a supply of 0 or less, a drop below
    0, or drops larger than the supply. Source: Kirchhoff's law.
    """
    check_positive(supply_voltage=supply)
    if any(d < 0 for d in drops) or sum(drops) > supply:
        raise ValueError("the drops are 0 V or more, and together at most the supply")
    return supply - sum(drops)


@calculator("coil-current", DRAWS, symbols="P V")
def coil_current(power: ElectricPower, voltage: Voltage) -> Current:
    """The current that a load draws at its rating.

    I = P/V. power: W. voltage: V. Returns A. Errors: ValueError for 0 or less. Source: the definition of the watt.
    """
    check_positive(power=power, voltage=voltage)
    return power / voltage


@calculator("current-sum", ALL, symbols="I_n", bench=False)
def current_sum(currents: tuple[Current, ...]) -> Current:
    """The current of several loads together.

    I = sum of the currents. currents: A. Returns A. Errors: ValueError for one below 0. Source: Kirchhoff's law.
    """
    if any(i < 0 for i in currents):
        raise ValueError("a current cannot be below 0")
    return sum(currents)


@calculator("mean-current", MEAN, symbols="I u", bench=False, examples={"share": "0.25"})
def mean_current(current: Current, share: Ratio) -> Current:
    """The mean current of a load that is on for part of the time.

    I_m = u I. current: A. share: above 0 to 1. Returns A. Errors: ValueError outside. Source: the definition of a mean.
    """
    check_positive(current=current, share=share)
    if share > 1:
        raise ValueError("a share is at most 100 %")
    return share * current


@calculator("pull-in-cold", COLD, symbols="V s", examples={"voltage": "12 V"})
def pull_in_cold(voltage: Voltage, share: Ratio) -> Voltage:
    """The voltage at which a cold coil pulls in, from the share that its maker states.

    V_p = s V. voltage: V, rated. share: above 0 to 1. Returns V. Errors: ValueError outside. Source: makers' notes.
    """
    check_positive(voltage=voltage, share=share)
    if share > 1:
        raise ValueError("a share is at most 100 %")
    return share * voltage


@calculator("coil-spike", SPIKE, symbols="H I t", examples={"time": "5 ms", "current": "0.8 A"})
def coil_spike(inductance: Inductance, current: Current, time: Duration) -> Voltage:
    """The mean voltage of a coil whose current is cut off, without suppression.

    V = H I/t. inductance: H. current: A. time: s. Returns V. Errors: ValueError for 0 or less. Source: Faraday's law.
    """
    check_positive(inductance=inductance, current=current, time=time)
    return inductance * current / time


@calculator("coil-release", RELEASE, symbols="H R_c I V_c s", unit="ms", examples={"current": "0.8 A", "share": "0.2"})
def coil_release(
    inductance: Inductance, resistance: Resistance, current: Current, suppression: Voltage, share: Ratio
) -> Duration:
    """How long the current of a coil takes to fall to the share at which it lets go.

    t = (H/R) ln((I + V/R)/(s I + V/R)). inductance: H. resistance: ohm. current: A. suppression: V across the coil, 0.7
    for a plain diode. share: of the current, below 1. Returns s. Errors: ValueError outside those ranges.
    Source: the L-R circuit; relay makers' notes for the effect of suppression.

    275 ohm, 2.29 H on 12 V, to a fifth of the current, with a plain diode:

    >>> round(coil_release(2.29, 275.0, 12 / 275, 0.7, 0.2) * 1000, 1)
    11.7
    """
    check_positive(inductance=inductance, resistance=resistance, current=current, share_of_the_current=share)
    if suppression < 0 or share >= 1:
        raise ValueError("the suppression is 0 V or more, and the share below 1")
    stands = suppression / resistance
    return inductance / resistance * math.log((current + stands) / (share * current + stands))


@calculator("leakage-share", LEAKS, symbols="I_l R_c V")
def leakage_share(leakage: Current, resistance: Resistance, voltage: Voltage) -> Ratio:
    """What an output passes while it is off, as a share of the coil's current.

    s = I_l R/V. leakage: A. resistance: ohm, the coil's. voltage: V. Returns the share: release wants less than a
    tenth. Errors: ValueError for a leakage below 0, others of 0 or less. Source: makers' notes on output leakage.

    1.5 mA on 24 V is the whole current of a load of 16 kilo-ohm, which then stays on:

    >>> leakage_share(0.0015, 16e3, 24.0)
    1.0
    """
    check_positive(coil_resistance=resistance, voltage=voltage)
    if leakage < 0:
        raise ValueError("a leakage cannot be below 0")
    return leakage * resistance / voltage
