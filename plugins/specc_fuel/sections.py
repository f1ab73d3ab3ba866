"""The gas section of the packet, its summary facts, cautions and limits."""

from __future__ import annotations

from collections.abc import Sequence

from specc import (
    Caution,
    Citation,
    Context,
    Fact,
    Figure,
    FigureBlock,
    FigureList,
    FigureSet,
    Heading,
    Key,
    ModelLimit,
    Para,
    gather,
    section,
    show,
)
from specc.blocks import Block
from specc.kinds.gas import (
    CYLINDER_PRESSURE,
    FLOW,
    GROSS_HEAT,
    JET_PRESSURE,
    LOWEST_PRESSURE,
    NET_HEAT,
    SECTION_BLOCKED,
    SECTION_FAILED_OPEN,
    SECTION_HIGHEST,
)
from specc.kinds.packet import CAUTIONS, MODEL_LIMITS, SUMMARY_FACTS
from specc.kinds.plumbing import NETWORK
from specc_fuel.keys import (
    BOIL_OFF,
    BOIL_OFF_ALL,
    CYLINDERS_NEEDED,
    DRAW,
    DRAW_HEAT,
    GAS_ON_SITE,
    GAS_ON_SITE_LIQUID,
    JET_AREA,
    LATENT_HEAT,
    NIGHT_GAS,
    RUN_TIME,
    SCENE_GAS,
    SHOW_GAS,
    VAPOUR_DENSITY,
)


def _tags(ctx: Context, key: Key[FigureSet]) -> tuple[str, ...]:
    """The tags of a family of figures, none when it could not be computed."""
    family = ctx.get(key)
    return tuple(family) if family else ()


def _said(figure: Figure, unit: str = "", digits: int = 3) -> str:
    return show(figure.si, figure.dim, unit or figure.unit, digits)


@gather(
    SUMMARY_FACTS,
    needs=(NETWORK,),
    wants=(GAS_ON_SITE, GAS_ON_SITE_LIQUID, NET_HEAT, RUN_TIME, SHOW_GAS, CYLINDER_PRESSURE),
)
def facts(ctx: Context) -> Sequence[Fact]:
    made = []
    gas, liquid = ctx.get(GAS_ON_SITE), ctx.get(GAS_ON_SITE_LIQUID)
    if gas:
        count = len(ctx[NETWORK].of_kind("cylinder"))
        gallons = f"{_said(liquid)} " if liquid else ""
        made.append(
            Fact(
                10,
                _said(gas),
                "gas on site, full",
                f"{gallons}in {count} cylinder{'s' if count > 1 else ''}; {_said(gas, 'kg')}",
            )
        )
    burnt = ctx.get(SHOW_GAS)
    if burnt:
        made.append(
            Fact(15, _said(burnt, "lb", 2), "gas burnt over all nights", f"case: {burnt.case or 'any'}")
        )
    heats = ctx.get(NET_HEAT)
    if heats:
        tag, largest = max(heats.items(), key=lambda item: item[1].si)
        made.append(
            Fact(
                20,
                _said(largest, "kBTU/h", 2),
                "heat of the largest outlet, net",
                f"{tag}; {_said(largest, 'kW', 2)}",
            )
        )
    times = ctx.get(RUN_TIME)
    if times:
        tag, shortest = min(times.items(), key=lambda item: item[1].si)
        made.append(
            Fact(25, _said(shortest, "h", 2), "run time of one cylinder", f"{tag}, down to its reserve")
        )
    hot = ctx.get(CYLINDER_PRESSURE)
    if hot:
        # The higher of the two is what a reader should take away: parts are judged by it.
        commercial = show(hot.si * (1 + ctx.limit("fuel.commercial_margin").si), hot.dim, hot.unit, 3)
        made.append(
            Fact(
                30,
                commercial,
                "highest cylinder pressure, commercial propane",
                f"pure propane {_said(hot)}, case: {hot.case or 'any'}",
            )
        )
    return made


@gather(CAUTIONS)
def cautions(ctx: Context) -> Sequence[Caution]:
    return (
        Caution(
            20,
            "Draw gas from an upright cylinder only. Liquid in a vapour line burns many times higher than "
            "anything computed here.",
            Citation(basis="practice"),
        ),
        Caution(
            21,
            "A cylinder is full at 80 % by volume at 40 °F. Do not heat one with a flame, and do not leave a "
            "full one in closed sun or in a hot vehicle.",
            Citation("osha-1910-110", "(b), filling limits at 40 °F; heating: common practice", "reprint"),
        ),
    )


@gather(MODEL_LIMITS)
def limits(ctx: Context) -> Sequence[ModelLimit]:
    return (
        ModelLimit(
            20,
            "Gas",
            "Pure propane. Commercial propane stands some 13 to 15 % higher in gauge pressure when "
            "warm, and a few per cent of butane lowers the pressure at which gas condenses in a cold "
            "vessel or hose; condensation is not computed here.",
        ),
        ModelLimit(
            21,
            "Flow",
            "Pressure is lost at orifices and jets alone. Pipes, hoses and valves pass less than "
            "computed here, so that gas used, heat and flame are on the high side, and what "
            "arrives at the last jet is not shown to be enough.",
        ),
        ModelLimit(
            22,
            "Outlets behind one orifice",
            "They are taken to burn together. One that burns alone gets more than its figure.",
        ),
        ModelLimit(
            23,
            "Gas temperature",
            "Gas is taken as warm as the air at every hole. Colder gas flows more, by "
            "about 1 % for each 10 °F.",
        ),
        ModelLimit(
            24,
            "Cylinder",
            "A trade rule for tanks stands for small cylinders, for which none is published. "
            "Cooling of the liquid over the evening is not computed here.",
        ),
        ModelLimit(
            25,
            "Bursts",
            "Each is counted at its first flow for as long as it is open, more than an emptying "
            "accumulator gives.",
        ),
        ModelLimit(
            26,
            "Failures",
            "A parted hose and a stuck valve are not computed here. For a regulator that fails open only the "
            "pressure before the jets is computed, not the flame.",
        ),
    )


def _alike_once(key: str, family: FigureSet) -> list[Block]:
    """A family's figures in full; of several that are alike in every number, one in full and the rest in a list."""
    made: list[Block] = []
    alike: dict[tuple[float, ...], list[str]] = {}
    for tag, figure in family.items():
        alike.setdefault(tuple(c.worked.si for c in figure.cases), []).append(f"{key}.{tag}")
    for first, *others in alike.values():
        made.append(FigureBlock(first))
        if others:
            made.append(FigureList(tuple(others)))
    return made


def _largest(key: Key[FigureSet], family: FigureSet | None) -> list[Block]:
    """The largest of a family in full; the materials section lists them all."""
    if not family:
        return []
    tag = max(family, key=lambda t: family[t].si)
    return [FigureBlock(f"{key.name}.{tag}")]


@section(
    "fuel",
    title="Gas: how much, how fast, for how long",
    order=30,
    needs=(NETWORK,),
    wants=(
        FLOW,
        NET_HEAT,
        GROSS_HEAT,
        JET_PRESSURE,
        JET_AREA,
        SCENE_GAS,
        RUN_TIME,
        BOIL_OFF,
        SECTION_HIGHEST,
        SECTION_BLOCKED,
        SECTION_FAILED_OPEN,
    ),
)
def fuel_section(ctx: Context) -> Sequence[Block]:
    def each(key: Key[FigureSet]) -> list[Block]:
        return _alike_once(key.name, ctx.get(key) or {})

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
        FigureList((LATENT_HEAT.name, VAPOUR_DENSITY.name)),
        Heading("At each outlet"),
        FigureList(tuple(f"{JET_AREA.name}.{tag}" for tag in _tags(ctx, JET_AREA))),
        *each(JET_PRESSURE),
        *each(FLOW),
        *_largest(SECTION_HIGHEST, ctx.get(SECTION_HIGHEST)),
        *_largest(SECTION_BLOCKED, ctx.get(SECTION_BLOCKED)),
        *_largest(SECTION_FAILED_OPEN, ctx.get(SECTION_FAILED_OPEN)),
        *each(NET_HEAT),
        FigureList(tuple(f"{GROSS_HEAT.name}.{tag}" for tag in _tags(ctx, GROSS_HEAT))),
        Heading("Over the show"),
        *each(SCENE_GAS),
        FigureBlock(NIGHT_GAS.name),
        FigureBlock(SHOW_GAS.name),
        FigureBlock(DRAW.name),
        *each(RUN_TIME),
        FigureBlock(CYLINDERS_NEEDED.name),
        Heading("What the cylinders can give in the cold"),
        *each(BOIL_OFF),
        FigureBlock(BOIL_OFF_ALL.name),
        FigureBlock(DRAW_HEAT.name),
    ]
    return made


PASSES = (facts, cautions, limits, fuel_section)
