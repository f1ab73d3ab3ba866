"""The parts list, the schematic and the plumbing section of the packet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from specc import (
    Column,
    Context,
    DrawingBlock,
    Fact,
    Heading,
    Para,
    Row,
    Table,
    TableBlock,
    gather,
    section,
    table,
)
from specc.kinds.faults import CLOSING_ORDER, while_it_blows
from specc.kinds.packet import DECISIONS, SUMMARY_FACTS
from specc.kinds.places import PLACES
from specc.kinds.plumbing import FITTED, JOINTS, NETWORK, OUTLETS, RATED_BY_CLASS, ZONE_PRESSURE, Network, Part
from specc.model.blocks import Block
from specc.model.view import Unreadable
from specc.model.wording import counted
from specc_plumbing import bill, breakdown, burners, cuts, joint_schedule
from specc_plumbing.as_written import in_flow
from specc_plumbing.faults import drops_shut
from specc_plumbing.reach import FaultyNetwork, by_hand


def _text(part: Part, key: str) -> str:
    try:
        if not part.spec.has(key):
            return ""
        return part.spec.quantity(key).text if key in ("rating", "length") else part.spec.text(key)
    except Unreadable:
        return "see findings"


@table("plumbing.parts", title="Parts", needs=(NETWORK,))
def parts_table(ctx: Context) -> Table:
    """One line a part, in the order of the runs, then what is in none."""
    net = ctx[NETWORK]
    flow = dict.fromkeys(tag for run in net.runs for tag in (run.start, *run.line))
    by_tag = {p.tag: p for p in net.parts}
    ordered = [by_tag[tag] for tag in flow if tag in by_tag] + [p for p in net.parts if p.tag not in flow]
    rows = tuple(
        Row(
            (
                p.tag,
                p.title,
                _text(p, "material") or "not stated",
                _text(p, "rating") or "not stated",
                _text(p, "note"),
            )
        )
        for p in ordered
    )
    return Table(
        "",
        "",
        (
            Column("tag"),
            Column("part", 2.6),
            Column("material", 1.4),
            Column("rated", 1.0, "right"),
            Column("note", 2.0),
        ),
        rows,
    )


@gather(SUMMARY_FACTS, needs=(NETWORK,), wants=(PLACES, CLOSING_ORDER))
def facts(ctx: Context) -> Sequence[Fact]:
    """Where the gas is shut off: the first hand valve that stops all that a cylinder feeds, and the ones after it."""
    net = ctx[NETWORK]
    if not net.parts:
        return ()
    valves = [p.tag for p in net.of_kind("valve") if p.form == "ball"]
    count = f"hand valve{'' if len(valves) == 1 else 's'}, quarter turn"
    made = [Fact(40, str(len(valves)), count, ", ".join(valves[:6]) or "none")]
    hands = [p.tag for p in in_flow(net) if p.kind == "valve" and by_hand(p)]
    whole = FaultyNetwork(net)
    stops = {o.tag: whole.each_stops([(o.tag, "in")], hands) for o in net.of_kind(*OUTLETS)}
    sources = dict.fromkeys(s for by in stops.values() for s in by if net.by_tag[s].kind == "cylinder")
    if not sources:
        return made
    first: dict[str, str] = {}
    for source in sources:
        shared = [set(by[source]) for by in stops.values() if source in by]
        first[source] = next((v for v in hands if all(v in s for s in shared)), f"{source}'s own valve")
    main = list(dict.fromkeys(first.values()))
    where = list(dict.fromkeys(_where(ctx, net.by_tag[v]) for v in main if v in net.by_tag))
    note = "; ".join(w for w in where if w) or "place not stated"
    if any(v in net.by_tag for v in main):
        note += "; before it each cylinder's own valve" if len(sources) > 1 else "; before it the cylinder's own valve"
    else:
        note = "; ".join(dict.fromkeys(_where(ctx, net.by_tag[s]) for s in sources)) or "place not stated"
    made.append(Fact(5, " and ".join(main), "Main shutoff", note, "main_shutoff"))
    # Whoever shuts them too soon puts out the pilot of a burst that goes on: an engine company reads page one alone.
    closers = {v if v in net.by_tag else source for source, v in first.items()}
    waits = while_it_blows(c for c in ctx[CLOSING_ORDER] if c.procedure == "emergency" and c.tag in closers)
    if waits:
        made.append(Fact(5, waits[0].lower() + waits[1:], "Main shutoff", "", "main_shutoff"))
    coils = [p.tag for p in in_flow(net) if drops_shut(p)]
    beside = {_places(net.by_tag[s]) for s in sources} - {""}
    second: dict[str, list[str]] = {}
    for outlet, by in stops.items():
        later = [v for v in hands if v not in main and all(v in by[s] for s in by if s in sources)]
        # One that stands beside the cylinders is reached no better than they are in a fire there.
        afar = [v for v in later if _places(net.by_tag[v]) not in beside]
        held = whole.each_stops([(outlet, "in")], coils)
        own = [v for v in coils if all(v in held.get(s, ()) for s in held)]
        if best := (afar or own or later):
            second.setdefault(best[0], []).append(outlet)
    if second:
        at: dict[str, list[str]] = {}
        for v, outlets in second.items():
            place = _places(net.by_tag[v])
            how = f"{v} by coil alone, not relied on," if v in coils else v
            how += " (beside the cylinders)" if v not in coils and place in beside else ""
            at.setdefault(place, []).append(f"{how} for {', '.join(outlets)}")
        words = "; ".join(
            f"{'at ' + place if place else 'place not stated'}: {', '.join(v)}" for place, v in at.items()
        )
        made.append(Fact(5, words, "Second shutoff", "", "second_shutoff"))
    return made


def _places(part: Part) -> str:
    try:
        return ", ".join(part.places)
    except Unreadable:
        return ""


def _where(ctx: Context, part: Part) -> str:
    """A part's place with its note, as far as the spec says it."""
    try:
        tags = part.places
    except Unreadable:
        return ""
    places = ctx.get(PLACES) or {}
    return ", ".join(f"{t}: {places[t].note}" if t in places and places[t].note else t for t in tags)


@gather(DECISIONS, needs=(NETWORK,))
def rated_by_class(ctx: Context) -> Sequence[str]:
    """Ratings that nobody read on the part itself: how many of which kind; the list of parts names each."""
    claimed = _by_class(ctx[NETWORK])
    if not claimed:
        return ()
    told = []
    for (rating, basis), parts in claimed.items():
        kinds = Counter(p.form or p.kind for p in parts)
        said = ", ".join(counted(n, kind.replace("_", " ")) for kind, n in kinds.items())
        # Of many ratings it is too long to read what kinds of parts each is of.
        what = said if len(claimed) < 4 else str(len(parts))
        told.append(f"{rating or 'not stated'}, by {basis}: {what}")
    number = counted(sum(map(len, claimed.values())), "part")
    return (
        f"Is it enough that {number} are rated as a class, not read on each? {'; '.join(told)}. Tags: section on parts",
    )


def _by_class(net: Network) -> dict[tuple[str, str], list[Part]]:
    """The parts whose rating is that of their class, by the rating and what it rests on."""
    claimed: dict[tuple[str, str], list[Part]] = {}
    for part in net.parts:
        if part.kind in RATED_BY_CLASS and part.spec.has("rating_basis"):
            claimed.setdefault((_text(part, "rating"), part.spec.text("rating_basis")), []).append(part)
    return claimed


def _rated_as_a_class(net: Network) -> list[Block]:
    """All tags that the question of rated classes counts."""
    told = [
        f"{rating or 'not stated'}, by {basis}: {', '.join(p.tag for p in parts)}"
        for (rating, basis), parts in _by_class(net).items()
    ]
    return [Para(f"Rated as a class, not read on each part: {'; '.join(told)}.", quiet=True)] if told else []


@table("plumbing.parts_as_bought", title="Parts with their tags", needs=(NETWORK, FITTED, JOINTS))
def parts_as_bought(ctx: Context) -> Table:
    """Parts and bill in one: one line for parts that are bought alike, with the tags and what is noted of each. What
    ends they have stands in the bill of materials."""
    rows = []
    for line in bill.lines_of(in_flow(ctx[NETWORK]), ctx[FITTED], ctx[JOINTS]):
        tags = []
        for tag in line.tags:
            part = ctx[NETWORK].by_tag.get(tag)
            note = _text(part, "note") if part is not None else ""
            tags.append(f"{tag} ({note})" if note else tag)
        count = str(line.number) if line.length == bill.BY_PIECE else f"{line.number}, {line.length}"
        rows.append(Row((line.item, line.size, line.material, line.rating, count, ", ".join(tags))))
    columns = (
        Column("item", 1.9),
        Column("size", 1.1),
        Column("material", 1.0),
        Column("rated", 0.8, "right"),
        Column("count", 0.6),
        Column("tags", 1.5),
    )
    return Table("", "", columns, tuple(rows), "Lines that read alike differ in their ends.")


@section("plumbing", title="The system", order=20, part="system", needs=(NETWORK,))
def system_section(ctx: Context) -> Sequence[Block]:
    if not ctx[NETWORK].parts:
        return [Para("No plumbing is described.")]
    return [DrawingBlock("plumbing")]


@section("plumbing_parts", title="Parts and joints", order=20, needs=(NETWORK, JOINTS), wants=(ZONE_PRESSURE,))
def parts_section(ctx: Context) -> Sequence[Block]:
    if not ctx[NETWORK].parts:
        return []
    pressures: list[Block] = (
        [Heading("Pressure by zone"), TableBlock("plumbing.zones")] if ctx.get(ZONE_PRESSURE) else []
    )
    return [
        TableBlock("plumbing.parts_as_bought"),
        *_rated_as_a_class(ctx[NETWORK]),
        *joint_schedule.blocks(ctx),
        *pressures,
        Heading("Closing, and what stays shut in"),
        TableBlock("plumbing.closing_order"),
        TableBlock("plumbing.shut_in_gas"),
        *([TableBlock("plumbing.letting_down")] if ctx[NETWORK].of_kind("accumulator") else []),
    ]


@section(
    "plumbing_builder",
    title="For the builder",
    order=20,
    part="builder",
    needs=(NETWORK, JOINTS),
    wants=(*burners.WANTED, *cuts.WANTED, *breakdown.WANTED),
)
def builders_section(ctx: Context) -> Sequence[Block]:
    """What is needed to build and to carry it, and nobody judges."""
    if not ctx[NETWORK].parts:
        return []
    return [
        *burners.blocks(ctx),
        *cuts.blocks(ctx),
        *breakdown.blocks(ctx),
        *bill.blocks(ctx),
        Heading("Every joint"),
        TableBlock("plumbing.joint_schedule"),
        Heading("Every part in the order of flow"),
        TableBlock("plumbing.parts"),
    ]
