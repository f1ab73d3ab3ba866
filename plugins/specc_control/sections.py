"""The control section: what the wiring does, as computed, its figures and rules, and what the model leaves out."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from typing import cast

from specc import (
    Caution,
    Column,
    Context,
    DrawingBlock,
    Fact,
    FigureList,
    Heading,
    ModelLimit,
    Para,
    Row,
    Table,
    TableBlock,
    gather,
    section,
    show,
    table,
)
from specc.kinds.gas import PURGE_WAIT, UNLIT_CLOUD
from specc.kinds.packet import CAUTIONS, MODEL_LIMITS, SUMMARY_FACTS
from specc.kinds.places import PLACES
from specc.kinds.plumbing import NETWORK
from specc.kinds.procedures import CHECKS, Check
from specc.kinds.show import EFFECTS
from specc.model.blocks import Block
from specc.model.values import PRACTICE, Figure
from specc.model.wording import counted, several
from specc_control.electric import AT_COIL, CARRIES, CLEARS, CURRENT, LASTS, NEEDED, WAYS
from specc_control.entries import WIRING
from specc_control.gas import LOGIC, Logic
from specc_control.proof import lighter, proven_by

_MOST_ROWS = 12


@table("control.parts", title="Parts of the wiring", needs=(WIRING,))
def parts_table(ctx: Context) -> Table:
    rows = []
    for p in ctx[WIRING].parts.values():
        told = [
            p.spec.quantity(key).text for key in ("voltage", "capacity", "rating", "power", "length") if p.spec.has(key)
        ]
        if p.spec.has("size"):
            told.append(p.spec.text("size"))
        if p.kind == "stop":
            told.append(
                "latches, reset by hand"
                if p.spec.yes("latches") and p.spec.text_or("reset") == "by hand"
                else "latching not stated"
            )
        rows.append(Row((p.tag, p.kind.replace("_", " "), ", ".join(told), p.spec.text_or("place", "not stated"))))
    return Table("", "", (Column("tag"), Column("kind"), Column("as stated", 2), Column("place")), tuple(rows))


@table("control.logic", title="When gas can flow, over every state of the contacts", needs=(LOGIC,))
def logic_table(ctx: Context) -> Table:
    """Computed, never typed: with one thing withheld and all else in any state."""
    made = ctx[LOGIC]
    outlets = tuple(made.outlets)
    despite: dict[str, dict[str, None]] = {}  # by demand, the single faults that let gas through all the same
    for f in made.failed:
        despite.setdefault(f.demand.words, {})[f.what] = None
    rows = [
        Row(
            (
                f"{d.words}{_unless(despite.get(d.words, ())) or ', whatever else'}",
                *("gas possible" if made.outlets[o] & d.states else "no gas" for o in outlets),
            )
        )
        for d in made.demands
    ]
    agreed = made.seen.all
    for d in made.demands:
        agreed &= ~d.states
    if outlets:
        rows.append(
            Row(
                (
                    "none of these",
                    *("gas possible" if made.outlets[o] & agreed else "no gas" for o in outlets),
                ),
                strong=True,
            )
        )
    return Table(
        "",
        "",
        (Column("while", 3), *(Column(f"then at {o}") for o in outlets)),
        tuple(rows),
        "Hand valves are counted as open. Computed from the lines for all states of contacts, relays and "
        "controller outputs." + _still_held(made),
    )


def _unless(faults: Collection[str]) -> str:
    """A part that fails may look off and not be: no row says "no gas" against the table of faults."""
    return f", unless {several(list(faults), 2)}" if faults else ""


def _still_held(made: Logic) -> str:
    """What withholds the gas under each of those faults all the same."""
    said = []
    faults = list(dict.fromkeys(f.what for f in made.failed))
    by_fault = {what: {f.demand.words for f in made.failed if f.what == what} for what in faults}
    if len(faults) > 1 and len(made.demands) > 1 and all(len(lost) == 1 for lost in by_fault.values()):
        return " Under any one of those faults every other line still holds."
    for what, lost in by_fault.items():
        held = [d.words for d in made.demands if d.words not in lost]
        said.append(f" With {what}, what still holds: {several(held, 4) if held else 'nothing but a valve by hand'}.")
    return "".join(said[:2]) + (
        f" {len(said) - 2} more faults: in the table of single faults." if len(said) > 2 else ""
    )


@table("control.faults", title="Single faults that let gas through", needs=(LOGIC,))
def faults_table(ctx: Context) -> Table:
    made = ctx[LOGIC]
    by: dict[tuple[str, str], list[str]] = {}
    for f in made.failed:
        by.setdefault((f.what, f.outlet), []).append(f.demand.words)
    rows = [Row((what, outlet, "; ".join(dict.fromkeys(said)))) for (what, outlet), said in by.items()]
    more = len(rows) - _MOST_ROWS
    note = (
        f"{made.faults} single faults were tried in every state: parts open, welded, shorted, touching plus"
        " or the chassis, supplies lost, valves stuck open."
    )
    if more > 0:
        note += f" {more} more are not shown here; the findings tell them."
    return Table(
        "",
        "",
        (Column("if this fails", 2), Column("gas can come to"), Column("even with", 2)),
        tuple(rows[:_MOST_ROWS]),
        note,
    )


def _stop_chain(ctx: Context) -> str:
    """Each emergency stop, where it is, and the coils that it takes power from."""
    w, logic = ctx[WIRING], ctx[LOGIC]
    seen = logic.seen
    coils = [p.tag for p in w.of_kind("coil")]
    made = []
    for d in (d for d in logic.demands if d.kind == "stop"):
        still = {c: (seen.on.get(c, 0) | seen.maybe.get(c, 0)) & seen.stands & d.states for c in coils}
        cut = [c for c in coils if not still[c]]
        said = (
            f"{d.tag} at {w.parts[d.tag].spec.text_or('place', 'a place not stated')} cuts {several(cut) or 'nothing'}"
        )
        left = several([c for c in coils if still[c]])
        made.append(said + (f", and does not cut {left}" if left else ""))
    return "; ".join(made)


@gather(SUMMARY_FACTS, needs=(WIRING,), wants=(NETWORK,))
def facts(ctx: Context) -> Sequence[Fact]:
    """It takes power from coils: flames that no coil holds burn on, and whoever presses it has to know."""
    stops = ctx[WIRING].of_kind("stop")
    if not stops:
        return ()
    where = several([f"at {p.spec.text_or('place', 'a place not stated')} ({p.tag})" for p in stops])
    word = "emergency stop" if len(stops) == 1 else "emergency stops"
    # Behind the main shutoff, which plumbing names: it takes power from valves and shuts no cylinder.
    said = f"{word} {where}, for the solenoid valves alone"
    if net := ctx.get(NETWORK):
        coils = [v.tag for v in net.of_kind("valve") if v.form == "solenoid"]
        held = {p.tag for tag in coils for p in net.downstream(tag)}
        on = [p.tag for p in net.of_kind("burner", "pilot") if net.before.get(p.tag) and p.tag not in held]
        said += f": {counted(len(on), 'other flame')} burn{'s' if len(on) == 1 else ''} on" if on else ""
    return (Fact(6, said, "Main shutoff", "", "main_shutoff"),)


@gather(CHECKS, needs=(WIRING,))
def checks(ctx: Context) -> Sequence[Check]:
    return tuple(
        Check(
            45,
            f"{p.tag} (emergency stop) tried with the gas shut off: all that it feeds loses power, and turning it back "
            "starts nothing",
            PRACTICE,
        )
        for p in ctx[WIRING].of_kind("stop")
    )


@gather(CAUTIONS, needs=(WIRING,))
def cautions(ctx: Context) -> Sequence[Caution]:
    if not ctx[WIRING].of_kind("stop"):
        return ()
    return (
        Caution(
            45,
            "The emergency stop takes power from the valves. It does not shut the cylinders, and gas between "
            "valve and outlet still burns off.",
            PRACTICE,
        ),
    )


@gather(MODEL_LIMITS, needs=(WIRING,))
def model_limits(ctx: Context) -> Sequence[ModelLimit]:
    if not ctx[WIRING].parts:
        return ()
    return (
        ModelLimit(
            45,
            "Wiring",
            "Contacts settle at once, but for timers. Faults are taken one at a time; two lines that touch are not "
            "among them. Contacts, plugs and supplies have no resistance. That the box is built so is for a person to "
            "see.",
        ),
    )


def _unlit(ctx: Context) -> str:
    """What proves that each burst is lit, and what comes out if it is not."""
    w, net = ctx[WIRING], ctx[NETWORK]
    made = []
    for tag in [t for e in ctx[EFFECTS] if e.kind == "burst" for t in e.outlets if net.part(t)]:
        part = net.by_tag[tag]
        sensors = [f"{s.tag} ({s.spec.text_or('sensor', 'kind not stated')})" for s in proven_by(w, part)]
        eye = part.spec.child("lit_by").text_or("seen_by")
        proof = ", ".join(sensors) or (f"{eye}'s eye" if eye else "nothing that is stated")
        words = f"{tag} is lit by {lighter(part)}, proven by {proof}"
        cloud = (ctx.get(UNLIT_CLOUD) or {}).get(tag)
        if cloud is not None:
            # Warm gas makes the larger cloud, and cold gas is heavier: of each the most.
            most = max(cast(Figure, dict(case.worked.inputs)["m"]).si for case in cloud.cases)
            gas = show(most, "mass", "oz")
            words += f". Unlit, one opening lets out {gas}, {show(cloud.si, 'volume', 'ft³', 2)} of mixture that burns"
        made.append(words)
    if not made:
        return ""
    low = [p.tag for p in ctx[PLACES].values() if p.kind == "low_place"]
    wait = ctx.get(PURGE_WAIT)
    return (
        f"{'. '.join(made)}. The gas is heavier than air and gathers in "
        + (f"{several(low)} and in " if low else "")
        + "hollows, drains and cellars"
        + (f"; wait {math.ceil(wait.si / 60 - 1e-9)} min or more before lighting again" if wait is not None else "")
        + "."
    )


@section(
    "control",
    title="Control",
    order=45,
    part="control",
    needs=(WIRING, WAYS, LOGIC, NETWORK, EFFECTS, PLACES),
    wants=(UNLIT_CLOUD, PURGE_WAIT),
)
def control_section(ctx: Context) -> Sequence[Block]:
    """What the wiring does, for whoever judges it."""
    made = ctx[LOGIC]
    if not ctx[WIRING].parts:
        return [Para("The spec describes no wiring, so nothing of control was checked.")]
    if not made.outlets:
        return [Para(made.too_large or "No coil of the wiring opens a valve before a burner.")]
    chain = _stop_chain(ctx)
    blocks: list[Block] = [Para(f"Emergency stop: {chain}.")] if chain else []
    blocks.append(TableBlock("control.logic"))
    if said := _unlit(ctx):
        blocks.append(Para(said))
    if made.failed:
        blocks.append(TableBlock("control.faults"))
    else:
        blocks.append(
            Para(f"{made.faults} single faults were tried in every state; none lets gas through against any of these.")
        )
    return blocks


@section(
    "control_parts",
    title="Wiring",
    order=45,
    needs=(WIRING,),
    wants=(CURRENT, CARRIES, CLEARS, AT_COIL, NEEDED, LASTS),
)
def wiring_section(ctx: Context) -> Sequence[Block]:
    if not ctx[WIRING].parts:
        return []
    keys = [f.key for k in (CURRENT, CARRIES, CLEARS, AT_COIL, NEEDED, LASTS) for f in (ctx.get(k) or {}).values()]
    blocks: list[Block] = [TableBlock("control.parts"), DrawingBlock("control")]
    return [*blocks, Heading("Currents and voltages"), FigureList(tuple(keys))] if keys else blocks
