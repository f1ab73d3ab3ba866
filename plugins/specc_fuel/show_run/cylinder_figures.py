"""What the show does to the cylinders: how cold they get, how low the supply falls, weak bursts, changes, gas left."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, NamedTuple

from specc import (
    CHOICE,
    Citation,
    Column,
    Context,
    Cure,
    Equation,
    Limit,
    Row,
    Symbol,
    Table,
    Trouble,
    Verdict,
    Worked,
    figures,
    found,
    not_applicable,
    psig,
    rule,
    show,
    table,
)
from specc.kinds.gas import FLOW, GAS_LEFT
from specc.kinds.plumbing import NETWORK, ZONES, Part
from specc.kinds.show import SHOW
from specc.kinds.weather import AIR_PRESSURE
from specc.model.passes import Judging, passed
from specc.model.values import Input, Scalar
from specc.model.wording import counted, in_runs
from specc_fuel.accumulators import spacing
from specc_fuel.accumulators.fed import FED_ACCUMULATORS, not_followed
from specc_fuel.calc.boiling import BATH_LIMIT, CHURCHILL_CHU, inside_volume, liquid_height
from specc_fuel.calc.sources import LEMMON
from specc_fuel.keys import KEPT_FLOW, LIQUID_COLDEST, SUPPLIES, SUPPLY_LOWEST
from specc_fuel.show_run.simulated_show import SIMULATED_SHOW, SimulatedShow, clock_of
from specc_fuel.supply.manifolds import ties

if TYPE_CHECKING:
    from specc_fuel.show_run.simulation import Event, Opened, SupplyHistory

BATH = Limit(
    "fuel.bath",
    "125 °F",
    "temperature",
    "min",
    "warmest water that a cylinder may stand in",
    BATH_LIMIT.citation,
)

_FOLLOWED = Equation(
    forms=(
        (
            "",
            "~ followed through the nights in small steps: liquid and the steel that it wets give the heat that boils "
            "off the gas drawn, and take heat from still air; gas drawn and gas left are kept account of",
        ),
    ),
    symbols=(
        Symbol("p", "gauge_pressure", "lowest pressure while gas is open"),
        Symbol("T", "temperature", "coldest liquid"),
        Symbol("m", "mass", "gas left in all cylinders of the supply"),
        Symbol("m_c", "mass", "propane that each cylinder holds when full"),
        Symbol("d", "length", "diameters of the cylinders, outside"),
        Symbol("m_t", "mass", "their empty weights; one that is not stated counts as no steel that gives heat"),
        Symbol("w", "mass_flow", "gas through each outlet while it burns"),
        Symbol("T_a", "temperature", "air"),
        Symbol("T_0", "temperature", "liquid at the beginning"),
        Symbol("p_a", "absolute_pressure", "absolute pressure of the air"),
        Symbol("e_m", "ratio", "mass that does not add up, over the gas at the beginning"),
        Symbol("e_h", "ratio", "energy that does not add up, over the heat to boil that gas"),
    ),
    citations=(LEMMON, CHURCHILL_CHU, CHOICE),
    validity=(
        "pure propane in upright cylinders in still air, nothing from sun or sky while gas is open; the bottom, "
        "wind and the dry wall would bring more heat, a thick coat of frost keeps some out. "
        "Every night burns as planned"
    ),
)


def _worked(ctx: Context, parts: Sequence[Part], one: SupplyHistory, si: float, dim: str, name: str) -> Worked:
    inputs: list[tuple[str, Input]] = [("T_a", ctx.case.air), ("T_0", ctx.case.liquid), ("p_a", ctx[AIR_PRESSURE])]
    alone, kept = ctx[FLOW], ctx[KEPT_FLOW]
    inputs.append(("w", tuple(kept.get(tag, flow) for tag, flow in alone.items())))
    for symbol, key in (("m_c", "capacity"), ("d", "diameter"), ("m_t", "tare")):
        values: tuple[Scalar, ...] = tuple(p.spec.quantity(key) for p in parts if p.spec.has(key))
        if values:
            inputs.append((symbol, values))
    also = (("e_m", abs(one.balance.mass)), ("e_h", abs(one.balance.energy)))
    return Worked(si, dim, _FOLLOWED, tuple(inputs), also=also, name=name)


_NEEDS = (SIMULATED_SHOW, FLOW, KEPT_FLOW, AIR_PRESSURE)


def _each(simulated: SimulatedShow) -> Iterator[tuple[str, tuple[Part, ...], SupplyHistory]]:
    parts = dict(simulated.supplies)
    for one in simulated.history.supplies:
        yield one.supply, parts[one.supply], one


@figures(
    SUPPLY_LOWEST,
    title="Lowest pressure of the supply of {tag} while gas is open",
    unit="psig",
    worst="min",
    decision=True,
    needs=_NEEDS,
    per_case=True,
)
def supply_lowest(ctx: Context) -> Mapping[str, Worked]:
    return {
        tag: _worked(ctx, parts, one, one.lowest, "gauge_pressure", f"lowest pressure of the supply of {tag}")
        for tag, parts, one in _each(ctx[SIMULATED_SHOW])
    }


@figures(
    LIQUID_COLDEST,
    title="Coldest liquid in the supply of {tag}",
    unit="°F",
    worst="min",
    needs=_NEEDS,
    per_case=True,
)
def liquid_coldest(ctx: Context) -> Mapping[str, Worked]:
    return {
        tag: _worked(ctx, parts, one, one.coldest, "temperature", f"coldest liquid of {tag}")
        for tag, parts, one in _each(ctx[SIMULATED_SHOW])
    }


@figures(
    GAS_LEFT,
    title="Gas left in the supply of {tag} after all nights",
    unit="lb",
    worst="min",
    decision=True,
    needs=_NEEDS,
    per_case=True,
)
def gas_left(ctx: Context) -> Mapping[str, Worked]:
    return {
        tag: _worked(ctx, parts, one, sum(c.mass for c in one.left), "mass", f"gas left in the supply of {tag}")
        for tag, parts, one in _each(ctx[SIMULATED_SHOW])
    }


class _Happened(NamedTuple):
    """An event with the case and supply it belongs to, and its time as people say it."""

    case: str
    supply: str
    event: Event
    night: str
    clock: str

    @property
    def when(self) -> str:
        return f"{self.clock} on {self.night} (case: {self.case})"


def happened(shows: Mapping[str, SimulatedShow], *what: str) -> Iterator[_Happened]:
    """Events of these kinds in all weather cases, in order of time."""
    for case, simulated in shows.items():
        for one in simulated.history.supplies:
            for event in one.events:
                if event.what in what:
                    yield _Happened(case, one.supply, event, *clock_of(simulated, event.time))


@rule(
    "fuel.supply_holds",
    level="error",
    statement="Through the whole show, as its cylinders cool, the supply stands above what its regulators need",
    source=Citation("lemmon-2009", "heat and vapor pressure; heat from still air by Churchill and Chu", "computed"),
    needs=(SIMULATED_SHOW, NETWORK, SUPPLY_LOWEST, SUPPLIES, ZONES),
)
def supply_holds(ctx: Context) -> Judging:
    net = ctx[NETWORK]
    yield from ties(net, ctx[ZONES], ctx[SUPPLIES])
    first: dict[str, tuple[str, Trouble]] = {}
    words = {
        "short": "falls under what {tag} needs",
        "nothing": "has nothing left",
        "empty": "loses {tag}, which has no liquid left",
    }
    for h in happened(ctx.all(SIMULATED_SHOW), *words):
        if h.supply in first:
            continue
        lowest = psig(ctx[SUPPLY_LOWEST][h.supply].si)
        message = (
            f"the supply of {h.supply} {words[h.event.what].format(tag=h.event.tag)} at {h.when}; it comes down to "
            f"{lowest}"
        )
        first[h.supply] = (
            h.case,
            Trouble(
                net.by_tag[h.supply].at,
                message,
                "more cylinders drawn from together, larger ones, fewer or shorter scenes, or a water bath "
                "(never a flame)",
                "flames sink and bursts weaken in the middle of the show, and somebody is tempted to warm a cylinder",
            ),
        )
    supplies = {one.supply for simulated in ctx.all(SIMULATED_SHOW).values() for one in simulated.history.supplies}
    known = [si for tag in supplies if tag in ctx[SUPPLY_LOWEST] and math.isfinite(si := ctx[SUPPLY_LOWEST][tag].si)]
    down = f", down to {show(min(known), 'gauge_pressure', 'psig', 3)} while gas is drawn" if known else ""
    looked = f"{counted(len(supplies), 'manifold')} through all nights and cases{down}"
    yield from (t for _, t in first.values())
    return passed(looked)


@rule(
    "fuel.bursts_strong",
    level="warning",
    statement="Each burst of the show begins with its accumulator full, in every weather",
    source=CHOICE,
    needs=(SIMULATED_SHOW, NETWORK, SHOW, FED_ACCUMULATORS),
    limits=("fuel.burst_full",),
)
def bursts_strong(ctx: Context) -> Judging:
    apart: dict[str, dict[str, float]] = {}  # by accumulator, the sets of bursts that empty it and the time they need
    vessels: dict[str, str] = {}  # an accumulator's tag by the name that it is followed under
    loose: set[str] = set()  # accumulators of which some weak burst is cured by no spacing
    worst: dict[str, tuple[float, str, int, int]] = {}  # pressure and time of the weakest; weak ones, of all
    count = 0
    for case, simulated in ctx.all(SIMULATED_SHOW).items():
        for one in simulated.history.supplies:
            count = max(count, len(one.bursts))
            by_store: dict[str, list[Opened]] = {}
            for burst in one.bursts:
                by_store.setdefault(burst.accumulator, []).append(burst)
            for tag, bursts in by_store.items():
                weak = [b for b in bursts if b.weak or b.late]
                weakest = min(weak, key=lambda b: b.before, default=None)
                given = {entry: needed for supply, entry, needed in simulated.apart if supply == one.supply}
                own = vessels[tag] = simulated.vessels[tag]
                for entry in {b.entry for b in weak}:
                    if entry not in given:
                        loose.add(own)
                        continue
                    known = apart.setdefault(own, {})
                    known[entry] = max(known.get(entry, 0.0), given[entry])
                if weakest is not None and weakest.before < worst.get(tag, (float("inf"),))[0]:
                    night, clock = clock_of(simulated, weakest.time)
                    worst[tag] = (weakest.before, f"{clock} on {night} (case: {case})", len(weak), len(bursts))
    if not count:
        return not_applicable("nothing bursts from an accumulator")
    share = ctx.limit("fuel.burst_full").text
    yield from not_followed(ctx, {*vessels.values()})
    yield from (
        Trouble(
            ctx[NETWORK].by_tag[vessels[tag]].at,
            f"{number} of the {counted(of_all, 'burst')} of {tag} would begin below {share} of its setting; "
            f"the weakest, at {when}, at {show(max(pressure, 0.0), 'gauge_pressure', 'psig', 3)}",
            "more time between bursts, a wider feed, a larger accumulator or a warmer supply",
            "a burst that comes weak or late is not the one that was shown to the authority",
            cure=None if (own := vessels[tag]) in loose else spacing.cure(ctx[SHOW], apart.get(own, {})),
        )
        for tag, (pressure, when, number, of_all) in worst.items()
    )
    return passed(f"{counted(count, 'burst')}, in each weather case")


@rule(
    "fuel.down_to_reserve",
    level="warning",
    statement="No cylinder comes down to its reserve in the show, unless a change for a spare is planned",
    source=CHOICE,
    needs=(SIMULATED_SHOW, NETWORK),
)
def down_to_reserve(ctx: Context) -> Verdict:
    net = ctx[NETWORK]
    changed = {(h.case, h.event.tag, h.event.time) for h in happened(ctx.all(SIMULATED_SHOW), "changed")}
    first: dict[str, str] = {}
    planned: dict[str, str] = {}
    for h in happened(ctx.all(SIMULATED_SHOW), "reserve"):
        which = planned if (h.case, h.event.tag, h.event.time) in changed else first
        which.setdefault(h.event.tag, h.when)
    words = f"changes: {'; '.join(f'{tag} at {when}' for tag, when in planned.items())}" if planned else "no change"
    return found(
        (
            Trouble(
                net.by_tag[tag].at,
                f"{tag} is down to its reserve at {when}",
                "more gas; or a spare cylinder (spare: true) and gas: changes: true",
                "an unplanned change is made in the dark, in a hurry, next to lit flames",
            )
            for tag, when in first.items()
        ),
        f"{counted(len(net.of_kind('cylinder')), 'cylinder')}; {words}",
    )


@rule(
    "fuel.bath_limit",
    level="error",
    statement="Cylinders are warmed by air or lukewarm water only, never by a flame",
    source=BATH_LIMIT.citation,
    needs=(),
    reads=("gas",),
    limits=("fuel.bath",),
)
def bath_limit(ctx: Context) -> Judging:
    bath, most = ctx.spec("gas").quantity_or_none("bath"), ctx.limit(BATH.key)
    if bath is None:
        return not_applicable("no water bath is planned")
    if bath.si > most.si * (1 + 1e-9):
        yield Trouble(
            bath.at,
            f"the cylinders stand in water of {bath.text}",
            "measured; and never a flame or a heater",
            "each degree raises the pressure, and a full cylinder that warms fills with liquid and blows off",
            cure=Cure(f"{most.text} would pass", ((bath.at, most.text),)),
        )
    return passed(f"a bath of {bath.text}")


_WHAT = {
    "frost": "frost on {tag}",
    "reserve": "{tag} down to its reserve",
    "changed": "{tag} changed for {other}",
    "empty": "{tag} has no liquid left",
    "nothing": "nothing left on the supply",
    "short": "supply under what {tag} needs",
    "held": "supply back above what {tag} needs",
    "condenses": "gas condenses in {tag}",
}


def _line(simulated: SimulatedShow, h: _Happened) -> str:
    """How high frost stands: up to the liquid."""
    one = next(s for s in simulated.history.supplies if s.supply == h.supply)
    part = next((p for _, parts in simulated.supplies for p in parts if p.tag == h.event.tag), None)
    after = bisect_left(one.points, h.event.time, key=lambda p: p.time)  # points stand in the order of their times
    point = min(one.points[max(after - 1, 0) : after + 1], key=lambda p: abs(p.time - h.event.time))
    masses, warm = dict(point.masses), dict(point.temperatures)
    if part is None or h.event.tag not in masses:
        return ""
    capacity = part.spec.quantity("capacity").si
    height = liquid_height(masses[part.tag], inside_volume(capacity), part.spec.quantity("diameter").si, warm[part.tag])
    return f", up to the liquid, {show(height.value, 'length', 'in', 2)} high"


@table("fuel.events", title="What happens to the supply during the show", needs=(SIMULATED_SHOW,))
def events_table(ctx: Context) -> Table:
    shows = ctx.all(SIMULATED_SHOW)
    # Cylinders of one supply do the same at the same time: one row tells it of all.
    alike: dict[tuple[str, ...], list[str]] = {}
    for h in happened(shows, *_WHAT):
        line = _line(shows[h.case], h) if h.event.what == "frost" else ""
        alike.setdefault((h.case, h.night, h.clock, h.event.what, h.event.other, line), []).append(h.event.tag)
    rows = [
        Row((case, night, clock, _WHAT[what].format(tag=", ".join(in_runs(tags)), other=other) + line))
        for (case, night, clock, what, other, line), tags in alike.items()
    ]
    note = "" if rows else "Nothing happens: no frost, no change, no fall below what the regulators need."
    return Table("", "", (Column("case"), Column("day"), Column("time"), Column("what", 4)), tuple(rows), note)


@table("fuel.gas_by_effect", title="Gas by effect and night, in the weather that burns most", needs=(SIMULATED_SHOW,))
def gas_by_effect(ctx: Context) -> Table:
    shows = ctx.all(SIMULATED_SHOW)
    if not shows:
        return Table("", "", (Column("effect", 2),), ())
    case, simulated = max(shows.items(), key=lambda item: item[1].history.gas())
    by_effect: dict[str, dict[str, float]] = {}  # and night
    by_night: dict[str, float] = {}
    for one in simulated.history.supplies:
        for g in one.gas:
            own = by_effect.setdefault(g.effect, {})
            own[g.night] = own.get(g.night, 0.0) + g.mass
            by_night[g.night] = by_night.get(g.night, 0.0) + g.mass
    columns = (Column("effect", 2), *(Column(n, 1.0, "right") for n in simulated.nights), Column("all", 1.0, "right"))
    rows = []
    for effect, own in by_effect.items():
        each = [own.get(n, 0.0) for n in simulated.nights]
        rows.append(Row((effect, *(_lb(m) for m in each), _lb(sum(each)))))
    each = [by_night.get(n, 0.0) for n in simulated.nights]
    rows.append(Row(("all", *(_lb(m) for m in each), _lb(sum(each))), strong=True))
    note = (
        f"Case: {case}. Bursts stand under their accumulator, and what fills it first is not among them. They begin at "
        "its setting, as it has been filled again, and are fed as at their end; the figure for one burst begins at "
        "lock-up and follows its feed."
    )
    return Table("", "", columns, tuple(rows), note)


def _lb(si: float) -> str:
    return show(si, "mass", "lb", 3)


@table("fuel.cylinders_over_time", title="Cylinders over all nights", needs=(SIMULATED_SHOW,))
def cylinders_table(ctx: Context) -> Table:
    alike: dict[tuple[str, ...], list[str]] = {}
    for case, simulated in ctx.all(SIMULATED_SHOW).items():
        for _, _, one in _each(simulated):
            begin = dict(one.points[0].masses)
            coldest, lowest = show(one.coldest, "temperature", "°F", 3), psig(one.lowest)
            for left in one.left:
                began = _lb(begin[left.tag]) if left.tag in begin else "a spare"
                alike.setdefault((case, began, _lb(left.mass), coldest, lowest), []).append(left.tag)
    rows = [Row((case, ", ".join(in_runs(tags)), *rest)) for (case, *rest), tags in alike.items()]
    columns = (
        Column("case"),
        Column("cylinder", 1.4),
        Column("at first", 1.0, "right"),
        Column("at last", 1.0, "right"),
        Column("coldest liquid", 1.3, "right"),
        Column("lowest pressure", 1.3, "right"),
    )
    return Table("", "", columns, tuple(rows))
