"""The structure section, the stand-offs for what may fall, and what the model leaves out."""

from __future__ import annotations

from collections.abc import Sequence

from specc import (
    Caution,
    Column,
    Context,
    DrawingBlock,
    Fact,
    FigureList,
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
from specc.kinds.packet import CAUTIONS, MODEL_LIMITS, SUMMARY_FACTS
from specc.kinds.procedures import CHECKS, Check
from specc.kinds.targets import STANDOFFS, Standoff
from specc.model.blocks import Block
from specc.model.values import PRACTICE
from specc.model.wording import counted
from specc_structure.loads import FACTORS, FALLS, GUSTS, LEFT, LOADS, PULLS, SHOW, SLIDES, times
from specc_structure.stands import STANDS, Stand


def _weight(s: Stand, ballast: bool) -> str:
    kilograms = sum(lump.mass.si for lump in (s.ballast if ballast else s.parts))
    return show(kilograms, "mass", "lb") if kilograms else "none"


@table("structure.stands", title="What stands by itself", needs=(STANDS, LOADS))
def stands_table(ctx: Context) -> Table:
    worst = {}
    for one in ctx[LOADS]:
        if one.factor is not None and one.slide is not None:
            worst[one.stand.tag, one.when] = f"{times(one.factor.si)}; {times(one.slide.si)}"
        elif one.guys:
            worst[one.stand.tag, one.when] = f"guys, {max(g.pull.si for g in one.guys) / 4.4482216:.0f} lbf"
    rows = []
    for s in ctx[STANDS]:
        count = len(s.spec.texts("places"))
        left = "taken down" if s.spec.yes("taken_down") else worst.get((s.tag, LEFT), "not checked")
        rows.append(
            Row(
                (
                    s.spec.text_or("title", s.tag) + (f" ({count} alike)" if count > 1 else ""),
                    ", ".join(s.spec.texts("places")) or "not stated",
                    show(s.top.si, "length", "ft"),
                    _weight(s, False),
                    _weight(s, True),
                    worst.get((s.tag, SHOW), "not checked"),
                    left,
                )
            )
        )
    return Table(
        "",
        "",
        (
            Column("stand", 2),
            Column("place", 2),
            Column("height"),
            Column("its weight"),
            Column("ballast"),
            Column("in the show", 1.2),
            Column("left alone", 1.2),
        ),
        tuple(rows),
        "Factors of safety: against tipping; against sliding.",
    )


@gather(STANDOFFS, needs=(STANDS, FALLS))
def standoffs(ctx: Context) -> Sequence[Standoff]:
    made = []
    for s in ctx[STANDS]:
        if s.tag in ctx[FALLS]:
            for place in s.spec.texts("places") or (s.tag,):
                made.append(
                    Standoff("audience", place, ctx[FALLS][s.tag], f"{s.tag} reaches this far when it falls", PRACTICE)
                )
    return made


@gather(SUMMARY_FACTS, needs=(STANDS,))
def facts(ctx: Context) -> Sequence[Fact]:
    stands = ctx[STANDS]
    if not stands:
        return ()
    high = max(stands, key=lambda s: s.top.si)
    count = sum(max(len(s.spec.texts("places")), 1) for s in stands)
    note = (
        "the highest: "
        + high.spec.text_or("title", high.tag)
        + (f" at {high.spec.texts('places')[0]}" if high.spec.texts("places") else "")
    )
    return (
        Fact(
            56,
            show(high.top.si, "length", "ft"),
            f"high; {counted(count, 'thing')} {'stands by itself' if count == 1 else 'stand by themselves'}",
            note,
        ),
    )


@gather(CHECKS, needs=(STANDS,))
def checks(ctx: Context) -> Sequence[Check]:
    made = [
        Check(46, f"Ballast of {s.tag} is on its base and tied: {_weight(s, True)}", PRACTICE)
        for s in ctx[STANDS]
        if s.ballast
    ]
    made += [Check(46, f"Guys of {s.tag} are tight, their anchors firm", PRACTICE) for s in ctx[STANDS] if s.guys]
    return made


@gather(CAUTIONS, needs=(STANDS,))
def cautions(ctx: Context) -> Sequence[Caution]:
    if not ctx[STANDS]:
        return ()
    return (
        Caution(
            46, "Wet or soft ground holds feet and anchors less than is counted here; look again after rain.", PRACTICE
        ),
    )


@gather(MODEL_LIMITS, needs=(STANDS,))
def model_limits(ctx: Context) -> Sequence[ModelLimit]:
    if not ctx[STANDS]:
        return ()
    return (
        ModelLimit(
            46,
            "Structure",
            "Each thing is one stiff body of simple shapes on firm ground. Bending, joints, buckling, swaying and the "
            "strength of members are not computed: a structural engineer decides. Weights, areas and what anchors hold "
            "are as stated.",
        ),
    )


@section("structure", title="Structure", order=46, part="structure", needs=(STANDS,))
def structure_section(ctx: Context) -> Sequence[Block]:
    if not ctx[STANDS]:
        return [Para("The spec describes no structure, so nothing of how things stand was checked.")]
    return [TableBlock("structure.stands"), DrawingBlock("structure.elevation")]


@section(
    "structure_figures",
    title="Loads on the structure",
    order=46,
    needs=(STANDS, LOADS),
    wants=(GUSTS, FACTORS, SLIDES, PULLS, FALLS),
)
def figures_section(ctx: Context) -> Sequence[Block]:
    keys = [f.key for k in (GUSTS, FACTORS, SLIDES, PULLS, FALLS) for f in (ctx.get(k) or {}).values()]
    return [FigureList(tuple(keys))] if keys else []
