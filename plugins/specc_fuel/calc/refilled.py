"""A burst while its accumulator is filled again: what is left at the end of each moment decides what flows in.

The vessel empties through one hole and fills through another, both at each moment by the pressure that stands in it
then. It runs from where it starts toward where both flows agree, and is summed in steps that grow shorter toward that:

    x = rest + (start - rest) exp(-s),   dt = (x - rest)/rate(x) ds

What is left of the open time near the end counts at the flow of the last step, or as all that is left and what the feed
brings meanwhile: a little more than comes.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

from specc.dims import AbsolutePressure, Area, Duration, GaugePressure, Temperature, Volume
from specc.formulas.calculators import calculator
from specc.model.values import Answer, Equation, Symbol
from specc_fuel.calc import checks, nozzle, propane, vessel
from specc_fuel.calc.accumulator import BLOWDOWN, FURTHER
from specc_fuel.calc.orifice import COMPARED_TO
from specc_fuel.calc.sources import CHOKED, LEMMON, NOZZLE, REAL_GAS, STANDARD_AIR

_SPAN, _STEPS = 9.0, 24  # down to exp(-9) of the way; 120 points in all

FED_BURST = Equation(
    forms=(
        (
            "",
            "~ V·drho/dt = w_f - w, isothermal: w out through A as in accumulator-burst, w_f in from p_1 through that"
            " A_f whose share of p_1 stands in it, as in area-flow; m = the sum of w",
        ),
    ),
    symbols=(
        Symbol("V", "volume", "volume of the accumulator, with what is open to it"),
        Symbol("p", "gauge_pressure", "pressure in it at the start, gauge"),
        Symbol("T", "temperature", "temperature of the gas"),
        Symbol("A", "area", "effective outlet area: discharge coefficient times area"),
        Symbol("p_1", "gauge_pressure", "pressure ahead of the feed, gauge"),
        Symbol("A_f", "area", "effective area of the feed; of several, each for its equal share of p_1, from none up"),
        Symbol("t", "duration", "time it is open"),
        Symbol("p_a", "absolute_pressure", "absolute pressure of the air"),
        Symbol("w_0", "mass_flow", "flow at the start, the largest"),
        Symbol("w_m", "mass_flow", "mean flow while it is open: m over t"),
        Symbol("m_f", "mass", "gas that flows in meanwhile"),
        Symbol("p_e", "gauge_pressure", "pressure left, gauge"),
        Symbol("m", "mass", "gas of the burst"),
    ),
    citations=(BLOWDOWN, CHOKED, NOZZLE, LEMMON, REAL_GAS),
    validity=(
        "propane vapor at the walls' temperature, which gives the most; open and shut at once. Liquid is not covered:"
        " it gives far more gas"
    ),
)


class _Both(NamedTuple):
    """A vessel with both its holes: what each passes (kg/s) at a density in it (kg/m3)."""

    volume: float
    flows: Callable[[float], tuple[float, float]]  # out and in

    def rest(self, low: float, high: float) -> float:
        """The density at which both are alike, between one at which it fills and one at which it empties."""
        for _ in range(60):
            middle = (low + high) / 2
            out, into = self.flows(middle)
            low, high = (low, middle) if out > into else (middle, high)
        return high

    def step(self, rest: float, spread: float, s: float, length: float) -> tuple[float, float]:
        """The seconds that it takes from rest + spread exp(-s) on, and the kg that come out."""
        time = gas = 0.0
        for node, weight in vessel.GAUSS:
            above = spread * math.exp(-(s + (1 + node) / 2 * length))
            out, into = self.flows(rest + above)
            if out > into:
                took = weight * length / 2 * above * self.volume / (out - into)
                time, gas = time + took, gas + took * out
        return time, gas

    def part(self, rest: float, spread: float, s: float, whole: float, time: float) -> tuple[float, float]:
        """Of a step that takes longer than there is time: how far it gets, and the kg that come out."""
        low, high = 0.0, whole
        for _ in range(24):
            middle = (low + high) / 2
            low, high = (middle, high) if self.step(rest, spread, s, middle)[0] < time else (low, middle)
        return high, self.step(rest, spread, s, high)[1]


@calculator("fed-burst", FED_BURST, symbols="V p T A p_1 A_f t p_a", result="m", examples={"pressure": "60 psi"})
def fed_burst(
    volume: Volume,
    pressure: GaugePressure,
    gas_temperature: Temperature,
    outlet_area: Area,
    supply: GaugePressure,
    feed_areas: tuple[Area, ...],
    open_time: Duration,
    ambient: AbsolutePressure = STANDARD_AIR,
) -> Answer:
    """The gas that a burst lets out of an accumulator while its feed fills it again.

    V drho/dt = A_f G(p_1 to p) - A G(p to the air), G as in `area_flow`, isothermal, the real gas's density.

    volume: m3. pressure: Pa gauge at the start. gas_temperature: K. outlet_area: effective, m2. supply: Pa gauge ahead
    of the feed. feed_areas: effective, m2: one, or several for equal shares of the supply's gauge pressure that stand
    in the vessel, from none up; 0 for no feed. open_time: s. ambient: Pa absolute. Returns kg; `also` holds w_0 and
    w_m (kg/s), m_f (kg) and p_e (Pa gauge).
    Validity: see the equation's record; marked beyond above 250 psig.
    Errors: ValueError for impossible inputs, and where the gas would be liquid.
    Source: conservation of mass; flows and density as `orifice_flow`.

    A gallon at 36 psig behind a hole of 3/8 in, fed from 30 psig through one of 0.3 in, both with C = 0.8, for half a
    second, at sea level and 64 °F (0.0205 kg by CoolProp's density and scipy's integration, with the
    flow of a constant exponent):

    >>> gallon, psi = 3.785411784e-3, 6894.757
    >>> feed, out = (0.8 * math.pi * (bore * 0.0254) ** 2 / 4 for bore in (0.3, 0.375))
    >>> burst = fed_burst(gallon, 36 * psi, 290.928, out, 30 * psi, (feed,), 0.5)
    >>> round(burst.value, 4)
    0.0207
    """
    vessel.check_vessel(volume, pressure, ambient)
    checks.above_zero("the outlet's effective area", outlet_area, "m²")
    checks.not_below_zero("the supply's gauge pressure", supply, "Pa")
    checks.not_below_zero("the open time", open_time, "s")
    for area in feed_areas:
        checks.not_below_zero("the feed's effective area", area, "m²")
    held = nozzle.propane_at(pressure + ambient, gas_temperature)
    ahead = nozzle.propane_at(supply + ambient, gas_temperature)
    areas = _none_wider_above(feed_areas)

    def out_and_in(density: float) -> tuple[float, float]:
        inside = vessel.pressure_of(density, gas_temperature)
        gone = outlet_area * nozzle.flux(inside, inside - ambient, density, held.k) if inside > ambient else 0.0
        share = (inside - ambient) / supply if supply > 0 else 1.0
        if not areas or share >= 1:
            return gone, 0.0
        area = areas[min(int(max(share, 0.0) * len(areas)), len(areas) - 1)]
        return gone, area * nozzle.flux(supply + ambient, supply + ambient - inside, ahead.rho, ahead.k)

    beyond = FURTHER if max(pressure, supply) > COMPARED_TO else ""
    both, time, gas = _Both(volume, out_and_in), 0.0, 0.0
    first, into = out_and_in(held.rho)
    left = held.rho
    if pressure < vessel.EMPTY or first <= into or open_time <= 0:  # it stays as it is
        gas = first * open_time
    else:
        rest = both.rest(propane.vapor_density_value(gas_temperature, ambient), held.rho)
        spread = held.rho - rest
        turns = [ambient / nozzle.critical_ratio(held.k), (supply + ambient) * nozzle.critical_ratio(ahead.k)]
        turns += [ambient + supply * (i + 1) / len(areas) for i in range(len(areas))]
        bends = [propane.vapor_density_value(gas_temperature, p) for p in turns if p < pressure + ambient]
        for start, end in pairwise(_marks(rest, spread, bends)):
            took, out = both.step(rest, spread, start, end - start)
            if time + took >= open_time:
                length, out = both.part(rest, spread, start, end - start, open_time - time)
                time, gas, left = open_time, gas + out, rest + spread * math.exp(-start - length)
                break
            time, gas, left = time + took, gas + out, rest + spread * math.exp(-end)
        out, into = out_and_in(left)[0], out_and_in(rest)[1]
        gas += min(out * (open_time - time), volume * (left - rest) + into * (open_time - time))
    gas = min(gas, first * open_time)
    also = (
        ("w_0", first),
        ("w_m", gas / open_time if open_time > 0 else first),
        ("m_f", max(gas - volume * (held.rho - left), 0.0)),
        ("p_e", max(vessel.pressure_of(left, gas_temperature) - ambient, 0.0)),
    )
    return Answer(gas, beyond=beyond, also=also)


def _marks(rest: float, spread: float, bends: Iterable[float]) -> list[float]:
    """The ends of the steps: equal ones, parted where a flow chokes, or another area of the feed counts."""
    at = [-math.log((b - rest) / spread) for b in bends if rest < b < rest + spread]
    return sorted({*(_SPAN * n / _STEPS for n in range(_STEPS + 1)), *(s for s in at if s < _SPAN)})


def _none_wider_above(areas: Sequence[float]) -> list[float]:
    """Each no smaller than those of fuller shares: a regulator that sags passes more gas into a fuller vessel."""
    made: list[float] = []
    for area in reversed(areas):
        made.append(max(area, made[-1] if made else 0.0))
    return made[::-1]
