"""If this fails, then: the page that a reviewer reads in two minutes. The whole list is the table plumbing.faults."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from specc import Column, Context, Fact, Para, Row, Table, TableBlock, gather, section, table
from specc.kinds.faults import FAULTS, RELEASES, WAYS, Fault
from specc.kinds.packet import SUMMARY_FACTS
from specc.kinds.plumbing import NETWORK, OUTLETS, Network
from specc.model.blocks import Block
from specc.model.wording import several
from specc_plumbing.fault_table import COLUMNS, WANTED, FaultLine, all_lines, counts, how_of
from specc_plumbing.reach import FaultyNetwork, Spot, by_hand, by_itself, closes
from specc_plumbing.source_rules import ahead_of_valves, fed_from

_SHOWN = ("stuck_open", "means_on", "failed_open", "parted", "power_lost", "operator_gone")


@table("plumbing.between", title="What stands between the gas and each flame", needs=(NETWORK,))
def between(ctx: Context) -> Table:
    """For each outlet: the closures that each stop its gas alone, from where it comes."""
    net = ctx[NETWORK]
    closures = [p.tag for p in net.of_kind("valve") if closes(p)]
    rows: dict[tuple[str, ...], list[str]] = {}
    for outlet in net.of_kind(*OUTLETS):
        for source, stops in FaultyNetwork(net).each_stops([(outlet.tag, "in")], closures).items():
            auto = [t for t in stops if by_itself(net.by_tag[t])]
            hand = [t for t in stops if t not in auto]
            own = ["its own valve"] if net.by_tag[source].kind == "cylinder" else []
            said = (", ".join([*own, *hand]) or "none", ", ".join(auto) or "none")
            rows.setdefault((source, *said), []).append(outlet.tag)
    made = tuple(Row((", ".join(outlets), *said)) for said, outlets in _with_own(rows).items())
    each = Column("each stops it: by hand", 2.2)
    columns = (Column("outlet", 1.5), Column("gas from"), each, Column("by itself", 1.2))
    return Table("", "", columns, made)


def _with_own(rows: Mapping[tuple[str, ...], Sequence[str]]) -> dict[tuple[str, ...], list[str]]:
    """Outlets that differ only in a last valve of their own share a line, which names those valves in order."""
    alike: dict[tuple[str, ...], list[tuple[str, str]]] = {}
    for (source, hand, auto), outlets in rows.items():
        before, _, last = hand.rpartition(", ")
        for outlet in outlets:
            alike.setdefault((source, before, auto), []).append((outlet, last))
    made: dict[tuple[str, ...], list[str]] = {}
    for (source, shared, auto), pairs in alike.items():
        lasts = list(dict.fromkeys(last for _, last in pairs))
        if len(lasts) == len(pairs) > 1:
            hand = f"{shared}, and for each its own: {', '.join(lasts)}"
            made[(source, hand.removeprefix(", "), auto)] = [outlet for outlet, _ in pairs]
            continue
        for outlet, last in pairs:
            made.setdefault((source, ", ".join(t for t in (shared, last) if t), auto), []).append(outlet)
    return made


def shortened(net: Network, lines: Iterable[FaultLine]) -> tuple[Row, ...]:
    """One row for all lines that say the same but for the tags, the largest release first named."""
    groups: dict[tuple[object, ...], list[FaultLine]] = {}
    for line in lines:
        if line.fault.state not in _SHOWN:
            continue
        joint = line.fault.state == "parted" and len(line.fault.tags) == 2
        kinds = tuple(sorted({_form(net, t) for f in line.faults for t in f.tags}))
        if kinds == ("cylinder",) and line.fault.state == "stuck_open" and " full until " not in line.then:
            kinds = ("ball",)  # its own valve is as good as any
        stops = " ".join(_form(net, word) for word in line.stopped_by.split()) if joint else ""
        outcome: tuple[object, ...] = (line.status, line.flow == 0, line.quiet)
        if line.fault.state == "parted" and not joint:  # a hose is worth a line: the small break in the box hides none
            outcome = (*outcome, line.then, line.out)
        key = (line.fault.state, joint, () if joint else kinds, stops, outcome)
        groups.setdefault(key, []).append(line)
    rows = []
    for group in groups.values():
        worst = max(group, key=lambda line: (line.flow, line.heat))
        said = worst._replace(stopped_by=worst.stop + _others(group, worst))
        rows.append(Row((_names(group), *said.said)))
    return tuple(rows)


def _others(group: Sequence[FaultLine], worst: FaultLine) -> str:
    """What stops those of a line that something else stops: said of one or two, else only that it differs."""
    differ = [line for line in group if line.stopped_by != worst.stopped_by]
    if not differ:
        return ""
    if len(differ) > 2 or any(len(line.faults) > 1 for line in differ):
        return " (others: next ahead)"
    named = (f"{line.fault.key.split('.')[0]}: {line.stop}" for line in differ)
    return f" ({'; '.join(named)})"


def _form(net: Network, word: str) -> str:
    """A tag's form in its place, so that like valves read alike."""
    part = net.by_tag.get(word.rstrip(",;").removesuffix("'s"))
    return word if part is None else part.form or part.kind


def _names(group: Sequence[FaultLine]) -> str:
    faults = [f for line in group for f in line.faults]
    if len(faults) == 1:
        return faults[0].what
    worst = max(group, key=lambda line: (line.flow, line.heat)).fault
    if worst.state == "parted" and len(worst.tags) == 2:
        return f"{len(faults)} joints, most: {worst.what}"
    if worst.state in ("means_on", "operator_gone"):
        return " or ".join(f.what for f in faults[:3])
    how = "parted" if worst.state == "parted" else how_of(worst).removeprefix("own valve ")
    if all("'s own valve " in f.what for f in faults) and len(faults) > 1:
        return f"{', '.join(f.tags[0] for f in faults[:5])}: own valve {how}"
    tags = list(dict.fromkeys(_of_one(f, how) for f in faults))
    shown = ", ".join(tags[:5]) + (f" and {len(tags) - 5} more" if len(tags) > 5 else "")
    differ = len({(line.flow, line.heat) for line in group}) > 1
    return f"{shown} {how}" + (f" (most: {_of_one(worst, how)})" if differ else "")


def _of_one(fault: Fault, how: str) -> str:
    """What fails, without how: "v1", "tank_a's own valve"."""
    return fault.what.removesuffix(f" {how}").removeprefix("hose ")


@table("plumbing.if_this_fails", title="If this fails, then", needs=(NETWORK, FAULTS, WAYS, RELEASES), wants=WANTED)
def short_table(ctx: Context) -> Table:
    return Table("", "", COLUMNS, shortened(ctx[NETWORK], all_lines(ctx)))


@section(
    "plumbing_faults",
    title="If this fails, then",
    order=22,
    part="faults",
    needs=(NETWORK, FAULTS, WAYS, RELEASES),
    wants=WANTED,
)
def faults_section(ctx: Context) -> Sequence[Block]:
    net, faults = ctx[NETWORK], ctx[FAULTS]
    if not faults:
        return [Para("Nothing is described that could fail, so no failure was checked.")]
    ends = counts(all_lines(ctx))
    computed, total = ends.get("computed", 0), sum(ends.values())
    rest = ", ".join(f"{n} {status}" for status, n in ends.items() if status != "computed")
    return [
        Para(
            f"One failure at a time, gas on. {computed} of {total} end with the gas stopped by what is shown"
            + (f"; {rest}." if rest else ".")
            + " Times: what the limits allow to see it and turn a valve (specc default unless the spec says), and the "
            "walk from the nearest post if that is elsewhere. Of several valves named it takes all. Gas out is "
            "unburned, until then and in five minutes; in brackets if the flame that should burn it is out."
        ),
        Para(
            "Not in this table: two failures at a time, fire, and liquid from a cylinder that has fallen over. Check "
            "valves count as working. An excess-flow device counts where it closes for sure, with cold, part-full "
            "cylinders; the gas out is without it. A line that stands for several shows the largest; specc table FILE "
            "plumbing.faults has each."
        ),
        TableBlock("plumbing.between"),
        *_ahead(net),
        TableBlock("plumbing.if_this_fails"),
    ]


@gather(SUMMARY_FACTS, needs=(NETWORK, FAULTS, WAYS, RELEASES), wants=WANTED)
def solenoid_fact(ctx: Context) -> Sequence[Fact]:
    """What comes out when one solenoid sticks open, and what is then closed by hand."""
    net = ctx[NETWORK]
    if not net.parts:
        return ()
    coils = [p.tag for p in net.of_kind("valve") if p.form == "solenoid"]
    if not coils:
        return (Fact(5, "not applicable: no solenoid", "A solenoid sticks", "no valve is moved by a coil", "solenoid"),)
    told: dict[str, list[str]] = {}
    # What lets out most stands first: a long list is cut at its end.
    for line in sorted(all_lines(ctx), key=lambda x: (x.status == "computed", -x.flow, -x.heat)):
        if line.fault.state == "stuck_open":
            by = f", stopped by {line.stopped_by}" if line.stopped_by else ""
            for tag in (t for f in line.faults for t in f.tags if t in coils):
                told.setdefault(f"{line.then}{by}", []).append(tag)
    said = "; ".join(f"{', '.join(tags)} stuck open: {what}" for what, tags in told.items())
    unsaid = [t for t in coils if not any(t in tags for tags in told.values())]
    said += f"{'; ' if said else ''}{', '.join(unsaid)}: not computed" if unsaid else ""
    hands = [p.tag for p in net.of_kind("valve") if by_hand(p)]
    fed: list[Spot] = [(o.tag, "in") for o in net.of_kind(*OUTLETS) if any(o in net.downstream(t) for t in coils)]
    plant = FaultyNetwork(net)
    near = plant.nearest(fed, (), {*hands, *(p.tag for p in net.of_kind("cylinder"))})
    left = plant.reaching(fed, near)
    empties = f"; {', '.join(left)} then empties" if left else ""
    more = "two that stick at once are not computed"
    note = f"by hand in any case: {' and '.join(near) or 'nothing'}{empties}; {more}" if fed else more
    return (Fact(5, said, "A solenoid sticks", note, "solenoid"),)


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
