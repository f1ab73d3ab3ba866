"""If this fails, then: the page that a reviewer reads in two minutes. The whole list is the table plumbing.faults."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from specc import Column, Context, Fact, Figure, Para, Row, Table, TableBlock, gather, section, show, table
from specc.kinds.faults import CLOSING_ORDER, CLOSING_TIMES, FAULTS, Closing, Fault
from specc.kinds.gas import STUCK_GAS
from specc.kinds.packet import SUMMARY_FACTS
from specc.kinds.plumbing import NETWORK, OUTLETS, Network
from specc.model.blocks import Block
from specc.model.wording import counted, in_runs, several
from specc_plumbing.as_written import in_flow
from specc_plumbing.closing_order import lighters
from specc_plumbing.fault_table import (
    COLUMNS,
    FAULT_LINES,
    IN_ITS_GAS,
    STILL_FED,
    STILL_FULL,
    FaultLine,
    closure,
    counts,
    how_of,
    of_own_valve,
)
from specc_plumbing.faults import held_on
from specc_plumbing.reach import FaultyNetwork, Spot, by_hand, by_itself, closes
from specc_plumbing.source_rules import ahead_of_valves, fed_from

_ALWAYS = ("power_lost", "operator_gone")  # asked of every device, however little comes out
_SHOWN = ("stuck_open", "means_on", "failed_open", "parted", "power_lost", "operator_gone")


@table("plumbing.between", title="What stands between the gas and each flame", needs=(NETWORK,))
def between(ctx: Context) -> Table:
    """For each outlet: the closures that each stop its gas alone, from where it comes."""
    each = Column("each stops it: by hand", 2.2)
    columns = (Column("outlet", 1.5), Column("gas from"), each, Column("by itself", 1.2))
    return Table("", "", columns, _between(ctx[NETWORK]))


def _between(net: Network) -> tuple[Row, ...]:
    closures = [p.tag for p in net.of_kind("valve") if closes(p)]
    rows: dict[_Stops, list[str]] = {}
    for outlet in net.of_kind(*OUTLETS):
        for source, stops in FaultyNetwork(net).each_stops([(outlet.tag, "in")], closures).items():
            auto = tuple(t for t in stops if by_itself(net.by_tag[t]))
            own = ("its own valve",) if net.by_tag[source].kind == "cylinder" else ()
            hand = (*own, *(t for t in stops if t not in auto))
            rows.setdefault(_Stops(source, hand, auto), []).append(outlet.tag)
    return tuple(
        Row((", ".join(outlets), source, hand or "none", ", ".join(auto) or "none"))
        for (source, hand, auto), outlets in _with_own(rows).items()
    )


class _Stops(NamedTuple):
    """What each stops the gas of a source alone, by hand and by itself, in flow order."""

    source: str
    hand: tuple[str, ...]
    auto: tuple[str, ...]


def _with_own(rows: Mapping[_Stops, Sequence[str]]) -> dict[tuple[str, str, tuple[str, ...]], list[str]]:
    """Outlets that differ only in a last valve of their own share a line, which names those valves in order."""
    alike: dict[_Stops, list[tuple[str, tuple[str, ...]]]] = {}
    for (source, hand, auto), outlets in rows.items():
        for outlet in outlets:
            alike.setdefault(_Stops(source, hand[:-1], auto), []).append((outlet, hand[-1:]))
    made: dict[tuple[str, str, tuple[str, ...]], list[str]] = {}
    for (source, shared, auto), pairs in alike.items():
        lasts = [t for last in dict.fromkeys(last for _, last in pairs) for t in last]
        if len(lasts) == len(pairs) > 1:
            words = f"{', '.join(shared)}{', and ' if shared else ''}for each its own: {', '.join(lasts)}"
            made[source, words, auto] = [outlet for outlet, _ in pairs]
            continue
        for outlet, last in pairs:
            made.setdefault((source, ", ".join((*shared, *last)), auto), []).append(outlet)
    return made


def shortened(net: Network, lines: Iterable[FaultLine]) -> tuple[tuple[Row, ...], tuple[Row, ...]]:
    """One row for all lines that say the same but for the tags: the worst first, and last all that lets nothing out.
    Then what stands for the least of them, by their number, where a page has no room for all."""
    shown = [line for line in lines if line.fault.state in _SHOWN]
    groups: dict[tuple[object, ...], list[FaultLine]] = {}
    for line in shown:
        if line.quiet:
            continue
        joint = line.fault.state == "parted" and len(line.fault.tags) == 2
        kinds = tuple(sorted({_form(net, t) for f in line.faults for t in f.tags}))
        if of_own_valve(net, line.fault) and not line.filled:
            kinds = ("ball",)  # its own valve is as good as any
        stops = tuple((how, tuple(_form(net, t) for t in tags)) for how, tags in line.stops) if joint else ()
        outcome: tuple[object, ...] = (line.status, line.flow == 0, line.quiet, line.in_its_gas)
        if line.fault.state == "parted" and not joint:  # a hose is worth a line: the small break in the box hides none
            outcome = (*outcome, line.then, line.out)
        key = (line.fault.state, joint, () if joint else kinds, stops, outcome)
        groups.setdefault(key, []).append(line)
    ordered = sorted(groups.values(), key=lambda group: _how_bad(_worst(group)), reverse=True)
    always = [_row(net, group) for group in ordered if group[0].fault.state in _ALWAYS]
    ordered = [group for group in ordered if group[0].fault.state not in _ALWAYS]
    if quiet := [line for line in shown if line.quiet]:
        always.append(_quiet(net, quiet))
    rows = [_row(net, group) for group in ordered]
    if ordered:  # what burns most is shown, however little of it is unlit
        hottest = max(range(len(ordered)), key=lambda i: _worst(ordered[i]).heat)
        rows[hottest] = rows[hottest]._replace(kept=True)
    others = [group for group, row in zip(ordered, rows, strict=True) if not row.kept]
    folds = [_rest([line for group in others[-n:] for line in group]) for n in range(1, len(others) + 1)]
    return (*rows, *(row._replace(kept=True) for row in always)), tuple(folds)


def _how_bad(line: FaultLine) -> tuple[bool, float, float]:
    """What is not computed, or nothing stops, may be the worst of all; gas unlit is worse than a flame."""
    return line.status in ("not computed", "nothing stops it"), line.flow, line.heat


def _worst(group: Sequence[FaultLine]) -> FaultLine:
    return max(group, key=_how_bad)


def _row(net: Network, group: Sequence[FaultLine]) -> Row:
    worst = _worst(group)
    brief = worst._replace(then=worst.brief or worst.then, stopped_by=worst.stop + _others(net, group, worst))
    if worst.in_its_gas:  # the whole table names what stands there; beside "never" it would read as what stops it
        brief = brief._replace(stopped_by="nobody: its valves stand in the gas", in_its_gas=False)
    return Row((_names(net, group), *brief.said))


def _rest(lines: Sequence[FaultLine]) -> Row:
    """What the page has no room for: smaller than all above, each in the whole table."""
    statuses = ", ".join(dict.fromkeys(line.status for line in lines))
    number = sum(len(line.faults) for line in lines)
    least = _worst(lines)
    where = "each has its own: the makers have it"
    return Row(
        (f"{counted(number, 'other failure')}", "no more gas than above", where, "", least.out, least.longer, statuses)
    )


def _quiet(net: Network, lines: Sequence[FaultLine]) -> Row:
    """All that lets nothing out: what fails, and what holds the gas then."""
    said: list[str] = []
    for state in _SHOWN:
        faults = [f for line in lines for f in line.faults if f.state == state]
        joints = [f for f in faults if state == "parted" and len(f.tags) == 2]
        alone = [f for f in faults if f not in joints]
        if alone and state in ("means_on", "operator_gone"):
            said.append(several(_held_or_alone(alone), 3))
        elif alone:
            how = "parted" if state == "parted" else how_of(alone[0])
            said.append(f"{several([_of_one(net, f) for f in alone], 5)} {how}")
        if joints:
            said.append(joints[0].what if len(joints) == 1 else f"{len(joints)} joints, as {joints[0].what}")
    closures, bleeds = (
        list(dict.fromkeys(t for line in lines for of, tags in line.stops if of == kind for t in tags))
        for kind in ("holding", "bleed")
    )
    by = [f"{' or '.join(closures[:3])}{' or others' if len(closures) > 3 else ''}, by itself"] if closures else []
    by += [f"{several(bleeds, 3)}, shut but for letting down"] if bleeds else []
    return Row(("; ".join(said), *lines[0]._replace(stopped_by="; ".join(by)).said))


def _held_or_alone(faults: Sequence[Fault]) -> list[str]:
    """What moves several valves, or a place without its operator, one kind in one: "coil c_1, c_2 stuck on"."""
    named: dict[tuple[str, str], list[str]] = {}
    for fault in faults:
        named.setdefault((fault.state, fault.means), []).append(fault.name)
    return [
        held_on(means, ", ".join(in_runs(names))) if state == "means_on" else f"nobody at {', '.join(names)}"
        for (state, means), names in named.items()
    ]


_OTHERS = 9  # valves that a line names beside those of its worst


def _others(net: Network, group: Sequence[FaultLine], worst: FaultLine) -> str:
    """What stops those of a line that something else stops: said of each of one or two, else the valves of all."""
    differ = [line for line in group if _whatever_order(line) != _whatever_order(worst)]
    if not differ:
        return ""
    if len(differ) > 2 or any(len(line.faults) > 1 for line in differ):
        hands = [tags for line in differ for kind, tags in line.stops if kind == "hand"]
        named = list(dict.fromkeys(" and ".join(closure(net, t) for t in tags) or "nothing" for tags in hands))
        return f" (others: {several(named, _OTHERS, '; ' if any(' ' in n for n in named) else ', ')})"
    each = (f"{line.fault.name or line.fault.what}: {line.stop}" for line in differ)
    return f" ({'; '.join(each)})"


def _whatever_order(line: FaultLine) -> list[tuple[str, frozenset[str]]]:
    return [(kind, frozenset(tags)) for kind, tags in line.stops]


def _form(net: Network, tag: str) -> str:
    """A part's form in place of its tag, so that like valves are alike."""
    part = net.part(tag)
    return tag if part is None else part.form or part.kind


def _names(net: Network, group: Sequence[FaultLine]) -> str:
    faults = [f for line in group for f in line.faults]
    if len(faults) == 1:
        return faults[0].what
    worst = _worst(group).fault
    if worst.state == "parted" and len(worst.tags) == 2:
        return f"{len(faults)} joints, most: {worst.what}"
    if worst.state in ("means_on", "operator_gone"):
        return " or ".join(f.what for f in faults[:3])
    how = how_of(worst)
    if all(of_own_valve(net, f) for f in faults):
        return f"{', '.join(f.tags[0] for f in faults[:5])}: own valve {how}"
    tags = list(dict.fromkeys(_of_one(net, f) for f in faults))
    shown = ", ".join(tags[:5]) + (f" and {len(tags) - 5} more" if len(tags) > 5 else "")
    differ = len({(line.flow, line.heat) for line in group}) > 1
    return f"{shown} {how}" + (f" (most: {_of_one(net, worst)})" if differ else "")


def _of_one(net: Network, fault: Fault) -> str:
    """What fails, without how: "v1", "tank_a's own valve"."""
    return closure(net, fault.tags[0]) if of_own_valve(net, fault) else ", ".join(fault.tags)


def _untried(lines: Iterable[FaultLine]) -> bool:
    """Whether nobody measured any of the times: all are the limits' defaults."""
    return {line.timed for line in lines} - {""} == {"default"}


@table("plumbing.if_this_fails", title="If this fails, then", needs=(NETWORK, FAULT_LINES), wants=(CLOSING_TIMES,))
def short_table(ctx: Context) -> Table:
    lines = ctx[FAULT_LINES]
    if not _untried(lines):
        rows, folds = shortened(ctx[NETWORK], lines)
        return Table("", "", COLUMNS, rows, folds=folds)
    # Nobody measured any of them: the head says so once.
    named = {"in": "in, assumed" if ctx[CLOSING_TIMES] else "in, if posted", "status": "flow"}
    columns = tuple(c._replace(name=named.get(c.name, c.name)) for c in COLUMNS)
    rows, folds = shortened(ctx[NETWORK], [line._replace(timed="") for line in lines])
    return Table("", "", columns, rows, folds=folds)


@section(
    "plumbing_faults",
    title="If this fails, then",
    order=22,
    part="faults",
    needs=(NETWORK, FAULTS, FAULT_LINES),
    wants=(CLOSING_TIMES, CLOSING_ORDER),
)
def faults_section(ctx: Context) -> Sequence[Block]:
    net, faults, lines = ctx[NETWORK], ctx[FAULTS], ctx[FAULT_LINES]
    if not faults:
        return [Para("Nothing is described that could fail, so no failure was checked.")]
    ends = counts(lines)
    computed, total = ends.get("computed", 0), sum(ends.values())
    stop_first = (
        "Stop, then: stop is pressed first, as the valves put out the pilot of a burst that stays charged. "
        if lighters(net)
        else ""
    )
    nobody = "no walk, as nobody is posted: not known"
    walk = "the walk from the nearest post" if ctx[CLOSING_TIMES] else nobody
    kept = "".join(f", {ends[k]} {k}" for k in (IN_ITS_GAS, STILL_FED, STILL_FULL) if k in ends)
    by_hands = 0 if ctx[CLOSING_TIMES] else _by_hands(lines)
    stopped = f"{computed - by_hands} of {total} end with the gas stopped by what is shown{kept}"
    if by_hands:  # nobody who is not there stops anything
        stopped += f", {by_hands} only if somebody stands at the valve named, and nobody is posted"
    told = ("computed", IN_ITS_GAS, STILL_FED, STILL_FULL)
    rest = ", ".join(f"{n} {status}" for status, n in ends.items() if status not in told)
    return [
        Para(
            f"One failure at a time, gas on. {stopped}"
            + (f"; {rest}." if rest else ".")
            + _not_rows(lines)
            + f" Times: assumed (by the limits{', not tried' if _untried(lines) else ''}) to see it and turn a valve, "
            + f"and {walk}{_waits(ctx[CLOSING_ORDER])}. "
            + ("" if IN_ITS_GAS in ends else "A valve in the jet is not reachable: all go back. ")
            + "Several named: all. "
            + stop_first
            + "Gas out is unburned, until then and in five minutes; in "
            "brackets if its flame is out. Flames: from their outlet."
        ),
        Para(
            "Not here: two failures at a time, fire, liquid from a fallen cylinder. Check valves count as working. An "
            "excess-flow device counts where it closes for sure, with cold, part-full cylinders; the gas out is "
            "without it. A line for several shows the largest, and in brackets what stops the others: of each the next "
            "valve ahead. The makers can print all: specc table FILE plumbing.faults.",
            quiet=True,
        ),
        TableBlock("plumbing.between"),
        *_ahead(net),
        TableBlock("plumbing.if_this_fails"),
        Para(_what_tags_are(net), quiet=True),
    ]


def _waits(order: Iterable[Closing]) -> str:
    """What is counted besides where an emergency lets a closure wait for a burst that may blow just then."""
    most = next((c.at_most.text for c in order if c.at_most), "")
    return f"; {most} more for what waits for a burst" if most else ""


def _by_hands(lines: Iterable[FaultLine]) -> int:
    """How many of the failures that are computed, and that nothing keeps full, wait for a hand at a valve."""
    ended = (x for x in lines if x.status == "computed" and not (x.in_its_gas or x.fed or x.filled))
    return sum(len(x.faults) for x in ended if _for_a_hand(x))


def _for_a_hand(line: FaultLine) -> bool:
    """Whether gas goes on until a hand closes something."""
    return not line.quiet and any(tags for kind, tags in line.stops if kind == "hand")


def _not_rows(lines: Iterable[FaultLine]) -> str:
    """How many of the failures counted have no row below, and where they are answered."""
    n = sum(len(line.faults) for line in lines if line.fault.state not in _SHOWN)
    if not n:
        return ""
    return (
        f" {n} of them have no row here (stuck shut, nothing moves it, leaking): the makers have it. "
        "A flame that is out, a stop or a key that fails: sections on emergency and control."
    )


_KEPT_SHORT = 12  # tags of a kind, runs counted as one


def _what_tags_are(net: Network) -> str:
    """The page's tags by kind; those of fittings, which name joints, stand in the list of parts."""
    named: dict[str, list[str]] = {}
    for part in in_flow(net):
        words = (
            ("valves by hand" if by_hand(part) else f"{part.form} valves" if part.form else "valves")
            if part.kind == "valve"
            else _NAMES_OF.get(part.kind, "")
        )
        if words:
            named.setdefault(words, []).append(part.tag)
    told = (f"{words}: {several(in_runs(tags), _KEPT_SHORT)}" for words, tags in named.items())
    return f"Tags, as on the system's sheet. {'; '.join(told)}. Others: outlets, orifices, gauges, fittings, pipe."


_NAMES_OF = {
    "cylinder": "cylinders",
    "regulator": "regulators",
    "hose": "hoses",
    "accumulator": "accumulators",
}


@gather(SUMMARY_FACTS, needs=(NETWORK, FAULT_LINES), wants=(CLOSING_TIMES,))
def unstopped_fact(ctx: Context) -> Sequence[Fact]:
    """The failures that nothing and nobody stops, counted where the gas is shut off, with the worst of them. Where
    nobody is posted those that wait for a hand are among them."""
    every = ctx[FAULT_LINES]
    posted = bool(ctx[CLOSING_TIMES])
    lines = [x for x in every if x.in_its_gas or x.status == "nothing stops it" or (not posted and _for_a_hand(x))]
    said = []
    if number := sum(len(x.faults) for x in lines):
        worst = _worst([x for x in lines if x.status != "not computed"] or lines)
        rate = f"{show(worst.flow, 'mass_flow', 'lb/h', 3)} unlit" if worst.flow else ""
        rate = rate or (f"{show(worst.heat, 'power', 'kW', 3)} burning" if worst.heat else "flow not computed")
        total = sum(len(x.faults) for x in every)
        nobody = "" if posted else ", as nobody is posted"
        rest = sum(len(x.faults) for x in lines if x.status == "not computed")
        more = f"; {rest} not computed" if rest else ""
        what = _names(ctx[NETWORK], [worst])
        said.append(
            f"nothing and nobody stops {number} of {counted(total, 'failure')}{nobody}: at worst {what}, {rate}{more}"
        )
    return [Fact(7, "; ".join(said), "Main shutoff", "", "main_shutoff")] if said else []


@gather(SUMMARY_FACTS, needs=(NETWORK, FAULT_LINES), wants=(STUCK_GAS, CLOSING_ORDER))
def solenoid_fact(ctx: Context) -> Sequence[Fact]:
    """What comes out when one solenoid sticks open, and what is then closed by hand."""
    net, lines = ctx[NETWORK], ctx[FAULT_LINES]
    if not net.parts:
        return ()
    coils = [p.tag for p in net.of_kind("valve") if p.form == "solenoid"]
    if not coils:
        return (Fact(5, "not applicable: no solenoid", "A solenoid sticks", "no valve is moved by a coil", "solenoid"),)
    told: dict[str, list[str]] = {}
    # What lets out most stands first: a long list is cut at its end.
    for line in sorted(lines, key=lambda x: (x.status == "computed", -x.flow, -x.heat)):
        if line.fault.state == "stuck_open":
            held = [t for kind, tags in line.stops for t in tags if kind == "holding"]
            # Four valves in two rows are one sentence, not four: each is stopped by its fellow.
            by = line.stopped_by
            what = f"{line.then}, stopped by {by}" if by else line.then
            if _fellow(line, held, coils):  # that nothing comes out rests on one more valve of the same kind
                what = "only the other solenoid valve of its row still holds the gas"
            for tag in (t for f in line.faults for t in f.tags if t in coils):
                told.setdefault(what, []).append(tag)
    said = "; ".join(
        f"{', '.join(tags)} stuck open{', one at a time' if len(tags) > 1 else ''}: {what}"
        for what, tags in told.items()
    )
    unsaid = [t for t in coils if not any(t in tags for tags in told.values())]
    said += f"{'; ' if said else ''}{', '.join(unsaid)}: not computed" if unsaid else ""
    # What waits until a burst is out stops none.
    late = [c.tag for c in ctx[CLOSING_ORDER] if c.procedure == "emergency" and c.waits_for and not c.feeds]
    note = _by_hand(net, coils, ctx.get(STUCK_GAS) or {}, late)
    return (Fact(5, said, "A solenoid sticks", note, "solenoid"),)


def _by_hand(net: Network, coils: Sequence[str], stuck: Mapping[str, Figure], late: Sequence[str]) -> str:
    """What hands close when the coils do not, and what comes out all the same: an accumulator that no valve by hand
    parts from its outlet while that blows empties there. `late`: hand valves that nobody goes to until then."""
    more = "two that stick at once are not computed"
    hands = [p.tag for p in net.of_kind("valve") if by_hand(p) and p.tag not in late]
    fed = [o.tag for o in net.of_kind(*OUTLETS) if any(o in net.downstream(t) for t in coils)]
    if not fed:
        return more
    spots: list[Spot] = [(tag, "in") for tag in fed]
    plant = FaultyNetwork(net)
    near = plant.nearest(spots, (), {*hands, *(p.tag for p in net.of_kind("cylinder"))})
    left = plant.reaching(spots, near)
    close = " and ".join(closure(net, t) for t in near) or "nothing"
    if not left:
        return f"by hand in any case: {close}; {more}"
    emptied = [o for o in fed if plant.reaching([(o, "in")], near)]
    gas = max((stuck[o].si for o in emptied if o in stuck), default=None)
    most = f", {show(gas, 'mass', 'lb', 2)}" if gas is not None and {*emptied} <= {*stuck} else ""
    empty = "it empties" if len(left) == 1 else "they empty"
    between = f"no hand valve from {several(left)} to {several(emptied)}"
    if own := [t for t in late if {*emptied} & {p.tag for p in net.downstream(t)}]:
        is_ = "is" if len(emptied) == 1 else "are"
        between = f"by hand {several(own)}, once {several(emptied)} {is_} seen out"
    return f"{between}: all stuck, {empty}{most}, time not computed; {close} stops the feed"


def _fellow(line: FaultLine, held: Sequence[str], coils: Sequence[str]) -> bool:
    """Whether one other solenoid valve, and nothing else, holds what this one lets through."""
    alone = all(not tags for kind, tags in line.stops if kind != "holding")
    return alone and len(held) == 1 and held[0] in coils


def _ahead(net: Network) -> list[Block]:
    """What no valve but the cylinder's own stops."""
    told = []
    for cylinder in fed_from(net):
        ahead = [t for t in ahead_of_valves(net, cylinder) if net.by_tag[t].kind != "fitting"]
        told.append(f"{cylinder.tag}: {several(ahead) if ahead else 'nothing but its connection'}")
    if not told:
        return []
    return [
        Para(f"Ahead of the first quarter-turn valve, stopped by the cylinder's own valve alone: {'; '.join(told)}.")
    ]
