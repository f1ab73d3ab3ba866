"""If this fails, then: one line a failure, with what stops the gas and how much comes out first."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Literal, NamedTuple, TypeAlias

from specc import Column, Context, Figure, Key, Row, Table, psig, show, table, value
from specc.kinds.faults import (
    EXCESS_FLOW,
    FAULT_FLAMES,
    FAULTS,
    RELEASES,
    WAYS,
    ExcessFlow,
    Fault,
    FaultFlame,
    GasWay,
    Release,
)
from specc.kinds.plumbing import NETWORK, OPEN, OUTLETS, ZONE_PRESSURE, ZONES, Network, zone_tag
from specc.model.values import CHOICE, Constant, Quantity, Scalar
from specc.model.view import Unreadable
from specc.model.wording import counted, several
from specc_plumbing.closing_order import lighters
from specc_plumbing.faults import HOW, broken
from specc_plumbing.reach import FaultyNetwork, Spot, by_hand, by_itself, holds, is_bleed

KINDS = {
    "stuck_open": "Valve stuck open",
    "stuck_shut": "Valve stuck shut",
    "means_on": "What moves the valves",
    "means_off": "What moves the valves",
    "failed_open": "Regulator",
    "parted": "Hose or joint parted",
    "leaks": "Leak",
    "power_lost": "Power and people",
    "operator_gone": "Power and people",
}


# What the tags of a line do: stopped by hand, not stopped, closed before that by excess flow, excess-flow devices that
# do not close, holding by themselves, shut bleeds.
Stops: TypeAlias = tuple[tuple[Literal["hand", "left", "caught", "missing", "holding", "bleed"], tuple[str, ...]], ...]
Timed: TypeAlias = Literal["", "default", "stated"]
_NAMED = 3  # outlets that a line names
_LARGE = 10 * 0.45359237  # kg: 10 lb, from which nobody has a feeling for ounces


class FaultLine(NamedTuple):
    """One line of the table. `faults`: all that it stands for, alike in everything shown. `stopped_by`: "" where
    nothing has to be, and `stops` the same by tags; `quiet`: nothing comes out and nothing else changes; `filled`:
    something stays full of gas all the same; `fed`: it is an accumulator, and is filled on. `brief`: `then` where many
    outlets are counted and not named, "" where it is as short. `timed`: whose time it is until hands close something,
    specc's default or the spec's; "" where no hands do."""

    fault: Fault
    then: str
    stopped_by: str
    time: str
    out: str
    longer: str
    status: str
    faults: tuple[Fault, ...]
    flow: float = 0.0  # kg/s unlit, and W of what burns: to tell which is worst
    heat: float = 0.0
    quiet: bool = False
    stops: Stops = ()
    filled: bool = False
    fed: bool = False
    brief: str = ""
    timed: Timed = ""
    in_its_gas: bool = False  # what hands would close stands where the gas comes out, and nothing else stops it

    @property
    def stop(self) -> str:
        return self.stopped_by or "none needed"

    @property
    def said(self) -> tuple[str, ...]:
        time = f"{self.time}, assumed" if self.timed == "default" else self.time
        stop = f"nobody: in its gas {self.stop}" if self.in_its_gas else self.stop
        return (self.then, stop, time, self.out, self.longer, self.status)


def lines_of(
    net: Network,
    faults: Iterable[Fault],
    ways: Iterable[GasWay],
    releases: Iterable[Release],
    excess: Iterable[ExcessFlow] = (),
    flames: Iterable[FaultFlame] = (),
    behind: Mapping[str, str] | None = None,
) -> tuple[FaultLine, ...]:
    """One line a fault; faults of one kind that say the same are put together. `behind`: by regulator, what stands
    behind it when it is open."""
    at_devices: dict[str, list[ExcessFlow]] = defaultdict(list)
    for one in excess:
        at_devices[one.fault].append(one)
    by_fault: dict[str, list[GasWay]] = defaultdict(list)
    for way in ways:
        by_fault[way.fault].append(way)
    let_out: dict[str, list[Release]] = defaultdict(list)
    for release in releases:
        let_out[release.fault].append(release)
    sizes: dict[str, list[FaultFlame]] = defaultdict(list)
    for flame in flames:
        sizes[flame.fault].append(flame)
    made: dict[tuple[object, ...], FaultLine] = {}
    for fault in faults:
        burning = [f for f in sizes[fault.key] if not f.fired]
        line = _line(net, fault, by_fault[fault.key], let_out[fault.key], at_devices[fault.key], burning)
        if fault.state == "failed_open" and (more := (behind or {}).get(fault.tags[0])):
            fired = max((f.length for f in sizes[fault.key] if f.fired), default=0.0)
            told = f" ({show(fired, 'length', 'ft')} flame): no firing" if fired else ": nothing is fired or lit"
            line = line._replace(then=line.then + more + told)
        own = of_own_valve(net, fault)
        key = (KINDS[fault.state], line.said, own or (fault.state == "parted" and len(fault.tags)))
        if key in made:
            line = made[key]._replace(faults=(*made[key].faults, fault))
        made[key] = line
    kinds = list(dict.fromkeys(KINDS.values()))
    return tuple(sorted(made.values(), key=lambda line: kinds.index(KINDS[line.fault.state])))


def _line(
    net: Network,
    fault: Fault,
    ways: Sequence[GasWay],
    let_out: Sequence[Release],
    excess: Sequence[ExcessFlow],
    flames: Sequence[FaultFlame],
) -> FaultLine:
    flowing = [w for w in ways if w.sources]
    if not flowing:
        return _nothing(net, fault, ways)
    hands = tuple(dict.fromkeys(t for w in flowing for t in w.by_hand))
    left = tuple(dict.fromkeys(t for w in flowing for t in w.unstopped))
    stopped = _in_order(net, fault, flowing, hands)
    if left:
        stopped += ("; " if stopped else "nothing: ") + ", ".join(_left(net, t) for t in left)
    caught, missing = _excess(net, fault, flowing, excess)
    stopped += f"; before that {_devices(net, caught)}, by excess flow as typed" if caught else ""
    stopped += f"; not caught by excess flow ({_devices(net, missing)})" if missing else ""
    stops: Stops = (("hand", hands), ("left", left), ("caught", caught), ("missing", missing))
    filled = _stays_filled(net, fault)
    known = [r for r in let_out if r.flow is not None]
    unlit = [r for r in known if not r.lit]
    heat, flow = sum(r.heat.si for r in known if r.heat), 0.0
    if len(known) < len(let_out):  # a sum of some of it would read as all of it
        why = next((r.why for r in let_out if r.flow is None and r.why), "")
        where = _where(flowing)
        then, out, longer = where + (f"; {why}" if why else ""), "not computed", "not computed"
    else:
        lit = sum(r.flow.si for r in known if r.lit and r.flow)
        burning = f", {show(lit, 'mass_flow', 'lb/h', 3)} burning, {show(heat, 'power', 'kW', 3)}" if heat else ""
        burning += _flame(known, flames) if heat else ""
        sources = dict.fromkeys(s for w in flowing for s in w.sources) if heat else ()
        first = [s for s in sources if net.by_tag[s].kind == "accumulator"]
        where = _where(flowing)
        then = where + burning + (f", after what {', '.join(first)} holds in one burst" if first else "")
        flow = sum(r.flow.si for r in unlit if r.flow)
        then += f", {show(flow, 'mass_flow', 'lb/h', 3)} unlit" if flow else ""
        then += filled
        most = _there_is(net, flowing)
        out = _unburned([(r.mass, r.lit) for r in known], most)
        longer = _unburned([(r.longer, r.lit) for r in known], most)
    durations = {show(r.duration.si, "duration", "s", 2) for r in known if r.duration}
    time = ", ".join(sorted(durations)) or "not computed"
    timed: Timed = "stated" if durations else ""
    if in_its_gas := bool(hands) and not left and _in_its_gas(net, fault, flowing):
        time, out, durations = "never", longer, set()
    if any(r.duration and _default(r.duration) for r in known):
        timed = "default"
    status = _status(net, fault, flowing, let_out, left)
    made = FaultLine(fault, then, stopped, time, out, longer, status, (fault,), flow, heat)
    brief = f"gas at {counted(len(flowing), 'outlet')}{then.removeprefix(where)}" if _many(flowing) else ""
    return made._replace(stops=stops, timed=timed, filled=bool(filled), fed=bool(_fed_on(net, fault)), brief=brief,
                         in_its_gas=in_its_gas)  # fmt: skip


def _in_its_gas(net: Network, fault: Fault, flowing: Sequence[GasWay]) -> bool:
    """Whether a break is stopped only by what stands at its own place: nobody walks into that gas to a valve. A break
    of which it is not known where it is counts by where its parts are."""
    if fault.state != "parted":
        return False
    there = {_place(net, t) for t in fault.tags} | {_place(net, w.where) for w in flowing}
    if "" in there or len(there) > 1:
        return False  # a hose between two places may part at either end
    plant = broken(net, fault)
    away = {p.tag for p in net.of_kind("cylinder", "valve") if _place(net, p.tag) not in there}
    away = {t for t in away if by_hand(net.by_tag[t]) or net.by_tag[t].kind == "cylinder"}
    spots: list[Spot] = [(w.where, "out" if w.side == "out" else "in") for w in flowing]
    fed = plant.reaching(spots, {*flowing[0].shut, *away})
    return any(net.by_tag[s].kind == "cylinder" for s in fed)


def _place(net: Network, tag: str) -> str:
    """The place of a part; of what has two, that which they share."""
    try:
        places = set(net.by_tag[tag].places)
    except Unreadable:
        return ""
    return places.pop() if len(places) == 1 else ""


def _devices(net: Network, tags: Sequence[str]) -> str:
    """Excess-flow devices: a valve by its tag, and the one that sits in a cylinder's connection as that."""
    return ", ".join(f"{t}'s connection" if net.by_tag[t].kind == "cylinder" else t for t in tags)


def _default(time: Scalar) -> bool:
    """Whether a time rests on one that specc chose: the spec says no other."""
    return time.citation == CHOICE if isinstance(time, Constant) else isinstance(time, Quantity) and not time.at


def _in_order(net: Network, fault: Fault, flowing: Sequence[GasWay], hands: Sequence[str]) -> str:
    """What hands close. Where that puts out the pilot of a burst that still has gas ahead of its solenoid valves, stop
    is pressed first, and what keeps the pilot burning is closed last."""
    said = [closure(net, t) for t in hands]
    lit_from = lighters(net) if hands else {}
    if not lit_from:
        return " and ".join(said)
    plant, closed = broken(net, fault), {*hands, *(v.tag for v in net.of_kind("valve") if is_bleed(net, v))}
    armed = [
        pilot
        for pilot, bursts in lit_from.items()
        if pilot in net.by_tag
        and not plant.reaching([(pilot, "in")], closed)
        and plant.reaching([(b, "in") for b in bursts], closed)
    ]
    if not armed:
        return " and ".join(said)
    fed = {t: {o.tag for o in net.downstream(t) if o.kind in OUTLETS} for t in hands}
    last = [t for t in hands if fed[t] and fed[t] <= {*armed}]  # they do no more than keep such a pilot burning
    first = [t for t in hands if t not in last]
    order = " and ".join(said)
    if first and last:
        ahead, behind = (" and ".join(closure(net, t) for t in some) for some in (first, last))
        order = f"{ahead}; {behind} last"
    burning = {w.where for w in flowing} & {b for p in armed for b in lit_from[p]}
    giving = dict.fromkeys(s for w in flowing if w.where in burning for s in w.unstopped)
    if not giving:
        return f"stop, then {order}"
    # No stop holds what is stuck open: the burst has to burn down over its pilot.
    if first and last:
        return f"{order}, once nothing burns from {several(list(giving))}"
    return f"{order}, but then no pilot lights what {several(list(giving))} still gives"


def _there_is(net: Network, flowing: Iterable[GasWay]) -> float:
    """What the sources hold, kg: both ends of a break together let out no more than that. No bound where accumulators
    give to it as well: what is in them is not said here."""
    sources = [net.by_tag[t] for t in dict.fromkeys(s for w in flowing for s in w.sources)]
    if any(s.kind != "cylinder" for s in sources):
        return math.inf
    return sum(s.spec.quantity("capacity").si for s in sources)


def _unburned(amounts: Sequence[tuple[Scalar | None, bool]], most: float) -> str:
    """What comes out unlit, and in brackets what it is where a flame that is taken to burn is out."""
    unlit = min(sum(a.si for a, lit in amounts if a and not lit), most)
    whole = min(sum(a.si for a, _ in amounts if a), most)

    def said(unit: str, digits: int) -> str:
        least, all_of_it = (show(m, "mass", unit, digits).removesuffix(f" {unit}") for m in (unlit, whole))
        return f"{least} {unit}" if whole == unlit else f"{least} ({all_of_it}) {unit}"

    return said("oz", 2) + (f", {said('lb', 3)}" if whole > _LARGE else "")


def _flame(known: Sequence[Release], flames: Sequence[FaultFlame]) -> str:
    """The largest; what is not computed is not small."""
    burn = [r for r in known if r.lit and r.heat and r.heat.si > 0]
    if len(flames) < len(burn):
        return ", size not computed"
    return f", flame to {show(max(f.length for f in flames), 'length', 'ft')}"


def _excess(
    net: Network, fault: Fault, flowing: Sequence[GasWay], excess: Sequence[ExcessFlow]
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The excess-flow devices that close, and those that do not. Those that close for sure catch a break only if
    together they leave no source; what comes out until then is not taken off."""
    close = tuple(e.device for e in excess if e.counts)
    plant, shut = broken(net, fault), {*flowing[0].shut, *close}
    left = {s for w in flowing for s in plant.reaching([(w.where, "out" if w.side == "out" else "in")], shut)}
    if close and not any(net.by_tag[s].kind == "cylinder" for s in left):
        return close, ()
    return (), tuple(e.device for e in excess if not e.counts)


def _nothing(net: Network, fault: Fault, ways: Sequence[GasWay]) -> FaultLine:
    """Nothing comes out while nobody acts."""
    held = tuple(dict.fromkeys(t for w in ways for t in w.by_itself))
    holding = tuple(t for t in held if not is_bleed(net, net.by_tag[t]))
    bleeds = tuple(t for t in held if t not in holding)
    then, by, lost = "nothing comes out", "", list[str]()
    if held:
        own = f"{', '.join(holding)}, by {'itself' if len(holding) == 1 else 'themselves'}" if holding else ""
        by = "; ".join(x for x in (own, *(f"{t}, shut but for letting down" for t in bleeds)) if x)
    if fault.state == "power_lost":
        then = _without_power(net)
        by += "; " * bool(by) + _for_what_burns_on(net)
        by = by.removesuffix("; ")
    elif fault.state in ("stuck_shut", "means_off"):
        lost = [p.tag for p in net.of_kind("burner", "pilot") if any(p in net.downstream(t) for t in fault.tags)]
        then = f"no gas at {', '.join(lost[:3])}{' and others' if len(lost) > 3 else ''}" if lost else then
        if any(net.by_tag[t].kind == "pilot" for t in lost):
            then += ": what it lights may go out unlit"
    filled = _stays_filled(net, fault)
    quiet = not (fault.state == "power_lost" or lost or filled)
    made = FaultLine(fault, then + filled, by, "0 s", "0 oz", "", "computed", (fault,), quiet=quiet)
    brief = _without_power(net, brief=True) if fault.state == "power_lost" else ""
    return made._replace(
        stops=(("holding", holding), ("bleed", bleeds)), filled=bool(filled), fed=bool(_fed_on(net, fault)), brief=brief
    )


def _for_what_burns_on(net: Network) -> str:
    """The valves that stop by hand what no coil holds: the first that its gas comes to."""
    burn: list[Spot] = [(t, "in") for t in _without_coils(net)[0]]
    hands = {v.tag for v in net.of_kind("valve") if by_hand(v)}
    plant, shut = FaultyNetwork(net), {v.tag for v in net.of_kind("valve") if is_bleed(net, v)}
    first = plant.first_met(shut, hands - shut)
    if not burn or plant.reaching(burn, {*shut, *first}):
        return "what burns on: the cylinders' own valves" if burn else ""
    return f"what burns on: {' and '.join(plant.needed(burn, shut, first))}"


def _without_coils(net: Network) -> tuple[list[str], list[str]]:
    """Burners and pilots that hand valves alone hold, and those that a coil holds."""
    behind = {p.tag for v in net.of_kind("valve") if by_itself(v) for p in net.downstream(v.tag)}
    fed = [p.tag for p in net.of_kind("burner", "pilot") if net.before.get(p.tag)]
    return [t for t in fed if t not in behind], [t for t in fed if t in behind]


def _without_power(net: Network, brief: bool = False) -> str:
    """What coils hold stops; what hand valves alone hold burns on."""
    burn, shut = _without_coils(net)
    said = f"no gas at {several(shut, 3)}" if shut else "nothing comes out"
    on = f"{len(burn)} others" if brief and len(burn) > _NAMED else several(burn, 3)
    return f"{said}; {on} burn on as before" if burn else said


def _stays_filled(net: Network, fault: Fault) -> str:
    """Accumulators that whoever else is there cannot keep from being filled; and lines that the first valve of a
    cylinder does not shut off, when its own cannot be closed."""
    if of_own_valve(net, fault):
        valves = [p.tag for p in net.of_kind("valve") if by_hand(p) or p.form == "relief"]
        met = {t for t, _ in FaultyNetwork(net).reach(fault.tags, valves)}
        full = [p.tag for p in net.parts if p.tag in met and holds(p)]
        stay = "stays" if len(full) == 1 else "stay"
        return f"; {several(full, 3)} {stay} full until {fault.tags[0]} is empty" if full else ""
    filled = _fed_on(net, fault)
    return f"; {several(filled)} {'stays' if len(filled) == 1 else 'stay'} charged and fed" if filled else ""


def _fed_on(net: Network, fault: Fault) -> list[str]:
    """The accumulators that cylinders go on filling, whatever those who are left close."""
    if fault.state != "operator_gone":
        return []
    hands = {p.tag for p in net.parts if by_hand(p) or p.kind == "cylinder"} - set(fault.tags)
    plant = FaultyNetwork(net)
    return [
        a.tag
        for a in net.of_kind("accumulator")
        if any(net.by_tag[s].kind == "cylinder" for s in plant.reaching([(a.tag, "in")], hands))
    ]


def _many(ways: Sequence[GasWay]) -> bool:
    return len(ways) > _NAMED and not any(w.side for w in ways)


def _where(ways: Sequence[GasWay]) -> str:
    outlets = [w.where for w in ways if not w.side]
    ends = [w for w in ways if w.side]
    if outlets:
        return f"gas at {several(outlets, _NAMED)}"
    return "gas from both ends" if len(ends) == 2 else f"gas from the {'supply' if _ahead(ends[0]) else 'far'} end"


def _ahead(way: GasWay) -> bool:
    """Whether gas comes to a break the way it usually flows: to a hose's inlet, or out of a joint's first part."""
    return (way.side == "out") if way.cut else (way.side == "in")


def closure(net: Network, tag: str) -> str:
    return f"{tag}'s own valve" if net.by_tag[tag].kind == "cylinder" else tag


def _left(net: Network, tag: str) -> str:
    return f"{tag} empties" if net.by_tag[tag].kind == "accumulator" else f"{tag} is not stopped"


def _status(
    net: Network, fault: Fault, flowing: Sequence[GasWay], let_out: Sequence[Release], left: tuple[str, ...]
) -> str:
    if any(net.by_tag[t].kind == "cylinder" for t in left):
        return "nothing stops it"
    if not let_out or any(r.flow is None for r in let_out):
        return "not computed"
    if fault.state in ("means_on", "power_lost", "means_off"):
        return "authority to decide"  # what closes by itself did not, and the gas goes on until somebody acts
    if fault.state == "stuck_open" and any(t in net.by_tag and net.by_tag[t].form == "solenoid" for t in fault.tags):
        return "authority to decide"
    return "computed"


def name_of(net: Network, line: FaultLine) -> str:
    """What a reader calls the line: its one fault, or how many and which."""
    if len(line.faults) == 1:
        return line.fault.what
    if line.fault.state == "parted" and len(line.fault.tags) == 2:
        return f"{counted(len(line.faults), 'joint')}: {line.fault.what} and the like"
    if line.fault.state in ("means_on", "means_off", "operator_gone"):
        whats = [f.what for f in line.faults]  # their tags are those of the valves, not of what fails
        return " or ".join(whats[:4]) + (f" and {len(whats) - 4} more" if len(whats) > 4 else "")
    tags = list(dict.fromkeys(t for f in line.faults for t in f.tags))
    shown = ", ".join(tags[:6]) + (f" and {len(tags) - 6} more" if len(tags) > 6 else "")
    return f"{shown}, each {'own valve ' if of_own_valve(net, line.fault) else ''}{how_of(line.fault)}"


def how_of(fault: Fault) -> str:
    """What is wrong with it, without its tag: "stuck open"."""
    return HOW.get(fault.state) or fault.what


def of_own_valve(net: Network, fault: Fault) -> bool:
    """Whether it is a cylinder's own valve that fails."""
    part = net.part(fault.tags[0]) if fault.state == "stuck_open" else None
    return part is not None and part.kind == "cylinder"


FAULT_LINES: Key[tuple[FaultLine, ...]] = Key("plumbing.fault_lines", tuple)
"""A line a failure, of which the two tables, the page's head and a fact on page one tell."""


@value(
    FAULT_LINES,
    needs=(NETWORK, FAULTS, WAYS, RELEASES),
    wants=(EXCESS_FLOW, FAULT_FLAMES, ZONES, ZONE_PRESSURE),
)
def fault_lines(ctx: Context) -> tuple[FaultLine, ...]:
    net, ways, excess, flames = ctx[NETWORK], ctx[WAYS], ctx.get(EXCESS_FLOW), ctx.get(FAULT_FLAMES)
    behind = _behind_open(net, ctx.get(ZONES) or {}, ctx.get(ZONE_PRESSURE) or {})
    return lines_of(net, ctx[FAULTS], ways, ctx[RELEASES], excess or (), flames or (), behind)


def _behind_open(net: Network, zones: Mapping[str, str], pressures: Mapping[str, Figure]) -> Mapping[str, str]:
    """By regulator with solenoid valves in its zone: what waits there once it is open. What opens next lets that out,
    and not what it was set for."""
    made: dict[str, str] = {}
    for regulator in net.of_kind("regulator"):
        there = {zones.get(t, "") for t in net.after.get(regulator.tag, ())} - {"", OPEN}
        held = [v.tag for v in net.of_kind("valve") if by_itself(v) and zones.get(v.tag) in there]
        figures = [pressures.get(zone_tag(z, "failed_open")) for z in there]
        if not held or not figures:
            continue
        known = [f.si for f in figures if f is not None]
        stands = f"up to {psig(max(known))}" if len(known) == len(figures) else "a pressure that is not known"
        made[regulator.tag] = f"; {stands} waits at {held[0]}"
    return made


COLUMNS = (
    Column("if this fails", 1.8),
    Column("then", 2.3),
    Column("stopped by", 1.8),
    Column("in", 0.5, "right"),
    Column("gas out, unlit", 0.7, "right"),
    Column("in 5 min", 0.7, "right"),
    Column("status", 0.9),
)


@table("plumbing.faults", title="If this fails, then", needs=(NETWORK, FAULT_LINES))
def fault_table(ctx: Context) -> Table:
    net, lines = ctx[NETWORK], ctx[FAULT_LINES]
    rows = [Row((name_of(net, line), *line.said)) for line in lines]
    return Table("", "", COLUMNS, tuple(rows))


STILL_FED = "with a vessel still charged and fed"
STILL_FULL = "with a line still full from its cylinder"
IN_ITS_GAS = "at a valve in the gas alone, where nobody goes (never)"


def counts(lines: Iterable[FaultLine]) -> Mapping[str, int]:
    """How many failures end how, by status; of those computed apart where gas comes on to what is shut."""
    made: dict[str, int] = defaultdict(int)
    for line in lines:
        kept = IN_ITS_GAS if line.in_its_gas else STILL_FED if line.fed else STILL_FULL if line.filled else ""
        made[kept if kept and line.status == "computed" else line.status] += len(line.faults)
    return dict(made)
