"""A show put before the timeline, in one weather case: cylinders, what draws on them, accumulators, bursts."""

from __future__ import annotations

import itertools
from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from specc import Cannot, Context
from specc.kinds.gas import CYLINDER_PRESSURE, FLOW
from specc.kinds.plumbing import NETWORK, Network, Part
from specc.kinds.show import EFFECTS, SHOW, TIMELINE, Lit, Shot, Stretch
from specc.kinds.weather import AIR_PRESSURE
from specc.measure.units import PSI
from specc_fuel.accumulators.bursts import FULL
from specc_fuel.accumulators.fed import FED_ACCUMULATORS
from specc_fuel.calc import nozzle, vessel
from specc_fuel.calc.boiling import BATH_LIMIT, inside_volume
from specc_fuel.calc.propane import vapor_pressure
from specc_fuel.keys import FEED_AREA, KEPT_FLOW, SHARES, SUPPLIES, WAY_OUT
from specc_fuel.network.from_plumbing import PIECES
from specc_fuel.show_run import simulation, spacing
from specc_fuel.show_run.simulated_show import INLET, SimulatedShow
from specc_fuel.supply.manifolds import shares_of_feed

# s. Filling the accumulators is a step of the start-up, before the first scene; what a quarter of an hour does not
# fill is found weak. Common practice, no published source.
_FILLING = 900.0
_DAY = 86400.0
PILOTS = "pilots"
_APART = 12  # effects on one supply and one setting that are still told apart
_NODES = 12  # pressures at which a burst is worked out; between them a straight line is within a few parts in 1000


def spares(net: Network) -> tuple[Part, ...]:
    return tuple(p for p in net.of_kind("cylinder") if p.spec.yes("spare"))


def _checked(net: Network, group: tuple[Part, ...]) -> bool:
    """Whether a check valve stands in each cylinder's own way to the others."""
    return all(any(net.by_tag[tag].form == "check" for tag in _own_way(net, cylinder.tag)) for cylinder in group)


def _own_way(net: Network, tag: str) -> list[str]:
    """The parts that a cylinder alone leads through, up to where lines meet."""
    way: list[str] = []
    while len(net.after.get(tag, ())) == 1:
        tag = net.after[tag][0]
        if len(net.before.get(tag, ())) > 1 or tag in way:
            break
        way.append(tag)
    return way


def _cylinder(ctx: Context, part: Part, bath: float | None) -> simulation.Cylinder:
    """A cylinder without its empty weight is taken to have no steel that gives heat: it gets colder than it would."""
    spec = part.spec
    if not spec.has("diameter"):
        raise Cannot(
            f"how {part.tag} cools as gas is drawn cannot be followed without its diameter",
            part.at,
            "diameter: of the cylinder, outside",
            "a cylinder that is drawn from grows cold and gives less, just when the show needs it",
        )
    tare = spec.quantity_or_none("tare")
    capacity = spec.quantity("capacity").si
    contents = spec.quantity("contents").si if spec.has("contents") else capacity
    return simulation.Cylinder(
        part.tag,
        contents,
        inside_volume(capacity),
        spec.quantity("diameter").si,
        tare.si if tare is not None else 0.0,
        ctx.case.liquid.si,
        ctx.limit("fuel.reserve").si * capacity,
        bath=bath,
    )


class _Gas(NamedTuple):
    """Propane for the many small sums of a timeline: compressibility and heats taken once, at one pressure."""

    air: float
    per_pressure: float  # density over pressure, s2/m2
    k: float

    def flux(self, ahead: float, behind: float) -> float:
        """kg/(s m2) between two gauge pressures; 0 uphill."""
        p = ahead + self.air
        return nozzle.flux(p, ahead - behind, p * self.per_pressure, self.k) if ahead > behind and p > 0 else 0.0


def _gas(gauge: float, temperature: float, air: float) -> _Gas:
    """At a pressure, or just below where gas so cold turns liquid: that it would is reported where it stands."""
    pressure = min(max(gauge, 1.0) + air, 0.99 * vapor_pressure(temperature))
    gas = nozzle.propane_at(pressure, temperature)
    return _Gas(air, gas.rho / pressure, gas.k)


# What the timeline calls are records, not functions in functions: two made of the same numbers are the same.


@dataclass(frozen=True, slots=True)
class _Below:
    """What passes once the supply is under its need: as through the hole that passes the flow just at it."""

    gas: _Gas
    flow: float
    needs: float

    def __call__(self, supply: float) -> float:
        if supply >= self.needs:
            return self.flow  # asked for most of the time, and needs no sum
        top = self.gas.flux(self.needs, 0.0)
        return self.flow * self.gas.flux(supply, 0.0) / top if supply > 0 and top > 0 else 0.0


@dataclass(frozen=True, slots=True)
class _Charging:
    """What flows into an accumulator through its feed, held at its regulator's setting."""

    gas: _Gas
    area: float
    setting: float

    def __call__(self, supply: float, own: float) -> float:
        ahead = supply if supply < self.setting else self.setting
        # Without this end the last pascals would take for ever.
        return self.area * self.gas.flux(ahead, own) if ahead - own > 1.0 else 0.0


# Remembered: a run asks for the same few vessels in each weather case, and again for each uncertain input that
# leaves them as they are; the answer depends on these numbers alone.
@lru_cache(maxsize=256)
def _burst_table(
    volume: float, full: float, temperature: float, area: float, air: float, opened: float
) -> tuple[tuple[float, float], ...]:
    """kg out and Pa gauge left of a burst of `opened` s, from each of the marks of `_marks(full)`."""
    made = []
    for gauge in _marks(full):
        emptied = vessel.emptying_isothermal(volume, gauge, temperature, area, air)
        made.append((emptied.gas(opened), emptied.pressure_after(opened, air)))
    return tuple(made)


@lru_cache(maxsize=256)
def _marks(full: float) -> tuple[float, ...]:
    return tuple(full * (i / _NODES) ** 1.5 for i in range(_NODES + 1))


@dataclass(frozen=True, slots=True)
class _Burst:
    """Gas and pressure left of a burst, from a table made once for each open time."""

    volume: float
    full: float
    temperature: float
    area: float
    air: float

    def __call__(self, own: float, opened: float) -> tuple[float, float]:
        table = _burst_table(self.volume, self.full, self.temperature, self.area, self.air, opened)
        marks, own = _marks(self.full), min(max(own, 0.0), self.full)
        i = min(max(bisect_right(marks, own) - 1, 0), _NODES - 1)
        share = (own - marks[i]) / (marks[i + 1] - marks[i])
        (m0, p0), (m1, p1) = table[i], table[i + 1]
        return m0 + share * (m1 - m0), min(p0 + share * (p1 - p0), own)


def _burning(lit: Sequence[Lit], cuts: Sequence[float]) -> list[list[str]]:
    """The effects that burn between each two cuts, in the order of `lit`: one walk over what begins and ends."""
    begins: list[list[int]] = [[] for _ in cuts]
    ends: list[list[int]] = [[] for _ in cuts]
    for n, one in enumerate(lit):
        first = bisect_left(cuts, one.starts - 1e-9)
        last = bisect_right(cuts, one.starts + one.lasts.si + 1e-9) - 1
        if first < last:
            begins[first].append(n)
            ends[last].append(n)
    found = []
    now: set[int] = set()
    for i in range(len(cuts) - 1):
        now.difference_update(ends[i])
        now.update(begins[i])
        found.append([lit[n].effect for n in sorted(now)])
    return found


class _Builder:
    """Puts together what the timeline is asked, in one weather case."""

    def __init__(self, ctx: Context, at_reserve: bool, only: Mapping[str, int]) -> None:
        self.ctx = ctx
        self.at_reserve = at_reserve
        self.net: Network = ctx[NETWORK]
        self.air = ctx[AIR_PRESSURE].si
        self.temperature = ctx.case.air.si
        self.outlets = {e.tag: e.outlets for e in ctx[EFFECTS]}
        self.groups = {
            tag: tuple(sorted(group, key=lambda p: p.spec.quantity("capacity").si)[: only[tag]])
            if tag in only
            else group
            for tag, group in ctx[SUPPLIES].items()
        }
        self.fed = ctx[FED_ACCUMULATORS]
        self.stores = ctx[PIECES].stores
        # Whatever the pressure: the gas's Z changes flow by a few per cent, and this is taken at the supply's.
        self.gas = _gas(min(ctx[CYLINDER_PRESSURE].si, 50 * PSI), self.temperature, self.air)
        self.needed: dict[tuple[str, str], float] = {}
        self.behind: dict[str, set[str]] = {}  # by supply, the tags that its gas reaches
        self.emptied: dict[str, list[str]] = {}  # by effect, its accumulators
        self.margin = ctx.limit(INLET.key).si

    def need(self, outlet: str, supply: str) -> float:
        """The pressure of a supply under which an outlet gets less: the highest setting of the regulators between.
        Remembered: it is asked for anew at each cue."""
        if (outlet, supply) in self.needed:
            return self.needed[outlet, supply]
        if supply not in self.behind:
            self.behind[supply] = {p.tag for p in self.net.downstream(supply)}
        between = self.behind[supply]
        self.needed[outlet, supply] = max(
            (
                p.spec.quantity("set").si + self.margin
                for p in self.net.upstream(outlet)
                if p.kind == "regulator" and p.tag in between
            ),
            default=0.0,
        )
        return self.needed[outlet, supply]

    def draws(self, effects: Mapping[str, float]) -> tuple[simulation.Draw, ...]:
        """`effects`: by effect (or PILOTS), the share of the time that it burns."""
        alone, kept = self.ctx[FLOW], self.ctx[KEPT_FLOW]
        flow = {**alone, **kept}  # what a store gives is followed as its filling
        asked: dict[tuple[str, float], list[tuple[str, float]]] = {}
        pilots = tuple(p.tag for p in self.net.of_kind("pilot"))
        for effect, share in effects.items():
            by_supply: dict[str, list[tuple[str, float]]] = {}
            for outlet in pilots if effect == PILOTS else self.outlets.get(effect, ()):
                for supply, part in self.ctx[SHARES].get(outlet, {}).items() if outlet in flow else ():
                    by_supply.setdefault(supply, []).append((outlet, flow[outlet].si * part.si))
            for supply, gas in by_supply.items():
                total = share * sum(w for _, w in gas)
                needs = max(self.need(t, supply) for t, _ in gas) or 1.0
                if total > 0:
                    asked.setdefault((supply, needs), []).append((effect, total))
        made = []
        for (supply, needs), flows in asked.items():
            if len(flows) > _APART:
                # They rise and fall together, so that one sum does for all.
                flows = [(f"{flows[0][0]} and {len(flows) - 1} more", sum(f for _, f in flows))]
            made += [simulation.Draw(e, supply, f, needs, _Below(self.gas, f, needs)) for e, f in flows]
        return tuple(made)

    def from_store(self, effect: str) -> list[str]:
        """The accumulators that a burst of an effect empties. Remembered: it is asked for anew at each burst."""
        if effect not in self.emptied:
            found = [self.stores.of(o) for o in self.outlets.get(effect, ()) if o in self.ctx[WAY_OUT]]
            self.emptied[effect] = [
                named
                for tag in dict.fromkeys(found)
                if tag is not None and tag in self.fed
                for named in self.stored_apart(tag)
            ]
        return self.emptied[effect]

    def stored_apart(self, accumulator: str) -> Mapping[str, tuple[str, float]]:
        """An accumulator that several supplies fill is followed as so many, each as large a part of it as its supply
        brings of the gas: filled and emptied at the same times, to the same pressures. By name: supply, and part."""
        given = shares_of_feed(self.ctx, accumulator)
        if len(given) == 1:
            return {accumulator: (next(iter(given)), 1.0)}
        return {f"{accumulator} from {supply}": (supply, part) for supply, part in given.items()}

    def scenes(self, stretch: Stretch) -> list[simulation.SceneDraw]:
        """A scene, cut where its cues change what burns."""
        line = self.ctx[TIMELINE]
        lit = [one for one in line.lit if one.scene == stretch.scene]
        shots = [s for s in line.shots if s.scene == stretch.scene]
        edges = {stretch.starts, stretch.ends}
        for one in lit:
            edges |= {one.starts, one.starts + one.lasts.si}
        cuts = sorted(e for e in edges if stretch.starts <= e <= stretch.ends)
        burning = _burning(lit, cuts)
        fired: list[list[Shot]] = [[] for _ in cuts]
        for shot in shots:
            if cuts[0] <= shot.at < cuts[-1]:
                fired[bisect_right(cuts, shot.at) - 1].append(shot)
        made = []
        for i, (begin, end) in enumerate(itertools.pairwise(cuts)):
            if end - begin <= 1e-6:
                continue
            share: dict[str, float] = dict.fromkeys(burning[i], 1.0)
            share[PILOTS] = 1.0
            bursts = []
            for shot in fired[i]:
                fed = self.from_store(shot.effect)
                opened = min(shot.open.si, end - shot.at)
                entry = shot.open.at.rpartition("/")[0]
                bursts += [simulation.VesselShot(store, shot.at - begin, opened, entry) for store in fed if opened > 0]
                if not fed:
                    # A burst without an accumulator is counted as a draw spread over its scene.
                    share[shot.effect] = share.get(shot.effect, 0.0) + shot.open.si / (end - begin)
            tag = stretch.scene if len(cuts) == 2 else f"{stretch.scene}/{i + 1}"
            made.append(simulation.SceneDraw(tag, begin, end - begin, self.draws(share), tuple(bursts)))
        return made

    def accumulators(self, supply: str) -> tuple[simulation.Accumulator, ...]:
        made = []
        for tag, store in self.fed.items():
            if tag not in self.ctx[FEED_AREA] or self.stores.leader[tag] != tag:
                continue
            named, part = next(((n, x) for n, (s, x) in self.stored_apart(tag).items() if s == supply), ("", 0.0))
            if part <= 0:
                continue
            area = sum(w.si for o, w in self.ctx[WAY_OUT].items() if self.stores.of(o) == tag)
            setting, volume = store.setting.si, part * store.volume.si
            gas = _gas(setting, self.temperature, self.air)
            feed = part * self.ctx[FEED_AREA][tag].si
            if store.helped:
                feed *= store.rush / store.empty  # what others give to it counts at once as drawn from the supply
            made.append(
                simulation.Accumulator(
                    named,
                    volume,
                    setting,
                    self.temperature,
                    _Charging(gas, feed, setting),
                    _Burst(volume, setting, self.temperature, max(part * area, 1e-9), self.air),
                    needs=self.need(tag, supply),
                )
            )
        return tuple(made)

    def supplies(self) -> tuple[simulation.Supply, ...]:
        bath = self.ctx.spec("gas").quantity_or_none("bath")
        waiting = list(spares(self.net)) if self.ctx.spec("gas").yes("changes") else []
        made = []
        for i, (tag, group) in enumerate(self.groups.items()):
            kept = tuple(_cylinder(self.ctx, p, None) for p in waiting[i :: len(self.groups)])
            # One that is too warm has a rule of its own, and does not count as warmer for that.
            warm = min(bath.si, BATH_LIMIT.si) if bath is not None else None
            cylinders = tuple(_cylinder(self.ctx, p, warm) for p in group)
            if self.at_reserve:
                kept = ()
                cylinders = tuple(c._replace(contents=c.reserve, reserve=0.0, bath=None) for c in cylinders)
            made.append(simulation.Supply(tag, cylinders, self.accumulators(tag), _checked(self.net, group), kept))
        return tuple(made)

    def nights(self) -> tuple[simulation.SupplyNight, ...]:
        line = self.ctx[TIMELINE]
        scenes = tuple(scene for stretch in line.stretches for scene in self.scenes(stretch))
        lasts = max((s.ends for s in line.stretches), default=0.0)
        filling = _FILLING if self.fed else 0.0
        made = []
        dates = self.ctx[SHOW].nights
        for i, night in enumerate(dates):
            rest = _DAY * (dates[i + 1] - night).days - lasts - filling if i + 1 < len(dates) else 0.0
            made.append(
                simulation.SupplyNight(
                    night.isoformat(), self.temperature, scenes, lasts, max(rest, 0.0), filling=filling
                )
            )
        return tuple(made)


def simulate_show(
    ctx: Context, at_reserve: bool = False, only: Mapping[str, int] | None = None, enough: tuple[str, ...] = ()
) -> SimulatedShow:
    """The show followed; or, `at_reserve`, its first night from cylinders at their reserve, without a bath. `only`: by
    supply, with how many of its cylinders, the smallest. `enough`: events after which nothing more is asked.
    Raises Cannot where something is missing, or cannot be."""
    builder = _Builder(ctx, at_reserve, only or {})
    if not builder.groups:
        raise Cannot("no cylinder feeds anything", "/plumbing/runs", "a run that starts from a cylinder")
    nights = builder.nights()[:1] if at_reserve else builder.nights()
    if not nights or not nights[0].scenes:
        raise Cannot("no scene lasts any time, so its gas cannot be followed", "/show", "scenes with lasts:")
    supplies = builder.supplies()
    weak = ctx.limit(FULL.key).si
    at = next(iter(builder.groups.values()))[0].at
    try:
        history = simulation.simulate(
            supplies, nights, builder.air, weak, min(weak, 0.98), remembered=True, enough=enough
        )
    except ValueError as e:
        fix = "values that can be so"
        if isinstance(e, simulation.Overfilled):
            fix = "cylinders in the shade, and none filled beyond its mark (80 % by volume at 40 °F)"
        elif isinstance(e, simulation.Overlapping):
            fix = "one effect with both outlets, where they open together; else cues, each when the last has closed"
            at = e.entry or at
        raise Cannot(f"the show cannot be followed ({ctx.case.name} case): {e}", at, fix) from e
    except ArithmeticError as e:
        raise Cannot(
            f"the show cannot be followed to its end ({ctx.case.name} case): {e}",
            at,
            "check valves between cylinders, or cylinders that are not filled beyond their mark",
        ) from e
    clock = ctx[TIMELINE].clock
    return SimulatedShow(
        history,
        tuple(n.tag for n in nights),
        int(clock[:2]) * 3600.0 + int(clock[3:]) * 60.0 if clock else None,
        tuple(builder.groups.items()),
        tuple(
            (one.supply, entry, needed)
            for one, supply in zip(history.supplies, supplies, strict=True)
            for entry, needed in spacing.apart(one, supply, min(weak, 0.98)).items()
        ),
        {name: tag for tag in builder.fed for name in builder.stored_apart(tag)},
    )
