"""The flame section of the packet: sizes with every form beside the one that governs, heat, distances, rules."""

from __future__ import annotations

from collections.abc import Sequence

from specc import (
    Column,
    Context,
    FigureList,
    Heading,
    ModelLimit,
    Para,
    Row,
    RulesBlock,
    Table,
    TableBlock,
    gather,
    section,
    show,
    table,
)
from specc.kinds.packet import MODEL_LIMITS
from specc.kinds.targets import FLUX, STANDOFFS, TARGETS, governing
from specc.model.blocks import Block
from specc_flame.keys import (
    BALL_SIZE,
    DOSE,
    DOSES,
    EXPECTED,
    FORMS,
    LENGTH,
    OUTLETS,
    PUBLIC,
    STEADY_FLUX,
    TIP,
    TOP,
    WIDTH,
)
from specc_flame.targets import LEVELS


def _ft(si: float) -> str:
    return show(si, "length", "ft", 2)


@table("flame.forms", title="Flame lengths by each published form", needs=(FORMS, LENGTH))
def forms_table(ctx: Context) -> Table:
    rows = []
    for tag, flame in ctx[FORMS].items():
        for form in flame.forms:
            role = "governs" if form.name == flame.governing else "beside it" if form.used else "out of range"
            rows.append(Row((tag, form.name, _ft(form.length), role, form.range)))
        if ctx[LENGTH][tag].worked.beyond:
            rows.append(Row((tag, "outside its range", "", "", ctx[LENGTH][tag].worked.beyond)))
    columns = (
        Column("outlet"),
        Column("form", 2),
        Column("mean length", align="right"),
        Column("role"),
        Column("range", 3),
    )
    return Table("", "", columns, tuple(rows))


@table(
    "flame.heat",
    title="Heat where people and things are",
    needs=(FLUX, STEADY_FLUX, TARGETS),
    limits=(
        "flame.audience_flux",
        "flame.burns_flux",
        "flame.operator_flux",
        "flame.performer_flux",
        "flame.urgent_flux",
    ),
)
def heat_table(ctx: Context) -> Table:
    rows = []
    for target in ctx[TARGETS]:
        if target.tag not in ctx[FLUX]:
            continue
        level = target.level or ctx.limit(LEVELS[target.kind])
        rows.append(
            Row(
                (
                    target.what,
                    show(ctx[FLUX][target.tag].si, "heat_flux", "kW/m²", 2),
                    show(ctx[STEADY_FLUX][target.tag].si, "heat_flux", "kW/m²", 2),
                    show(level.si, "heat_flux", "kW/m²"),
                )
            )
        )
    columns = (
        Column("who or what", 2),
        Column("as the show burns", align="right"),
        Column("every burst held open", align="right"),
        Column("limit", align="right"),
    )
    return Table("", "", columns, tuple(rows))


@table("flame.standoffs", title="Distances of the public, each with its reason", needs=(STANDOFFS,))
def standoffs_table(ctx: Context) -> Table:
    governs = governing(ctx[STANDOFFS])
    listed = sorted((s for s in ctx[STANDOFFS] if s.what == "audience"), key=lambda s: (s.start, -s.distance.si))
    rows = tuple(
        Row((s.start, _ft(s.distance.si), s.why, "governs" if governs[s.what, s.start] is s else "")) for s in listed
    )
    return Table("", "", (Column("effect"), Column("distance", align="right"), Column("why", 4), Column("")), rows)


@gather(MODEL_LIMITS)
def limits(ctx: Context) -> Sequence[ModelLimit]:
    return [
        ModelLimit(
            30,
            "Flame lengths",
            "Published forms for steady flames in still air; seven of them differ by 15 %, and more for weak flames. "
            "Tips are seen at 1.3 to 1.5 times the mean (practice); 1.5 is used. The time a flame takes to grow is "
            "never used to shrink it. Blow-out, liquid in the gas and walls beside a flame are not counted.",
        ),
        ModelLimit(
            31,
            "Heat",
            "Radiation is an envelope: each flame leans at the target at once. It counts 32 % of the net heat as "
            "radiated and a factor of 1.25 for the measured bias of the model, which covers gauges to 2 m from a "
            "propane burner and is an extrapolation beyond. The air takes none of it; the sun, up to about 1 kW/m², "
            "is not counted. Hot gas that blows at people is not counted apart from the flame laid flat.",
        ),
        ModelLimit(
            32,
            "Distance for the public",
            "No national distance exists. 1.42 kW/m² is a level for siting of housing beside plants, used by analogy. "
            "Radiation is taken without credit for the outlet's height. Barriers, crowd pressure and what falls or "
            "flies farther than the sculpture is high are not counted.",
        ),
    ]


@section(
    "flame",
    title="Flames, heat and distances",
    order=35,
    part="effects",
    needs=(OUTLETS,),
    wants=(LENGTH, WIDTH, TIP, TOP, BALL_SIZE, EXPECTED, PUBLIC, FLUX, DOSE, DOSES),
)
def flame_section(ctx: Context) -> Sequence[Block]:
    if not ctx[OUTLETS]:
        return [Para("No outlet's gas is known, so no flame is."), RulesBlock("flame.")]
    blocks: list[Block] = [Heading("Flame sizes")]
    for key in (LENGTH, TIP, EXPECTED, TOP, WIDTH, BALL_SIZE):
        listed = ctx.get(key)
        if listed:
            blocks.append(FigureList(tuple(f.key for f in listed.values())))
    blocks += [
        Para(
            "Laid flat is the farthest that flame is seen, in any direction from the outlet; the expected reach in the "
            "stop wind stands beside it."
        ),
        TableBlock("flame.forms"),
        Heading("Distance of the public"),
    ]
    if ctx.get(PUBLIC):
        blocks += [FigureList(tuple(f.key for f in (ctx.get(PUBLIC) or {}).values())), TableBlock("flame.standoffs")]
    blocks += [Heading("Heat where people and things are"), TableBlock("flame.heat")]
    for key in (DOSE, DOSES):
        listed = ctx.get(key)
        if listed:
            blocks.append(FigureList(tuple(f.key for f in listed.values())))
    blocks.append(RulesBlock("flame."))
    return blocks


PASSES = (forms_table, heat_table, standoffs_table, limits, flame_section)
