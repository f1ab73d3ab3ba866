"""The parts of a network: each a law for the flow between two nodes, from the pressures there.

Pressures are absolute, in Pa, flows in kg/s, from `start` to `end`. Every law is monotone: more pressure at the
start never lowers the flow, more at the end never raises it. An `end` of "" is the open air; no air comes back
in through it. A node's pressure is taken alike for all that meet there: speed is not turned back into pressure,
so what a fitting loses is a K of its line.

    Line       pipe, tube or hose: isothermal flow of the real gas, Churchill's friction, choked at its end if so;
               of length 0 it is a fitting or a valve, with K at its bore
    Hole       orifice, jet, open port: isentropic flow from rest (calc.nozzle), choked or subsonic
    Throttle   valve by Kv, as IEC 60534 sizes it; a needle valve part open has a smaller Kv
    Check      a hole that lets nothing back
    Shut       a closed valve
    Regulator  holds its outlet at `set` less `droop` times flow, as long as its seat passes that; else an open seat.
               At no flow at all the outlet stands at `lock_up`
    Supply     a node held at a pressure: cylinders, or a gauge reading

Each law has two faces. `flow` is the law itself, from scratch. `bend` is what the solver steps with: how far
a flow misses the law, in whatever measure bends least, and the slopes of that. A wrong `bend` can make the solver
slow or make it fail; it cannot make it wrong, since the answer is judged afresh in check.py.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple, TypeAlias

from specc_fuel.calc import checks, isothermal, nozzle
from specc_fuel.calc.fittings import KV, choked_drop
from specc_fuel.calc.isothermal import GasState, IsothermalGas, Pipe

AIR = ""  # the open air, as an element's end

# A closed or choked part is given this share of its usual slope, so that a node behind it is never cut off from all
# others in a step. It moves steps, never what is judged.
FAINT = 1e-9


class Bend(NamedTuple):
    """How far a flow misses its law at two pressures, and the slopes: by_flow > 0, by_start <= 0, by_end >= 0."""

    miss: float
    by_flow: float
    by_start: float
    by_end: float


class HeldNode(NamedTuple):
    """`node` is held at `pressure`, Pa absolute."""

    tag: str
    node: str
    pressure: float


def supply_tag(node: str) -> str:
    """By what tag what a supply gives at a node is kept."""
    return f"supply at {node}"


def held_node(node: str, pressure: float) -> HeldNode:
    return HeldNode(supply_tag(node), node, pressure)


class Pipeline(NamedTuple):
    """m; `loss` is the sum of K of its fittings."""

    tag: str
    start: str
    end: str
    bore: float
    length: float
    roughness: float
    loss: float = 0.0

    @property
    def pipe(self) -> Pipe:
        return Pipe(self.bore, self.length, self.roughness, self.loss)

    def check(self) -> None:
        isothermal.check_pipe(self.pipe)

    def flow(self, gas: IsothermalGas, air: float, a: GasState, b: GasState) -> float:
        if a.p < b.p:
            return 0.0 if self.end == AIR else -self.pipe.area * isothermal.flux_between(gas, self.pipe, b, a)[0]
        return self.pipe.area * isothermal.flux_between(gas, self.pipe, a, b)[0]

    def guess(self, gas: IsothermalGas, air: float, a: GasState, b: GasState) -> float:
        """A flow to start from: a speed that is usual in gas pipes."""
        return math.copysign(10.0 * self.pipe.area * max(a.rho, b.rho), a.p - b.p)

    def bend(self, gas: IsothermalGas, air: float, q: float, a: GasState, b: GasState) -> Bend:
        area = math.pi * self.bore * self.bore / 4
        if self.end == AIR and q + 0.1 * area * math.sqrt(a.rho / a.p) * (a.p - b.p) <= 0:
            return _closed(q, area * math.sqrt(a.rho / a.p))
        return self._bend(gas, area, q, a, b) if q >= 0 else _turned(self._bend(gas, area, -q, b, a))

    def _bend(self, gas: IsothermalGas, area: float, q: float, up: GasState, down: GasState) -> Bend:
        """For flow from `up` to `down`. Steps may try this while the pressures say the opposite."""
        flux = q / area
        if up.p <= down.p:
            return self._straight(area, flux, up, down, 0.0)
        speeding = 2 * math.log(up.rho / down.rho)
        if flux <= 0.98 * down.fastest:
            return self._straight(area, flux, up, down, speeding, flux)
        most, end = isothermal.most(gas, self.pipe, up)
        if down.p > end.p:
            # The pressures do not choke it: the flow is merely too large yet.
            return self._straight(area, flux, up, down, speeding, min(flux, 0.98 * down.fastest))
        # The law does not depend on the pressure behind; by the one ahead its slope is that with the choked end kept.
        whole = self._straight(area, most, up, end, 2 * math.log(up.rho / end.rho), most)
        return Bend(q - most * area, 1.0, whole.by_start / whole.by_flow, FAINT * q / up.p)

    def _straight(
        self, area: float, flux: float, up: GasState, down: GasState, speeding: float, speeding_flux: float = 0.0
    ) -> Bend:
        """flux**2*(f*L/d + K + speeding) less what drives it; `speeding_flux` for the slopes of `speeding`."""
        mu = (up.mu + down.mu) / 2
        lengths = self.length / self.bore
        driven = 2 * (up.gathered - down.gathered)
        square = 2 * speeding_flux * speeding_flux
        at_up, at_down = square * up.slope / up.rho, square * down.slope / down.rho
        reynolds = flux * self.bore / mu
        if reynolds < 100:  # laminar for sure: f*flux is a constant, also at no flow at all
            pull = 64 * mu / self.bore * lengths
            miss = flux * (pull + flux * (self.loss + speeding))
            by_flow = pull + 2 * flux * (self.loss + speeding)
        else:
            f, n = isothermal.friction(reynolds, self.roughness / self.bore)
            rubbing = f * lengths
            whole = rubbing + self.loss + speeding
            miss = flux * flux * whole
            by_flow = flux * (2 * whole + n * rubbing)
        if lengths == 0:
            # Without friction the square law is flat at no flow; a secant through the right flow never is.
            still = self.loss + speeding
            by_flow = still * (flux + math.sqrt(abs(driven) / still) + 1e-9 * up.rho)
        return Bend(miss - driven, by_flow / area, at_up - 2 * up.rho, max(2 * down.rho - at_down, FAINT * down.rho))

    def choked(self, gas: IsothermalGas, a: GasState, b: GasState, q: float) -> bool:
        return self.outflow(gas, a, b, q)[1]

    def outflow(self, gas: IsothermalGas, a: GasState, b: GasState, q: float) -> tuple[GasState, bool]:
        """The state inside the end that the gas leaves by, and whether the flow is choked there."""
        up, down = (a, b) if q >= 0 else (b, a)
        if abs(q) / self.pipe.area > 0.5 * down.fastest:
            _, end = isothermal.most(gas, self.pipe, up)
            if down.p <= end.p:
                return end, True
        return down, False


class Hole(NamedTuple):
    """`area`: discharge coefficient times area, m2."""

    tag: str
    start: str
    end: str
    area: float

    def check(self) -> None:
        checks.above_zero("the effective area", self.area, "m²")

    def flow(self, gas: IsothermalGas, air: float, a: GasState, b: GasState) -> float:
        if a.p < b.p:
            return 0.0 if self.end == AIR else -_hole_flow(self.area, gas, b, a)
        return _hole_flow(self.area, gas, a, b)

    def guess(self, gas: IsothermalGas, air: float, a: GasState, b: GasState) -> float:
        return self.flow(gas, air, a, b)

    def bend(self, gas: IsothermalGas, air: float, q: float, a: GasState, b: GasState) -> Bend:
        if self.end == AIR:
            return _one_way_hole(self.area, gas, q, a, b)
        return _both_ways(self.area, _hole_square, gas, 0.0, q, a, b)

    def choked(self, gas: IsothermalGas, a: GasState, b: GasState, q: float) -> bool:
        up, down = (a, b) if q >= 0 else (b, a)
        return nozzle.is_choked(up.p, up.p - down.p, gas.k)


class Throttle(NamedTuple):
    """`kv`: m3/h of water at 1 bar. `xt`: the share of the pressure ahead that chokes it with air (IEC 60534)."""

    tag: str
    start: str
    end: str
    kv: float
    xt: float = 0.7

    def check(self) -> None:
        checks.above_zero("Kv", self.kv, "m³/h")
        if not 0 < self.xt <= 1:
            raise ValueError(f"xT lies above 0 and at most at 1, not at {self.xt:g}")

    def flow(self, gas: IsothermalGas, air: float, a: GasState, b: GasState) -> float:
        if a.p < b.p:
            return 0.0 if self.end == AIR else -self._flow(gas, b, a)
        return self._flow(gas, a, b)

    def _flow(self, gas: IsothermalGas, up: GasState, down: GasState) -> float:
        limit = choked_drop(gas.k, self.xt)
        x = min((up.p - down.p) / up.p, limit)
        return KV * self.kv * (1 - x / (3 * limit)) * math.sqrt(x * up.p * up.rho)

    def guess(self, gas: IsothermalGas, air: float, a: GasState, b: GasState) -> float:
        return self.flow(gas, air, a, b)

    def bend(self, gas: IsothermalGas, air: float, q: float, a: GasState, b: GasState) -> Bend:
        size = KV * self.kv
        if self.end == AIR and q + size * math.sqrt(a.rho / a.p) * (a.p - b.p) <= 0:
            return _closed(q, size * math.sqrt(a.rho / a.p))
        return _both_ways(size, _valve_square, gas, choked_drop(gas.k, self.xt), q, a, b)

    def choked(self, gas: IsothermalGas, a: GasState, b: GasState, q: float) -> bool:
        up, down = (a, b) if q >= 0 else (b, a)
        return (up.p - down.p) / up.p >= choked_drop(gas.k, self.xt)


class CheckValve(NamedTuple):
    """A check valve; `area`: effective area when open, m2 (calc.fittings makes one of a Kv)."""

    tag: str
    start: str
    end: str
    area: float

    def check(self) -> None:
        checks.above_zero("the effective area", self.area, "m²")

    def flow(self, gas: IsothermalGas, air: float, a: GasState, b: GasState) -> float:
        return _hole_flow(self.area, gas, a, b) if a.p > b.p else 0.0

    def guess(self, gas: IsothermalGas, air: float, a: GasState, b: GasState) -> float:
        return self.flow(gas, air, a, b)

    def bend(self, gas: IsothermalGas, air: float, q: float, a: GasState, b: GasState) -> Bend:
        return _one_way_hole(self.area, gas, q, a, b)

    def choked(self, gas: IsothermalGas, a: GasState, b: GasState, q: float) -> bool:
        return q > 0 and nozzle.is_choked(a.p, a.p - b.p, gas.k)


class Shut(NamedTuple):
    """A closed valve: no flow, whatever the pressures."""

    tag: str
    start: str
    end: str

    def check(self) -> None:
        pass

    def flow(self, gas: IsothermalGas, air: float, a: GasState, b: GasState) -> float:
        return 0.0


class Regulator(NamedTuple):
    """`set` and `lock_up`: Pa gauge. `droop`: Pa per kg/s. `wide_open`: effective area of the open seat, m2.

    From any flow at all up to what the seat passes, the outlet stands at set - droop*flow. At no flow the
    outlet may stand anywhere from `set` to `lock_up`; it is then given as `lock_up`, unless a check valve further on
    opens first. A real regulator goes from one to the other within a small flow that makers do not state.
    """

    tag: str
    start: str
    end: str
    set: float
    lock_up: float
    droop: float
    wide_open: float

    def check(self) -> None:
        checks.above_zero("the regulator's setting", self.set, "Pa")
        checks.above_zero("the area of the regulator's seat", self.wide_open, "m²")
        checks.not_below_zero("the regulator's droop", self.droop, "Pa s/kg")
        if not self.set <= self.lock_up < math.inf:
            raise ValueError(
                f"a regulator locks up at or above its setting ({self.set:g} Pa), not at {self.lock_up:g} Pa"
            )

    def steepness(self, gas: IsothermalGas, air: float) -> float:
        """The droop used, Pa per kg/s. One without is given a millionth of its pressure, absolute, at full flow."""
        return max(self.droop, 1e-6 / (self.wide_open * math.sqrt(gas.per_pressure)))

    def eased(self, share: float, gas: IsothermalGas, air: float) -> Regulator:
        """One that droops by `share` of its pressure at full flow, if it does not droop more: it leads steps there."""
        return self._replace(droop=max(self.droop, share / (self.wide_open * math.sqrt(gas.per_pressure))))

    def flow(self, gas: IsothermalGas, air: float, a: GasState, b: GasState) -> float:
        held = self.set + air
        if b.p >= held or a.p <= b.p:
            return 0.0
        return min((held - b.p) / self.steepness(gas, air), _hole_flow(self.wide_open, gas, a, b))

    def guess(self, gas: IsothermalGas, air: float, a: GasState, b: GasState) -> float:
        return 0.1 * _hole_flow(self.wide_open, gas, a, b) if a.p > b.p else 0.0

    def state(self, gas: IsothermalGas, air: float, q: float, a: GasState, b: GasState) -> str:
        """What it is doing at a flow and two pressures that may not fit together yet.

        Steps go from locked up to wide open, or back, only by way of regulating; else they go to and fro for ever.
        """
        held = self.set + air
        if q <= 1e-7 * self.wide_open * math.sqrt(gas.per_pressure) * held:
            if b.p >= held:
                return "locked up"
            return "regulating" if a.p > held else "wide open"
        if a.p <= held - self.steepness(gas, air) * q:
            return "wide open"  # with so little ahead it has nothing to regulate
        seat = _hole_flow(self.wide_open, gas, a, b) if a.p > b.p else 0.0
        # Flow comes up to that of an open seat from below, while the outlet has long been too low.
        over = b.p - held + self.steepness(gas, air) * q
        if (q > 0.9 * seat and over < -1e-9 * held) or (q > seat and over < 1e-9 * held):
            return "wide open"
        return "regulating"

    def bend(self, gas: IsothermalGas, air: float, q: float, a: GasState, b: GasState) -> Bend:
        state = self.state(gas, air, q, a, b)
        if state == "locked up":
            return _closed(q, self.wide_open * math.sqrt(gas.per_pressure))
        if state == "wide open":
            return _one_way_hole(self.wide_open, gas, q, a, b)
        droop = self.steepness(gas, air)
        return Bend(b.p + droop * q - self.set - air, droop, -FAINT, 1.0)

    def choked(self, gas: IsothermalGas, a: GasState, b: GasState, q: float) -> bool:
        return q > 0 and nozzle.is_choked(a.p, a.p - b.p, gas.k)


_Square: TypeAlias = "Callable[[IsothermalGas, float, GasState, GasState], tuple[float, float, float]]"
Element: TypeAlias = Pipeline | Hole | Throttle | CheckValve | Shut | Regulator
Open: TypeAlias = Pipeline | Hole | Throttle | CheckValve | Regulator


def one_way(element: Element) -> bool:
    """Whether gas passes from start to end only."""
    return isinstance(element, CheckValve | Regulator) or element.end == AIR


def slopes(element: Open, gas: IsothermalGas, air: float, a: GasState, b: GasState) -> tuple[float, float]:
    """The slopes of `flow` by the pressure at the start (>= 0) and at the end (<= 0), kg/(s Pa)."""
    bend = element.bend(gas, air, element.flow(gas, air, a, b), a, b)
    return -bend.by_start / bend.by_flow, -bend.by_end / bend.by_flow


def pressure_of_height(gas: IsothermalGas, pressure: float, air: float, height: float) -> float:
    """What a column of the gas adds to its gauge pressure on the way down by `height` (m), Pa: what solve leaves out.

    (rho - rho_air)*g*h, both at the gas's temperature, at `pressure` and `air` in Pa absolute. Hydrostatics.
    """
    rho_air = air * 0.0289652 / (8.314462618 * gas.temperature)
    return (gas.density(pressure) - rho_air) * 9.80665 * height


# -- holes and valves, for flow from `up` to `down`


def _hole_flow(area: float, gas: IsothermalGas, up: GasState, down: GasState) -> float:
    return area * nozzle.flux(up.p, up.p - down.p, up.rho, gas.k)


def _hole_square(gas: IsothermalGas, limit: float, up: GasState, down: GasState) -> tuple[float, float, float]:
    """The square of the flow per area, and its slopes by the pressures ahead and behind."""
    k = gas.k
    square = nozzle.flux(up.p, up.p - down.p, up.rho, k) ** 2
    ahead = square * (up.slope / up.rho + 1 / up.p)
    r = down.p / up.p
    if r < nozzle.critical_ratio(k):
        return square, ahead, 0.0
    power = math.pow(r, 1 / k)
    behind = 2 * up.rho * power * (2 * power / r - (k + 1)) / (k - 1)
    return square, ahead - r * behind, min(behind, 0.0)


def _valve_square(gas: IsothermalGas, limit: float, up: GasState, down: GasState) -> tuple[float, float, float]:
    """As `_hole_square`, by IEC 60534; `limit` is the choked drop as a share of the pressure ahead."""
    x = (up.p - down.p) / up.p
    if x >= limit:
        square = limit * up.p * up.rho * 4 / 9
        return square, square * (up.slope / up.rho + 1 / up.p), 0.0
    y = 1 - x / (3 * limit)
    square = y * y * x * up.p * up.rho
    by_x = up.rho * y * (1 - x / limit)  # over the pressure ahead
    return square, square * (up.slope / up.rho + 1 / up.p) + by_x * (1 - x), -by_x


def _both_ways(size: float, law: _Square, gas: IsothermalGas, limit: float, q: float, a: GasState, b: GasState) -> Bend:
    """Squares of flows bend less than flows, and are straight where the drop is small."""
    if a.p < b.p:
        return _turned(_both_ways(size, law, gas, limit, -q, b, a))
    square, ahead, behind = law(gas, limit, a, b)
    area = size * size
    right = size * math.sqrt(square)
    # q*|q| - right**2 = (q - right)*(|q| + right) for q >= 0: this slope is never flat.
    by_flow = abs(q) + right + 1e-9 * size * math.sqrt(a.p * a.rho)
    faint = FAINT * area * a.rho
    return Bend(q * abs(q) - area * square, by_flow, -area * ahead - faint, -area * behind + faint)


def _one_way_hole(area: float, gas: IsothermalGas, q: float, a: GasState, b: GasState) -> Bend:
    scale = area * math.sqrt(a.rho / a.p)
    if q + scale * (a.p - b.p) <= 0:
        return _closed(q, scale)
    return _both_ways(area, _hole_square, gas, 0.0, q, a, b)


def _closed(q: float, scale: float) -> Bend:
    return Bend(q, 1.0, -FAINT * scale, FAINT * scale)


def _turned(bend: Bend) -> Bend:
    """The law of a part seen from its other end."""
    return Bend(-bend.miss, bend.by_flow, -bend.by_end, -bend.by_start)
