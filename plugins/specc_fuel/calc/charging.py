"""Filling an accumulator again: how long it takes, how much it draws, and how soon the next burst may come.

Gas that fills a vessel warms up, and its pressure runs ahead of its mass. Kept at the walls' temperature
(isothermal) it takes longest and draws most; keeping its heat (adiabatic) it takes least. The show has to count
on the longest. To an excess-flow valve the first moments look just like a parted hose.
"""

from __future__ import annotations

from specc.dims import AbsolutePressure, Area, Count, Duration, GaugePressure, Ratio, Temperature, Volume
from specc.formulas.calculators import calculator
from specc.model.values import CHOICE, Answer, Equation, Symbol
from specc_fuel.calc import checks, nozzle, propane, vessel
from specc_fuel.calc.accumulator import BLOWDOWN, FURTHER
from specc_fuel.calc.orifice import COMPARED_TO
from specc_fuel.calc.sources import CHOKED, LEMMON, NOZZLE, REAL_GAS, STANDARD_AIR

NEARLY_FULL = 0.95  # of the set gauge pressure; own choice
FOLLOWED = 200  # bursts, one by one
_SETTLED = 1e-10  # of the set pressure
_MOST_STEPS = 200  # of a search

_VOLUME = Symbol("V", "volume", "volume of the accumulator, with what is open to it")
_SUPPLY = Symbol("p_1", "gauge_pressure", "pressure set at the regulator, gauge")
_TEMPERATURE = Symbol("T", "temperature", "temperature of the gas")
_FILLED = (_VOLUME, _SUPPLY, _TEMPERATURE)
_FEED = Symbol("A_f", "area", "effective area of the feed: discharge coefficient times area")
_OUTLET = Symbol("A", "area", "effective outlet area")
_OPEN = Symbol("t", "duration", "time it is open in each burst")
_SHARE = Symbol("x", "ratio", "share of the set gauge pressure that counts as full")
_AMBIENT = Symbol("p_a", "absolute_pressure", "absolute pressure of the air")
_BETWEEN = "nothing flows in during a burst; gas at the walls' temperature throughout"

CHARGE = Equation(
    forms=(
        (
            "",
            "~ V·drho/dt = w(p_1 to p, A_f) from p_0 up to x·p_1, w as in area-flow; isothermal: p = p(rho, T) of the"
            " real gas; adiabatic: V·dp/dt = k·R/M·T·w",
        ),
    ),
    symbols=(
        *_FILLED,
        _FEED,
        _SHARE,
        Symbol("p_0", "gauge_pressure", "pressure in it at the start, gauge"),
        _AMBIENT,
        Symbol("t_ad", "duration", "time it takes at least: adiabatic, ideal gas"),
        Symbol("w_0", "mass_flow", "flow at the start, the largest"),
        Symbol("m", "mass", "gas drawn, isothermal"),
        Symbol("t_c", "duration", "time until x·p_1 is reached, at most: isothermal"),
    ),
    citations=(CHOKED, NOZZLE, LEMMON, REAL_GAS, CHOICE),
    validity=(
        "propane vapor from a supply that holds p_1: a regulator that sags under flow, and a cylinder that cools,"
        " take longer. Air left from the first fill is not counted"
    ),
)


@calculator("accumulator-charge", CHARGE, symbols="V p_1 T A_f x p_0 p_a", result="t_c", unit="s")
def accumulator_charge(
    volume: Volume,
    supply: GaugePressure,
    gas_temperature: Temperature,
    feed_area: Area,
    share: Ratio = NEARLY_FULL,
    start: GaugePressure = 0.0,
    ambient: AbsolutePressure = STANDARD_AIR,
) -> Answer:
    """How long an accumulator takes to fill to a share of the regulator's set pressure.

    V drho/dt = A_f G(p_1 to p), G as in `area_flow`, choked then subsonic; p of the real gas at the walls'
    temperature, which is the slowest filling. The fastest keeps its heat: dp/dt = k (R/M) T w / V.

    volume: m3. supply: Pa gauge. gas_temperature: K, of supply and walls alike. feed_area: effective, m2. share:
    of the set gauge pressure, above 0 and at most 1; the default is specc default. start: Pa gauge. ambient:
    Pa absolute. Returns s; `also` holds t_ad (s), w_0 (kg/s) and m (kg).
    Validity: see the equation's record; marked beyond above 250 psig.
    Errors: ValueError for impossible inputs, a start above the supply, and where the gas would be liquid.
    Source: flows and density as `orifice_flow`; energy balance of a filling vessel, ideal gas.
    """
    checks.above_zero("the share that counts as full", share, "")
    checks.fraction("the share that counts as full", share)
    slow = vessel.filling_isothermal(volume, start, supply, gas_temperature, feed_area, ambient)
    fast = vessel.filling_adiabatic(volume, start, supply, gas_temperature, feed_area, ambient)
    beyond = FURTHER if supply > COMPARED_TO else ""
    ahead, target = supply + ambient, share * supply
    gas = nozzle.propane_at(ahead, gas_temperature)
    first = feed_area * nozzle.flux(ahead, supply - start, gas.rho, gas.k)
    if slow is None or fast is None or target <= start:
        return Answer(0.0, beyond=beyond, also=(("t_ad", 0.0), ("w_0", first), ("m", 0.0)))
    filled = propane.vapor_density_value(gas_temperature, target + ambient)
    also = (
        ("t_ad", fast.time_to(target + ambient)),
        ("w_0", first),
        ("m", volume * (filled - slow.start)),
    )
    return Answer(slow.time_to(filled), beyond=beyond, also=also)


CADENCE = Equation(
    forms=(
        (
            "",
            "~ t + t_c: the burst from x·p_1 as in accumulator-burst, isothermal, down to p_e, and the time t_c from"
            " there back to x·p_1 as in accumulator-charge",
        ),
    ),
    symbols=(
        *_FILLED,
        _OUTLET,
        _OPEN,
        _FEED,
        _SHARE,
        _AMBIENT,
        Symbol("m", "mass", "gas of a burst from x·p_1, isothermal"),
        Symbol("p_e", "gauge_pressure", "pressure left when it closes, gauge"),
        Symbol("t_c", "duration", "time to fill again"),
        Symbol("t_s", "duration", "shortest time from the start of one burst to the start of the next"),
    ),
    citations=(BLOWDOWN, CHOKED, NOZZLE, LEMMON, CHOICE),
    validity=_BETWEEN + ". The supply holds p_1; whether the cylinders boil off that much is another question",
)


@calculator("burst-cadence", CADENCE, symbols="V p_1 T A t A_f x p_a", result="t_s", unit="s")
def burst_cadence(
    volume: Volume,
    supply: GaugePressure,
    gas_temperature: Temperature,
    outlet_area: Area,
    open_time: Duration,
    feed_area: Area,
    share: Ratio = NEARLY_FULL,
    ambient: AbsolutePressure = STANDARD_AIR,
) -> Answer:
    """The shortest time between bursts for which each starts at no less than a share of the set pressure.

    t_s = t + t_c: down from x p_1 in the open time, and back up to it. Bursts that start fuller end fuller, so
    who keeps this spacing never falls below x p_1.

    Inputs as `accumulator_charge` and `accumulator_burst`; Returns s, from start to
    start; `also` holds m (kg), p_e (Pa gauge) and t_c (s).
    Validity: see the equation's record. Errors: as those two.
    Source: as those two; the share is specc default.
    """
    checks.above_zero("the share that counts as full", share, "")
    checks.fraction("the share that counts as full", share)
    checks.not_below_zero("the open time", open_time, "s")
    burst = vessel.emptying_isothermal(volume, share * supply, gas_temperature, outlet_area, ambient)
    left = burst.pressure_after(open_time, ambient)
    again = accumulator_charge(volume, supply, gas_temperature, feed_area, share, min(left, share * supply), ambient)
    also = (("m", burst.gas(open_time)), ("p_e", left), ("t_c", again.value))
    return Answer(open_time + again.value, beyond=again.beyond, also=also)


class Rhythm:
    """One accumulator fired again and again with the same spacing: what follows from a start pressure."""

    def __init__(
        self,
        volume: float,
        supply: float,
        gas_temperature: float,
        outlet_area: float,
        open_time: float,
        feed_area: float,
        spacing: float,
        ambient: float,
    ) -> None:
        checks.not_below_zero("the open time", open_time, "s")
        checks.above_zero("the spacing of the bursts", spacing, "s")
        if spacing < open_time:
            raise ValueError(
                f"bursts {spacing:g} s apart that are open {open_time:g} s would run into each other:"
                " the spacing counts from start to start"
            )
        self.volume, self.supply, self.temperature, self.ambient = volume, supply, gas_temperature, ambient
        self.outlet, self.feed = outlet_area, feed_area
        self.open_time, self.pause = open_time, spacing - open_time
        # One curve from empty serves every refill: how full it is tells where on it one stands.
        self.filling = vessel.filling_isothermal(volume, 0.0, supply, gas_temperature, feed_area, ambient)

    def next(self, start: float) -> float:
        """The gauge pressure (Pa) that the burst after one from `start` begins with."""
        burst = vessel.emptying_isothermal(self.volume, start, self.temperature, self.outlet, self.ambient)
        if self.filling is None:
            return 0.0
        if burst.curve is None:
            density = propane.vapor_density_value(self.temperature, start + self.ambient)
        else:
            density = burst.curve.x_after(self.open_time)
        density = max(density, self.filling.start)
        filled = self.filling.x_after(self.filling.time_to(density) + self.pause)
        return min(self.supply, max(0.0, vessel.pressure_of(filled, self.temperature) - self.ambient))

    def starts(self, number: int) -> list[float]:
        """Gauge pressures of the first `number` bursts, the first from full. Ends early once they stay the same."""
        made = [self.supply]
        while len(made) < number:
            made.append(self.next(made[-1]))
            if abs(made[-1] - made[-2]) <= _SETTLED * self.supply:
                break
        return made

    def settled(self) -> float:
        """The gauge pressure that the starts come to. There is one: a burst from higher up lets out more gas, and
        less flows in after it. Regula falsi, with the end that stays counted half."""
        low, high = 0.0, self.supply
        at_low, at_high = self.next(low) - low, self.next(high) - high
        if at_high >= -_SETTLED * self.supply:
            return high
        if at_low <= 0:
            return low
        kept = 0
        for step in range(_MOST_STEPS):
            x = low + at_low * (high - low) / (at_low - at_high) if step < 60 else (low + high) / 2
            off = self.next(x) - x
            if abs(off) <= _SETTLED * self.supply or high - low <= _SETTLED * self.supply:
                return x
            if off > 0:
                low, at_low = x, off
                at_high = at_high / 2 if kept == 1 else at_high
                kept = 1
            else:
                high, at_high = x, off
                at_low = at_low / 2 if kept == -1 else at_low
                kept = -1
        raise ArithmeticError("the pressure that the bursts settle to was not found")


START_PRESSURE = Equation(
    forms=(
        (
            "",
            "~ from p_1, n - 1 times: a burst of time t as in accumulator-burst, isothermal, then filling for t_s - t"
            " as in accumulator-charge",
        ),
    ),
    symbols=(
        *_FILLED,
        _OUTLET,
        _OPEN,
        _FEED,
        Symbol("t_s", "duration", "time from the start of one burst to the start of the next"),
        Symbol("n", "count", "which burst: 1 is the first, from full"),
        _AMBIENT,
        Symbol("p_n", "gauge_pressure", "pressure that the bursts settle to, gauge"),
        Symbol("p", "gauge_pressure", "pressure that burst n starts with, gauge"),
    ),
    citations=(BLOWDOWN, CHOKED, NOZZLE, LEMMON),
    validity=_BETWEEN,
)


@calculator("burst-start-pressure", START_PRESSURE, symbols="V p_1 T A t A_f t_s n p_a", result="p")
def burst_start_pressure(
    volume: Volume,
    supply: GaugePressure,
    gas_temperature: Temperature,
    outlet_area: Area,
    open_time: Duration,
    feed_area: Area,
    spacing: Duration,
    number: Count,
    ambient: AbsolutePressure = STANDARD_AIR,
) -> Answer:
    """The pressure that a burst in a series starts with, the first from full, all equally spaced.

    From p_1, n - 1 times down through the outlet for the open time and up through the feed for the rest.

    Inputs as `burst_cadence`; spacing: s, from start to start, at least the open time; number: whole, 1 is the
    first. Returns Pa gauge; `also` holds p_n, what they settle to.
    Validity: see the equation's record. A series that has settled is not followed further; one that has not after
    FOLLOWED bursts is given what it settles to, marked beyond.
    Errors: ValueError for impossible inputs, and where the gas would be liquid. Source: as `burst_cadence`.
    """
    checks.above_zero("the number of the burst", number, "")
    if number != int(number):
        raise ValueError(f"which burst it is, is a whole number, not {number:g}")
    rhythm = Rhythm(volume, supply, gas_temperature, outlet_area, open_time, feed_area, spacing, ambient)
    settled = rhythm.settled()
    beyond = FURTHER if supply > COMPARED_TO else ""
    # Every start lies between full and what they settle to, and each is lower than the one before.
    starts = rhythm.starts(min(int(number), FOLLOWED))
    pressure = starts[-1]
    if number > len(starts) == FOLLOWED:
        pressure = settled
        beyond = f"past burst {FOLLOWED}, not yet settled: this is the pressure they settle to, the lowest"
    return Answer(pressure, beyond=beyond, also=(("p_n", settled),))
