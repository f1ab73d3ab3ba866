"""The parts list, the schematic and the plumbing section of the packet."""

from __future__ import annotations

from collections.abc import Sequence

from specc import (
    Column,
    Context,
    DrawingBlock,
    Fact,
    Para,
    Row,
    Table,
    TableBlock,
    drawn,
    gather,
    section,
    table,
)
from specc.blocks import Block
from specc.drawing.shapes import Drawing
from specc.kinds.packet import SUMMARY_FACTS
from specc.kinds.plumbing import NETWORK, Network, Part
from specc.view import Unreadable
from specc_plumbing.network import downstream

_SYMBOLS = {
    "burner": {
        "ring": "burner_ring",
        "bar": "burner_bar",
        "stem": "stem",
        "nozzle": "stem",
        "open_end": "stem",
    },
    "valve": {
        form: f"{form}_valve"
        for form in ("ball", "needle", "globe", "check", "solenoid", "excess_flow", "relief")
    },
    "fitting": {
        "tee": "tee",
        "cross": "tee",
        "manifold": "manifold",
        "union": "union",
        "plug": "plug",
        "cap": "plug",
    },
}


def _symbol(part: Part) -> str:
    by_form = _SYMBOLS.get(part.kind)
    if by_form is None:
        return part.kind
    return by_form.get(part.form, "fitting" if part.kind == "fitting" else "unknown")


def _labels(part: Part) -> tuple[str, ...]:
    """Short lines under a symbol: what tells it from its neighbours."""
    try:
        spec = part.spec
        if part.kind == "regulator":
            return (f"set {spec.quantity('set').text}",)
        if part.kind in ("hose", "pipe", "tube"):
            size = spec.quantity("bore").text if spec.has("bore") else spec.text_or("size")
            return tuple(t for t in (size, spec.quantity("length").text) if t)
        if part.kind == "orifice":
            return (spec.quantity("bore").text,)
        if part.kind == "cylinder":
            return (spec.quantity("capacity").text,)
        if part.kind == "accumulator":
            return (spec.quantity("volume").text,)
        if part.kind == "valve":
            state = spec.text_or("normally")
            return (part.form.replace("_", " "), *((f"normally {state}",) if state else ()))
        return (spec.text("size"),) if spec.has("size") else ()
    except Unreadable:
        return ("see findings",)


def zones(net: Network) -> dict[str, str]:
    """Tag to "supply" (it sees cylinder pressure) or "regulated" (a regulator stands before it).

    A regulator itself belongs to the supply, where its inlet is. A part that both reach is in the supply:
    the higher pressure counts.
    """
    after = downstream(net.links)
    regulators = {p.tag for p in net.of_kind("regulator")}
    supply: set[str] = set()
    stack = [p.tag for p in net.of_kind("cylinder")]
    while stack:
        tag = stack.pop()
        if tag in supply:
            continue
        supply.add(tag)
        if tag not in regulators:
            stack.extend(after.get(tag, ()))
    return {p.tag: "supply" if p.tag in supply else "regulated" for p in net.parts}


@drawn("plumbing", title="Gas from cylinders to outlets", needs=(NETWORK,))
def plumbing_drawing(ctx: Context) -> Drawing:
    # The layout takes a while to import, and `check` draws nothing.
    from specc.drawing.flow import Node, schematic

    net = ctx[NETWORK]
    zone = zones(net)
    nodes = [Node(p.tag, _symbol(p), _labels(p), zone[p.tag]) for p in net.parts]
    names = {"supply": "cylinder pressure", "regulated": "regulated"}
    used = {z: names[z] for z in ("supply", "regulated") if z in zone.values()}
    return schematic(nodes, net.links, used, key="plumbing", title="Gas from cylinders to outlets")


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


@gather(SUMMARY_FACTS, needs=(NETWORK,))
def facts(ctx: Context) -> Sequence[Fact]:
    net = ctx[NETWORK]
    valves = [p.tag for p in net.of_kind("valve") if p.form == "ball"]
    if not net.parts:
        return ()
    return (Fact(40, str(len(valves)), "hand valves, quarter turn", ", ".join(valves[:6]) or "none"),)


@section("plumbing", title="Plumbing", order=20, needs=(NETWORK,))
def plumbing_section(ctx: Context) -> Sequence[Block]:
    net = ctx[NETWORK]
    if not net.parts:
        return [Para("No plumbing is described.")]
    return [
        Para(
            "Gas flows from the cylinders on the left to the outlets on the right. Every part that holds gas is "
            "listed below, in the order of flow."
        ),
        DrawingBlock("plumbing"),
        TableBlock("plumbing.parts"),
    ]


PASSES = (plumbing_drawing, parts_table, facts, plumbing_section)
