"""The cylinders on one manifold: what each gives, how each cools, and how they share the draw.

Each cylinder is one temperature: liquid, vapor and the steel that liquid wets. For each

    (m a' + V b' + m_s c_s) dT/dt = Q - w L,    dm/dt = -w

with a, b and L as in `table`, Q the heat through the wetted wall, m_s the wetted share of the steel (as the
liquid's share of the volume). Steel that falls dry leaves with the heat it has; dry steel is not counted again.

The manifold has one pressure and costs none. So the cylinders that give gas are equally warm: a warmer one gives
alone until it has cooled to the next, then both give so much that they cool alike. Behind check valves a colder
one waits. Without them gas runs into it and condenses there, until all are equal; that warms the cold one at the
cost of the warm one, and makes no gas. What remains without liquid is not counted on.

Cylinders alike in all, which is what most shows have, are followed once and counted as many times.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from specc_fuel.calc.boiling import BATH, INSIDE, STEEL, air_side
from specc_fuel.show_run.simulation.records import Accumulator, Cylinder, Draw
from specc_fuel.show_run.simulation.table import energy, read, vapor

# No gas leaves a cylinder that is no warmer than propane boils at the air's pressure, and no valve passes any amount:
# all flows together are at most this times the gauge pressure, kg/s for each Pa (10 g/s, 80 lb/h, at 1.5 psig),
# whatever the given functions say. Specc default.
MOST_PASSED = 1e-6
# A regulator that lost its supply takes up its flow again this much above its need (0.5 psi): a choice, so that a
# given function with a jump cannot flutter.
BACK = 3400.0
# Cylinders within this of the warmest give gas together, K: 0.2 Pa.
ALIKE = 1e-5

SHUT, CHARGING, OPEN, HELD = "shut", "charging", "open", "held"
# An accumulator is full at this share of its pressure, where the last thousandth may take for ever; it waits
# where it is that near to the supply's own pressure, and goes on once the supply is half a per cent above it.
FULL = 0.999
AGAIN = 0.995

_INSIDE = INSIDE.si


class Vessel:
    """An accumulator as it is now. `mass` lies in the state vector; here is how it stands to the supply."""

    def __init__(self, spec: Accumulator, ambient: float) -> None:
        self.spec = spec
        self.ambient = ambient
        self.gas = vapor(spec.temperature)
        self.charging = spec.charging
        self.mode = SHUT
        self.started = self.mass_at(spec.pressure)
        condenses = spec.full + ambient >= self.gas.highest
        # Full, or at the brink of condensing.
        self.full = self.gas.densest * spec.volume if condenses else self.mass_at(spec.full * FULL)
        self.condenses = condenses
        self.through = 0.0  # pressure while the valve is open
        self.fed = 0.0  # kg that went straight through in this opening
        self.short = False  # the supply is under what it needs, or was when it last filled

    def mass_at(self, pressure: float) -> float:
        return self.gas.density(pressure + self.ambient) * self.spec.volume

    def pressure(self, mass: float) -> float:
        """Pa gauge with `mass` kg in it."""
        return self.gas.pressure(mass / self.spec.volume) - self.ambient


class Plant:
    """The cylinders on the manifold, the accumulators behind it and what is drawn now.

    The state vector holds the cylinders' temperatures, then their masses, then the accumulators' masses.
    `rates` leaves the supply's pressure in `supply` and each cylinder's values in `each`, for whoever just
    called it.
    """

    def __init__(self, ambient: float, check_valves: bool, vessels: Sequence[Vessel]) -> None:
        self.ambient = ambient
        self.check_valves = check_valves
        self.vessels = list(vessels)
        self.cylinders: list[Cylinder] = []  # one of each kind that is on
        self.counts: list[int] = []  # and how many there are
        self.fixed: list[tuple[float, float, float, float, float, float, float, float, float | None]] = []
        self.air = 0.0
        self.open = False
        self.draws = ()
        self.short: list[bool] = []
        self.group: list[int] = []  # the cylinders that give gas, or would
        self.supply = 0.0
        self.each: list[tuple[float, float, float, float, float, float]] = []

    @property
    def draws(self) -> Sequence[Draw]:
        """What is lit now."""
        return self._draws

    @draws.setter
    def draws(self, draws: Sequence[Draw]) -> None:
        self._draws = draws
        self._asked = [draw.flow for draw in draws]  # what they draw while the supply does for all of them
        self._asked_in_all = 0.0
        for flow in self._asked:
            self._asked_in_all += flow

    def connect(self, kinds: Sequence[Sequence[Cylinder]]) -> None:
        """Say which cylinders are on: those alike in all, and in the same state, together. The state vector has to
        follow, one temperature and one mass for each kind, then `regroup`."""
        self.cylinders = [kind[0] for kind in kinds]
        self.counts = [len(kind) for kind in kinds]
        self.fixed = [
            (
                c.volume,
                1 / (math.pi * c.diameter**2 / 4),
                c.steel * STEEL.si / c.volume,
                math.pi * c.diameter,
                c.bottom * math.pi * c.diameter**2 / 4,
                c.diameter / 4,
                c.emissivity,
                c.sun,
                c.bath,
            )
            for c in self.cylinders
        ]

    def _each(self, y: Sequence[float]) -> list[tuple[float, float, float, float, float, float]]:
        """One of each kind: pressure (Pa absolute), heat capacity (J/K), L, h_v (J/kg), heat in (W), liquid (m3)."""
        n, air, on = len(self.fixed), self.air, self.open
        found = []
        last = math.nan
        for i, (volume, per_area, steel, round_, bottom, lowest, emissivity, sun, bath) in enumerate(self.fixed):
            temperature, mass = y[i], y[n + i]
            if temperature != last:
                last = temperature
                conductivity, _, before, radiation = air_side(temperature, air, self.ambient)
                pressure, a, a_slope, b_slope, latent, rho, room = read(temperature)
            liquid = (mass - rho * volume) * room
            # A step on trial may look a little past the last drop.
            height = liquid * per_area if liquid > 0 else 0.0
            area = round_ * height + bottom
            if bath is not None and on:
                heat = BATH.si * area * (bath - temperature)
            else:
                plate = height if height > lowest else lowest
                # As still_air_coefficient has it, written out: it is asked tens of thousands of times.
                root = 0.825 + before * math.sqrt(plate)
                outside = root * root * conductivity / plate + emissivity * radiation
                heat = outside * _INSIDE / (outside + _INSIDE) * area * (air - temperature)
            if on:
                heat += sun
            capacity = mass * a_slope + volume * b_slope + steel * liquid
            found.append((pressure, capacity, latent, a + latent, heat, liquid))
        return found

    def flows(self, supply: float, y: Sequence[float]) -> tuple[list[float], list[float], list[float], float]:
        """What runs at a supply pressure (Pa gauge): draws, into accumulators, straight through open ones, and all
        of it together. kg/s."""
        if supply <= 0 or not self.open:
            nothing = [0.0] * len(self.vessels)
            return [0.0] * len(self.draws), nothing, nothing, 0.0
        if True in self.short:
            drawn, total = self._drawn_when_short(supply)
        else:
            drawn, total = self._asked, self._asked_in_all
        stored, through = [], []
        slot = 2 * len(self.fixed)
        for vessel in self.vessels:
            charge = fed = 0.0
            if vessel.mode == CHARGING:
                charge = vessel.charging(supply, vessel.pressure(y[slot]))
                if not 0 <= charge < math.inf:
                    raise ValueError(refusal(vessel.spec.tag, charge))
            elif vessel.mode == OPEN:
                fed = vessel.charging(supply, vessel.through)
                if not 0 <= fed < math.inf:
                    raise ValueError(refusal(vessel.spec.tag, fed))
            stored.append(charge)
            through.append(fed)
            total += charge + fed
            slot += 1
        most = MOST_PASSED * supply
        if total > most:
            share = most / total
            return [w * share for w in drawn], [w * share for w in stored], [w * share for w in through], most
        return drawn, stored, through, total

    def _drawn_when_short(self, supply: float) -> tuple[list[float], float]:
        """What each draw takes, and all of them, while the supply is under what one of them needs."""
        drawn = []
        total = 0.0
        for draw, short in zip(self._draws, self.short, strict=True):
            flow = draw.flow
            if short:
                flow = draw.below(supply)
                if not 0 <= flow < math.inf:
                    raise ValueError(refusal(draw.effect, flow))
                if flow > draw.flow:
                    flow = draw.flow
            drawn.append(flow)
            total += flow
        return drawn, total

    def rates(self, y: Sequence[float]) -> tuple[list[float], list[float]]:
        """Slopes of the state, and rates of: heat in, enthalpy out, heat into steel (W), each draw, each
        accumulator's straight flow (kg/s)."""
        self.each = each = self._each(y)
        if len(each) == 1:
            return self._rates_of_one(y, each[0])
        group = self.group
        supply = 0.0
        if len(group) == 1:
            supply = each[group[0]][0] - self.ambient
        elif len(group) == 2:
            one, other = each[group[0]][0], each[group[1]][0]
            supply = (other if other > one else one) - self.ambient
        elif group:
            supply = max([each[i][0] for i in group]) - self.ambient
        self.supply = supply
        drawn, stored, through, total = self.flows(supply, y)
        given = self._shares(each, total) if total > 0 or not self.check_valves else [0.0] * len(each)
        slopes = []
        lost = []
        heat_in = carried = into_steel = 0.0
        counts, fixed = self.counts, self.fixed
        for i, (_, capacity, latent, enthalpy, heat, liquid) in enumerate(each):
            w, count = given[i], counts[i]
            slope = (heat - w * latent) / capacity
            slopes.append(slope)
            lost.append(-w)
            heat_in += count * heat
            carried += count * w * enthalpy
            into_steel += count * fixed[i][2] * liquid * slope
        return slopes + lost + stored, [heat_in, carried, into_steel, *drawn, *through]

    def _rates_of_one(
        self, y: Sequence[float], each: tuple[float, float, float, float, float, float]
    ) -> tuple[list[float], list[float]]:
        """`rates` where all cylinders are alike, as in most shows: asked a hundred thousand times, and nothing is
        shared out."""
        pressure, capacity, latent, enthalpy, heat, liquid = each
        giving = bool(self.group)
        self.supply = supply = pressure - self.ambient if giving else 0.0
        drawn, stored, through, total = self.flows(supply, y)
        count = self.counts[0]
        w = total / count if giving and self.open else 0.0
        slope = (heat - w * latent) / capacity
        into_steel = count * self.fixed[0][2] * liquid * slope
        return [slope, -w, *stored], [count * heat, count * w * enthalpy, into_steel, *drawn, *through]

    def _shares(self, each: Sequence[tuple[float, float, float, float, float, float]], total: float) -> list[float]:
        """kg/s from one of each kind, so that those of the group cool alike and give `total` together."""
        given = [0.0] * len(each)
        if not self.open:
            return given
        members = self.group
        if len(members) == 2:  # as in most shows of unlike cylinders: the same written out
            i, j = members
            _, capacity, latent, _, heat, _ = each[i]
            _, capacity_j, latent_j, _, heat_j, _ = each[j]
            by_latent, by_latent_j = self.counts[i] / latent, self.counts[j] / latent_j
            share = capacity * by_latent + capacity_j * by_latent_j
            slope = (heat * by_latent + heat_j * by_latent_j - total) / share
            given[i], given[j] = (heat - capacity * slope) / latent, (heat_j - capacity_j * slope) / latent_j
            if not self.check_valves or (given[i] >= 0 and given[j] >= 0):
                return given
            members = [i] if given[i] >= 0 else [j] if given[j] >= 0 else []
            given = [0.0] * len(each)
        while members:
            if len(members) == 1:
                given[members[0]] = total / self.counts[members[0]]
                return given
            share = heats = 0.0
            for i in members:
                _, capacity, latent, _, heat, _ = each[i]
                by_latent = self.counts[i] / latent
                share += capacity * by_latent
                heats += heat * by_latent
            slope = (heats - total) / share
            for i in members:
                _, capacity, latent, _, heat, _ = each[i]
                given[i] = (heat - capacity * slope) / latent
            if not self.check_valves or min(given) >= 0:
                return given
            # Behind a check valve nothing runs in: that one waits, the others give all.
            staying = [i for i in members if given[i] >= 0]
            for i in members:
                given[i] = 0.0
            members = staying
        return given

    def heat_held(self, y: Sequence[float]) -> float:
        """J in all cylinders that are on, without their steel."""
        n = len(self.cylinders)
        held = 0.0
        for i, count in enumerate(self.counts):
            held += count * energy(y[n + i], self.fixed[i][0], y[i])
        return held

    def first_dry(self, y: Sequence[float]) -> int | None:
        """The first cylinder that holds no liquid, if there is one."""
        return next((i for i, each in enumerate(self._each(y)) if each[5] <= 0), None)

    def regroup(self, y: list[float]) -> float:
        """Find anew which cylinders give gas: the warmest and those as warm, or without check valves all.

        Those that are to give together are brought to one temperature. Changes y; returns the J that went into
        wetted steel.
        """
        n = len(self.cylinders)
        if not n:
            self.group = []
            return 0.0
        warmest = max(y[:n])
        together = [i for i in range(n) if not (self.check_valves or not self.open) or y[i] >= warmest - ALIKE]
        self.group = together
        if self.open and any(y[i] != warmest for i in together):
            return self._equalize(y, together)
        return 0.0

    def _equalize(self, y: list[float], members: list[int]) -> float:
        """Let vapor run between cylinders until they are equally warm. No mass or energy is made or lost.

        The energy of all at one temperature hangs on their total mass alone, which gives the temperature by
        bisection; each then took or gave the vapor that brings it there, at one mean enthalpy.
        """
        n = len(self.cylinders)
        each = self._each(y)
        counts = [self.counts[i] for i in members]
        steel = [self.fixed[i][2] * max(each[i][5], 0.0) for i in members]

        def needed(k: int, temperature: float) -> float:
            """J that one cylinder of kind members[k] takes up on its way to the temperature, its mass kept."""
            i = members[k]
            volume = self.fixed[i][0]
            rise = energy(y[n + i], volume, temperature) - energy(y[n + i], volume, y[i])
            return rise + steel[k] * (temperature - y[i])

        low, high = min(y[i] for i in members), max(y[i] for i in members)
        while True:
            middle = (low + high) / 2
            if not low < middle < high:
                break
            if sum(count * needed(k, middle) for k, count in enumerate(counts)) > 0:
                high = middle
            else:
                low = middle
        common = low
        at = read(common)
        mean = sum(each[i][3] for i in members) / len(members)
        moved = [needed(k, common) / (mean - at[1]) for k in range(len(members))]
        # What the last bit of the temperature leaves over.
        stray = sum(count * kg for count, kg in zip(counts, moved, strict=True)) / sum(counts)
        into_steel = 0.0
        for k, i in enumerate(members):
            into_steel += counts[k] * steel[k] * (common - y[i])
            y[n + i] += moved[k] - stray
            y[i] = common
        return into_steel


def alike(cylinders: Sequence[Cylinder]) -> list[list[Cylinder]]:
    """Cylinders by kind: those that differ in nothing but their tag together, in the order they came in."""
    kinds: dict[Cylinder, list[Cylinder]] = {}
    for cylinder in cylinders:
        kinds.setdefault(cylinder._replace(tag=""), []).append(cylinder)
    return list(kinds.values())


def refusal(tag: str, flow: float) -> str:
    return f"the flow of {tag} is given as {flow:g} kg/s; a flow is a number not below zero"
