"""What a timeline is asked, and what it answers. All in SI; times in s; pressures in Pa gauge unless said.

Pressures and gas come from functions that the caller gives, since only the caller knows the plumbing:

    Draw.below(supply) -> kg/s               what a regulator passes once the supply is under its need
    Accumulator.charging(supply, own) -> kg/s what flows into an accumulator
    Accumulator.burst(own, open) -> (kg, Pa)  what an opening for `open` seconds lets out, and the pressure then

They are called thousands of times, so they should be cheap, and smooth: a jump is followed, but slowly.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from specc_fuel.calc.boiling import EMISSIVITY


class Cylinder(NamedTuple):
    """An upright cylinder as it stands at the start.

    contents: kg of propane, liquid and vapor. volume: m3 inside (`calc.boiling.inside_volume`). diameter: m
    outside. steel: kg, its empty weight. temperature: K, of liquid and wetted wall. reserve: kg not counted on.
    sun: W that it takes up from the sun while the gas is open; 0 for one that merely starts warm. bath: K, of a
    water bath it stands in up to the liquid's level while the gas is open, at most 125 °F. In the rest between
    nights it stands in air, without sun. bottom: share of the bottom that is
    counted as wetted wall. emissivity: 0 where the wall faces a clear night sky.
    """

    tag: str
    contents: float
    volume: float
    diameter: float
    steel: float
    temperature: float
    reserve: float = 0.0
    sun: float = 0.0
    bath: float | None = None
    bottom: float = 0.0
    emissivity: float = EMISSIVITY.si


class Accumulator(NamedTuple):
    """A vessel that bursts are let out of. Its gas is as warm as `temperature` (K) at all times.

    volume: m3. full: the pressure at which its regulator shuts. pressure: at the start. needs: what the supply has to
    stand at, so that its regulator holds while it fills.
    """

    tag: str
    volume: float
    full: float
    temperature: float
    charging: Callable[[float, float], float]
    burst: Callable[[float, float], tuple[float, float]]
    pressure: float = 0.0
    needs: float = 0.0


class Supply(NamedTuple):
    """Cylinders on one manifold, and the accumulators fed from it.

    check_valves: each cylinder has one, so gas never runs from a warm cylinder into a cold one. spares: brought
    on one by one, each in place of a cylinder down to its reserve; none means that no cylinder is changed.
    """

    tag: str
    cylinders: tuple[Cylinder, ...]
    accumulators: tuple[Accumulator, ...] = ()
    check_valves: bool = True
    spares: tuple[Cylinder, ...] = ()


class Draw(NamedTuple):
    """A steady flow. Its regulator holds `flow` (kg/s) while the supply stands at `needs` or above; under that
    it passes `below(supply)`, though never more than `flow`."""

    effect: str
    supply: str
    flow: float
    needs: float
    below: Callable[[float], float]


class VesselShot(NamedTuple):
    """The timeline's `Shot` (specc.kinds.show), by the accumulator that it empties: `at` s after the scene starts.
    `entry`: the place in the spec of the set of bursts that it is one of."""

    accumulator: str
    at: float
    open: float
    entry: str = ""


class SceneDraw(NamedTuple):
    """A stretch of a night. `starts`: s after the gas is opened that night."""

    tag: str
    starts: float
    lasts: float
    draws: tuple[Draw, ...] = ()
    bursts: tuple[VesselShot, ...] = ()


class SupplyNight(NamedTuple):
    """Gas is open from 0 to `lasts` (at least to the end of the last scene); accumulators are charged all that
    time, and `filling` s before it, in which nothing burns yet. Then the cylinders are shut for `rest` s, in air of
    `rest_air` (K; the night's own if None)."""

    tag: str
    air: float
    scenes: tuple[SceneDraw, ...]
    lasts: float = 0.0
    rest: float = 0.0
    rest_air: float | None = None
    filling: float = 0.0


class SupplyState(NamedTuple):
    """A supply at one moment. `pressure` is at the manifold, 0 where nothing is left on it. Temperatures (K)
    and masses (kg) of the cylinders on it, by tag; accumulators' pressures in the supply's order."""

    time: float
    pressure: float
    temperatures: tuple[tuple[str, float], ...]
    masses: tuple[tuple[str, float], ...]
    accumulators: tuple[float, ...]


class GasUsed(NamedTuple):
    """Gas let out by an effect in a scene: a steady draw's, or an accumulator's bursts. kg."""

    night: str
    scene: str
    effect: str
    mass: float


class Opened(NamedTuple):
    """A burst as it happened. `before` and `after`: the accumulator's pressure; `mass`: kg let out, `fed` of it
    straight through from the supply while the valve was open. `weak`: it began under the share of full pressure
    that was asked about. `late`: the accumulator was not yet back when it was due. `entry`: its shot's."""

    night: str
    scene: str
    accumulator: str
    time: float
    open: float
    before: float
    after: float
    mass: float
    fed: float
    weak: bool
    late: bool
    entry: str = ""


class Event(NamedTuple):
    """Something that happened at `time`. `what` is one of

    "frost"      the wall of cylinder `tag` is below freezing from here on
    "reserve"    cylinder `tag` is down to its reserve
    "changed"    cylinder `tag` was taken off for the spare `other`
    "empty"      cylinder `tag` has no liquid left; what it holds as vapor is not counted on
    "nothing"    nothing is left on the supply `tag`
    "short"      the supply is under what the draw `tag`, or the accumulator `tag` as it fills, needs; "held" it is back
                 above it
    "condenses"  accumulator `tag` holds gas at the pressure at which it condenses at its temperature
    """

    time: float
    night: str
    what: str
    tag: str
    other: str = ""


class Left(NamedTuple):
    """A cylinder at the end (or as it was taken off): kg, K, and whether it still has liquid."""

    tag: str
    mass: float
    temperature: float
    liquid: bool


class Balance(NamedTuple):
    """Mass (kg) and energy (J) of a supply over the whole time. `mass` and `energy` are what does not add up,
    as shares of the gas at the start and of the heat it takes to boil that gas.

    heat: in through the walls, sun and bath. carried: enthalpy of the vapor that left. stored: rise of the
    propane's own energy. steel: heat that went into wetted steel. heat = carried + stored + steel.
    """

    mass: float
    energy: float
    heat: float
    carried: float
    stored: float
    steel: float


class SupplyHistory(NamedTuple):
    """One supply over all nights."""

    supply: str
    points: tuple[SupplyState, ...]
    gas: tuple[GasUsed, ...]
    bursts: tuple[Opened, ...]
    events: tuple[Event, ...]
    left: tuple[Left, ...]
    accumulated: tuple[tuple[str, float], ...]  # kg in each accumulator at the end
    balance: Balance
    steps: int
    coldest: float  # K, any cylinder at any time
    lowest: float  # Pa gauge, the supply while gas was open


class ShowHistory(NamedTuple):
    """All supplies. `starts` holds each night's tag and its 0, which is after its filling."""

    supplies: tuple[SupplyHistory, ...]
    starts: tuple[tuple[str, float], ...]

    def gas(self, night: str = "", scene: str = "", effect: str = "") -> float:
        """kg of gas let out, of one night, scene or effect, or of all."""
        return sum(
            g.mass
            for s in self.supplies
            for g in s.gas
            if night in ("", g.night) and scene in ("", g.scene) and effect in ("", g.effect)
        )
