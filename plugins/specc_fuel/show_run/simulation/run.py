"""One supply on its way through the nights.

Between events the state runs smoothly and is stepped with its error under control. Events are found, and the stepping
starts anew from them: scenes, bursts and closing valves at their times; and, by where the state has come to, a
cylinder down to its reserve or empty, two cylinders equally warm, a supply that falls under what a draw needs, an
accumulator that is full.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from specc_fuel.calc.boiling import FREEZING
from specc_fuel.show_run.simulation.crossings import Crossing, first, until_full, watched
from specc_fuel.show_run.simulation.cylinder import (
    ALIKE,
    CHARGING,
    HELD,
    OPEN,
    SHUT,
    Plant,
    Vessel,
    alike,
)
from specc_fuel.show_run.simulation.due import DueEvent, due_on, length
from specc_fuel.show_run.simulation.records import (
    Balance,
    Event,
    GasUsed,
    Left,
    Opened,
    Supply,
    SupplyHistory,
    SupplyNight,
    SupplyState,
    VesselShot,
)
from specc_fuel.show_run.simulation.stepper import step
from specc_fuel.show_run.simulation.table import energy, read

# What one step may be wrong by, as the method itself estimates: K, kg in a cylinder, share of an accumulator.
TEMPERATURE_ERROR = 3e-5
CHARGING_ERROR = 3e-4  # K, while an accumulator charges: those steps are short, and bound by the next two
MASS_ERROR = 2e-5
SHARE_ERROR = 2e-4
# What a step may lose or make of the heat it takes to boil the gas at the start, as found by adding up.
ENERGY_ERROR = 2e-8
LONGEST_STEP = 1200.0  # s
SHORTEST_STEP = 1e-7
HABIT = 10  # steps after a burst that are tried as long as after the one before
MOST_STEPS = 200_000  # for one supply; then it is refused, never left to run
FROST_BELOW_AIR = 0.5  # K: a wall no colder than the air gathers nothing


class SupplyRun:
    """One supply on its way through the nights: the state, the clock, and what is kept."""

    def __init__(self, supply: Supply, ambient: float, weak: float, ready: float, every: float) -> None:
        self.spec = supply
        self.weak, self.ready, self.every = weak, ready, every
        self.plant = Plant(ambient, supply.check_valves, [Vessel(a, ambient) for a in supply.accumulators])
        self.spares = list(supply.spares)
        self.kinds = alike(supply.cylinders)
        self.plant.connect(self.kinds)
        self.y = [
            *(kind[0].temperature for kind in self.kinds),
            *(kind[0].contents for kind in self.kinds),
            *(v.started for v in self.plant.vessels),
        ]
        self.time = 0.0
        self.night = ""
        self.scene = ""
        self.steps = 0
        self.stride = {True: 1.0, False: 60.0}  # the last good step, while something charges and while nothing does
        # Bursts are much alike: good lengths for the first, second ... step after a valve has closed, as found last.
        self.habit: list[float] = []
        self.since = 0
        self.watch: list[Crossing] = []
        self.k: list[float] = []
        self.q: list[float] = []
        self.at_reserve: set[str] = set()
        self.frosted: set[str] = set()
        self.noted: set[str] = set()
        self.points: list[SupplyState] = []
        self.gas: dict[tuple[str, str, str], float] = {}
        self.bursts: list[Opened] = []
        self.opening: dict[int, Opened] = {}
        self.events: list[Event] = []
        self.enough: Sequence[str] = ()
        self.left: list[Left] = []
        self.heat = self.carried = self.steel = 0.0
        self.energy_before = sum(energy(c.contents, c.volume, c.temperature) for c in supply.cylinders)
        self.energy_off = 0.0
        self.mass_before = sum(c.contents for c in supply.cylinders) + sum(v.started for v in self.plant.vessels)
        all_of_them = (*supply.cylinders, *supply.spares)
        # No scale without gas; then nothing is followed either.
        self.stock = self.lost = 0.0  # J held before the step just taken, and what that step lost of them
        self.scale = sum(c.contents * read(c.temperature)[4] for c in all_of_them) or 1.0
        self.coldest = min(c.temperature for c in supply.cylinders)
        self.lowest = math.inf

    # -- the nights

    def nights(self, nights: Sequence[SupplyNight], enough: Sequence[str] = ()) -> SupplyHistory:
        """All nights; or, for whoever only asks whether it comes to that, up to one of the events in `enough`."""
        self.enough = enough
        for night in nights:
            self._night(night)
            if self._is_enough():
                break
        n = len(self.kinds)
        for i in range(n):
            self._park(i, len(self.kinds[i]))
        for spare in self.spares:
            self.left.append(Left(spare.tag, spare.contents, spare.temperature, True))
        masses = self.y[2 * n :]
        out = sum(self.gas.values())
        used = [mark for mark in self.left if mark.tag not in {s.tag for s in self.spares}]
        mass = self.mass_before - out - sum(masses) - sum(mark.mass for mark in used)
        stored = self.energy_off - self.energy_before
        lost = self.heat - self.carried - stored - self.steel
        balance = Balance(
            mass / (self.mass_before or 1.0), lost / self.scale, self.heat, self.carried, stored, self.steel
        )
        return SupplyHistory(
            self.spec.tag,
            tuple(self.points),
            tuple(GasUsed(*key, mass) for key, mass in self.gas.items()),
            tuple(self.bursts),
            tuple(sorted(self.events, key=lambda e: e.time)),
            tuple(self.left),
            tuple((v.spec.tag, m) for v, m in zip(self.plant.vessels, masses, strict=True)),
            balance,
            self.steps,
            self.coldest,
            self.lowest if self.lowest < math.inf else 0.0,
        )

    def _night(self, night: SupplyNight) -> None:
        plant = self.plant
        self.night = night.tag
        plant.air, plant.open = night.air, True
        self.frosted.clear()
        for vessel in plant.vessels:
            vessel.mode = CHARGING
        self._restart()
        self._keep()
        self._until(self.time + night.filling)
        begin = self.time
        for due in due_on(night, [v.spec.tag for v in self.plant.vessels]):
            self._until(begin + due.time)
            if self._is_enough():
                return
            self._act(due, begin)
            self._restart()
            if due.rank != 3 or self.time - self.points[-1].time >= self.every:
                self._keep()
        plant.open = False
        plant.draws, plant.short = (), []
        for vessel in plant.vessels:
            vessel.mode = SHUT
        if night.rest > 0:
            plant.air = night.air if night.rest_air is None else night.rest_air
            self._restart()
            self._until(begin + length(night) + night.rest)
            self._keep()

    def _is_enough(self) -> bool:
        return bool(self.enough) and any(event.what in self.enough for event in self.events)

    def _act(self, due: DueEvent, begin: float) -> None:
        plant = self.plant
        if due.what == "scene" and due.scene is not None:
            draws = tuple(d for d in due.scene.draws if d.supply == self.spec.tag)
            for draw in draws:
                self.gas.setdefault((self.night, due.scene.tag, draw.effect), 0.0)
            if due.scene.lasts > 0:
                self.scene = due.scene.tag
                plant.draws, plant.short = draws, [False] * len(draws)
        elif due.what == "end":
            plant.draws, plant.short = (), []
        elif due.what == "burst" and due.burst is not None:
            self._burst(due, due.burst)
        elif due.what == "close":
            self._close(due.vessel)

    # -- bursts

    def _burst(self, due: DueEvent, burst: VesselShot) -> None:
        vessel = self.plant.vessels[due.vessel]
        slot = 2 * len(self.plant.cylinders) + due.vessel
        held = self.y[slot]
        before = vessel.pressure(held)
        mass, after = vessel.spec.burst(before, burst.open)
        if not (0 <= mass <= held * (1 + 1e-9) and math.isfinite(after)):
            raise ValueError(
                f"the burst of {burst.accumulator} is given as {mass:g} kg, down to {after:g} Pa, and the accumulator"
                f" holds {held:g} kg"
            )
        mass = min(mass, held)
        self.y[slot] = held - mass
        vessel.mode, vessel.through, vessel.fed = OPEN, vessel.pressure(held - mass), 0.0
        full = vessel.spec.full
        self.opening[due.vessel] = Opened(
            self.night,
            due.scene.tag if due.scene else "",
            burst.accumulator,
            self.time,
            burst.open,
            before,
            after,
            mass,
            0.0,
            before < self.weak * full,
            before < self.ready * full,
            burst.entry,
        )

    def _close(self, index: int) -> None:
        vessel = self.plant.vessels[index]
        vessel.mode = CHARGING
        self.since = 0
        opened = self.opening.pop(index)
        done = opened._replace(mass=opened.mass + vessel.fed, fed=vessel.fed)
        self.bursts.append(done)
        key = (done.night, done.scene, done.accumulator)
        self.gas[key] = self.gas.get(key, 0.0) + done.mass

    # -- from one event to the next

    def _restart(self) -> None:
        """Begin anew from the present state: who gives gas, what is already past its mark, the slopes."""
        for _ in range(1000):
            dry = self.plant.first_dry(self.y)
            if dry is not None:
                self._happen(Crossing(0.0, 0.0, "empty", dry))
                continue
            self.steel += self.plant.regroup(self.y)
            self.k, self.q = self.plant.rates(self.y)
            self.watch = watched(self.plant, self.y, self.at_reserve)
            due = next((c for c in self.watch if c.value <= 0), None)
            if due is None:
                return
            self._happen(due)
        raise ArithmeticError("the same few events follow one another without end: a given function flutters")

    def _happen(self, crossing: Crossing) -> None:
        plant, i = self.plant, crossing.which
        if crossing.what == "empty":
            for cylinder in self.kinds[i]:
                self._note("empty", cylinder.tag)
            self._off(i)
        elif crossing.what == "reserve":
            for cylinder in self.kinds[i]:
                self.at_reserve.add(cylinder.tag)
                self._note("reserve", cylinder.tag)
            if self.spares:
                self._change(i)
        elif crossing.what in ("short", "held"):
            plant.short[i] = crossing.what == "short"
            self._note(crossing.what, plant.draws[i].effect)
        elif crossing.what in ("lacks", "fills"):
            plant.vessels[i].short = crossing.what == "lacks"
            self._note("short" if plant.vessels[i].short else "held", plant.vessels[i].spec.tag)
        elif crossing.what == "full":
            vessel = plant.vessels[i]
            vessel.mode = SHUT
            if vessel.condenses and vessel.spec.tag not in self.noted:
                self.noted.add(vessel.spec.tag)
                self._note("condenses", vessel.spec.tag)
        elif crossing.what == "waits":
            plant.vessels[i].mode = HELD
        elif crossing.what == "again":
            plant.vessels[i].mode = CHARGING
        # "alike" needs nothing but to regroup, which follows.

    def _until(self, end: float) -> None:
        """Step on to the time `end`, and through all that happens before."""
        while self.time < end:
            busy = any(v.mode in (CHARGING, OPEN) for v in self.plant.vessels)
            wanted = self.stride[busy]
            if busy and self.since < len(self.habit):
                wanted = self.habit[self.since]
            h = min(wanted, LONGEST_STEP, end - self.time, until_full(self.plant, self.y, self.k))
            before = self.y, self.k, self.q
            old = self.watch
            taken, summed, grown = self._step(h)
            new = self.watch = watched(self.plant, self.y, self.at_reserve)
            due = first(old, new)
            if due is None:
                if busy and self.since < HABIT:
                    self.habit[self.since : self.since + 1] = [max(0.95 * grown, 1e-3)]
                    self.since += 1
                # A step cut short by what is due says nothing against longer ones.
                self.stride[busy] = max(grown, 1e-3, wanted if taken == end - self.time else 0.0)
            else:
                taken, summed, due = self._locate(before, old, new, taken, summed)
            self.time = end if taken >= end - self.time else self.time + taken
            self._sum(summed)
            self._put_back()
            self._look(before[0], taken)
            if due is not None:
                self._happen(due)
                self._restart()
                self._keep()
            elif self._parted():
                self._restart()
            elif self.time - self.points[-1].time >= self.every:
                self._keep()

    def _step(self, h: float) -> tuple[float, list[float], float]:
        """One step of at most h s that keeps its error. Gives the time taken, what was summed, and a good h."""
        y, k, q = self.y, self.k, self.q
        n = len(self.plant.cylinders)
        charging = any(v.mode == CHARGING for v in self.plant.vessels)
        kelvin = CHARGING_ERROR if charging else TEMPERATURE_ERROR
        self.stock = self.plant.heat_held(y)
        reason: Exception | None = None
        while True:
            self.steps += 1
            if self.steps > MOST_STEPS:
                raise ArithmeticError(f"{self.spec.tag} is not through its nights after {MOST_STEPS} steps")
            try:
                new, k_new, q_new, summed, error = step(self.plant.rates, y, k, q, h)
            except (ValueError, ArithmeticError) as e:
                # A long step may look where the state never goes. A short one that fails says why.
                reason, worst = e, 1e5
            else:
                worst = 1e-10
                for i in range(n):
                    worst = max(worst, abs(error[i]) / kelvin, abs(error[n + i]) / MASS_ERROR)
                for j, vessel in enumerate(self.plant.vessels):
                    worst = max(worst, abs(error[2 * n + j]) / (SHARE_ERROR * vessel.full))
                if worst <= 1 and n:
                    self.lost = self._lost(summed, new)
                    worst = max(worst, abs(self.lost) / (ENERGY_ERROR * self.scale))
                if worst <= 1:
                    self.y, self.k, self.q = new, k_new, q_new
                    return h, summed, h * min(5.0, 0.9 * worst**-0.2)
            h *= max(0.1, 0.9 * worst**-0.2)
            if h < SHORTEST_STEP:
                if reason is not None:
                    raise reason
                raise ArithmeticError(f"{self.spec.tag} cannot be followed: a given function jumps without end")

    def _lost(self, summed: list[float], y: list[float]) -> float:
        """J that the step which ended at y lost, by what it summed and by what the cylinders held before it."""
        return summed[0] - summed[1] - summed[2] - self.plant.heat_held(y) + self.stock

    def _put_back(self) -> None:
        """Give the little heat that a step lost or made (ENERGY_ERROR at most) back to the cylinders, all by
        the same part of a degree, so that it cannot add up over thousands of steps."""
        each, plant, n = self.plant.each, self.plant, len(self.kinds)
        if n:
            warmer = self.lost / sum(plant.counts[i] * each[i][1] for i in range(n))
            self.y = [t + warmer for t in self.y[:n]] + self.y[n:]
            self.steel += warmer * sum(plant.counts[i] * plant.fixed[i][2] * each[i][5] for i in range(n))

    def _locate(
        self,
        before: tuple[list[float], list[float], list[float]],
        old: list[Crossing],
        new: list[Crossing],
        taken: float,
        summed: list[float],
    ) -> tuple[float, list[float], Crossing | None]:
        """Go back to where the first of the crossings within a step lies: regula falsi on steps from its start."""
        low, high, at_low, at_high = 0.0, taken, old, new
        reached = self.y, self.k, self.q
        for turn in range(60):
            due = first(at_low, at_high)
            if due is None or due.value >= -due.tolerance:
                break
            share = 0.5
            if turn % 3 < 2:
                # A hair past the mark, so that the next look finds it passed.
                share = min(
                    (a.value + b.tolerance / 2) / (a.value - b.value)
                    for a, b in zip(at_low, at_high, strict=True)
                    if b.value <= 0 < a.value
                )
            middle = low + (high - low) * min(max(share, 0.001), 0.999)
            self.steps += 1
            self.y, self.k, self.q, part, _ = step(self.plant.rates, *before, middle)
            found = watched(self.plant, self.y, self.at_reserve)
            if first(at_low, found) is None:
                low, at_low = middle, found
            else:
                high, at_high, summed = middle, found, part
                reached = self.y, self.k, self.q
        self.y, self.k, self.q = reached
        self.plant.rates(self.y)  # what it leaves in the plant belongs to this state again
        self.lost = self._lost(summed, self.y)
        return high, summed, first(at_low, at_high)

    # -- what is kept

    def _sum(self, summed: list[float]) -> None:
        self.heat += summed[0]
        self.carried += summed[1]
        self.steel += summed[2]
        draws = self.plant.draws
        for k, draw in enumerate(draws):
            self.gas[(self.night, self.scene, draw.effect)] += summed[3 + k]
        for j, vessel in enumerate(self.plant.vessels):
            vessel.fed += summed[3 + len(draws) + j]

    def _look(self, y: list[float], taken: float) -> None:
        """After a step from y: frost, extremes, and liquid that fills its cylinder."""
        plant = self.plant
        for i, cylinder in enumerate(plant.cylinders):
            temperature = self.y[i]
            self.coldest = min(self.coldest, temperature)
            if plant.each[i][5] > cylinder.volume:
                raise ArithmeticError(
                    f"liquid comes to fill the cylinder {cylinder.tag} whole, at {temperature:.1f} K: it was"
                    " overfilled, or gas ran into it from a warmer one"
                )
            frozen = temperature < min(FREEZING, plant.air - FROST_BELOW_AIR)
            if frozen and plant.open and cylinder.tag not in self.frosted:
                mark = min(FREEZING, plant.air - FROST_BELOW_AIR)
                share = (y[i] - mark) / (y[i] - temperature) if y[i] > mark else 0.0
                for one in self.kinds[i]:
                    self.frosted.add(one.tag)
                    self.events.append(Event(self.time - taken * (1 - share), self.night, "frost", one.tag))
        if plant.open:
            self.lowest = min(self.lowest, plant.supply)

    def _parted(self) -> bool:
        """Whether cylinders that gave gas together are no longer equally warm."""
        group = self.plant.group
        if len(group) < 2 or not self.plant.open:
            return False
        temperatures = [self.y[i] for i in group]
        return max(temperatures) - min(temperatures) > ALIKE

    def _note(self, what: str, tag: str, other: str = "") -> None:
        self.events.append(Event(self.time, self.night, what, tag, other))

    def _keep(self) -> None:
        plant, y = self.plant, self.y
        n = len(plant.cylinders)
        self.points.append(
            SupplyState(
                self.time,
                plant.supply,
                tuple((c.tag, y[i]) for i, kind in enumerate(self.kinds) for c in kind),
                tuple((c.tag, y[n + i]) for i, kind in enumerate(self.kinds) for c in kind),
                tuple(v.pressure(y[2 * n + j]) for j, v in enumerate(plant.vessels)),
            )
        )

    # -- cylinders come off and on

    def _park(self, i: int, count: int) -> None:
        """Keep what the first `count` cylinders of kind i hold, for the balance."""
        n = len(self.kinds)
        temperature, mass = self.y[i], self.y[n + i]
        for cylinder in self.kinds[i][:count]:
            self.energy_off += energy(mass, cylinder.volume, temperature)
            liquid = mass > read(temperature)[5] * cylinder.volume * (1 + 1e-6)
            self.left.append(Left(cylinder.tag, mass, temperature, liquid))

    def _off(self, i: int) -> None:
        """Take all cylinders of kind i off."""
        self._park(i, len(self.kinds[i]))
        n = len(self.kinds)
        del self.y[n + i]
        del self.y[i]
        del self.kinds[i]
        self.plant.connect(self.kinds)
        if not self.kinds:
            self._note("nothing", self.spec.tag)

    def _change(self, i: int) -> None:
        """Put a spare on for each cylinder of kind i, as far as they go: as cold as it was said to be, or as the air
        if that is colder."""
        n = len(self.kinds)
        count = min(len(self.spares), len(self.kinds[i]))
        spares = [s._replace(temperature=min(s.temperature, self.plant.air)) for s in self.spares[:count]]
        del self.spares[:count]
        for old, new in zip(self.kinds[i], spares, strict=False):
            self._note("changed", old.tag, new.tag)
            self.energy_before += energy(new.contents, new.volume, new.temperature)
            self.mass_before += new.contents
        self._park(i, count)
        fresh = alike(spares)
        temperatures, masses, held = self.y[:n], self.y[n : 2 * n], self.y[2 * n :]
        del self.kinds[i][:count]
        if not self.kinds[i]:
            del self.kinds[i], temperatures[i], masses[i]
        self.kinds += fresh
        temperatures += [kind[0].temperature for kind in fresh]
        masses += [kind[0].contents for kind in fresh]
        self.y = temperatures + masses + held
        self.plant.connect(self.kinds)
