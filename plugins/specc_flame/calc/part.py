"""How hot a thin part gets: radiation and hot gas on one side, air on the other."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Annotated

from specc.dims import Count, Density, Dim, Duration, HeatFlux, Length, Ratio, SpecificHeat, Temperature
from specc.formulas.calculators import calculator
from specc.model.values import PRACTICE, Answer, Citation, Constant, Equation, Symbol
from specc_flame.calc import checks
from specc_flame.calc.sources import STEFAN, USUAL_AIR

HeatTransfer = Annotated[float, Dim("ratio")]  # W/(m2 K): the core has no such dimension

LUMPED = Citation("incropera", "chapter 5, lumped capacitance with radiation (5.15)", "reprint")
BACK = 8.0  # W/(m2 K) to still air from a plate's back: common practice

_Q = Symbol("q", "heat_flux", "radiation on the front")
_GAS = Symbol("T_g", "temperature", "gas at the front")
_AIR = Symbol("T_a", "temperature", "air and surroundings")
_EPS = Symbol("e", "ratio", "emissivity, and absorptivity")
_H = Symbol("h", "ratio", "heat transfer at the front, W/(m²·K)")
_T = Symbol("T", "temperature", "temperature of the part")
_VALIDITY = (
    "parts so thin that they are as warm inside as outside (h·thickness/conductivity below 0.1); the back loses heat "
    "to still air by 8 W/(m²·K) (common practice, no published source) and radiation; conduction along the part is not "
    "counted"
)

STEADY = Equation(
    forms=(
        (
            "",
            "~ T where h·(T_g - T) + e·q = e·σ·(T⁴ - T_a⁴) + e·σ·(T⁴ - T_a⁴) + 8·(T - T_a), the last two for the back",
        ),
    ),
    symbols=(_Q, _GAS, _AIR, _EPS, _H, _T),
    citations=(LUMPED, STEFAN.citation),
    validity=_VALIDITY,
)


def balance(flux: float, gas: float, air: float, emissivity: float, transfer: float) -> Callable[[float], float]:
    """W/m2 that a plate at T takes up: falls with T."""

    def net(t: float) -> float:
        glow = emissivity * STEFAN.si * (t**4 - air**4)
        return transfer * (gas - t) + emissivity * flux - 2 * glow - BACK * (t - air)

    return net


def settled(net: Callable[[float], float], low: float, high: float) -> float:
    """Where `net`, which falls, is zero: bisection, to 1e-9 K."""
    while net(high) > 0:
        low, high = high, 2 * high
    while high - low > 1e-9:
        middle = (low + high) / 2
        if not low < middle < high:
            break
        if net(middle) > 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2


@calculator("part-temperature", STEADY, symbols="q T_g T_a e h", result="T", examples={"flux": "3,000 BTU/(h·ft²)"})
def part_temperature(
    flux: HeatFlux,
    gas: Temperature = USUAL_AIR,
    air: Temperature = USUAL_AIR,
    emissivity: Ratio = 0.9,
    transfer: HeatTransfer = 10.0,
) -> Answer:
    """How hot a thin part gets in the end, between heat on its front and air at its back.

    h (T_g - T) + e q = 2 e sigma (T^4 - T_a^4) + 8 (T - T_a), solved for T.

    flux: W/m2 on the front. gas: K at the front. air: K. emissivity. transfer: W/(m2 K) at the front. Returns K.
    Validity: thin parts. Errors: ValueError for values below zero, an emissivity not in 0 to 1.
    Source: Incropera chapter 5 (in a reprint). The air at the front is its own where no gas is said.

    >>> round(part_temperature(0.0, 293.15, 293.15).value, 2)
    293.15
    """
    checks.not_below_zero("a flux", flux, "W/m²")
    checks.above_zero("the gas's temperature", gas, "K")
    checks.above_zero("the air's temperature", air, "K")
    checks.fraction("an emissivity", emissivity)
    checks.not_below_zero("heat transfer", transfer, "W/(m²·K)")
    return Answer(settled(balance(flux, gas, air, emissivity, transfer), min(air, gas), max(air, gas, 400.0)))


HEATING = Equation(
    forms=(("", "~ ρ·c·s·dT/dt = h·(T_g - T) + e·q - 2·e·σ·(T⁴ - T_a⁴) - 8·(T - T_a), from T_a on"),),
    symbols=(
        _Q,
        Symbol("t", "duration", "how long"),
        Symbol("s", "length", "thickness"),
        _GAS,
        _AIR,
        _EPS,
        _H,
        Symbol("rho", "density", "density"),
        Symbol("c", "specific_heat", "specific heat"),
        _T,
    ),
    citations=(LUMPED, STEFAN.citation),
    validity=_VALIDITY,
)


def warmed(net: Callable[[float], float], store: float, start: float, time: float, steps: int = 400) -> float:
    """K after `time` s, from `start` K: `net` W/m2 into `store` J/(m2 K). Runge-Kutta of fourth order.

    A step is at most a fifth of the shortest time constant at either end, so that it never runs away.
    """
    end = settled(net, min(start, 1.0), max(start, 400.0))
    stiff = max(abs(net(t + 0.5) - net(t - 0.5)) for t in (start, end)) / store
    count = max(steps, math.ceil(5 * time * stiff))
    return end if count > 200_000 else _stepped(net, store, start, time, count)  # so many are long past any change


def _stepped(net: Callable[[float], float], store: float, start: float, time: float, count: int) -> float:
    t, dt = start, time / count
    for _ in range(count):
        a = net(t) / store
        b = net(t + dt / 2 * a) / store
        c = net(t + dt / 2 * b) / store
        d = net(t + dt * c) / store
        t += dt / 6 * (a + 2 * b + 2 * c + d)
    return t


@calculator(
    "part-heat-up",
    HEATING,
    symbols="q t s T_g T_a e h rho c",
    result="T",
    examples={"flux": "3,000 BTU/(h·ft²)", "time": "5 min"},
)
def part_heat_up(
    flux: HeatFlux,
    time: Duration,
    thickness: Length,
    gas: Temperature = USUAL_AIR,
    air: Temperature = USUAL_AIR,
    emissivity: Ratio = 0.9,
    transfer: HeatTransfer = 10.0,
    density: Density = 7850.0,
    heat: SpecificHeat = 465.0,
) -> Answer:
    """How hot a thin part is after a time, from cold.

    rho c s dT/dt = h (T_g - T) + e q - 2 e sigma (T^4 - T_a^4) - 8 (T - T_a).

    flux: W/m2. time: s. thickness: m. gas, air: K. emissivity. transfer: W/(m2 K). density: kg/m3. heat: J/(kg K);
    the defaults are steel's. Returns K. Validity: thin parts. Errors: ValueError as `part_temperature`, and for a
    thickness, density or heat not above zero. Source: Incropera chapter 5 (in a reprint).
    """
    checks.not_below_zero("a flux", flux, "W/m²")
    checks.not_below_zero("a time", time, "s")
    for what, value, unit in (
        ("a thickness", thickness, "m"),
        ("a density", density, "kg/m³"),
        ("a specific heat", heat, "J/(kg·K)"),
        ("the gas's temperature", gas, "K"),
        ("the air's temperature", air, "K"),
    ):
        checks.above_zero(what, value, unit)
    checks.fraction("an emissivity", emissivity)
    checks.not_below_zero("heat transfer", transfer, "W/(m²·K)")
    net = balance(flux, gas, air, emissivity, transfer)
    return Answer(warmed(net, density * heat * thickness, air, time))


THIN = 3300.0  # J/(m2 K)
BURSTS = Equation(
    forms=(
        (
            "",
            "~ C·dT/dt = h·(T_a - T) + e·(q_0 + q) - 2·e·σ·(T⁴ - T_a⁴) - 8·(T - T_a) while a burst burns, without q "
            "for the pause after it, n times, from where q_0 alone settles",
        ),
    ),
    symbols=(
        Symbol("q_0", "heat_flux", "radiation of the flames that burn steadily"),
        Symbol("q", "heat_flux", "radiation while a burst burns"),
        Symbol("t", "duration", "how long the longest is open"),
        Symbol("n", "count", "how many there are"),
        Symbol("p", "duration", "shortest pause between two; 0 where none is said"),
        _AIR,
        _EPS,
        _H,
        Symbol("C", "ratio", "heat that a part stores, J/(m²·K)"),
        _T,
    ),
    citations=(LUMPED, STEFAN.citation),
    validity=(
        "all bursts taken as the longest and hottest, with the shortest pause between them; a part as thin as 2 mm of "
        "rubber or 0.9 mm of steel (common practice, no published source). A thicker one stays cooler. " + _VALIDITY
    ),
    constants=(
        ("e", Constant(0.9, "ratio", "0.9", PRACTICE)),
        ("h", Constant(10.0, "ratio", "10 W/(m²·K)", PRACTICE)),
        ("C", Constant(THIN, "ratio", "3,300 J/(m²·K)", PRACTICE)),
    ),
)


@calculator(
    "burst-warming",
    BURSTS,
    symbols="q t n p q_0 T_a",
    result="T",
    examples={"flux": "3,000 BTU/(h·ft²)", "time": "1 s"},
)
def burst_warming(
    flux: HeatFlux,
    time: Duration,
    times: Count = 1.0,
    pause: Duration = 0.0,
    steady: HeatFlux = 0.0,
    air: Temperature = USUAL_AIR,
) -> Answer:
    """How warm a thin part is at the end of the last of several bursts, losing heat to the air all the while.

    3,300 dT/dt = h (T_a - T) + e (q_0 + q) - 2 e sigma (T^4 - T_a^4) - 8 (T - T_a), without q in the pauses.

    flux: W/m2 while one burns. time: s of each. times: how many. pause: s between two. steady: W/m2 of flames that
    burn all the time. air: K. Returns K. Validity: an upper bound for parts no thinner than that, with pauses no
    shorter. Errors: ValueError for values below zero. Source: a lumped part (Incropera chapter 5, in a reprint).
    """
    checks.not_below_zero("a flux", flux, "W/m²")
    checks.not_below_zero("a flux", steady, "W/m²")
    checks.not_below_zero("a time", time, "s")
    checks.not_below_zero("a pause", pause, "s")
    checks.not_below_zero("a count", times, "")
    checks.above_zero("the air's temperature", air, "K")
    between, while_on = balance(steady, air, air, 0.9, 10.0), balance(steady + flux, air, air, 0.9, 10.0)
    t = settled(between, air, max(air, 400.0))
    if pause <= 0:
        return Answer(warmed(while_on, THIN, t, times * time, 40))
    end = settled(while_on, air, max(air, 400.0))
    # It loses heat fastest at the hottest it can ever get.
    stiff = abs(while_on(end + 0.5) - while_on(end - 0.5)) / THIN
    most = t
    for _ in range(math.ceil(times)):
        hot = _stepped(while_on, THIN, t, time, max(4, math.ceil(5 * time * stiff)))
        if hot <= most + 1e-6:  # as hot as after the burst before: so it stays
            break
        most = hot
        t = warmed(between, THIN, hot, pause, 4)
    return Answer(max(most, t))


ALIGHT = Equation(
    forms=(("", "t = n*t_1"),),
    symbols=(
        Symbol("n", "count", "how many bursts there are"),
        Symbol("t_1", "duration", "how long the longest is open"),
        Symbol("t", "duration", "all of them one after another"),
    ),
    citations=(Citation("", "a product", "practice"),),
)


@calculator("time-alight", ALIGHT, symbols="n t_1", bench=False)
def time_alight(times: Count, open_time: Duration) -> Duration:
    """How long bursts burn together, each taken as long as the longest. t = n t_1, s. Source: a product."""
    return times * open_time
