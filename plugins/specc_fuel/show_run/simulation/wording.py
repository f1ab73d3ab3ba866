"""What a timeline refuses before it starts, in words."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

from specc.measure.printing import show
from specc_fuel.calc.boiling import check_bath
from specc_fuel.calc.checks import above_zero, fraction, not_below_zero
from specc_fuel.calc.state import saturation
from specc_fuel.show_run.simulation.records import Accumulator, Cylinder, Draw, Supply, SupplyNight, VesselShot
from specc_fuel.show_run.simulation.table import COLDEST, HOTTEST, read, solved

HOTTEST_AIR = 345.0  # K, 161 °F: no open air is warmer


class Overfilled(ValueError):
    """Liquid would come to fill a cylinder whole."""


class Overlapping(ValueError):
    """One accumulator is opened while it is still open. `entry`: the place in the spec of the later set of bursts."""

    def __init__(self, message: str, entry: str):
        super().__init__(message)
        self.entry = entry


def examine(
    supplies: Sequence[Supply], nights: Sequence[SupplyNight], ambient: float, weak: float, ready: float, every: float
) -> None:
    """Raise ValueError for what cannot be: sizes, temperatures, times, names that are not there or not alone."""
    above_zero("the air's absolute pressure", ambient, "Pa")
    if not read(COLDEST)[0] <= ambient <= 120e3:
        raise ValueError(f"the air's absolute pressure is no air's: {ambient:g} Pa")
    fraction("the share under which a burst is weak", weak)
    fraction("the share under which a burst is late", ready)
    not_below_zero("the time between points", every, "s")
    if not supplies:
        raise ValueError("there is no supply")
    if not nights:
        raise ValueError("there is no night")
    _alone("supply", (s.tag for s in supplies))
    _alone("night", (n.tag for n in nights))
    _alone("cylinder", (c.tag for s in supplies for c in (*s.cylinders, *s.spares)))
    _alone("accumulator", (a.tag for s in supplies for a in s.accumulators))
    for supply in supplies:
        if not supply.cylinders:
            raise ValueError(f"the supply {supply.tag} has no cylinder")
        for cylinder in (*supply.cylinders, *supply.spares):
            _cylinder(cylinder)
        for accumulator in supply.accumulators:
            _accumulator(accumulator, ambient)
    accumulators = {a.tag for s in supplies for a in s.accumulators}
    tags = {s.tag for s in supplies}
    for night in nights:
        _night(night, tags, accumulators)
    hottest = max(n.air for n in nights)
    for supply in supplies:
        for cylinder in (*supply.cylinders, *supply.spares):
            _room(cylinder, max(cylinder.temperature, hottest, cylinder.bath or 0.0))


def _alone(what: str, tags: Iterable[str]) -> None:
    seen = set()
    for tag in tags:
        if not tag or tag in seen:
            raise ValueError(f"each {what} has a tag of its own, and {tag!r} is not")
        seen.add(tag)


def _cylinder(c: Cylinder) -> None:
    not_below_zero(f"the content of {c.tag}", c.contents, "kg")
    above_zero(f"the volume of {c.tag}", c.volume, "m³")
    above_zero(f"the diameter of {c.tag}", c.diameter, "m")
    not_below_zero(f"the steel of {c.tag}", c.steel, "kg")
    not_below_zero(f"the reserve of {c.tag}", c.reserve, "kg")
    not_below_zero(f"the sun on {c.tag}", c.sun, "W")
    fraction(f"the share of the bottom of {c.tag}", c.bottom)
    fraction(f"the emissivity of {c.tag}", c.emissivity)
    _warm(f"the cylinder {c.tag}", c.temperature)
    if c.bath is not None:
        check_bath(c.bath)


def _room(c: Cylinder, hottest: float) -> None:
    """A cylinder that liquid fills whole bursts or blows off: no timeline is made of that."""
    both = solved(hottest)
    if (c.contents - both.vapor * c.volume) * both.room > c.volume:
        raise Overfilled(
            f"{show(c.contents, 'mass', 'lb', 3)} of propane fill the cylinder {c.tag} whole, as liquid, before it is "
            f"as warm as {show(hottest, 'temperature', '°F', 3)}"
        )


def _accumulator(a: Accumulator, ambient: float) -> None:
    above_zero(f"the volume of {a.tag}", a.volume, "m³")
    above_zero(f"the full pressure of {a.tag}", a.full, "Pa gauge")
    not_below_zero(f"the pressure of {a.tag} at the start", a.pressure, "Pa gauge")
    _warm(f"the accumulator {a.tag}", a.temperature)
    if a.pressure + ambient > saturation(a.temperature).pressure:
        raise ValueError(f"the accumulator {a.tag} starts above the pressure at which its gas condenses")


def _warm(what: str, kelvin: float, hottest: float = HOTTEST) -> None:
    if not COLDEST <= kelvin <= hottest:
        raise ValueError(f"{what} is followed from {COLDEST:g} K to {hottest:g} K, not at {kelvin:g} K")


def _night(night: SupplyNight, supplies: set[str], accumulators: set[str]) -> None:
    _warm(f"air of the night {night.tag}", night.air, HOTTEST_AIR)
    if night.rest_air is not None:
        _warm(f"air after the night {night.tag}", night.rest_air, HOTTEST_AIR)
    not_below_zero(f"the length of the night {night.tag}", night.lasts, "s")
    not_below_zero(f"the rest after the night {night.tag}", night.rest, "s")
    not_below_zero(f"the filling before the night {night.tag}", night.filling, "s")
    _alone("scene of a night", (s.tag for s in night.scenes))
    for scene in night.scenes:
        not_below_zero(f"the start of the scene {scene.tag}", scene.starts, "s")
        not_below_zero(f"the length of the scene {scene.tag}", scene.lasts, "s")
        for supply in supplies:
            _alone(f"draw on {supply} in a scene", (d.effect for d in scene.draws if d.supply == supply))
        for draw in scene.draws:
            _draw(draw, scene.tag, supplies)
        for burst in scene.bursts:
            _burst(burst, scene.tag, scene.lasts, accumulators)
    lasting = sorted((s for s in night.scenes if s.lasts > 0), key=lambda s: s.starts)
    for one, other in pairwise(lasting):
        # A rounding of start plus length is no overlap.
        if one.starts + one.lasts > other.starts + 1e-6:
            raise ValueError(f"the scenes {one.tag} and {other.tag} overlap: gas is counted by scene, so they follow"
                             " one another")  # fmt: skip
    openings = sorted((s.starts + b.at, b.open, b.accumulator, b.entry) for s in night.scenes for b in s.bursts)
    for tag in accumulators:
        for (start, lasts, _, _), (then, _, _, entry) in pairwise([o for o in openings if o[2] == tag]):
            if start + lasts > then:
                told = (
                    f"a burst of {tag} is due {show(then, 'duration', 'min', 3)} into the night, while another is open"
                )
                raise Overlapping(told, entry)


def _draw(draw: Draw, scene: str, supplies: set[str]) -> None:
    if draw.supply not in supplies:
        raise ValueError(f"{draw.effect} in the scene {scene} draws from {draw.supply!r}, which is no supply")
    not_below_zero(f"the flow of {draw.effect}", draw.flow, "kg/s")
    not_below_zero(f"the pressure that {draw.effect} needs", draw.needs, "Pa gauge")


def _burst(burst: VesselShot, scene: str, lasts: float, accumulators: set[str]) -> None:
    if burst.accumulator not in accumulators:
        raise ValueError(f"a burst in the scene {scene} is of {burst.accumulator!r}, which is no accumulator")
    not_below_zero(f"the opening of {burst.accumulator}", burst.open, "s")
    not_below_zero(f"the time of a burst of {burst.accumulator}", burst.at, "s")
    if burst.at > lasts or not math.isfinite(lasts):
        raise ValueError(f"a burst of {burst.accumulator} is due {burst.at:g} s into the scene {scene}, after its end")
