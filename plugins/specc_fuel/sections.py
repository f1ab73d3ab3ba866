"""The gas section of the packet, its summary facts, cautions and limits."""

from __future__ import annotations

from collections.abc import Sequence

from specc import (
    Citation,
    Column,
    Context,
    DrawingBlock,
    FigureBlock,
    FigureList,
    FigureSet,
    Heading,
    Key,
    Para,
    Row,
    Table,
    TableBlock,
    gather,
    psig,
    section,
    show,
    table,
)
from specc.kinds.gas import (
    CYLINDER_PRESSURE,
    FLOW,
    FLOW_TOGETHER,
    GAS_LEFT,
    GAS_ON_SITE,
    GROSS_HEAT,
    JET_PRESSURE,
    LOWEST_PRESSURE,
    NET_HEAT,
    NIGHT_GAS,
    RUN_TIME,
    STUCK_GAS,
)
from specc.kinds.plumbing import NETWORK
from specc.kinds.procedures import AIR_OUT, STEPS, Step
from specc.kinds.show import EFFECTS, TIMELINE
from specc.model.blocks import Block
from specc.model.values import Quantity
from specc_fuel.keys import (
    AT_REST,
    BOIL_OFF,
    BOIL_OFF_ALL,
    BURST,
    CADENCE,
    CHARGE_TIME,
    CYLINDERS_NEEDED,
    DEW_PRESSURE,
    DRAW,
    DRAW_HEAT,
    EVENNESS,
    FEED_FLOW,
    FEED_PRESSURE,
    FIRST_FILL,
    GAS_ON_SITE_LIQUID,
    HIGHEST_SETTING,
    JET_AREA,
    KEPT_FLOW,
    LATENT_HEAT,
    LIQUID_COLDEST,
    SCENE_GAS,
    SHOW_GAS,
    STILL_AIR,
    STORE_CONTENT,
    STORE_PRESSURE,
    SUPPLY_GAS,
    SUPPLY_LOWEST,
    VAPOR_DENSITY,
    WARMEST_SUPPLY,
)
from specc_fuel.packet_lines import burst_outlets
from specc_fuel.wording import said


def _tags(ctx: Context, key: Key[FigureSet]) -> tuple[str, ...]:
    """The tags of a family of figures, none when it could not be computed."""
    family = ctx.get(key)
    return tuple(family) if family else ()


def _alike_once(key: str, family: FigureSet) -> list[Block]:
    """A family's figures: of several that are alike to two digits a full packet spells out one."""
    made: list[Block] = []
    alike: dict[tuple[str, ...], list[str]] = {}
    for tag, figure in family.items():
        alike.setdefault(tuple(f"{c.worked.si:.2g}" for c in figure.cases), []).append(f"{key}.{tag}")
    for first, *others in alike.values():
        made.append(FigureBlock(first))
        if others:
            made.append(FigureList(tuple(others)))
    return made


def _accumulators(ctx: Context) -> list[Block]:
    """The accumulators' figures, if there are any."""
    if not _tags(ctx, STORE_PRESSURE):
        return []
    made: list[Block] = [Heading("Accumulators and bursts")]
    for key in (STORE_PRESSURE, STORE_CONTENT, CHARGE_TIME, BURST, CADENCE, STUCK_GAS):
        made += _alike_once(key.name, ctx.get(key) or {})
    made.append(FigureList(tuple(f"{FEED_FLOW.name}.{tag}" for tag in _tags(ctx, FEED_FLOW))))
    made.append(FigureBlock(FIRST_FILL.name))
    return made


def _through_the_nights(ctx: Context) -> list[Block]:
    """The cylinders followed through the show, if they could be."""
    if not _tags(ctx, SUPPLY_LOWEST):
        return []
    made: list[Block] = [
        Heading("The cylinders through the nights"),
        Para(
            "Gas drawn cools the liquid that is left, and still air warms it again. Each weather case was followed "
            "through all nights, step by step."
        ),
    ]
    for key in (SUPPLY_LOWEST, GAS_LEFT):
        made += _alike_once(key.name, ctx.get(key) or {})
    made.append(FigureList(tuple(f"{LIQUID_COLDEST.name}.{tag}" for tag in _tags(ctx, LIQUID_COLDEST))))
    made += [DrawingBlock("fuel.temperature_over_time")]
    if _tags(ctx, STORE_PRESSURE):
        made += [DrawingBlock("fuel.accumulators_over_time"), DrawingBlock("fuel.burst_enlarged")]
    made.append(TableBlock("fuel.events"))
    made += [TableBlock("fuel.cylinders_over_time"), TableBlock("fuel.gas_by_effect")]
    return made


@gather(STEPS, wants=(STORE_PRESSURE, FIRST_FILL))
def first_fill_steps(ctx: Context) -> Sequence[Step]:
    """How a vessel that has air in it is filled, with the pressure until which it is not safe."""
    tags, burns = _tags(ctx, STORE_PRESSURE), ctx.get(FIRST_FILL)
    if not tags or burns is None:
        return ()
    return (
        Step(
            54,  # before anything fills it
            "start",
            f"{', '.join(tags)}, let down or opened since, is first filled above {said(burns)} and vented outdoors: "
            "its air can burn.",
            Citation(basis="computed", reference="osha-chemical-data-563", where="flammable limits"),
            moment=AIR_OUT,
        ),
    )


@section(
    "gas_in_short",
    title="Gas",
    order=30,
    part="effects",
    needs=(NETWORK,),
    wants=(EFFECTS, FLOW, SUPPLY_LOWEST),
)
def gas_in_short(ctx: Context) -> Sequence[Block]:
    """What a marshal reads of the gas: by outlet, by night, and whether the cylinders keep up."""
    if not _tags(ctx, FLOW):
        return [Para("No outlet's gas is known, so nothing of it was checked.")]
    bursts, made = burst_outlets(ctx), list[Block]()
    if set(_tags(ctx, FLOW)) - bursts:
        made.append(TableBlock("fuel.outlets_in_short"))
    if bursts:
        made.append(TableBlock("fuel.bursts_in_short"))
    if _tags(ctx, SUPPLY_LOWEST):
        made.append(DrawingBlock("fuel.pressure_over_time"))
    return made


@table(
    "fuel.outlets_in_short",
    title="Gas and heat at each outlet that burns steadily, alone, in the case that gives the most",
    needs=(FLOW,),
    wants=(EFFECTS, NET_HEAT, JET_PRESSURE, KEPT_FLOW),
)
def outlets_in_short(ctx: Context) -> Table:
    """One line for outlets that are alike to three digits. One behind an accumulator burns high only at first."""
    kept = ctx.get(KEPT_FLOW) or {}
    heats, pressures = ctx.get(NET_HEAT) or {}, ctx.get(JET_PRESSURE) or {}
    alike: dict[tuple[str, ...], list[str]] = {}
    for tag, flow in ctx[FLOW].items():
        if tag in burst_outlets(ctx):
            continue
        heat, ahead = heats.get(tag), pressures.get(tag)
        cells = (
            said(flow, "lb/h") + (f" at first, {said(kept[tag], 'lb/h')} kept up" if tag in kept else ""),
            said(heat, "kBTU/h") if heat else "not computed",
            said(heat, "kW") if heat else "not computed",
            psig(ahead.si) if ahead else "not computed",
        )
        alike.setdefault(cells, []).append(tag)
    columns = (
        Column("outlet", 2),
        Column("gas", 1, "right"),
        Column("heat, net", 1, "right"),
        Column("in SI", 1, "right"),
        Column("pressure before the jets", 1, "right"),
    )
    rows = tuple(Row((", ".join(tags), *cells)) for cells, tags in alike.items())
    return Table("", "", columns, rows)


@table(
    "fuel.bursts_in_short",
    title="One burst of each outlet, its longest, in the case that gives the most",
    needs=(FLOW, EFFECTS, TIMELINE),
    wants=(BURST, JET_PRESSURE, NET_HEAT),
)
def bursts_in_short(ctx: Context) -> Table:
    """Gas of one burst, how long it is, and its flow as the valve opens and in the mean. An outlet without an
    accumulator keeps its first flow."""
    bursts, pressures, heats = ctx.get(BURST) or {}, ctx.get(JET_PRESSURE) or {}, ctx.get(NET_HEAT) or {}
    longest: dict[str, Quantity] = {}
    for shot in ctx[TIMELINE].shots:
        longest[shot.effect] = max(shot.open, longest.get(shot.effect, shot.open), key=lambda q: q.si)
    rows = []
    for effect in ctx[EFFECTS]:
        for tag in effect.outlets:
            if effect.kind != "burst" or effect.tag not in longest or tag not in ctx[FLOW]:
                continue
            first, opened = ctx[FLOW][tag], longest[effect.tag]
            gas = bursts[tag].si if tag in bursts else first.si * opened.si
            rows.append(
                Row(
                    (
                        f"{tag} ({effect.tag})",
                        show(gas, "mass", "oz"),
                        opened.text,
                        said(first, "lb/h"),
                        show(min(gas / opened.si, first.si), "mass_flow", "lb/h") if opened.si > 0 else "none",
                        psig(pressures[tag].si) if tag in pressures else "not computed",
                        said(heats[tag], "kBTU/h") if tag in heats else "not computed",
                    )
                )
            )
    columns = (
        Column("outlet", 2),
        Column("gas of one burst", 1, "right"),
        Column("valve open for", 1, "right"),
        Column("flow at first", 1, "right"),
        Column("flow in the mean", 1, "right"),
        Column("pressure at first", 1, "right"),
        Column("heat at first, net", 1, "right"),
    )
    return Table("", "", columns, tuple(rows))


@section("fuel_network", title="The network as solved", order=30, part="builder", needs=(NETWORK,), wants=(FLOW,))
def network_section(ctx: Context) -> Sequence[Block]:
    """Part by part, for whoever follows the pressures down the lines."""
    return [TableBlock("fuel.network")] if _tags(ctx, FLOW) else []


@section(
    "fuel",
    title="Gas",
    order=30,
    needs=(),
    wants=(
        FLOW,
        KEPT_FLOW,
        NET_HEAT,
        GROSS_HEAT,
        JET_PRESSURE,
        JET_AREA,
        SCENE_GAS,
        SUPPLY_GAS,
        DRAW,
        DRAW_HEAT,
        BOIL_OFF_ALL,
        CYLINDERS_NEEDED,
        RUN_TIME,
        BOIL_OFF,
        FEED_PRESSURE,
        FLOW_TOGETHER,
        EVENNESS,
        STORE_PRESSURE,
        STORE_CONTENT,
        CHARGE_TIME,
        BURST,
        CADENCE,
        STUCK_GAS,
        FEED_FLOW,
        HIGHEST_SETTING,
        AT_REST,
        SUPPLY_GAS,
        SUPPLY_LOWEST,
        LIQUID_COLDEST,
        GAS_LEFT,
        STILL_AIR,
    ),
)
def fuel_section(ctx: Context) -> Sequence[Block]:
    def each(key: Key[FigureSet]) -> list[Block]:
        return _alike_once(key.name, ctx.get(key) or {})

    def listed(key: Key[FigureSet]) -> Block:
        return FigureList(tuple(f"{key.name}.{tag}" for tag in _tags(ctx, key)))

    made: list[Block] = [
        Para(
            "Each figure shows its equation, this project's numbers put into it, and the result for the weather case "
            "that governs. Heat is counted net (LHV) where a flame is meant, and gross (HHV) where gas is supplied; "
            "each figure says which."
        ),
        Heading("On site"),
        FigureBlock(GAS_ON_SITE.name),
        FigureBlock(GAS_ON_SITE_LIQUID.name),
        Heading("In the cylinder"),
        FigureBlock(CYLINDER_PRESSURE.name),
        FigureBlock(LOWEST_PRESSURE.name),
        FigureList((LATENT_HEAT.name, VAPOR_DENSITY.name)),
        Heading("At each outlet"),
        FigureList(tuple(f"{JET_AREA.name}.{tag}" for tag in _tags(ctx, JET_AREA))),
        *each(JET_PRESSURE),
        *each(FLOW),
        *each(KEPT_FLOW),
        *each(NET_HEAT),
        FigureList(tuple(f"{GROSS_HEAT.name}.{tag}" for tag in _tags(ctx, GROSS_HEAT))),
        Heading("While all burn"),
        Para(
            "The network below is solved as built. Each figure above is for an effect that burns alone, which gives it "
            "the most; these are what each outlet still gets while all of a scene burn."
        ),
        listed(FEED_PRESSURE),
        listed(FLOW_TOGETHER),
        *each(EVENNESS),
        *_accumulators(ctx),
        Heading("Cold walls"),
        Para(
            "Gas turns liquid on a wall colder than its dew point. Behind each regulator the smaller of its lock-up "
            "and the warmest supply must stay below the condensation pressure at the coldest surface."
        ),
        FigureBlock(DEW_PRESSURE.name),
        FigureList((WARMEST_SUPPLY.name,)),
        listed(AT_REST),
        *each(HIGHEST_SETTING),
        Heading("Over the show"),
        *each(SCENE_GAS),
        FigureBlock(NIGHT_GAS.name),
        FigureBlock(SHOW_GAS.name),
        *each(SUPPLY_GAS),
        *each(DRAW),
        *each(RUN_TIME),
        *each(CYLINDERS_NEEDED),
        *_through_the_nights(ctx),
        Heading("What the cylinders can give in the cold, by rule of thumb"),
        Para(
            "The trade's rule (diameter x length x K) and its tables for cylinders let the liquid cool to its boiling "
            "point and count on air that moves. Still air alone, with the liquid only as cold as the regulators bear, "
            "gives a fraction of that for as long as one likes; the plots above are for this show, which draws for "
            "hours and then rests. Two rules look here, and both have to hold: the show's own course "
            "(fuel.supply_holds) and the trade's rule (fuel.boil_off), which knows nothing of pauses and is the "
            "stricter for short shows. Accumulators are followed as filled in the quarter of an hour before each "
            "night's first scene (common practice, no published source)."
        ),
        *each(STILL_AIR),
        *each(BOIL_OFF),
        *each(BOIL_OFF_ALL),
        *each(DRAW_HEAT),
    ]
    return made
