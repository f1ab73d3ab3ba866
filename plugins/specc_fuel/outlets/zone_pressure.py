"""The highest pressure in each zone, by what its regulators do: as set, turned up, locked up, or one of them open.

A zone behind a regulator stands no higher than what comes to it; where several regulators give into one zone, the
highest of them counts, and each may be the one that fails. Turned up counts with its lock-up: gas at rest stands
highest. One regulator fails open at a time, the others turned up; then what comes to it stands behind it, or what a
relief valve lets stand that passes all of it. In the zone that is open to the air the outlets' own figures count.
The name of each value says what sets it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from specc import CHOICE, Citation, Context, Equation, FigureSet, Key, Symbol, Worked, figures
from specc.kinds.gas import CYLINDER_PRESSURE, JET_PRESSURE, SECTION_BLOCKED, SECTION_FAILED_OPEN
from specc.kinds.plumbing import (
    NETWORK,
    OPEN,
    OUTLETS,
    SUPPLY,
    ZONE_BORDERS,
    ZONE_PRESSURE,
    ZONES,
    Network,
    Part,
    RegulatorState,
    regulators_into,
    zone_tag,
)
from specc.model.values import Scalar
from specc_fuel.keys import AT_REST
from specc_fuel.network.burning import LOCK_UP
from specc_fuel.outlets.relief import ACCUMULATION as RISE
from specc_fuel.outlets.relief import RELIEVED, Relieved
from specc_fuel.outlets.turned_up import turned_up

_COMMERCIAL = Equation(
    forms=(("", "p_v = p*(1 + x)"),),
    symbols=(
        Symbol("p_v", "gauge_pressure", "commercial propane in the cylinders"),
        Symbol("p", "gauge_pressure", "the same of pure propane"),
        Symbol("x", "ratio", "how much higher commercial propane stands"),
    ),
    citations=(Citation("lp-gas-handbook", "vapor pressure of commercial propane, 70 °F to 130 °F", "reprint"),),
)
_SMALLER = Equation(
    forms=(("", "~ the smaller of what the regulator lets stand, p_r, and what comes to it, p_v"),),
    symbols=(
        Symbol("p", "gauge_pressure", "highest pressure in the zone"),
        Symbol("p_r", "gauge_pressure", "setting, lock-up, or what its relief valve lets stand"),
        Symbol("p_v", "gauge_pressure", "pressure ahead of the regulator"),
    ),
    citations=(CHOICE,),
    validity="one zone behind another: each regulator but the one that fails holds",
)
_RELIEVED = Equation(
    forms=(("", "p = p_o*(1 + x)"),),
    symbols=(
        Symbol("p", "gauge_pressure", "what a relief valve that passes all that comes lets stand"),
        Symbol("p_o", "gauge_pressure", "pressure at which it opens"),
        Symbol("x", "ratio", "how far it is taken to let the pressure rise"),
    ),
    citations=(RISE.citation,),
)
_HIGHEST = Equation(
    forms=(("", "~ the highest p of the outlets in the zone"),),
    symbols=(
        Symbol("p_z", "gauge_pressure", "highest pressure in the zone"),
        Symbol("p", "gauge_pressure", "highest pressure before an outlet's jets"),
    ),
    citations=(CHOICE,),
)
_STATES: tuple[RegulatorState, ...] = ("set", "highest", "lock_up")


def _open(outlets: Sequence[str], family: FigureSet | None) -> Worked | None:
    """Of the outlets in the open zone; None where one of them is not known: it might be the highest."""
    if not outlets or family is None or any(tag not in family for tag in outlets):
        return None
    tag, most = max(((tag, family[tag]) for tag in outlets), key=lambda pair: pair[1].si)
    return Worked(most.si, "gauge_pressure", _HIGHEST, (("p", most),), name=f"jets of {tag}")


def _least(name: str, held: Scalar, comes: Worked) -> Worked:
    inputs = (("p_r", held), ("p_v", comes))
    by = name if held.si <= comes.si else f"{comes.name}, less than {name}"
    return Worked(min(held.si, comes.si), "gauge_pressure", _SMALLER, inputs, name=by)


_NAMES: Mapping[RegulatorState, str] = {"set": "as set", "lock_up": "at lock-up", "highest": "turned up, no flow"}


def _while_they_hold(ctx: Context, fed: Sequence[tuple[Part, Worked | None]], state: RegulatorState) -> Worked | None:
    """The highest of what regulators let stand in one state; None where that of one of them is not known."""
    made: list[Worked] = []
    for regulator, comes in fed:
        held: Scalar | None = ctx[AT_REST][regulator.tag]
        if state != "lock_up":
            held = regulator.spec.quantity("set") if state == "set" else turned_up(regulator, ctx.limit(LOCK_UP.key))
        if held is None or comes is None:
            return None
        made.append(_least(f"{regulator.tag} {_NAMES[state]}", held, comes))
    return max(made, key=lambda w: w.si, default=None)


def relieved_to(ctx: Context, relief: Relieved, regulator: str) -> Worked:
    """What relief valves that pass all that comes let stand where they guard."""
    opens, x = max((v.spec.quantity("opens") for v in relief.valves), key=lambda q: q.si), ctx.limit(RISE.key)
    by = f"{regulator} open: {', '.join(v.tag for v in relief.valves)} relieves"
    return Worked(relief.rises_to, "gauge_pressure", _RELIEVED, (("p_o", opens), ("x", x)), name=by)


def _one_open(
    ctx: Context, regulator: Part, ahead: Worked, through: Worked, relief: Relieved | None, relieves_all: bool
) -> Worked:
    """Either this regulator fails, or one ahead of it does while this one holds, turned up. Where it does not say how
    far that goes, it holds nothing: what comes to it stands behind it."""
    own = ahead._replace(name=f"{regulator.tag} open: {ahead.name}")
    if relief is not None and relief.keeps_up and relieves_all:
        eased = relieved_to(ctx, relief, regulator.tag)
        own = _least(eased.name, eased, ahead)
    held = turned_up(regulator, ctx.limit(LOCK_UP.key))
    other = _least(f"{regulator.tag} turned up", held, through) if held is not None else through
    return own if own.si >= other.si else other


@figures(
    ZONE_PRESSURE,
    title="Highest pressure in zone {tag}, with relief valves that pass all that comes",
    unit="psig",
    per_case=True,
    needs=(NETWORK, ZONES, ZONE_BORDERS, CYLINDER_PRESSURE, AT_REST),
    wants=(JET_PRESSURE, SECTION_BLOCKED, SECTION_FAILED_OPEN, RELIEVED),
    limits=("fuel.commercial_margin", "fuel.relief_accumulation", LOCK_UP.key),
)
def zone_pressure(ctx: Context) -> Mapping[str, Worked]:
    """By zone and state. One that cannot be said (a highest setting that is not stated) is left out."""
    net, zone, names = ctx[NETWORK], ctx[ZONES], [z.name for z in ctx[ZONE_BORDERS]]
    margin, pure = ctx.limit("fuel.commercial_margin"), ctx[CYLINDER_PRESSURE]
    supply = Worked(
        pure.si * (1 + margin.si), "gauge_pressure", _COMMERCIAL, (("p", pure), ("x", margin)), name="the cylinders"
    )
    made: dict[str, Worked] = {}
    if SUPPLY in names:
        made[zone_tag(SUPPLY, "set")] = supply
    known: dict[tuple[str, RegulatorState], Worked] = {(SUPPLY, state): supply for state in _STATES}
    known[SUPPLY, "failed_open"] = supply
    for name, regulators in _from_the_supply(net, zone, names):
        for state in _STATES:
            fed = [(r, known.get((zone[r.tag], state))) for r in regulators]
            if (held := _while_they_hold(ctx, fed, state)) is not None:
                known[name, state] = held
        relief = (ctx.get(RELIEVED) or {}).get(name)
        all_of_it = relief is not None and {t for t, z in zone.items() if z == name} <= relief.guards
        opened: list[Worked] = []
        for r in regulators:
            inlet = zone[r.tag]
            ahead = known.get((inlet, "highest"), supply)  # turned up as far as nobody says, it may be all of it
            opened.append(_one_open(ctx, r, ahead, known.get((inlet, "failed_open"), ahead), relief, all_of_it))
        known[name, "failed_open"] = max(opened, key=lambda w: w.si)
    made |= {
        zone_tag(name, state): worked for (name, state), worked in known.items() if name in names and name != SUPPLY
    }
    if OPEN in names:
        outlets = [p.tag for p in net.of_kind(*OUTLETS) if zone[p.tag] == OPEN]
        families: tuple[tuple[RegulatorState, Key[FigureSet]], ...] = (
            ("set", JET_PRESSURE), ("highest", SECTION_BLOCKED), ("failed_open", SECTION_FAILED_OPEN),
        )  # fmt: skip
        for state, key in families:
            worked = _open(outlets, ctx.get(key))
            if worked is not None:
                made[zone_tag(OPEN, state)] = worked
    return made


def _from_the_supply(
    net: Network, zone: Mapping[str, str], names: Iterable[str]
) -> Iterator[tuple[str, Sequence[Part]]]:
    """Zones with the regulators that give into them: those at cylinder pressure first, then those behind them; one
    that no gas comes to, or in a circle, is left. A regulator that gas does not come to gives none."""
    into = {n: [r for r in regulators_into(net, zone, n) if zone[r.tag] not in ("", n)] for n in names if n != SUPPLY}
    left = {n: regulators for n, regulators in into.items() if regulators and n != OPEN}
    reached = {SUPPLY}
    while ready := [n for n, regulators in left.items() if all(zone[r.tag] in reached for r in regulators)]:
        yield from ((n, left[n]) for n in ready)
        reached.update(ready)
        left = {n: regulators for n, regulators in left.items() if n not in ready}
