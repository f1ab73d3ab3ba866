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
    gather,
    section,
    table,
)
from specc.kinds.packet import DECISIONS, SUMMARY_FACTS
from specc.kinds.plumbing import JOINTS, NETWORK, RATED_BY_CLASS, Part
from specc.model.blocks import Block
from specc.model.view import Unreadable
from specc_plumbing import bill, breakdown, burners, cuts, joint_schedule


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


@gather(DECISIONS, needs=(NETWORK,))
def rated_by_class(ctx: Context) -> Sequence[str]:
    """Ratings that nobody read on the part itself: the reviewer sees all that are claimed, later ones too."""
    claimed: dict[tuple[str, str], list[str]] = {}
    for part in ctx[NETWORK].parts:
        if part.kind in RATED_BY_CLASS and part.spec.has("rating_basis"):
            basis = part.spec.text("rating_basis")
            claimed.setdefault((_text(part, "rating"), basis), []).append(part.tag)
    return [
        f"Rated {rating or 'not stated'} as a class, by {basis}, not read on each part: {', '.join(tags)}"
        for (rating, basis), tags in claimed.items()
    ]


@section(
    "plumbing",
    title="Plumbing",
    order=20,
    part="system",
    needs=(NETWORK, JOINTS),
    wants=(*burners.WANTED, *cuts.WANTED, *breakdown.WANTED),
)
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
        *joint_schedule.blocks(ctx),
        *burners.blocks(ctx),
        *cuts.blocks(ctx),
        *breakdown.blocks(ctx),
        *bill.blocks(ctx),
    ]


PASSES = (parts_table, facts, rated_by_class, plumbing_section)
